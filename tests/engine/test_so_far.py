"""Whatever an open room moves says 'so far', in the words of the house's load; and of a house that closes nothing does."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from typing import Any

import pytest

from tests.engine.relations.test_closing import taken_away
from tests.support.sound_houses import sound_houses
from wattwalk.demo.house import house as demo_house
from wattwalk.engine import assess, to_plain
from wattwalk.survey.box import OPENINGS
from wattwalk.survey.document import read_document

#: What says it of a part of itself only: its own words stand beside these fields and no others.
BESIDE = {
    ("plant",): {"load_kw", "load_terms", "units", "day_parts", "steps"},
    ("plant", "hot_water"): {"capacity_asked_kw", "steps"},
}
#: What is of one construction or surface and not of a room or the house: a U-value as it is used, how cold a face gets.
OF_A_SURFACE = {"constructions", "cold_faces"}
#: The parts of an answer that the house's load decides.
DECIDED = (
    "building",
    "flow",
    "compensation",
    "energy",
    "improvements",
    "plant",
    "plant.hot_water",
    "plant.cost",
    "plant.year",
    "site.circuit",
)

Path = tuple[str, ...]


def leaves(item: Any, path: Path = (), said: str = "") -> Iterator[tuple[Path, Any, str]]:
    """Yield every value of a plain answer with its path and the words that stand beside it."""
    if isinstance(item, dict):
        own = item.get("so_far") or ""
        only = BESIDE.get(path)
        for name, inner in item.items():
            yield from leaves(inner, (*path, name), own if own and (only is None or name in only) else said)
    elif isinstance(item, list):
        for place, inner in enumerate(item):
            yield from leaves(inner, (*path, called(inner, place)), said)
    else:
        yield path, item, said


def called(item: Any, place: int) -> str:
    known = [item[key] for key in ("id", "code", "method") if key in item] if isinstance(item, dict) else []
    return str(known[0]) if known else str(place)


def answer(document: dict[str, Any]) -> dict[str, Any]:
    return to_plain(assess(read_document(document)))


def part(found: dict[str, Any], path: str) -> Any:
    for name in path.split("."):
        found = found[name]
    return found


HOUSES = {"demo": demo_house(), **sound_houses()}


def sides(document: dict[str, Any]) -> list[str]:
    return [item["id"] for item in document["records"]["surface"] if item["element"] not in OPENINGS]


@pytest.mark.parametrize("name", sorted(HOUSES))
def test_every_figure_that_an_open_side_moves_says_so_far(name: str) -> None:
    whole = {path: value for path, value, _ in leaves(answer(HOUSES[name]))}
    moved = 0
    for surface in sides(HOUSES[name])[:: 3 if name == "demo" else 2]:
        found = answer(taken_away(HOUSES[name], surface))
        for path, value, said in leaves(found):
            if isinstance(value, bool) or not isinstance(value, (int, float)) or path[0] in OF_A_SURFACE:
                continue
            if whole.get(path, value) != value:
                moved += 1
                assert said.startswith("so far: "), (surface, ".".join(path), value)
    assert moved > 20


def test_each_part_that_the_load_decides_says_it_in_the_words_of_the_load() -> None:
    found = answer(taken_away(HOUSES["demo"], "surface-study-right"))
    words = {path: part(found, path)["so_far"] for path in DECIDED}
    assert words == dict.fromkeys(DECIDED, "so far: 8 of 9 rooms")
    assert {run["so_far"] for run in found["site"]["runs"]} == {"so far: 8 of 9 rooms"}
    assert {method["so_far"] for method in found["ventilation"]} == {"so far: 8 of 9 rooms"}


@pytest.mark.parametrize("name", sorted(HOUSES))
def test_of_a_house_that_closes_nothing_is_so_far(name: str) -> None:
    assert not [(path, value) for path, value, _ in leaves(answer(HOUSES[name])) if path[-1] == "so_far" and value]


def test_what_the_bill_and_the_store_decide_alone_is_whole() -> None:
    """Without a year that was worked out, the cost is what the bill says, however the rooms stand; so is a store with no load beside it."""
    document = copy.deepcopy(taken_away(HOUSES["demo"], "surface-study-right"))
    for room in document["records"]["room"]:
        if room["id"] == "room-study":
            room.pop("height_m"), room.pop("use"), room.pop("inside_temperature_c", None)
    found = answer(document)
    assert found["building"]["so_far"]
    assert found["building"]["total_w"] is None
    assert (found["plant"]["cost"]["efficiency"], found["plant"]["cost"]["so_far"]) == (None, "")
    assert (found["plant"]["hot_water"]["capacity_asked_kw"], found["plant"]["hot_water"]["so_far"]) == (None, "")
