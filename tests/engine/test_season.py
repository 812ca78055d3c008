"""The house through a year: compensation line, estimate, and what each change would buy."""

from __future__ import annotations

from math import fsum

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.support.houses import changed, small_house, with_records, without
from wattwalk.demo.house import house as demo_house
from wattwalk.engine.answers import Severity
from wattwalk.engine.emitters.radiators import radiator_output
from wattwalk.engine.season.compensation import HeatCurve
from wattwalk.engine.season.heating_year import generic_efficiency, pounds, yearly_use
from wattwalk.engine.season.year_load import YearLoad

from .support import assessed, findings, only


def with_design(document, **fields):
    return with_records(document, "design", {"id": "d", **fields})


def served_house(flow: float = 55, **survey):
    return with_design(
        changed(small_house(), "survey", "s", **survey) if survey else small_house(), flow_temperature_c=flow
    )


class TestCompensation:
    def test_it_starts_at_the_design_and_falls(self):
        line = assessed(served_house()).compensation
        assert line.points[0].outside_c == -3
        assert line.points[0].flow_c == pytest.approx(55, abs=0.01)
        flows = [item.flow_c for item in line.points]
        assert flows == sorted(flows, reverse=True)

    def test_the_straight_line_meets_it_where_it_is_set(self):
        line = assessed(served_house()).compensation
        by_outside = {item.outside_c: item for item in line.points}
        for outside, flow in ((-3, line.cold_flow_c), (7, line.mild_flow_c)):
            assert by_outside[outside].flow_c == pytest.approx(by_outside[outside].line_c, abs=0.011)
            assert by_outside[outside].flow_c == pytest.approx(flow, abs=0.051)
        assert by_outside[2].line_c < by_outside[2].flow_c
        assert by_outside[12].line_c > by_outside[12].flow_c
        assert "too much at 12 °C" in line.words

    def test_the_warmest_room_and_the_most_curved_emitter_rule(self):
        line = assessed(served_house()).compensation
        assert (line.inside_c, line.exponent) == (21, 1.3)
        curved = assessed(changed(served_house(), "emitter", "small", exponent=1.5)).compensation
        assert curved.exponent == 1.5

    def test_a_flow_too_low_for_any_line(self):
        assert (
            assessed(with_design(small_house(), flow_temperature_c=25, flow_return_difference_k=5)).compensation is None
        )

    @given(st.floats(18, 21), st.floats(1.0, 1.5), st.floats(300, 4000), st.floats(-3, 15))
    def test_every_room_served_at_the_design_is_served_all_year(self, inside, exponent, rated, outside):
        curve = HeatCurve(21, 1.5, -3, 50, 5)
        share = (inside - outside) / (inside + 3)
        flow = curve.flow_at(outside)
        design = radiator_output(rated, exponent, 50, 45, inside)
        assert radiator_output(rated, exponent, flow, flow - 5 * share, inside) >= share * design * (1 - 2e-3)

    def test_past_the_room_nothing_is_asked(self):
        assert HeatCurve(21, 1.3, -3, 45, 5).flow_at(25) == 21


def degree_days_when_heated(result) -> float:
    """Return the degree days of October to May, K·d."""
    return fsum(item.degree_days_kd for place, item in enumerate(result.climate.months) if not 5 <= place <= 8)


