"""The chapter on the water temperature and the year, and the check book's summary on the last page."""

from __future__ import annotations

import pytest

from tests.office.conftest import file_html, the_file
from tests.support.houses import changed, small_house, with_records, without
from wattwalk.checks.book import cases
from wattwalk.engine import assess
from wattwalk.office.report import gather
from wattwalk.office.season import season_chapter
from wattwalk.survey.document import read_document


def inputs(document, **more):
    return gather(read_document(document), firm={"name": "Invented Heating"}, version=1, made_on="2026-04-02", **more)


@pytest.fixture(scope="module")
def full():
    """A house with a radiator that could be bigger, a heated floor, and a price of electricity."""
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
    )
    document = changed(document, "survey", "s", electricity_price_p_kwh=25.4, bedrooms=2)
    document = with_records(
        without(document, "emitter", "small"),
        "emitter",
        {"id": "warm", "room": "hall", "type": "underfloor", "heated_area_m2": 6, "covering": "tile"},
    )
    return with_records(document, "design", {"id": "d", "flow_temperature_c": 50})


def test_every_part_is_printed_from_the_assessment(full):
    given = inputs(full)
    html, assessment = file_html(given), assess(read_document(full))
    for words in (
        "Water temperature and the year",
        "What would lower the flow temperature",
        "One after the other",
        "Each by itself",
        "Heated floors",
        "How the air was counted",
    ):
        assert words in html
    assert assessment.compensation.words in html
    assert assessment.improvements.words in html
    assert assessment.improvements.in_turn[0].what in html
    # A year costs one range, in its own chapter: no other sum of money for a year stands beside it.
    assert "Cost at" not in html
    for item in assessment.ventilation:
        assert item.label in html


def test_the_figures_are_those_of_the_engine(full):
    chapter, assessment = season_chapter(inputs(full)), assess(read_document(full))
    assert [float(item["flow"]) for item in chapter["in_turn"]] == [
        pytest.approx(item.lowest_flow_c, abs=0.1) for item in assessment.improvements.in_turn
    ]
    assert chapter["floors"][0]["loops"] == str(assessment.rooms[1].emitters[0].floor.loops)
    assert [item["used"] for item in chapter["air"]] == ["used here", "", "", ""]
    assert {item["room"] for item in chapter["replacements"]} == {
        room.name for room in assessment.rooms if room.replacements
    }


def test_the_working_pages_hold_the_bins_and_the_steps(full):
    html = file_html(inputs(full))
    assert "Hours a year" in html
    assert "Leakage built up from what is seen" in html
    assert "Seasonal efficiency" in html


def test_what_cannot_be_said_is_left_out_and_no_chapter_vanishes():
    bare = without(without(small_house(), "emitter", "small"), "emitter", "radiator")
    html = file_html(inputs(bare))
    assert "What would lower the flow temperature" not in html
    assert "How the air was counted" in html
    empty = {"format": "wattwalk-survey", "version": 1, "id": "empty", "records": {}}
    empty_page = file_html(inputs(empty))
    for said in (
        "Nothing can be said of the water’s temperature and of a year of heating yet",
        "What a year costs cannot be said yet",
        "No photo has been taken yet.",
    ):
        assert said in empty_page


def test_the_check_book_is_summed_up_only_when_asked(full):
    assert "How the program itself is checked" not in file_html(inputs(full))
    html = file_html(inputs(full, with_checks=True))
    assert "How the program itself is checked" in html
    given = inputs(full, with_checks=True)
    assert sum(every for _, every, _ in given.checks) == len(cases())
    for words, every, met in given.checks:
        assert f'<th scope="row">{words.capitalize()}</th><td>{met} of {every}</td>' in html


def test_it_still_makes_a_pdf(full):
    assert the_file(inputs(full, with_checks=True)).startswith(b"%PDF")
