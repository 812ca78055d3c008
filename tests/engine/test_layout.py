"""The plan of a storey draws itself from what was said, says where it cannot be, and never calls a drawing a proof that is none."""

from __future__ import annotations

import copy
from time import perf_counter
from typing import Any

import pytest

from tests.support.houses import small_house
from tests.support.plans import Plan, drawn
from tests.support.shapes import SHAPES, long_terrace
from tests.support.sound_houses import PLANS, ROOM_IN_ROOF
from tests.support.told_rooms import SIDES, Rect, Storey, pieces, random_storey, told
from wattwalk.demo.house import house
from wattwalk.engine import draw_up, to_plain
from wattwalk.engine.answers.plan import PlanState, StoreyPlan
from wattwalk.survey.document import read_document

Document = dict[str, Any]
#: How far a room may lie from where the plan has it, m: walls without a thickness and with one.
NEAR_M = 0.45


def plan_of(document: Document) -> StoreyPlan:
    """Return the plan of the only storey of a document."""
    (found,) = draw_up(document).storeys
    return found


def findings_of(document: Document) -> dict[str, list[str]]:
    """Return the records of what was found, by code."""
    found: dict[str, list[str]] = {}
    for finding in draw_up(document).findings:
        found.setdefault(finding.code, []).append(finding.record)
    return found


def changed(document: Document, kind: str, name: str, **fields: Any) -> Document:
    copied = copy.deepcopy(document)
    record = next(item for item in copied["records"][kind] if item["id"] == name)
    record.update(fields)
    for field in [field for field, value in record.items() if value is None]:
        del record[field]
    return copied


def given_back(storey: Storey, plan: StoreyPlan, turns: dict[str, int]) -> list[str]:
    """Return what of a storey a plan does not give back: turns and places, but for a turn of the whole."""
    rooms = {room.id: room for room in plan.rooms}
    faces = {name: SIDES.index(room.faces) for name, room in rooms.items()}
    names = list(storey.rooms)
    whole = (faces[names[0]] - turns[names[0]]) % 4
    wrong = [f"{name} is turned" for name in names if (faces[name] - turns[name]) % 4 != whole]
    for name in names:
        for way in range(4):
            for _, other in pieces(storey, name, way):
                if other is None:
                    continue
                one, two = storey.rooms[name], storey.rooms[other]
                right, down = two.x + two.w / 2 - one.x - one.w / 2, two.y + two.h / 2 - one.y - one.h / 2
                for _ in range(whole):
                    right, down = -down, right
                drawn_one, drawn_two = rooms[name], rooms[other]
                off = max(
                    abs(drawn_two.x_m + drawn_two.width_m / 2 - drawn_one.x_m - drawn_one.width_m / 2 - right),
                    abs(drawn_two.y_m + drawn_two.height_m / 2 - drawn_one.y_m - drawn_one.height_m / 2 - down),
                )
                if off > NEAR_M:
                    wrong.append(f"{other} lies {off:.2f} m off {name}")
    return wrong


def from_left(storey: Storey, document: Document, turns: dict[str, int], name: str, field: str) -> float:
    """Return how far from the left end of a side a wall begins, as somebody would measure it who stands before it, in its room or in the one beyond."""
    wall = next(item for item in document["records"]["surface"] if item["id"] == name)
    way = (SIDES.index(wall["side"]) + turns[wall["room"]]) % 4
    here, beyond = wall["room"], wall["other_room"]
    if field == "beyond_from_left_m":
        way, here, beyond = (way + 2) % 4, beyond, here
    along = pieces(storey, here, way)
    if way in (2, 3):
        along = along[::-1]
    at = 0.0
    for length, other in along:
        if other == beyond:
            return round(at, 2)
        at += length
    raise AssertionError(name)


