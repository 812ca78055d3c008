"""What each price line hangs on, and whether that still stands as it did when somebody last looked at the line.

A line that is drawn from a record keeps beside it (``drawn_basis``) the values that it was written for. While one of them is another
today, the line says what it was and what it is, until a person takes the change over or keeps the line as it is.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from wattwalk.engine.cost import grant_of_day
from wattwalk.survey.document import Survey
from wattwalk.survey.fields import FieldSpec, FieldType
from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.kinds import KINDS, Record
from wattwalk.survey.runs import run_length
from wattwalk.survey.services import HotWater
from wattwalk.survey.site import OutdoorPosition
from wattwalk.survey.standing import NOT_CHOSEN
from wattwalk.survey.unit import Unit
from wattwalk.survey.validation import plain_number
from wattwalk.survey.wording import long_date, own_titles, pounds, value_words
from wattwalk.survey.works import Design, PriceLine

CHARGE, GRANT = "charge", "grant"
_UNIT, _CYLINDER = ("unit",), ("cylinder_name", "cylinder_l")
_NOTHING = "not said"


@dataclass(frozen=True)
class DrawnFrom:
    """One value that a line hangs on: the record's ``kind/id``, the field, the value as JSON, and both in words."""

    record: str
    field: str
    value: str
    words: str
    label: str = ""


@dataclass(frozen=True)
class WasNow:
    """One value that a line was written for, and what it is today, in words."""

    label: str
    was: str
    now: str


@dataclass(frozen=True)
class ChangedLine:
    """A price line whose source is another today than when it was drawn or last kept.

    To take it over is to write ``what``, ``quantity`` and ``unit_price`` as far as they are said here, to drop the price where
    ``drops_price`` (it was that of something else), and to store ``drawn_from`` and ``basis``; to keep it is to store the last two alone.
    Where the survey asks for no such line any more (``is_asked`` is False) it can be taken away or kept.
    """

    line: str
    title: str
    changes: tuple[WasNow, ...]
    words: str
    is_asked: bool
    what: str | None
    quantity: str | None
    unit_price: str | None
    drops_price: bool
    drawn_from: str | None
    basis: tuple[DrawnFrom, ...]


def basis_of(survey: Survey, record: Record, titles: Mapping[str, str] | None = None) -> tuple[DrawnFrom, ...]:
    """Return the values that a line drawn from a record hangs on, as they stand."""
    design = survey.single(Design)
    if isinstance(record, Unit):
        return _values(survey, design, _UNIT, titles)
    if isinstance(record, HotWater):
        return _values(survey, design, _CYLINDER, titles)
    names = [spec.name for spec in record.kind.fields if spec.is_priced]
    if isinstance(record, Design):
        # A line drawn from the design is the unit's, by its name while none is chosen.
        names = ["unit", "unit_name"]
    return _values(survey, record, names, titles)


def _values(
    survey: Survey, record: Record | None, names: Iterable[str], titles: Mapping[str, str] | None
) -> tuple[DrawnFrom, ...]:
    if record is None:
        return ()
    found = own_titles(survey) if titles is None else titles
    return tuple(_value(record, record.kind.field(name), found) for name in names)


def _value(record: Record, spec: FieldSpec, titles: Mapping[str, str]) -> DrawnFrom:
    value: Any = getattr(record, spec.name)
    words = NOT_CHOSEN if spec.type is FieldType.REFERENCE else _NOTHING
    # A name says by itself what it is of.
    label = "" if spec.type in (FieldType.REFERENCE, FieldType.TEXT) else spec.label
    if spec.type is FieldType.ROWS:
        # Of a run, its length.
        value, label = run_length(value), "Length"
        words = _NOTHING if value is None else f"{plain_number(round(value, 2))} m"
    elif value is not None:
        words = value_words(spec, value, titles)
    return DrawnFrom(record.key(), spec.name, json.dumps(value, ensure_ascii=False)[:400], words[:200], label)


def grant_basis(survey: Survey, day: str | None) -> tuple[DrawnFrom, ...]:
    """Return what a line of a grant hangs on: the amount that the dated table holds on a day; nothing where it holds none."""
    house = survey.single(SurveyRecord)
    grant = None if house is None else grant_of_day(house, day)
    if house is None or day is None or grant is None or grant.pounds is None:
        return ()
    return (
        DrawnFrom(
            house.key(),
            "grant",
            json.dumps(grant.pounds),
            f"{pounds(grant.pounds)}, the table's of {long_date(day)}",
            "Grant",
        ),
    )


def changed_lines(survey: Survey, asked: Mapping[str, Any], day: str | None) -> tuple[ChangedLine, ...]:
    """Return the price lines whose source has changed since they were drawn or kept, in the order of the lines.

    Parameters
    ----------
    survey : Survey
        As it is worked out: with the option's values, where it is of an option.
    asked : mapping
        The lines that the survey asks for (``SuggestedLine``) by the id of the record that each is drawn from.
    day : str or None
        The day of the quote, ``YYYY-MM-DD``; without one no grant is held against the table.
    """
    titles = own_titles(survey)
    found = (_changed(survey, line, asked, titles, day) for line in survey.of_kind(PriceLine))
    return tuple(item for item in found if item is not None)


