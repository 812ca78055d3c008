"""Report versions, and the emails that carry them."""

from __future__ import annotations

import io
import json
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from flask import Response, current_app, request, send_file
from flask.views import MethodView
from marshmallow import ValidationError
from sqlalchemy import select
from sqlalchemy.orm import Session

from ..database import reading, writing
from ..models import Email, Report, ReportJob, ReportPaper, StoredSurvey
from ..office import outbox, paper_names, papers, versions
from ..office.report_jobs import PROBLEMS
from ..survey.errors import Problem
from ..sync.surveys import find_survey
from ..web import PAGE_CONTENT_POLICY, PDF_CONTENT_POLICY
from .access import current_firm, current_user
from .blueprints import ApiBlueprint, read_json
from .errors import Refusal
from .schemas import (
    ChangesSchema,
    EmailSchema,
    EmailsSchema,
    NewEmailSchema,
    NewVersionSchema,
    NothingSchema,
    PointsSchema,
    ReportJobSchema,
    ReportsSchema,
)

reports = ApiBlueprint(
    "reports", __name__, url_prefix="/api/surveys/<id:survey_id>", description="Report versions and their emails."
)
emails = ApiBlueprint("emails", __name__, url_prefix="/api/emails", description="The outbox.")

_NUMBER = "<int(min=1, max=1000000):number>"
_NOTHING = {
    "required": False,
    "content": {"application/json": {"schema": {"type": "object", "additionalProperties": False}}},
}


_REASONS = {"required": False, "content": {"application/json": {"schema": NewVersionSchema}}}


def _read_reasons() -> dict[tuple[str, str, str], str]:
    """Return the written reasons by the point that each is for; an empty body has none."""
    if not request.get_data():
        return {}
    try:
        given = NewVersionSchema().load(read_json(request))
    except ValidationError as error:
        raise Refusal(
            422, Problem("not_valid", "Expected reasons: for each its code, record, about and reason.")
        ) from error
    return {(item["code"], item["record"], item["about"]): item["reason"] for item in given["reasons"]}


def _read_nothing() -> None:
    """Take an empty body or an empty object: the address says all."""
    if request.get_data():
        problems = NothingSchema().validate(read_json(request))
        if problems:
            raise Refusal(422, Problem("not_valid", "Expected an empty object: the address says all."))


@reports.route("/reports")
class ReportsView(MethodView):
    """The versions of a survey's report."""

    @reports.response(200, ReportsSchema)
    def get(self, survey_id: str) -> dict[str, Any]:
        """List the versions, the newest first, and the job that was given last."""
        with reading() as session:
            found = versions.list_versions(session, current_firm().id, survey_id)
            job = versions.newest_job(session, current_firm().id, survey_id)
            described = _describe_job(session, job) if job is not None else None
            beside = {report.id: papers.papers_beside(session, report) for report in found}
        # Whether the files are what they were is seen on the disk, which no transaction is to wait for.
        return {"reports": [_describe_report(report, beside[report.id]) for report in found], "job": described}

    @reports.doc(requestBody=_REASONS)
    @reports.response(202, ReportJobSchema)
    def post(self, survey_id: str) -> tuple[dict[str, Any], int, dict[str, str]]:
        """Ask for the next version, made from the survey as it stands; a red point wants a written reason."""
        said = _read_reasons()
        with _refusing():
            job = versions.ask_for_version(
                current_app.config["SETTINGS"],
                firm_id=current_firm().id,
                user_id=current_user().id,
                survey_id=survey_id,
                reasons=lambda point: said.get(point.key),
            )
        return _taken(job)


@reports.route("/version-points")
@reports.response(200, PointsSchema)
def points(survey_id: str) -> dict[str, Any]:
    """List what to look at before a version is made today, the red points first."""
    revision, found = versions.points_before(
        current_app.config["SETTINGS"], firm_id=current_firm().id, survey_id=survey_id
    )
    return {"revision": revision, "points": [point.as_dict() for point in found]}


@reports.route("/reports/changes")
@reports.response(200, ChangesSchema)
def show_changes(survey_id: str) -> dict[str, Any]:
    """Say what would be another in the next version than in the newest; `since` is null before the first."""
    found = versions.changes_since(current_firm().id, survey_id)
    if found is None:
        return {"since": None, "changes": []}
    return {"since": found[0], "changes": [item.as_dict() for item in found[1]]}


