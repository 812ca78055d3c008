"""What rooms lose that are no plain box: by hand, and what must hold of any."""

from __future__ import annotations

import copy
from math import sqrt
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.golden import write_shapes
from tests.support.houses import changed, small_house
from wattwalk.engine.answers import RoomAssessment, Severity
from wattwalk.engine.fabric.room_shape import TROUBLES

from .support import assessed, findings, only, room

#: Inside 20 °C, outside −3; one air change, 0.33 Wh/m³K; every U-value with the allowance for bridges, 0.10.
DIFFERENCE = 23
AIR = 0.33
WATT = 0.06
U = {"front": 0.57, "roof": 0.30, "loft": 0.20}


def house(*rooms: tuple[dict[str, Any], dict[str, str | dict[str, Any]]]) -> dict[str, Any]:
    """Return a house of rooms, each with what is beyond its sides: a construction that faces outside, or the values of the surface."""
    document = copy.deepcopy(small_house())
    records = document["records"]
    declared = {"known_by": "declared", "thickness_mm": 300}
    records["construction"] = [
        {"id": "front", "name": "Wall", "element": "wall", "u_value_w_m2k": U["front"], **declared},
        {"id": "roof", "name": "Slope", "element": "roof", "u_value_w_m2k": U["roof"], **declared},
        {"id": "loft", "name": "Flat", "element": "roof", "u_value_w_m2k": U["loft"], **declared},
    ]
    records["room"], records["surface"], records["emitter"] = [], [], []
    for place, (values, sides) in enumerate(rooms):
        name = f"room-{place}"
        given = {"inside_temperature_c": 20, "air_changes_h": 1, "use": "bedroom"}
        records["room"].append({"id": name, "name": f"Room {place}", **given, **values})
        for key, beyond in sides.items():
            side = key.split("/")[0]
            made = {"construction": beyond} if isinstance(beyond, str) else beyond
            element = "roof" if side in ("slope", "ceiling") else "floor" if side == "floor" else "wall"
            other = "nothing" if made.get("construction") is None else "outside"
            surface = {"id": f"{name}-{key.replace('/', '-')}", "room": name, "side": side, "element": element}
            records["surface"].append({**surface, "other_side": other, **made})
    return document


def watts(area: float, u_value: float) -> float:
    return area * (u_value + 0.10) * DIFFERENCE


def air(volume: float) -> float:
    return AIR * volume * DIFFERENCE


def first(document: dict[str, Any]) -> RoomAssessment:
    return room(assessed(document), "room-0")


BOX = {"length_m": 5.0, "width_m": 4.0, "height_m": 2.5}
WALLS = dict.fromkeys(("front", "right", "back", "left"), "front")
ALL_ROUND: dict[str, Any] = {**WALLS, "floor": {}, "ceiling": "loft"}


def test_an_l_by_hand():
    """5 × 4 less a corner of 2 × 1.5: 17 m², 42.5 m³, 18 m of wall 2.5 m high."""
    corner = {"what": "corner", "where": "front_left", "along_m": 2, "depth_m": 1.5}
    found = first(house(({**BOX, "floor_parts": [corner]}, ALL_ROUND)))
    assert (found.floor_area_m2, found.volume_m3) == (17, 42.5)
    assert found.total_w == pytest.approx(watts(18 * 2.5, U["front"]) + watts(17, U["loft"]) + air(42.5), abs=WATT)
    numbers = [(step.what, step.numbers, step.result) for step in found.size_steps]
    assert numbers == [("Floor", "5 × 4 − 2 × 1.5 (corner missing, front left)", 17), ("Volume", "17 × 2.5", 42.5)]


