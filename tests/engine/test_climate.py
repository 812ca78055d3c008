"""Design cold and yearly mean: stations, heights, postcodes."""

from __future__ import annotations

from math import exp, fsum

import pytest

from tests.support.houses import changed, small_house
from wattwalk.engine.answers import Severity
from wattwalk.engine.climate.design_cold import at_height, region_of, split_postcode
from wattwalk.engine.climate.weather import degree_days, month_bins, year_bins

from .support import assessed, findings, only


@pytest.mark.parametrize(
    ("postcode", "expected"),
    [
        ("LS40 0VK", ("LS", 40)),
        ("ls400vk", ("LS", 40)),
        ("M1 1VK", ("M", 1)),
        ("EC1A 1VK", ("EC", 1)),
        ("S18", ("S", 18)),
        ("S1 8VK", ("S", 1)),
        ("", None),
        ("12345", None),
        ("nowhere", None),
    ],
)
def test_postcodes_are_split_into_area_and_district(postcode, expected):
    assert split_postcode(postcode) == expected


@pytest.mark.parametrize(
    ("postcode", "region"),
    [
        ("S1 1VK", 11),
        ("S18 1VK", 6),
        ("LA1 1VK", 7),
        ("LA10 5VK", 8),
        ("KW14 7VK", 17),
        ("KW15 1VK", 19),
        ("SN7 7VK", 1),
        ("SN1 1VK", 5),
        ("PH26 3VK", 16),
        ("PH1 1VK", 15),
        ("BT1 1VK", 21),
    ],
)
def test_regions_by_area_and_district(postcode, region):
    assert region_of(postcode).number("region") == region


def test_an_unknown_postcode_has_no_region():
    assert region_of("ZZ1 1AA") is None


def station(**more):
    return changed(
        small_house(), "survey", "s", outside_design_temperature_c=None, design_location="birmingham", **more
    )


@pytest.mark.parametrize(("percentile", "expected"), [(None, -5.4), ("99", -3.4)])
def test_the_percentile_chooses_the_column(percentile, expected):
    more = {"design_percentile": percentile} if percentile else {}
    assert assessed(station(altitude_m=96, **more)).climate.outside_c == expected


def test_higher_is_colder_and_lower_is_not_warmer():
    assert assessed(station(altitude_m=146)).climate.outside_c == -5.7
    assert assessed(station(altitude_m=0)).climate.outside_c == -5.4
    assert at_height(-5.4, 96, 96) == -5.4


def test_an_unknown_height_is_said():
    assert only(assessed(station()), "height_unknown", Severity.NOTE).field == "altitude_m"
    assert not findings(assessed(station(altitude_m=100)), "height_unknown")


def test_a_temperature_set_by_hand_wins():
    result = assessed(changed(small_house(), "survey", "s", design_location="glasgow", altitude_m=400))
    assert result.climate.outside_c == -3
    assert "by hand" in result.climate.words


def test_the_yearly_mean_says_when_it_is_not_by_postcode():
    by_station = assessed(station(altitude_m=96, postcode=None))
    assert by_station.climate.annual_mean_c == 10.05
    assert only(by_station, "region_not_by_postcode", Severity.NOTE)
    by_nothing = assessed(changed(small_house(), "survey", "s", postcode="ZZ1 1AA"))
    assert by_nothing.climate.annual_mean_c == 10.02
    assert only(by_nothing, "region_not_by_postcode", Severity.CHECK)


class TestTheHouseStandsHigh:
    """The published table of monthly means has no rule for a house's own height: what is left out is said with its figure."""

    def test_the_mean_and_the_year_stay_and_a_note_says_what_that_leaves_out(self):
        low, high = (assessed(station(altitude_m=height)) for height in (96, 296))
        assert high.climate.outside_c == pytest.approx(low.climate.outside_c - 1.2)
        assert high.climate.annual_mean_c == low.climate.annual_mean_c
        assert high.climate.months == low.climate.months
        note = only(high, "mean_not_carried_up", Severity.NOTE)
        assert note.field == "outside_annual_mean_c"
        assert "stands 200 m above" in note.message
        assert "would be 1.2 K lower" in note.message
        # The degree days of twelve months that are each 1.2 K colder, by Hitchin's formula.
        days = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
        means = [item.mean_c for item in high.climate.months]
        usual, colder = (
            fsum(
                n * (15.5 - mean + k) / (1 - exp(-0.71 * (15.5 - mean + k)))
                for n, mean in zip(days, means, strict=True)
            )
            for k in (0.0, 1.2)
        )
        assert f"about {100 * (colder / usual - 1):.0f} % more heat" in note.message

    def test_by_the_steeper_fall_it_is_more(self):
        note = only(
            assessed(station(altitude_m=296, height_gradient="en_12831_1_2017")), "mean_not_carried_up", Severity.NOTE
        )
        assert "would be 2 K lower" in note.message

    @pytest.mark.parametrize(
        "more",
        [
            {"altitude_m": 140},
            {"altitude_m": 0},
            {},
            {"altitude_m": 400, "outside_annual_mean_c": 8.5},
        ],
    )
    def test_it_is_silent_where_nothing_is_left_out(self, more):
        assert findings(assessed(station(**more)), "mean_not_carried_up") == []

    def test_it_is_silent_where_the_design_cold_is_not_carried_up_either(self):
        by_hand = changed(station(altitude_m=400), "survey", "s", outside_design_temperature_c=-3)
        assert findings(assessed(by_hand), "mean_not_carried_up") == []

    def test_the_methods_say_it_unless_a_mean_was_set(self):
        words = "the height typical of it (SAP 10.2, Table U1"
        assert any(words in line for line in assessed(station()).methods)
        assert not any(words in line for line in assessed(station(outside_annual_mean_c=8.5)).methods)


