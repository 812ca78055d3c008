"""Emitters, flow temperature and unit of whole houses: hotter, larger, more of them."""

from __future__ import annotations

from math import inf

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tests.engine.support import assessed
from wattwalk.engine.answers import Assessment

from . import changes
from .houses import EMITTERS, Document, between, houses, houses_each

ROUNDED_W = 0.11


def common_flow(answer: Assessment) -> float:
    """Return the lowest flow temperature that warms every room in °C, infinite where none does."""
    return inf if answer.flow.lowest_c is None else answer.flow.lowest_c


def outputs(answer: Assessment) -> dict[str, float]:
    """Return what each emitter gives at the design flow, W."""
    return {item.id: item.output_w for room in answer.rooms for item in room.emitters if item.output_w is not None}


def at_flow(house: Document, flow_c: float, difference_k: float = 5) -> Document:
    """Return the house with this design flow in °C, and flow less return in K."""
    changed = changes.copied(house)
    design = changed["records"].setdefault("design", [{"id": "design"}])[0]
    design |= {"flow_temperature_c": flow_c, "flow_return_difference_k": difference_k}
    return changed


@houses_each(18)
@given(houses(), st.data(), EMITTERS)
def test_an_added_emitter_never_raises_the_common_flow(house: Document, data: st.DataObject, emitter: dict) -> None:
    room = data.draw(st.sampled_from(changes.records(house, "room")))["id"]
    fuller = changes.copied(house)
    fuller["records"].setdefault("emitter", []).append({"id": "added", "room": room, **emitter})
    before, after = assessed(house), assessed(fuller)
    assert common_flow(after) <= common_flow(before)
    lowest = {item.id: item.lowest_flow_c for item in before.rooms}
    for item in after.rooms:
        if item.id != room:
            assert item.lowest_flow_c == lowest[item.id]
        elif lowest[item.id] is not None:
            assert item.lowest_flow_c is not None
            assert item.lowest_flow_c <= lowest[item.id]


@houses_each(18)
@given(houses(), st.integers(30, 65), st.integers(1, 10), st.integers(3, 15))
def test_a_warmer_flow_never_lowers_an_output(house: Document, flow: int, warmer: int, spread: int) -> None:
    before, after = assessed(at_flow(house, flow, spread)), assessed(at_flow(house, flow + warmer, spread))
    were, are = outputs(before), outputs(after)
    assert were.keys() == are.keys()
    for emitter in were:
        assert are[emitter] >= were[emitter] - ROUNDED_W, emitter
    assert common_flow(after) == common_flow(before)


@houses_each(14)
@given(houses(), st.integers(40, 70), st.integers(3, 10), st.integers(1, 8))
def test_water_that_cools_further_never_raises_an_output(house: Document, flow: int, spread: int, more: int) -> None:
    before, after = assessed(at_flow(house, flow, spread)), assessed(at_flow(house, flow, spread + more))
    were, are = outputs(before), outputs(after)
    for emitter in were:
        assert are[emitter] <= were[emitter] + ROUNDED_W, emitter
    assert common_flow(after) >= common_flow(before)


@houses_each(18)
@given(houses(), st.data(), between(1.01, 2))
def test_a_bigger_radiator_never_gives_less(house: Document, data: st.DataObject, times: float) -> None:
    sized = [
        item
        for item in changes.records(house, "emitter")
        if ("rated_output_w" in item or "length_mm" in item) and item.get("plan") != "replace"
    ]
    assume(sized)
    chosen = data.draw(st.sampled_from(sized))
    bigger = changes.copied(house)
    radiator = changes.record(bigger, "emitter", chosen["id"])
    name = "rated_output_w" if "rated_output_w" in radiator else "length_mm"
    radiator[name] = min(6000 if name == "length_mm" else 20_000, round(radiator[name] * times))
    before, after = assessed(house), assessed(bigger)
    assert outputs(after)[chosen["id"]] >= outputs(before)[chosen["id"]]
    assert common_flow(after) <= common_flow(before)
    for was, now in zip(before.rooms, after.rooms, strict=True):
        assert (now.margin_w is None) == (was.margin_w is None)
        assert now.margin_w is None or now.margin_w >= was.margin_w - ROUNDED_W


