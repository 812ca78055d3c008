"""The arrow leads back to where one came from: to the place that names a unit, to the record whose history was looked at, to a row of the results."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.hand import back, go_to, open_demo_house, sign_in, unfold
from tests.browser.held import held
from tests.support.chromium import Chromium
from tests.support.server import Server

pytestmark = pytest.mark.without_engine


def test_from_a_unit_to_the_place_it_was_entered_at(phone: Chromium, server: Server) -> None:
    phone.start(viewport={"width": 390, "height": 844})
    page = phone.page()
    sign_in(page, server.url, "surveyor@demo.example", "walk-the-house")
    page.get_by_role("button", name="New survey").click()
    go_to(page, "Outside")
    page.get_by_role("button", name="Add a place for the unit").click()
    unit = page.get_by_role("region", name="The unit")
    unit.get_by_role("button", name="Enter a unit for this place").click()
    expect(unfold(page, "width_mm")).to_be_visible()
    back(page)
    expect(unfold(page, "wall_faced")).to_be_visible()
    # And so by the row that names it.
    unit.get_by_role("link", name=re.compile("^The unit")).click()
    expect(unfold(page, "width_mm")).to_be_visible()
    back(page)
    expect(unfold(page, "wall_faced")).to_be_visible()


def supply_before(phone: Chromium, server: Server) -> Page:
    """The history of the demo's supply, reached from its record."""
    phone.start(viewport={"width": 390, "height": 844})
    page = phone.page()
    survey = open_demo_house(page, server.url)
    supply = next(key.split("/")[1] for key in held(page, survey) if key.startswith("supply/"))
    page.goto(f"{server.url}/#/survey/{survey}/record/supply/{supply}")
    page.get_by_role("link", name="What it was before").click()
    return page


def test_from_what_it_was_before_to_the_record(phone: Chromium, server: Server) -> None:
    page = supply_before(phone, server)
    expect(page.get_by_role("heading", level=1, name=re.compile("Thimbleworth"))).to_be_visible()
    back(page)
    expect(page.get_by_role("heading", level=1, name="Electricity supply")).to_be_visible()


def test_a_history_that_is_narrowed_still_leads_to_the_record(phone: Chromium, server: Server) -> None:
    page = supply_before(phone, server)
    # To one answer, to the whole survey, and to another record by the list.
    page.get_by_role("table", name="Changes").get_by_role("link").first.click()
    page.get_by_role("link", name="The whole survey").click()
    expect(page.get_by_label("Of what")).to_have_value("")
    page.get_by_label("Of what").select_option(index=2)
    expect(page.get_by_label("Of what")).not_to_have_value("")
    back(page)
    expect(page.get_by_role("heading", level=1, name="Electricity supply")).to_be_visible()


def test_from_a_finding_of_the_results_to_its_row_where_it_was_left(phone: Chromium, server: Server) -> None:
    phone.start(viewport={"width": 390, "height": 844})
    page = phone.page()
    survey = open_demo_house(page, server.url)
    page.goto(f"{server.url}/#/survey/{survey}/results")
    # The last of them lies many screens down, in a part of the page that has its turn late.
    row = page.locator("main .findings a.finding").last
    row.scroll_into_view_if_needed()
    scrolled = page.evaluate("() => document.scrollingElement.scrollTop")
    assert scrolled > 844
    target = row.get_attribute("href")
    row.click()
    expect(page.get_by_role("heading", level=1, name="Results")).to_have_count(0)
    back(page)
    expect(page.locator(f'main .findings a[href="{target}"]').last).to_be_focused()
    assert page.evaluate("() => document.scrollingElement.scrollTop") == pytest.approx(scrolled, abs=2)