@reports.route("/report-jobs/<id:job_id>")
@reports.response(200, ReportJobSchema)
def show_job(survey_id: str, job_id: str) -> dict[str, Any]:
    """Say how far a job is."""
    with reading() as session:
        job = versions.find_job(session, current_firm().id, survey_id, job_id)
        if job is None:
            raise Refusal(404, Problem("no_such_job", "The survey has no such job."))
        return _describe_job(session, job)


@reports.route(f"/reports/{_NUMBER}/again", methods=["POST"])
@reports.doc(requestBody=_NOTHING)
@reports.response(202, ReportJobSchema)
def make_again(survey_id: str, number: int) -> tuple[dict[str, Any], int, dict[str, str]]:
    """Ask for a version's file to be made again, when it is missing or damaged."""
    _read_nothing()
    with _refusing():
        job = versions.ask_again(
            current_app.config["SETTINGS"],
            firm_id=current_firm().id,
            user_id=current_user().id,
            survey_id=survey_id,
            number=number,
        )
    if job is None:
        raise _no_such_report(number)
    return _taken(job)


@contextmanager
def _refusing() -> Iterator[None]:
    """Answer what stands in the way of a job."""
    try:
        yield
    except versions.ContestedError as error:
        raise Refusal(409, *error.problems) from error
    except versions.ReasonsWantedError as error:
        raise Refusal(409, *error.problems) from error
    except versions.NotNowError as error:
        raise Refusal(409, Problem(error.code, str(error))) from error
    except versions.QueueFullError as error:
        raise Refusal(
            429, Problem("too_many_reports", str(error)), headers={"Retry-After": str(versions.ASK_AGAIN_S)}
        ) from error


def _taken(job: ReportJob) -> tuple[dict[str, Any], int, dict[str, str]]:
    with reading() as session:
        return _describe_job(session, job), 202, {"Location": f"/api/surveys/{job.survey_id}/report-jobs/{job.id}"}


def _describe_job(session: Session, job: ReportJob) -> dict[str, Any]:
    names = ("id", "state", "number", "revision", "asked_at", "begun_at", "ended_at")
    problem = {"code": job.problem, "message": PROBLEMS[job.problem]} if job.problem is not None else None
    return {
        **{name: getattr(job, name) for name in names},
        "again": job.report_id is not None,
        "before": versions.jobs_before(session, job),
        "problem": problem,
    }


def _describe_report(report: Report, beside: list[ReportPaper]) -> dict[str, Any]:
    names = ("number", "revision", "made_at", "pages", "size_bytes", "sha256", "app_version", "engine_version")
    first = paper_names.LABELS[paper_names.QUOTATION] if beside else paper_names.WHOLE_REPORT
    kept: list[tuple[str, str, papers.Kept]] = [(paper_names.QUOTATION, first, report)]
    kept += [(item.name, paper_names.LABELS[item.name], item) for item in beside]
    order = list(paper_names.LABELS)
    described = [
        {
            "name": name,
            "label": label,
            "pages": item.pages,
            "size_bytes": item.size_bytes,
            "state": papers.paper_state(current_app.config["SETTINGS"], item),
        }
        for name, label, item in sorted(kept, key=lambda one: order.index(one[0]))
    ]
    spoilt = [item["state"] for item in described if item["state"] in papers.SPOILT]
    return {
        **{name: getattr(report, name) for name in names},
        "reasons": json.loads(report.reasons_json or "[]"),
        # A version is whole when every paper of it is.
        "paper": spoilt[0] if spoilt else described[0]["state"],
        "papers": described,
    }


def _no_such_report(number: int) -> Refusal:
    return Refusal(404, Problem("no_such_report", f"The survey has no report of version {number}."))


def _find_report(session: Session, survey_id: str, number: int) -> Report:
    found = versions.find_version(session, current_firm().id, survey_id, number)
    if found is None:
        raise _no_such_report(number)
    return found


