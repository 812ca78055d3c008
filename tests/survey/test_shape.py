"""Rooms that are no plain box: areas, lengths and volumes worked out by hand, published formulas, and what must hold of any."""

from __future__ import annotations

from math import isclose, sqrt

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tests.golden import write_shapes
from wattwalk.survey.box import BOX, FOLLOWS, followed, is_followed, said_again, sides_of, size_of, whole
from wattwalk.survey.shape import BESIDE, WALLS, shape_of

#: Own arithmetic by hand: a lounge of 5 × 4 × 2.5 m.
LOUNGE = {"length_m": 5.0, "width_m": 4.0, "height_m": 2.5}


def corner(where: str = "front_left", along: float = 2.0, deep: float = 1.5) -> dict:
    return {"what": "corner", "where": where, "along_m": along, "depth_m": deep}


def slope(side: str = "left", low: float = 1.0, **more: float) -> dict:
    return {"side": side, "low_m": low, **(more or {"run_m": 1.5})}


def area(side: str, room: dict) -> float:
    size = whole(side, room)
    return size["area_m2"] if "area_m2" in size else size["width_m"] * size["height_m"]


def test_golden_file():
    assert write_shapes.PATH.read_text(encoding="utf-8") == write_shapes.text()


def test_a_plain_box_has_no_shape_of_its_own():
    for room in (LOUNGE, {**LOUNGE, "floor_parts": [], "slopes": None}, {"floor_area_m2": 12.0, "height_m": 2.4}):
        assert shape_of(room) is None
        assert sides_of(room) == ("front", "right", "back", "left", "floor", "ceiling")


def test_a_missing_corner_by_hand():
    """5 × 4 less 2 × 1.5 is 17 m² and 42.5 m³; the walls go round it as they went round the box: 18 m."""
    room = {**LOUNGE, "floor_parts": [corner()]}
    shape = shape_of(room)
    assert (shape.floor_m2, shape.volume_m3) == (17.0, 42.5)
    assert sum(whole(side, room)["width_m"] for side in WALLS) == 18.0
    assert area("ceiling", room) == 17.0


def test_an_l_of_two_rectangles_by_hand():
    """5 × 4 and 2 × 1.5 before the front: 23 m², 57.5 m³; the walls are 2 × (5 + 5.5) = 21 m."""
    room = {**LOUNGE, "floor_parts": [{"what": "rectangle", "where": "front", "along_m": 2.0, "depth_m": 1.5}]}
    shape = shape_of(room)
    assert (shape.floor_m2, shape.volume_m3) == (23.0, 57.5)
    assert {side: whole(side, room)["width_m"] for side in WALLS} == {
        "front": 5.0,
        "back": 5.0,
        "left": 5.5,
        "right": 5.5,
    }


def test_a_length_typed_as_it_is_measured_is_that_of_the_parts_added_up():
    """5.2 + 1.1 is 6.300000000000001 to a computer, and 6.3 m to whoever measures it."""
    part = {"what": "rectangle", "where": "right", "along_m": 1.7, "depth_m": 1.1}
    room = {"length_m": 5.2, "width_m": 3.9, "height_m": 2.4, "floor_parts": [part]}
    assert whole("front", room)["width_m"] != 6.3
    assert said_again({"side": "front", "element": "wall", "width_m": 6.3}, room) == ("width_m",)


def test_a_splayed_bay_by_hand():
    """A trapezoid of 2.4 and 1.6, 0.3 deep: 0.6 m². Its cheeks are the hypotenuse of 0.3 and 0.4: 0.5 m. So the front is 5 − 2.4 + 1.6 + 1 = 5.2 m."""
    bay = {"what": "bay", "where": "front", "along_m": 2.4, "depth_m": 0.3, "outer_m": 1.6}
    room = {**LOUNGE, "floor_parts": [bay]}
    assert isclose(shape_of(room).floor_m2, 20.6)
    assert isclose(whole("front", room)["width_m"], 5.2)
    assert whole("left", room)["width_m"] == 4.0
    square = {**LOUNGE, "floor_parts": [{**bay, "outer_m": None}]}
    assert isclose(shape_of(square).floor_m2, 20.72)
    assert isclose(whole("front", square)["width_m"], 5.6)


