"""What must hold of any fabric: more insulation never costs, warmth never saves, areas add up."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.houses import changed, small_house, with_records
from wattwalk.engine.fabric.basement import floor_over_cellar, heated_basement
from wattwalk.engine.fabric.by_look import by_look, elements_of
from wattwalk.engine.fabric.ground import slab_on_ground, suspended_floor
from wattwalk.engine.fabric.moisture import least_factor, surface_factor
from wattwalk.engine.fabric.spaces import balance_factor
from wattwalk.engine.fabric.u_value import element_resistance, read_layer
from wattwalk.engine.fabric.windows import parts_u_value
from wattwalk.survey.constructions import LOOKS
from wattwalk.survey.household import AGE_BANDS

from .support import assessed, room

AREAS = st.floats(10, 400)
MEASURED = [
    look
    for look, *_ in LOOKS
    if look.startswith(("wall_", "roof_loft", "roof_rafters", "floor_exposed")) and look != "wall_timber_frame"
]
BRIDGE = {"bridge_fraction": 0.1, "bridge_conductivity_w_mk": 0.13}


@settings(max_examples=150, deadline=None)
@given(
    st.sampled_from(MEASURED),
    st.sampled_from([item[0] for item in AGE_BANDS[:12]]),
    st.floats(0, 600),
    st.floats(0, 100),
    st.sampled_from(["england", "wales", "scotland"]),
)
def test_more_insulation_seen_never_raises_a_u_value(look, band, mm, more, nation):
    # A surveyor who sees a little knows more than the default of the age, so it is compared from what is seen.
    thin, thick = (
        by_look(look, elements_of(look)[0], band, max(0.1, item), None, nation=nation).u_value
        for item in (mm, mm + more)
    )
    assert thick <= thin + 1e-12


@settings(max_examples=150, deadline=None)
@given(
    st.floats(1, 400),
    st.floats(0, 200),
    st.booleans(),
    st.sampled_from(["up", "horizontal", "down"]),
    st.sampled_from([None, "still", "slight", "well"]),
)
def test_more_wool_in_a_wall_never_raises_its_u_value(mm, more, is_bridged, direction, air):
    def resistance(thickness):
        wool = {"material": "mineral_wool_batt", "thickness_mm": thickness, **(BRIDGE if is_bridged else {})}
        outer = [] if air is None else [{"material": "cavity", "thickness_mm": 50, "air": air}]
        rows = [
            {"material": "plasterboard", "thickness_mm": 12.5},
            wool,
            *outer,
            {"material": "brick_outer", "thickness_mm": 102.5},
        ]
        return element_resistance(
            0.13, 0.04, [read_layer(row, place, direction) for place, row in enumerate(rows, start=1)]
        ).total

    assert resistance(mm + more) >= resistance(mm) - 1e-12


@settings(max_examples=150, deadline=None)
@given(AREAS, st.floats(5, 80), st.floats(0, 6), st.floats(0, 3), st.floats(0.2, 3))
def test_more_insulation_under_a_floor_never_raises_its_u_value(area, edge, resistance, more, depth):
    for work_out in (
        lambda r: slab_on_ground(area, edge, 0.3, r).u_value,
        lambda r: suspended_floor(area, edge, 0.3, r).u_value,
        lambda r: heated_basement(area, edge, depth, 0.3, r, 0.5).floor_u,
        lambda r: floor_over_cellar(area, edge, depth, 0.3, 0.3, r),
    ):
        assert work_out(resistance + more) <= work_out(resistance) + 1e-12


@settings(max_examples=100, deadline=None)
@given(AREAS, st.floats(5, 80), st.floats(0.2, 3), st.floats(0, 6))
def test_a_floor_in_the_ground_loses_less_than_one_in_the_air(area, edge, depth, resistance):
    in_air = 1 / (0.17 + resistance + 0.04)
    made = heated_basement(area, edge, depth, 0.3, resistance, resistance)
    assert 0 < made.floor_u < in_air
    assert 0 < made.wall_u < 1 / (0.13 + resistance + 0.04)


@settings(max_examples=60, deadline=None)
@given(st.floats(5, 29).map(lambda value: round(value, 1)), st.floats(0.1, 1).map(lambda value: round(value, 1)))
def test_a_warmer_room_never_loses_less(inside, more):
    cool, warm = (
        room(assessed(changed(small_house(), "room", "living", inside_temperature_c=round(value, 1))), "living").total_w
        for value in (inside, inside + more)
    )
    assert warm >= cool


@settings(max_examples=60, deadline=None)
@given(st.floats(0.5, 4))
def test_losses_scale_with_area(factor):
    def loss(width):
        return next(
            item
            for item in room(assessed(changed(small_house(), "surface", "top", width_m=width)), "hall").surfaces
            if item.id == "top"
        ).loss_w

    assert loss(4 * factor) == pytest.approx(loss(4) * factor, abs=0.06 * (1 + factor))


@settings(max_examples=60, deadline=None)
@given(st.floats(0.1, 200), st.floats(0.1, 200), st.floats(0, 100))
def test_the_balance_lies_between_the_house_and_the_cold(inside, outside, more):
    assert 0 < balance_factor(inside, outside) < 1
    assert balance_factor(inside + more, outside) <= balance_factor(inside, outside)


@settings(max_examples=30, deadline=None)
@given(st.floats(0.1, 3.9).map(lambda value: round(value, 2)), st.floats(5, 25), st.floats(5, 25))
def test_splitting_a_wall_to_a_space_changes_nothing(width, living, hall):
    house = changed(
        changed(small_house(), "room", "living", inside_temperature_c=living), "room", "hall", inside_temperature_c=hall
    )
    house = with_records(
        house,
        "unheated_space",
        {
            "id": "porch",
            "name": "Porch",
            "volume_m3": 6,
            "tightness": "type_3",
            "faces": [{"face": "door", "area_m2": 4}],
        },
    )
    wall = {
        "id": "w",
        "room": "hall",
        "element": "wall",
        "construction": "inner",
        "width_m": 4,
        "height_m": 2.4,
        "other_side": "unheated",
        "space": "porch",
    }
    other = {**wall, "id": "v", "room": "living", "width_m": 2}
    whole = assessed(with_records(house, "surface", wall, other))
    halves = assessed(
        with_records(
            house, "surface", {**wall, "width_m": width}, {**wall, "id": "w2", "width_m": round(4 - width, 2)}, other
        )
    )
    assert halves.spaces[0].temperature_c == whole.spaces[0].temperature_c
    assert halves.building.unheated_w == pytest.approx(whole.building.unheated_w, abs=0.11)
    space = whole.spaces[0]
    assert whole.building.unheated_w == pytest.approx(space.outside_w_k * (space.temperature_c + 3), rel=0.005, abs=1)


@given(st.floats(0.1, 6), st.floats(0.1, 6), st.floats(0.5, 3), st.floats(0.2, 1))
def test_a_window_lies_between_its_parts(glass_u, frame_u, glass, frame):
    found = parts_u_value(glass, glass_u, frame, frame_u, 4.0, 0.0)
    assert min(glass_u, frame_u) - 1e-9 <= found <= max(glass_u, frame_u) + 1e-9
    assert parts_u_value(glass, glass_u, frame, frame_u, 4.0, 0.08) > found


@given(st.floats(0.1, 3), st.floats(0, 1))
def test_a_worse_wall_is_colder_inside(u_value, more):
    assert surface_factor(u_value + more, 0.25) <= surface_factor(u_value, 0.25)


@given(st.floats(15, 25), st.floats(0.3, 0.8), st.floats(-10, 10))
def test_damper_air_asks_a_better_wall(inside, humidity, outside):
    assert least_factor(inside, humidity + 0.05, outside) > least_factor(inside, humidity, outside)