class TestEnergy:
    def test_the_bins_add_up_to_the_year(self):
        energy = assessed(served_house()).energy
        assert energy.heat_kwh == pytest.approx(fsum(item.heat_kwh for item in energy.bins), abs=3)
        assert energy.electricity_kwh == pytest.approx(fsum(item.electricity_kwh for item in energy.bins), abs=3)
        assert energy.seasonal_efficiency == pytest.approx(energy.heat_kwh / energy.electricity_kwh, abs=0.01)

    def test_the_heat_is_that_of_the_degree_days(self):
        result = assessed(served_house())
        by_days = result.building.coefficient_w_k * 24 * degree_days_when_heated(result) / 1000
        assert result.energy.heat_kwh == pytest.approx(by_days, rel=0.005)
        # The nights of June to September are cool enough for some, and nobody heats in them.
        assert 0.85 < degree_days_when_heated(result) / result.climate.degree_days_kd < 0.95

    def test_a_price_gives_a_cost(self):
        assert assessed(served_house()).energy.cost_pounds is None
        energy = assessed(served_house(electricity_price_p_kwh=25)).energy
        assert float(energy.cost_pounds) == pytest.approx(energy.electricity_kwh * 0.25, abs=0.51)
        assert pounds(1000, 25.4) == "254.00"

    def test_a_hotter_flow_costs_more(self):
        uses = [assessed(served_house(flow)).energy.electricity_kwh for flow in (40, 45, 50, 55, 60)]
        assert uses == sorted(uses)

    def test_a_colder_region_takes_more(self):
        thames, highland = (
            assessed(served_house(postcode=postcode)).energy.heat_kwh for postcode in ("N1 9VK", "IV1 1VK")
        )
        assert highland > 1.4 * thames

    def test_a_yearly_mean_set_by_hand_moves_the_years_heat_the_bins_and_what_changes_would_save(self):
        usual, colder = assessed(served_house()), assessed(served_house(outside_annual_mean_c=8.5))
        by_days = colder.building.coefficient_w_k * degree_days_when_heated(colder) * 24 / 1000
        assert colder.energy.heat_kwh == pytest.approx(by_days, rel=0.005)
        assert colder.energy.heat_kwh > 1.1 * usual.energy.heat_kwh
        assert fsum(item.heat_kwh for item in colder.energy.bins) == pytest.approx(colder.energy.heat_kwh, abs=3)
        assert colder.improvements.electricity_kwh > 1.1 * usual.improvements.electricity_kwh

    @given(st.floats(-20, 15), st.floats(25, 70))
    def test_the_generic_unit_stays_within_reason(self, outside, flow):
        assert 1.4 < generic_efficiency(outside, flow) < 8
        assert generic_efficiency(outside, flow) >= generic_efficiency(outside - 1, flow)
        assert generic_efficiency(outside, flow) >= generic_efficiency(outside, flow + 1) - 0.03

    def test_a_house_that_loses_nothing_takes_nothing(self):
        assert yearly_use(YearLoad(0), HeatCurve(21, 1.3, -3, 45, 5), 6) is None

    def test_what_is_not_known_is_not_estimated(self):
        result = assessed(changed(small_house(), "room", "living", height_m=None))
        assert result.energy is None
        assert result.improvements is None


