"""Report versions, and the emails that carry them."""

from __future__ import annotations

from typing import Any

from flask import Response, current_app, request, send_file
from flask.views import MethodView
from sqlalchemy import select
from sqlalchemy.orm import Session

from ..database import reading, writing
from ..models import Email, Report, StoredSurvey
from ..office import outbox, versions
from ..office.report_inputs import ReportError
from ..survey.errors import Problem
from ..sync.surveys import find_survey
from ..web import PDF_CONTENT_POLICY
from .access import current_firm, current_user
from .blueprints import ApiBlueprint, read_json
from .errors import Refusal
from .schemas import EmailSchema, EmailsSchema, NewEmailSchema, NothingSchema, ReportSchema, ReportsSchema

reports = ApiBlueprint("reports", __name__, url_prefix="/api/surveys/<id:survey_id>", description="Report versions and their emails.")
emails = ApiBlueprint("emails", __name__, url_prefix="/api/emails", description="The outbox.")

_NUMBER = "<int(min=1, max=1000000):number>"
_NOTHING = {"required": False, "content": {"application/json": {"schema": {"type": "object", "additionalProperties": False}}}}


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
        """List the versions, the newest first."""
        with reading() as session:
            return {"reports": versions.list_versions(session, current_firm().id, survey_id)}

    @reports.doc(requestBody=_NOTHING)
    @reports.response(201, ReportSchema)
    def post(self, survey_id: str) -> Report:
        """Make the next version from the survey as it stands."""
        _read_nothing()
        try:
            return versions.make_version(
                current_app.config["SETTINGS"], firm_id=current_firm().id, user_id=current_user().id, survey_id=survey_id
            )
        except versions.ContestedError as error:
            raise Refusal(409, *error.problems) from error
        except ReportError as error:
            current_app.logger.error("The report of %s was not made: %s", survey_id, error)
            raise Refusal(503, Problem("report_not_made", "The report could not be made just now; the office's log says why.")) from error


def _find_report(session: Session, survey_id: str, number: int) -> Report:
    found = versions.find_version(session, current_firm().id, survey_id, number)
    if found is None:
        raise Refusal(404, Problem("no_such_report", f"The survey has no report of version {number}."))
    return found


@reports.route(f"/reports/{_NUMBER}.pdf")
@reports.response(200, {"type": "string", "format": "binary"}, content_type="application/pdf")
def pdf(survey_id: str, number: int) -> Response:
    """Return a version's PDF."""
    with reading() as session:
        found = _find_report(session, survey_id, number)
    path = versions.report_path(current_app.config["SETTINGS"], found)
    response = send_file(path, mimetype="application/pdf", download_name=f"survey-report-{number}.pdf", etag=found.id, conditional=True)
    response.headers["Content-Security-Policy"] = PDF_CONTENT_POLICY
    return response


@reports.route(f"/reports/{_NUMBER}/emails", methods=["POST"])
@reports.arguments(NewEmailSchema)
@reports.response(202, EmailSchema)
def send(given: dict[str, str], survey_id: str, number: int) -> dict[str, Any]:
    """Put an email with this version into the outbox."""
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
