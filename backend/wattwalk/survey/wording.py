"""Words for what was recorded, derived from the declarations alone: a new field needs none of its own."""

from __future__ import annotations

import unicodedata
from collections.abc import Collection, Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from .document import Survey
from .fields import FieldSpec, FieldType
from .kinds import Record
from .validation import plain_number

MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)

#: Marks that reorder the text around them: on paper they could make one figure read as another.
_REORDERING = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u200e\u200f\u061c")


#: Stands for rows of which a person is told nothing.
NOTED = "Noted by Wattwalk"


def clean(text: object) -> str:
    """Return text as it may be printed: no control characters but line breaks, no marks that reorder it."""
    kept = str(text).replace("\r\n", "\n").replace("\r", "\n")
    return "".join(
        letter
        for letter in kept
        if letter in "\n\t" or (unicodedata.category(letter) not in {"Cc", "Cs", "Cn"} and letter not in _REORDERING)
    )


def long_date(text: str) -> str:
    """Write ``2026-03-31`` as ``31 March 2026``; raises ``ValueError`` when it is no date."""
    day = date.fromisoformat(text)
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def moment_words(text: str) -> str:
    """Write ``2026-03-31T14:05:00Z`` as ``31 March 2026, 14:05 UTC``."""
    at = datetime.fromisoformat(text.replace("Z", "+00:00"))
    return f"{at.day} {MONTHS[at.month - 1]} {at.year}, {at:%H:%M} UTC"


def pounds(amount: Decimal | str) -> str:
    """Write an amount in pounds with pence, a true minus sign before the pound."""
    value = Decimal(amount)
    sign = "\N{MINUS SIGN}" if value < 0 else ""
    return f"{sign}£{abs(value):,.2f}"


def number_words(value: float, decimals: int | None) -> str:
    """Write a number with its declared decimals, or with more when it was recorded more finely."""
    if decimals is None or round(value, decimals) != value:
        return plain_number(value)
    written = f"{value:,.{decimals}f}"
    if not written.strip("-0.,"):
        written = written.lstrip("-")
    return written.replace("-", "\N{MINUS SIGN}")


def with_unit(number: str, unit: str) -> str:
    """Join a number and its unit with a space that does not break."""
    return f"{number}\N{NO-BREAK SPACE}{unit}" if unit else number


def _is_telling(spec: FieldSpec, said: Sequence[FieldSpec]) -> bool:
    """Whether a number in a row says by its unit what it is: one of several of the same unit, or of none, does not."""
    if spec.type not in {FieldType.NUMBER, FieldType.INTEGER}:
        return True
    return bool(spec.unit) and [item.unit for item in said].count(spec.unit) == 1


def _row_words(specs: Sequence[FieldSpec], row: Mapping[str, Any], titles: Mapping[str, str]) -> str:
    said = [spec for spec in specs if row.get(spec.name) is not None and not spec.by_program]
    labelled = [spec for spec in said if not _is_telling(spec, said)]
    parts = [
        f"{spec.label} {words}" if spec in labelled else words
        for spec in said
        for words in [value_words(spec, row[spec.name], titles)]
    ]
    return (", " if len(labelled) > 1 else " ").join(parts)


def value_words(spec: FieldSpec, value: Any, titles: Mapping[str, str] | None = None) -> str:
    """Write one value for a person to read.

    Parameters
    ----------
    spec : FieldSpec
        The declaration.
    value : object
        A valid value of it, not None.
    titles : mapping, optional
        What each record of the survey is called, by id, for references.

    Returns
    -------
    str
        A number with its unit, a choice by its label, yes or no, a date in full, rows one after the other.
    """
    titles = titles or {}
    if spec.type is FieldType.YES_NO:
        return "yes" if value else "no"
    if spec.type is FieldType.CHOICE:
        return spec.choice_label(value)
    if spec.type is FieldType.DATE:
        return long_date(value)
    if spec.type is FieldType.MOMENT:
        return moment_words(value)
    if spec.type is FieldType.MONEY:
        return pounds(value)
    if spec.type is FieldType.REFERENCE:
        return clean(titles.get(value, "a record that is not here"))
    if spec.type is FieldType.ROWS:
        # What the program alone reads of a row says nothing to a person.
        told = [words for row in value if (words := _row_words(spec.rows, row, titles))]
        return "; ".join(told) if told or not value else NOTED
    if spec.type in {FieldType.NUMBER, FieldType.INTEGER}:
        if value == 0 and spec.nought_means:
            return spec.nought_means
        return with_unit(number_words(value, spec.decimals), spec.unit)
    return clean(value)


def field_line(spec: FieldSpec, value: Any, titles: Mapping[str, str] | None = None) -> tuple[str, str]:
    """Return a field's label and its value in words."""
    return spec.label, value_words(spec, value, titles)


def own_titles(survey: Survey) -> dict[str, str]:
    """Return what each record of the survey is called, by its id."""
    return {record.id: clean(record.title) for record in survey}


def record_titles(survey: Survey) -> dict[str, str]:
    """Return what each record is called in full, by its id: a child with its parent's name before its own."""
    own = own_titles(survey)
    titles = {}
    for record in survey:
        parent = getattr(record, record.kind.parent) if record.kind.parent else None
        titles[record.id] = f"{own[parent]}: {own[record.id]}" if parent in own else own[record.id]
    return titles


def is_recorded(spec: FieldSpec, record: Record) -> bool:
    """Say whether a field of a record was answered and belongs in a report."""
    return spec.in_report and getattr(record, spec.name) not in (None, "", [])


def record_lines(
    record: Record, titles: Mapping[str, str], groups: Sequence[str] | None = None, without: Collection[str] = ()
) -> tuple[tuple[str, str], ...]:
    """Return every recorded field that belongs in a report as label and words, in the order of declaration.

    Of `groups` only, when they are given; `without` names fields that stand elsewhere on the page.
    """
    return tuple(
        field_line(spec, getattr(record, spec.name), titles)
        for spec in record.kind.fields
        if spec.name not in without and is_recorded(spec, record) and (groups is None or spec.group in groups)
    )
