"""Logs from before a side could follow its room's box: what each size in them counts as from now on."""

from __future__ import annotations

import json
from typing import Any

from sqlalchemy import Connection, Row, bindparam, select, update

from ..models import Change, StoredRecord
from ..survey.box import SIZES, said_again
from .contests import put_changed_contests
from .listing import give_places
from .state import SurveyState

_LOG, _RECORD = Change.__table__.c, StoredRecord.__table__
# Columns by name: those that later programs add are not there yet.
_LINES = (
    select(
        _LOG.id,
        _LOG.revision,
        _LOG.kind,
        _LOG.record_id,
        _LOG.field,
        _LOG.value_json,
        _LOG.seen,
        _LOG.resolves,
        _LOG.device,
        _LOG.is_contested,
    )
    .where(_LOG.survey_id == bindparam("survey"), _LOG.revision.is_not(None))
    .order_by(_LOG.revision)
)
_WITH_SIZES = (
    select(_LOG.survey_id)
    .where(_LOG.kind == "surface", _LOG.field.in_(SIZES), _LOG.revision.is_not(None), _LOG.value_json != "null")
    .distinct()
)
_PUT_LINE = (
    update(Change.__table__)
    .where(_LOG.survey_id == bindparam("of_survey"), _LOG.id == bindparam("of_line"))
    .values(value_json=bindparam("counts"), said_json=bindparam("said"), is_contested=bindparam("contested"))
)
_PUT_RECORD = (
    update(_RECORD)
    .where(_RECORD.c.survey_id == bindparam("of_survey"), _RECORD.c.id == bindparam("of_record"))
    .values(values_json=bindparam("values"))
)


def take_over(connection: Connection) -> int:
    """Go through every log once and let the sides follow their boxes that are as large at its end; return how many surveys that moved.

    No figure moves: a size that equals its room's falls away, one that differs stays as it was said, wherever it came from. Revisions
    stay too, so a phone has to fetch a log anew to learn of it. The surveys' lines move in the list: what is contested may be less.
    """
    surveys = sorted(connection.execute(_WITH_SIZES).scalars())
    moved = [survey for survey in surveys if _take_over_survey(connection, survey)]
    give_places(connection, moved)
    return len(moved)


def _take_over_survey(connection: Connection, survey: str) -> bool:
    lines = connection.execute(_LINES, {"survey": survey}).all()
    before = SurveyState()
    for line in lines:
        _apply(before, line, json.loads(line.value_json))
    follow = _following(before)
    after, rewritten = SurveyState(), []
    for line in lines:
        value = json.loads(line.value_json)
        field = (line.record_id, line.field)
        is_last = field in follow and before.records[line.record_id].marks[line.field][0] == line.revision
        says_no_more = after.taken(kind=line.kind, record=line.record_id, name=line.field, value=value) is not value
        counts = None if field in follow and (is_last or says_no_more) else value
        is_contested = _apply(after, line, counts)
        # One that differs from its box at the end stays as it was said, also where it was the box's when it was said: marked, so that nobody wonders later.
        said = line.value_json if counts is not value or says_no_more else None
        if said is not None or is_contested != line.is_contested:
            rewritten.append(
                {
                    "of_survey": survey,
                    "of_line": line.id,
                    "counts": "null" if counts is not value else line.value_json,
                    "said": said,
                    "contested": is_contested,
                }
            )
    if rewritten:
        connection.execute(_PUT_LINE, rewritten)
    _put_records(connection, survey, before, after)
    put_changed_contests(connection, survey, before, after)
    return bool(follow)


def _apply(state: SurveyState, line: Row[*tuple[Any, ...]], value: Any) -> bool:
    return state.apply(
        kind=line.kind,
        record=line.record_id,
        name=line.field,
        value=value,
        seen=line.seen,
        resolves=line.resolves,
        device=line.device,
        revision=line.revision,
    )


def _following(state: SurveyState) -> set[tuple[str, str]]:
    """Return the sizes that say no more than their rooms' boxes at the end of a log, by record and field."""
    found = set()
    for id, record in state.records.items():
        room = state.records.get(record.values.get("room", "")) if record.kind == "surface" else None
        # One whose room alone was taken away has nothing to follow, and keeps what it measured.
        if room is not None and room.kind == "room" and (record.is_deleted or not room.is_deleted):
            found |= {(id, name) for name in said_again(record.values, room.values)}
    return found


def _put_records(connection: Connection, survey: str, before: SurveyState, after: SurveyState) -> None:
    changed = [id for id, record in after.records.items() if record.values != before.records[id].values]
    if changed:
        connection.execute(
            _PUT_RECORD,
            [{"of_survey": survey, "of_record": id, "values": after.records[id].values_json()} for id in changed],
        )
