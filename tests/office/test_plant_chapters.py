"""The report's parts on unit, hot water and running cost."""

from __future__ import annotations

import copy

import pytest

from tests.office.conftest import file_html, words_of_page
from tests.support.houses import small_house
from wattwalk.demo.house import house
from wattwalk.engine import assess
from wattwalk.office import chapters
from wattwalk.office.plant_chapters import cost_block, plant_working, unit_block, water_block
from wattwalk.office.report_inputs import gather
from wattwalk.survey.chapters import FINDING_CHAPTERS
from wattwalk.survey.document import read_document


def inputs_of(document):
    return gather(read_document(document), firm={"name": "Invented Heating Ltd"}, version=1, made_on="2026-04-02")


def demo(**design):
    made = copy.deepcopy(house())
    made["records"].pop("photo")
    made["records"]["design"][0] |= design
    return made


@pytest.fixture(scope="module")
def made():
    return inputs_of(demo())


@pytest.fixture(scope="module")
def page(made):
    return words_of_page(file_html(made))


def test_the_units_stand_best_first_with_the_chosen_one_marked(made, page):
    block = unit_block(made.assessment)
    assert [unit["verdict"] for unit in block["units"]] == ["covers the house", "covers it, but is large", "too small"]
    assert [unit["name"] for unit in block["units"] if unit["is_chosen"]] == ["Air to water, 8 kW class, invented"]
    assert block["words"].replace("\N{NO-BREAK SPACE}", " ") in page
    for part in block["parts"]:
        assert " ".join(part.values()) in page


def test_hot_water_has_its_three_ways_its_facts_and_its_cautions(made, page):
    block = water_block(made.assessment)
    assert [need["is_used"] for need in block["needs"]] == ["used", "", ""]
    for label, words in block["facts"]:
        assert f"{label} {words}".replace("\N{NO-BREAK SPACE}", " ") in page
    assert all(words in page for words in block["cautions"])
    assert "no cooler store is called safe" in page


def test_the_cost_is_a_range_with_carbon_by_unmixed_factors(made, page):
    block = cost_block(made)
    assert [line["name"] for line in block["lines"]] == ["At present: mains gas", "Heat pump"]
    assert " to £" in block["lines"][1]["pounds"]
    assert [row["factor_set"] for row in block["carbon"]] == ["SAP 10.2", "SAP 10.3"]
    assert "A range, not a promise" in page
    assert any(label == "Grant" and "£7,500" in words for label, words in block["facts"])


def test_factors_that_one_way_lacks_are_left_out():
    document = demo()
    document["records"]["survey"][0] |= {"present_fuel": "oil"}
    assert [row["factor_set"] for row in cost_block(inputs_of(document))["carbon"]] == ["SAP 10.2"]


def test_a_dearer_year_is_written_with_its_minus():
    document = demo()
    document["records"]["survey"][0] |= {"electricity_price_p_kwh": 60}
    facts = dict(cost_block(inputs_of(document))["facts"])
    assert facts["A year costs less by"].startswith("−£")
    assert facts["A year costs less by"].endswith("(minus: more)")


def test_findings_stand_in_their_own_chapters():
    document = demo(coil_m2=0.5, hygiene="none", unit_capacity_kw=20)
    document["records"]["survey"][0] |= {"electricity_price_p_kwh": None}
    found = inputs_of(document)

    def messages(chapter):
        return " ".join(row["message"] for row in chapters.finding_rows(found, chapter))

    assert "coil of 0.5 m²" in messages("water")
    assert "no weekly cycle" in messages("water")
    assert "its table gives" in messages("site")
    assert "No price of electricity" in messages("cost")
    rest = messages("rooms")
    assert "coil" not in rest
    assert "No price" not in rest
    # What the price says by the day of the quote stands there, not as a finding by the day of the visit.
    everything = len([item for item in found.assessment.findings if item.code != "grant_by_table"])
    assert sum(len(chapters.finding_rows(found, chapter)) for chapter in FINDING_CHAPTERS) == everything


def test_the_working_has_every_step(made, page):
    assert [heading for heading, _ in plant_working(made.assessment)] == [
        "Outdoor unit: Air to water, 8 kW class, invented",
        "Hot water",
        "Running cost and carbon",
    ]
    for _, steps in plant_working(made.assessment):
        for step in steps:
            assert f"{step.what}:" in page
            assert step.source


def test_tables_of_units_are_not_printed_cell_by_cell(page):
    assert "Coefficient of performance" not in page


def test_an_older_survey_has_no_empty_parts():
    document = small_house()
    found = inputs_of(document)
    page = words_of_page(file_html(found))
    assert "Units in question" not in page
    assert "How much hot water" not in page
    assert water_block(assess(read_document(document))) is None
