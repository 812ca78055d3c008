"""The plans that a household sees: rooms by name, what changes in them, all storeys to one scale."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree
from dataclasses import replace
from typing import Any

import pytest

from tests.pictures.test_drawings import HOSTILE
from wattwalk.demo.house import house as demo_house
from wattwalk.engine import draw_up
from wattwalk.pictures import PAPER, PlacedThing, house_plan_words, house_plans, placed_things, storey_plan
from wattwalk.survey.document import read_document

TAGS = {"svg", "title", "desc", "path", "text"}
NEW = {"room-study": ["new radiator"], "room-living": ["new radiator", "cylinder"]}


def drawn(changes: Any = NEW, things: Any = (), width: float = 238.0, document: Any = None) -> dict[str, str]:
    plans = draw_up(document or demo_house()).storeys
    return house_plans(plans, changes, things, width=width, tallest=130.0)


def words_of(svg: str) -> list[str]:
    return ["".join(item.itertext()) for item in ElementTree.fromstring(svg).iter() if item.tag.endswith("text")]


@pytest.mark.parametrize("width", [153.0, 238.0])
def test_every_room_is_named_in_the_drawing_or_below_it(width):
    for plan in draw_up(demo_house()).storeys:
        svg = drawn(width=width)[plan.storey]
        words = " ".join(words_of(svg))
        for room in plan.rooms:
            assert room.name in words, room.name
        assert float(ElementTree.fromstring(svg).get("width") or 0) == width
        assert min(float(size) for size in re.findall(r'font-size="([\d.]+)"', svg)) >= 10


def test_what_changes_is_said_in_its_room_and_shaded():
    both = drawn()
    assert both["first"].count(f'fill="{PAPER.line}"') == 1
    assert both["ground"].count(f'fill="{PAPER.line}"') == 1
    assert "Study: new radiator" in " ".join(words_of(both["first"]))
    assert {"new", "radiator", "cylinder"} <= set(" ".join(words_of(both["ground"])).replace(",", "").split())
    none = drawn({})
    assert not [svg for svg in none.values() if PAPER.line in svg or "radiator" in svg]


def test_storeys_lie_side_by_side_to_one_scale():
    plans = {plan.storey: plan for plan in draw_up(demo_house()).storeys}
    spans = {}
    for name, svg in drawn({}).items():
        room = plans[name].rooms[0]
        shape = re.search(r'<path d="M([\d.]+) ([\d.]+) L([\d.]+) ', svg)
        assert shape is not None
        spans[name] = (float(shape[3]) - float(shape[1])) / room.width_m
    assert spans["ground"] == pytest.approx(spans["first"], rel=1e-3)


def test_of_emitters_only_new_ones_are_drawn_and_the_unit_outside():
    document = demo_house()
    records = document["records"]
    emitter = next(item for item in records["emitter"] if item["room"] == "room-living")
    emitter |= {"side": "front", "plan": "keep"}

    def ground(document: Any) -> str:
        return drawn({}, placed_things(read_document(document)), document=document)["ground"]

    assert PAPER.accent not in re.findall(r'stroke="([^"]+)"', ground(document))
    emitter["plan"] = "new"
    assert PAPER.accent in re.findall(r'stroke="([^"]+)"', ground(document))
    emitter["plan"] = "keep"
    records["outdoor_position"][0] |= {"room_behind": "room-kitchen", "side_behind": "back"}
    assert PAPER.accent_text in re.findall(r'stroke="([^"]+)"', ground(document))


def test_a_unit_outside_lies_within_the_drawing():
    thing = PlacedThing("unit", "room-kitchen", "back")
    svg = drawn({}, [thing])["ground"]
    height = float(ElementTree.fromstring(svg).get("height") or 0)
    ys = [float(y) for shape in re.findall(r' d="M([^"]+)Z"', svg) for y in re.findall(r"[\d.]+ ([\d.]+)", shape)]
    assert max(ys) <= height


@pytest.mark.parametrize("name", HOSTILE)
def test_whatever_a_room_is_called_the_drawing_stands(name):
    for plan in draw_up(demo_house()).storeys:
        plan = replace(plan, rooms=tuple(replace(room, name=name) for room in plan.rooms))
        for svg in house_plans([plan], NEW, [], width=238.0, tallest=130.0).values():
            assert {item.tag.split("}")[1] for item in ElementTree.fromstring(svg).iter()} <= TAGS


def test_a_plan_in_words_names_rooms_and_changes():
    ground = draw_up(demo_house()).storeys[0]
    assert house_plan_words(ground, NEW).endswith("Living room: new radiator, cylinder.")
    assert "radiator" not in house_plan_words(ground, {})


def test_nothing_proved_draws_nothing():
    assert house_plans([], {}, [], width=238.0, tallest=100.0) == {}


def test_the_designers_plan_is_as_it_was():
    ground = draw_up(demo_house()).storeys[0]
    svg = storey_plan(ground, {}, [], PAPER, 493.0)
    assert svg is not None
    assert 'stroke-width="4.6"' in svg