def test_a_yearly_mean_set_by_hand_moves_every_month_with_it():
    usual, set_by_hand = assessed(station()), assessed(station(outside_annual_mean_c=8.5))
    region = usual.climate.annual_mean_c
    assert (set_by_hand.climate.annual_mean_c, set_by_hand.climate.warmer_k) == (8.5, round(8.5 - region, 2))
    assert [item.mean_c for item in set_by_hand.climate.months] == pytest.approx(
        [item.mean_c + 8.5 - region for item in usual.climate.months]
    )
    assert set_by_hand.climate.degree_days_kd > usual.climate.degree_days_kd + 300
    assert set_by_hand.climate.degree_days_kd == pytest.approx(
        fsum(item.degree_days_kd for item in set_by_hand.climate.months), abs=1
    )
    assert set_by_hand.building.total_w > usual.building.total_w  # the ground
    assert "Yearly mean outside temperature, if set by hand: 8.5 °C" in set_by_hand.methods
    (step,) = (item for item in set_by_hand.climate.steps if item.what == "Yearly mean outside, set by hand")
    assert step.result == 8.5
    assert not findings(set_by_hand, "yearly_mean_unlikely")


def test_the_year_outside_is_as_far_from_the_table_as_its_mean():
    mean = [fsum(degree * hours for degree, hours in year_bins(7, warmer)) / 8760 for warmer in (0.0, -1.5, 2.0)]
    assert mean[1:] == pytest.approx([mean[0] - 1.5, mean[0] + 2.0], abs=0.01)


@pytest.mark.parametrize(("mean", "fires"), [(6.0, True), (7.5, False), (10.05, False), (13.0, False), (13.5, True)])
def test_a_yearly_mean_far_from_the_regions_is_asked_about(mean, fires):
    result = assessed(station(outside_annual_mean_c=mean))
    assert bool(findings(result, "yearly_mean_unlikely")) is fires
    assert result.climate.annual_mean_c == mean


def test_an_exposed_site_is_left_to_a_person():
    assert only(assessed(station(altitude_m=96, exposure="exposed")), "exposed_site", Severity.CHECK)
    assert not findings(assessed(station(altitude_m=96, exposure="sheltered")), "exposed_site")


@pytest.mark.parametrize(("allowance", "lower"), [("none", 0), ("two_kelvin", 2), ("three_kelvin", 3)])
def test_an_allowance_for_an_exposed_site_is_taken_off(allowance, lower):
    result = assessed(station(altitude_m=96, exposure="exposed", exposure_allowance=allowance))
    assert result.climate.outside_c == -5.4 - lower
    assert not findings(result, "exposed_site")
    assert assessed(station(altitude_m=96, exposure="normal", exposure_allowance=allowance)).climate.outside_c == -5.4


def test_both_percentiles_are_carried_up_to_the_house():
    assert assessed(station(altitude_m=196)).climate.percentiles_c == (-4.0, -6.0)
    assert assessed(small_house()).climate.percentiles_c is None


@pytest.mark.parametrize(("postcode", "expected"), [("M1 1VK", -3.6), ("PL1 1VK", -1.6), ("BT1 1VK", -2.6)])
def test_without_a_station_the_postcode_picks_one_and_says_so(postcode, expected):
    result = assessed(changed(small_house(), "survey", "s", outside_design_temperature_c=None, postcode=postcode))
    assert result.climate.outside_c == expected
    assert "Nobody has chosen" in only(result, "station_by_postcode", Severity.CHECK).message
    assert not findings(assessed(station()), "station_by_postcode")


def by_postcode(postcode, **more):
    return assessed(changed(small_house(), "survey", "s", outside_design_temperature_c=None, postcode=postcode, **more))