def _changed(
    survey: Survey, line: PriceLine, asked: Mapping[str, Any], titles: Mapping[str, str], day: str | None
) -> ChangedLine | None:
    if line.effective("is_credit") == GRANT:
        return _changed_grant(survey, line, day)
    was = _stored(line)
    source = next((item for item in survey if item.id == line.drawn_from), None)
    if was and any(item.record.startswith("design/") and item.field == "unit" for item in was):
        source = _chosen(survey) or source
    if not was:
        return _old_unit_line(survey, line, source, asked, titles)
    if source is None:
        return _gone(line, was)
    present = basis_of(survey, source, titles)
    return _against(line, was, present, source, asked)


def _chosen(survey: Survey) -> Unit | None:
    design = survey.single(Design)
    return None if design is None else survey.find(Unit, design.unit)


def _stored(line: PriceLine) -> tuple[DrawnFrom, ...]:
    return tuple(
        DrawnFrom(row["record"], row["field"], row["value"], row.get("words") or "", _label(row))
        for row in line.drawn_basis or []
    )


def _label(row: Mapping[str, Any]) -> str:
    kind = KINDS.get(row["record"].partition("/")[0])
    if kind is None or not kind.has(row["field"]):
        return ""
    spec = kind.field(row["field"])
    return "Length" if spec.type is FieldType.ROWS else spec.label


def _old_unit_line(
    survey: Survey, line: PriceLine, source: Record | None, asked: Mapping[str, Any], titles: Mapping[str, str]
) -> ChangedLine | None:
    """Judge a line of an earlier program, which kept nothing: one drawn from a unit is the chosen unit's, unless a place names that unit."""
    chosen = _chosen(survey)
    if not isinstance(source, Unit) or chosen is None or chosen.id == source.id:
        return None
    if any(source.id in (place.unit, place.second_unit) for place in survey.of_kind(OutdoorPosition)):
        return None
    design = survey.single(Design)
    record = design.key() if design is not None else ""
    was = (DrawnFrom(record, "unit", json.dumps(source.id), source.title, _label({"record": record, "field": "unit"})),)
    return _against(line, was, basis_of(survey, chosen, titles), chosen, asked)


def _against(
    line: PriceLine,
    was: tuple[DrawnFrom, ...],
    present: tuple[DrawnFrom, ...],
    source: Record,
    asked: Mapping[str, Any],
) -> ChangedLine | None:
    stood = {(item.record, item.field): item for item in was}
    changes = []
    for item in present:
        before = stood.get((item.record, item.field))
        # What a later program reads as well, and nobody looked at then, has not changed.
        if before is not None and before.value != item.value:
            changes.append(WasNow(item.label, before.words, item.words))
    if not changes:
        return None
    wanted = asked.get(source.id)
    what = None if wanted is None or wanted.what == line.what else wanted.what
    quantity = None
    if wanted is not None and wanted.unit == line.effective("unit") and _differs(line.quantity, wanted.quantity):
        quantity = wanted.quantity
    return ChangedLine(
        line=line.id,
        title=line.title,
        changes=tuple(changes),
        words=f"{line.title}: {'; '.join(_words(change) for change in changes)}.",
        is_asked=wanted is not None,
        what=what,
        quantity=quantity,
        unit_price=None,
        drops_price=what is not None,
        drawn_from=source.id,
        basis=present,
    )


def _differs(quantity: float | None, wanted: str) -> bool:
    return quantity is None or Decimal(str(quantity)) != Decimal(wanted)


def _words(change: WasNow) -> str:
    of = f"{change.label[:1].lower()}{change.label[1:]} " if change.label else ""
    return f"{of}was {change.was}, now {change.now}"


def _gone(line: PriceLine, was: tuple[DrawnFrom, ...]) -> ChangedLine:
    now = "no longer in the survey"
    changes = tuple(WasNow(item.label, item.words, now) for item in was[:1])
    return ChangedLine(
        line=line.id,
        title=line.title,
        changes=changes,
        words=f"{line.title}: what it was drawn from is no longer in the survey.",
        is_asked=False,
        what=None,
        quantity=None,
        unit_price=None,
        drops_price=False,
        drawn_from=None,
        basis=(),
    )


def _changed_grant(survey: Survey, line: PriceLine, day: str | None) -> ChangedLine | None:
    """Hold the grant that is taken off against the one that the dated table holds on the day of the quote."""
    present = grant_basis(survey, day)
    if day is None or not present or line.unit_price is None or line.quantity is None:
        return None
    (held,) = present
    amount = Decimal(line.unit_price) * Decimal(str(line.quantity))
    kept = any(item.field == held.field and item.value == held.value for item in _stored(line))
    if kept or amount == Decimal(json.loads(held.value)):
        return None
    change = WasNow("", pounds(amount), held.words)
    return ChangedLine(
        line=line.id,
        title=line.title,
        changes=(change,),
        words=f"{line.title}: {pounds(amount)} is taken off; the table's grant of {long_date(day)} is {pounds(json.loads(held.value))}.",
        is_asked=True,
        what=None,
        quantity="1",
        unit_price=json.loads(held.value),
        drops_price=False,
        drawn_from=line.drawn_from,
        basis=present,
    )


def covered(changed: Iterable[ChangedLine]) -> Iterator[str]:
    """Return the ids of the records whose line is there already, though it still says what was: no new one is suggested beside it."""
    for item in changed:
        if item.is_asked and item.drawn_from is not None:
            yield item.drawn_from
