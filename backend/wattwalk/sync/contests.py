"""Contests as they are stored: the revisions of the sides, by record and field."""

from __future__ import annotations

import json
from collections.abc import Sequence

from sqlalchemy import Connection, delete, insert

from ..models import Contest
from .state import Side, SurveyState

_CONTEST = Contest.__table__


def put_contest(connection: Connection, log_id: str, key: tuple[str, str], sides: Sequence[Side]) -> None:
    """Store the sides of a contest in the place of those that were there; without sides it is over."""
    record, field = key
    connection.execute(
        delete(_CONTEST).where(
            _CONTEST.c.survey_id == log_id, _CONTEST.c.record_id == record, _CONTEST.c.field == field
        )
    )
    if sides:
        revisions = json.dumps([side.revision for side in sides])
        line = {"survey_id": log_id, "record_id": record, "field": field, "revisions_json": revisions}
        connection.execute(insert(_CONTEST).values(line))


def put_changed_contests(connection: Connection, log_id: str, before: SurveyState, after: SurveyState) -> None:
    """Store every contest whose sides are not those that they were before."""
    for key in sorted({*before.contests, *after.contests}):
        was, now = before.contests.get(key, []), after.contests.get(key, [])
        if [side.revision for side in was] != [side.revision for side in now]:
            put_contest(connection, log_id, key, now)