@houses_each(14)
@given(houses())
def test_two_halves_of_a_radiator_give_what_it_gave(house: Document) -> None:
    halved = changes.copied(house)
    for emitter in list(changes.records(halved, "emitter")):
        if "rated_output_w" in emitter:
            # Twice as much first, so that the half is a whole number of watts again.
            emitter["rated_output_w"] = 2 * round(emitter["rated_output_w"] / 2)
    whole = assessed(halved)
    for emitter in list(changes.records(halved, "emitter")):
        if "rated_output_w" in emitter:
            emitter["rated_output_w"] //= 2
            halved["records"]["emitter"].append({**emitter, "id": f"{emitter['id']}-half"})
    parted = assessed(halved)
    assert parted.flow.lowest_c == whole.flow.lowest_c
    for was, now in zip(whole.rooms, parted.rooms, strict=True):
        assert now.output_w == pytest.approx(was.output_w, abs=ROUNDED_W)


@houses_each(14)
@given(houses(), between(0, 0.1, 3), between(0.005, 0.05, 3))
def test_a_thicker_covering_never_raises_a_heated_floors_output(house: Document, thin: float, more: float) -> None:
    answers = []
    for resistance in (thin, round(thin + more, 3)):
        covered = changes.copied(house)
        floors = [item for item in changes.records(covered, "emitter") if item.get("type") == "underfloor"]
        assume(floors)
        for floor in floors:
            floor["covering_resistance_m2k_w"] = resistance
        answers.append(assessed(covered))
    before, after = answers
    were, are = outputs(before), outputs(after)
    for room in before.rooms:
        for item in room.emitters:
            # A floor held to its surface temperature may give more under a covering that evens the surface out (EN 1264-2, limit curves).
            if item.floor is not None and not item.floor.is_limited:
                assert are[item.id] <= were[item.id] + ROUNDED_W, item.id


@houses_each(18)
@given(houses(), between(1.05, 2), between(1.05, 1.5))
def test_a_larger_unit_never_covers_less_and_a_better_one_never_takes_more(
    house: Document, larger: float, better: float
) -> None:
    units = changes.records(house, "unit")
    assume(units)
    first = changes.copied(house)
    points = units[0]["points"]

    def unit(name: str, capacity: float, cop: float) -> dict:
        table = [
            {**point, "capacity_kw": point["capacity_kw"] * capacity, "cop": min(15, point["cop"] * cop)}
            for point in points
        ]
        return {"id": name, "name": name, "points": table}

    first["records"]["unit"] = [unit("as-it-is", 1, 1), unit("larger", larger, 1), unit("better", 1, better)]
    # Nothing may name a unit that is not there any more.
    for design in changes.records(first, "design"):
        design.pop("unit", None)
    gone = {unit["id"] for unit in units}
    for line in changes.records(first, "price_line"):
        if line.get("drawn_from") in gone:
            del line["drawn_from"]
    found = {item.id: item for item in assessed(first).plant.units}
    was, large, good = (found[name] for name in ("as-it-is", "larger", "better"))
    assume(was.covers is not None)
    assert large.covers >= was.covers
    assert large.capacity_kw >= was.capacity_kw
    assert good.covers == was.covers
    if was.electricity_kwh is not None and good.electricity_kwh is not None:
        assert good.electricity_kwh <= was.electricity_kwh + 0.11
    if was.heater_kwh is not None and large.heater_kwh is not None:
        assert large.heater_kwh <= was.heater_kwh + 0.11
    if was.bivalent_c is not None and large.bivalent_c is not None:
        assert large.bivalent_c <= was.bivalent_c
