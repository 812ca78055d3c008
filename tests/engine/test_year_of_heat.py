"""The year's heat as a sum: it counts what the unit's load counts, by the same switches, and is one number wherever it is printed."""

from __future__ import annotations

from math import fsum
from typing import Any

import pytest

from tests.support.houses import Document, changed, with_records
from wattwalk.catalogue import table
from wattwalk.demo import demo_document
from wattwalk.engine.answers import Assessment, HeatTerm
from wattwalk.engine.answers.rounding import figure
from wattwalk.engine.climate.weather import month_bins
from wattwalk.engine.season.compensation import HeatCurve
from wattwalk.engine.season.year_load import WarmPipe, YearLoad

from .support import assessed
from .test_unit_load import PIPE, party

#: The year is printed in whole kWh, and so is each of its terms.
KWH = 1.0


def house(**survey: Any) -> Document:
    """The small house with emitters, a wall to a neighbour at 10 °C and five metres of bare pipe outdoors; every room is served at 50 °C."""
    document = with_records(party(separate_neighbour="ten_degrees", **survey), "pipe_run", PIPE)
    document["records"]["design"] = [{"id": "d", "flow_temperature_c": 50, "flow_return_difference_k": 6}]
    return document


def terms(result: Assessment) -> dict[str, HeatTerm]:
    assert result.plant.year is not None
    return {term.code: term for term in result.plant.year.terms}


def heat(result: Assessment, code: str) -> float:
    found = terms(result)[code].heat_kwh
    assert found is not None
    return found


def demo(**survey: Any) -> Document:
    document = demo_document()
    return changed(document, "survey", document["records"]["survey"][0]["id"], **survey)


class TestSum:
    @pytest.mark.parametrize(
        "document", [house(), demo(), demo(load_neighbours="counted")], ids=["small", "demo", "all"]
    )
    def test_the_year_is_the_sum_of_what_counts(self, document):
        result = assessed(document)
        year = result.plant.year
        counted = [term for term in year.terms if term.counts]
        assert fsum(term.heat_kwh for term in counted) == pytest.approx(year.heat_kwh, abs=KWH * len(counted))
        heating = [term.heat_kwh for term in counted if term.code != "hot_water"]
        assert fsum(heating) == pytest.approx(result.energy.heat_kwh, abs=KWH * len(heating))
        assert result.energy.heat_kwh == pytest.approx(fsum(item.heat_kwh for item in result.energy.bins), abs=3)
        assert all(term.words and term.source for term in year.terms)

    def test_it_counts_what_the_units_load_counts(self):
        for document in (house(), demo(), demo(load_pipes="left_out", load_floors="left_out")):
            result = assessed(document)
            of_load = {term.code: term.counts for term in result.plant.load_terms}
            of_year = {code: term.counts for code, term in terms(result).items()}
            for code in ("rooms", "neighbours", "pipes", "floors"):
                assert of_year[code] == of_load[code]

    def test_there_is_one_number_in_the_whole_paper(self):
        result = assessed(demo())
        year = result.plant.year
        cost = result.plant.cost
        assert f"it would be {figure(year.heat_kwh, 0)} kWh" in " ".join(cost.words)
        [of_unit] = [step for step in result.plant.steps if step.what == "Electricity of a year, heating alone"]
        assert f"{figure(result.energy.heat_kwh, 0)} kWh of heat" in of_unit.numbers
        [of_year] = [step for step in cost.steps if step.what.startswith("Efficiency of the year")]
        assert of_year.numbers.startswith(f"{figure(year.heat_kwh, 0)} / ")

    def test_the_hot_water_is_in_it_whatever_the_unit_carries(self):
        for choice in ("left_out", "counted"):
            result = assessed(demo(load_hot_water=choice))
            assert heat(result, "hot_water") == result.plant.hot_water.heat_kwh
            assert terms(result)["hot_water"].counts

    def test_hot_water_that_is_not_known_is_said(self):
        result = assessed(house())
        assert terms(result)["hot_water"].heat_kwh is None
        assert not terms(result)["hot_water"].counts
        assert result.plant.year.heat_kwh == result.energy.heat_kwh

    def test_nothing_is_said_while_a_room_is_missing(self):
        assert assessed(changed(house(), "room", "hall", height_m=None)).plant.year is None

    def test_heating_up_is_left_out_with_its_figure(self):
        result = assessed(house(heating_up="on_off"))
        term = terms(result)["heating_up"]
        [of_load] = [item for item in result.plant.load_terms if item.code == "heating_up"]
        assert not term.counts
        assert f"left out: {figure(of_load.watts, 0)} W" in term.words
        assert result.energy.heat_kwh == assessed(house()).energy.heat_kwh


