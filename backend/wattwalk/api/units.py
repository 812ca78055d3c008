"""A firm's own list of units, checked and made into records; nothing is kept here, the device saves them like any answer."""

from __future__ import annotations

from typing import Any

from ..engine.unit.table import UnitTableError
from ..survey.errors import Problem
from ..unit_list import unit_records
from .blueprints import ApiBlueprint
from .errors import Refusal
from .schemas import UnitListSchema, UnitsSchema

units = ApiBlueprint("units", __name__, url_prefix="/api/unit-lists", description="A firm's own list of units.")


@units.route("", methods=["POST"])
@units.arguments(UnitListSchema)
@units.response(200, UnitsSchema)
def read(given: dict[str, str]) -> dict[str, Any]:
    """Read a list as CSV; one that cannot be right is refused by its row and its column."""
    try:
        return {"units": unit_records(given["name"], given["text"])}
    except UnitTableError as error:
        raise Refusal(422, *(Problem("unit_list_wrong", words) for words in error.problems[:20])) from error
