"""What keeps a room from closing: each kind of hole by itself, and what closes it again."""

from __future__ import annotations

from typing import Any

import pytest

from tests.support.houses import not_counted
from wattwalk.survey.building import Room
from wattwalk.survey.document import read_document
from wattwalk.survey.gaps import find_gaps
from wattwalk.survey.sides import holes_in, met_by_room

ALL = ("front", "right", "back", "left", "floor", "ceiling")
BOX = {"id": "den", "name": "Den", "use": "study", "length_m": 3, "width_m": 2.5, "height_m": 2.4}
NO_BOX = {"id": "den", "name": "Den", "use": "study", "floor_area_m2": 7.5, "height_m": 2.4, "perimeter_m": 11}


def house(room: dict[str, Any], *surfaces: dict[str, Any], others: tuple[dict[str, Any], ...] = ()) -> Any:
    records = {"room": [room, *others], "surface": list(surfaces)}
    return read_document({"format": "wattwalk-survey", "version": 3, "id": "house", "records": records})


def holes(*given: Any, **more: Any) -> list[tuple[str, str | None, float | None]]:
    survey = house(*given, **more).measured()
    found = holes_in(survey.find(Room, "den"), met_by_room(survey)["den"])
    return [(hole.code, hole.side, None if hole.left is None else round(hole.left, 2)) for hole in found]


def wall(id: str, room: str = "den", **fields: Any) -> dict[str, Any]:
    return {"id": id, "room": room, "element": "wall", "other_side": "outside", **fields}


def partition(**fields: Any) -> dict[str, Any]:
    return {"id": "p", "room": "hall", "element": "partition", "other_side": "room", "other_room": "den", **fields}


HALL = {"id": "hall", "name": "Hall", "length_m": 3, "width_m": 2, "height_m": 2.4}


def test_a_room_of_which_all_six_sides_are_said_closes() -> None:
    assert holes(BOX, *not_counted("den", *ALL)) == []


def test_of_a_room_that_nobody_measured_every_side_is_asked_too() -> None:
    assert holes({"id": "den", "name": "Den"}) == [("side_not_said", side, None) for side in ALL]


def test_a_window_says_nothing_of_the_side_it_is_on() -> None:
    window = {"id": "w", "room": "den", "element": "window", "side": "front", "width_m": 3, "height_m": 2.4}
    assert holes(BOX, *not_counted("den", *ALL[1:]), window) == [("side_not_said", "front", None)]


@pytest.mark.parametrize("side", ALL)
def test_a_side_that_nobody_said_is_a_hole_and_a_gap_with_its_side(side: str) -> None:
    others = not_counted("den", *(other for other in ALL if other != side))
    assert holes(BOX, *others) == [("side_not_said", side, None)]
    found = [gap for gap in find_gaps(house(BOX, *others)) if gap.side is not None]
    assert [(gap.code, gap.kind, gap.record, gap.side, gap.stage) for gap in found] == [
        ("side_not_said", "room", "den", side, "rooms")
    ]


@pytest.mark.parametrize(
    ("side", "part", "left"),
    [
        ("front", {"width_m": 2.0}, 2.4),
        ("left", {"height_m": 1.4}, 2.5),
        ("back", {"area_m2": 6.0}, 1.2),
        ("floor", {"element": "floor", "width_m": 1.5}, 3.0),
        ("ceiling", {"element": "ceiling", "area_m2": 7.0}, 0.5),
    ],
)
def test_what_a_part_leaves_of_its_side_is_a_hole_until_it_is_said(
    side: str, part: dict[str, Any], left: float
) -> None:
    told = [*not_counted("den", *(other for other in ALL if other != side)), wall("part", side=side, **part)]
    assert holes(BOX, *told) == [("side_left", side, left)]
    assert holes(BOX, *told, wall("rest", side=side, **{**part, "area_m2": left})) == []


def test_less_than_a_hands_breadth_is_the_measuring() -> None:
    told = not_counted("den", *ALL[1:])
    assert holes(BOX, *told, wall("part", side="front", area_m2=7.11)) == []
    assert holes(BOX, *told, wall("part", side="front", area_m2=7.1)) == [("side_left", "front", 0.1)]


