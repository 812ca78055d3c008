"""Beside a construction stands the U-value that its surfaces count with, by the way that heat flows in it."""

from __future__ import annotations

from tests.support.houses import changed, small_house, with_records
from wattwalk.demo import demo_document

from .support import assessed


def construction(result, name: str):
    return next(item for item in result.constructions if item.name.startswith(name))


def of_surfaces(result, made: str) -> set[float]:
    return {item.u_value_w_m2k for room in result.rooms for item in room.surfaces if item.construction == made}


def test_every_printed_value_is_one_that_a_surface_counts_with():
    result = assessed(demo_document())
    for item in result.constructions:
        used = of_surfaces(result, item.id)
        assert {use.u_value_w_m2k for use in item.uses} == used
        if used:
            assert item.u_value_w_m2k == max(used)
            assert {step.result for step in item.steps} == used


def test_the_demo_prints_its_party_wall_and_its_floor_between_as_they_lie():
    result = assessed(demo_document())
    party, between = construction(result, "Wall to the neighbour"), construction(result, "Floor between")
    assert [(use.words, round(use.u_value_w_m2k, 2)) for use in party.uses] == [("heat level, still air beyond", 1.43)]
    assert all("still air beyond" in use.words for use in between.uses)


def test_two_directions_are_two_values_each_with_its_working():
    document = changed(
        small_house(),
        "construction",
        "loft",
        known_by="look",
        look="floor_between",
        insulation_mm=None,
        element="floor",
    )
    document = changed(document, "surface", "top", other_side="unheated", unheated_space="corridor")
    document = with_records(
        document,
        "surface",
        {
            "id": "below",
            "room": "hall",
            "element": "floor",
            "construction": "loft",
            "width_m": 4,
            "height_m": 2,
            "other_side": "unheated",
            "unheated_space": "basement_openings",
        },
    )
    found = construction(assessed(document), "Loft")
    assert [use.words for use in found.uses] == ["heat downward, still air beyond", "heat upward, still air beyond"]
    down, up = (use.u_value_w_m2k for use in found.uses)
    assert down < up
    assert [step.what for step in found.steps] == [f"U-value, {use.words}" for use in reversed(found.uses)]


def test_one_that_nothing_is_made_of_says_so():
    spare = {"id": "spare", "name": "Spare", "element": "wall", "known_by": "declared", "u_value_w_m2k": 0.3}
    found = construction(assessed(with_records(small_house(), "construction", spare)), "Spare")
    assert (found.uses, found.u_value_w_m2k) == ((), 0.3)