class TestWhatIsAboveABill:
    def test_the_air_says_what_the_leakage_of_the_house_would_give(self):
        result = assessed(demo())
        used, leaking = (
            next(item.house_w for item in result.ventilation if item.method == method)
            for method in ("room_table", "air_permeability")
        )
        rooms = next(term.watts for term in result.plant.load_terms if term.code == "rooms")
        less = f"{100 * (used - leaking) / rooms:.0f} % less in a year"
        assert terms(result)["rooms"].words.endswith(less)
        counted = assessed(demo(ventilation_method="air_permeability"))
        assert "leakage of the house" not in terms(counted)["rooms"].words
        # And it is so: worked out with that air, the rooms take as much less.
        assert heat(counted, "rooms") / heat(result, "rooms") == pytest.approx(1 - (used - leaking) / rooms, abs=5e-3)

    def test_hot_water_says_what_the_mean_use_would_give(self):
        chosen = assessed(demo())
        mean = assessed(changed(demo(), "design", "design", hot_water_method="sap_2012"))
        words = terms(chosen)["hot_water"].words
        assert f"it would be about {figure(heat(mean, 'hot_water'), 0)} kWh" in words
        assert "mean use" not in terms(mean)["hot_water"].words


class TestByHand:
    """The same worked out beside the program, degree by degree."""

    def bins(self, result: Assessment) -> list[tuple[int, float]]:
        """The hours of October to May below 15.5 °C, month by month."""
        days = (31, 28, 31, 30, 31, 0, 0, 0, 0, 31, 30, 31)
        return [
            (outside, hours)
            for month, length in zip(result.climate.months, days, strict=True)
            if length
            for outside, hours in month_bins(month.mean_c, 24 * length)
            if outside < 15.5
        ]

    def test_neighbours_fall_with_the_rooms_own_loss(self):
        result = assessed(house())
        [term] = [item for item in result.plant.load_terms if item.code == "neighbours"]
        # A living room of 20 m² at 21 °C and a hall of 8 m² at 18 °C, −3 °C outside.
        mean_k = (20 * 21 + 8 * 18) / 28 + 3
        expected = fsum(term.watts / mean_k * (15.5 - outside) * hours / 1000 for outside, hours in self.bins(result))
        assert heat(result, "neighbours") == pytest.approx(expected, abs=KWH)
        assert heat(result, "neighbours") / heat(result, "rooms") == pytest.approx(
            term.watts / (result.building.total_w - term.watts), rel=5e-3
        )

    def test_pipes_outdoors_lose_by_the_water_in_them(self):
        result = assessed(house())
        [run] = result.site.heat
        line = result.compensation
        # The mean water at 50 / 44 °C is 47 °C, 26 K above the warmest room, by the law of the compensation line.
        lost = []
        for outside, hours in self.bins(result):
            share = (21 - outside) / 24
            water = 21 + 26 * share ** (1 / line.exponent)
            lost.append(run.outside_loss_w / 50 * (water - outside) * hours / 1000)
        assert heat(result, "pipes") == pytest.approx(fsum(lost), rel=1e-3)

    def test_pipes_in_the_ground_and_in_a_cold_space(self):
        places = {"buried": "annual mean", "unheated": "8 °C"}
        for place in places:
            pipe = PIPE | {"stretches": [{"place": place, "length_m": 5}]}
            document = house()
            document["records"]["pipe_run"] = [pipe]
            result = assessed(document)
            [run] = result.site.heat
            [stretch] = run.stretches
            lost = []
            for outside, hours in self.bins(result):
                water = 21 + 26 * ((21 - outside) / 24) ** (1 / result.compensation.exponent)
                around = stretch.around_c if place == "buried" else max(8, outside)
                lost.append(run.outside_loss_w / (47 - stretch.around_c) * max(0, water - around) * hours / 1000)
            assert heat(result, "pipes") == pytest.approx(fsum(lost), rel=2e-3)

    def test_heated_floors_lose_by_how_far_the_water_is_above_the_rooms(self):
        result = assessed(demo())
        [term] = [item for item in result.plant.load_terms if item.code == "floors"]
        line = result.compensation
        outside_c = result.climate.outside_c
        shares = [
            (((line.inside_c - outside) / (line.inside_c - outside_c)) ** (1 / line.exponent), hours)
            for outside, hours in self.bins(result)
        ]
        expected = fsum(term.watts * share * hours / 1000 for share, hours in shares)
        assert term.watts > 0
        assert heat(result, "floors") == pytest.approx(expected, rel=2e-3)

    def test_at_the_design_cold_it_is_what_the_unit_carries(self):
        pipes = (WarmPipe(2.0, "outdoors", -3.0), WarmPipe(1.0, "unheated", 8.0), WarmPipe(1.0, "buried", 10.0))
        curve = HeatCurve(21, 1.3, -3, 50, 6)
        assert curve.mean_at(-3) == pytest.approx(47)
        load = YearLoad(100.0, pipes, 5.0)
        assert load.watts(-3, curve) == pytest.approx(100 * 18.5 + 2 * 50 + 39 + 37 + 5 * 26)

    def test_a_pipe_never_takes_heat_from_outside(self):
        assert WarmPipe(2.0, "outdoors", -3.0).watts(30.0, 25.0) == 0.0