def test_a_room_in_the_roof_by_hand():
    """6 × 4 m, 2.2 m high; dwarf walls of 1.0 m left and right, slopes that reach 1.6 m in and rise 1.2 m.

    The slope's length is 2.0 (3-4-5), so the slopes are 2 × 2 × 4 = 16 m²; flat ceiling 2.8 × 4 = 11.2 m²; dwarf walls 4 m² each; gables
    6 × 2.2 − 2 × ½ × 1.6 × 1.2 = 11.28 m². Volume: the gable times 4 is 45.12 m³; as prisms, 6 × 4 × 1 under the dwarf walls' height, 2.8 × 4 × 1.2
    under the flat part and 2 × ½ × 1.6 × 1.2 × 4 under the slopes: 24 + 13.44 + 7.68.
    """
    room = {"length_m": 6.0, "width_m": 4.0, "height_m": 2.2, "slopes": [slope(run_m=1.6), slope("right", slope_m=2.0)]}
    found = {side: area(side, room) for side in sides_of(room)}
    expected = {"front": 11.28, "back": 11.28, "left": 4.0, "right": 4.0, "floor": 24.0, "ceiling": 11.2, "slope": 16.0}
    assert {side: round(value, 9) for side, value in found.items()} == expected
    assert isclose(shape_of(room).volume_m3, 45.12)
    assert isclose(shape_of(room).volume_m3, 24 + 13.44 + 7.68)


def test_slopes_that_meet_leave_no_ceiling_and_one_down_to_the_floor_no_wall():
    tent = {
        "length_m": 4.0,
        "width_m": 5.0,
        "height_m": 1.5,
        "slopes": [slope(low=0, run_m=2), slope("right", 0, run_m=2)],
    }
    assert sides_of(tent) == ("front", "back", "floor", "slope")
    # A prism on its side: half of base × height × length.
    assert isclose(shape_of(tent).volume_m3, 0.5 * 4 * 1.5 * 5)
    assert isclose(area("front", tent), 0.5 * 4 * 1.5)
    assert isclose(area("slope", tent), 2 * 2.5 * 5)


def test_a_hipped_roof_down_to_the_floor_is_a_pyramid_or_a_frustum():
    """Volume of a pyramid, a third of base × height, and of its frustum, h/3 × (A + a + √(A·a)): printed in every table of solids."""
    sides = ("front", "right", "back", "left")
    square = {"length_m": 6.0, "width_m": 6.0, "height_m": 3.0}
    pyramid = {**square, "slopes": [slope(side, 0, run_m=3) for side in sides]}
    assert isclose(shape_of(pyramid).volume_m3, 6 * 6 * 3 / 3)
    assert isclose(area("slope", pyramid), 4 * 0.5 * 6 * sqrt(18))
    frustum = {**square, "slopes": [slope(side, 0, run_m=2) for side in sides]}
    assert isclose(shape_of(frustum).volume_m3, 3 / 3 * (36 + 4 + sqrt(36 * 4)))
    assert isclose(area("ceiling", frustum), 4)
    assert isclose(area("slope", frustum), 4 * (6 + 2) / 2 * sqrt(13))


def test_what_is_not_settled_is_asked_and_not_guessed():
    for more in ({"floor_parts": [corner()]}, {"floor_area_m2": 18.0}):
        room = {**LOUNGE, "slopes": [slope()], **more}
        assert shape_of(room).volume_m3 is None
        wall = {"side": "front", "element": "wall"}
        assert size_of(wall, room) == {}
        assert not is_followed("width_m", wall, room)
        assert size_of({"side": "floor", "element": "floor"}, room) in ({"area_m2": 17.0}, {"area_m2": 18.0})


def test_a_part_of_a_gable_is_said_by_both_edges():
    room = {**LOUNGE, "slopes": [slope()]}
    assert followed({"side": "front", "element": "wall", "width_m": 2.0}, room) == {}
    assert size_of({"side": "front", "element": "wall", "area_m2": 3.0}, room) == {"area_m2": 3.0}
    whole_gable = {"side": "front", "element": "wall", "area_m2": 5 * 2.5 - 0.5 * 1.5 * 1.5}
    assert said_again(whole_gable, room) == ("area_m2",)


