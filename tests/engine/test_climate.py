"""Design cold and yearly mean: stations, heights, postcodes."""

from __future__ import annotations

import pytest

from tests.support.houses import changed, small_house
from wattwalk.engine.climate import at_height, region_of, split_postcode
from wattwalk.engine.results import Severity

from .support import assessed, findings, only


@pytest.mark.parametrize(
    ("postcode", "expected"),
    [("LS99 9ZZ", ("LS", 99)), ("ls999zz", ("LS", 99)), ("M1 1AA", ("M", 1)), ("EC1A 1BB", ("EC", 1)), ("S18", ("S", 18)), ("S1 8AA", ("S", 1)), ("", None), ("12345", None), ("nowhere", None)],
)
def test_postcodes_are_split_into_area_and_district(postcode, expected):
    assert split_postcode(postcode) == expected


@pytest.mark.parametrize(
    ("postcode", "region"),
    [("S1 1AA", 11), ("S18 1AA", 6), ("LA1 1AA", 7), ("LA10 5AA", 8), ("KW14 7AA", 17), ("KW15 1AA", 19), ("SN7 7AA", 1), ("SN1 1AA", 5), ("PH26 3AA", 16), ("PH1 1AA", 15), ("BT1 1AA", 21)],
)
def test_regions_by_area_and_district(postcode, region):
    assert region_of(postcode).number("region") == region


def test_an_unknown_postcode_has_no_region():
    assert region_of("ZZ1 1AA") is None


def station(**more):
    return changed(small_house(), "survey", "s", outside_design_temperature_c=None, design_location="birmingham", **more)


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


def test_an_exposed_site_is_left_to_a_person():
    assert only(assessed(station(altitude_m=96, exposure="exposed")), "exposed_site", Severity.CHECK)
    assert not findings(assessed(station(altitude_m=96, exposure="sheltered")), "exposed_site")
