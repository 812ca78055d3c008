"""One nation: what it decides follows from it, an override says so, and postcode, nation and weather station that contradict each other are said."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from tests.support.houses import small_house
from wattwalk.catalogue import table
from wattwalk.engine import assess
from wattwalk.engine.climate.agreement import NATIONS, contradictions, nations_of
from wattwalk.survey.document import read_document
from wattwalk.survey.household import SurveyRecord

PLACE = {
    "id": "p",
    "name": "Back wall",
    "unit": "u",
    "reflecting_surfaces": "two",
    "neighbour_distance_m": 8,
    "neighbour_screened": "in_view",
}


def house(place: dict[str, Any] | None = None, **survey: Any) -> Any:
    document = copy.deepcopy(small_house())
    document["version"] = 3
    document["records"]["survey"][0].update({"postcode": "EH1 0VK", "design_location": "edinburgh", **survey})
    document["records"]["outdoor_position"] = [{**PLACE, **(place or {})}]
    document["records"]["unit"] = [{"id": "u", "name": "9 kW", "sound_power_dba": 55}]
    return assess(read_document(document))


def codes(assessed: Any) -> list[str]:
    return [item.code for item in assessed.findings]


def test_a_house_in_scotland_with_nothing_else_said_is_held_to_scotlands_limits() -> None:
    assessed = house(nation="scotland", visit_date="2026-03-12")
    assert (assessed.site.noise[0].limit_dba, assessed.site.noise[0].edition) == (42.0, "MCS 020, issue 1.3 (2019)")
    assert "noise_other_nation" not in codes(assessed)
    england = house(nation="england", visit_date="2026-03-12", postcode="LS40 0VK", design_location="manchester")
    assert (england.site.noise[0].limit_dba, england.site.noise[0].edition) == (37.0, "MCS 020 a), issue 1 (2025)")


def test_another_nations_limits_are_possible_and_say_so_in_the_finding_and_by_its_place() -> None:
    assessed = house({"noise_nation": "england"}, nation="scotland", visit_date="2026-03-12")
    assert assessed.site.noise[0].limit_dba == 37.0
    (said,) = [item for item in assessed.findings if item.code == "noise_other_nation"]
    assert (said.record, said.field) == ("outdoor_position/p", "noise_nation")
    assert "held to the limits on noise of England although the house is in Scotland" in said.message
    # Also while the sound cannot be worked out yet.
    assert "noise_other_nation" in codes(house({"noise_nation": "england", "unit": None}, nation="scotland"))
    assert "noise_other_nation" not in codes(house({"noise_nation": "scotland"}, nation="scotland"))


def said(postcode: str | None, nation: str | None, station: str | None) -> list[tuple[str, str, str | None]]:
    record = SurveyRecord(id="s", postcode=postcode, nation=nation, design_location=station)
    found = contradictions(record)
    assert all(item.remedy and item.source for item in found)
    return [(item.code, item.record, item.field) for item in found]


NATION = ("postcode_other_nation", "survey/s", "nation")
STATION = ("station_far_from_postcode", "survey/s", "design_location")


@pytest.mark.parametrize(
    ("postcode", "nation", "station", "expected"),
    [
        ("EH1 0VK", "england", "edinburgh", [NATION]),
        ("EH1 0VK", None, "edinburgh", [NATION]),
        ("CF10 0VK", "england", "cardiff", [NATION]),
        ("BT1 0VK", "scotland", "belfast", [NATION]),
        ("LS40 0VK", "wales", "manchester", [NATION]),
        ("TD1 0VK", "wales", "edinburgh", [NATION]),
        ("EH1 0VK", "scotland", "london", [STATION]),
        ("PL1 0VK", "england", "edinburgh", [STATION]),
        ("AB10 0VK", "scotland", "plymouth", [STATION]),
        ("SW1 0VK", "england", "glasgow", [STATION]),
        ("BT1 0VK", "northern_ireland", "glasgow", [STATION]),
        ("G1 0VK", "scotland", "belfast", [STATION]),
        ("ZE1 0VK", "scotland", "edinburgh", [STATION]),
        ("IP1 0VK", "england", "carlisle", [STATION]),
        ("EH1 0VK", "england", "london", [NATION, STATION]),
    ],
)
def test_what_contradicts_each_other_is_said(
    postcode: str, nation: str | None, station: str, expected: list[Any]
) -> None:
    assert said(postcode, nation, station) == expected


@pytest.mark.parametrize(
    ("postcode", "nation", "station"),
    [
        ("LS40 0VK", "england", "manchester"),
        ("LS40 0VK", None, "birmingham"),
        ("SN1 0VK", "england", "london"),
        ("BS1 0VK", "england", "cardiff"),
        ("EX1 0VK", "england", "plymouth"),
        ("IP1 0VK", "england", "london"),
        ("TD15 0VK", "england", "edinburgh"),
        ("TD15 0VK", "scotland", "edinburgh"),
        ("CA1 0VK", "england", "glasgow"),
        ("SY10 0VK", "wales", "birmingham"),
        ("CH5 0VK", "wales", "manchester"),
        ("SA1 0VK", "wales", "cardiff"),
        ("IV1 0VK", "scotland", "glasgow"),
        ("KW15 0VK", "scotland", "inverness"),
        ("ZE1 0VK", "scotland", "kirkwall"),
        ("IP1 0VK", "england", "norwich"),
        ("BT1 0VK", "northern_ireland", "belfast"),
        ("NE1 0VK", "england", "edinburgh"),
        ("DE1 0VK", "england", "birmingham"),
        ("JE2 0VK", "england", "plymouth"),
        ("nonsense", "england", "plymouth"),
        (None, "wales", "edinburgh"),
        ("EH1 0VK", "scotland", None),
    ],
)
def test_what_agrees_or_may_agree_is_silent(postcode: str | None, nation: str | None, station: str | None) -> None:
    assert said(postcode, nation, station) == []


def test_every_area_of_the_regions_has_a_nation() -> None:
    areas = {str(row.cells["area"]) for row in table("postcode_regions_sap_10_2").rows}
    assert {str(row.cells["area"]) for row in table(NATIONS).rows} == areas
    assert all(1 <= len(nations_of(f"{area}1")) <= 2 for area in areas)


def test_they_reach_the_answer() -> None:
    assert {"postcode_other_nation", "station_far_from_postcode"} <= set(codes(house(design_location="london")))