@pytest.mark.parametrize(
    ("more", "trouble"),
    [
        ({"floor_parts": [corner(along=5.0)]}, "corner_too_large"),
        ({"floor_parts": [corner(), corner("front_right", along=3.5)]}, "corners_overlap"),
        ({"floor_parts": [corner("front")]}, "part_where"),
        ({"floor_parts": [{"what": "bay", "where": "left", "along_m": 4.5, "depth_m": 1}]}, "part_too_wide"),
        ({"floor_parts": [{"what": "bay", "where": "left", "along_m": 4}]}, "part_size"),
        ({"slopes": [slope(low=2.6)]}, "low_too_high"),
        ({"slopes": [slope(slope_m=1.4)]}, "slope_too_short"),
        ({"slopes": [slope(), slope("right", run_m=3.6)]}, "slopes_too_far"),
        ({"slopes": [slope(), slope()]}, "slope_twice"),
        ({"slopes": [{"side": "left", "low_m": 1.0}]}, "slope_part_missing"),
    ],
)
def test_a_shape_that_cannot_be_gives_no_figure(more, trouble):
    room = {**LOUNGE, **more}
    shape = shape_of(room)
    assert shape.troubles == (trouble,)
    assert shape.volume_m3 is None
    for side in sides_of(room):
        assert None in whole(side, room).values() or side == "floor"
    # The sides follow the room, so the gap is the room's.
    assert is_followed("width_m", {"side": "front", "element": "wall"}, room)


LENGTHS = st.floats(1.0, 9.0).map(lambda value: round(value, 2))
SHARES = st.floats(0.05, 0.95)


@given(LENGTHS, LENGTHS, LENGTHS, st.lists(st.sampled_from(list(WALLS)), min_size=1, unique=True), SHARES)
def test_a_slope_that_does_not_rise_is_a_plain_box(length, width, height, sides, share):
    box = {"length_m": length, "width_m": width, "height_m": height}
    runs = {side: share / 2 * box[WALLS[side][1]] for side in sides}
    room = {**box, "slopes": [slope(side, height, run_m=run) for side, run in runs.items()]}
    assert isclose(shape_of(room).volume_m3, length * width * height)
    for side in (*WALLS, "floor"):
        assert whole(side, room) == whole(side, box)
    ceiling = area("ceiling", room) + area("slope", room)
    assert isclose(ceiling, length * width)


@given(LENGTHS, LENGTHS, SHARES, SHARES)
def test_an_l_is_one_shape_however_it_is_told(length, width, along, deep):
    """A box less a corner, or the long part with a rectangle before its front: the same floor, and as long a wall on every side."""
    along_m, deep_m = along * length, deep * width
    box = {"length_m": length, "height_m": 2.4}
    less = {**box, "width_m": width, "floor_parts": [corner(along=along_m, deep=deep_m)]}
    rectangle = {"what": "rectangle", "where": "front", "along_m": length - along_m, "depth_m": deep_m}
    more = {**box, "width_m": width - deep_m, "floor_parts": [rectangle]}
    assert isclose(shape_of(less).floor_m2, shape_of(more).floor_m2)
    for side in WALLS:
        assert isclose(area(side, less), area(side, more))


@settings(deadline=None, max_examples=30)
@given(LENGTHS, LENGTHS, st.floats(0.5, 4.0), SHARES, SHARES, SHARES, SHARES)
def test_slopes_hold_what_lies_under_them(length, width, drop, left, front, lower, share):
    """The volume against a sum over a fine grid of the lowest of the planes; each slope covers its share of the floor, seen from above."""
    height, low = 1 + drop, 1 + drop * (1 - lower)
    runs = {"left": left * length * share, "front": front * width}
    assume(min(runs.values()) > 0.05)
    rows = [slope("left", 1.0, run_m=runs["left"]), slope("front", low, run_m=runs["front"])]
    shape = shape_of({"length_m": length, "width_m": width, "height_m": height, "slopes": rows})
    steps = 80
    total = 0.0
    for i in range(steps):
        for j in range(steps):
            x, y = (i + 0.5) / steps * length, (j + 0.5) / steps * width
            down = max(0, drop * (1 - x / runs["left"]), (height - low) * (1 - y / runs["front"]))
            total += height - down
    assert isclose(shape.volume_m3, total * length * width / steps**2, rel_tol=5e-3)
    flat = area("ceiling", {"length_m": length, "width_m": width, "height_m": height, "slopes": rows})
    seen = flat + sum(item.area_m2 * item.run_m / item.length_m for item in shape.slopes)
    assert isclose(seen, length * width)


def test_every_wall_and_field_is_one_that_the_kinds_have():
    assert set(BESIDE) == set(WALLS) == set(FOLLOWS) - {"floor", "ceiling", "slope"}
    assert {"floor_parts", "slopes"} < set(BOX)
