"""The report's words for what was recorded, derived from the declarations alone: a new field needs none of its own."""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from wattwalk.survey.box import SIZES
from wattwalk.survey.document import Survey
from wattwalk.survey.fields import FieldSpec, FieldType
from wattwalk.survey.kinds import KINDS, Record, RecordKind
from wattwalk.survey.validation import plain_number

MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December",
)

#: Marks that reorder the text around them: on paper they could make one figure read as another.
_REORDERING = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u200e\u200f\u061c")


def clean(text: object) -> str:
    """Return text as it may be printed: no control characters but line breaks, no marks that reorder it."""
    kept = str(text).replace("\r\n", "\n").replace("\r", "\n")
    return "".join(
        letter for letter in kept if letter in "\n\t" or (unicodedata.category(letter) not in {"Cc", "Cs", "Cn"} and letter not in _REORDERING)
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
    said = [spec for spec in specs if row.get(spec.name) is not None]
    labelled = [spec for spec in said if not _is_telling(spec, said)]
    parts = [f"{spec.label} {words}" if spec in labelled else words for spec in said for words in [value_words(spec, row[spec.name], titles)]]
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
        return "; ".join(_row_words(spec.rows, row, titles) for row in value)
    if spec.type in {FieldType.NUMBER, FieldType.INTEGER}:
        return with_unit(number_words(value, spec.decimals), spec.unit)
    return clean(value)


def field_line(spec: FieldSpec, value: Any, titles: Mapping[str, str] | None = None) -> tuple[str, str]:
    """Return a field's label and its value in words."""
    return spec.label, value_words(spec, value, titles)


@dataclass(frozen=True)
class RecordedKind:
    """Every record of one kind as the appendix prints it.

    ``columns`` is filled when the records fit a table with a column per field; ``note`` then says what is
    the same for all.  Otherwise ``records`` holds each record's title and its lines of label and words.
    """

    label: str
    note: str
    columns: tuple[str, ...]
    widths: tuple[int, ...]
    rows: tuple[tuple[str, ...], ...]
    records: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]


def own_titles(survey: Survey) -> dict[str, str]:
    """Return what each record of the survey is called, by its id."""
    return {record.id: clean(record.kind.title_of(record.values())) for record in survey}


def record_titles(survey: Survey) -> dict[str, str]:
    """Return what each record is called in full, by its id: a child with its parent's name before its own."""
    own = own_titles(survey)
    titles = {}
    for record in survey:
        parent = getattr(record, record.kind.parent) if record.kind.parent else None
        titles[record.id] = f"{own[parent]}: {own[record.id]}" if parent in own else own[record.id]
    return titles


def _is_recorded(spec: FieldSpec, record: Record) -> bool:
    return spec.in_report and getattr(record, spec.name) not in (None, "", [])


def record_lines(record: Record, titles: Mapping[str, str]) -> tuple[tuple[str, str], ...]:
    """Return every recorded field that belongs in the report, in the order of declaration."""
    return tuple(field_line(spec, getattr(record, spec.name), titles) for spec in record.kind.fields if _is_recorded(spec, record))


#: Sizes that a side takes from its room, by record and field.
OfRoom = frozenset[tuple[str, str]]


def _said(spec: FieldSpec, record: Record, titles: Mapping[str, str], of_room: OfRoom) -> str:
    words = value_words(spec, getattr(record, spec.name), titles)
    return f"{words} (as the room)" if (record.id, spec.name) in of_room else words


def _beyond_the_title(record: Record, titles: Mapping[str, str], of_room: OfRoom) -> tuple[tuple[str, str], ...]:
    """Return the recorded fields that the record's full title does not say already."""
    kind = record.kind
    in_title = {name for name in kind.title if kind.field(name).type in {FieldType.TEXT, FieldType.LONG_TEXT, FieldType.CHOICE}}
    return tuple(
        (spec.label, _said(spec, record, titles, of_room))
        for spec in kind.fields
        if _is_recorded(spec, record) and spec.name not in in_title and spec.name != kind.parent
    )


def _as_table(kind: RecordKind, records: Sequence[Record], titles: Mapping[str, str], of_room: OfRoom) -> RecordedKind | None:
    """Return the records as a table when it fits the width of the page, or None."""
    used = [spec for spec in kind.fields if any(_is_recorded(spec, record) for record in records)]
    if len(records) < 3:
        return None
    columns = [
        [_said(spec, record, titles, of_room) if _is_recorded(spec, record) else "" for record in records] for spec in used
    ]
    same = [place for place, column in enumerate(columns) if column[0] and len(set(column)) == 1]
    shown = [place for place in range(len(used)) if place not in same]
    widest = [max([len(words) for words in columns[place]] + [len(used[place].label) // 2]) for place in shown]
    if not 2 <= len(shown) <= 7 or sum(widest) > 112 or any(len(columns[place][0]) > 60 for place in same):
        return None
    note = "; ".join(f"{used[place].label}: {columns[place][0]}" for place in same)
    rows = tuple(zip(*(columns[place] for place in shown), strict=True))
    shares = tuple(round(100 * max(width, 6) / sum(max(item, 6) for item in widest)) for width in widest)
    labels = tuple(used[place].label for place in shown)
    return RecordedKind(kind.plural, f"All of them, {note}" if note else "", labels, shares, rows, ())


def recorded(survey: Survey) -> tuple[RecordedKind, ...]:
    """Return everything that was recorded, kind by kind in the order of the walk's declarations.

    A side that is as large as its room is printed with that size, and says whose it is. Notes meant for the office stay in the office.
    """
    stored = {item.id: item for item in survey.of_kind("surface")}
    survey = survey.measured()
    of_room = frozenset(
        (item.id, name) for item in survey.of_kind("surface") for name in SIZES if getattr(item, name) is not None and getattr(stored[item.id], name) is None
    )
    own, full = own_titles(survey), record_titles(survey)
    kinds = []
    for kind in KINDS.values():
        records = [item for item in survey.of_kind(kind.name) if kind.name != "note" or item.effective("audience") == "household"]
        if not records:
            continue
        table = _as_table(kind, records, own, of_room)
        if table is not None:
            kinds.append(table)
            continue
        lines = tuple((full[record.id], _beyond_the_title(record, own, of_room)) for record in records)
        kinds.append(RecordedKind(kind.plural if len(records) > 1 else kind.label, "", (), (), (), lines))
    return tuple(kinds)