def test_a_partition_told_from_the_other_room_counts_for_both() -> None:
    told = not_counted("den", *(side for side in ALL if side != "back"))
    assert holes(BOX, *told, others=(HALL,)) == [("side_not_said", "back", None)]
    assert holes(BOX, *told, partition(side="front"), others=(HALL,)) == []


def test_a_floor_told_from_the_room_above_is_the_ceiling_below() -> None:
    told = not_counted("den", *ALL[:-1])
    above = partition(side="floor", element="floor", width_m=3, height_m=2.5)
    assert holes(BOX, *told, above, others=(HALL,)) == []
    assert holes(BOX, *told, {**above, "side": None}, others=(HALL,)) == []


def test_a_partition_whose_place_is_taken_stands_for_another_side_and_no_larger_one() -> None:
    told = not_counted("den", "back", "left", "floor", "ceiling")
    # Told from the hall's front, it would lie at the back, which is said.
    assert holes(BOX, *told, partition(side="front"), others=(HALL,)) == [("side_not_said", "right", None)]
    both = [partition(side="front"), partition(id="q", side="front")]
    assert holes(BOX, *told, *both, others=(HALL,)) == []
    small = [partition(side="front"), partition(id="q", side="front", width_m=2)]
    assert holes(BOX, *told, *small, others=(HALL,)) == [("side_not_said", "right", None)]


def test_a_wall_without_a_side_stands_for_one_that_is_not_said() -> None:
    told = not_counted("den", "back", "left", "floor", "ceiling")
    loose = [wall("one", width_m=3, height_m=2.4), wall("two", width_m=2.5, height_m=2.4)]
    assert holes(BOX, *told, *loose) == []
    assert holes(BOX, *told, loose[1]) == [("side_not_said", "front", None)]


def test_a_wall_that_is_not_counted_needs_its_size_where_it_follows_no_side() -> None:
    idle = {"id": "idle", "room": "den", "element": "partition", "other_side": "nothing"}
    told = not_counted("den", *ALL[1:])
    assert holes(BOX, *told, idle) == [("side_not_said", "front", None)]
    assert {gap.field for gap in find_gaps(house(BOX, *told, idle)) if gap.record == "idle"} == {"width_m", "height_m"}
    assert holes(BOX, *told, {**idle, "width_m": 3, "height_m": 2.4}) == []


class TestNoBox:
    FLAT = not_counted("den", "floor", "ceiling")
    WALLS = (wall("a", width_m=5), wall("b", width_m=3.5), wall("c", width_m=2.5))

    def test_its_walls_are_as_long_together_as_it_is_all_round(self) -> None:
        assert holes(NO_BOX, *self.FLAT, *self.WALLS) == []
        assert holes(NO_BOX, *self.FLAT, *self.WALLS[:2]) == [("walls_left", None, 2.5)]

    def test_floor_and_ceiling_are_as_large_as_its_area(self) -> None:
        part = wall("part", side="ceiling", element="ceiling", width_m=2, height_m=2)
        assert holes(NO_BOX, *self.FLAT[:1], *self.WALLS) == [("side_not_said", "ceiling", None)]
        assert holes(NO_BOX, *self.FLAT[:1], part, *self.WALLS) == [("side_left", "ceiling", 3.5)]

    def test_without_the_length_all_round_nobody_can_see_it_and_that_is_asked(self) -> None:
        room = {**NO_BOX, "perimeter_m": None}
        assert holes(room, *self.FLAT, *self.WALLS) == [("edge_not_said", None, None)]
        gaps = [gap for gap in find_gaps(house(room, *self.FLAT)) if gap.code == "edge_not_said"]
        assert [(gap.record, gap.field) for gap in gaps] == [("den", "perimeter_m")]

    def test_a_room_under_the_roof_may_have_no_upright_wall(self) -> None:
        assert holes({**NO_BOX, "perimeter_m": 0}, *self.FLAT) == []

    def test_a_wall_by_its_area_is_as_long_as_the_room_is_high(self) -> None:
        assert holes(NO_BOX, *self.FLAT, *self.WALLS[:2], wall("c", area_m2=6)) == []

    def test_a_wall_told_from_the_other_room_is_one_of_them(self) -> None:
        told = partition(side="left", width_m=2.5)
        assert holes(NO_BOX, *self.FLAT, *self.WALLS[:2], told, others=(HALL,)) == []