def test_a_room_with_a_bay_by_hand():
    """A bay of 2.4 m that narrows to 1.6 at 0.3 m: 0.6 m² more floor; its cheeks are 0.5 m each, so the front is 5.2 m long."""
    bay = {"what": "bay", "where": "front", "along_m": 2.4, "depth_m": 0.3, "outer_m": 1.6}
    found = first(house(({**BOX, "floor_parts": [bay]}, ALL_ROUND)))
    walls = (5.2 + 4 + 5 + 4) * 2.5
    assert found.total_w == pytest.approx(watts(walls, U["front"]) + watts(20.6, U["loft"]) + air(51.5), abs=WATT)
    front = next(item for item in found.surfaces if item.id == "room-0-front")
    assert front.gross_area_m2 == 13.0
    assert [step.numbers for step in found.size_steps] == [
        "5 × 4 + (2.4 + 1.6) / 2 × 0.3 (bay, front)",
        "5 − 2.4 + 1.6 + 2 × 0.5",
        "20.6 × 2.5",
    ]


def test_a_room_in_the_roof_by_hand():
    """6 × 4 × 2.2 m, dwarf walls of 1 m, slopes that reach 1.6 m in and are 2.0 m long: areas by Pythagoras, the volume as a sum of prisms."""
    slopes = [{"side": "left", "low_m": 1, "run_m": 1.6}, {"side": "right", "low_m": 1, "slope_m": 2}]
    values = {"length_m": 6, "width_m": 4, "height_m": 2.2, "slopes": slopes}
    found = first(house((values, {**ALL_ROUND, "slope": "roof"})))
    gables, dwarf, sloping, flat = 2 * (6 * 2.2 - 1.6 * 1.2), 2 * 4 * 1, 2 * 4 * sqrt(1.6**2 + 1.2**2), (6 - 3.2) * 4
    volume = 6 * 4 * 1 + 2.8 * 4 * 1.2 + 2 * (1.6 * 1.2 / 2 * 4)
    expected = watts(gables + dwarf, U["front"]) + watts(sloping, U["roof"]) + watts(flat, U["loft"]) + air(volume)
    assert found.total_w == pytest.approx(expected, abs=WATT)
    assert found.volume_m3 == 45.12
    last = found.size_steps[-1]
    assert last.numbers == "6 × 4 × 2.2 − ½ × 1.6 × (2.2 − 1) × 4 − ½ × 1.6 × (2.2 − 1) × 4"
    assert last.formula == "box − ½ × reach × rise × length of each slope"
    assert {step.what: step.result for step in found.size_steps}["Front side, area"] == 11.28


def test_a_hipped_room_in_the_roof_by_hand():
    """6 × 4 × 2 m with slopes all round that reach 1 m in and rise 1 m from walls of 1 m: the upper metre is a frustum of 6 × 4 and 4 × 2.

    Its volume by h/6 × (A + a + 4 m) with the middle section m (printed as the prismatoid's): (24 + 8 + 4 × 15) / 6 = 15⅓ m³, and 24 m³ under it.
    Each slope is a trapezoid √2 high: (6 + 4) / 2 × √2 twice, (4 + 2) / 2 × √2 twice.
    """
    hip = [{"side": side, "low_m": 1, "run_m": 1} for side in WALLS]
    values = {"length_m": 6, "width_m": 4, "height_m": 2, "slopes": hip}
    found = first(house((values, {**ALL_ROUND, "slope": "roof"})))
    expected = watts(20, U["front"]) + watts(16 * sqrt(2), U["roof"]) + watts(8, U["loft"]) + air(24 + 92 / 6)
    assert found.total_w == pytest.approx(expected, abs=WATT)
    steps = {step.what: step for step in found.size_steps}
    assert steps["Slope over the front side, area"].numbers == "(6 × 1 − 1) × 1.41 / 1"
    assert steps["Volume"].numbers.endswith(" + 1.33")


def test_a_plain_box_needs_no_sum_and_says_none():
    assert first(house((BOX, ALL_ROUND))).size_steps == ()


METRES = st.floats(1.0, 6.0).map(lambda value: round(value, 2))