def settled(storey: Storey, document: Document, turns: dict[str, int]) -> tuple[Document, int]:
    """Answer what a plan asks, as the house is, until it asks no more; return the document and the number of answers."""
    for answers in range(20):
        plan = plan_of(document)
        if plan.state is not PlanState.SEVERAL:
            return document, answers
        ask = plan.asks[0]
        kind, name = ask.record.split("/")
        if ask.field in ("from_left_m", "beyond_from_left_m"):
            document = changed(document, kind, name, **{ask.field: from_left(storey, document, turns, name, ask.field)})
        else:
            assert ask.field == "turn"
            assert ask.beside is not None
            for room in (name, ask.beside):
                document = changed(document, "room", room, turn=SIDES[turns[room]])
    raise AssertionError("the plan never ends asking")


# Shapes of houses.


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("wall_m", [0.0, 0.12])
def test_a_shape_is_given_back_once_it_is_settled(shape, seed, wall_m):
    storey = SHAPES[shape]
    document, turns = told(storey, seed, wall_m=wall_m)
    plan = plan_of(document)
    assert plan.state in (PlanState.ONE, PlanState.SEVERAL), plan
    document, answers = settled(storey, document, turns)
    plan = plan_of(document)
    assert plan.state is PlanState.ONE, (plan.words, plan.asks)
    assert given_back(storey, plan, turns) == []
    assert answers <= 3
    assert not draw_up(document).findings


@pytest.mark.parametrize("shape", SHAPES)
def test_one_wall_told_wrong_is_found(shape):
    storey = SHAPES[shape]
    document, turns = told(storey, 1)
    document, _ = settled(storey, document, turns)
    tried = 0
    for wall in document["records"]["surface"]:
        if wall["other_side"] != "room":
            continue
        room = next(item for item in document["records"]["room"] if item["id"] == wall["room"])
        whole = room["length_m"] if wall["side"] in ("front", "back") else room["width_m"]
        for off in (0.9, -0.9):
            length = round(wall.get("width_m", whole) + off, 2)
            if length < 0.3:
                continue
            tried += 1
            wrong = changed(document, "surface", wall["id"], width_m=length)
            plan, said = plan_of(wrong), draw_up(wrong).findings
            assert plan.state is not PlanState.ONE, (wall, length)
            near = {wall["id"], wall["room"], wall["other_room"]}
            near |= {
                item["id"]
                for item in document["records"]["surface"]
                if {item["room"], item.get("other_room")} & {wall["room"], wall["other_room"]}
            }
            named = {part for item in said for record in (item.record, item.about) for part in record.split("/")[-1:]}
            asked = {ask.record.split("/")[-1] for ask in plan.asks}
            assert (named | asked) & near, (wall, length, said, plan.asks)
            if off > 0:
                # More than there can be is no matter of asking: two statements disagree.
                assert any(item.severity == "check" for item in said), (wall, length)
                assert plan.state is PlanState.NONE
    assert tried >= 2


@pytest.mark.parametrize(
    ("rooms", "seed"), [(4, 0), (4, 5), (4, 6), (6, 2), (6, 7), (8, 1), (8, 2), (8, 15), (10, 2), (10, 5)]
)
def test_whoever_is_told_to_measure_again_is_told_of_the_wall_that_is_wrong(rooms, seed):
    """No other wall is accused in its place: it is named, or among all those that it may be."""
    storey = random_storey(seed, rooms)
    document, turns = told(storey, seed, wall_m=0.1)
    document, _ = settled(storey, document, turns)
    names = {room["id"]: room["name"] for room in document["records"]["room"]}
    told_of = missed = 0
    for wall in document["records"]["surface"]:
        if wall["other_side"] != "room":
            continue
        room = next(item for item in document["records"]["room"] if item["id"] == wall["room"])
        whole = room["length_m"] if wall["side"] in ("front", "back") else room["width_m"]
        for off in (0.6, 0.9, -0.9):
            length = round(wall.get("width_m", whole) + off, 2)
            if length < 0.3:
                continue
            said = draw_up(changed(document, "surface", wall["id"], width_m=length)).findings
            checks = [item for item in said if item.severity == "check"]
            told_of += bool(checks)
            accused = {record for item in checks for record in (item.record, item.about)}
            at = f"{names[wall['room']]}, {wall['side']} side"
            is_side = any((item.record, item.about) == (f"room/{wall['room']}", wall["side"]) for item in checks)
            is_named = f"surface/{wall['id']}" in accused or is_side or any(at in item.message for item in checks)
            if checks and not is_named:
                # Another wall is never accused alone: those that are named fit the rest as well when they are left out.
                assert all(item.about.startswith("surface/") for item in checks), (wall, length, checks)
                missed += 1
    assert told_of >= 4
    assert missed <= 1


