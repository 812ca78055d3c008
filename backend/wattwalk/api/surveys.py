"""Surveys: the list, changes in and out, one survey with its gaps, its assessment, its quote, its document."""

from __future__ import annotations

import dataclasses
from typing import Any

from flask import Response, current_app, jsonify

from .. import accounts
from ..database import Schema, moment_text, present_revision, reading
from ..engine.gaps import gaps_of
from ..survey.errors import Problem
from ..survey.model import SHAPE, shape_of, survey_model
from ..survey.works import Photo
from ..sync import pull as log
from ..sync import push as intake
from ..sync import surveys as stored
from ..sync.book import book_state
from ..sync.listing import list_moved
from ..sync.sight import OF_SURVEY, Sight
from ..version import program_version
from .access import current_firm, current_user
from .blueprints import ApiBlueprint
from .errors import Refusal
from .schemas import (
    HealthSchema,
    ListQuerySchema,
    PulledSchema,
    PullQuerySchema,
    PushedSchema,
    PushSchema,
    SurveyQuerySchema,
    SurveySchema,
    SurveysSchema,
)

office = ApiBlueprint("office", __name__, url_prefix="/api", description="What the program is.")
surveys = ApiBlueprint("surveys", __name__, url_prefix="/api/surveys", description="Surveys and their logs.")


def refuse_too_old(model: str | None) -> None:
    """Refuse an app that would take what is stored for something else; its own changes wait on its phone until it has been updated.

    Raises
    ------
    Refusal
        409 ``app_too_old``.
    """
    if shape_of(model) < SHAPE:
        words = "This app is older than what the office keeps. Nothing is lost: all that is on this phone stays there and is sent after the update. Open the list of surveys and take the new version."
        raise Refusal(409, Problem("app_too_old", words, "model"))


def answer_push(log_id: str, given: dict[str, Any], sight: Sight) -> Response:
    """Take a batch of changes into a log and answer each of them.

    Raises
    ------
    Refusal
        409 ``app_too_old``.
    """
    if given["model"] is not None:
        refuse_too_old(given["model"])
    changes = intake.read_batch(given["device"], given["changes"])
    pushed = intake.push(
        firm_id=current_firm().id,
        user_id=current_user().id,
        survey_id=log_id,
        device=given["device"],
        changes=changes,
        epoch=given["epoch"],
        sight=sight,
    )
    # Plain already; dumping a thousand results through their schema would double the time of the whole.
    return jsonify(
        {"epoch": pushed.epoch, "revision": pushed.revision, "results": [result.as_dict() for result in pushed.results]}
    )


def answer_pull(pulled: log.Pulled, **more: Any) -> Response:
    """Answer with a portion of a log, and what belongs to it."""
    # Plain already, as the answer to a push is.
    changes = [{**change, "received_at": moment_text(change["received_at"])} for change in pulled.changes]
    return jsonify({"revision": pulled.revision, "more": pulled.more, "changes": changes, **more})


@office.route("/health")
@office.response(200, HealthSchema)
def health() -> dict[str, str]:
    """Say that the office answers, on a database that answers and has the tables of this program; 503 `not_ready` when it has others."""
    with reading() as session:
        trouble = Schema(present_revision(session.connection())).trouble()
        if trouble is not None:
            raise Refusal(503, Problem("not_ready", trouble))
        return {"status": "ok", "version": program_version(), "epoch": accounts.epoch()}


@office.route("/model")
@office.response(200, {"type": "object"})
def model() -> Response:
    """Return the survey model: stages, kinds, fields, what is expected."""
    return jsonify(survey_model())


@surveys.route("")
@surveys.arguments(ListQuerySchema, location="query")
@surveys.response(200, SurveysSchema)
def list_all(asked: dict[str, Any]) -> dict[str, Any]:
    """List the firm's surveys: those whose line has changed since a number, in that order; without a number all, the one that changed last first.

    `cursor` is the number to ask with next. What is held is to be dropped when `since` comes back as another number, and asked for anew
    from 0 when `count` is not as many as are then held.
    """
    with reading() as session:
        epoch, firm_id, store = accounts.epoch(), current_firm().id, current_app.config["SETTINGS"].photos
        if asked["since"] is None:
            return {"epoch": epoch, "surveys": stored.list_surveys(session, firm_id, store)}
        page = list_moved(session, firm_id, asked["since"], asked["limit"], store)
        return {"epoch": epoch, "book": book_state(session, firm_id, current_user().role), **vars(page)}


@surveys.route("/<id:survey_id>")
@surveys.arguments(SurveyQuerySchema, location="query")
@surveys.response(200, SurveySchema)
def show(asked: dict[str, Any], survey_id: str) -> dict[str, Any]:
    """Return a survey as it stands: records, contested and refused values, photos, gaps."""
    only = (Photo.kind.name,) if asked["brief"] else None
    with reading() as session:
        loaded = stored.load_survey(session, current_firm().id, survey_id, only=only)
        contested, refused = log.find_contested(session, survey_id), log.find_refused(session, survey_id)
    survey = loaded.survey
    brief = {
        "id": survey.id,
        "revision": loaded.revision,
        "contested": contested,
        "refused": refused,
        "photos": [dataclasses.asdict(photo) for photo in loaded.photos(current_app.config["SETTINGS"].photos)],
    }
    if asked["brief"]:
        return brief
    return {
        **brief,
        "title": survey.title(),
        "records": {
            kind: [{"id": item.id, **item.values()} for item in items] for kind, items in survey.records.items()
        },
        "gaps": [dataclasses.asdict(gap) for gap in gaps_of(survey)],
    }


@surveys.route("/<id:survey_id>/changes", methods=["POST"])
@surveys.arguments(PushSchema)
@surveys.response(200, PushedSchema)
def push(given: dict[str, Any], survey_id: str) -> Response:
    """Take changes into the survey's log; the first one makes the survey.

    A batch of an app whose model has an older shape is not taken (409 `app_too_old`), and stays with the app until it has been updated.
    The body may come packed, with `Content-Encoding: gzip`; unpacked it may be as long as one that is not (20 MB).
    """
    return answer_push(survey_id, given, OF_SURVEY)


@surveys.route("/<id:survey_id>/changes", methods=["GET"])
@surveys.arguments(PullQuerySchema, location="query")
@surveys.response(200, PulledSchema)
def pull(asked: dict[str, Any], survey_id: str) -> Response:
    """Return the accepted changes after a revision, in order, to an app that knows the present shape of the model."""
    with reading() as session:
        epoch = accounts.epoch()
        pulled = log.pull(session, current_firm().id, survey_id, asked["since"], asked["limit"])
    refuse_too_old(asked["model"])
    return answer_pull(pulled, epoch=epoch)
