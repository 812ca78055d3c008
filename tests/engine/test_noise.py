"""Sound at the neighbour's window: editions by nation and day, screens, two units, the distance that would just do."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.support.houses import changed
from wattwalk.catalogue import CatalogueError
from wattwalk.engine.answers import Severity
from wattwalk.engine.place.noise import (
    added,
    compared_with,
    distance_for,
    limit_for,
    screen_attenuation,
    sound_pressure,
    units_alone,
)

from .support import assessed, findings, only

POSITION = {
    "id": "p",
    "name": "Back wall",
    "reflecting_surfaces": "two",
    "neighbour_distance_m": 7,
    "sound_power_dba": 58,
    "neighbour_screened": "in_view",
}


def place(visit="2026-03-12", **position):
    records = {
        "survey": [{"id": "s", "visit_date": visit}] if visit else [],
        "outdoor_position": [{**POSITION, **position}],
    }
    return {"format": "wattwalk-survey", "version": 1, "id": "noise", "records": records}


def noise(**given):
    return assessed(place(**given)).site.noise[0]


def test_the_unit_alone_is_over_the_newer_limit_and_stops():
    result = assessed(place())
    found = only(result, "noise_over_limit", Severity.STOP)
    assert "0.5 dB over it" in found.message
    assert "no certificate" in found.message
    assert "7.4 m would just do" in found.remedy
    assert result.site.noise[0].just_does_m == 7.33
    assert result.site.noise[0].level_dba == 37.47


def test_a_metre_further_meets_it_but_only_just():
    result = assessed(place(neighbour_distance_m=8))
    assert not findings(result, "noise_over_limit")
    assert only(result, "noise_near_limit", Severity.CHECK)


def test_far_away_nothing_is_said():
    assert not [
        item
        for item in assessed(place(neighbour_distance_m=20)).findings
        if "noise" in item.code or "screen" in item.code
    ]


def test_the_older_edition_counts_a_background():
    result = noise(noise_nation="scotland")
    assert (result.limit_dba, result.edition) == (42.0, "MCS 020, issue 1.3 (2019)")
    assert result.compared_dba == 41.93
    assert only(assessed(place(noise_nation="scotland")), "noise_near_limit", Severity.CHECK)


@pytest.mark.parametrize(
    ("nation", "day", "limit"),
    [
        ("england", "2025-05-28", 42),
        ("england", "2025-05-29", 37),
        ("wales", "2026-05-31", 42),
        ("wales", "2026-06-01", 37),
        ("scotland", None, 42),
        ("england", None, 37),
        ("england", "1999-01-01", 42),
    ],
)
def test_the_limit_is_that_of_the_nation_and_the_day(nation, day, limit):
    assert limit_for(nation, day).number("limit_dba") == limit


@pytest.mark.parametrize("more", [{"noise_nation": "northern_ireland"}, {}])
def test_northern_irelands_rule_has_no_source_and_nothing_is_judged_by_it(more):
    document = place(**more)
    if not more:
        document = changed(document, "survey", document["records"]["survey"][0]["id"], nation="northern_ireland")
    answer = assessed(document)
    (result,) = answer.site.noise
    assert result.level_dba == pytest.approx(37.47, abs=0.01)
    assert (result.limit_dba, result.compared_dba, result.margin_db, result.just_does_m) == (None, None, None, None)
    assert "No limit on noise is held for Northern Ireland" in result.words
    assert "not judged" in only(answer, "noise_not_judged", Severity.CHECK).message
    assert not {item.code for item in answer.findings} & {"noise_over_limit", "noise_near_limit", "noise_edition"}
    assert result.steps
    with pytest.raises(CatalogueError):
        limit_for("northern_ireland", "2026-11-01")
    # Without the sound of the unit there is no figure either.
    assert (
        assessed(
            changed(document, "unit", "u", sound_power_dba=None)
            if "unit" in document["records"]
            else changed(document, "outdoor_position", "p", sound_power_dba=None)
        )
        .site.noise[0]
        .level_dba
        is None
    )


def test_two_units_add_up():
    one, two = noise(), noise(second_sound_power_dba=58, second_neighbour_distance_m=7)
    assert two.level_dba - one.level_dba == pytest.approx(3.01, abs=0.01)
    assert noise(second_sound_power_dba=58).missing == ("from the second unit to the neighbour's window",)


@pytest.mark.parametrize(("screened", "takes"), [("in_view", 0), (None, 0), ("half_hidden", 5), ("out_of_sight", 10)])
def test_a_screen_only_ever_takes_away(screened, takes):
    assert noise(neighbour_screened=screened).level_dba == pytest.approx(37.47 - takes, abs=0.011)


def test_a_measured_detour_wins_over_what_can_be_seen():
    assert noise(neighbour_screened="out_of_sight", screen_detour_m=0.1).level_dba == pytest.approx(
        37.47 - 7.72, abs=0.02
    )
    assert noise(neighbour_screened="out_of_sight", screen_detour_m=0).level_dba == 37.47
    assert only(assessed(place(neighbour_screened="out_of_sight")), "screen_counted", Severity.NOTE)


@pytest.mark.parametrize("field", ["sound_power_dba", "neighbour_distance_m", "reflecting_surfaces"])
def test_without_it_nothing_is_claimed(field):
    result = noise(**{field: None})
    assert (result.level_dba, result.margin_db) == (None, None)
    assert len(result.missing) == 1
    assert not findings(assessed(changed(place(), "outdoor_position", "p", **{field: None})), "noise_over_limit")


@pytest.mark.parametrize(("distance", "attenuation"), [(0, 0), (-1, 0), (5, -0.1)])
def test_what_cannot_be_is_refused(distance, attenuation):
    with pytest.raises(ValueError, match="must be"):
        sound_pressure(58, 4, distance, attenuation)


def test_a_negative_detour_or_attenuation_is_refused():
    with pytest.raises(ValueError, match="nothing or more"):
        screen_attenuation(-0.1)
    with pytest.raises(ValueError, match="nothing or more"):
        distance_for(58, 4, 37, -1)


POWER, DISTANCE, SCREEN = st.floats(40, 75), st.floats(0.5, 100), st.floats(0, 20)


@given(POWER, st.sampled_from([2, 4, 8]), DISTANCE, SCREEN)
def test_a_screen_never_adds_and_distance_never_adds(power, planes, distance, screen):
    bare = sound_pressure(power, planes, distance)
    assert sound_pressure(power, planes, distance, screen) <= bare
    assert sound_pressure(power, planes, distance + 1) < bare
    assert sound_pressure(power, planes, distance * 2) == pytest.approx(bare - 6.0206, abs=1e-3)


@given(POWER, st.sampled_from([2, 4, 8]), SCREEN, st.sampled_from(["england", "scotland"]))
def test_the_distance_that_would_just_do_just_does(power, planes, screen, nation):
    row = limit_for(nation, "2026-03-12")
    distance = distance_for(power, planes, units_alone(row), screen)
    level = sound_pressure(power, planes, distance, screen)
    assert compared_with(row, level) == pytest.approx(row.number("limit_dba"), abs=1e-9)


@given(st.lists(st.floats(0, 90), min_size=2, max_size=4))
def test_together_they_are_louder_than_the_loudest(levels):
    assert max(levels) < added(levels) <= max(levels) + 6.03


def test_the_level_is_that_of_a_metre_before_the_window():
    # 58 dB(A) over two planes at 6 m, as worked out beside MCS 020 a); the window is at 7 m.
    assert noise().level_dba == pytest.approx(sound_pressure(58, 4, 6), abs=0.005)
    assert "1 m before" in noise().words
    assert noise(neighbour_distance_m=noise().just_does_m).margin_db == pytest.approx(0, abs=0.01)


@pytest.mark.parametrize("distance", [0.5, 1.0, 1.5])
def test_no_point_lies_nearer_to_the_unit_than_half_a_metre(distance):
    assert noise(neighbour_distance_m=distance).level_dba == pytest.approx(sound_pressure(58, 4, 0.5), abs=0.005)