def test_a_wall_told_with_two_lengths_names_both():
    storey = Storey({"living": Rect(0, 0, 4.2, 3.6), "dining": Rect(4.2, 0, 3.0, 3.6)})
    document, _ = told(storey, 0, turns={"living": 0, "dining": 0})
    wall = next(item for item in document["records"]["surface"] if item["other_side"] == "room")
    other = wall["other_room"]
    back = {"right": "left", "left": "right"}[wall["side"]]
    document["records"]["surface"].append(
        {
            "id": "told-again",
            "room": other,
            "element": "partition",
            "side": back,
            "other_side": "room",
            "other_room": wall["room"],
            "width_m": 3.3,
        }
    )
    (finding,) = [item for item in draw_up(document).findings if item.code == "plan_wall_two_lengths"]
    assert {finding.record, finding.about} == {f"surface/{wall['id']}", "surface/told-again"}
    assert "3.6 m" in finding.message
    assert "3.3 m" in finding.message
    assert plan_of(document).state is PlanState.NONE
    document["records"]["surface"][-1]["width_m"] = 3.5
    assert "plan_wall_two_lengths" not in findings_of(document)
    assert plan_of(document).state is PlanState.ONE


def test_an_outside_wall_that_faces_a_room_is_found():
    storey = SHAPES["bungalow"]
    document, _ = told(storey, 2, turns=dict.fromkeys(storey.rooms, 0))
    # The second bedroom lies between the first and the bathroom, and its wall to the bathroom is told to be outside.
    wrong = copy.deepcopy(document)
    pair = {"bedroom-2", "bathroom"}
    wrong["records"]["surface"] = [
        item for item in wrong["records"]["surface"] if {item["room"], item.get("other_room")} != pair
    ]
    wrong["records"]["surface"] += [
        {"id": "told-wrong", "room": "bedroom-2", "element": "wall", "side": "back", "other_side": "outside"}
    ]
    assert plan_of(document).state is PlanState.ONE
    assert plan_of(wrong).state is PlanState.NONE
    (found,) = [item for item in draw_up(wrong).findings if item.code == "plan_outside_faces_room"]
    assert "surface/told-wrong" in (found.record, found.about)
    assert "Bedroom 2, back side 4 m" in found.message


def test_a_room_that_would_lie_on_another_is_found():
    # Three rooms in a row, and a fourth that is told to be beyond the first's right side as well.
    storey = Storey({"one": Rect(0, 0, 3, 3), "two": Rect(3, 0, 3, 3)})
    document, _ = told(storey, 0, turns={"one": 0, "two": 0})
    document["records"]["room"].append(
        {"id": "three", "name": "Three", "use": "living", "length_m": 3, "width_m": 3, "height_m": 2.4}
    )
    document["records"]["surface"] += [
        {"id": f"three-{side}", "room": "three", "element": "wall", "side": side, "other_side": "outside"}
        for side in ("front", "back", "right")
    ]
    document["records"]["surface"].append(
        {
            "id": "three-left",
            "room": "three",
            "element": "partition",
            "side": "left",
            "other_side": "room",
            "other_room": "one",
        }
    )
    for record in document["records"]["room"]:
        record["turn"] = "front"
    assert plan_of(document).state is PlanState.NONE
    named = {
        part
        for item in draw_up(document).findings
        for record in (item.record, item.about)
        for part in record.split("/")
    }
    assert named & {"three", "three-left"}


