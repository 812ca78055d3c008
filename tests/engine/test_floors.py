"""Heated floors: plates, limits, what goes downward, loops."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.houses import small_house, with_records, without
from wattwalk.engine.answers import Severity
from wattwalk.engine.emitters.limits import (
    THICK_FROM_M2K_W,
    curve_limit,
    highest_output,
    highest_surface,
    limit_curve,
    surface_temperature,
)
from wattwalk.engine.emitters.loops import downward_w_m2, lay_out_loops, least_insulation, longest_loop
from wattwalk.engine.emitters.plates import PlatesError, plates_coefficient, plates_conduction
from wattwalk.engine.emitters.radiators import logarithmic_mean
from wattwalk.engine.emitters.underfloor import coefficient_of_pipe, screed_coefficient
from wattwalk.engine.fluids.glycol import WATER
from wattwalk.engine.fluids.pipe_flow import flow_l_min

from .support import assessed, findings, only, room

FLOOR = {"type": "underfloor", "heated_area_m2": 6, "covering": "tile", "pipe_spacing_mm": 150}
PLATES = {"floor_system": "plates", "plate_thickness_mm": 0.5, "board_thickness_mm": 22, "pipe_spacing_mm": 200}


def hall_floor(flow_c: float = 45, **fields):
    """The hall of the small house (18 °C, 8 m²) with a heated floor in place of its radiator."""
    document = with_records(
        without(small_house(), "emitter", "small"), "emitter", {"id": "it", "room": "hall", **FLOOR, **fields}
    )
    return assessed(with_records(document, "design", {"id": "d", "flow_temperature_c": flow_c}))


def emitter(result):
    return next(item for item in room(result, "hall").emitters if item.id == "it")


class TestLimits:
    def test_the_limit_of_each_zone(self):
        assert highest_surface(20, False) == 29
        assert highest_surface(20, False, "perimeter") == 35
        assert highest_surface(24, True) == 33
        assert highest_surface(18, True) == 29
        assert highest_surface(20, False, "perimeter", "solid_timber") == 27
        assert highest_surface(20, False, "occupied", "tile") == 29

    def test_thicker_screeds_meet_the_table_where_it_ends(self):
        # The two parts of the standard's table are drawn by hand; they meet within a few per cent.
        for spacing in (0.10, 0.15, 0.20, 0.30):
            thin, thick = (
                limit_curve(spacing, resistance * 1.2, 1.2)
                for resistance in (THICK_FROM_M2K_W, THICK_FROM_M2K_W + 1e-6)
            )
            assert thick[0] == pytest.approx(thin[0], rel=0.02)
            assert thick[1] == pytest.approx(thin[1], abs=0.01)

    @given(st.floats(0.05, 0.375), st.floats(0.012, 0.15), st.floats(0.0, 0.15))
    def test_the_curve_never_allows_more_than_the_mean_surface(self, spacing, screed, covering):
        k = screed_coefficient(spacing, screed, 0.016, covering)
        output, driving = curve_limit(k, spacing, screed, 1.2, 29, 20)
        # Wide pipes under thick coverings pass it by a few per cent in the table; the engine holds the mean surface besides.
        assert 0 < output <= 1.1 * highest_output(20, False)
        assert output == pytest.approx(k * driving)

    def test_wider_pipes_reach_the_limit_sooner(self):
        outputs = [
            curve_limit(screed_coefficient(spacing, 0.045, 0.016, 0), spacing, 0.045, 1.2, 29, 20)[0]
            for spacing in (0.05, 0.1, 0.15, 0.2, 0.3, 0.375, 0.45)
        ]
        assert outputs == sorted(outputs, reverse=True)

    def test_a_room_as_warm_as_the_limit_gets_nothing(self):
        assert curve_limit(4, 0.15, 0.045, 1.2, 29, 30) == (0.0, 0.0)

    def test_the_limit_holds_the_output_and_says_which_curve(self):
        found = emitter(hall_floor(55, pipe_spacing_mm=300))
        k = screed_coefficient(0.3, 0.045, 0.016, 0.015)
        limit, _ = curve_limit(k, 0.3, 0.045, 1.2, 29, 18)
        assert limit < highest_output(18, False)
        assert found.output_w == pytest.approx(limit * 6, abs=0.1)
        assert found.floor.is_limited
        assert any("limit curves" in step.source for step in found.steps)
        assert only(hall_floor(55, pipe_spacing_mm=300), "floor_too_warm", Severity.CHECK)

    def test_timber_is_held_to_27(self):
        found = emitter(
            hall_floor(50, covering="engineered_timber", covering_resistance_m2k_w=0.01, pipe_spacing_mm=75)
        ).floor
        assert found.limit_c == 27
        assert found.surface_c <= 27


class TestBuildUp:
    def test_screed_conductivity_and_pipe_wall_are_taken_in(self):
        k = screed_coefficient(0.15, 0.045, 0.016, 0.015, 1.8)
        assert emitter(hall_floor(screed_w_mk=1.8)).floor.coefficient_w_m2k == pytest.approx(k, abs=1e-4)
        thick = coefficient_of_pipe(screed_coefficient(0.15, 0.045, 0.016, 0.015), 0.15, 0.016, 0.0025, 0.35)
        assert emitter(hall_floor(pipe_wall_mm=2.5)).floor.coefficient_w_m2k == pytest.approx(thick, abs=1e-4)
        assert thick < screed_coefficient(0.15, 0.045, 0.016, 0.015)

    def test_a_wall_as_thick_as_the_pipe_is_refused(self):
        assert "pipe wall that fits" in emitter(hall_floor(pipe_wall_mm=5, pipe_outer_mm=10)).missing[0]

    def test_plates_by_the_formula(self):
        k = plates_coefficient(0.2, 16, 0.022, 0.13, 0.0005, 200, 0.015)
        found = emitter(hall_floor(**PLATES))
        assert found.floor.coefficient_w_m2k == pytest.approx(k, abs=1e-4)
        assert found.output_w == pytest.approx(k * logarithmic_mean(45, 40, 18) * 6, abs=0.1)

    def test_plates_without_their_sizes_are_not_guessed(self):
        words = emitter(hall_floor(floor_system="plates")).missing[0]
        assert (
            words
            == "its plate thickness and board above the plates: thickness, or the maker's tested output per kelvin"
        )

    def test_a_makers_figure_wins_over_plates(self):
        assert emitter(hall_floor(**PLATES, declared_w_m2k=3.1)).floor.coefficient_w_m2k == 3.1

    @pytest.mark.parametrize(
        "given",
        [
            (0.5, 16, 0.022, 0.13),
            (0.2, 25, 0.022, 0.13),
            (0.05, 12, 0.022, 0.13),
            (0.2, 16, 0.03, 0.13),
            (0.2, 16, 0.001, 0.13),
        ],
    )
    def test_plates_outside_the_tables_are_refused(self, given):
        with pytest.raises(PlatesError):
            plates_coefficient(*given, 0.0005, 200, 0)

    def test_plates_under_too_thick_a_covering_are_refused(self):
        with pytest.raises(PlatesError, match=r"0\.15"):
            plates_coefficient(0.2, 16, 0.022, 0.13, 0.0005, 200, 0.2)

    def test_thin_pipes_where_the_table_tells_none_apart(self):
        assert plates_conduction(0.2, 0.022, 0.13, 0.0005, 200) > 0.3
        assert plates_coefficient(0.2, 12, 0.022, 0.13, 0.0005, 200, 0) == plates_coefficient(
            0.2, 16, 0.022, 0.13, 0.0005, 200, 0
        )

    def test_hardly_any_plate_is_as_none_and_all_but_the_whole_is_as_the_whole(self):
        given = (0.2, 16, 0.018, 0.13)
        none, hardly, half, nearly, whole = (
            plates_coefficient(*given, thick, 200, 0.05, plate_width_m=width)
            for thick, width in ((0.0, None), (0.0005, 1e-6), (0.0005, 0.1), (0.0005, 0.199999), (0.0005, None))
        )
        assert hardly == pytest.approx(none, rel=1e-4)
        assert nearly == pytest.approx(whole, rel=1e-4)
        assert none + 0.5 * (whole - none) < half < whole

    @settings(max_examples=80)
    @given(
        st.floats(0.1, 0.45),
        st.floats(14, 22),
        st.floats(0.006, 0.02),
        st.floats(0.0, 0.001),
        st.floats(0.0, 0.15),
        st.floats(0.01, 0.44),
    )
    def test_narrower_plates_never_give_more(self, spacing, pipe, board, plate, covering, width):
        full = plates_coefficient(spacing, pipe, board, 0.13, plate, 200, covering)
        assert plates_coefficient(spacing, pipe, board, 0.13, plate, 200, covering, plate_width_m=width) <= full + 1e-9
        assert plates_coefficient(spacing, pipe, board, 0.13, 0.0, 200, covering) <= full + 1e-9
        assert plates_coefficient(spacing, pipe, board, 0.13, plate, 200, 0.0) >= full - 1e-9


class TestLoops:
    def test_as_few_as_the_length_allows(self):
        assert longest_loop(12) == 80
        assert longest_loop(16) == 100
        assert lay_out_loops(15, 0.15, 16, 0).number == 1
        assert lay_out_loops(15.1, 0.15, 16, 0).number == 2
        found = lay_out_loops(20, 0.15, 16, 8)
        assert (found.number, found.length_m) == (2, pytest.approx(20 / 0.15 / 2 + 16))
        assert lay_out_loops(20, 0.15, 16, 50) is None

    def test_what_goes_downward_is_not_counted_in_the_room(self):
        bare, wrapped = hall_floor(insulation_below_m2k_w=1.25), hall_floor(insulation_below_m2k_w=4)
        assert room(bare, "hall").total_w == room(wrapped, "hall").total_w
        assert emitter(bare).floor.downward_w_m2 > emitter(wrapped).floor.downward_w_m2 > 0
        assert emitter(bare).floor.flow_l_min > emitter(wrapped).floor.flow_l_min

    def test_nothing_flows_back_up_from_a_warm_room_below(self):
        assert downward_w_m2(10, 0.2, 1.0, 15, 25) == 0

    def test_the_water_carries_what_the_room_needs_and_what_goes_down(self):
        result = hall_floor()
        floor = emitter(result).floor
        assert floor.needed_w_m2 == pytest.approx(min(room(result, "hall").total_w / 6, floor.output_w_m2), abs=0.1)
        heat = 6 * (floor.needed_w_m2 + floor.downward_w_m2)
        assert floor.heat_w == pytest.approx(heat, abs=1)
        carried = flow_l_min(floor.heat_w / 1000, 45 - floor.return_c, WATER, (45 + floor.return_c) / 2)
        assert floor.flow_l_min * floor.loops == pytest.approx(carried, abs=0.02)
        driving = logarithmic_mean(45, floor.return_c, 18)
        assert floor.coefficient_w_m2k * driving == pytest.approx(floor.needed_w_m2, rel=0.002)

    def test_the_surface_is_that_of_the_output(self):
        floor = emitter(hall_floor(35)).floor
        assert floor.surface_c == pytest.approx(surface_temperature(floor.output_w_m2, 18), abs=0.1)

    def test_least_insulation_by_what_is_below(self):
        assert least_insulation("heated", -3)[0] == 0.75
        assert [least_insulation("outside", outside)[0] for outside in (2, -3, -10, -20)] == [1.25, 1.5, 2, 2]

    def test_too_little_insulation_is_said(self):
        assert (
            only(hall_floor(insulation_below_m2k_w=0.5), "floor_insulation_low", Severity.CHECK).field
            == "insulation_below_m2k_w"
        )
        assert findings(hall_floor(insulation_below_m2k_w=0.5, below="heated"), "floor_insulation_low")
        assert not findings(hall_floor(insulation_below_m2k_w=0.8, below="heated"), "floor_insulation_low")

    def test_a_loop_too_long_is_said(self):
        found = only(hall_floor(heated_area_m2=8, pipe_spacing_mm=75, loops=1), "loop_too_long", Severity.CHECK)
        assert "107 m" in found.message
        assert not findings(hall_floor(heated_area_m2=8, pipe_spacing_mm=75), "loop_too_long")

    def test_a_manifold_too_far_is_said(self):
        found = only(hall_floor(manifold_distance_m=55), "loop_too_long", Severity.CHECK)
        assert found.field == "manifold_distance_m"

    def test_slow_water_flows_in_layers(self):
        assert emitter(hall_floor()).floor.is_laminar == (emitter(hall_floor()).floor.flow_l_min < 0.9)
        assert emitter(hall_floor(loops=4)).floor.is_laminar

    def test_the_tails_count_in_water_and_in_pressure(self):
        near, far = (hall_floor(flow_c=36, loops=2, manifold_distance_m=tail) for tail in (0, 10))
        # Two loops, two tails of 10 m each, 0.1131 l in a metre of a bore of 12 mm.
        more = far.site.circuit.content_l - near.site.circuit.content_l
        assert more == pytest.approx(2 * 2 * 10 * 0.1131, abs=0.11)
        assert dict(far.site.circuit.content_parts)["heated floors’ pipes to their manifold"] == pytest.approx(
            4.5, abs=0.06
        )
        assert "heated floors’ pipes to their manifold" not in dict(near.site.circuit.content_parts)
        each = emitter(near).floor.pressure_kpa / emitter(near).floor.loop_m
        assert emitter(far).floor.loop_m == pytest.approx(emitter(near).floor.loop_m + 20)
        assert emitter(far).floor.pressure_kpa == pytest.approx(each * emitter(far).floor.loop_m, abs=0.02)

    def test_a_loop_that_needs_too_much_pressure_is_said(self):
        document = with_records(
            without(small_house(), "emitter", "radiator"),
            "emitter",
            {"id": "it", "room": "living", **FLOOR, "heated_area_m2": 19, "pipe_spacing_mm": 200, "loops": 1},
        )
        # Water that is just warm enough: the room needs all that the floor gives.
        document = with_records(document, "design", {"id": "d", "flow_temperature_c": 36})
        found = only(assessed(document), "loop_pressure", Severity.CHECK)
        assert "kPa" in found.message
        split = with_records(
            without(small_house(), "emitter", "radiator"),
            "emitter",
            {"id": "it", "room": "living", **FLOOR, "heated_area_m2": 19, "pipe_spacing_mm": 200, "loops": 3},
        )
        split = with_records(split, "design", {"id": "d", "flow_temperature_c": 36})
        assert not findings(assessed(split), "loop_pressure")
