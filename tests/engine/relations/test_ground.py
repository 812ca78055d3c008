"""Floors in the ground: a thicker floor never loses more, however its look, its edge and its depth are."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.engine.support import assessed
from tests.support.houses import changed, small_house
from wattwalk.engine.fabric.basement import basement_floor, basement_wall
from wattwalk.engine.fabric.ground import RSE, RSI, edge_psi, slab_on_ground, with_edge
from wattwalk.engine.fabric.in_ground import FARTHEST_EDGE
from wattwalk.survey.household import AGE_BANDS

from .houses import between, houses_each, one

GROUNDS = one(1.5, 2.0, 3.5)


def floor(nation: str, band: str, area: float, edge: float, **fields):
    """Return the answer of a small house with a ground floor known by its look."""
    house = changed(
        small_house(), "survey", "s", nation=nation, age_band=band, ground_floor_area_m2=area, exposed_perimeter_m=edge
    )
    return assessed(changed(house, "construction", "slab", **fields))


def u_value(answer) -> float | None:
    """Return the U-value of that floor, or None where it has none."""
    return next(item.u_value_w_m2k for item in answer.constructions if item.id == "slab")


@houses_each(60)
@given(
    one("england", "wales", "scotland", "northern_ireland"),
    st.sampled_from([band for band, *_ in AGE_BANDS]),
    between(8, 120, 1),
    between(0.7, 1.6),
    one("floor_solid", "floor_suspended"),
    one(None, "horizontal", "vertical"),
    between(0.1, 3),
    between(20, 200, 0),
    between(0, 300, 0),
    between(1, 300, 0),
)
def test_a_thicker_ground_floor_never_loses_more(
    nation, band, area, shape, look, edge, reach, edge_mm, thin, more
) -> None:
    fields = {"look": look}
    if edge is not None and look == "floor_solid":
        fields |= {"edge_insulation": edge, "edge_reach_m": reach, "edge_thickness_mm": edge_mm}
    perimeter = round(4 * area**0.5 * shape, 1)
    before, after = (
        floor(nation, band, area, perimeter, **fields, insulation_mm=min(600, thick)) for thick in (thin, thin + more)
    )
    if u_value(before) is None or u_value(after) is None:
        assert {item.code for item in before.findings + after.findings} & {"no_u_value"}
        return
    assert u_value(after) <= u_value(before) + 1e-4
    assert after.building.total_w <= before.building.total_w + 0.2


@houses_each(200)
@given(
    between(4, 200, 1),
    between(0.6, 2),
    between(0.2, 0.6),
    GROUNDS,
    between(0.01, 1),
    st.booleans(),
    between(10, 300, 0),
    between(0, 6),
    between(0.05, 6),
)
def test_within_its_reach_the_edge_leaves_a_thicker_floor_the_better(
    area, shape, wall_m, ground, share, is_vertical, edge_mm, thin, more
) -> None:
    perimeter = 4 * area**0.5 * shape
    values = []
    for resistance in (thin, thin + more):
        slab = slab_on_ground(area, perimeter, wall_m, resistance, ground)
        reach = share * FARTHEST_EDGE * slab.characteristic_m / (2 if is_vertical else 1)
        psi = edge_psi(slab.equivalent_m, reach, edge_mm / 1000, 0.035, is_vertical, ground)
        values.append(with_edge(slab.u_value, psi, slab.characteristic_m))
    assert values[1] <= values[0] + 1e-12


@houses_each(200)
@given(between(8, 200, 1), between(1, 1.6), between(0.3, 3), between(0.2, 5), GROUNDS, between(0, 5), between(0.05, 5))
def test_a_thicker_floor_of_a_basement_never_makes_the_whole_of_it_lose_more(
    area, shape, depth, wall_m2k_w, ground, thin, more
) -> None:
    # EN ISO 13370 counts the floor's thickness in the wall's heat too, which rises a little; floor and wall together fall.
    perimeter = 4 * area**0.5 * shape
    lost = []
    for resistance in (thin, thin + more):
        thick = 0.3 + ground * (RSI + resistance + RSE)
        floor_u = basement_floor(2 * area / perimeter, thick, depth, ground)
        wall_u = basement_wall(depth, wall_m2k_w, thick, ground)
        lost.append(area * floor_u + depth * perimeter * wall_u)
    assert lost[1] <= lost[0] + 1e-9


def refusal(**fields) -> str:
    answer = floor("scotland", "G", 20, 22, look="floor_solid", insulation_mm=50, **fields)
    assert u_value(answer) is None
    (found,) = [item for item in answer.findings if item.record == "construction/slab"]
    return found.message


def test_an_edge_that_reaches_too_far_for_a_narrow_floor_is_refused() -> None:
    # B′ = 20 / 11 = 1.818 m: 2.73 m lying, 1.36 m standing.
    edge = {"edge_insulation": "vertical", "edge_thickness_mm": 100}
    assert "holds to 1.36 m for a floor so narrow" in refusal(**edge, edge_reach_m=1.4)
    assert u_value(floor("scotland", "G", 20, 22, look="floor_solid", insulation_mm=50, **edge, edge_reach_m=1.3))
    lying = edge | {"edge_insulation": "horizontal"}
    assert "holds to 2.73 m" in refusal(**lying, edge_reach_m=2.8)
    assert u_value(floor("scotland", "G", 20, 22, look="floor_solid", insulation_mm=50, **lying, edge_reach_m=2.7))


@pytest.mark.parametrize("edge", ["horizontal", "vertical"])
def test_edge_insulation_of_a_floor_below_the_ground_is_refused(edge) -> None:
    message = refusal(edge_insulation=edge, edge_reach_m=0.5, edge_thickness_mm=50, depth_m=2)
    assert "belongs to a floor at the level of the ground" in message
