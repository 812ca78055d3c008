"""Price lines that a survey asks for."""

from __future__ import annotations

import pytest

from tests.support import invented_house as house
from wattwalk.offers import look_at_lines
from wattwalk.survey.document import read_document


def test_suggestions_come_from_what_the_survey_calls_for():
    found = {item.record: item for item in look_at_lines(house.survey())[0]}
    assert set(found) == {
        "unit/unit-of-place1",
        "hot_water/hw",
        "emitter/kitchen-e1",
        "nearby_object/airbrick",
        "cable_run/bus1",
        "pipe_run/primary",
    }
    assert found["cable_run/bus1"].quantity == "11.5"
    assert found["pipe_run/primary"].quantity == "10.5"
    assert found["emitter/kitchen-e1"].what == "Take out the single panel, one convector (type 11) in Kitchen"
    assert found["nearby_object/airbrick"].drawn_from == "airbrick"


def test_a_line_drawn_from_a_record_ends_its_suggestion():
    document = house.document()
    document["records"]["price_line"].append({"id": "p9", "what": "Bus cable", "drawn_from": "bus1"})
    records = {item.record for item in look_at_lines(read_document(document))[0]}
    assert "cable_run/bus1" not in records
    assert "pipe_run/primary" in records


@pytest.mark.parametrize("change", [{"remedy_done": True}, {"remedy": "none_needed"}])
def test_a_done_or_needless_remedy_is_not_suggested(change):
    document = house.document()
    document["records"]["nearby_object"][0].update(change)
    assert "nearby_object/airbrick" not in {item.record for item in look_at_lines(read_document(document))[0]}


def test_a_base_not_made_yet_is_suggested():
    document = house.document()
    document["records"]["base"][0]["made_of"] = "not_yet"
    assert "base/base1" in {item.record for item in look_at_lines(read_document(document))[0]}
