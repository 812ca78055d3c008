"""What the office's list says of each survey beyond its head: how many gaps are open, where its last email is."""

from __future__ import annotations

import threading
from collections import OrderedDict
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from wattwalk.models import Email, Report, StoredSurvey
from wattwalk.survey.gaps import find_gaps
from wattwalk.sync.surveys import load_survey


@dataclass(frozen=True)
class LastEmail:
    """The email of a survey that was written last."""

    state: str
    to: str
    report: int
    sent_at: datetime | None


@dataclass(frozen=True)
class SurveyState:
    """One survey: the revision that was looked at, its gaps, its last email (None before the first)."""

    id: str
    revision: int
    gaps: int
    email: LastEmail | None


class _GapCounts:
    """Counts of gaps by survey and revision: a survey is read again only when it has changed."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._counts: OrderedDict[tuple[str, str], tuple[int, int]] = OrderedDict()
        self._lock = threading.Lock()

    def find(self, session: Session, firm_id: str, survey_id: str, revision: int) -> tuple[int, int]:
        """Return the revision that was counted, at least `revision`, and the count."""
        key = (firm_id, survey_id)
        with self._lock:
            known = self._counts.get(key)
        if known is not None and known[0] == revision:
            return known
        loaded = load_survey(session, firm_id, survey_id)
        counted = (loaded.revision, len(find_gaps(loaded.survey)))
        with self._lock:
            self._counts[key] = counted
            self._counts.move_to_end(key)
            while len(self._counts) > self._most:
                self._counts.popitem(last=False)
        return counted


_GAPS = _GapCounts(10_000)


def list_states(session: Session, firm_id: str) -> list[SurveyState]:
    """Return the state of each survey of a firm, the one that changed last first."""
    surveys = session.execute(
        select(StoredSurvey.id, StoredSurvey.revision).where(StoredSurvey.firm_id == firm_id).order_by(StoredSurvey.changed_at.desc(), StoredSurvey.id)
    ).all()
    emails = _last_emails(session, firm_id)
    return [SurveyState(survey_id, *_GAPS.find(session, firm_id, survey_id, revision), emails.get(survey_id)) for survey_id, revision in surveys]


def _last_emails(session: Session, firm_id: str) -> dict[str, LastEmail]:
    # The ids of emails sort by the moment they were made.
    newest = (
        select(func.max(Email.id))
        .join(StoredSurvey, StoredSurvey.id == Email.survey_id)
        .where(StoredSurvey.firm_id == firm_id)
        .group_by(Email.survey_id)
    )
    query = select(Email, Report.number).join(Report, Report.id == Email.report_id).where(Email.id.in_(newest))
    return {email.survey_id: LastEmail(email.state, email.to, number, email.sent_at) for email, number in session.execute(query)}