# Houses whose sizes are as they would be measured.


@pytest.mark.parametrize("sound", PLANS, ids=lambda plan: plan.name)
def test_a_sound_house_has_no_false_alarm(sound: Plan):
    plans = draw_up(drawn(sound))
    assert all(storey.state in (PlanState.ONE, PlanState.SEVERAL) for storey in plans.storeys), plans
    assert not [item for item in plans.findings if item.severity == "check"]
    boxes = {box.name: box for rooms in sound.rooms.values() for box in rooms}
    for storey in plans.storeys:
        if storey.state is PlanState.ONE and len(storey.rooms) > 1:
            rects = {
                room.id: Rect(*(getattr(boxes[room.id], of) for of in ("x", "y", "along", "deep")))
                for room in storey.rooms
            }
            assert given_back(Storey(rects), storey, dict.fromkeys(rects, 0)) == []


def test_the_demo_house_has_one_layout_on_both_storeys():
    plans = draw_up(house())
    assert [(storey.storey, storey.state) for storey in plans.storeys] == [("ground", "one"), ("first", "one")]
    assert plans.findings == ()
    rooms = {room.id: room for room in plans.storeys[0].rooms}
    assert (rooms["room-kitchen"].x_m, rooms["room-kitchen"].y_m) == pytest.approx((4.2, 3.1), abs=0.15)
    outside = {(line.from_x_m, line.to_x_m) for line in rooms["room-living"].lines if line.beyond == "outside"}
    assert outside == {(0.0, 4.2)}
    assert {line.beyond for line in rooms["room-living"].lines} == {"outside", "neighbour", "room"}


@pytest.mark.parametrize("wall_m", [0.0, 0.1])
@pytest.mark.parametrize("rooms", [4, 7, 10])
def test_random_houses_are_given_back(rooms, wall_m):
    ones = answers = 0
    for seed in range(12):
        storey = random_storey(seed, rooms)
        document, turns = told(storey, seed, wall_m=wall_m)
        plan = plan_of(document)
        assert plan.state in (PlanState.ONE, PlanState.SEVERAL), (seed, plan.words, draw_up(document).findings)
        if plan.state is PlanState.ONE:
            ones += 1
            assert given_back(storey, plan, turns) == [], seed
        document, more = settled(storey, document, turns)
        answers += more
        plan = plan_of(document)
        assert plan.state is PlanState.ONE, (seed, plan.asks)
        assert given_back(storey, plan, turns) == [], seed
    assert ones >= 4
    assert answers <= 12 * 3


@pytest.mark.parametrize("seed", [2, 4, 5, 6, 13, 18, 26, 30, 31, 39, 43, 74, 81, 96, 136])
def test_a_storey_of_twenty_rooms_is_proved_or_settled(seed):
    """These have short pieces that may lie at either end of a wall: with each of them there are twice as many ways that come to the same."""
    storey = random_storey(seed, 20)
    document, turns = told(storey, seed, wall_m=0.1)
    document, answers = settled(storey, document, turns)
    plan = plan_of(document)
    assert plan.state is PlanState.ONE, (plan.words, plan.asks)
    assert given_back(storey, plan, turns) == []
    assert not [item for item in draw_up(document).findings if item.severity == "check"]
    assert answers <= 5


def test_nobody_is_told_that_a_wall_is_wrong_while_several_layouts_fit():
    document, _ = told(random_storey(181, 20), 181)
    plans = draw_up(document)
    assert len(plans.storeys[0].asks) > 1
    assert not [item for item in plans.findings if item.severity == "check"]


