"""Storeys are held against each other where both plans are solved: what stands out over nothing, and what nothing lies over."""

from __future__ import annotations

import copy
import json
from pathlib import Path
from typing import Any

import pytest

from tests.support.plans import drawn
from tests.support.requests import GOLDEN
from tests.support.sound_houses import PLANS
from tests.support.told_rooms import Rect, Storey, told
from wattwalk.demo.house import house
from wattwalk.engine import draw_up
from wattwalk.engine.answers import Finding
from wattwalk.engine.answers.plan import PlanState

Document = dict[str, Any]
CODES = {"plan_storey_stands_out", "plan_roof_not_said"}
#: A house of 8 m by 7 m and what its first floor has of the same length and depth.
GROUND = Storey({"living": Rect(0, 0, 4.6, 7), "kitchen": Rect(4.6, 0, 3.4, 7)})


def first(length_m: float, deep_m: float) -> Storey:
    return Storey({"front": Rect(0, 0, 4, deep_m), "rear": Rect(4, 0, length_m - 4, deep_m)}, name="first")


def stacked(upper: Storey, *, above: str = "room") -> Document:
    """Return the ground floor with another storey on it, each room above told to lie over a room below, and what lies above those."""
    document, _ = told(GROUND, 0, turns=dict.fromkeys(GROUND.rooms, 0))
    more, _ = told(upper, 0, turns=dict.fromkeys(upper.rooms, 0))
    for item in document["records"]["surface"]:
        if item["side"] == "ceiling":
            item["other_side"] = above
            item |= {"other_room": "front" if item["room"] == "living" else "rear"} if above == "room" else {}
    for item in more["records"]["surface"]:
        if item["side"] == "floor":
            item |= {
                "element": "floor",
                "other_side": "room",
                "other_room": "living" if item["room"] == "front" else "kitchen",
            }
    for kind in ("room", "surface"):
        document["records"][kind] += more["records"][kind]
    return document


def said(document: Document) -> list[Finding]:
    plans = draw_up(document)
    assert [storey.state for storey in plans.storeys] == [PlanState.ONE] * 2, plans
    return [item for item in plans.findings if item.code in CODES]


def test_two_storeys_of_one_size_have_nothing_against_each_other():
    assert said(stacked(first(8, 7))) == []
    assert said(stacked(first(8.5, 7))) == []


@pytest.mark.parametrize(("length_m", "deep_m", "way"), [(9.2, 7, "longer"), (8, 7.9, "shorter")])
def test_a_first_floor_that_stands_out_is_said_with_both_figures(length_m, deep_m, way):
    (found,) = said(stacked(first(length_m, deep_m)))
    assert (found.code, found.about, found.severity) == ("plan_storey_stands_out", f"first/{way}", "note")
    ours, theirs = (length_m, 8) if way == "longer" else (deep_m, 7)
    assert f"{ours:g} m along" in found.message
    assert f"only {theirs:g} m" in found.message


def test_a_first_floor_over_a_passage_says_so_and_is_let_be():
    document = stacked(first(9.2, 7))
    floor = next(item for item in document["records"]["surface"] if item["room"] == "rear" and item["side"] == "floor")
    more = copy.deepcopy(floor) | {"id": "over-the-passage", "other_side": "outside", "area_m2": 8.4}
    del more["other_room"]
    document["records"]["surface"].append(more)
    assert said(document) == []


def test_a_ground_floor_that_nothing_lies_over_is_said_with_its_areas():
    (found,) = said(stacked(first(6, 7)))
    assert (found.code, found.record, found.about) == ("plan_roof_not_said", "room/living", "ground")
    for figure in ("56 m²", "42 m²", "0 m²", "14 m²"):
        assert figure in found.message


def test_a_roof_or_a_loft_that_is_said_over_the_rest_is_enough():
    document = stacked(first(6, 7))
    document["records"]["surface"].append(
        {
            "id": "lean-to",
            "room": "kitchen",
            "element": "roof",
            "side": "ceiling",
            "other_side": "outside",
            "area_m2": 14,
        }
    )
    assert said(document) == []


def test_nothing_is_said_before_it_is_said_what_lies_above():
    document = stacked(first(6, 7))
    document["records"]["surface"] = [
        item
        for item in document["records"]["surface"]
        if not (item["room"] == "kitchen" and item["side"] == "ceiling")
        and not (item["room"] == "rear" and item["side"] == "floor")
    ]
    assert said(document) == []


def test_storeys_whose_plan_is_not_solved_are_not_held_against_each_other():
    document = stacked(first(9.2, 7))
    document["records"]["surface"] = [
        item for item in document["records"]["surface"] if not (item["room"] == "front" and item["side"] == "left")
    ]
    plans = draw_up(document)
    assert plans.storeys[1].state is PlanState.NOT_ENOUGH
    assert not [item for item in plans.findings if item.code in CODES]


def test_no_sound_house_has_a_storey_against_another():
    documents = [house(), *(drawn(plan) for plan in PLANS)]
    documents += [json.loads(Path(path).read_text())["document"] for path in sorted(GOLDEN.glob("*.json"))]
    solved = 0
    for document in documents:
        plans = draw_up(document)
        solved += sum(storey.state is PlanState.ONE for storey in plans.storeys) > 1
        assert not [item for item in plans.findings if item.code in CODES], document["id"]
    assert solved >= 5
