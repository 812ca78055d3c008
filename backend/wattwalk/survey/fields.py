"""How one field of a record is declared: label, unit, limits, choices, help, what it is needed for.

A declaration is one call in a record's class body::

    length_m: float | None = number("Length", unit="m", low=0.3, high=60, needed_for=HEAT_LOSS)

Everything else (validation, form, schema, wording) reads the :class:`FieldSpec` that this call makes.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

#: One row of a field of rows, as it is stored: its known fields by name.
Row = Mapping[str, Any]

#: Where an answer is to be had: in the house, by looking, asking or measuring; or at a desk, from methods, makers' papers and decisions.
ON_SITE, AT_OFFICE = "site", "office"
ANSWERED = (ON_SITE, AT_OFFICE)


class FieldType(StrEnum):
    """The kinds of value a field can hold, each with one JSON form."""

    TEXT = "text"
    LONG_TEXT = "long_text"
    NUMBER = "number"
    INTEGER = "integer"
    CHOICE = "choice"
    YES_NO = "yes_no"
    DATE = "date"
    MOMENT = "moment"
    MONEY = "money"
    REFERENCE = "reference"
    ROWS = "rows"


@dataclass(frozen=True, slots=True)
class Choice:
    """One value that a choice field can take: the stored word, its label, and what to look for."""

    value: str
    label: str
    hint: str = ""


@dataclass(frozen=True, slots=True)
class Purpose:
    """Something the survey is for, and what is spoilt when a field it needs is missing."""

    name: str
    label: str
    spoils: str


@dataclass(frozen=True, slots=True)
class FieldSpec:
    """One declared field.  ``name`` is filled in when the record kind is registered."""

    label: str
    type: FieldType
    name: str = ""
    unit: str = ""
    low: float | None = None
    high: float | None = None
    decimals: int | None = None
    choices: tuple[Choice, ...] = ()
    help: str = ""
    group: str = "main"
    needed_for: tuple[Purpose, ...] = ()
    spoils: str = ""
    when: tuple[tuple[str, tuple[Any, ...]], ...] = ()
    default: Any = None
    default_from: str = ""
    refers_to: Sequence[str] = ()
    #: A reference only: when the record that it names is taken away, this one goes along.
    goes_with: bool = False
    #: Unless this other field names a record that stays: then this one belongs to that from then on.
    or_stays_with: str = ""
    #: A reference only: a record that names nothing by it is not counted, and a finding says so.
    counts_through: bool = False
    #: A reference only: what no answer says, in words. No form asks for it until there is something to choose from.
    empty_means: str = ""
    #: Of this one record and not of its like: a copy of the record begins without it.
    is_its_own: bool = False
    #: A size only: the sizes of the same thing that stand after it, which a line of several sizes typed here fills as well.
    fills: tuple[str, ...] = ()
    max_length: int = 200
    #: A text only: an address for email, of which the form takes nothing that cannot be one. What was stored before that stands.
    is_email: bool = False
    rows: tuple[FieldSpec, ...] = ()
    max_rows: int = 200
    suggestions: tuple[str, ...] = ()
    #: ``ON_SITE`` or ``AT_OFFICE``; a field that does not say takes its group's, else its kind's (``kinds.py``). Forms and gaps follow from it.
    answered: str = ""
    in_report: bool = True
    #: Written by the program when a person takes what it offers; no form asks for it.
    by_program: bool = False
    #: A price line drawn from the record hangs on it: when it changes, the line says so until somebody has looked.
    is_priced: bool = False
    #: The roles that see it in the firm's book; everybody when there are none. It never reaches the phone of another role.
    seen_by: tuple[str, ...] = ()
    #: A number only: what nought means, in words, where it is read.
    nought_means: str = ""
    #: In a row only: a row without it says nothing, so it is refused (where its ``when`` holds).
    must: bool = False
    #: Values that an older program stored, each with the one that stands for it now.  Logs, phones and documents still hold them.
    renamed: tuple[tuple[str, str], ...] = ()

    def taken_over(self, value: Any) -> Any:
        """Return a stored value as this version says it: an older name by the present one, any other value as it is."""
        return next((now for before, now in self.renamed if before == value), value)

    def choice_label(self, value: Any) -> str:
        """Return the label of a stored choice, or the value itself when it is not one of the choices."""
        present = self.taken_over(value)
        for choice in self.choices:
            if choice.value == present:
                return choice.label
        return str(value)

    def is_asked(self, values: Mapping[str, Any]) -> bool:
        """Say whether the field applies to a record with these values (its ``when`` holds).

        A field named in ``when`` that is still unknown counts as its declared default; where there is
        no default the condition does not hold.
        """
        return all(values.get(name) in allowed for name, allowed in self.when)


def _declare(spec: FieldSpec) -> Any:
    return dataclasses.field(default=None, metadata={"spec": spec})


def _make(kind: FieldType, label: str, **given: Any) -> Any:
    when: Mapping[str, Any] | None = given.pop("when", None)
    needed = given.pop("needed_for", ())
    if isinstance(needed, Purpose):
        needed = (needed,)
    conditions = []
    for name, allowed in (when or {}).items():
        as_tuple = tuple(allowed) if isinstance(allowed, (list, tuple)) else (allowed,)
        conditions.append((name, as_tuple))
    return _declare(FieldSpec(label=label, type=kind, needed_for=tuple(needed), when=tuple(conditions), **given))


def text(label: str, **given: Any) -> Any:
    """Declare a short text of one line."""
    return _make(FieldType.TEXT, label, **given)


def long_text(label: str, **given: Any) -> Any:
    """Declare a text of several lines (up to 4,000 characters unless ``max_length`` says otherwise)."""
    given.setdefault("max_length", 4000)
    return _make(FieldType.LONG_TEXT, label, **given)


def number(label: str, *, unit: str, low: float, high: float, **given: Any) -> Any:
    """Declare a finite number with its unit and its inclusive limits."""
    return _make(FieldType.NUMBER, label, unit=unit, low=low, high=high, **given)


def integer(label: str, *, low: int, high: int, unit: str = "", **given: Any) -> Any:
    """Declare a whole number with its inclusive limits."""
    return _make(FieldType.INTEGER, label, unit=unit, low=low, high=high, **given)


def choice(label: str, choices: Sequence[Choice | tuple[str, ...]], **given: Any) -> Any:
    """Declare one of a fixed list; each item is ``(value, label)`` or ``(value, label, what to look for)``.

    ``renamed`` says by what present value each value of an older program is to be read.
    """
    made = tuple(item if isinstance(item, Choice) else Choice(*item) for item in choices)
    renamed: Mapping[str, str] = given.pop("renamed", {})
    return _make(FieldType.CHOICE, label, choices=made, renamed=tuple(renamed.items()), **given)


def yes_no(label: str, **given: Any) -> Any:
    """Declare a question answered by yes or no."""
    return _make(FieldType.YES_NO, label, **given)


def date(label: str, **given: Any) -> Any:
    """Declare a calendar day, ``YYYY-MM-DD``."""
    return _make(FieldType.DATE, label, **given)


def moment(label: str, **given: Any) -> Any:
    """Declare a moment in UTC, ``YYYY-MM-DDTHH:MM:SSZ``; a label, never used for order."""
    return _make(FieldType.MOMENT, label, **given)


def money(label: str, **given: Any) -> Any:
    """Declare an amount in pounds as a decimal text with at most two places, such as ``"149.50"``."""
    given.setdefault("low", 0)
    given.setdefault("high", 1_000_000)
    return _make(FieldType.MONEY, label, unit="£", **given)


def reference(label: str, *kinds: str, among: Sequence[str] = (), **given: Any) -> Any:
    """Declare a pointer to another record of the same survey, of one of ``kinds``, or of those that ``among`` holds whenever it is asked."""
    return _make(FieldType.REFERENCE, label, refers_to=kinds or among, **given)


def rows(label: str, of: type, **given: Any) -> Any:
    """Declare a short list of rows, each with the fields of the class ``of`` (see :func:`row_of`)."""
    return _make(FieldType.ROWS, label, rows=specs_of(of), **given)


def specs_of(declared: type) -> tuple[FieldSpec, ...]:
    """Return the field specifications of a dataclass, in the order of declaration, with their names."""
    return tuple(
        dataclasses.replace(item.metadata["spec"], name=item.name)
        for item in dataclasses.fields(declared)
        if "spec" in item.metadata
    )
