"""What is worked out of a survey: its assessment with drawings, its quote, its document."""

from __future__ import annotations

import dataclasses
from typing import Any

from flask import Response, current_app, jsonify

from .. import accounts
from ..answer import plans, rest, together
from ..database import now, reading
from ..engine import assess
from ..offers.options import option_ids, option_row
from ..offers.quote import work_out
from ..office.margin import margin_of
from ..survey.errors import Problem
from ..survey.options import as_offered
from ..sync.book import leant_on, load_prices
from ..sync.documents import LostPhotosError, export_document
from ..sync.surveys import find_survey, load_survey
from .access import current_firm, refuse_but_office
from .blueprints import ApiBlueprint
from .errors import Refusal
from .kept import answer_packed, kept_answers
from .schemas import AssessedSchema, MarginSchema, OptionsSchema

results = ApiBlueprint(
    "results", __name__, url_prefix="/api/surveys/<id:survey_id>", description="What is worked out of a survey."
)


def today() -> str:
    """Return the day by which rates and grant are held."""
    return now().date().isoformat()


@results.route("/assessment")
@results.response(200, AssessedSchema)
def assessment(survey_id: str) -> Response:
    """Assess the survey as it stands; the drawings come for light and for dark. What was answered once is not worked out again."""
    firm_id, day = current_firm().id, today()
    with reading() as session:
        # All that the answer hangs on: another revision of the survey or of what it leans on is another question.
        stands_at = (find_survey(session, firm_id, survey_id), leant_on(session, firm_id))
        question = ("assessment", accounts.epoch(), survey_id, *stands_at, day)
        packed = kept_answers().find(question)
        if packed is not None:
            return answer_packed(packed)
        loaded = load_survey(session, firm_id, survey_id, prices=True)
    assessed = assess(loaded.whole)
    answer = {
        "revision": loaded.revision,
        "book": loaded.leant_on,
        "assessment": assessed,
        **together(rest(loaded.whole, assessed, day), plans(loaded.whole, assessed)),
    }
    return answer_packed(kept_answers().keep(question, answer))


@results.route("/quote")
@results.response(200, {"type": "object"})
def quote(survey_id: str) -> Response:
    """Add up the price lines of what is offered; rates of VAT and grant by today."""
    with reading() as session:
        loaded = load_survey(session, current_firm().id, survey_id, prices=True)
    survey = as_offered(loaded.whole).survey
    return jsonify(work_out(survey, assess(survey).rooms, today()).as_dict())


@results.route("/margin")
@results.response(200, MarginSchema)
def margin(survey_id: str) -> dict[str, Any]:
    """Return what is left over of each line and of the price after what its articles cost the firm; the office alone sees it."""
    refuse_but_office("Only the office sees what is left over of a price.")
    with reading() as session:
        loaded = load_survey(session, current_firm().id, survey_id, prices=True)
        costs = load_prices(session, current_firm().id, with_costs=True)
    survey = as_offered(loaded.whole).survey
    return margin_of(survey, work_out(survey, assess(survey).rooms, today()), costs).as_dict()


@results.route("/options")
@results.response(200, OptionsSchema)
def options(survey_id: str) -> dict[str, Any]:
    """Work out the survey as it stands and each of its options, side by side; the phone says the same of itself."""
    with reading() as session:
        loaded = load_survey(session, current_firm().id, survey_id, prices=True)
    rows = [option_row(loaded.whole, name, today()) for name in option_ids(loaded.whole)]
    return {"revision": loaded.revision, "options": [dataclasses.asdict(row) for row in rows]}


@results.route("/document")
@results.response(200, {"type": "object"})
def document(survey_id: str) -> Response:
    """Return the survey as a document, photos inlined."""
    try:
        return jsonify(
            export_document(
                firm_id=current_firm().id, survey_id=survey_id, photos=current_app.config["SETTINGS"].photos
            )
        )
    except LostPhotosError as error:
        raise Refusal(409, Problem("photo_lost", str(error))) from error
