"""What a device or the office asks of a log: changes since a revision, contested values, refusals."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from ..models import Change, Contest, StoredRecord, User
from ..survey.kinds import KINDS
from .changes import DELETED
from .surveys import find_survey

MAX_LIMIT = 2000


@dataclass(frozen=True)
class Pulled:
    """A portion of a log in the order of revisions; ``more`` says whether there are later ones."""

    revision: int
    more: bool
    changes: tuple[dict[str, Any], ...]


def pull(session: Session, firm_id: str, survey_id: str, since: int, limit: int) -> Pulled:
    """Return accepted changes after the revision `since`, at most `limit`.

    Raises
    ------
    NoSuchSurveyError
        When the survey does not exist or belongs to another firm.
    """
    revision = find_survey(session, firm_id, survey_id).revision
    query = (
        select(Change, User.name)
        .outerjoin(User, User.id == Change.user_id)
        .where(Change.survey_id == survey_id, Change.revision > since)
        .order_by(Change.revision)
        .limit(limit)
    )
    rows = session.execute(query).all()
    last = rows[-1][0].revision if rows else revision
    return Pulled(revision, last < revision, tuple(describe(change, name) for change, name in rows))


def describe(change: Change, user: str | None) -> dict[str, Any]:
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
        "user": user,
        "made_at": change.made_at,
        "received_at": change.received_at,
        "contested": change.is_contested,
    }


def find_refused(session: Session, survey_id: str) -> list[dict[str, Any]]:
    """Return the refused changes that nobody has made good yet, oldest first, each with its problem."""
    query = (
        select(Change, User.name)
        .outerjoin(User, User.id == Change.user_id)
        .where(Change.survey_id == survey_id, Change.is_settled.is_(False))
        .order_by(Change.received_at, Change.id)
    )
    return [{**describe(change, name), "problem": json.loads(change.problem_json)} for change, name in session.execute(query)]


def find_contested(session: Session, survey_id: str) -> list[dict[str, Any]]:
    """Return the contested fields, each with the newest value of every device that took part.

    A contested deletion shows the edit that had not seen it as ``deleted: false``, with what was edited.
    """
    query = (
        select(Contest, StoredRecord.kind, StoredRecord.values_json)
        .join(StoredRecord, (StoredRecord.survey_id == Contest.survey_id) & (StoredRecord.id == Contest.record_id))
        .where(Contest.survey_id == survey_id)
        .order_by(StoredRecord.made_revision, Contest.field)
    )
    contests = session.execute(query).all()
    revisions = {revision for contest, _, _ in contests for revision in json.loads(contest.revisions_json)}
    changes = {}
    if revisions:
        log = (
            select(Change, User.name)
            .outerjoin(User, User.id == Change.user_id)
            .where(Change.survey_id == survey_id, Change.revision.between(min(revisions), max(revisions)))
        )
        changes = {change.revision: (change, name) for change, name in session.execute(log) if change.revision in revisions}
    return [
        {
            "kind": kind,
            "record": contest.record_id,
            "field": contest.field,
            "label": _label(kind, contest.field),
            "title": KINDS[kind].title_of(json.loads(values)) if kind in KINDS else kind,
            "values": _values(contest, changes),
        }
        for contest, kind, values in contests
    ]


def _values(contest: Contest, changes: dict[int, tuple[Change, str | None]]) -> list[dict[str, Any]]:
    newest = {}
    for revision in json.loads(contest.revisions_json):
        change, user = changes[revision]
        newest.pop((change.device, change.field), None)
        newest[change.device, change.field] = (change, user)
    values = []
    for change, user in newest.values():
        value, edited = json.loads(change.value_json), None
        if contest.field == DELETED and change.field != DELETED:
            edited = {"field": change.field, "label": _label(change.kind, change.field), "value": value}
            value = False
        values.append(
            {
                "change": change.id, "value": value, "user": user, "device": change.device, "made_at": change.made_at,
                "revision": change.revision, "edited": edited,
            }
        )
    return values


def _label(kind: str, name: str) -> str:
    if name == DELETED:
        return "Deleted"
    return KINDS[kind].field(name).label if kind in KINDS and KINDS[kind].has(name) else name
