"""Logs from before a unit's data lay on the unit: each line that a place said of its unit is a line of that unit from now on."""

from __future__ import annotations

import json
import uuid
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, RowMapping, bindparam, insert, or_, select, update

from ..models import Change, StoredRecord, StoredSurvey
from ..survey.moved import BY_CORNERS, MOVED, PLACE, SECOND, SHAPE, Held, Moves, Said, moves_of
from .changes import ANY_CONTENT, as_json
from .contests import put_changed_contests
from .listing import give_places
from .state import SurveyState

_LOG, _RECORD, _SURVEY = Change.__table__, StoredRecord.__table__, StoredSurvey.__table__
_SAID_OF_UNITS = (*MOVED, SECOND)
# Columns by name: those that later programs add are not there yet.
_NAMES = (
    "survey_id",
    "id",
    "revision",
    "kind",
    "record_id",
    "field",
    "value_json",
    "said_json",
    "seen",
    "resolves",
    "device",
    "user_id",
    "made_at",
    "received_at",
    "fingerprint",
    "is_contested",
    "problem_json",
    "is_settled",
)
_LINES = (
    select(*(_LOG.c[name] for name in _NAMES))
    .where(_LOG.c.survey_id == bindparam("survey"), _LOG.c.revision.is_not(None))
    .order_by(_LOG.c.revision)
)
_WITH_UNITS = (
    select(_LOG.c.survey_id)
    .where(
        _LOG.c.kind == PLACE,
        _LOG.c.revision.is_not(None),
        or_(
            _LOG.c.field.in_(_SAID_OF_UNITS),
            (_LOG.c.field == SHAPE) & (_LOG.c.value_json == as_json(BY_CORNERS)),
        ),
    )
    .distinct()
)
_PUT_LINE = (
    update(_LOG)
    .where(_LOG.c.survey_id == bindparam("of_survey"), _LOG.c.id == bindparam("of_line"))
    .values(
        kind=bindparam("as_kind"),
        record_id=bindparam("as_record"),
        field=bindparam("as_field"),
        is_contested=bindparam("contested"),
        fingerprint=bindparam("as_sent"),
    )
)


@dataclass
class Line:
    """One line of a log: its columns as they were, and where it lies from now on."""

    was: RowMapping
    kind: str
    record: str
    field: str

    @property
    def is_elsewhere(self) -> bool:
        """Whether it lies somewhere else than before."""
        return (self.record, self.field) != (self.was["record_id"], self.was["field"])


def take_over(connection: Connection) -> int:
    """Go through every log once and lay what places said of their units on the units; return how many surveys that moved.

    No figure moves (``survey/moved.py``). Every line keeps its number, its device and what it had seen, so contests go along. What has to be
    said beside them, a new unit's name and which place it is for, is said at the end of the log in the name of who spoke last of that unit.
    """
    moved = [survey for survey in sorted(connection.execute(_WITH_UNITS).scalars()) if _take_over(connection, survey)]
    give_places(connection, moved)
    return len(moved)


def _take_over(connection: Connection, survey: str) -> bool:
    rows = connection.execute(_LINES, {"survey": survey}).mappings().all()
    before = _state_of([_as_it_was(row) for row in rows])[0]
    moves = moves_of(_held(before))
    lines = [_moved(row, moves, before) for row in rows]
    said = list(_said(lines, moves))
    if not said and not any(line.is_elsewhere for line in lines):
        return False
    after, contested = _state_of(lines)
    _put_lines(connection, survey, lines, contested)
    _add_lines(connection, survey, after, said)
    _put_records(connection, survey, before, after)
    put_changed_contests(connection, survey, before, after)
    return True


def _as_it_was(row: RowMapping) -> Line:
    return Line(row, row["kind"], row["record_id"], row["field"])


def _moved(row: RowMapping, moves: Moves, before: SurveyState) -> Line:
    """Return a line where it lies now. A place's very first line stays, since it says when the place was made: :func:`_said` says it anew."""
    to = moves.to.get((row["record_id"], row["field"])) if row["kind"] == PLACE else None
    if to is None or before.records[row["record_id"]].made_revision == row["revision"]:
        return _as_it_was(row)
    return Line(row, "unit", *to)


def _state_of(lines: list[Line]) -> tuple[SurveyState, list[bool]]:
    state = SurveyState()
    return state, [
        state.apply(
            kind=line.kind,
            record=line.record,
            name=line.field,
            value=json.loads(line.was["value_json"]),
            seen=line.was["seen"],
            resolves=line.was["resolves"],
            device=line.was["device"],
            revision=line.was["revision"],
        )
        for line in lines
    ]


