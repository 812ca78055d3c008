"""Before a version is made, and a price line whose source has changed: on a phone and on a laptop, in both themes."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

from tests.browser.book import empty_book
from tests.browser.hand import open_demo_house
from tests.browser.looking import look
from tests.browser.reasons import make_version
from tests.support.chromium import Chromium
from tests.support.reasons import WRITTEN
from tests.support.server import Server


@pytest.mark.takes(seconds=30)
@pytest.mark.parametrize("size", ["laptop", "phone"])
def test_a_red_point_wants_a_reason_and_a_changed_line_is_settled(
    size: str, request: pytest.FixtureRequest, server: Server
) -> None:
    browser: Chromium = request.getfixturevalue(size)
    browser.start()
    page = browser.page()
    # What the price book has no article for is priced by hand.
    empty_book(page, server)
    survey = open_demo_house(page, server.url)
    # The other unit: the price line says what it was and what it is.
    page.goto(f"{server.url}/#/survey/{survey}/office/design")
    large = "12 kW" if size == "laptop" else "5 kW"
    page.get_by_role("button", name=re.compile(f"^Choose .*{large}")).click()
    page.goto(f"{server.url}/#/survey/{survey}/office/price")
    changed = page.get_by_role("group", name=re.compile("changed since it was drawn$"))
    expect(changed).to_contain_text(large)
    look(page, f"50-changed-line-{size}")

    page.goto(f"{server.url}/#/survey/{survey}/office/reports")
    expect(page.get_by_text("A price line is of something that has changed", exact=True)).to_be_visible()
    make = page.get_by_role("button", name=re.compile("^Make version "))
    expect(make).to_be_disabled()
    look(page, f"51-points-{size}")

    page.goto(f"{server.url}/#/survey/{survey}/office/price")
    changed.get_by_role("button", name="Take it over").click()
    expect(changed).to_have_count(0)
    what = page.get_by_label(re.compile("^What, line 1$"))
    expect(what).to_have_value(re.compile(large))
    price = page.get_by_label(re.compile("^One costs, £, line 1$"))
    expect(price).to_have_value("")
    price.fill("5480")
    price.press("Enter")

    page.goto(f"{server.url}/#/survey/{survey}/office/reports")
    expect(page.get_by_text("A price line is of something that has changed", exact=True)).to_have_count(
        0,
    )
    number, reasons = make_version(page)
    assert reasons > 0
    # A version is four papers of the whole demo house.
    expect(page.get_by_role("link", name=f"Quotation, version {number}")).to_be_visible()
    page.get_by_text(re.compile(f"^Version {number} was made with")).click()
    expect(page.get_by_text(WRITTEN).first).to_be_visible()
    look(page, f"52-reasons-{size}")
