"""The office's list: the state of every survey of the firm."""

from __future__ import annotations

from typing import Any

from ..office.states import list_states
from .access import current_firm
from .blueprints import ApiBlueprint
from .schemas import ListQuerySchema, SurveyStatesSchema

states = ApiBlueprint("states", __name__, url_prefix="/api/survey-states", description="How far each survey is.")


@states.route("")
@states.arguments(ListQuerySchema, location="query")
@states.response(200, SurveyStatesSchema)
def list_all(asked: dict[str, Any]) -> dict[str, Any]:
    """List how many gaps each survey has and where its last email is.

    What is known is said at once; `gaps` is null where they are not counted yet, which a later answer makes good. With `since` it is the
    surveys whose line in the list has changed since that number, page by page; without it all of them, the one that changed last first.
    """
    if asked["since"] is None:
        return {"surveys": list(reversed(list_states(current_firm().id).surveys))}
    return vars(list_states(current_firm().id, asked["since"], asked["limit"]))
