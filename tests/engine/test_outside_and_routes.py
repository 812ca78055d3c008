"""The protective zone, cables, pipes and the supply: each finding once fired and once kept quiet."""

from __future__ import annotations

import CoolProp.CoolProp as coolprop
import pytest

from tests.support.houses import changed
from wattwalk.engine.answers import Severity
from wattwalk.engine.place.zone_findings import DANGERS, WAY_WORDS

from .support import assessed, findings, only

POSITION = {
    "id": "p",
    "name": "Back garden",
    "wall_faced": "free",
    "unit_width_mm": 1000,
    "unit_depth_mm": 400,
    "unit_height_mm": 900,
    "clear_back_mm": 200,
    "condensate_route": "gravel",
}
BUS = {
    "id": "bus",
    "purpose": "bus",
    "cores": 2,
    "is_screened": True,
    "run_by": "electrician",
    "stretches": [{"place": "outdoors", "length_m": 7.5}, {"place": "heated", "length_m": 2}],
    "parallel_to_mains_m": 3,
    "gap_to_mains_mm": 50,
}
SUPPLY = {
    "id": "supply",
    "purpose": "supply",
    "cores": 3,
    "size_mm2": 6,
    "run_by": "electrician",
    "stretches": [{"place": "outdoors", "length_m": 8}],
}
PIPE = {
    "id": "pipe",
    "purpose": "primary",
    "stretches": [{"place": "outdoors", "length_m": 4}],
    "insulation": "closed_cell",
    "insulation_mm": 25,
    "uv_proof": True,
    "constraint": "none",
}


def site(objects=(), **kinds):
    records = {
        "outdoor_position": [POSITION],
        "cable_run": [BUS, SUPPLY],
        "pipe_run": [PIPE],
        "nearby_object": list(objects),
        **kinds,
    }
    return {"format": "wattwalk-survey", "version": 1, "id": "site", "records": records}


def thing(along=0.8, out=0.0, up=0.2, kind="air_brick", **more):
    return {"id": "thing", "position": "p", "type": kind, "along_m": along, "out_m": out, "up_m": up, **more}


def in_zone(*objects, **position):
    return findings(assessed(changed(site(objects), "outdoor_position", "p", **position)), "in_protective_zone")


def test_a_remedy_speaks_of_what_lies_there():
    for kind in DANGERS:
        (found,) = in_zone(thing(kind=kind, out=0.3))
        assert ("air brick" in found.remedy) is (kind == "air_brick"), kind
        assert found.remedy.startswith(WAY_WORDS[kind]), kind


def test_a_sound_site_says_nothing():
    assert assessed(site()).findings == ()


@pytest.mark.parametrize(
    "kind",
    [
        "air_brick",
        "window",
        "door",
        "drain",
        "gully",
        "light_well",
        "cellar_hatch",
        "pit",
        "socket",
        "switch",
        "isolator",
        "charging_point",
        "flue",
        "boundary",
    ],
)
def test_what_must_not_lie_in_the_zone_stops_the_job(kind):
    found = in_zone(thing(kind=kind))
    assert [(item.severity, item.record) for item in found] == [(Severity.STOP, "nearby_object/thing")]
    assert found[0].remedy


def test_other_things_may_lie_in_the_zone():
    assert in_zone(thing(kind="other")) == []


@pytest.mark.parametrize(
    ("along", "out", "up", "inside"),
    [
        (2.1, 0, 0, True),
        (-2.1, 0, 0, True),
        (2.11, 0, 0, False),
        (0, 2.2, 0, True),
        (0, 2.21, 0, False),
        (0, 0, 0.9, True),
        (0, 0, 0.91, False),
        (0, 0, -1.0, True),
    ],
)
def test_the_zone_is_a_rectangle_from_the_units_top_down(along, out, up, inside):
    assert bool(in_zone(thing(along, out, up))) is inside


def test_the_zone_grows_with_the_distances_that_are_typed():
    assert in_zone(thing(along=2.4)) == []
    assert in_zone(thing(along=2.4), zone_side_m=1.9)


def test_only_a_remedy_that_is_done_clears_it():
    assert in_zone(thing(remedy="close_off"))[0].field == "remedy_done"
    assert in_zone(thing(remedy="close_off", remedy_done=False))
    assert in_zone(thing(remedy="none_needed", remedy_done=True))
    assert in_zone(thing(remedy="close_off", remedy_done=True)) == []
    assert in_zone(thing(remedy="move", remedy_done=True)) == []


def test_another_remedy_is_for_a_person_to_judge():
    result = assessed(site([thing(remedy="other", remedy_done=True)]))
    assert only(result, "in_zone_other_remedy", Severity.CHECK)


def test_an_unknown_size_draws_the_zone_too_small_and_says_so():
    result = assessed(changed(site([thing(along=0.9)]), "outdoor_position", "p", unit_width_mm=None))
    assert only(result, "zone_incomplete", Severity.CHECK).field is None
    assert findings(result, "in_protective_zone")


