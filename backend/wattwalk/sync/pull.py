"""What a device or the office asks of a log: changes since a revision, contested values, refusals."""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cache
from typing import Any

from sqlalchemy import Row, Select, bindparam, select
from sqlalchemy.orm import Session

from ..models import Change, Contest, StoredRecord, User
from ..survey.kinds import KINDS
from .changes import DELETED
from .logs import find_revision
from .sight import OF_SURVEY, Sight

MAX_LIMIT = 2000

# Made once, and over the tables alone: every look for news asks these.
_LOG, _CONTEST, _RECORD, _USER = Change.__table__, Contest.__table__, StoredRecord.__table__, User.__table__
_LINES = (
    select(_LOG, _USER.c.name.label("user"))
    .outerjoin_from(_LOG, _USER, _USER.c.id == _LOG.c.user_id)
    .where(_LOG.c.survey_id == bindparam("survey"))
)
_REFUSED = _LINES.where(_LOG.c.is_settled.is_(False)).order_by(_LOG.c.received_at, _LOG.c.id)
_OF_REVISIONS = _LINES.where(_LOG.c.revision.in_(bindparam("revisions", expanding=True)))
_CONTESTS = (
    select(_CONTEST.c.record_id, _CONTEST.c.field, _CONTEST.c.revisions_json, _RECORD.c.kind, _RECORD.c.values_json)
    .join_from(
        _CONTEST, _RECORD, (_RECORD.c.survey_id == _CONTEST.c.survey_id) & (_RECORD.c.id == _CONTEST.c.record_id)
    )
    .where(_CONTEST.c.survey_id == bindparam("survey"))
    .order_by(_RECORD.c.made_revision, _CONTEST.c.field)
)


@cache
def _newer(sight: Sight) -> Select[Any]:
    seen = _LINES.where(_LOG.c.revision > bindparam("since"), sight.picked(_LOG))
    return seen.order_by(_LOG.c.revision).limit(bindparam("most"))


@dataclass(frozen=True)
class Pulled:
    """A portion of a log in the order of revisions; ``more`` says whether there are later ones."""

    revision: int
    more: bool
    changes: tuple[dict[str, Any], ...]


def pull(session: Session, firm_id: str, log_id: str, since: int, limit: int, sight: Sight = OF_SURVEY) -> Pulled:
    """Return accepted changes of a log after the revision `since`, at most `limit`: those that `sight` shows.

    Raises
    ------
    NoSuchSurveyError
        When the survey does not exist or belongs to another firm.
    """
    revision = find_revision(session, firm_id, log_id, sight.holder)
    asked = {"survey": log_id, "since": since, "most": limit}
    rows = session.connection().execute(_newer(sight), asked).all()
    # Fewer than were asked for: whatever comes after the last is not shown.
    last = rows[-1].revision if len(rows) == limit else revision
    return Pulled(revision, last < revision, tuple(map(_describe, rows)))


def _describe(change: Row[*tuple[Any, ...]]) -> dict[str, Any]:
    """Return one line of the log as the API shows it."""
    return {
        "id": change.id,
        "kind": change.kind,
        "record": change.record_id,
        "field": change.field,
        "value": json.loads(change.value_json),
        "revision": change.revision,
        "seen": change.seen,
        "resolves": change.resolves,
        "device": change.device,
        "user": change.user,
        "made_at": change.made_at,
        "received_at": change.received_at,
        "contested": change.is_contested,
    }


def find_refused(session: Session, log_id: str, sight: Sight = OF_SURVEY) -> list[dict[str, Any]]:
    """Return the refused changes that nobody has made good yet and that `sight` shows, oldest first, each with its problem."""
    refused = session.connection().execute(_REFUSED, {"survey": log_id})
    return [
        {**_describe(change), "problem": json.loads(change.problem_json)}
        for change in refused
        if sight.shows(change.kind, change.field)
    ]


def find_contested(session: Session, log_id: str, sight: Sight = OF_SURVEY) -> list[dict[str, Any]]:
    """Return the contested fields that `sight` shows, each with the newest value of every device that took part.

    A contested deletion shows the edit that had not seen it as ``deleted: false``, with what was edited.
    """
    connection = session.connection()
    contests = [
        contest
        for contest in connection.execute(_CONTESTS, {"survey": log_id})
        if sight.shows(contest.kind, contest.field)
    ]
    revisions = {revision for contest in contests for revision in json.loads(contest.revisions_json)}
    changes = {}
    if revisions:
        log = connection.execute(_OF_REVISIONS, {"survey": log_id, "revisions": sorted(revisions)})
        changes = {change.revision: change for change in log}
    return [
        {
            "kind": contest.kind,
            "record": contest.record_id,
            "field": contest.field,
            "label": _label(contest.kind, contest.field),
            "title": KINDS[contest.kind].title_of(json.loads(contest.values_json))
            if contest.kind in KINDS
            else contest.kind,
            "values": _values(contest, changes, sight),
        }
        for contest in contests
    ]


def _values(
    contest: Row[*tuple[Any, ...]], changes: dict[int, Row[*tuple[Any, ...]]], sight: Sight
) -> list[dict[str, Any]]:
    newest: dict[tuple[str, str], Row[*tuple[Any, ...]]] = {}
    for revision in json.loads(contest.revisions_json):
        change = changes[revision]
        newest.pop((change.device, change.field), None)
        newest[change.device, change.field] = change
    values = []
    for change in newest.values():
        value, edited = json.loads(change.value_json), None
        if contest.field == DELETED and change.field != DELETED:
            if sight.shows(change.kind, change.field):
                edited = {"field": change.field, "label": _label(change.kind, change.field), "value": value}
            value = False
        values.append(
            {
                "change": change.id,
                "value": value,
                "user": change.user,
                "device": change.device,
                "made_at": change.made_at,
                "revision": change.revision,
                "edited": edited,
            }
        )
    return values


def _label(kind: str, name: str) -> str:
    if name == DELETED:
        return "Deleted"
    return KINDS[kind].field(name).label if kind in KINDS and KINDS[kind].has(name) else name
