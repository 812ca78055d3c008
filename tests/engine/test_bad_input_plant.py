"""Input that cannot be right: each is refused or found, names its record, and leaves no figure that is not a number."""

from __future__ import annotations

import json
import math

import pytest

from tests.support.houses import small_house, with_records
from wattwalk.answer import as_text
from wattwalk.engine.answers import Severity
from wattwalk.survey.document import read_document
from wattwalk.survey.errors import SurveyError

from .support import assessed, findings, only
from .test_base import slab
from .test_circuit import PRIMARY, plant
from .test_hot_water import house
from .test_units import with_units


def whole(result):
    """Return the result after looking that no figure in it is NaN or endless."""

    def look(value):
        if isinstance(value, dict):
            for item in value.values():
                look(item)
        elif isinstance(value, list):
            for item in value:
                look(item)
        assert not isinstance(value, float) or math.isfinite(value)

    look(json.loads(as_text({"assessment": result})))
    return result


def test_readings_on_a_line():
    document = slab()
    for item in document["records"]["level_reading"]:
        item["y_mm"] = item["x_mm"]
    result = whole(assessed(document))
    assert only(result, "readings_on_a_line", Severity.CHECK).record == "base/b"
    assert result.bases[0].fall_mm_m is None
    assert not findings(assessed(slab()), "readings_on_a_line")


def test_a_base_smaller_than_the_feet():
    result = whole(assessed(slab(position={"feet_across_mm": 1800, "feet_deep_mm": 900})))
    assert only(result, "base_too_small", Severity.STOP).record == "base/b"


def test_a_run_of_no_length_is_refused_by_its_record():
    with pytest.raises(SurveyError) as caught:
        read_document(
            with_records(small_house(), "pipe_run", {**PRIMARY, "stretches": [{"place": "outdoors", "length_m": 0}]})
        )
    assert [(problem.record, problem.field) for problem in caught.value.problems] == [
        ("pipe_run/pri", "stretches.1.length_m")
    ]
    assert "0.1 to 300 m" in caught.value.problems[0].message


def test_a_run_without_a_length_gives_no_figure():
    (run,) = whole(assessed(plant({**PRIMARY, "stretches": [{"place": "outdoors"}]}))).site.runs
    assert (run.length_m, run.drop_kpa) == (None, None)
    assert "its length" in run.missing


def test_a_pipe_size_that_no_table_has():
    result = whole(assessed(plant({**PRIMARY, "size_mm": 29})))
    assert only(result, "pipe_size_unknown", Severity.CHECK).record == "pipe_run/pri"
    assert result.site.runs[0].velocity_m_s is None


@pytest.mark.parametrize(
    ("fields", "code"),
    [
        ({"poured_on": "2026-09-01"}, "base_poured_after_visit"),
        ({"levelled_on": "2026-09-01", "levelled_outdoor_grade": True}, "levelled_after_visit"),
    ],
)
def test_a_date_after_the_visit(fields, code):
    assert only(whole(assessed(slab(visit="2026-03-12", **fields))), code, Severity.CHECK).record == "base/b"


def test_a_unit_table_with_a_hole():
    made = with_units()
    del made["records"]["unit"][0]["points"][5]
    result = whole(assessed(made))
    said = only(result, "unit_table_wrong", Severity.STOP)
    assert said.record == "unit/unit-small"
    assert "is missing" in said.message
    assert next(item for item in result.plant.units if item.id == "unit-small").capacity_kw is None


def test_corners_of_a_zone_on_a_line_leave_the_planning_shape_in_force():
    records = {
        "outdoor_position": [
            {
                "id": "p",
                "zone_shape": "corners",
                "zone_corners": [{"along_m": place, "out_m": place} for place in (0, 1, 2)],
            }
        ],
        "nearby_object": [{"id": "o", "position": "p", "type": "drain", "along_m": 0.5, "out_m": 0.5, "up_m": 0}],
    }
    result = whole(assessed({"format": "wattwalk-survey", "version": 1, "id": "line", "records": records}))
    assert only(result, "zone_not_known", Severity.CHECK).record == "outdoor_position/p"
    assert (result.site.zones[0].is_makers, result.site.zones[0].objects[0].state) == (False, "inside")


@pytest.mark.parametrize(("fall", "is_said"), [(4.9, True), (5, False), (0, True), (None, False)])
def test_a_discharge_pipe_that_does_not_fall(fall, is_said):
    result = whole(
        assessed(house(water={"valve_outlet": "g_half", **({} if fall is None else {"discharge_fall_mm_m": fall})}))
    )
    assert bool(findings(result, "discharge_fall_small")) is is_said
    if is_said:
        assert only(result, "discharge_fall_small", Severity.STOP).record == "hot_water/w"


def test_two_places_say_for_which_one_the_plant_is_worked_out():
    made = plant()
    made["records"]["outdoor_position"].append({"id": "q", "name": "Garage", "refrigerant": "r32"})
    said = only(assessed(made), "first_place_counted", Severity.CHECK)
    assert (said.record, "for the first place written down, Back; Garage" in said.message) == (
        "outdoor_position/q",
        True,
    )
    assert not findings(assessed(plant()), "first_place_counted")
