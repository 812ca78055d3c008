"""What the office's list says of each survey beyond its head: how many gaps are open, where its last email is.

Counting gaps means reading a whole survey and working it out, since some gaps show only then, so a count is kept with the revision and the version of the program that it is of, and is made
again when either has changed: a few for whoever asks, bounded by time, all others one after the other beside the server.
"""

from __future__ import annotations

import time
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from functools import cache

from sqlalchemy import and_, func, select, text
from sqlalchemy.orm import Session

from wattwalk.database import BusyError, reading, writing
from wattwalk.engine.gaps import gaps_of
from wattwalk.models import Email, GapCount, Report, StoredSurvey
from wattwalk.survey.holders import SURVEY
from wattwalk.survey.model import survey_model
from wattwalk.sync.errors import NoSuchSurveyError
from wattwalk.sync.surveys import load_survey
from wattwalk.version import program_version

#: Seconds of counting that an answer may wait for.
BUDGET_S = 0.1
_PUT = text(
    "INSERT INTO gap_count (survey_id, revision, program, gaps) VALUES (:survey, :revision, :program, :gaps) ON CONFLICT (survey_id) "
    "DO UPDATE SET revision = excluded.revision, program = excluded.program, gaps = excluded.gaps"
)


@dataclass(frozen=True)
class LastEmail:
    """The email of a survey that was written last."""

    state: str
    to: str
    report: int
    sent_at: datetime | None


@dataclass(frozen=True)
class SurveyState:
    """One survey: its revision, its gaps (None while they are not counted for it), its last email (None before the first)."""

    id: str
    revision: int
    gaps: int | None
    email: LastEmail | None


@dataclass(frozen=True)
class StatesPage:
    """States in the order in which the surveys' lines changed; ``cursor`` is where the next page begins."""

    surveys: list[SurveyState]
    cursor: int
    more: bool


@dataclass(frozen=True)
class _Uncounted:
    firm_id: str
    survey_id: str


@cache
def counting_program() -> str:
    """Return what a count depends on beside the survey: the program and the survey model that it was made with."""
    return f"{program_version()}/{survey_model()['version']}"


def list_states(firm_id: str, since: int = 0, limit: int | None = None) -> StatesPage:
    """Return the states of a firm's surveys whose line in the list changed after `since`.

    Gaps that are not counted yet are, those of the surveys that changed last first, for as long as ``BUDGET_S`` seconds.
    """
    counted = and_(
        GapCount.survey_id == StoredSurvey.id,
        GapCount.revision == StoredSurvey.revision,
        GapCount.program == counting_program(),
    )
    query = (
        select(StoredSurvey.id, StoredSurvey.revision, StoredSurvey.moved, GapCount.gaps)
        .outerjoin(GapCount, counted)
        .where(StoredSurvey.firm_id == firm_id, StoredSurvey.scope == SURVEY, StoredSurvey.moved > since)
        .order_by(StoredSurvey.moved)
    )
    with reading() as session:
        rows = session.execute(query if limit is None else query.limit(limit + 1)).all()
        more = limit is not None and len(rows) > limit
        rows = rows[:limit]
        emails = _last_emails(session, firm_id, [row.id for row in rows] if limit is not None else None)
    missing = [_Uncounted(firm_id, row.id) for row in reversed(rows) if row.gaps is None]
    fresh = count_gaps(missing, BUDGET_S)
    states = []
    for row in rows:
        revision, gaps = fresh.get(row.id, (row.revision, row.gaps))
        states.append(SurveyState(row.id, revision, gaps, emails.get(row.id)))
    return StatesPage(states, rows[-1].moved if rows else since, more)


def find_uncounted(session: Session, most: int) -> list[_Uncounted]:
    """Return surveys of any firm whose gaps are not counted, the one that changed last first."""
    counted = and_(
        GapCount.survey_id == StoredSurvey.id,
        GapCount.revision == StoredSurvey.revision,
        GapCount.program == counting_program(),
    )
    query = (
        select(StoredSurvey.firm_id, StoredSurvey.id)
        .outerjoin(GapCount, counted)
        .where(GapCount.survey_id.is_(None), StoredSurvey.scope == SURVEY)
    )
    return [_Uncounted(*row) for row in session.execute(query.order_by(StoredSurvey.changed_at.desc()).limit(most))]


def count_gaps(surveys: Iterable[_Uncounted], budget_s: float) -> dict[str, tuple[int, int]]:
    """Count the gaps of surveys until the time is over, keep the counts, and return them with their revisions by the survey's id."""
    until = time.monotonic() + budget_s
    counts: dict[str, tuple[int, int]] = {}
    for item in surveys:
        if time.monotonic() >= until:
            break
        try:
            with reading() as session:
                loaded = load_survey(session, item.firm_id, item.survey_id)
        except NoSuchSurveyError:
            continue  # it went away since it was looked for
        counts[item.survey_id] = (loaded.revision, len(gaps_of(loaded.survey)))
    if counts:
        _keep(counts)
    return counts


def _keep(counts: dict[str, tuple[int, int]]) -> None:
    lines = [
        {"survey": survey_id, "revision": revision, "program": counting_program(), "gaps": gaps}
        for survey_id, (revision, gaps) in sorted(counts.items())
    ]
    try:
        with writing(patience_s=0) as session:
            session.execute(_PUT, lines)
    except BusyError:
        # Whoever writes now goes first: these are counted again when next they are asked for.
        return


def _last_emails(session: Session, firm_id: str, only: list[str] | None) -> dict[str, LastEmail]:
    # The ids of emails sort by the moment they were made.
    newest = (
        select(func.max(Email.id))
        .join(StoredSurvey, StoredSurvey.id == Email.survey_id)
        .where(StoredSurvey.firm_id == firm_id, *([] if only is None else [StoredSurvey.id.in_(only)]))
        .group_by(Email.survey_id)
    )
    query = select(Email, Report.number).join(Report, Report.id == Email.report_id).where(Email.id.in_(newest))
    return {
        email.survey_id: LastEmail(email.state, email.to, number, email.sent_at)
        for email, number in session.execute(query)
    }
