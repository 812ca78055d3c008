"""A report of a house that does not close says 'so far' wherever it gives a figure of it, and what is missing; one that closes says nothing of it."""

from __future__ import annotations

from typing import Any

import pytest

from tests.office.conftest import file_html
from tests.support.houses import without
from wattwalk.demo.house import house
from wattwalk.engine import assess
from wattwalk.offers.quote import work_out
from wattwalk.office.chapters import gaps_chapter, rooms_chapter, site_chapter
from wattwalk.office.plant_chapters import unit_block, water_block
from wattwalk.office.quotation import context
from wattwalk.office.report_inputs import ReportInputs, gather
from wattwalk.office.site_chapters import circuit_block
from wattwalk.survey.document import read_document

from .conftest import FIRM, words_of_page


def inputs(document: dict[str, Any]) -> ReportInputs:
    return gather(read_document(document), firm=FIRM, version=1, made_on="2026-04-02")


@pytest.fixture(scope="module")
def closed() -> ReportInputs:
    return inputs(house())


@pytest.fixture(scope="module")
def still_open() -> ReportInputs:
    return inputs(without(house(), "surface", "surface-study-right"))


def test_page_one_says_so_far_beside_its_figures_and_what_is_missing(still_open: ReportInputs) -> None:
    page = context(still_open)
    figures = {item["words"]: item["figure"] for item in page["figures"]}
    assert any(words.endswith(", so far: 8 of 9 rooms") for words in figures)
    assert not any("left for you to pay" in words for words in figures)
    said = " ".join(page["sentences"])
    assert said.startswith(
        "The figures here are not final, so far: 8 of 9 rooms: sides are still missing of Study (5 of 6 sides)."
    )
    assert "Nothing can be said of Study yet." in said
    assert "Every room" not in said
    assert "The price is not complete" in said
    assert page["answers"]["yes"].startswith("This is not an offer to say yes to yet")


def test_of_a_house_that_closes_nothing_is_so_far(closed: ReportInputs) -> None:
    assert "so far" not in repr(context(closed)).lower()
    assert "so far" not in repr(rooms_chapter(closed)).lower()
    assert closed.quote.is_complete
    assert context(closed)["answers"]["yes"].startswith("To say yes")


def test_the_rooms_page_names_the_side_and_gives_no_verdict(still_open: ReportInputs) -> None:
    chapter = rooms_chapter(still_open)
    rows = {row["name"]: row for group in chapter["groups"] for row in group["rooms"]}
    assert (rows["Study"]["verdict"], rows["Study"]["state"], rows["Study"]["holes"], rows["Study"]["lowest"]) == (
        "so far: 5 of 6 sides",
        "not_known",
        "right side",
        "–",
    )
    assert rows["Landing"]["holes"] == ""
    assert chapter["so_far"] == "so far: 8 of 9 rooms"
    assert [item["message"] for item in chapter["findings"] if "does not close" in item["message"]]


def test_the_unit_is_not_held_against_a_part_of_the_house(still_open: ReportInputs, closed: ReportInputs) -> None:
    assert {unit["verdict"] for unit in unit_block(still_open.assessment)["units"]} == {"not known yet"}
    assert "so far: 8 of 9 rooms" in unit_block(still_open.assessment)["words"]
    assert "so far: 8 of 9 rooms" in site_chapter(still_open)["needs"]
    assert "covers the house" in {unit["verdict"] for unit in unit_block(closed.assessment)["units"]}


def test_the_gap_is_among_what_is_still_missing(still_open: ReportInputs) -> None:
    words = [item["words"] for group in gaps_chapter(still_open.gaps) for item in group["gaps"]]
    assert "Study: Right side, what is beyond it" in words


def test_the_quote_waits_for_the_room_by_code_and_record(still_open: ReportInputs, closed: ReportInputs) -> None:
    assert [(item.code, item.record) for item in still_open.quote.problems] == [("room_not_closed", "room/room-study")]
    assert still_open.quote.gross == closed.quote.gross
    assert not still_open.quote.is_complete


def test_a_missing_u_value_makes_it_a_quote_so_far_too() -> None:
    document = house()
    next(item for item in document["records"]["construction"] if item["id"] == "construction-loft").pop("look")
    survey = read_document(document)
    assert {item.code for item in work_out(survey, assess(survey).rooms, "2026-04-02").problems} == {"room_not_closed"}


def test_the_printed_pages_say_it_where_the_figures_stand(still_open: ReportInputs, closed: ReportInputs) -> None:
    words = words_of_page(file_html(still_open))
    assert "The room, so far: 5 of 6 sides" in words
    assert "Heat the unit is chosen for , so far: 8 of 9 rooms" in words
    assert "Not said yet: right side" in words
    assert "so far" not in words_of_page(file_html(closed)).lower()


#: What the house's load decides, as the printed pages head it.
HEADED = (
    "A year of heating with water of 50 °C at the design cold",
    "All heat of a year",
    "What would lower the flow temperature",
    "How the air was counted",
    "Units in question",
    "The chosen unit from cold to mild",
    "Heating water",
    "flow 50 °C",
    "Together",
    "Running cost and carbon",
    "Weather-compensation line",
    "A year of heating",
    "Hot water",
)


def test_every_part_of_the_report_that_the_load_decides_says_so_far(
    still_open: ReportInputs, closed: ReportInputs
) -> None:
    words, whole = (words_of_page(file_html(made)) for made in (still_open, closed))
    for heading in HEADED:
        assert f"{heading}, so far: 8 of 9 rooms" in words.replace(" , ", ", "), heading
        assert heading in whole
    line = still_open.assessment.compensation
    assert line is not None
    assert f"{line.words} (so far: 8 of 9 rooms)" in words
    chosen = still_open.assessment.plant.chosen
    assert chosen is not None
    assert f"Outdoor unit: {chosen.name}, so far: 8 of 9 rooms" in words
    water = water_block(still_open.assessment)
    assert water is not None
    facts = dict(water["facts"])
    assert facts["Output that serves heating and hot water"].endswith(", so far: 8 of 9 rooms")
    assert "so far" not in repr({name: value for name, value in facts.items() if not name.startswith("Output")})


def test_emitters_of_an_open_room_say_it_in_the_water_balance(still_open: ReportInputs) -> None:
    rows = circuit_block(still_open)["balance"]["rows"]
    assert {row["room"] for row in rows if row["room"].startswith("Study")} == {"Study, so far: 5 of 6 sides"}
    assert "Living room" in {row["room"] for row in rows}
