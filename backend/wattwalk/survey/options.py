"""Options: ways to do the job, each laid over the survey as it was found, which stays so.

An option copies nothing.  It holds values over records of the survey, each a record of its own: the record, the field, the value; as the
log does, it takes a record away by the field ``deleted`` (true) and makes one of its own by it (false).  So two options may differ in one
radiator, two people may work on one option at once, and what they say of the same value meets in one record (``id_of_value``).
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from .document import Survey
from .errors import Problem
from .fields import FieldSpec, FieldType, long_text, reference, text
from .kinds import KINDS, Part, Record, RecordKind, record_kind
from .unit import Unit
from .validation import check_value, is_id
from .wording import clean, record_titles, value_words
from .works import Design

#: The field by which a record is taken away or made, in the log as in an option.
DELETED = "deleted"
#: What may be wrong with an option, by code.
EMPTY, OF_GONE, NOT_TAKEN, TWICE, UNIT_GONE, NO_OPTION = (
    "option_empty",
    "option_of_gone",
    "option_value_wrong",
    "option_said_twice",
    "option_unit_gone",
    "option_gone",
)
#: Of a price line: changed together with what it says.
_DRAWN_FROM = "drawn_from"
AS_IT_STANDS = "The survey as it stands"


@record_kind(
    "option",
    "Option",
    "Options",
    stage="office",
    part=Part("price", is_subject=False, opens_the_walk=False),
    title=("name",),
    help="One way to do the job, over the survey as it was found.",
)
class Option(Record):
    """One way to do the job: its name, and what it is in words for the household."""

    name: str | None = text("Name", max_length=60)
    remarks: str | None = long_text("What it is, for the household", max_length=600)


@record_kind(
    "option_value",
    "Value of an option",
    "Values of options",
    stage="office",
    part=Part("price", is_subject=False, opens_the_walk=False),
    parent="option",
    title=("words",),
    help="One answer that an option has otherwise than the survey.",
)
class OptionValue(Record):
    """One value over one field of one record of the survey."""

    option: str | None = reference("Option", "option", goes_with=True, by_program=True, in_report=False)
    of: str | None = text("Of which record", max_length=140, by_program=True, in_report=False)
    field: str | None = text("Which answer", max_length=80, by_program=True, in_report=False)
    value: str | None = long_text("Value", max_length=8000, by_program=True, in_report=False)
    words: str | None = text("What the record was called", max_length=200, by_program=True, in_report=False)


def id_of_value(option: str, record: str, field: str) -> str:
    """Return the id of the record that holds what an option says of one field: the same wherever it is said, so that two devices meet in it."""
    return f"value-{hashlib.sha256(f'{option}/{record}/{field}'.encode()).hexdigest()[:40]}"


@dataclass(frozen=True)
class Difference:
    """One answer that an option has otherwise than the survey, in words; ``was`` or ``now`` is empty where there is none."""

    record: str
    field: str
    title: str
    label: str
    was: str
    now: str


@dataclass(frozen=True)
class UnderOption:
    """A survey as an option has it: what differs, and what is wrong with the option."""

    survey: Survey
    option: Option | None
    differences: tuple[Difference, ...]
    problems: tuple[Problem, ...]


def offered(survey: Survey) -> str | None:
    """Return the id of the option that is offered, or None for the survey as it stands."""
    design = survey.single(Design)
    return None if design is None else design.offered


def as_offered(survey: Survey) -> UnderOption:
    """Return the survey as it is offered."""
    return under(survey, offered(survey))


def under(survey: Survey, option_id: str | None) -> UnderOption:
    """Return the survey as an option has it; the survey itself is not changed.

    Parameters
    ----------
    survey : Survey
        As it was found.
    option_id : str or None
        An option of it; None for the survey as it stands.
    """
    if option_id is None:
        return UnderOption(survey, None, (), ())
    option = survey.find(Option, option_id)
    if option is None:
        words = "The option that is offered is no longer there: the survey as it stands is taken."
        return UnderOption(survey, None, (), (Problem(NO_OPTION, words, "offered", "design"),))
    values, problems = _values_of(survey, option)
    titles = record_titles(survey)
    records: dict[str, list[Record]] = {name: list(items) for name, items in survey.records.items()}
    differences: list[Difference] = []
    made_here: list[Record] = []
    for key, said in values.items():
        kind_name, _, record_id = key.partition("/")
        items = records.setdefault(kind_name, [])
        place = next((place for place, item in enumerate(items) if item.id == record_id), None)
        if place is None:
            made = _made(KINDS[kind_name], record_id, said)
            if made is None:
                problems.append(_of_gone(option, key, said))
                continue
            items.append(made)
            made_here.append(made)
            continue
        before = items[place]
        if said.get(DELETED, (False, ""))[0] is True:
            del items[place]
            differences.append(Difference(key, DELETED, titles.get(record_id, ""), "", "there", "not here"))
            continue
        changed = {name: value for name, (value, _words) in said.items() if name != DELETED}
        items[place] = replace(before, **changed)
        differences += _differences(before, changed, titles)
    homeless = [made for made in made_here if _has_no_place(made, records)]
    for made in homeless:
        records[made.kind.name].remove(made)
        problems.append(_of_gone(option, made.key(), values[made.key()]))
    laid = replace(survey, records={name: tuple(items) for name, items in records.items() if items})
    differences += _made_differences(laid, [made for made in made_here if made not in homeless])
    problems += _wrong_as_a_whole(laid, option, differences)
    return UnderOption(laid, option, tuple(differences), tuple(problems))


#: What an option says of one record: by field its value, and what the record was called then.
_Said = dict[str, tuple[Any, str]]


def _values_of(survey: Survey, option: Option) -> tuple[dict[str, _Said], list[Problem]]:
    """Return what an option says by record and field, and what of it cannot be taken."""
    found: dict[str, _Said] = {}
    problems: list[Problem] = []
    for item in survey.children(OptionValue, option.id):
        spec = _spec_of(item)
        value, is_readable = _read(item)
        wrong = spec is None or not is_readable
        if not wrong and isinstance(spec, FieldSpec):
            wrong = check_value(spec, value) is not None
        elif not wrong:
            wrong = not isinstance(value, bool)
        if wrong:
            words = f"{_name(option)} has an answer for {item.words or 'a record'} that cannot be taken, so the survey's own stands."
            problems.append(Problem(NOT_TAKEN, words, None, item.key()))
            continue
        said = found.setdefault(item.of or "", {})
        name = item.field or ""
        if name in said and said[name][0] != value:
            words = (
                f"{_name(option)} has two answers for the same of {item.words or 'a record'}: take one of them away."
            )
            problems.append(Problem(TWICE, words, None, item.key()))
        said[name] = (value, item.words or "")
    return found, problems


def _spec_of(item: OptionValue) -> FieldSpec | str | None:
    """Return the declaration of the field that a value is over, ``deleted`` for that one, or None where an option may not say it."""
    kind_name, _, record_id = (item.of or "").partition("/")
    kind = KINDS.get(kind_name)
    if kind is None or not kind.part.in_options or not is_id(record_id):
        return None
    if item.field == DELETED:
        return None if kind.single else DELETED
    if item.field is None or not kind.has(item.field) or kind.field(item.field).is_its_own:
        return None
    return kind.field(item.field)


def _read(item: OptionValue) -> tuple[Any, bool]:
    try:
        return json.loads(item.value or "null"), True
    except ValueError:
        return None, False


def _made(kind: RecordKind, record_id: str, said: _Said) -> Record | None:
    """Return the record that an option makes of its own, or that a survey has once and does not have yet; None where it only changes one."""
    if not kind.single and said.get(DELETED, (True, ""))[0] is not False:
        return None
    return kind.make(
        id=record_id, **{name: value for name, (value, _words) in said.items() if name != DELETED and value is not None}
    )


def _has_no_place(made: Record, records: Mapping[str, list[Record]]) -> bool:
    """Say whether a record that an option makes belongs to one that is not there: a radiator in a room that was taken away."""
    owner, parent = made.kind.owner, made.kind.parent
    if owner is None or parent is None:
        return False
    named = getattr(made, parent)
    return named is None or all(item.id != named for item in records.get(owner, ()))


def _made_differences(laid: Survey, made: list[Record]) -> Iterator[Difference]:
    if not made:
        return
    titles = record_titles(laid)
    for record in made:
        yield Difference(record.key(), DELETED, titles[record.id], "", "", f"only here{_size_words(record)}")


def _size_words(record: Record) -> str:
    """Return the numbers that a price is made from, in brackets: a radiator by its type alone could be any."""
    said = [
        f"{spec.label[:1].lower()}{spec.label[1:]} {value_words(spec, value)}"
        for spec in record.kind.fields
        if spec.is_priced
        and spec.type in (FieldType.NUMBER, FieldType.INTEGER)
        and (value := getattr(record, spec.name)) is not None
    ]
    return f" ({', '.join(said)})" if said else ""


def _differences(before: Record, changed: Mapping[str, Any], titles: Mapping[str, str]) -> Iterator[Difference]:
    for name, value in changed.items():
        was = getattr(before, name)
        spec = before.kind.field(name)
        # What a line hangs on is kept for the program's own sake; the words beside it say what is another.
        if was == value or spec.by_program or name == _DRAWN_FROM:
            continue
        told = ["–" if each in (None, "", []) else value_words(spec, each, titles) for each in (was, value)]
        yield Difference(before.key(), name, titles.get(before.id, clean(before.title)), spec.label, *told)


def _of_gone(option: Option, key: str, said: _Said) -> Problem:
    called = next((words for _value, words in said.values() if words), "") or KINDS[key.partition("/")[0]].label
    words = f"{_name(option)} changes ‘{called}’, which is no longer in the survey; that part of it counts for nothing."
    return Problem(OF_GONE, words, None, key)


def _wrong_as_a_whole(laid: Survey, option: Option, differences: list[Difference]) -> list[Problem]:
    problems = []
    if not differences:
        words = f"{_name(option)} changes nothing: it is the survey as it stands."
        problems.append(Problem(EMPTY, words, None, option.key()))
    design = laid.single(Design)
    if design is not None and design.unit is not None and laid.find(Unit, design.unit) is None:
        words = f"{_name(option)} has a unit that is no longer in the list: choose another."
        problems.append(Problem(UNIT_GONE, words, "unit", option.key()))
    return problems


def _name(option: Option) -> str:
    return f"Option ‘{clean(option.name)}’" if option.name else "The option without a name"