def _held(state: SurveyState) -> Iterator[Held]:
    """Return the records in the order in which they were made; a contested field counts as said, whichever of its values shows."""
    for id, record in sorted(state.records.items(), key=lambda item: item[1].made_revision):
        values: dict[str, Any] = dict(record.values)
        for (of, name), sides in state.contests.items():
            if of == id and name in _SAID_OF_UNITS and values.get(name) is None:
                values[name] = next((json.loads(side.value_json) for side in sides if side.value_json != "null"), None)
        yield Held(record.kind, id, values, record.is_deleted)


def _said(lines: list[Line], moves: Moves) -> Iterator[tuple[Said, RowMapping]]:
    """Return what is said at the end of the log, each with the line whose author says it."""
    last: dict[str, RowMapping] = {}
    for line in lines:
        place, name = line.was["record_id"], line.was["field"]
        to = moves.to.get((place, name)) if line.was["kind"] == PLACE else None
        if to is not None or (line.was["kind"] == PLACE and name == SHAPE):
            last[place] = line.was
        if to is not None and not line.is_elsewhere:
            # The first line of its place: where nothing was said of it later, it is said of the unit now.
            if not any(other.is_elsewhere and (other.record, other.field) == to for other in lines):
                yield Said("unit", *to, json.loads(line.was["value_json"]), place), line.was
            yield Said(PLACE, place, name, None, place), line.was
    for said in moves.said:
        yield said, last[said.place]


def _put_lines(connection: Connection, survey: str, lines: list[Line], contested: list[bool]) -> None:
    changed = [
        {
            "of_survey": survey,
            "of_line": line.was["id"],
            "as_kind": line.kind,
            "as_record": line.record,
            "as_field": line.field,
            "contested": now,
            # A phone may send it once more under the same id, as what it was then or as what it is now: both are this line.
            "as_sent": ANY_CONTENT if line.is_elsewhere else line.was["fingerprint"],
        }
        for line, now in zip(lines, contested, strict=True)
        if line.is_elsewhere or now != line.was["is_contested"]
    ]
    if changed:
        connection.execute(_PUT_LINE, changed)


def _add_lines(
    connection: Connection,
    survey: str,
    state: SurveyState,
    said: list[tuple[Said, RowMapping]],
) -> None:
    reached = connection.execute(select(_SURVEY.c.revision).where(_SURVEY.c.id == survey)).scalar_one()
    added = []
    for place, (item, by) in enumerate(said, start=1):
        kind, record, name, value = item.kind, item.id, item.field, item.value
        marks = state.records[record].marks if record in state.records else {}
        seen = marks[name][0] if name in marks else 0
        line = {
            **{name: by[name] for name in _NAMES},
            "id": str(uuid.uuid5(uuid.NAMESPACE_URL, f"wattwalk:unit-data/{survey}/{kind}/{record}/{name}")),
            "revision": reached + place,
            "kind": kind,
            "record_id": record,
            "field": name,
            "value_json": as_json(value),
            "said_json": None,
            "seen": seen,
            "resolves": False,
            "fingerprint": ANY_CONTENT,
            "problem_json": None,
            "is_settled": True,
        }
        line["is_contested"] = state.apply(
            kind=kind,
            record=record,
            name=name,
            value=value,
            seen=seen,
            resolves=False,
            device=by["device"],
            revision=reached + place,
        )
        added.append(line)
    if added:
        connection.execute(insert(_LOG), added)
        connection.execute(update(_SURVEY).where(_SURVEY.c.id == survey).values(revision=reached + len(added)))


def _put_records(connection: Connection, survey: str, before: SurveyState, after: SurveyState) -> None:
    changed = [id for id, record in after.records.items() if record != before.records.get(id)]
    for id in changed:
        record = after.records[id]
        values = {
            "kind": record.kind,
            "made_revision": record.made_revision,
            "is_deleted": record.is_deleted,
            "values_json": record.values_json(),
            "marks_json": record.marks_json(),
        }
        if id in before.records:
            connection.execute(
                update(_RECORD).where(_RECORD.c.survey_id == survey, _RECORD.c.id == id).values(**values)
            )
        else:
            connection.execute(insert(_RECORD).values(survey_id=survey, id=id, **values))
