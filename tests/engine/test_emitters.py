"""Radiators and heated floors away from their rating, and the flow temperature that follows."""

from __future__ import annotations

import ht
import pytest

from tests.support.houses import changed, small_house, with_records, without
from wattwalk.engine.answers import Severity, Verdict
from wattwalk.engine.emitters.limits import curve_limit
from wattwalk.engine.emitters.radiators import arithmetic_mean, driving_ratio, logarithmic_mean, radiator_output
from wattwalk.engine.emitters.underfloor import coefficient_of_pipe, screed_coefficient

from .support import assessed, findings, only, room


@pytest.mark.parametrize(
    ("flow", "back", "inside"), [(75, 65, 20), (55, 45, 20), (45, 25, 20), (35, 30.5, 21), (60, 21.5, 21)]
)
def test_logarithmic_mean_against_a_library(flow, back, inside):
    assert logarithmic_mean(flow, back, inside) == pytest.approx(ht.LMTD(flow, back, inside, inside), rel=1e-9)


def test_the_logarithmic_mean_of_no_spread_is_the_difference():
    assert logarithmic_mean(45, 45, 20) == 25
    assert logarithmic_mean(45, 45 - 1e-9, 20) == pytest.approx(25)


def test_the_mean_changes_at_a_ratio_of_seven_tenths():
    above, below = driving_ratio(40, 34.0, 20), driving_ratio(40, 33.99, 20)
    assert above == (arithmetic_mean(40, 34, 20), 17 / 50, False)
    assert below[2]
    assert below[1] == pytest.approx(logarithmic_mean(40, 33.99, 20) / 49.83)


def test_a_return_no_warmer_than_the_room_gives_nothing():
    assert radiator_output(1000, 1.3, 25, 20, 20) == 0
    assert radiator_output(1000, 1.3, 18, 13, 20) == 0


def radiator(**fields):
    document = without(small_house(), "emitter", "small")
    return assessed(with_records(document, "emitter", {"id": "it", "room": "hall", **fields}))


def emitter(assessment):
    return next(item for item in room(assessment, "hall").emitters if item.id == "it")


def test_a_panel_from_the_table_between_two_heights():
    found = emitter(radiator(type="panel_22", height_mm=650, length_mm=1000))
    assert found.rated_w == pytest.approx((1720 + 1940) / 2)
    assert found.output_w == pytest.approx(found.rated_w * (24.5 / 50) ** 1.33, abs=0.1)


@pytest.mark.parametrize("height", [250, 950])
def test_a_panel_beyond_the_table_is_refused(height):
    found = emitter(radiator(type="panel_22", height_mm=height, length_mm=1000))
    assert found.output_w is None
    assert "declared output" in found.missing[0]


def test_a_declared_output_wins_over_the_table():
    found = emitter(radiator(type="panel_22", height_mm=600, length_mm=1000, rated_output_w=1500, exponent=1.3))
    assert found.rated_w == 1500
    assert found.exponent == 1.3


def test_sections_of_a_column_radiator():
    assert emitter(radiator(type="column", height_mm=660, length_mm=600, sections=10, columns=4)).rated_w == 1100
    assert emitter(radiator(type="column", height_mm=660, length_mm=600, sections=10, columns=3)).output_w is None


def test_a_towel_rail_is_counted_bare_and_said_so():
    result = radiator(type="towel_rail", height_mm=1200, length_mm=500)
    assert emitter(result).rated_w == pytest.approx(552)
    assert only(result, "towel_rail", Severity.NOTE)


@pytest.mark.parametrize("kind", ["convector", "fan_convector", "other"])
def test_what_no_table_knows_needs_a_declared_output(kind):
    assert "declared output" in emitter(radiator(type=kind)).missing[0]
    assert emitter(radiator(type=kind, rated_output_w=800)).output_w > 0


PANEL = {"type": "panel_22", "height_mm": 600, "length_mm": 1000}


@pytest.mark.parametrize(
    ("fields", "factor"),
    [
        ({"finish": "metallic"}, 0.9),
        ({"enclosure": "shelf"}, 0.95),
        ({"enclosure": "recess"}, 0.9),
        ({"enclosure": "cabinet"}, 0.8),
        ({"finish": "metallic", "enclosure": "cabinet"}, 0.72),
        ({"finish": "painted", "enclosure": "open"}, 1),
    ],
)
def test_finish_and_surroundings_take_something_off(fields, factor):
    found = emitter(radiator(**PANEL, **fields))
    assert found.rated_w == pytest.approx(1720 * factor)
    assert found.output_w == pytest.approx(1720 * factor * (24.5 / 50) ** 1.33, abs=0.1)
    assert len([step for step in found.steps if step.what == "Taken off"]) == (0 if factor == 1 else len(fields))