CORNERS = [{"along_m": along, "out_m": out} for along, out in ((-2, 0), (2, 0), (2, 2), (-2, 2))]


def with_unit(*things, **unit):
    document = site(list(things))
    document["version"] = 3
    (place,) = document["records"]["outdoor_position"]
    body = {"width_mm": 1000, "depth_mm": 400, "height_mm": 1000}
    document["records"]["outdoor_position"] = [
        {name: value for name, value in place.items() if not name.startswith(("unit_", "zone_drawing", "refrigerant"))}
        | {"unit": "u"}
    ]
    document["records"]["unit"] = [{"id": "u", "name": "Unit", **body, **unit}]
    return assessed(document)


def test_a_refrigerant_that_does_not_burn_has_no_zone():
    result = with_unit(thing(), refrigerant="other", safety_class="a1")
    assert "does not burn" in only(result, "zone_not_checked", Severity.NOTE).message
    assert not findings(result, "in_protective_zone")
    assert not findings(result, "in_zone_of_a2l")
    assert result.site.zones[0].corners == ()


def test_a_refrigerant_whose_class_is_not_known_is_held_to_the_rules_of_propane():
    result = with_unit(thing(), refrigerant="other")
    said = only(result, "refrigerant_class_unknown", Severity.CHECK)
    assert (said.record, said.field) == ("outdoor_position/p", None)
    found = only(result, "in_protective_zone", Severity.STOP)
    assert "until its safety class is known" in found.message
    assert "Propane (R290)" not in found.message
    assert result.site.zones[0].corners == with_unit(thing()).site.zones[0].corners
    known = with_unit(thing(), refrigerant="other", safety_class="a3")
    assert only(known, "in_protective_zone", Severity.STOP)
    assert not findings(known, "refrigerant_class_unknown")


@pytest.mark.parametrize("kind", ["air_brick", "window", "gully", "pit", "socket", "isolator", "flue", "boundary"])
@pytest.mark.parametrize(
    "unit", [{"refrigerant": "r32"}, {"refrigerant": "r454"}, {"refrigerant": "other", "safety_class": "a2l"}]
)
def test_what_lies_in_the_planning_shape_of_an_a2l_unit_is_looked_at_and_stops_nothing(unit, kind):
    result = with_unit(thing(type=kind), **unit)
    found = only(result, "in_zone_of_a2l", Severity.CHECK)
    assert found.record.startswith("nearby_object/")
    assert "competent person" in found.remedy
    assert "propane (R290) is" not in found.message.lower()
    assert not findings(result, "in_protective_zone")
    said = only(result, "zone_of_a2l", Severity.NOTE)
    assert "no published size" in said.message
    # The stricter one: the shape of a propane unit of that size at that place.
    assert result.site.zones[0].corners == with_unit(thing(type=kind)).site.zones[0].corners


@pytest.mark.parametrize(
    ("kind", "code", "severity"),
    [
        ("air_brick", "in_protective_zone", Severity.STOP),
        ("gully", "in_protective_zone", Severity.STOP),
        ("socket", "in_zone_of_a2l", Severity.CHECK),
        ("boundary", "in_zone_of_a2l", Severity.CHECK),
    ],
)
def test_the_makers_own_corners_of_an_a2l_unit_hold_against_openings_and_hollows(kind, code, severity):
    result = with_unit(thing(type=kind), refrigerant="r32", zone_drawing="corners", zone_corners=CORNERS)
    assert only(result, code, severity).record.startswith("nearby_object/")
    assert not findings(result, "zone_of_a2l")
    assert not findings(
        with_unit(thing(type=kind, along=2.5), refrigerant="r32", zone_drawing="corners", zone_corners=CORNERS), code
    )


def test_a_remedy_that_is_done_clears_an_a2l_zone_too():
    assert not findings(with_unit(thing(remedy="close_off", remedy_done=True), refrigerant="r32"), "in_zone_of_a2l")
    assert findings(with_unit(thing(remedy="close_off"), refrigerant="r32"), "in_zone_of_a2l")


def test_what_is_said_of_r32_is_so():
    ratio = coolprop.PropsSI("D", "T", 293.15, "P", 101325, "R32") / coolprop.PropsSI(
        "D", "T", 293.15, "P", 101325, "Air"
    )
    assert ratio == pytest.approx(1.8, abs=0.05)
    message = only(with_unit(thing(), refrigerant="r32"), "in_zone_of_a2l", Severity.CHECK).message
    assert "R32 is about 1.8 times as heavy as air, sinks and spreads, and burns from 14.4 % by volume" in message
    # 14.4 % by volume and 0.307 kg/m3 are the same limit at 25 °C: 52.02 g/mol over 24.47 l/mol.
    assert pytest.approx(0.307, abs=0.002) == 0.144 * 52.02 / 24.47


