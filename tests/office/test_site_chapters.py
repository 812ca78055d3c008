"""The site in the report: its figures, its drawings, its working, and nothing invented where nothing is known."""

from __future__ import annotations

import pytest

from tests.office.conftest import file_html
from tests.support import invented_house
from wattwalk.demo import demo_document
from wattwalk.office.report import SHEETS, gather, paper_html
from wattwalk.office.report_inputs import ReportInputs
from wattwalk.office.site_chapters import circuit_block, place_block, power_block, site_working
from wattwalk.survey.document import read_document


@pytest.fixture(scope="module")
def inputs() -> ReportInputs:
    return gather(read_document(demo_document()), firm={"name": "Invented Heating"}, version=1, made_on="2026-03-14")


def test_the_place_says_room_and_sound(inputs):
    block = place_block(inputs, "position-back")
    facts = dict(block["facts"])
    assert "250 of 250" in facts["Room around it, there of needed"]
    assert "MCS 020 a)" in facts["Sound at the neighbour’s window"]
    assert block["drawing"] == "zone/position-back"


def test_the_water_says_what_the_engine_says(inputs):
    block, circuit = circuit_block(inputs), inputs.assessment.site.circuit
    facts = dict(block["facts"])
    assert f"{circuit.flow_l_min:.1f}" in facts["Flow"]
    assert facts["Volumiser to add"] == "none"
    assert [run["name"] for run in block["runs"]] == [run.name for run in inputs.assessment.site.runs]
    assert "still water freezes after" in block["heat"][0]["freezes"]


def test_the_power_says_what_to_ask_of_the_network(inputs):
    assert "Apply to the network operator" in dict(power_block(inputs)["facts"])["Network operator"]


def test_the_power_of_three_phases_is_said_phase_by_phase():
    document = demo_document()
    (supply,) = document["records"]["supply"]
    supply |= {"phases": "three", "demand_l1_a": 38, "demand_l2_a": 21, "demand_l3_a": 30, "unit_phase": "2"}
    supply.pop("existing_demand_a", None)
    block = power_block(gather(read_document(document), firm={"name": "Invented"}, version=1, made_on="2026-03-14"))
    facts = {name: words.replace("\u00a0", " ") for name, words in block["facts"]}
    assert facts["The house as it is, at most, on the fullest phase"] == "38.0 A"
    assert facts["The unit, at most"] == "16.5 A"
    assert facts["Together, on the fullest phase"] == "38.0 A"
    assert facts["Phase 2"] == "house 21.0 A, unit 16.5 A, together 37.5 A"


def test_every_step_of_the_site_is_printed_with_a_source_of_the_list(inputs):
    known = {source.key for source in inputs.assessment.sources}
    headings = site_working(inputs)
    assert [heading for heading, _ in headings if heading.startswith("Sound")]
    for _, things in headings:
        assert {step.source for _name, steps in things for step in steps} <= known


def test_the_page_holds_all_of_it_and_no_drawing_is_missing(inputs):
    html = file_html(inputs)
    for words in (
        "What was worked out of this place",
        "Heating water",
        "Highest demand",
        "it is no certificate",
        "designs, installs, tests and certifies",
    ):
        assert words in html
    assert "wattwalk:drawing/zone/position-back" in html
    # Scheme and schedule are drawn once, on the sheets of who works by them.
    sheets = paper_html(inputs, SHEETS)
    for name in ("zone/position-back", "circuit", "cables"):
        assert f"wattwalk:drawing/{name}" in sheets


def test_an_assessment_without_a_site_prints_none(inputs):
    bare = gather(invented_house.survey(), firm={"name": "Invented Heating"}, version=1, made_on="2026-03-14")
    bare = ReportInputs(bare.survey, invented_house.assessment(), bare.gaps, bare.quote, bare.firm, 1, "2026-03-14")
    assert circuit_block(bare) == {
        "facts": [],
        "runs": [],
        "heat": [],
        "balance": None,
        "missing": "",
        "drawing": "",
    }
    assert place_block(bare, "place1") == {"facts": [], "drawing": "", "is_planning": False}
    assert power_block(bare)["facts"] == []
    assert "Highest demand" not in file_html(bare)
