"""The plan of a storey as it is drawn: what it says, what it is worth, where a room is tapped."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree
from dataclasses import replace

import pytest

from tests.pictures.test_drawings import HOSTILE
from tests.support.shapes import MID_TERRACE
from tests.support.told_rooms import told
from wattwalk.demo.house import house as demo_house
from wattwalk.engine import assess, draw_up
from wattwalk.pictures import DARK, PAPER, Palette, placed_things, storey_places, storey_plan
from wattwalk.pictures.svg import text_width
from wattwalk.survey.document import read_document


def storey_drawings(document: dict, width: float, palette: Palette) -> dict[str, str]:
    assessed = assess(document)
    losses = {room.id: room for room in assessed.rooms}
    things = placed_things(read_document(document))
    drawn = {plan.storey: storey_plan(plan, losses, things, palette, width) for plan in draw_up(document).storeys}
    return {name: svg for name, svg in drawn.items() if svg is not None}


@pytest.mark.parametrize("palette", [PAPER, DARK])
@pytest.mark.parametrize("width", [312.0, 640.0])
def test_a_storey_is_drawn_with_its_rooms_losses_and_state(palette, width):
    for name, svg in storey_drawings(demo_house(), width, palette).items():
        drawing = ElementTree.fromstring(svg)
        words = " ".join("".join(item.itertext()) for item in drawing.iter() if item.tag.endswith("text"))
        assert "One layout fits" in words
        assert "no proof" not in words
        assert float(drawing.get("width")) == width
        assert "class=" not in svg
        assert "style=" not in svg
        for room in ("Living room", "Dining room", "Hall", "Kitchen") if name == "ground" else ("Landing", "Bathroom"):
            assert room in words
        assert "W" in words


def test_what_is_no_proof_says_so_on_the_drawing():
    document, _ = told(MID_TERRACE, 0)
    (svg,) = storey_drawings(document, 640.0, PAPER).values()
    assert "Several layouts fit: the drawing is no proof" in svg


def test_what_stands_where_is_drawn_only_once_it_is_said():
    document = demo_house()
    before = storey_drawings(document, 640.0, PAPER)["ground"]
    assert "outdoor unit" not in before
    records = document["records"]
    next(item for item in records["emitter"] if item["room"] == "room-living")["side"] = "front"
    records["outdoor_position"][0] |= {"room_behind": "room-kitchen", "side_behind": "back"}
    records["hot_water"][0]["cylinder_room"] = "room-landing"
    after = storey_drawings(document, 640.0, PAPER)
    assert "outdoor unit" in after["ground"]
    assert PAPER.accent in after["ground"]
    assert PAPER.accent not in before
    assert "cylinder" in after["first"]


@pytest.mark.parametrize("width", [272.0, 312.0, 640.0])
def test_no_door_stands_open_over_the_words_of_a_room(width):
    doors = 0
    for svg in storey_drawings(demo_house(), width, PAPER).values():
        drawing = ElementTree.fromstring(svg)
        middle = [item for item in drawing.iter() if item.tag.endswith("text") and item.get("text-anchor") == "middle"]
        boxes = []
        for item in middle:
            half = text_width(item.text or "", float(item.get("font-size"))) / 2
            x, y = float(item.get("x")), float(item.get("y"))
            boxes.append((x - half, y - 9, x + half, y + 2))
        leaves = [
            [
                tuple(float(value) for value in point.split())
                for point in re.findall(r"[ML]([-\d.]+ [-\d.]+)", item.get("d"))
            ]
            for item in drawing.iter()
            if item.tag.endswith("path") and item.get("stroke") == PAPER.quiet and item.get("stroke-width") == "1.1"
        ]
        for leaf in (points for points in leaves if len(points) == 3):
            doors += 1
            xs, ys = [x for x, _ in leaf], [y for _, y in leaf]
            for left, top, right, bottom in boxes:
                assert not (min(xs) < right and max(xs) > left and min(ys) < bottom and max(ys) > top), (leaf, width)
    assert doors >= 4


def test_north_points_where_it_lies():
    document = demo_house()
    assert "north" not in storey_drawings(document, 640.0, PAPER)["ground"]
    document["records"]["survey"][0]["front_looks"] = "south"
    for room in document["records"]["room"]:
        room["turn"] = "front"
    svg = storey_drawings(document, 640.0, PAPER)["ground"]
    assert ">north<" in svg
    assert "North is 180 degrees clockwise from the top." in svg


def test_each_room_is_tapped_where_it_is_drawn():
    for plan in draw_up(demo_house()).storeys:
        for width in (312.0, 640.0):
            places = storey_places(plan, width)
            assert places.keys() == {room.id for room in plan.rooms}
            for one, (x, y, wide, high) in places.items():
                assert x >= 0
                assert x + wide <= width
                for other, (left, top, along, deep) in places.items():
                    if one != other:
                        shared = min(x + wide, left + along) - max(x, left), min(y + high, top + deep) - max(y, top)
                        assert min(shared) < 2


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_name_of_a_room_stays_text_on_a_plan(name):
    plan = draw_up(demo_house()).storeys[0]
    plan = replace(plan, rooms=tuple(replace(room, name=name) for room in plan.rooms))
    svg = storey_plan(plan, {}, (), PAPER, 312.0)
    assert svg is not None
    drawing = ElementTree.fromstring(svg)
    assert all(item.tag.rsplit("}")[-1] in {"svg", "title", "desc", "text", "path", "rect"} for item in drawing.iter())
