"""What is worked out of a survey: its assessment with drawings, its quote, its document."""

from __future__ import annotations

import dataclasses
from typing import Any

from flask import Response, current_app, jsonify

from .. import pictures
from ..database import reading
from ..engine import assess, to_plain
from ..engine.results import Assessment
from ..office.quote import work_out
from ..pictures import DARK, PAPER, Palette
from ..survey.document import Survey
from ..survey.gaps import find_gaps
from ..sync.documents import export_document
from ..sync.surveys import load_survey
from .access import current_firm
from .blueprints import ApiBlueprint
from .schemas import AssessedSchema

results = ApiBlueprint("results", __name__, url_prefix="/api/surveys/<id:survey_id>", description="What is worked out of a survey.")


@results.route("/assessment")
@results.response(200, AssessedSchema)
def assessment(survey_id: str) -> dict[str, Any]:
    """Assess the survey as it stands; the drawings come for light and for dark."""
    with reading() as session:
        loaded = load_survey(session, current_firm().id, survey_id)
    assessed = assess(loaded.survey)
    return {
        "revision": loaded.revision,
        "assessment": to_plain(assessed),
        "gaps": [dataclasses.asdict(gap) for gap in find_gaps(loaded.survey)],
        "pictures": _draw(loaded.survey, assessed, PAPER),
        "pictures_dark": _draw(loaded.survey, assessed, DARK),
    }


def _draw(survey: Survey, assessed: Assessment, palette: Palette) -> dict[str, Any]:
    bases = {}
    for base in assessed.bases:
        record = survey.find("base", base.id)
        position = survey.find("outdoor_position", record.position) if record is not None else None
        bases[base.id] = pictures.base_plan(base, position.heavy_side if position is not None else None, palette)
    return {
        "room_losses": pictures.room_losses(assessed, palette) if assessed.rooms else None,
        "flow": pictures.flow_search(assessed, palette) if assessed.flow is not None else None,
        "bases": bases,
        "zones": {plan.id: pictures.zone_plan(plan, palette) for plan in assessed.site.zones},
        "circuit": pictures.circuit_scheme(assessed.site.circuit, assessed.site.runs, palette) if assessed.site.circuit is not None else None,
        "cables": pictures.cable_schedule(assessed.cables, assessed.site.supply.cables if assessed.site.supply else (), palette) if assessed.cables else None,
    }


@results.route("/quote")
@results.response(200, {"type": "object"})
def quote(survey_id: str) -> Response:
    """Add up the price lines."""
    with reading() as session:
        loaded = load_survey(session, current_firm().id, survey_id)
    return jsonify(work_out(loaded.survey).as_dict())


@results.route("/document")
@results.response(200, {"type": "object"})
def document(survey_id: str) -> Response:
    """Return the survey as a document, photos inlined."""
    return jsonify(export_document(firm_id=current_firm().id, survey_id=survey_id, photos=current_app.config["SETTINGS"].photos))