@settings(max_examples=40, deadline=None)
@given(METRES, METRES, st.floats(0.1, 0.9), METRES, st.floats(2.0, 3.0))
def test_an_l_loses_what_its_two_rooms_lose_without_the_opening_between(length, width, share, deep, height):
    along = max(0.3, round(share * length, 2))
    part = {"what": "rectangle", "where": "front", "along_m": along, "depth_m": deep}
    main, small = {"length_m": length, "width_m": width}, {"length_m": along, "width_m": deep}
    whole = house(({**main, "height_m": height, "floor_parts": [part]}, ALL_ROUND))
    beside = {
        "front/rest": {"construction": "front", "area_m2": (length - along) * height},
        "front/open": {"area_m2": along * height},
    }
    sides = {key: value for key, value in ALL_ROUND.items() if key != "front"}
    two = house(
        ({**main, "height_m": height}, {**sides, **beside}),
        ({**small, "height_m": height}, {**ALL_ROUND, "back": {}}),
    )
    one, other = assessed(whole).building, assessed(two).building
    assert one.total_w == pytest.approx(other.total_w, abs=0.5)
    assert one.floor_area_m2 == pytest.approx(other.floor_area_m2, abs=0.01)


@settings(max_examples=30, deadline=None)
@given(st.sampled_from(["front", "right", "back", "left", "ceiling", "slope"]), st.floats(0.1, 0.9), st.booleans())
def test_a_side_in_parts_of_one_construction_loses_what_it_lost(side, share, has_slope):
    slopes = [{"side": "left", "low_m": 1, "run_m": 1.5}] if has_slope else []
    sides = {**ALL_ROUND, "slope": "roof"} if has_slope else ALL_ROUND
    if side not in sides:
        return
    values = {**BOX, "slopes": slopes}
    before = first(house((values, sides)))
    area = next(item for item in before.surfaces if item.id == f"room-0-{side}").gross_area_m2
    parts = {
        f"{side}/{place}": {"construction": sides[side], "area_m2": part * area}
        for place, part in enumerate((share, 1 - share))
    }
    after = first(house((values, {**{key: value for key, value in sides.items() if key != side}, **parts})))
    assert after.total_w == pytest.approx(before.total_w, abs=0.11)


def test_a_part_of_a_floor_follows_the_other_edge_also_when_the_floor_has_an_area():
    parts = {
        "floor": {},
        "ceiling/1": {"construction": "loft", "height_m": 2},
        "ceiling/2": {"construction": "loft", "area_m2": 7},
    }
    found = first(house(({**BOX, "floor_area_m2": 15}, {**WALLS, **parts})))
    areas = {item.id: item.gross_area_m2 for item in found.surfaces}
    # The walls keep length × height; the part is 2 m of the room's 4.
    assert areas["room-0-front"] == 12.5
    assert (areas["room-0-ceiling-1"], areas["room-0-ceiling-2"]) == (8, 7)
    assert found.volume_m3 == 37.5


def test_a_slope_that_does_not_rise_is_a_plain_box():
    flat = {**BOX, "slopes": [{"side": "left", "low_m": 2.5, "run_m": 1.5}]}
    sides = {**ALL_ROUND, "slope": "loft"}
    assert first(house((flat, sides))).total_w == pytest.approx(first(house((BOX, ALL_ROUND))).total_w, abs=0.11)


def test_the_way_round_an_l_is_no_odd_length_and_a_wall_too_long_for_it_is():
    part = {"what": "rectangle", "where": "front", "along_m": 2.5, "depth_m": 3.5}
    values = {"length_m": 3.0, "width_m": 2.5, "height_m": 2.5, "floor_parts": [part]}
    assert not findings(assessed(house((values, ALL_ROUND))), "walls_too_long")
    too_long = {**ALL_ROUND, "left": {"construction": "front", "width_m": 12}}
    assert only(assessed(house((values, too_long))), "walls_too_long", Severity.CHECK).record == "surface/room-0-left"


def test_a_gable_written_down_twice_is_found():
    values = {**BOX, "slopes": [{"side": side, "low_m": 0.5, "run_m": 2.5} for side in ("left", "right")]}
    gable = {"construction": "front", "area_m2": 7.5}
    sides = {side: beyond for side, beyond in ALL_ROUND.items() if side not in ("front", "ceiling")}
    once = house((values, {**sides, "slope": "roof", "front": gable}))
    assert not findings(assessed(once), "wall_twice")
    twice = assessed(house((values, {**sides, "slope": "roof", "front/1": gable, "front/2": gable})))
    # The box's front would have 12.5 m², hardly too little for both.
    assert "7.5 m²" in only(twice, "wall_twice", Severity.CHECK).message


