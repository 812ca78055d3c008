"""What the engine keeps from one assessment to the next changes no byte of it."""

from __future__ import annotations

import json
import random
import sys
from typing import Any

from tests.support.houses import Document, terrace
from wattwalk.answer import Desk

EDITS = 25
#: Fields that a surveyor changes, the kinds they are of, and what they may become.
CHANGES = (
    ("room", "length_m", (3, 3.0, 4.25, 6.1)),
    ("room", "use", ("bathroom", "bedroom", "living")),
    ("emitter", "length_mm", (400, 900.0, 1800)),
    ("emitter", "type", ("panel_11", "panel_22", "underfloor", None)),
    ("emitter", "plan", ("keep", "replace")),
    ("surface", "width_m", (1, 2.5)),
    ("surface", "other_side", ("outside", "neighbour", "unheated")),
    ("construction", "u_value_w_m2k", (0.3, 1.7)),
    ("survey", "outside_design_temperature_c", (-6, -3.0)),
)


def request_for(document: Document) -> str:
    """Write the survey down as the phone's worker is asked it."""
    records = [
        {
            "kind": kind,
            "id": record["id"],
            "values": {name: value for name, value in record.items() if name != "id" and value is not None},
        }
        for kind, found in document["records"].items()
        for record in found
    ]
    return json.dumps({"id": document["id"], "records": records})


def kept() -> list[Any]:
    """Return whatever the engine has of functions that keep their answers, wherever they are and whatever they are called."""
    parts = [module for name, module in sys.modules.items() if name.startswith("wattwalk.engine")]
    return [value for module in parts for value in vars(module).values() if hasattr(value, "cache_clear")]


def test_an_assessment_after_many_edits_is_that_of_a_fresh_start() -> None:
    chance = random.Random(20_261_125)
    document = terrace(4)
    desk, answers = Desk(), []
    for _ in range(EDITS):
        kind, name, values = chance.choice(CHANGES)
        chance.choice(document["records"][kind])[name] = chance.choice(values)
        request = request_for(document)
        answers.append((request, desk.figures(request), desk.rest()))
    assert len({figures for _request, figures, _rest in answers}) > EDITS // 2
    # Without anything that was kept and used again there would be nothing to compare.
    assert any(function.cache_info().hits > EDITS for function in kept())
    for request, figures, rest in answers:
        for function in kept():
            function.cache_clear()
        fresh = Desk()
        assert fresh.figures(request) == figures
        assert fresh.rest() == rest
