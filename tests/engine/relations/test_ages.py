"""A house of two ages: each room is as it would be in a house that is all of its own age."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tests.engine.support import assessed
from wattwalk.engine.answers import Assessment

from . import changes
from .houses import Document, Draw, Fields, between, choices, drawn_houses, houses_each, one
from .test_losses import ROUNDED_W, losses

#: What belongs to an age, and is the house's where the house has only one.
OF_AN_AGE = ("age_band", "ventilation_age", "draught_proofed_pct", "thermal_bridges")


@st.composite
def ages(draw: Draw) -> Fields:
    """An age as a survey or an extension says it."""
    return {
        "age_band": draw(one(*"ABCDEFGHI")),
        "ventilation_age": draw(choices("extension", "ventilation_age")),
        "draught_proofed_pct": draw(st.integers(0, 100)),
        "thermal_bridges": draw(choices("extension", "thermal_bridges")),
    }


def all_of(house: Document, age: Fields) -> Document:
    return changes.of_survey(house, **age)


def of_two(house: Document, main: Fields, other: Fields, there: set[str], **more: Any) -> Document:
    """Return the house with its rooms ``there`` in an extension of another age."""
    changed = all_of(house, main)
    changed["records"]["extension"] = [{"id": "extension", "name": "Rear extension", **other, **more}]
    for room in changed["records"]["room"]:
        if room["id"] in there:
            room["extension"] = "extension"
    return changed


def comparable(house: Document) -> Document:
    """Return a house whose rooms share nothing that goes by age: no described space, a told wall of the floor, a tested leakage."""
    assume("unheated_space" not in house["records"])
    for item in changes.records(house, "construction"):
        if item["element"] == "ground_floor":
            item["thickness_mm"] = 300
    household = changes.records(house, "survey")[0]
    if household["ventilation_method"] in ("air_permeability", "mechanical"):
        household.setdefault("air_permeability_m3_hm2", 7.0)
    return house


@houses_each(24)
@given(drawn_houses().map(comparable), ages(), ages(), st.data())
def test_each_room_is_as_in_a_house_of_its_own_age(
    house: Document, main: Fields, other: Fields, data: st.DataObject
) -> None:
    rooms = [room["id"] for room in house["records"]["room"]]
    there = set(data.draw(st.lists(one(*rooms), min_size=1, unique=True)))
    answer = assessed(of_two(house, main, other, there))
    old, new = losses(assessed(all_of(house, main))), losses(assessed(all_of(house, other)))
    expected = {room: (new if room in there else old)[room] for room in rooms}
    assert losses(answer) == pytest.approx(expected, abs=ROUNDED_W)
    assert answer.building.total_w == pytest.approx(sum(expected.values()), abs=ROUNDED_W * len(rooms))


@houses_each(14)
@given(drawn_houses().map(comparable), ages(), st.data())
def test_an_extension_of_the_same_age_changes_nothing(house: Document, age: Fields, data: st.DataObject) -> None:
    rooms = [room["id"] for room in house["records"]["room"]]
    there = set(data.draw(st.lists(one(*rooms), min_size=1, unique=True)))
    assert losses(assessed(of_two(house, age, age, there))) == losses(assessed(all_of(house, age)))


@houses_each(14)
@given(drawn_houses(), ages(), ages(), between(1, 15, 1), st.data())
def test_a_wall_between_two_ages_told_from_the_other_side_changes_nothing(
    house: Document, main: Fields, other: Fields, tested: float, data: st.DataObject
) -> None:
    assume(house["records"]["survey"][0]["ventilation_method"] != "mechanical")
    rooms = [room["id"] for room in house["records"]["room"]]
    there = set(data.draw(st.lists(one(*rooms), min_size=1, unique=True)))
    two = of_two(house, main, other, there, air_permeability_m3_hm2=tested)
    for wall in changes.records(two, "surface"):
        if wall.get("other_side") == "room" and "side" in wall and wall["element"] == "partition":
            wall["construction"] = "wall"
    assume(any(item["id"] == "wall" for item in two["records"]["construction"]))
    turned = changes.told_from_the_other_side(two)
    before, after = assessed(two), assessed(turned)
    assert _told(after) == pytest.approx(_told(before), abs=ROUNDED_W)


def _told(answer: Assessment) -> dict[str, float | None]:
    return {room.id: room.total_w for room in answer.rooms}