def test_a_declared_output_holds_its_finish_but_not_its_cover():
    assert emitter(radiator(**PANEL, rated_output_w=1500, finish="metallic")).rated_w == 1500
    assert emitter(radiator(**PANEL, rated_output_w=1500, enclosure="cabinet")).rated_w == 1200


@pytest.mark.parametrize(
    ("length", "connection", "factor"),
    [(2000, "bottom_opposite", 0.95), (1800, "bottom_opposite", 1), (2000, "same_end", 1), (2000, None, 1)],
)
def test_only_long_panels_lose_by_their_connection(length, connection, factor):
    found = emitter(
        radiator(type="panel_22", height_mm=600, length_mm=length, **({"connection": connection} if connection else {}))
    )
    assert found.rated_w == pytest.approx(1720 * length / 1000 * factor)


@pytest.mark.parametrize(("towels", "factor"), [("some", 0.7), ("full", 0.5)])
def test_hung_towels_are_taken_off_when_asked_for(towels, factor):
    result = radiator(type="towel_rail", height_mm=1200, length_mm=500, towels=towels)
    assert emitter(result).rated_w == pytest.approx(552 * factor)
    assert not findings(result, "towel_rail")


def test_a_chrome_rail_gives_less():
    assert emitter(
        radiator(type="towel_rail", height_mm=1200, length_mm=500, finish="chrome")
    ).rated_w == pytest.approx(552 * 0.7, abs=0.1)


def test_a_column_radiator_beyond_the_table_goes_by_its_volume():
    sizes = {"type": "column", "height_mm": 560, "length_mm": 900, "columns": 4, "sections": 15}
    between = emitter(radiator(**sizes))
    assert between.rated_w == pytest.approx(15 * (75 + 35 / 2))
    other = emitter(radiator(**{**sizes, "height_mm": 900}, depth_mm=140))
    assert other.rated_w == pytest.approx(15_000 * 0.9 * 0.9 * 0.14)
    assert "its depth" in emitter(radiator(**{**sizes, "height_mm": 900})).missing[0]
    assert emitter(radiator(type="column", height_mm=600, length_mm=1000, depth_mm=140)).rated_w == pytest.approx(1260)


FLOOR = {"type": "underfloor", "heated_area_m2": 6, "covering": "tile"}


def test_a_heated_floor_by_its_build_up():
    found = emitter(radiator(**FLOOR, pipe_spacing_mm=150))
    k = screed_coefficient(0.15, 0.045, 0.016, 0.015)
    limit, _ = curve_limit(k, 0.15, 0.045, 1.2, 29, 18)
    assert found.driving_k == pytest.approx(logarithmic_mean(45, 40, 18), abs=0.01)
    assert found.output_w == pytest.approx(min(k * logarithmic_mean(45, 40, 18), limit) * 6, abs=0.1)


def test_a_floor_that_would_grow_too_warm_is_held_and_said():
    assert only(radiator(**FLOOR, pipe_spacing_mm=100), "floor_too_warm", Severity.CHECK).record == "emitter/it"
    document = radiator(**{**FLOOR, "covering": "thin_carpet"}, pipe_spacing_mm=300)
    assert not findings(document, "floor_too_warm")


def test_plates_by_the_makers_figure():
    assert emitter(radiator(**FLOOR, floor_system="plates", declared_w_m2k=2.5)).output_w == pytest.approx(
        2.5 * logarithmic_mean(45, 40, 18) * 6, abs=0.1
    )


def test_thick_carpet_is_refused():
    result = radiator(**{**FLOOR, "covering": "thick_carpet"})
    assert emitter(result).output_w is None
    assert only(result, "covering_too_thick", Severity.CHECK)


@pytest.mark.parametrize(
    "given", [(0.04, 0.045, 0.016, 0), (0.15, 0.005, 0.016, 0), (0.15, 0.045, 0.04, 0), (0.15, 0.045, 0.016, 0.2)]
)
def test_the_formula_refuses_what_it_does_not_cover(given):
    with pytest.raises(ValueError, match=r"mm|0\.15"):
        screed_coefficient(*given)


