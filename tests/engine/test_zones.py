"""Zones as polygons, the room around a unit, its isolator, its condensate."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wattwalk.engine.answers import Severity
from wattwalk.engine.place.zone import area_m2, cut_at, holds

from .support import assessed, findings, only

POSITION = {"id": "p", "name": "Back", "unit_width_mm": 1000, "unit_depth_mm": 400, "unit_height_mm": 900, "clear_back_mm": 200, "condensate_route": "gravel"}
SQUARE = ((-1.0, 0.0), (1.0, 0.0), (1.0, 2.0), (-1.0, 2.0))
HOOK = ((0.0, 0.0), (3.0, 0.0), (3.0, 1.0), (1.0, 1.0), (1.0, 3.0), (0.0, 3.0))


def site(objects=(), **position):
    records = {"outdoor_position": [{**POSITION, **position}], "nearby_object": list(objects)}
    return {"format": "wattwalk-survey", "version": 1, "id": "zones", "records": records}


def said(document):
    return [item.code for item in assessed(document).findings if item.code not in ("no_bus_cable", "no_supply_cable", "zone_incomplete")]


def brick(along, out, up=0.1, **more):
    return {"id": "o", "position": "p", "type": "air_brick", "along_m": along, "out_m": out, "up_m": up, **more}


def state(item, **position):
    result = assessed(site([item], **position))
    said = result.site.zones[0].objects[0].state
    # The plan and the findings never differ.
    assert bool(findings(result, "in_protective_zone")) is (said == "inside")
    return said


@pytest.mark.parametrize(("point", "inside"), [((0, 1), True), ((1, 1), True), ((0, 0), True), ((1, 2), True), ((1.001, 1), False), ((0, 2.001), False), ((0, -0.001), False)])
def test_a_polygon_and_its_edges(point, inside):
    assert holds(SQUARE, *point) is inside


@pytest.mark.parametrize(("point", "inside"), [((2, 0.5), True), ((0.5, 2), True), ((2, 2), False), ((1, 2), True), ((2, 1), True), ((1.01, 1.01), False)])
def test_a_hooked_polygon(point, inside):
    assert holds(HOOK, *point) is inside


@given(st.floats(-3, 3), st.floats(-1, 4), st.integers(0, 5))
def test_where_the_corners_start_changes_nothing(along, out, turn):
    turned = HOOK[turn:] + HOOK[:turn]
    assert holds(turned, along, out) == holds(HOOK, along, out) == holds(HOOK[::-1], along, out)


@given(st.floats(-2.5, 2.5))
def test_a_wall_cuts_an_area_in_two(along):
    assert area_m2(cut_at(SQUARE, along, True)) + area_m2(cut_at(SQUARE, along, False)) == pytest.approx(4, abs=1e-9)


@pytest.mark.parametrize(
    ("shape", "along", "out", "said"),
    [
        ("sides", 1.5, 0, "inside"), ("sides", 1.51, 0, "outside"), ("free", 1.5, 1.6, "inside"), ("free", 1.5, 1.61, "outside"),
        ("wall", 3.6, 0, "inside"), ("wall", 3.61, 0, "outside"), ("wall", 2.6, 2.7, "inside"), ("wall", 2.6, 2.71, "outside"), ("wall", 3.6, 1.0, "outside"),
        ("corner_right", 3.6, 3.7, "inside"), ("corner_right", -2.7, 2.7, "outside"), ("corner_left", -3.6, 3.7, "inside"),
    ],
)
def test_usual_shapes(shape, along, out, said):
    assert state(brick(along, out), zone_shape=shape) == said


def test_beyond_a_zone_drawn_too_small_nothing_is_called_outside():
    assert state(brick(1.2, 0), unit_width_mm=None) == "not_known"
    assert state(brick(1.2, 0, 5.0), unit_width_mm=None) == "outside"
    # However wide the unit turns out to be, its zone does not reach so far.
    assert state(brick(2.6, 0), unit_width_mm=None) == "outside"
    assert state(brick(9, 9), unit_width_mm=None, zone_shape="wall") == "not_known"


@pytest.mark.parametrize(
    ("measures", "said"),
    [({"up_m": None}, "not_known"), ({"up_m": None, "along_m": 4}, "outside"), ({"out_m": None, "along_m": -4}, "outside"), ({"along_m": None, "out_m": 5}, "outside"), ({"along_m": None, "out_m": None, "up_m": 4}, "outside"), ({"along_m": None, "out_m": None, "up_m": None}, "not_known")],
)
def test_one_measure_alone_can_say_that_it_is_outside(measures, said):
    thing = {name: value for name, value in {**brick(0, 0.5), **measures}.items() if value is not None}
    assert state(thing) == said


def test_a_second_wall_cuts_the_zone_off():
    result = assessed(site(zone_shape="corner_left", clear_left_mm=800))
    assert min(x for x, _ in result.site.zones[0].corners) == -1.3
    unknown = assessed(site(zone_shape="corner_left"))
    assert only(unknown, "zone_incomplete", Severity.CHECK)


def test_the_makers_corners_rule():
    corners = [{"along_m": along, "out_m": out} for along, out in ((-0.8, 0), (0.8, 0), (0, 2))]
    assert state(brick(0, 1.9), zone_shape="corners", zone_corners=corners) == "inside"
    assert state(brick(0.7, 1.5), zone_shape="corners", zone_corners=corners) == "outside"


@pytest.mark.parametrize(
    "corners",
    [None, [], [{"along_m": 0, "out_m": 0}, {"along_m": 1, "out_m": 0}], [{"along_m": 0, "out_m": 0}, {"along_m": 1, "out_m": 1}, {"along_m": 2, "out_m": 2}], [{"along_m": 0}, {"along_m": 1, "out_m": 0}, {"along_m": 1, "out_m": 2}]],
)
def test_corners_that_make_no_zone_are_refused_in_words(corners):
    result = assessed(site([brick(0, 0)], zone_shape="corners", zone_corners=corners))
    assert only(result, "zone_not_known", Severity.CHECK)
    assert result.site.zones[0].corners == ()
    assert result.site.zones[0].objects[0].state == "not_known"


def test_states_of_what_is_near():
    assert state(brick(0, 0, up=2)) == "above"
    assert state(brick(0, 0, remedy="close_off", remedy_done=True)) == "dealt_with"
    assert state(brick(0, None)) == "not_known"
    assert state({**brick(0, 0), "type": "other"}) == "harmless"


@pytest.mark.parametrize(
    ("fields", "severity"),
    [({"clear_back_mm": 100}, Severity.CHECK), ({"clear_left_mm": 200, "need_left_mm": 500}, Severity.STOP), ({"clear_left_mm": 299}, Severity.CHECK), ({"clear_left_mm": 300}, None), ({"clear_back_mm": 100, "need_back_mm": 100}, None)],
)
def test_room_around_the_unit(fields, severity):
    found = findings(assessed(site(**fields)), "too_little_room")
    assert [item.severity for item in found] == ([severity] if severity else [])


def isolator(along, out=0.0, up=1.2):
    return {"id": "i", "position": "p", "type": "isolator", "along_m": along, "out_m": out, "up_m": up}


@pytest.mark.parametrize(("item", "codes"), [
    (isolator(1.9), []), (isolator(1.0), ["in_protective_zone"]), (isolator(4.0), ["isolator_out_of_reach"]), (isolator(1.9, up=2.2), ["isolator_out_of_reach"]), (isolator(1.9, up=0.1), ["isolator_out_of_reach"]),
])
def test_the_isolator_is_outside_the_zone_and_within_reach(item, codes):
    # Beside the unit at working height it would stand above a low unit's zone: a tall one shows the rule.
    assert said(site([item], unit_height_mm=1500)) == codes


def test_an_isolator_is_asked_for_once_the_unit_is_chosen():
    assert not findings(assessed(site()), "no_isolator_place")
    assert only(assessed(site(maximum_current_a=16)), "no_isolator_place", Severity.CHECK)


@pytest.mark.parametrize(
    ("fields", "code"),
    [({"condensate_depth_mm": 300}, "condensate_freezes"), ({"condensate_depth_mm": 700}, None), ({"condensate_crosses_path": True}, "condensate_on_path"), ({"condensate_route": "gully", "condensate_is_heated": False}, "condensate_pipe_bare")],
)
def test_condensate(fields, code):
    assert said(site(**fields)) == ([code] if code else [])
