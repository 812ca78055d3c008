"""What changed between two versions: money, unit, rooms, dates, each with its reason, on paper and at the office."""

from __future__ import annotations

import copy
import json

import pytest

from tests.office.conftest import FIRM, words_of_page
from wattwalk.demo.house import house
from wattwalk.office.changes import changes, facts_of
from wattwalk.office.frozen import RenderRequest, freeze, thaw
from wattwalk.office.report import FILE, QUOTATION, paper_html
from wattwalk.office.report_inputs import ReportInputs, gather
from wattwalk.survey.document import read_document


def version(document: dict, number: int = 1, before: dict | None = None) -> ReportInputs:
    """Return the inputs of a version of a house."""
    return gather(read_document(document), firm=FIRM, version=number, made_on="2026-04-02", before=before)


@pytest.fixture(scope="module")
def first() -> dict:
    """The facts of the first version of the demo house, as JSON holds them."""
    return json.loads(json.dumps(facts_of(version(house()))))


def changed(first: dict, document: dict) -> dict[str, tuple[str, str, str]]:
    """Return what changed by what it is."""
    return {item.what: (item.before, item.now, item.reason) for item in changes(first, facts_of(version(document)))}


def test_nothing_changed_is_no_change(first):
    assert changed(first, house()) == {}


def test_money_says_which_line(first):
    document = house()
    line = next(item for item in document["records"]["price_line"] if item["what"].startswith("Boxing"))
    line["unit_price"] = "420.00"
    found = changed(first, document)
    assert set(found) == {"Left to pay"}
    assert found["Left to pay"] == (
        "£5,109.00",
        "£5,229.00",
        "Boxing and making good: £320.00 before, £420.00 now",
    )


def test_a_line_that_came_and_one_that_went(first):
    document = house()
    lines = document["records"]["price_line"]
    lines[:] = [item for item in lines if not item["what"].startswith("Boxing")]
    lines.append({"id": "new-line", "what": "A drain", "quantity": 1, "unit_price": "50.00", "vat_rate": "0"})
    reason = changed(first, document)["Left to pay"][2]
    assert "New: A drain (£50.00)" in reason
    assert "no longer in it: Boxing and making good" in reason


def test_another_unit_and_another_flow(first):
    document = house()
    design = document["records"]["design"][0]
    other = next(item for item in document["records"]["unit"] if item["id"] != design["unit"])
    design["unit"], design["flow_temperature_c"] = other["id"], 45
    found = changed(first, document)
    assert found["Outdoor unit"][1] == other["name"]
    assert found["Water on the coldest day"][:2] == ("50\N{NO-BREAK SPACE}°C", "45\N{NO-BREAK SPACE}°C")
    # A room that the cooler water leaves short says so, and why.
    assert any(
        "the water is 45" in reason.replace("\N{NO-BREAK SPACE}", " ").lower() for _, _, reason in found.values()
    )


def test_dates_of_works_and_of_the_start(first):
    document = house()
    document["records"]["design"][0]["earliest_start"] = "2026-06-01"
    document["records"]["scope_item"][0]["needed_by"] = "2026-05-04"
    found = changed(first, document)
    assert found["Work could begin on"] == ("no date", "1 June 2026", "Set by the office")
    what = document["records"]["scope_item"][0]["what"]
    assert found[what] == ("17 April 2026", "4 May 2026", "The work was put on another day")


def test_a_later_version_opens_with_it_and_a_first_one_does_not(first):
    document = copy.deepcopy(house())
    document["records"]["design"][0]["earliest_start"] = "2026-06-01"
    second = version(document, 2, first)
    for name in (QUOTATION, FILE):
        words = words_of_page(paper_html(second, name))
        assert "What changed since version 1" in words
        assert "1 June 2026" in words
        assert "What changed since" not in words_of_page(paper_html(version(document), name))
    page = words_of_page(paper_html(second, QUOTATION))
    assert page.index("What changed since") < page.index("The answer", page.index("A heat pump for your home"))


def test_what_was_frozen_brings_the_version_before_along_and_what_was_frozen_without_is_read(first):
    survey = read_document(house())
    given = {"revision": 3, "firm": FIRM, "photos": (), "with_checks": False}
    second = thaw(RenderRequest(freeze(survey, **given, before=first), 2, "2026-04-09", {}))
    assert second.before == first
    assert thaw(RenderRequest(freeze(survey, **given), 1, "2026-04-02", {})).before is None
