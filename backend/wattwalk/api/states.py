"""The office's list: the state of every survey of the firm."""

from __future__ import annotations

from typing import Any

from ..database import reading
from ..office.states import list_states
from .access import current_firm
from .blueprints import ApiBlueprint
from .schemas import SurveyStatesSchema

states = ApiBlueprint("states", __name__, url_prefix="/api/survey-states", description="How far each survey is.")


@states.route("")
@states.response(200, SurveyStatesSchema)
def list_all() -> dict[str, Any]:
    """List how many gaps each survey has and where its last email is, the survey that changed last first."""
    with reading() as session:
        return {"surveys": list_states(session, current_firm().id)}