class TestImprovements:
    def house(self, **survey):
        """The living room sets the flow with a small radiator; the loft has 100 mm of quilt."""
        document = changed(
            small_house(),
            "emitter",
            "radiator",
            type="panel_11",
            rated_output_w=None,
            exponent=None,
            height_mm=600,
            length_mm=1400,
            free_width_mm=2500,
            free_height_mm=900,
        )
        return changed(document, "survey", "s", electricity_price_p_kwh=25, **survey)

    def test_it_starts_from_the_lowest_common_flow(self):
        result = assessed(self.house())
        assert result.improvements.flow_c == result.flow.lowest_c
        assert result.improvements.set_by_room == result.flow.set_by_room == "living"

    def test_the_best_comes_first(self):
        single = assessed(self.house()).improvements.single
        assert {item.kind for item in single} == {"radiator", "insulation"}
        flows = [item.lowest_flow_c for item in single]
        assert flows == sorted(flows)
        assert single[0].reduction_k == pytest.approx(
            assessed(self.house()).flow.lowest_c - single[0].lowest_flow_c, abs=0.011
        )

    def test_each_is_what_the_engine_says_of_the_house_so_changed(self):
        result = assessed(self.house())
        best = next(item for item in result.improvements.single if item.kind == "radiator" and "type 33" in item.what)
        changed_house = changed(self.house(), "emitter", "radiator", type="panel_33", height_mm=700, length_mm=2300)
        assert "700 × 2,300 mm" in best.what
        assert assessed(changed_house).flow.lowest_c == pytest.approx(best.lowest_flow_c, abs=0.011)
        assert assessed(changed_house).flow.set_by_room == best.set_by_room
        assert assessed(changed_house).improvements.electricity_kwh == pytest.approx(best.electricity_kwh, abs=1)

    def test_a_bigger_radiator_hangs_behind_the_same_cover(self):
        cased = changed(self.house(), "emitter", "radiator", enclosure="cabinet", free_width_mm=1500)
        best = next(item for item in assessed(cased).improvements.single if "type 33" in item.what)
        bigger = changed(cased, "emitter", "radiator", type="panel_33", height_mm=700, length_mm=1300)
        assert "700 × 1,300 mm" in best.what
        assert best.set_by_room == "living"
        assert assessed(bigger).flow.lowest_c == pytest.approx(best.lowest_flow_c, abs=0.011)

    def test_insulation_is_what_the_engine_says_of_the_house_so_changed(self):
        result = assessed(self.house())
        loft = next(item for item in result.improvements.single if item.record == "construction/loft")
        better = assessed(changed(self.house(), "construction", "loft", insulation_mm=300))
        assert loft.loss_saved_w == pytest.approx(result.building.total_w - better.building.total_w, abs=1)
        assert loft.lowest_flow_c == better.flow.lowest_c
        assert loft.electricity_kwh == pytest.approx(better.improvements.electricity_kwh, abs=3)
        assert float(loft.saved_pounds) == pytest.approx(0.25 * loft.saved_kwh, abs=0.63)

    def test_one_after_the_other_never_goes_up_and_never_repeats(self):
        improvements = assessed(self.house()).improvements
        flows = [improvements.flow_c, *(item.lowest_flow_c for item in improvements.in_turn)]
        assert flows == sorted(flows, reverse=True)
        assert len(flows) > 1
        assert f"{len(flows) - 1} changes" in improvements.words or "One change" in improvements.words

    def test_empty_cavities_and_old_windows_are_candidates(self):
        document = changed(
            self.house(), "construction", "wall", known_by="look", look="wall_cavity", u_value_w_m2k=None
        )
        document = changed(
            document, "construction", "window", known_by="look", look="window_single", u_value_w_m2k=None
        )
        words = [item.what for item in assessed(document).improvements.single]
        assert any(item.startswith("Cavity filled") for item in words)
        assert any(item.startswith("New windows") for item in words)

    def test_a_room_no_flow_warms_is_said_and_what_would_help(self):
        improvements = assessed(changed(self.house(), "emitter", "radiator", length_mm=400)).improvements
        assert improvements.flow_c is None
        assert "No flow up to 75 °C serves Living room" in improvements.words
        assert improvements.single[0].lowest_flow_c is not None
        assert improvements.single[0].reduction_k is None
        assert improvements.in_turn

    def test_a_room_that_is_not_known_stops_it(self):
        assert assessed(changed(self.house(), "emitter", "small", height_mm=None)).improvements is None

    def test_a_house_without_emitters_has_none(self):
        bare = without(without(small_house(), "emitter", "small"), "emitter", "radiator")
        assert assessed(bare).improvements is None


class TestFloorBesideRadiators:
    def floor_house(self, flow: float):
        document = with_records(
            without(small_house(), "emitter", "small"),
            "emitter",
            {
                "id": "it",
                "room": "hall",
                "type": "underfloor",
                "heated_area_m2": 7,
                "covering": "tile",
                "pipe_spacing_mm": 100,
            },
        )
        return with_design(document, flow_temperature_c=flow)

    def test_a_floor_that_needs_far_less_is_said(self):
        found = only(assessed(self.floor_house(50)), "floor_far_cooler", Severity.CHECK)
        assert found.record == "emitter/it"
        assert "mixing valve" in found.remedy

    def test_at_its_own_flow_it_is_not(self):
        cool = assessed(self.floor_house(50)).rooms[1].lowest_flow_c
        assert not findings(assessed(self.floor_house(cool + 5)), "floor_far_cooler")


