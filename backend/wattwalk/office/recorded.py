"""Everything that was recorded, kind by kind, as the report's appendix prints it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from wattwalk.survey.box import SIZES
from wattwalk.survey.building import Surface
from wattwalk.survey.document import Survey
from wattwalk.survey.fields import FieldSpec, FieldType
from wattwalk.survey.holders import SURVEY
from wattwalk.survey.kinds import Record, RecordKind, kinds_held_by
from wattwalk.survey.unit import Unit
from wattwalk.survey.wording import is_recorded, own_titles, record_titles, value_words
from wattwalk.survey.works import Design, Note


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


#: Sizes that a side takes from its room, by record and field.
OfRoom = frozenset[tuple[str, str]]


def _said(spec: FieldSpec, record: Record, titles: Mapping[str, str], of_room: OfRoom) -> str:
    value = getattr(record, spec.name)
    if (record.id, spec.name) not in of_room:
        return value_words(spec, value, titles)
    # A size that a shape gives has no end of figures; a millimetre is more than anybody measures.
    return f"{value_words(spec, round(value, 3), titles)} (as the room)"


def _beyond_the_title(record: Record, titles: Mapping[str, str], of_room: OfRoom) -> tuple[tuple[str, str], ...]:
    """Return the recorded fields that the record's full title does not say already."""
    kind = record.kind
    in_title = {
        name for name in kind.title if kind.field(name).type in {FieldType.TEXT, FieldType.LONG_TEXT, FieldType.CHOICE}
    }
    return tuple(
        (spec.label, _said(spec, record, titles, of_room))
        for spec in kind.fields
        if is_recorded(spec, record) and spec.name not in in_title and spec.name != kind.parent
    )


def _as_table(
    kind: RecordKind, records: Sequence[Record], titles: Mapping[str, str], of_room: OfRoom
) -> RecordedKind | None:
    """Return the records as a table when it fits the width of the page, or None."""
    used = [spec for spec in kind.fields if any(is_recorded(spec, record) for record in records)]
    if len(records) < 3:
        return None
    columns = [
        [_said(spec, record, titles, of_room) if is_recorded(spec, record) else "" for record in records]
        for spec in used
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


def _is_of_the_house(record: Record, chosen: str | None) -> bool:
    """Say whether the appendix tells of a record: not of notes for the office, nor of all else that the firm has in its list."""
    if isinstance(record, Note):
        return record.effective("audience") == "household"
    return not isinstance(record, Unit) or record.firm_list is None or record.id == chosen


def recorded(survey: Survey) -> tuple[RecordedKind, ...]:
    """Return everything that was recorded, kind by kind in the order of the walk's declarations.

    A side that is as large as its room is printed with that size, and says whose it is. Notes meant for the office stay in the office.
    """
    stored = {item.id: item for item in survey.of_kind(Surface)}
    survey = survey.measured()
    of_room = frozenset(
        (item.id, name)
        for item in survey.of_kind(Surface)
        for name in SIZES
        if getattr(item, name) is not None and getattr(stored[item.id], name) is None
    )
    own, full = own_titles(survey), record_titles(survey)
    design = survey.single(Design)
    chosen = design.unit if design is not None else None
    kinds = []
    for kind in kinds_held_by(SURVEY):
        records = [item for item in survey.records_named(kind.name) if _is_of_the_house(item, chosen)]
        if not records:
            continue
        table = _as_table(kind, records, own, of_room)
        if table is not None:
            kinds.append(table)
            continue
        lines = tuple((full[record.id], _beyond_the_title(record, own, of_room)) for record in records)
        kinds.append(RecordedKind(kind.plural if len(records) > 1 else kind.label, "", (), (), (), lines))
    return tuple(kinds)