def test_a_search_that_was_cut_asks_what_lets_it_end():
    storey = random_storey(140, 20)
    document, turns = told(storey, 140, wall_m=0.1)
    plan = plan_of(document)
    assert plan.state is PlanState.NOT_SOLVED
    answers = 0
    while plan.state is PlanState.NOT_SOLVED:
        # How one room is turned says nothing before another one says it too, so the first question is for two.
        assert [ask.field for ask in plan.asks] == ["turn", "turn"] if answers == 0 else ["turn"]
        for ask in plan.asks:
            name = ask.record.removeprefix("room/")
            document = changed(document, "room", name, turn=SIDES[turns[name]])
            answers += 1
        plan = plan_of(document)
    assert plan.state is PlanState.ONE
    assert given_back(storey, plan, turns) == []
    assert answers <= 6


def test_the_order_of_records_decides_nothing():
    document, _ = told(SHAPES["bungalow"], 3)
    turned = copy.deepcopy(document)
    turned["records"]["surface"].reverse()
    assert to_plain(plan_of(document))["state"] == to_plain(plan_of(turned))["state"]


# Parts of the floor.


def test_a_missing_corner_takes_the_room_that_lies_in_it():
    """An L-shaped hall round a cloakroom: its front side is as long as before, a part of it set back."""
    document = {
        "format": "wattwalk-survey",
        "version": 3,
        "id": "l-hall",
        "records": {
            "survey": [{"id": "survey"}],
            "room": [
                {
                    "id": "hall",
                    "name": "Hall",
                    "length_m": 4,
                    "width_m": 3,
                    "height_m": 2.4,
                    "floor_parts": [{"what": "corner", "where": "front_right", "along_m": 1.6, "depth_m": 1.4}],
                },
                {"id": "cloaks", "name": "Cloakroom", "length_m": 1.6, "width_m": 1.4, "height_m": 2.4},
            ],
            "surface": [
                {
                    "id": "f",
                    "room": "hall",
                    "element": "wall",
                    "side": "front",
                    "other_side": "outside",
                    "width_m": 2.4,
                },
                {
                    "id": "f2",
                    "room": "hall",
                    "element": "partition",
                    "side": "front",
                    "other_side": "room",
                    "other_room": "cloaks",
                    "width_m": 1.6,
                },
                {
                    "id": "r",
                    "room": "hall",
                    "element": "wall",
                    "side": "right",
                    "other_side": "outside",
                    "width_m": 1.6,
                },
                {
                    "id": "r2",
                    "room": "hall",
                    "element": "partition",
                    "side": "right",
                    "other_side": "room",
                    "other_room": "cloaks",
                    "width_m": 1.4,
                },
                {"id": "b", "room": "hall", "element": "wall", "side": "back", "other_side": "outside"},
                {"id": "l", "room": "hall", "element": "wall", "side": "left", "other_side": "outside"},
                {"id": "cf", "room": "cloaks", "element": "wall", "side": "front", "other_side": "outside"},
                {"id": "cr", "room": "cloaks", "element": "wall", "side": "right", "other_side": "outside"},
            ],
        },
    }
    plan = plan_of(document)
    assert plan.state is PlanState.ONE, (plan.words, plan.asks, draw_up(document).findings)
    rooms = {room.id: room for room in plan.rooms}
    hall, cloaks = rooms["hall"], rooms["cloaks"]
    assert (cloaks.x_m - hall.x_m, cloaks.y_m - hall.y_m) == pytest.approx((2.4, 0.0), abs=0.1)
    assert len(hall.outline) == 6


def test_a_bay_is_drawn_and_takes_no_place():
    storey = Storey({"living": Rect(0, 0, 4.0, 4.0), "hall": Rect(4.0, 0, 2.0, 4.0)})
    document, turns = told(storey, 0, turns={"living": 0, "hall": 0})
    document = changed(
        document,
        "room",
        "living",
        floor_parts=[{"what": "bay", "where": "front", "along_m": 2.4, "depth_m": 0.6, "outer_m": 1.4}],
    )
    plan = plan_of(document)
    assert plan.state is PlanState.ONE
    living = next(room for room in plan.rooms if room.id == "living")
    assert len(living.outline) == 8
    assert min(y for _, y in living.outline) == pytest.approx(living.y_m - 0.6)
    assert given_back(storey, plan, turns) == []


