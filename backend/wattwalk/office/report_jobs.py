"""Making what was asked for: jobs are taken up one by one under a lease, set in a process of their own, and put down once.

Whatever moment a process dies in, its job is taken up again after its lease, or said to have failed after a few times; a row names a
file only once the file is whole on the disk, and what a dead process left there is taken away.
"""

from __future__ import annotations

import hashlib
import logging
import secrets
import threading
import time
from collections.abc import Callable
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session, undefer
from uuid_utils import uuid7

from wattwalk.config import Settings
from wattwalk.database import now as clock
from wattwalk.database import reading, writing
from wattwalk.engine import ENGINE_VERSION
from wattwalk.files import write_whole
from wattwalk.models import Report, ReportJob, ReportPaper
from wattwalk.sync.photos import printable

from ..version import program_version
from .frozen import RenderRequest, photo_hashes
from .leases import LEASE, LeaseLostError, held, new_owner
from .paper_names import PAGE, QUOTATION, ending
from .papers import Kept, count_pages, papers_beside, report_path
from .render import RenderInterruptedError, RenderTimeoutError, render_in_subprocess
from .report_inputs import ReportError
from .versions import ask_for_version

log = logging.getLogger(__name__)

#: How often a job is taken up: what takes the program down with it each time is not to do so for ever.
MOST_ATTEMPTS = 3
#: Why a job failed, in words, by its code.
PROBLEMS = {
    "report_not_made": "The report could not be made. The office's log says why.",
    "report_too_slow": "The report was not ready in time and was stopped. The office's log says when.",
    "report_interrupted": "The office's program stopped each time while it made this report.",
    "cannot_be_made_again": "It cannot be made again: the program has changed since, and its pages would not be the same.",
}


def make_waiting(
    settings: Settings, *, stop: threading.Event | None = None, at: Callable[[], datetime] = clock, most: int = 20
) -> list[tuple[str, str]]:
    """Make what waits, one report after the other.

    Parameters
    ----------
    settings : Settings
        Where photos and reports lie.
    stop : Event, optional
        Once it is set the report in hand is given back and nothing more is taken up.
    at : callable
        The clock.
    most : int
        The most jobs of one call.

    Returns
    -------
    list of tuple
        ``(id, state)`` of each job taken up.

    Notes
    -----
    Needs the application's context.
    """
    stop = stop or threading.Event()
    done: list[tuple[str, str]] = []
    while len(done) < most and not stop.is_set() and (job := _take_up(settings, at)) is not None:
        done.append((job.id, _make(settings, job, stop, at)))
    return done


def make_now(
    settings: Settings,
    *,
    firm_id: str,
    user_id: str | None,
    survey_id: str,
    reason: str | None = None,
    patience_s: float = 300,
) -> Report:
    """Ask for the next version of a survey's report, make it at once, and return its row; for commands that run without a server.

    ``reason`` is the written one for every red point that stands against it.  Should a server that runs beside take the job up, its version is waited for.

    Raises
    ------
    NoSuchSurveyError, ContestedError, ReasonsWantedError, NotNowError, QueueFullError
        As :func:`wattwalk.office.versions.ask_for_version` does.
    ReportError
        When the report cannot be made, or not in time.
    """
    job_id = ask_for_version(
        settings,
        firm_id=firm_id,
        user_id=user_id,
        survey_id=survey_id,
        reasons=(lambda _point: reason) if reason else None,
    ).id
    deadline = time.monotonic() + patience_s
    while True:
        job = _take_up(settings, clock, only=job_id)
        if job is not None:
            _make(settings, job, threading.Event(), clock)
        with reading() as session:
            found = session.get_one(ReportJob, job_id, populate_existing=True)
            if found.state == "ready":
                return session.scalars(
                    select(Report).where(Report.survey_id == survey_id, Report.number == found.number)
                ).one()
        if found.state == "failed":
            raise ReportError(PROBLEMS[found.problem or "report_not_made"])
        if time.monotonic() >= deadline:
            raise ReportError(f"The report was not ready after {patience_s:.0f} seconds.")
        if job is None:
            time.sleep(0.2)


