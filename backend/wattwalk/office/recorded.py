"""Everything that was recorded, kind by kind, as the report's appendix prints it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

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

    ``columns`` is filled when the records fit a table with a column per field; otherwise ``records`` holds each
    record's title and its lines of label and words.  ``note`` says what is the same for all or for most of them, and
    ``elsewhere`` the chapter that has printed the rest.
    """

    label: str
    note: str
    columns: tuple[str, ...]
    widths: tuple[int, ...]
    rows: tuple[tuple[str, ...], ...]
    records: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]
    elsewhere: str = ""

    @property
    def is_told(self) -> bool:
        """Whether a chapter before has printed everything of it."""
        return bool(self.elsewhere) and not self.records

    @property
    def is_short(self) -> bool:
        """Whether so little is left of each record that they run on one after the other."""
        return len(self.records) > 1 and all(len(lines) <= 2 for _title, lines in self.records)


@dataclass(frozen=True)
class Printed:
    """What a chapter has printed of the records of a kind: its label, and the fields by the record's id."""

    chapter: str
    fields: Mapping[str, frozenset[str]]


#: Sizes that a side takes from its room, by record and field.
OfRoom = frozenset[tuple[str, str]]


def _said(spec: FieldSpec, record: Record, titles: Mapping[str, str], of_room: OfRoom) -> str:
    value = getattr(record, spec.name)
    if (record.id, spec.name) not in of_room:
        return value_words(spec, value, titles)
    # A size that a shape gives has no end of figures; a millimetre is more than anybody measures.
    return f"{value_words(spec, round(value, 3), titles)} (as the room)"


def _beyond_the_title(
    record: Record, titles: Mapping[str, str], of_room: OfRoom, printed: Mapping[str, frozenset[str]]
) -> dict[str, tuple[str, str]]:
    """Return the recorded fields, label and words by name, that neither the record's full title nor a chapter before has said."""
    kind = record.kind
    in_title = {
        name for name in kind.title if kind.field(name).type in {FieldType.TEXT, FieldType.LONG_TEXT, FieldType.CHOICE}
    }
    told = in_title | printed.get(record.id, frozenset()) | {kind.parent}
    return {
        spec.name: (spec.label, _said(spec, record, titles, of_room))
        for spec in kind.fields
        if spec.name not in told and is_recorded(spec, record)
    }


def _same_for_most(lines: Sequence[dict[str, tuple[str, str]]]) -> dict[str, tuple[str, str]]:
    """Return what every record answers and at least three of them, and two of every three, answer alike."""
    if len(lines) < 3:
        return {}
    found = {}
    for name in lines[0]:
        if not all(name in line for line in lines):
            continue
        (most, times) = Counter(line[name] for line in lines).most_common(1)[0]
        if times >= 3 and 3 * times >= 2 * len(lines):
            found[name] = most
    return found


def _as_lines(
    kind: RecordKind, records: Sequence[Record], lines: Sequence[dict[str, tuple[str, str]]], full: Mapping[str, str]
) -> RecordedKind:
    """Return the records as run-on lines; what most of them answer alike is said once, over them."""
    same = _same_for_most(lines)
    note = "; ".join(f"{label}: {words}" for label, words in same.values())
    return RecordedKind(
        label=kind.plural if len(records) > 1 else kind.label,
        note=f"Unless a line says otherwise, {note}" if note else "",
        columns=(),
        widths=(),
        rows=(),
        records=tuple(
            (full[record.id], tuple(said for name, said in line.items() if said != same.get(name)))
            for record, line in zip(records, lines, strict=True)
        ),
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


def recorded(survey: Survey, before: Mapping[str, Printed] | None = None) -> tuple[RecordedKind, ...]:
    """Return everything that was recorded, kind by kind in the order of the walk's declarations.

    A side that is as large as its room is printed with that size, and says whose it is. Notes meant for the office stay in the office.

    Parameters
    ----------
    survey : Survey
        As it was surveyed, with what the book lends.
    before : mapping, optional
        What chapters have printed already, by kind: it is left out, and the kind says where it stands.
    """
    before = before or {}
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
        told = before.get(kind.name)
        table = _as_table(kind, records, own, of_room) if told is None else None
        if table is not None:
            kinds.append(table)
            continue
        printed = told.fields if told is not None else {}
        lines = [_beyond_the_title(record, own, of_room, printed) for record in records]
        # A record of which all is said already would be a bare title.
        left = [place for place, record in enumerate(records) if lines[place] or not printed.get(record.id)]
        made = _as_lines(kind, [records[place] for place in left], [lines[place] for place in left], full)
        kinds.append(
            replace(
                made,
                label=kind.plural if len(records) > 1 else kind.label,
                elsewhere=told.chapter if told is not None and printed else "",
            )
        )
    return tuple(kinds)