@pytest.mark.parametrize(
    ("postcode", "name"),
    [
        ("NR1 1VK", "Marham"),
        ("IP1 1VK", "Marham"),
        ("NE1 1VK", "Newcastle"),
        ("YO1 1VK", "Leeming"),
        ("AB10 1VK", "Aberdeen"),
        ("IV1 1VK", "Inverness"),
        ("HS1 1VK", "Stornoway"),
        ("KW15 1VK", "Kirkwall"),
        ("ZE1 1VK", "Lerwick"),
        ("LS1 1VK", "Leeds Bradford"),
        ("SY23 1VK", "Trawsgoed"),
        ("CA1 1VK", "Carlisle"),
        ("BH1 1VK", "Bournemouth"),
        ("BN1 1VK", "Gatwick"),
        ("M1 1VK", "Manchester"),
        ("TR1 1VK", "Plymouth"),
    ],
)
def test_every_part_of_the_country_has_a_station_of_its_own(postcode, name):
    result = by_postcode(postcode)
    assert result.climate.words.startswith(f"{name}, ")
    assert only(result, "station_by_postcode", Severity.CHECK).message.endswith(f"is that of {name}.")


def test_a_station_without_a_99_6_figure_takes_the_widest_step_and_says_so():
    result = by_postcode("NR1 1VK", altitude_m=23)
    assert (result.climate.outside_c, result.climate.percentiles_c) == (-5.0, (-2.5, -5.0))
    found = only(result, "percentile_not_held", Severity.CHECK)
    assert "2.5 K below its 99 % figure of −2.5 °C" in found.message
    assert "not colder for 99.6 %" not in result.climate.words
    (step,) = (step for step in result.climate.steps if step.what == "Colder for 99.6 % of hours")
    assert (step.result, step.source) == (-5.0, "own rule for a station without a 99.6 % figure")
    usual = by_postcode("NR1 1VK", altitude_m=23, design_percentile="99")
    assert usual.climate.outside_c == -2.5
    assert "not colder for 99 %" in usual.climate.words
    assert not findings(usual, "percentile_not_held")


@pytest.mark.parametrize(("location", "expected"), [("aberdeen", -5.1), ("gatwick", -4.6)])
def test_a_station_with_both_figures_is_taken_at_its_word(location, expected):
    result = assessed(
        changed(
            small_house(),
            "survey",
            "s",
            outside_design_temperature_c=None,
            design_location=location,
            altitude_m=0,
        )
    )
    assert result.climate.outside_c == expected
    assert not findings(result, "percentile_not_held")


def test_an_unknown_postcode_picks_no_station():
    assert (
        assessed(changed(small_house(), "survey", "s", outside_design_temperature_c=None, postcode="ZZ1 1AA")).climate
        is None
    )


def test_a_region_has_its_months_and_degree_days():
    climate = assessed(station()).climate
    assert (climate.region, climate.region_name) == (11, "East Pennines")
    assert [month.mean_c for month in climate.months][:2] == [4.3, 4.9]
    assert climate.degree_days_kd == pytest.approx(fsum(month.degree_days_kd for month in climate.months), abs=1)
    assert climate.long_term_degree_days_kd == 2307


def test_a_region_without_older_degree_days_leaves_them_out():
    assert assessed(changed(station(), "survey", "s", postcode="IV1 1VK")).climate.long_term_degree_days_kd is None


@pytest.mark.parametrize("mean", [-5.0, 0.0, 4.3, 11.7, 16.6, 25.0])
def test_the_hours_of_a_month_add_up_about_its_mean(mean):
    bins = month_bins(mean, 744)
    assert fsum(hours for _, hours in bins) == pytest.approx(744, rel=1e-12)
    assert fsum(degree * hours for degree, hours in bins) / 744 == pytest.approx(mean, abs=0.02)
    assert all(hours >= 0 for _, hours in bins)


def test_a_year_has_all_its_hours():
    for region in range(22):
        assert fsum(hours for _, hours in year_bins(float(region))) == pytest.approx(8760, rel=1e-12)


def test_degree_days_grow_as_months_get_colder():
    values = [degree_days(mean, 30) for mean in (20, 15.5, 15.4999999999, 10, 0)]
    assert values == sorted(values)


@pytest.mark.parametrize(
    ("gradient", "source"),
    [(None, "common practice"), ("en_12831_1_2017", "default gradient of the outside temperature with height")],
)
def test_the_way_up_to_the_house_names_the_source_of_its_gradient(gradient, source):
    more = {"height_gradient": gradient} if gradient else {}
    (step,) = (
        step
        for step in assessed(station(altitude_m=146, **more)).climate.steps
        if step.what == "Carried up to the house"
    )
    assert source in step.source