def _take_up(settings: Settings, at: Callable[[], datetime], only: str | None = None) -> ReportJob | None:
    """Take the job that has waited longest, under a lease of our own; None when none waits."""
    moment = at()
    _set_free_the_orphaned(settings, moment)
    waiting = (
        select(ReportJob)
        .where(ReportJob.state == "waiting", *([ReportJob.id == only] if only else []))
        .order_by(ReportJob.id)
        .limit(1)
    )
    with reading() as session:
        # Looking is all that happens most of the time, and a look keeps no writer waiting.
        if session.scalars(waiting.with_only_columns(ReportJob.id)).first() is None:
            return None
    with writing() as session:
        taken = waiting.options(undefer(ReportJob.inputs_json)).with_for_update(skip_locked=True)
        job = session.scalars(taken, execution_options={"populate_existing": True}).first()
        if job is None:
            return None
        job.state, job.attempts, job.owner, job.leased_until, job.begun_at = (
            "rendering",
            job.attempts + 1,
            new_owner(),
            moment + LEASE,
            moment,
        )
    # What is in hand keeps its owner's name, whatever else is read of the row meanwhile.
    session.expunge(job)
    return job


def _set_free_the_orphaned(settings: Settings, moment: datetime) -> None:
    """Let jobs whose process has died wait again, or say after a few times that they failed; what they left on the disk goes."""
    orphaned = select(ReportJob).where(ReportJob.state == "rendering", ReportJob.leased_until < moment)
    with reading() as session:
        if session.scalars(orphaned.with_only_columns(ReportJob.id).limit(1)).first() is None:
            return
    with writing() as session:
        jobs = session.scalars(
            orphaned.with_for_update(skip_locked=True), execution_options={"populate_existing": True}
        ).all()
        for job in jobs:
            _give_back(job, moment)
    for job in jobs:
        log.warning(
            "The process that made version %s of %s has ended: the job is %s.", job.number, job.survey_id, job.state
        )
        # Its lease is gone, so whatever it may still write can become no version's file.
        for left in (settings.reports / job.survey_id).glob(f"*{_stem(job)}-*"):
            left.unlink(missing_ok=True)


def _give_back(job: ReportJob, moment: datetime) -> None:
    job.owner = job.leased_until = None
    if job.attempts < MOST_ATTEMPTS:
        job.state = "waiting"
    else:
        job.state, job.problem, job.ended_at, job.inputs_json = "failed", "report_interrupted", moment, None


def _stem(job: ReportJob) -> str:
    return f"{job.number}-{job.id[-12:]}"


def _make(settings: Settings, job: ReportJob, stop: threading.Event, at: Callable[[], datetime]) -> str:
    """Make one job that is in our hands and return its state afterwards."""
    with reading() as session:
        report = (
            session.get(Report, job.report_id, options=[undefer(Report.inputs_json)], populate_existing=True)
            if job.report_id
            else None
        )
    inputs, made_at = (report.inputs_json, report.made_at) if report is not None else (job.inputs_json, job.asked_at)
    try:
        if inputs is None:
            raise ReportError("What it is to be made from is not there.")
        with held(job, at=at) as is_lost:
            made = render_in_subprocess(
                _request(settings, inputs, job.number, made_at), is_unwanted=lambda: stop.is_set() or is_lost.is_set()
            )
            if report is None:
                _put_down(settings, job, made, at)
            else:
                _put_back(settings, job, report, made, at)
        return "ready"
    except LeaseLostError:
        return "lost"
    except RenderInterruptedError as error:
        log.warning("Version %s of %s: %s", job.number, job.survey_id, error)
        return _end(job, at, is_given_back=True, counts=not stop.is_set())
    except RenderTimeoutError as error:
        return _fail(job, "report_too_slow", error, at)
    except _OtherBytesError as error:
        return _fail(job, "cannot_be_made_again", error, at)
    except (ReportError, OSError) as error:
        return _fail(job, "report_not_made", error, at)


def _request(settings: Settings, inputs: str, number: int, made_at: datetime) -> RenderRequest:
    photos = {sha256: str(path) for sha256, path in printable(settings.photos, photo_hashes(inputs)).items()}
    return RenderRequest(inputs, number, made_at.date().isoformat(), photos)


class _OtherBytesError(ReportError):
    """What was made again is not what was made then."""


