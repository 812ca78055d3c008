"""The water of whole houses: flows that add up, returns that balance the heat, valves that do not take from one another."""

from __future__ import annotations

from math import fsum

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tests.engine.support import assessed
from wattwalk.engine.answers import WaterBalance
from wattwalk.engine.fluids.glycol import WATER

from . import changes
from .houses import Document, between, houses, houses_each
from .test_emitters import at_flow

ROUNDED_KPA = 0.011

PIPES = [
    {
        "id": f"to-{storey}",
        "name": f"To {storey}",
        "purpose": "heating",
        "serves": storey,
        "material": "copper",
        "size_mm": 22,
        "carries_kw": 3,
        "end_drop_kpa": 4,
        "stretches": [{"place": "heated", "length_m": length}],
    }
    for storey, length in (("ground", 8), ("first", 14))
]


def piped(house: Document, flow_c: float) -> Document:
    """Return the house with a run to the radiators of each storey, and a design flow in °C."""
    changed = at_flow(house, flow_c)
    kept = [run for run in changes.records(changed, "pipe_run") if run.get("purpose") != "heating"]
    changed["records"]["pipe_run"] = [*kept, *PIPES]
    return changed


def balance_of(document: Document) -> tuple[WaterBalance, float]:
    """Return the balance of the circuit, and the pressure that the hardest way takes behind the plant, kPa."""
    answer = assessed(document)
    assume(answer.site.circuit is not None and answer.site.circuit.balance is not None)
    behind = [run.drop_kpa for run in answer.site.runs if run.purpose == "heating" and run.drop_kpa is not None]
    behind += [
        item.floor.pressure_kpa
        for room in answer.rooms
        for item in room.emitters
        if item.counts and item.floor is not None
    ]
    return answer.site.circuit.balance, max(behind, default=0.0)


@houses_each(14)
@given(houses(), st.integers(32, 65))
def test_flows_add_up_and_returns_balance_the_heat(house: Document, flow: int) -> None:
    balance, _ = balance_of(piped(house, flow))
    assume(balance.flow_l_min is not None)
    assert balance.flow_l_min == pytest.approx(
        fsum(item.flow_l_min for item in balance.rows), abs=0.02 * len(balance.rows)
    )
    for item in balance.rows:
        assert item.return_c is None or item.return_c <= flow
    if balance.flow_l_min > 0.5:
        mean = (flow + balance.return_c) / 2
        carried = (
            balance.flow_l_min / 60_000 * WATER.density(mean) * WATER.specific_heat(mean) * (flow - balance.return_c)
        )
        assert carried == pytest.approx(balance.heat_w, rel=0.03)


@houses_each(14)
@given(houses(), st.data(), st.integers(38, 60), between(1.05, 2))
def test_throttling_one_emitter_never_lowers_the_pressure_that_another_has(
    house: Document, data: st.DataObject, flow: int, times: float
) -> None:
    before = piped(house, flow)
    sized = [
        item
        for item in changes.records(before, "emitter")
        if "rated_output_w" in item and item.get("plan") != "replace"
    ]
    assume(sized)
    chosen = data.draw(st.sampled_from(sized))
    after = changes.copied(before)
    # A larger emitter in the same room is throttled further, and so are those beside it.
    changes.record(after, "emitter", chosen["id"])["rated_output_w"] = min(
        20_000, round(chosen["rated_output_w"] * times)
    )
    (was, first), (now, second) = balance_of(before), balance_of(after)
    left = {item.id: item.left_kpa for item in now.rows}
    for item in was.rows:
        if item.id == chosen["id"] or item.left_kpa is None:
            continue
        assert left[item.id] is not None
        # At the same pressure behind the plant: what the hardest way asks less of the pump is not taken from the valve.
        assert left[item.id] + (first - second) >= item.left_kpa - ROUNDED_KPA


@houses_each(14)
@given(houses(), st.integers(38, 60), st.integers(1, 8))
def test_warmer_water_never_takes_more_flow_where_rooms_are_warm(house: Document, flow: int, warmer: int) -> None:
    (was, _), (now, _) = balance_of(piped(house, flow)), balance_of(piped(house, flow + warmer))
    flows = {item.id: item.flow_l_min for item in now.rows}
    for item in was.rows:
        if item.state in ("throttled", "as_designed") and item.loops == 1 and item.flow_l_min is not None:
            assert flows[item.id] <= item.flow_l_min * 1.02 + 0.011, item.id
