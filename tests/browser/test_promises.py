"""What the firm's quotations promise, written on the firm's page: payments that are not the whole are refused in words, and what stands is there again."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.ask import got
from tests.browser.hand import sign_in
from tests.browser.looking import look
from tests.support.chromium import Chromium
from tests.support.server import Server

pytestmark = pytest.mark.without_engine


def payment(page: Page, number: int, share: str, due: str) -> None:
    page.get_by_role("button", name="Add a payment").click()
    page.get_by_label(f"Share of payment {number}, %").fill(share)
    page.get_by_label(f"When payment {number} is due").fill(due)


@pytest.mark.parametrize("size", ["laptop", "phone"])
def test_payments_come_to_the_whole_before_they_are_kept(
    size: str, request: pytest.FixtureRequest, own_server: Server
) -> None:
    browser: Chromium = request.getfixturevalue(size)
    browser.start()
    page = browser.page()
    sign_in(page, own_server.url, "surveyor@demo.example", "walk-the-house")
    page.goto(f"{own_server.url}/#/office/firm")
    form = page.get_by_role("form", name="Quotations")
    form.get_by_label(re.compile("^A quotation holds for")).fill("30")
    form.get_by_label(re.compile("^Work usually begins after")).fill("6")
    payment(page, 1, "30", "With your yes")
    payment(page, 2, "60", "When the unit stands")
    form.get_by_label("The first one is a deposit").check()
    form.get_by_label("Never in the price").fill("Making good of plaster")
    expect(form.get_by_text("Together 90 % of 100 %.")).to_be_visible()
    save = form.get_by_role("button", name="Save for quotations")
    save.click()
    expect(form.get_by_role("alert").filter(has_text=re.compile(r"they add up to 90\s%"))).to_be_visible()
    kept = got(page, f"{own_server.url}/api/firm").json()
    assert (kept["valid_days"], kept["stages"]) == (None, []), "half of it was kept"
    look(page, f"57-promises-{size}")

    # What was typed is there after a look elsewhere.
    page.goto(f"{own_server.url}/#/office")
    expect(page.get_by_role("heading", name="Office")).to_be_visible()
    page.goto(f"{own_server.url}/#/office/firm")
    expect(form.get_by_label("Share of payment 2, %")).to_have_value("60")
    payment(page, 3, "10", "Once you have been shown how it runs")
    save.click()
    expect(form.get_by_role("status").filter(has_text=re.compile("^Saved at the office"))).to_be_visible()
    page.reload()
    expect(form.get_by_label("Share of payment 3, %")).to_have_value("10")
    expect(form.get_by_label("The first one is a deposit")).to_be_checked()
    stages = got(page, f"{own_server.url}/api/firm").json()["stages"]
    assert [(stage["percent"], stage["is_deposit"]) for stage in stages] == [("30", True), ("60", False), ("10", False)]
    form.get_by_role("button", name="Take away payment 2").click()
    expect(form.get_by_text("Together 40 % of 100 %.")).to_be_visible()
