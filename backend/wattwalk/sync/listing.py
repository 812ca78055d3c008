"""The list of surveys, said only as far as it has changed: every change of a line gives the survey its firm's next number."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, event, func, select, text, update
from sqlalchemy.orm import Session

from ..database import db
from ..models import Email, ListCounter, Report, StoredPhoto, StoredSurvey
from ..photo_store import PhotoStore
from ..survey.holders import SURVEY
from .surveys import ListedSurvey, list_surveys

#: The most lines of one answer.
MAX_LISTED = 500
_SURVEY = StoredSurvey.__table__
#: The row stays locked until the commit: a number that can be read has no lower one still to come.
_NEXT = text(
    "INSERT INTO list_counter (firm_id, moved) VALUES (:firm, 1) "
    "ON CONFLICT (firm_id) DO UPDATE SET moved = list_counter.moved + 1 RETURNING moved"
)
#: What stands on a survey's line, or on the office's beside it, without having a revision. Whoever writes rows of these as objects moves
#: the line by that; whoever writes them in another way calls :func:`say_moved`.
_ON_THE_LINE = (StoredPhoto, Report, Email)
_MOVED = "wattwalk_moved_surveys"


@dataclass(frozen=True)
class ListPage:
    """The lines that changed after a number, in the order in which they changed.

    ``since`` is the number it was read from, 0 when the one asked for is not of this list; ``cursor`` the one to ask with next;
    ``count`` how many surveys the firm has, so that one which went away is noticed.
    """

    since: int
    cursor: int
    more: bool
    count: int
    surveys: list[ListedSurvey]


def next_place(connection: Connection, firm_id: str) -> int:
    """Return the firm's next number; the last thing before a commit, since others wait for it."""
    return connection.execute(_NEXT, {"firm": firm_id}).scalar_one()


def say_moved(session: Session, *survey_ids: str) -> None:
    """Say, within a writing transaction, that the lines of these surveys are others than before."""
    session.info.setdefault(_MOVED, set()).update(survey_ids)


def list_moved(session: Session, firm_id: str, since: int, limit: int, store: PhotoStore) -> ListPage:
    """Return the lines that changed after `since`, at most `limit` of them."""
    reached = session.scalar(select(ListCounter.moved).where(ListCounter.firm_id == firm_id)) or 0
    # A number that was never given is one of another life of the database.
    since = since if since <= reached else 0
    query = (
        select(_SURVEY.c.id, _SURVEY.c.moved)
        .where(_SURVEY.c.firm_id == firm_id, _SURVEY.c.scope == SURVEY, _SURVEY.c.moved > since)
        .order_by(_SURVEY.c.moved)
        .limit(limit + 1)
    )
    found = session.execute(query).all()
    chosen, more = found[:limit], len(found) > limit
    ours = select(func.count()).select_from(_SURVEY).where(_SURVEY.c.firm_id == firm_id, _SURVEY.c.scope == SURVEY)
    count = session.scalar(ours) or 0
    lines = (
        {line.id: line for line in list_surveys(session, firm_id, store, only=[row.id for row in chosen])}
        if chosen
        else {}
    )
    return ListPage(since, chosen[-1].moved if more else reached, more, count, [lines[row.id] for row in chosen])


@event.listens_for(db.session, "before_flush")
def _notice(session: Session, _context: Any, _instances: Any) -> None:
    written = [*session.new, *session.deleted, *(item for item in session.dirty if session.is_modified(item))]
    say_moved(session, *(item.survey_id for item in written if isinstance(item, _ON_THE_LINE)))


@event.listens_for(db.session, "before_commit")
def _move(session: Session) -> None:
    session.flush()
    moved = session.info.pop(_MOVED, None)
    if moved:
        give_places(session.connection(), moved)


@event.listens_for(db.session, "after_rollback")
def _forget(session: Session) -> None:
    session.info.pop(_MOVED, None)


def give_places(connection: Connection, survey_ids: Iterable[str]) -> None:
    """Give surveys whose lines are others than before their firms' next numbers; the last thing before a commit, as :func:`next_place`."""
    # Always surveys first and counters after them, each in order: two that wait for each other would wait for ever.
    locked = connection.execute(
        select(_SURVEY.c.firm_id, _SURVEY.c.id)
        .where(_SURVEY.c.id.in_(sorted(survey_ids)))
        .order_by(_SURVEY.c.id)
        .with_for_update()
    ).all()
    for firm_id, survey_id in sorted((row.firm_id, row.id) for row in locked):
        connection.execute(
            update(_SURVEY).where(_SURVEY.c.id == survey_id).values(moved=next_place(connection, firm_id))
        )