def test_another_rectangle_finds_its_end_of_the_side():
    """An L-shaped kitchen told as a box with a rectangle at its back: the store beside that says at which end."""
    document = {
        "format": "wattwalk-survey",
        "version": 3,
        "id": "l-kitchen",
        "records": {
            "survey": [{"id": "survey"}],
            "room": [
                {
                    "id": "kitchen",
                    "name": "Kitchen",
                    "length_m": 5,
                    "width_m": 3,
                    "height_m": 2.4,
                    "floor_parts": [{"what": "rectangle", "where": "back", "along_m": 3, "depth_m": 2}],
                },
                {"id": "store", "name": "Store", "length_m": 2, "width_m": 2, "height_m": 2.4},
            ],
            "surface": [
                {"id": "f", "room": "kitchen", "element": "wall", "side": "front", "other_side": "outside"},
                {"id": "l", "room": "kitchen", "element": "wall", "side": "left", "other_side": "outside"},
                {
                    "id": "b",
                    "room": "kitchen",
                    "element": "wall",
                    "side": "back",
                    "other_side": "outside",
                    "width_m": 3,
                },
                {
                    "id": "r",
                    "room": "kitchen",
                    "element": "wall",
                    "side": "right",
                    "other_side": "outside",
                    "width_m": 3,
                },
                {
                    "id": "sf",
                    "room": "store",
                    "element": "partition",
                    "side": "front",
                    "other_side": "room",
                    "other_room": "kitchen",
                },
                {
                    "id": "sl",
                    "room": "store",
                    "element": "partition",
                    "side": "left",
                    "other_side": "room",
                    "other_room": "kitchen",
                },
                {"id": "sr", "room": "store", "element": "wall", "side": "right", "other_side": "outside"},
                {"id": "sb", "room": "store", "element": "wall", "side": "back", "other_side": "outside"},
            ],
        },
    }
    plan = plan_of(document)
    assert plan.state is PlanState.ONE, (plan.words, plan.asks, draw_up(document).findings)
    rooms = {room.id: room for room in plan.rooms}
    kitchen, store = rooms["kitchen"], rooms["store"]
    assert (store.x_m - kitchen.x_m, store.y_m - kitchen.y_m) == pytest.approx((3.0, 3.0), abs=0.15)
    assert max(y for _, y in kitchen.outline) == pytest.approx(kitchen.y_m + 5)


# What is missing, and what is bad.


def test_one_room_only_is_drawn():
    document, _ = told(Storey({"den": Rect(0, 0, 4, 3)}), 0)
    plan = plan_of(document)
    assert plan.state is PlanState.ONE
    assert {line.beyond for line in plan.rooms[0].lines} == {"outside"}
    document["records"]["surface"] = []
    plan = plan_of(document)
    assert plan.state is PlanState.NOT_ENOUGH
    assert [ask.record for ask in plan.asks] == ["room/den"]
    assert {line.beyond for line in plan.rooms[0].lines} == {"not_said"}


def test_no_rooms_have_no_plan():
    document, _ = told(Storey({"den": Rect(0, 0, 4, 3)}), 0)
    document["records"]["room"] = document["records"]["surface"] = []
    assert draw_up(document).storeys == ()


def test_a_plan_grows_room_by_room_and_is_never_called_whole_before_it_is():
    storey = SHAPES["semi"]
    document, _ = told(storey, 4)
    rooms = [room["id"] for room in document["records"]["room"]]
    for count in range(1, len(rooms) + 1):
        part = copy.deepcopy(document)
        here = set(rooms[:count])
        part["records"]["room"] = [room for room in part["records"]["room"] if room["id"] in here]
        part["records"]["surface"] = [
            item
            for item in part["records"]["surface"]
            if item["room"] in here and item.get("other_room", item["room"]) in here
        ]
        plan = plan_of(part)
        assert {room.id for room in plan.rooms} == here
        assert (plan.state is PlanState.ONE) == (count == len(rooms)), (count, plan.words)