def _file_of(job: ReportJob, name: str) -> str:
    return f"{job.survey_id}/{_stem(job)}-{name}-{secrets.token_hex(4)}.{ending(name)}"


def _put_down(settings: Settings, job: ReportJob, made: dict[str, bytes], at: Callable[[], datetime]) -> None:
    """Keep a new version: its files first, then its rows and the end of the job in one transaction."""
    pdf = made[QUOTATION]
    report = Report(
        id=str(uuid7()),
        survey_id=job.survey_id,
        number=job.number,
        revision=job.revision,
        made_at=job.asked_at,
        user_id=job.user_id,
        pages=count_pages(pdf),
        size_bytes=len(pdf),
        file_name=_file_of(job, QUOTATION),
        sha256=hashlib.sha256(pdf).hexdigest(),
        inputs_json=job.inputs_json,
        reasons_json=job.reasons_json,
        app_version=program_version(),
        engine_version=ENGINE_VERSION,
    )
    beside = [
        ReportPaper(
            report_id=report.id,
            name=name,
            file_name=_file_of(job, name),
            size_bytes=len(content),
            sha256=hashlib.sha256(content).hexdigest(),
            pages=1 if name == PAGE else count_pages(content),
        )
        for name, content in made.items()
        if name != QUOTATION
    ]
    contents = {report.file_name: pdf, **{paper.file_name: made[paper.name] for paper in beside}}
    paths = {settings.reports / name: content for name, content in contents.items()}
    try:
        for path, content in paths.items():
            write_whole(path, content)
        with writing() as session:
            ended = _mine(session, job)
            session.add(report)
            session.flush()
            session.add_all(beside)
            ended.state, ended.owner, ended.leased_until, ended.ended_at, ended.inputs_json = (
                "ready",
                None,
                None,
                at(),
                None,
            )
    except LeaseLostError:
        for path in paths:
            path.unlink(missing_ok=True)
        raise


def _put_back(
    settings: Settings, job: ReportJob, report: Report, made: dict[str, bytes], at: Callable[[], datetime]
) -> None:
    """Put the files of an old version back when they are to the byte what was made then."""
    with reading() as session:
        kept: list[tuple[str, Kept]] = [(QUOTATION, report)]
        kept += [(paper.name, paper) for paper in papers_beside(session, report)]
    if any(hashlib.sha256(made[name]).hexdigest() != paper.sha256 for name, paper in kept):
        raise _OtherBytesError(
            f"Version {report.number} of {report.survey_id} was made by Wattwalk {report.app_version} with engine {report.engine_version}; "
            f"Wattwalk {program_version()} with engine {ENGINE_VERSION} makes other bytes of it here."
        )
    for name, paper in kept:
        write_whole(report_path(settings, paper), made[name])
    with writing() as session:
        ended = _mine(session, job)
        ended.state, ended.owner, ended.leased_until, ended.ended_at = "ready", None, None, at()


def _mine(session: Session, job: ReportJob) -> ReportJob:
    """Return the job's row, locked, while it is still in our hands."""
    query = (
        select(ReportJob)
        .where(ReportJob.id == job.id, ReportJob.owner == job.owner, ReportJob.state == "rendering")
        .with_for_update()
    )
    row = session.scalars(query, execution_options={"populate_existing": True}).one_or_none()
    if row is None:
        raise LeaseLostError(job.id)
    return row


def _fail(job: ReportJob, problem: str, error: Exception, at: Callable[[], datetime]) -> str:
    log.error("Version %s of %s was not made (%s): %s", job.number, job.survey_id, problem, error)
    return _end(job, at, problem=problem)


def _end(
    job: ReportJob,
    at: Callable[[], datetime],
    *,
    problem: str | None = None,
    is_given_back: bool = False,
    counts: bool = True,
) -> str:
    try:
        with writing() as session:
            row = _mine(session, job)
            if is_given_back:
                row.attempts -= 0 if counts else 1
                _give_back(row, at())
            else:
                row.state, row.problem, row.owner, row.leased_until, row.ended_at, row.inputs_json = (
                    "failed",
                    problem,
                    None,
                    None,
                    at(),
                    None,
                )
            return row.state
    except LeaseLostError:
        return "lost"