class TestTheDemoHouseImproved:
    """What is said of a change is what the changed house comes to."""

    def test_wool_under_a_suspended_floor(self):
        wool = next(
            item
            for item in assessed(demo_house()).improvements.single
            if item.record == "construction/construction-timber-floor"
        )
        better = assessed(changed(demo_house(), "construction", "construction-timber-floor", insulation_mm=100))
        assert wool.lowest_flow_c == pytest.approx(better.flow.lowest_c, abs=0.02)
        assert not [item for item in better.improvements.single if item.record == wool.record]

    def solid(self, **floor):
        """The demo house on solid floors, for which board on the slab is a change like any other."""
        floors = changed(
            demo_house(),
            "construction",
            "construction-timber-floor",
            look="floor_solid",
            **({"insulation_mm": 0} | floor),
        )
        return floors

    def board(self, document):
        return [
            item
            for item in assessed(document).improvements.single
            if item.record == "construction/construction-timber-floor"
        ]

    @pytest.mark.parametrize("seen", [0, 25])
    def test_board_on_a_solid_floor_is_what_the_engine_says_of_the_house_so_changed(self, seen):
        before = assessed(self.solid(insulation_mm=seen))
        (board,) = self.board(self.solid(insulation_mm=seen))
        better = assessed(self.solid(insulation_mm=seen + 50))
        assert board.what.startswith("50 mm of insulating board and a deck on the solid floor: ")
        assert board.loss_saved_w == pytest.approx(before.building.total_w - better.building.total_w, abs=1)
        assert board.lowest_flow_c == pytest.approx(better.flow.lowest_c, abs=0.02)
        assert "rises by about 75 mm, which leaves 2.47 m in the lowest room" in board.limits
        assert "doors" in board.limits

    @pytest.mark.parametrize(
        ("changes", "why"),
        [
            ({"insulation_mm": 50}, "enough is there"),
            ({"depth_m": 2.0}, "a cellar's floor moves its walls too"),
        ],
    )
    def test_no_board_where_it_has_no_place(self, changes, why):
        assert self.board(self.solid(**changes)) == [], why

    def test_no_board_on_a_heated_floor_nor_under_a_low_ceiling(self):
        low = changed(self.solid(), "room", "room-living", height_m=2.17)
        assert self.board(low) == []
        assert "which leaves 2.1 m" in self.board(changed(low, "room", "room-living", height_m=2.175))[0].limits
        heated = with_records(
            self.solid(),
            "emitter",
            {"id": "warm", "room": "room-living", "type": "underfloor", "heated_area_m2": 6, "covering": "tile"},
        )
        assert self.board(heated) == []

    def test_two_radiators_where_the_second_room_holds_the_first_one_back(self):
        both = next(
            item for item in assessed(demo_house()).improvements.single if ", and bigger radiator in " in item.what
        )
        alone = next(
            item
            for item in assessed(demo_house()).improvements.single
            if item.what == both.what.split(", and bigger")[0]
        )
        assert (
            "Dining room: triple panel (type 33), 600 × 1,800 mm, and bigger radiator in Living room: triple panel (type 33), 600 × 2,000 mm"
            in both.what
        )
        better = changed(demo_house(), "emitter", "emitter-dining", type="panel_33")
        assert alone.lowest_flow_c == pytest.approx(assessed(better).flow.lowest_c, abs=0.02)
        assert both.lowest_flow_c == pytest.approx(
            assessed(changed(better, "emitter", "emitter-living", type="panel_33")).flow.lowest_c, abs=0.02
        )
        assert both.lowest_flow_c < alone.lowest_flow_c
