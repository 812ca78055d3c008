"""How far a log has come, a survey's or the book of a firm."""

from __future__ import annotations

from sqlalchemy import bindparam, select
from sqlalchemy.orm import Session

from ..models import StoredSurvey
from ..survey.holders import FIRM
from .errors import NoSuchSurveyError

_SURVEY = StoredSurvey.__table__
# Made once, and over the table alone: every look for news asks this.
_FIND_REVISION = select(_SURVEY.c.revision).where(
    _SURVEY.c.id == bindparam("log"), _SURVEY.c.firm_id == bindparam("firm"), _SURVEY.c.scope == bindparam("holder")
)


def book_of(firm_id: str) -> str:
    """Return the id of a firm's book; no survey can have it, since ids of surveys have no colon."""
    return f"book:{firm_id}"


def is_book(log_id: str) -> bool:
    """Say whether a log is the book of a firm."""
    return log_id.startswith("book:")


def find_revision(session: Session, firm_id: str, log_id: str, holder: str) -> int:
    """Return the revision that a log has reached; 0 for a book without a record, since every firm has one.

    Raises
    ------
    NoSuchSurveyError
        When the survey does not exist or belongs to another firm.
    """
    asked = {"log": log_id, "firm": firm_id, "holder": holder}
    found = session.connection().execute(_FIND_REVISION, asked).scalar_one_or_none()
    if found is None and holder == FIRM and log_id == book_of(firm_id):
        return 0
    if found is None:
        raise NoSuchSurveyError(log_id)
    return found
