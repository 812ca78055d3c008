"""Where a house stands, by postcode and by position, as the phone offers it."""

from __future__ import annotations

import pytest

from tests.golden.write_places import FILE, written
from wattwalk.catalogue import table
from wattwalk.engine.climate.agreement import PLACES
from wattwalk.survey.household import SurveyRecord

#: Towns whose nation nobody doubts, some of them near a border (Ordnance Survey positions, from memory, to a tenth of a degree).
TOWNS = {
    "Carlisle": (54.9, -2.9, "england"),
    "Berwick": (55.8, -2.0, "england"),
    "Gretna": (55.0, -3.1, "scotland"),
    "Dumfries": (55.1, -3.6, "scotland"),
    "Hay": (52.1, -3.1, "wales"),
    "Hereford": (52.1, -2.7, "england"),
    "Chester": (53.2, -2.9, "england"),
    "Wrexham": (53.0, -3.0, "wales"),
    "Hoylake": (53.4, -3.2, "england"),
    "Cardiff": (51.5, -3.2, "wales"),
    "Minehead": (51.2, -3.5, "england"),
    "Newry": (54.2, -6.3, "northern_ireland"),
    "Omagh": (54.6, -7.3, "northern_ireland"),
    "Belfast": (54.6, -5.9, "northern_ireland"),
    "Stranraer": (54.9, -5.0, "scotland"),
    "Leeds": (53.8, -1.5, "england"),
    "Edinburgh": (55.9, -3.2, "scotland"),
    "Bangor": (53.2, -4.1, "wales"),
}


def _sure(north: float, east: float) -> set[str]:
    return {
        row.word("nation")
        for row in table("sure_nations_2026").rows
        if row.number("south") <= north <= row.number("north") and row.number("west") <= east <= row.number("east")
    }


def test_what_the_phone_is_held_to_is_what_the_engine_says() -> None:
    assert FILE.read_text(encoding="utf-8") == written()


@pytest.mark.parametrize("town", TOWNS)
def test_no_box_says_another_nation_than_the_towns_in_it_have(town: str) -> None:
    north, east, nation = TOWNS[town]
    assert _sure(north, east) <= {nation}


def test_some_towns_have_a_nation_by_their_position_and_places_abroad_have_none() -> None:
    assert {nation for town in ("Leeds", "Belfast", "Bangor", "Dumfries") for nation in _sure(*TOWNS[town][:2])} == {
        "england",
        "northern_ireland",
        "wales",
        "scotland",
    }
    for north, east in ((53.3, -6.3), (51.0, 1.9), (54.2, -4.5), (49.2, -2.1), (55.0, -7.7)):
        assert _sure(north, east) == set()


def test_every_station_that_can_be_chosen_has_a_place() -> None:
    stations = {choice.value for choice in SurveyRecord.kind.field("design_location").choices}
    assert stations <= {row.word("place") for row in table(PLACES).rows}
