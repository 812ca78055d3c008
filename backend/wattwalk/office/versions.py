"""Numbered versions of a survey's report: asked for, listed, found.  Making them is ``report_jobs.py``'s."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session, undefer
from uuid_utils import uuid7

from ..config import Settings
from ..database import now, reading, writing
from ..models import Firm, Instance, Report, ReportJob, StoredSurvey, User
from ..survey.errors import Problem, WattwalkError
from ..survey.validation import has_visible
from ..sync.pull import find_contested
from ..sync.surveys import LoadedSurvey, find_survey, load_survey
from . import papers
from .changes import Changed, changes, facts_of
from .frozen import RenderRequest, freeze, thaw
from .promises import PROMISES
from .release import Point, look, red
from .report_inputs import gather

#: The most jobs that may wait or be worked on, of one firm and of all.
MOST_OF_A_FIRM, MOST_IN_ALL = 12, 24
#: Seconds after which asking again is worth it when the queue is full: a few reports have been made by then.
ASK_AGAIN_S = 15
UNDER_WAY = ("waiting", "rendering")


class ContestedError(WattwalkError):
    """A report cannot be issued while people disagree about a value; ``problems`` names each field and its record."""

    def __init__(self, contested: list[dict[str, Any]]) -> None:
        named = [f"{item['title']}: {item['label']}" for item in contested]
        words = "One value is contested" if len(named) == 1 else f"{len(named)} values are contested"
        super().__init__(
            f"{words}: {'; '.join(named[:5])}{' and more' if len(named) > 5 else ''}. Pick first, then make the report."
        )
        self.problems = [
            Problem(
                "contested",
                f"{name} was answered twice: pick which stands, then make the report.",
                item["field"],
                f"{item['kind']}/{item['record']}",
            )
            for name, item in zip(named, contested, strict=True)
        ]


class ReasonsWantedError(WattwalkError):
    """Red points stand against a version and nobody has written why it is made all the same; ``problems`` names each with its record."""

    def __init__(self, points: Sequence[Point]) -> None:
        one = len(points) == 1
        super().__init__(
            f"{'One red point wants' if one else f'{len(points)} red points want'} a written reason before a version is made: {'; '.join(point.words for point in points[:3])}{' and more' if len(points) > 3 else ''}"
        )
        self.problems = [Problem("reason_wanted", point.words, None, point.record or None) for point in points]


class NotNowError(WattwalkError):
    """Another job stands in the way, or none is needed; ``code`` says which."""

    def __init__(self, code: str, words: str) -> None:
        self.code = code
        super().__init__(words)


class QueueFullError(WattwalkError):
    """As many reports wait as may."""

    def __init__(self, waiting: int) -> None:
        super().__init__(f"{waiting} reports are waiting to be made already: try again in a moment.")


def points_before(settings: Settings, *, firm_id: str, survey_id: str) -> tuple[int, tuple[Point, ...]]:
    """Return the revision of a survey and what stands against a version that were made of it today.

    Raises
    ------
    NoSuchSurveyError
        When the survey does not exist or belongs to another firm.
    """
    with reading() as session:
        loaded = load_survey(session, firm_id, survey_id, prices=True)
        firm = _described(session.get_one(Firm, firm_id, populate_existing=True))
    return loaded.revision, _points(loaded, firm, loaded.here(settings.photos))


def _described(firm: Firm) -> dict[str, Any]:
    said = {name: getattr(firm, name) for name in ("name", "address", "telephone", "email", "terms", *PROMISES)}
    # A firm without a logo is written as all were before there were any.
    return said if firm.logo is None else {**said, "logo": firm.logo}


def _points(loaded: LoadedSurvey, firm: dict[str, Any], here: set[str]) -> tuple[Point, ...]:
    # Which photos are here is asked by their hashes; nothing of a photo is read for it.
    photos = dict.fromkeys(here, b"")
    return look(gather(loaded.whole, firm=firm, version=1, made_on=now().date().isoformat(), photos=photos))


def _reasons(points: Sequence[Point], reasons: Callable[[Point], str | None] | None, by: str) -> list[dict[str, str]]:
    """Return the reason for each red point, with who wrote it and when."""
    told = [(point, ((reasons(point) if reasons else None) or "").strip()) for point in red(points)]
    unsaid = [point for point, words in told if not has_visible(words)]
    if unsaid:
        raise ReasonsWantedError(unsaid)
    at = now().isoformat().replace("+00:00", "Z")
    return [{**point.as_dict(), "reason": words, "by": by, "at": at} for point, words in told]


def ask_for_version(
    settings: Settings,
    *,
    firm_id: str,
    user_id: str | None,
    survey_id: str,
    reasons: Callable[[Point], str | None] | None = None,
) -> ReportJob:
    """Ask for the next version of a survey's report, made from the survey and the firm as they stand now, and return its job.

    ``reasons`` gives the written reason for a red point, or None where nobody wrote one.
    Asked again while the same is under way, the job that is under way is returned.

    Raises
    ------
    NoSuchSurveyError
        When the survey does not exist or belongs to another firm.
    ContestedError
        When a value is contested.
    ReasonsWantedError
        When a red point stands against it without a written reason.
    NotNowError
        ``report_under_way`` when another version of it is being made, from what stood before.
    QueueFullError
        When as many jobs wait as may.
    """
    with reading() as session:
        loaded = load_survey(session, firm_id, survey_id, prices=True)
        contested = find_contested(session, survey_id)
        firm = session.get_one(Firm, firm_id, populate_existing=True)
        described = _described(firm)
        prints_checks = firm.prints_checks
        user = None if user_id is None else session.get(User, user_id)
        by = "" if user is None else user.name
    if contested:
        raise ContestedError(contested)
    here = loaded.here(settings.photos)
    kept = _reasons(_points(loaded, described, here), reasons, by)
    previous = facts_of_newest(firm_id, survey_id)
    inputs = freeze(
        loaded.whole,
        revision=loaded.revision,
        firm=described,
        photos=here,
        with_checks=prints_checks,
        before=previous,
    )
    with writing() as session:
        _take_turn(session, survey_id)
        present = _under_way(session, survey_id)
        if present is not None:
            if present.report_id is None and present.inputs_json == inputs:
                return present
            raise _in_the_way(present)
        _refuse_when_full(session, firm_id)
        job = _new_job(survey_id, user_id, number=_last_number(session, survey_id) + 1, revision=loaded.revision)
        job.inputs_json = inputs
        job.reasons_json = json.dumps(kept, ensure_ascii=True) if kept else None
        session.add(job)
        return job


def facts_of_newest(firm_id: str, survey_id: str) -> dict[str, Any] | None:
    """Return what of a survey's newest version the next one is held against; None before the first, or where it was not kept.

    Raises
    ------
    NoSuchSurveyError
        When the survey does not exist or belongs to another firm.
    """
    with reading() as session:
        found = list_versions(session, firm_id, survey_id)[:1]
        newest = (
            session.get(Report, found[0].id, options=[undefer(Report.inputs_json)], populate_existing=True)
            if found
            else None
        )
    if newest is None or newest.inputs_json is None:
        return None
    return facts_of(thaw(RenderRequest(newest.inputs_json, newest.number, newest.made_at.date().isoformat(), {})))


def changes_since(firm_id: str, survey_id: str) -> tuple[int, list[Changed]] | None:
    """Return the number of the newest version and what would be another in the next one; None before the first.

    Raises
    ------
    NoSuchSurveyError
        When the survey does not exist or belongs to another firm.
    """
    before = facts_of_newest(firm_id, survey_id)
    if before is None:
        return None
    with reading() as session:
        loaded = load_survey(session, firm_id, survey_id, prices=True)
    present = gather(loaded.whole, firm={}, version=before["number"] + 1, made_on=before["made_on"])
    return before["number"], changes(before, facts_of(present))


def ask_again(
    settings: Settings, *, firm_id: str, user_id: str | None, survey_id: str, number: int
) -> ReportJob | None:
    """Ask for the file of a version to be made again from what was frozen, and return the job; None when there is no such version.

    Raises
    ------
    NoSuchSurveyError
        When the survey does not exist or belongs to another firm.
    NotNowError
        ``paper_is_there`` when the file is what was made, ``cannot_be_made_again`` when it was not kept what the version was made from,
        ``report_under_way`` when another version is being made.
    QueueFullError
        When as many jobs wait as may.
    """
    with reading() as session:
        report = find_version(session, firm_id, survey_id, number, undefer(Report.inputs_json))
    if report is None:
        return None
    with reading() as session:
        kept: list[papers.Kept] = [report, *papers.papers_beside(session, report)]
    try:
        for paper in kept:
            papers.read_paper(settings, paper, number)
    except papers.PaperError:
        pass
    else:
        raise NotNowError("paper_is_there", f"The file of version {number} is there.")
    if not papers.can_be_tried(report):
        raise NotNowError(
            "cannot_be_made_again", f"Version {number} cannot be made again: what it was made from was not kept."
        )
    with writing() as session:
        _take_turn(session, survey_id)
        present = _under_way(session, survey_id)
        if present is not None:
            if present.report_id == report.id:
                return present
            raise _in_the_way(present)
        _refuse_when_full(session, firm_id)
        job = _new_job(survey_id, user_id, number=number, revision=report.revision)
        job.report_id = report.id
        session.add(job)
        return job


def _new_job(survey_id: str, user_id: str | None, *, number: int, revision: int) -> ReportJob:
    return ReportJob(
        id=str(uuid7()),
        survey_id=survey_id,
        user_id=user_id,
        number=number,
        revision=revision,
        state="waiting",
        attempts=0,
        asked_at=now(),
    )


def _take_turn(session: Session, survey_id: str) -> None:
    """Let one at a time ask: the bound of the queue and the next number then hold."""
    session.execute(select(Instance.id).with_for_update())
    session.execute(select(StoredSurvey.id).where(StoredSurvey.id == survey_id).with_for_update())


def _under_way(session: Session, survey_id: str) -> ReportJob | None:
    query = (
        select(ReportJob)
        .where(ReportJob.survey_id == survey_id, ReportJob.state.in_(UNDER_WAY))
        .options(undefer(ReportJob.inputs_json))
    )
    return session.scalars(query, execution_options={"populate_existing": True}).one_or_none()


def _in_the_way(job: ReportJob) -> NotNowError:
    return NotNowError(
        "report_under_way",
        f"Version {job.number} is being made already, from change {job.revision}. Ask for the next one when it is there.",
    )


def _refuse_when_full(session: Session, firm_id: str) -> None:
    waiting = select(func.count()).select_from(ReportJob).where(ReportJob.state.in_(UNDER_WAY))
    of_firm = waiting.join(StoredSurvey, StoredSurvey.id == ReportJob.survey_id).where(StoredSurvey.firm_id == firm_id)
    for query, most in ((of_firm, MOST_OF_A_FIRM), (waiting, MOST_IN_ALL)):
        found = session.scalar(query) or 0
        if found >= most:
            raise QueueFullError(found)


def _last_number(session: Session, survey_id: str) -> int:
    return session.scalar(select(func.max(Report.number)).where(Report.survey_id == survey_id)) or 0


def find_job(session: Session, firm_id: str, survey_id: str, job_id: str) -> ReportJob | None:
    """Return a job of a survey, or None when there is none of this name.

    Raises
    ------
    NoSuchSurveyError
        When the survey does not exist or belongs to another firm.
    """
    find_survey(session, firm_id, survey_id)
    return session.scalars(
        select(ReportJob).where(ReportJob.survey_id == survey_id, ReportJob.id == job_id)
    ).one_or_none()


def newest_job(session: Session, firm_id: str, survey_id: str) -> ReportJob | None:
    """Return the job that a survey was given last, or None before the first.

    Raises
    ------
    NoSuchSurveyError
        When the survey does not exist or belongs to another firm.
    """
    find_survey(session, firm_id, survey_id)
    return session.scalars(
        select(ReportJob).where(ReportJob.survey_id == survey_id).order_by(ReportJob.id.desc()).limit(1)
    ).first()


def jobs_before(session: Session, job: ReportJob) -> int:
    """Return how many jobs come before one that waits; 0 when it does not wait."""
    if job.state != "waiting":
        return 0
    return (
        session.scalar(
            select(func.count()).select_from(ReportJob).where(ReportJob.state.in_(UNDER_WAY), ReportJob.id < job.id)
        )
        or 0
    )


def list_versions(session: Session, firm_id: str, survey_id: str) -> list[Report]:
    """Return a survey's versions, the newest first.

    Raises
    ------
    NoSuchSurveyError
        When the survey does not exist or belongs to another firm.
    """
    find_survey(session, firm_id, survey_id)
    return list(session.scalars(select(Report).where(Report.survey_id == survey_id).order_by(Report.number.desc())))


def find_version(session: Session, firm_id: str, survey_id: str, number: int, *options: Any) -> Report | None:
    """Return one version, or None when there is none of this number; `options` say what to load with it.

    Raises
    ------
    NoSuchSurveyError
        When the survey does not exist or belongs to another firm.
    """
    find_survey(session, firm_id, survey_id)
    query = select(Report).where(Report.survey_id == survey_id, Report.number == number).options(*options)
    return session.scalars(query, execution_options={"populate_existing": True}).one_or_none()