def test_what_is_said_of_propane_is_so():
    # Propane at 20 °C and one atmosphere against dry air; the message says 'about one and a half times'.
    ratio = coolprop.PropsSI("D", "T", 293.15, "P", 101325, "Propane") / coolprop.PropsSI(
        "D", "T", 293.15, "P", 101325, "Air"
    )
    assert 1.5 <= ratio <= 1.6
    assert "one and a half times as heavy as air" in in_zone(thing())[0].message


def test_condensate_needs_a_way():
    assert only(
        assessed(changed(site(), "outdoor_position", "p", condensate_route="none")),
        "no_condensate_route",
        Severity.CHECK,
    )


@pytest.mark.parametrize(("purpose", "left"), [("bus", [SUPPLY]), ("supply", [BUS])])
def test_a_cable_that_is_not_in_the_survey_stops_the_job(purpose, left):
    result = assessed(site(cable_run=left))
    assert only(result, f"no_{purpose}_cable", Severity.STOP).record == "outdoor_position/p"


def test_without_a_place_no_cable_is_expected():
    assert assessed(site(outdoor_position=[], cable_run=[])).findings == ()


def test_two_places_with_one_cable_are_pointed_out():
    result = assessed(site(outdoor_position=[POSITION, {**POSITION, "id": "q"}]))
    assert only(result, "fewer_bus_cables", Severity.NOTE)
    assert only(result, "fewer_supply_cables", Severity.NOTE)


def cable(name, **fields):
    result = assessed(changed(site(), "cable_run", name, **fields))
    return result, next(item for item in result.cables if item.id == name)


@pytest.mark.parametrize(
    ("fields", "code", "verdict"),
    [
        ({"run_by": "nobody"}, "nobody_runs_it", "stop"),
        ({"is_screened": False, "gap_to_mains_mm": 200}, "bus_not_screened", "stop"),
        ({"shares_conduit_with_mains": True}, "shares_conduit", "stop"),
        ({"gap_to_mains_mm": 49}, "too_near_mains", "stop"),
        ({"cores": 1}, "bus_too_few_cores", "check"),
    ],
)
def test_bus_cable(fields, code, verdict):
    result, found = cable("bus", **fields)
    assert [item.code for item in result.findings] == [code]
    assert (found.verdict, result.findings[0].record) == (verdict, "cable_run/bus")


def test_an_unscreened_cable_needs_the_wider_gap():
    result, _ = cable("bus", is_screened=False)
    assert {item.code for item in result.findings} == {"bus_not_screened", "too_near_mains"}


def test_a_sensor_cable_too_near_is_only_to_be_looked_at():
    result, found = cable("bus", purpose="sensor", gap_to_mains_mm=10)
    assert only(result, "too_near_mains", Severity.CHECK)
    assert found.verdict == "check"


def test_a_cable_that_never_runs_beside_mains_needs_no_gap():
    result, found = cable("bus", parallel_to_mains_m=0, gap_to_mains_mm=None)
    assert (result.findings, found.verdict, found.missing) == ((), "fine", ())


@pytest.mark.parametrize("field", ["gap_to_mains_mm", "is_screened", "run_by", "stretches"])
def test_a_bus_cable_with_something_missing_is_not_known(field):
    _, found = cable("bus", **{field: None})
    assert found.missing
    assert found.verdict in ("not_known", "stop")


def test_a_cable_that_is_there_needs_nobody():
    result, _ = cable("supply", run_by="nobody", is_there=True)
    assert result.findings == ()


def test_length_is_the_sum_of_the_stretches():
    _, found = cable("bus")
    assert found.length_m == 9.5
    _, found = cable("bus", stretches=[{"place": "outdoors"}])
    assert found.length_m is None


@pytest.mark.parametrize(
    ("fields", "code", "severity"),
    [
        ({"constraint": "finished_floor"}, "pipe_finished_floor", Severity.STOP),
        ({"constraint": "asbestos"}, "pipe_asbestos", Severity.STOP),
        ({"constraint": "listed"}, "pipe_listed", Severity.CHECK),
        ({"constraint": "finished_floor", "other_route_agreed": "Round the house"}, None, None),
        ({"constraint": "finished_floor", "other_route_agreed": "  "}, "pipe_finished_floor", Severity.STOP),
        ({"insulation": "none"}, "pipe_not_insulated", Severity.CHECK),
        ({"uv_proof": False}, "pipe_not_uv_proof", Severity.CHECK),
        ({"uv_proof": False, "stretches": [{"place": "heated", "length_m": 3}]}, None, None),
    ],
)
def test_pipe_run(fields, code, severity):
    result = assessed(changed(site(), "pipe_run", "pipe", **fields))
    assert [(item.code, item.severity) for item in result.findings] == ([(code, severity)] if code else [])


@pytest.mark.parametrize(
    ("fields", "codes"),
    [
        ({"cut_out_condition": "unsafe"}, ["supply_unsafe"]),
        ({"cut_out_condition": "old", "looped": True}, ["supply_old", "supply_looped"]),
        ({"cut_out_condition": "good"}, []),
    ],
)
def test_electricity_supply(fields, codes):
    assert [item.code for item in assessed(site(supply=[{"id": "e", **fields}])).findings] == codes
