"""What a survey's records are called and in which order they lie changes no figure."""

from __future__ import annotations

import json
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from tests.engine.support import assessed
from tests.golden.write_answers import figures
from tests.support.houses import not_counted, small_house, terrace
from wattwalk.engine import to_plain

from . import changes
from .houses import Document, houses, houses_each


def in_one_order(item: Any) -> Any:
    """Return the figures, codes and sources of an answer with each list in an order of its own: an answer lists rooms as the survey does."""
    if isinstance(item, dict):
        return {name: in_one_order(inner) for name, inner in item.items()}
    if isinstance(item, list):
        return sorted((in_one_order(inner) for inner in item), key=lambda inner: json.dumps(inner, sort_keys=True))
    return item


def different(before: Any, after: Any, path: str = "") -> list[str]:
    """Return where two answers differ, with both values."""
    if isinstance(before, dict) and isinstance(after, dict) and before.keys() == after.keys():
        return [line for name in before for line in different(before[name], after[name], f"{path}.{name}")]
    if isinstance(before, list) and isinstance(after, list) and len(before) == len(after):
        return [
            line
            for place, pair in enumerate(zip(before, after, strict=True))
            for line in different(*pair, f"{path}[{place}]")
        ]
    return [] if before == after else [f"{path}: {before!r} is {after!r} in another order"]


def twins() -> Document:
    """Return three rooms as alike as can be, each with two like radiators that do not make it warm."""
    house = small_house()
    records = house["records"]
    kept = {
        "living",
        "front",
        "floor",
        *(item["id"] for item in not_counted("living", "back", "left", "right", "ceiling")),
    }
    records["room"] = [item for item in records["room"] if item["id"] in kept]
    records["surface"] = [item for item in records["surface"] if item["id"] in kept]
    records["surface"] += not_counted("living", "right")
    radiator = {"type": "panel_11", "height_mm": 600, "length_mm": 500, "free_width_mm": 3000, "free_height_mm": 900}
    records["emitter"] = [{"id": name, "room": "living", **radiator} for name in ("left", "right")]
    for kind in ("room", "surface", "emitter"):
        for item in list(records[kind]):
            for number in (2, 3):
                more = {**item, "id": f"{item['id']}-{number}"}
                if kind != "room":
                    more["room"] = f"{item['room']}-{number}"
                records[kind].append(more)
    return house


def test_of_rooms_and_radiators_that_are_level_the_same_one_is_named_in_any_order() -> None:
    house = twins()
    turned = changes.copied(house)
    for kind in ("room", "surface", "emitter"):
        turned["records"][kind].reverse()
    before = assessed(house)
    assert before.flow.set_by_room is not None
    assert before.improvements is not None
    assert all(room.replacements for room in before.rooms)
    assert not different(in_one_order(figures(to_plain(before))), in_one_order(figures(to_plain(assessed(turned)))))


def test_of_like_radiators_the_same_one_is_exchanged_first_in_any_order() -> None:
    house = terrace(2)
    turned = changes.copied(house)
    turned["records"]["emitter"].reverse()
    before, after = assessed(house).improvements, assessed(turned).improvements
    assert before.in_turn
    assert [item.record for item in after.in_turn] == [item.record for item in before.in_turn]


@houses_each(30)
@given(houses(), st.data())
def test_records_in_any_order_give_the_same_bytes(house: Document, data: st.DataObject) -> None:
    before = in_one_order(figures(to_plain(assessed(house))))
    after = in_one_order(figures(to_plain(assessed(changes.in_another_order(data.draw, house)))))
    assert not different(before, after)


@houses_each(14)
@given(houses())
def test_other_names_change_no_figure(house: Document) -> None:
    before, after = assessed(house), assessed(changes.with_other_names(house))
    assert [room.total_w for room in after.rooms] == [room.total_w for room in before.rooms]
    assert [room.lowest_flow_c for room in after.rooms] == [room.lowest_flow_c for room in before.rooms]
    assert [item.u_value_w_m2k for item in after.constructions] == [item.u_value_w_m2k for item in before.constructions]
    assert after.building == before.building
    assert after.flow.candidates == before.flow.candidates
    assert after.energy == before.energy
    assert after.plant.load_kw == before.plant.load_kw
    assert [(item.covers, item.electricity_kwh) for item in after.plant.units] == [
        (item.covers, item.electricity_kwh) for item in before.plant.units
    ]


def test_walls_in_any_order_give_the_floor_the_same_edge() -> None:
    house = changes.copied(small_house())
    thick = {**changes.record(house, "construction", "wall"), "id": "thick", "thickness_mm": 600}
    house["records"]["construction"].append(thick)
    turned = changes.copied(house)
    turned["records"]["construction"].reverse()
    assert assessed(turned).building == assessed(house).building