def test_a_side_that_is_not_said_is_asked_and_no_plan_is_whole_without_it():
    document, _ = told(SHAPES["semi"], 4)
    for wall in [item for item in document["records"]["surface"] if item["side"] in SIDES]:
        less = copy.deepcopy(document)
        less["records"]["surface"] = [item for item in less["records"]["surface"] if item["id"] != wall["id"]]
        plan = plan_of(less)
        assert plan.state is not PlanState.ONE, wall
        assert any(ask.record == f"room/{wall['room']}" for ask in plan.asks), (wall, plan.asks)


def test_rooms_that_no_wall_joins_lie_apart():
    document, _ = told(SHAPES["cottage"], 0)
    document["records"]["surface"] = [item for item in document["records"]["surface"] if item["other_side"] != "room"]
    plan = plan_of(document)
    assert plan.state is PlanState.NOT_ENOUGH
    one, other = plan.rooms
    assert {one.group, other.group} == {0, 1}
    assert one.x_m + one.width_m < other.x_m or other.x_m + other.width_m < one.x_m
    assert "plan_part_apart" in findings_of(document)


def test_a_room_without_a_size_is_asked_for_it():
    document, _ = told(SHAPES["semi"], 0)
    document = changed(document, "room", "hall", length_m=None)
    plan = plan_of(document)
    assert plan.state is PlanState.NOT_ENOUGH
    assert plan.unmeasured == ("hall",)
    assert (plan.asks[0].record, plan.asks[0].field) == ("room/hall", "length_m")
    assert "hall" not in {room.id for room in plan.rooms}


def test_a_room_beyond_itself_is_said():
    document, _ = told(Storey({"den": Rect(0, 0, 4, 3)}), 0, turns={"den": 0})
    document = changed(document, "surface", "den-left-0", other_side="room", other_room="den")
    assert findings_of(document)["plan_room_beyond_itself"] == ["surface/den-left-0"]
    assert len(plan_of(document).rooms) == 1


def test_rooms_that_name_each_other_in_a_circle_have_no_layout():
    """Each of three rooms is told to lie right of the one before, none of them turned."""
    names = ("one", "two", "three")
    document = {
        "format": "wattwalk-survey",
        "version": 3,
        "id": "circle",
        "records": {
            "survey": [{"id": "survey"}],
            "room": [
                {"id": name, "name": name.title(), "length_m": 4, "width_m": 3, "height_m": 2.4, "turn": "front"}
                for name in names
            ],
            "surface": [
                {
                    "id": f"{name}-right",
                    "room": name,
                    "element": "partition",
                    "side": "right",
                    "other_side": "room",
                    "other_room": names[(place + 1) % 3],
                }
                for place, name in enumerate(names)
            ],
        },
    }
    plan = plan_of(document)
    assert plan.state is PlanState.NONE
    assert any(item.severity == "check" for item in draw_up(document).findings)


def test_floors_that_lead_in_a_circle_are_said():
    document, _ = told(SHAPES["cottage"], 0)
    document = changed(document, "surface", "parlour-top", other_side="room", other_room="kitchen")
    document = changed(document, "surface", "kitchen-top", other_side="room", other_room="parlour")
    assert sorted(findings_of(document)["plan_floor_wrong_way"]) == ["surface/kitchen-top", "surface/parlour-top"]


def test_a_wall_to_another_storey_joins_nothing():
    document, _ = told(SHAPES["cottage"], 0)
    document = changed(document, "room", "kitchen", storey="first")
    plans = draw_up(document)
    assert [storey.storey for storey in plans.storeys] == ["ground", "first"]
    assert "plan_wall_other_storey" in {item.code for item in plans.findings}


def test_a_storey_without_a_stair_is_laid_out_by_itself():
    plans = draw_up(drawn(ROOM_IN_ROOF))
    assert [storey.storey for storey in plans.storeys] == ["ground", "first", "loft"]
    assert [len(storey.rooms) for storey in plans.storeys] == [3, 4, 1]