class TestSwitches:
    @pytest.mark.parametrize(("switch", "code"), [("load_pipes", "pipes"), ("load_neighbours", "neighbours")])
    def test_what_is_left_out_of_the_unit_is_left_out_of_the_year_and_told(self, switch, code):
        usual, without = assessed(house()), assessed(house(**{switch: "left_out"}))
        assert heat(usual, code) > 100
        assert usual.energy.heat_kwh - without.energy.heat_kwh == pytest.approx(heat(usual, code), abs=2 * KWH)
        assert without.energy.electricity_kwh < usual.energy.electricity_kwh
        left = terms(without)[code]
        assert (left.counts, left.heat_kwh) == (False, heat(usual, code))
        assert "left out by choice" in left.words

    def test_floors_by_their_switch(self):
        usual, without = assessed(demo()), assessed(demo(load_floors="left_out"))
        assert usual.energy.heat_kwh - without.energy.heat_kwh == pytest.approx(heat(usual, "floors"), abs=2 * KWH)

    def test_the_chosen_units_year_and_the_bill_move_with_them(self):
        usual, without = assessed(demo()), assessed(demo(load_pipes="left_out", load_floors="left_out"))
        assert usual.plant.chosen.electricity_kwh > without.plant.chosen.electricity_kwh + 100
        assert usual.plant.cost.efficiency != without.plant.cost.efficiency

    def test_without_pipe_runs_they_are_not_known_and_the_sum_says_so(self):
        document = house()
        del document["records"]["pipe_run"]
        term = terms(assessed(document))["pipes"]
        assert term.heat_kwh is None
        assert not term.counts
        assert "the sum is without it" in term.words


class TestWhatADesignerWouldSign:
    def test_hotter_water_loses_more_on_its_way(self):
        found = []
        for flow in (45, 50, 55, 60):
            found.append(heat(assessed(changed(house(), "design", "d", flow_temperature_c=flow)), "pipes"))
        assert found == sorted(found)
        assert found[0] < 0.95 * found[-1]

    def test_longer_pipes_lose_more_and_twice_the_length_twice_as_much(self):
        document = house()
        document["records"]["pipe_run"] = [PIPE | {"stretches": [{"place": "outdoors", "length_m": 10}]}]
        assert heat(assessed(document), "pipes") == pytest.approx(2 * heat(assessed(house()), "pipes"), rel=2e-3)

    def test_a_colder_region_takes_more_of_each(self):
        mild, cold = (assessed(house(postcode=code)) for code in ("N1 9VK", "IV1 1VK"))
        for code in ("rooms", "neighbours", "pipes"):
            assert heat(cold, code) > heat(mild, code)

    def test_a_colder_year_set_by_hand_takes_more_of_each(self):
        usual, cold = assessed(house()), assessed(house(outside_annual_mean_c=8.0))
        for code in ("rooms", "neighbours", "pipes"):
            assert heat(cold, code) > 1.05 * heat(usual, code)
        counted = [term.heat_kwh for term in cold.plant.year.terms if term.counts]
        assert fsum(counted) == pytest.approx(cold.energy.heat_kwh, abs=KWH * len(counted))

    def test_pipes_in_heated_rooms_take_nothing(self):
        document = house()
        document["records"]["pipe_run"] = [PIPE | {"stretches": [{"place": "heated", "length_m": 10}]}]
        assert heat(assessed(document), "pipes") == 0

    def test_a_run_to_the_cylinder_is_warm_with_the_hot_water_and_not_here(self):
        document = house()
        document["records"]["pipe_run"].append(PIPE | {"id": "second", "purpose": "cylinder"})
        assert heat(assessed(document), "pipes") == heat(assessed(house()), "pipes")

    def test_every_place_of_a_pipe_is_one_that_the_year_knows(self):
        assert {row.word("place") for row in table("pipe_places_2026").rows} == {
            "outdoors",
            "buried",
            "void",
            "unheated",
            "heated",
        }