def test_wide_spacing_and_thick_screed_give_less():
    assert screed_coefficient(0.45, 0.045, 0.016, 0.05) == pytest.approx(
        screed_coefficient(0.375, 0.045, 0.016, 0.05) * 0.375 / 0.45
    )
    at_limit = screed_coefficient(0.15, 0.100, 0.016, 0.05)
    assert screed_coefficient(0.15, 0.130, 0.016, 0.05) == pytest.approx(1 / (1 / at_limit + 0.030 / 1.2))


def test_the_reference_pipe_changes_nothing_and_a_better_one_helps():
    k = screed_coefficient(0.15, 0.045, 0.016, 0)
    assert coefficient_of_pipe(k, 0.15, 0.016, 0.002, 0.35) == pytest.approx(k)
    assert coefficient_of_pipe(k, 0.15, 0.016, 0.002, 0.45) > k


class TestFlowTemperature:
    def test_what_goes_out_does_not_count_and_what_comes_does(self):
        old = changed(small_house(), "emitter", "radiator", plan="replace")
        assert room(assessed(old), "living").verdict is Verdict.NO_EMITTER
        new = with_records(
            old, "emitter", {"id": "new", "room": "living", "type": "panel_22", "plan": "new", "rated_output_w": 6000}
        )
        assert room(assessed(new), "living").verdict is Verdict.ENOUGH

    def test_the_design_flow_is_the_offices_or_the_default(self):
        assert assessed(small_house()).flow.design_c == 45
        chosen = assessed(
            with_records(small_house(), "design", {"id": "d", "flow_temperature_c": 55, "flow_return_difference_k": 7})
        )
        assert (chosen.flow.design_c, chosen.flow.difference_k) == (55, 7)
        assert "chosen" in chosen.flow.design_words

    def test_the_hottest_room_sets_it(self):
        result = assessed(small_house())
        lowest = {item.id: item.lowest_flow_c for item in result.rooms}
        assert result.flow.lowest_c == max(lowest.values())
        assert lowest[result.flow.set_by_room] == result.flow.lowest_c

    def test_it_is_found_where_a_sum_by_hand_finds_it(self):
        # One radiator of 3000 W, n 1.3: the mean difference that gives the loss, plus half the spread, plus the room.
        result = assessed(small_house())
        living = room(result, "living")
        needed = 50 * (living.total_w / 3000) ** (1 / 1.3) + 2.5 + 21
        assert needed <= living.lowest_flow_c + 0.005
        assert living.lowest_flow_c == pytest.approx(needed, abs=0.02)

    def test_a_room_no_flow_can_warm(self):
        result = assessed(changed(small_house(), "emitter", "radiator", rated_output_w=300))
        assert result.flow.lowest_c is None
        assert only(result, "beyond_highest_flow", Severity.CHECK).record == "room/living"
        assert "Living room" in result.flow.words

    def test_a_room_without_emitter(self):
        result = assessed(without(small_house(), "emitter", "small"))
        assert room(result, "hall").verdict is Verdict.NO_EMITTER
        assert only(result, "no_emitter", Severity.CHECK).record == "room/hall"
        assert result.flow.lowest_c is None
        assert "The other rooms are warm from" in result.flow.words

    def test_an_emitter_that_cannot_be_told_is_not_known(self):
        result = assessed(changed(small_house(), "emitter", "small", height_mm=None))
        assert room(result, "hall").verdict is Verdict.NOT_KNOWN
        assert result.flow.lowest_c is None
        assert any("its height and length" in words for words in room(result, "hall").missing)

    def test_candidates_grow_warmer_and_leave_fewer_short(self):
        candidates = assessed(small_house()).flow.candidates
        assert [item.flow_c for item in candidates] == [30, 35, 40, 45, 50, 55, 60, 65]
        assert [item.rooms_short for item in candidates] == sorted(
            (item.rooms_short for item in candidates), reverse=True
        )
        assert [item.output_w for item in candidates] == sorted(item.output_w for item in candidates)

    def test_a_short_room_says_by_how_much(self):
        result = assessed(changed(small_house(), "emitter", "radiator", rated_output_w=1500))
        found = next(item for item in findings(result, "room_short") if item.record == "room/living")
        living = room(result, "living")
        assert living.verdict is Verdict.SHORT
        assert living.margin_w == pytest.approx(living.output_w - living.total_w, abs=0.11)
        assert f"{living.total_w:,.0f} W" in found.message