def test_more_along_a_side_than_it_is_long_is_said_with_both_lengths():
    document, _ = told(SHAPES["semi"], 0, turns=dict.fromkeys(SHAPES["semi"].rooms, 0))
    wall = next(
        item
        for item in document["records"]["surface"]
        if "width_m" in item and item["other_side"] == "room" and item["side"] in ("front", "back")
    )
    wrong = changed(document, "surface", wall["id"], width_m=wall["width_m"] + 1.5)
    (finding,) = [item for item in draw_up(wrong).findings if item.code == "plan_side_too_long"]
    assert (finding.record, finding.about) == (f"room/{wall['room']}", wall["side"])
    assert finding.message.count(" m") >= 3


# North.


def test_north_is_known_where_the_house_and_a_room_say_how_they_look():
    document, turns = told(SHAPES["square"], 0)
    assert plan_of(document).north_deg is None
    document = changed(document, "survey", "survey", front_looks="east")
    plan = plan_of(document)
    assert plan.north_deg is None
    assert plan.asks[-1].field == "turn"
    name = plan.asks[-1].record.split("/")[1]
    document = changed(document, "room", name, turn=SIDES[turns[name]])
    plan = plan_of(document)
    # The front of the house is up; whoever looks out of it to the east has north at the left hand.
    assert plan.north_deg == 270
    assert next(room.faces for room in plan.rooms if room.id == name) == SIDES[turns[name]]


# Time.


@pytest.mark.alone
def test_a_terrace_of_sixty_rooms_stays_in_bounds():
    document, _ = told(long_terrace(30), 0)
    first, _ = told(Storey(long_terrace(30).rooms, name="first"), 1)
    for kind in ("room", "surface"):
        for record in copy.deepcopy(first["records"][kind]):
            record["id"] = f"up-{record['id']}"
            if "room" in record:
                record["room"] = f"up-{record['room']}"
            if "other_room" in record:
                record["other_room"] = f"up-{record['other_room']}"
            document["records"][kind].append(record)
    survey = read_document(document)
    begun = perf_counter()
    plans = draw_up(survey)
    assert perf_counter() - begun < 3.0
    assert [len(storey.rooms) for storey in plans.storeys] == [30, 30]


def test_nobody_gathers_reasons_once_a_layout_is_known(monkeypatch):
    """What stands against a try is only asked for where no layout fits: to find it costs as much as the try."""
    from wattwalk.engine.layout import search as search_module
    from wattwalk.engine.layout.bounds import Bounds

    found: list[bool] = []
    asked: list[bool] = []
    take, why = search_module.Search._found, Bounds.why

    def noted(self, *drawn):
        found.append(True)
        take(self, *drawn)

    def counted(self, one, other):
        asked.append(bool(found))
        return why(self, one, other)

    monkeypatch.setattr(search_module.Search, "_found", noted)
    monkeypatch.setattr(Bounds, "why", counted)
    document, _ = told(random_storey(3, 10), 3, wall_m=0.1)
    assert plan_of(document).state in (PlanState.ONE, PlanState.SEVERAL)
    assert found
    assert True not in asked
    found.clear()
    asked.clear()
    wall = next(item for item in document["records"]["surface"] if item["other_side"] == "room" and "width_m" in item)
    plan_of(changed(document, "surface", wall["id"], width_m=round(wall["width_m"] + 1.5, 2)))
    assert False in asked


def test_a_search_that_is_cut_says_so(monkeypatch):
    from wattwalk.engine.layout import storey as storey_module

    document, _ = told(SHAPES["bungalow"], 0)
    assert plan_of(document).state is PlanState.ONE
    monkeypatch.setattr(storey_module, "TRIES", 60)
    plan = plan_of(document)
    assert plan.state is PlanState.NOT_SOLVED
    assert plan.asks


def test_the_example_of_a_small_house_is_drawn():
    plans = draw_up(small_house())
    assert plans.storeys
    assert all(storey.state is not PlanState.ONE or not storey.asks for storey in plans.storeys)
