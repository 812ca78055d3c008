"""Zones as polygons, the room around a unit, its isolator, its condensate."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wattwalk.engine.answers import Severity
from wattwalk.engine.place.zone import holds

from .support import assessed, findings, only

POSITION = {
    "id": "p",
    "name": "Back",
    "wall_faced": "free",
    "unit_width_mm": 1000,
    "unit_depth_mm": 400,
    "unit_height_mm": 900,
    "clear_back_mm": 200,
    "condensate_route": "gravel",
}
SQUARE = ((-1.0, 0.0), (1.0, 0.0), (1.0, 2.0), (-1.0, 2.0))
HOOK = ((0.0, 0.0), (3.0, 0.0), (3.0, 1.0), (1.0, 1.0), (1.0, 3.0), (0.0, 3.0))


def site(objects=(), **position):
    records = {"outdoor_position": [{**POSITION, **position}], "nearby_object": list(objects)}
    return {"format": "wattwalk-survey", "version": 1, "id": "zones", "records": records}


def said(document):
    return [
        item.code
        for item in assessed(document).findings
        if item.code not in ("no_bus_cable", "no_supply_cable", "zone_incomplete")
    ]


def brick(along, out, up=0.1, **more):
    return {"id": "o", "position": "p", "type": "air_brick", "along_m": along, "out_m": out, "up_m": up, **more}


def state(item, **position):
    result = assessed(site([item], **position))
    said = result.site.zones[0].objects[0].state
    # The plan and the findings never differ.
    assert bool(findings(result, "in_protective_zone")) is (said == "inside")
    return said


@pytest.mark.parametrize(
    ("point", "inside"),
    [
        ((0, 1), True),
        ((1, 1), True),
        ((0, 0), True),
        ((1, 2), True),
        ((1.001, 1), False),
        ((0, 2.001), False),
        ((0, -0.001), False),
    ],
)
def test_a_polygon_and_its_edges(point, inside):
    assert holds(SQUARE, *point) is inside


@pytest.mark.parametrize(
    ("point", "inside"),
    [((2, 0.5), True), ((0.5, 2), True), ((2, 2), False), ((1, 2), True), ((2, 1), True), ((1.01, 1.01), False)],
)
def test_a_hooked_polygon(point, inside):
    assert holds(HOOK, *point) is inside


@given(st.floats(-3, 3), st.floats(-1, 4), st.integers(0, 5))
def test_where_the_corners_start_changes_nothing(along, out, turn):
    turned = HOOK[turn:] + HOOK[:turn]
    assert holds(turned, along, out) == holds(HOOK, along, out) == holds(HOOK[::-1], along, out)


def extents(**position):
    (left, near), (right, _), (_, far), _ = assessed(site(**position)).site.zones[0].corners
    return left, right, near, far


#: The unit is 1 m wide and 0.4 m deep, 0.2 m before the wall; the reach over open ground is 1.6 m unless it is typed.
@pytest.mark.parametrize(
    ("position", "left", "right", "near", "far"),
    [
        ({}, -2.1, 2.1, -1.4, 2.2),
        ({"wall_faced": "house_wall"}, -3.7, 3.7, 0, 2.863),
        ({"wall_faced": "fence"}, -3.7, 3.7, 0, 2.863),
        ({"wall_faced": "free", "reflecting_surfaces": "two"}, -3.7, 3.7, 0, 2.863),
        ({"zone_shape": "corner_left", "clear_left_mm": 800}, -1.3, 3.7, 0, 3.8),
        ({"zone_shape": "corner_right", "clear_right_mm": 800}, -3.7, 1.3, 0, 3.8),
        ({"zone_shape": "corner_left", "clear_left_mm": 9000}, -3.7, 3.7, 0, 3.8),
        ({"reflecting_surfaces": "three"}, -3.7, 3.7, 0, 3.8),
        ({"zone_reach_m": 2}, -2.5, 2.5, -1.8, 2.6),
        ({"zone_reach_m": 2, "wall_faced": "garage_wall"}, -4.5, 4.5, 0, 3.428),
        ({"zone_side_m": 5, "zone_front_m": 4}, -5.5, 5.5, -1.4, 4.6),
        ({"zone_side_m": 0, "zone_front_m": 0}, -2.1, 2.1, -1.4, 2.2),
    ],
)
def test_the_planning_shape_follows_from_one_reach(position, left, right, near, far):
    assert extents(**position) == pytest.approx((left, right, near, far), abs=0.001)


#: Places picked by hand on a coarse grid, each within the shape that was drawn before for a unit standing so.
@pytest.mark.parametrize(
    ("position", "places"),
    [
        ({"wall_faced": None}, [(1.5, 0), (-1.5, 1.5), (0, 1.5)]),
        ({"zone_shape": "free"}, [(1.5, 0), (-1.5, 1.5), (0, 1.5), (1, 0.5)]),
        ({"zone_shape": "wall"}, [(3.5, 0), (-3.5, 0), (3, 1), (-3, 1), (2.5, 2.5), (-2.5, 2.5), (0, 2.5)]),
        (
            {"zone_shape": "corner_left", "clear_left_mm": 800},
            [(-1, 3.5), (-1, 0), (-0.5, 3.5), (1, 3), (2.5, 2.5), (3, 1), (3.5, 0)],
        ),
        (
            {"zone_shape": "corner_right", "clear_right_mm": 800},
            [(1, 3.5), (1, 0), (0.5, 3.5), (-1, 3), (-2.5, 2.5), (-3, 1), (-3.5, 0)],
        ),
        ({"zone_shape": "sides", "zone_side_m": 4, "zone_front_m": 3}, [(4.5, 0), (-4.5, 3.5), (0, 3.5)]),
        (
            {
                "zone_shape": "corners",
                "zone_corners": [
                    {"along_m": x, "out_m": y} for x, y in ((-1.75, 0), (1.75, 0), (1.4, 1.7), (-1.4, 1.7))
                ],
            },
            [(1.5, 0), (-1.5, 1), (0, 1.5)],
        ),
    ],
)
def test_no_place_is_judged_more_laxly_than_before(position, places):
    for along, out in places:
        assert state(brick(along, out), **position) == "inside", (along, out)
        for kind in ("drain", "boundary", "socket"):
            assert state({**brick(along, out), "type": kind}, **position) == "inside", (kind, along, out)


def test_before_a_wall_the_default_stops_what_lies_along_it():
    near = [brick(2.2, 0), {**brick(-2, 0, 0), "id": "d", "type": "drain"}]
    result = assessed(site(near, wall_faced="house_wall"))
    assert [item.severity for item in findings(result, "in_protective_zone")] == [Severity.STOP, Severity.STOP]
    assert (
        "Do not install here until then, or until the maker's own drawing shows it clear."
        in findings(result, "in_protective_zone")[0].remedy
    )


def test_what_stands_around_is_taken_at_its_strictest_until_it_is_said():
    result = assessed(site(wall_faced=None))
    assert extents(wall_faced=None) == extents(wall_faced="house_wall")
    assert only(result, "zone_incomplete", Severity.CHECK).field == "wall_faced"
    # One answer says free and another says wall: the wall holds.
    assert extents(zone_shape="free", wall_faced="house_wall") == extents(wall_faced="house_wall")
    assert only(assessed(site(reflecting_surfaces="three")), "zone_incomplete", Severity.CHECK).field == "zone_shape"
    assert only(assessed(site(zone_shape="corner_left")), "zone_incomplete", Severity.CHECK).field == "clear_left_mm"


def test_it_goes_down_to_the_ground_and_below():
    assert state(brick(0, 0, -2.5)) == "inside"
    assert state(brick(0, 0, 0.9)) == "inside"
    assert state(brick(0, 0, 0.91)) == "undecided"
    assert state(brick(0, 0, 5), unit_height_mm=None) == "inside"


def test_beyond_a_planning_shape_nothing_is_called_outside():
    far = assessed(site([brick(9, 9)], wall_faced="house_wall"))
    assert far.site.zones[0].objects[0].state == "undecided"
    assert not far.site.zones[0].is_makers
    said = only(far, "zone_is_planning", Severity.CHECK)
    assert "not inside the planning shape" in said.message
    assert state(brick(9, 9), unit_width_mm=None) == "undecided"
    # Beyond a shape that is drawn too small it may be inside.
    assert state(brick(2.2, 0), unit_width_mm=None) == "not_known"
    assert state(brick(2.2, 0, 5.0), unit_width_mm=None) == "undecided"
    # However wide the unit turns out to be, its shape does not reach so far.
    assert state(brick(3.2, 0), unit_width_mm=None) == "undecided"


@given(
    st.floats(-10, 10),
    st.floats(0, 12),
    st.floats(-3, 5),
    st.sampled_from(["planning", "free", "wall", "corner_left", "corner_right"]),
    st.sampled_from([None, "free", "house_wall"]),
)
def test_a_planning_shape_never_says_outside(along, out, up, shape, behind):
    assert state(brick(along, out, up), zone_shape=shape, wall_faced=behind, clear_left_mm=500, clear_right_mm=500) in (
        "inside",
        "undecided",
    )


@given(st.floats(1, 6), st.floats(1, 6), st.sampled_from(["free", "wall", "corner_left"]))
def test_a_longer_reach_holds_all_that_a_shorter_one_does(one, other, shape):
    short, long = sorted((one, other))
    small, large = (extents(zone_shape=shape, zone_reach_m=reach, clear_left_mm=900) for reach in (short, long))
    assert large[0] <= small[0] <= small[1] <= large[1]
    assert large[2] <= small[2]
    assert small[3] <= large[3]


@pytest.mark.parametrize("chosen", [{"maximum_current_a": 16}, None])
def test_once_the_unit_is_chosen_its_makers_corners_are_asked_for(chosen):
    document = site(**(chosen or {}))
    if chosen is None:
        document["records"]["design"] = [{"id": "d", "unit_name": "Any"}]
    assert (
        "for the unit and enter them from its drawing"
        in only(assessed(document), "zone_is_planning", Severity.CHECK).remedy
    )
    document["records"]["outdoor_position"][0] |= {
        "zone_shape": "corners",
        "zone_corners": [{"along_m": x, "out_m": y} for x, y in SQUARE],
    }
    assert not findings(assessed(document), "zone_is_planning")
    assert assessed(document).site.zones[0].is_makers


def test_before_a_unit_is_chosen_nothing_near_asks_for_nothing():
    assert not findings(assessed(site()), "zone_is_planning")


@pytest.mark.parametrize(
    ("measures", "said"),
    [
        ({"up_m": None}, "not_known"),
        ({"up_m": None, "along_m": 4}, "outside"),
        ({"out_m": None, "along_m": -4}, "outside"),
        ({"along_m": None, "out_m": 5}, "outside"),
        ({"along_m": None, "out_m": None, "up_m": 4}, "outside"),
        ({"along_m": None, "out_m": None, "up_m": None}, "not_known"),
    ],
)
def test_one_measure_alone_can_say_that_it_is_outside(measures, said):
    thing = {name: value for name, value in {**brick(0, 0.5), **measures}.items() if value is not None}
    corners = [{"along_m": x, "out_m": y} for x, y in SQUARE]
    assert state(thing, zone_shape="corners", zone_corners=corners) == said
    assert state(thing) == {"outside": "undecided"}.get(said, said)


def test_the_makers_corners_rule():
    corners = [{"along_m": along, "out_m": out} for along, out in ((-0.8, 0), (0.8, 0), (0, 2))]
    assert state(brick(0, 1.9), zone_shape="corners", zone_corners=corners) == "inside"
    assert state(brick(0.7, 1.5), zone_shape="corners", zone_corners=corners) == "outside"


@pytest.mark.parametrize(
    "corners",
    [
        None,
        [],
        [{"along_m": 0, "out_m": 0}, {"along_m": 1, "out_m": 0}],
        [{"along_m": 0, "out_m": 0}, {"along_m": 1, "out_m": 1}, {"along_m": 2, "out_m": 2}],
        [{"along_m": 0}, {"along_m": 1, "out_m": 0}, {"along_m": 1, "out_m": 2}],
    ],
)
def test_corners_that_make_no_zone_leave_the_planning_shape_in_force(corners):
    result = assessed(site([brick(0, 0)], zone_shape="corners", zone_corners=corners))
    assert only(result, "zone_not_known", Severity.CHECK)
    assert result.site.zones[0].corners == assessed(site()).site.zones[0].corners
    assert result.site.zones[0].objects[0].state == "inside"
    assert not result.site.zones[0].is_makers


def test_states_of_what_is_near():
    own = {"zone_shape": "corners", "zone_corners": [{"along_m": x, "out_m": y} for x, y in SQUARE]}
    assert state(brick(0, 0, up=2), **own) == "above"
    assert state(brick(3, 0, up=2), **own) == "outside"
    assert state(brick(0, 0, remedy="close_off", remedy_done=True)) == "dealt_with"
    assert state(brick(0, None)) == "not_known"
    assert state({**brick(0, 0), "type": "other"}) == "harmless"


@pytest.mark.parametrize(
    ("fields", "severity"),
    [
        ({"clear_back_mm": 100}, Severity.CHECK),
        ({"clear_left_mm": 200, "need_left_mm": 500}, Severity.STOP),
        ({"clear_left_mm": 299}, Severity.CHECK),
        ({"clear_left_mm": 300}, None),
        ({"clear_back_mm": 100, "need_back_mm": 100}, None),
    ],
)
def test_room_around_the_unit(fields, severity):
    found = findings(assessed(site(**fields)), "too_little_room")
    assert [item.severity for item in found] == ([severity] if severity else [])


def isolator(along, out=0.0, up=1.2):
    return {"id": "i", "position": "p", "type": "isolator", "along_m": along, "out_m": out, "up_m": up}


@pytest.mark.parametrize(
    ("item", "codes"),
    [
        (isolator(1.9), []),
        (isolator(0.9), ["in_protective_zone"]),
        (isolator(4.0), ["isolator_out_of_reach"]),
        (isolator(1.9, up=2.2), ["isolator_out_of_reach"]),
        (isolator(1.9, up=0.1), ["isolator_out_of_reach"]),
    ],
)
def test_the_isolator_is_outside_the_zone_and_within_reach(item, codes):
    # Beside the unit at working height it would stand above a low unit's zone: a tall one shows the rule.
    own = [{"along_m": x, "out_m": y} for x, y in SQUARE]
    assert said(site([item], unit_height_mm=1500, zone_shape="corners", zone_corners=own)) == codes


def test_an_isolator_is_asked_for_once_the_unit_is_chosen():
    assert not findings(assessed(site()), "no_isolator_place")
    assert only(assessed(site(maximum_current_a=16)), "no_isolator_place", Severity.CHECK)


@pytest.mark.parametrize(
    ("fields", "code"),
    [
        ({"condensate_depth_mm": 300}, "condensate_freezes"),
        ({"condensate_depth_mm": 700}, None),
        ({"condensate_crosses_path": True}, "condensate_on_path"),
        ({"condensate_route": "gully", "condensate_is_heated": False}, "condensate_pipe_bare"),
    ],
)
def test_condensate(fields, code):
    assert said(site(**fields)) == ([code] if code else [])