def _read_paper(paper: papers.Kept, number: int) -> bytes:
    try:
        return papers.read_paper(current_app.config["SETTINGS"], paper, number)
    except papers.PaperError as error:
        raise Refusal(
            410, Problem(error.code, f"{error} The Reports page says whether it can be made again.")
        ) from error


@reports.route(f"/reports/{_NUMBER}.pdf")
@reports.response(200, {"type": "string", "format": "binary"}, content_type="application/pdf")
def pdf(survey_id: str, number: int) -> Response:
    """Return a version's quotation, or its one report where it was made before there were three papers."""
    with reading() as session:
        found = _find_report(session, survey_id, number)
    content = io.BytesIO(_read_paper(found, number))
    response = send_file(
        content,
        mimetype="application/pdf",
        download_name=f"quotation-{number}.pdf",
        etag=found.id,
        conditional=True,
    )
    response.headers["Content-Security-Policy"] = PDF_CONTENT_POLICY
    return response


@reports.route(f"/reports/{_NUMBER}/<any(file, sheets, page):name>")
@reports.response(200, {"type": "string", "format": "binary"}, content_type="application/pdf")
def other_paper(survey_id: str, number: int, name: str) -> Response:
    """Return another paper of a version: the technical file, the site sheets, or the quotation as a page."""
    with reading() as session:
        report = _find_report(session, survey_id, number)
        found = next((item for item in papers.papers_beside(session, report) if item.name == name), None)
    if found is None:
        raise Refusal(404, Problem("no_such_paper", f"Version {number} was made before it had this paper."))
    response = send_file(
        io.BytesIO(_read_paper(found, number)),
        mimetype=paper_names.media_type(name),
        download_name=f"{name}-{number}.{paper_names.ending(name)}",
        etag=f"{report.id}-{name}",
        conditional=True,
    )
    response.headers["Content-Security-Policy"] = (
        PAGE_CONTENT_POLICY if name == paper_names.PAGE else PDF_CONTENT_POLICY
    )
    return response


@reports.route(f"/reports/{_NUMBER}/emails", methods=["POST"])
@reports.arguments(NewEmailSchema)
@reports.response(202, EmailSchema)
def send(given: dict[str, Any], survey_id: str, number: int) -> dict[str, Any]:
    """Put an email with this version into the outbox."""
    with reading() as session:
        found = _find_report(session, survey_id, number)
    # Better said now than found in the outbox later.
    _read_paper(found, number)
    with writing() as session:
        report = _find_report(session, survey_id, number)
        email = outbox.enqueue(session, survey_id=survey_id, report=report, **given)
        return _describe(email, report.number)


@reports.route("/emails")
@reports.response(200, EmailsSchema)
def list_emails(survey_id: str) -> dict[str, Any]:
    """List the survey's emails, the newest first."""
    with reading() as session:
        find_survey(session, current_firm().id, survey_id)
        query = (
            select(Email, Report.number)
            .join(Report, Report.id == Email.report_id)
            .where(Email.survey_id == survey_id)
            .order_by(Email.created_at.desc(), Email.id.desc())
        )
        return {"emails": [_describe(email, number) for email, number in session.execute(query)]}


@emails.route("/<id:email_id>/retry", methods=["POST"])
@emails.doc(requestBody=_NOTHING)
@emails.response(202, EmailSchema)
def retry(email_id: str) -> dict[str, Any]:
    """Let a failed, uncertain or held email wait again: a person's decision."""
    _read_nothing()
    with writing() as session:
        query = (
            select(Email, Report.number)
            .join(Report, Report.id == Email.report_id)
            .join(StoredSurvey, StoredSurvey.id == Email.survey_id)
            .where(Email.id == email_id, StoredSurvey.firm_id == current_firm().id)
            .with_for_update(of=Email)
        )
        found = session.execute(query.execution_options(populate_existing=True)).one_or_none()
        if found is None:
            raise Refusal(404, Problem("no_such_email", "There is no such email."))
        return _describe(outbox.retry(session, found[0]), found[1])


def _describe(email: Email, number: int) -> dict[str, Any]:
    names = ("id", "to", "subject", "message", "state", "attempts", "last_error", "created_at", "sent_at", "file_name")
    return {"report": number, **{name: getattr(email, name) for name in names}}