def test_a_room_under_slopes_closes_with_its_seventh_side():
    sides = {**ALL_ROUND, "front": "front"}
    open_room = first(house((SLOPED, sides)))
    assert open_room.so_far == "so far: 6 of 7 sides"
    assert [hole.side for hole in open_room.holes] == ["slope"]
    assert first(house((SLOPED, {**sides, "slope": "roof"}))).holes == ()


SLOPED = {**BOX, "slopes": [{"side": "left", "low_m": 1, "run_m": 1.5}]}
BAY = {"what": "bay", "where": "front", "along_m": 2.4, "depth_m": 0.3}


def test_a_shape_that_does_not_settle_the_volume_is_refused_in_words_until_it_is_said():
    document = house(({**SLOPED, "floor_parts": [BAY]}, {**ALL_ROUND, "slope": "roof"}))
    result = assessed(document)
    finding = only(result, "room_shape_not_known", Severity.CHECK)
    assert (finding.record, finding.field, finding.about) == ("room/room-0", "volume_m3", "slopes_and_parts")
    found = room(result, "room-0")
    assert (found.total_w, found.volume_m3) == (None, None)
    assert any("how they meet is not known" in words for words in found.missing)
    assert result.building.total_w is None
    said = assessed(changed(document, "room", "room-0", volume_m3=40))
    assert not findings(said, "room_shape_not_known")
    found = room(said, "room-0")
    assert found.volume_m3 == 40
    # The walls do not follow a shape that nobody knows: each is asked for.
    assert found.total_w is None
    assert all("volume" not in words for words in found.missing)
    sizes = {"front": 12.0, "back": 10, "left": 4, "right": 10, "ceiling": 14, "slope": 8.5}
    for side, area in sizes.items():
        document = changed(document, "surface", f"room-0-{side}", area_m2=area)
    found = first(changed(document, "room", "room-0", volume_m3=40))
    expected = watts(36, U["front"]) + watts(14, U["loft"]) + watts(8.5, U["roof"]) + air(40)
    assert found.total_w == pytest.approx(expected, abs=WATT)


@pytest.mark.parametrize(
    ("values", "field", "trouble"),
    [
        ({"slopes": [{"side": "left", "low_m": 2.6, "run_m": 1}]}, "slopes", "low_too_high"),
        ({"slopes": [{"side": "left", "low_m": 1}]}, "slopes", "slope_part_missing"),
        ({"floor_parts": [{**BAY, "along_m": 5.5}]}, "floor_parts", "part_too_wide"),
    ],
)
def test_a_shape_that_cannot_be_is_found_whatever_volume_is_said(values, field, trouble):
    result = assessed(house(({**BOX, **values, "volume_m3": 40}, ALL_ROUND)))
    finding = only(result, "room_shape_not_known", Severity.CHECK)
    assert (finding.field, finding.about) == (field, trouble)
    assert room(result, "room-0").total_w is None


def test_a_room_whose_floor_is_not_known_has_no_air_of_its_own_in_a_ventilated_house():
    odd = {**BOX, "floor_parts": [{**BAY, "along_m": 5.5}], "volume_m3": 40}
    document = house((BOX, ALL_ROUND), (odd, ALL_ROUND), ({**BOX, "use": "bathroom"}, ALL_ROUND))
    unit = {"ventilation_method": "mechanical", "recovery_efficiency_pct": 85, "bedrooms": 2}
    result = assessed(changed(document, "survey", "s", **unit))
    assert room(result, "room-0").ventilation is not None
    assert room(result, "room-1").ventilation is None


def test_every_trouble_has_its_words_and_none_more():
    assert {name for case in write_shapes.cases() if case["shape"] for name in case["shape"]["troubles"]} == set(
        TROUBLES
    )
