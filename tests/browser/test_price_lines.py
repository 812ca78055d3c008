"""A price drawn from the firm's articles: added, changed in the book, taken over at once; grouped, discounted, left to the household; the margin."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.book import empty_book, write_book
from tests.browser.hand import open_demo_house
from tests.browser.looking import look
from tests.support.chromium import Chromium
from tests.support.server import Server

VALVE = {
    "code": "V-1",
    "words": "Thermostatic valve and lockshield, invented",
    "selling_price": "41.50",
    "cost_price": "19.25",
    "vat": "energy_saving",
    "stands_for": "valve",
}
START = {
    "code": "C-1",
    "words": "Commissioning, invented",
    "selling_price": "480.00",
    "sold_by": "sum",
    "stands_for": "commissioning",
}
LARGE = {
    "code": "U-12",
    "words": "Outdoor unit of 12 kW, fitted, invented",
    "selling_price": "7900.00",
    "vat": "energy_saving",
    "stands_for": "unit",
    "for_unit": "Air to water, 12 kW class, invented",
}


def line_of(page: Page, words: str) -> int:
    """Return which line of the price has these words."""
    cells = page.get_by_label(re.compile(r"^What, line \d+$"))
    expect(cells.first).to_be_visible()
    return next(place for place, cell in enumerate(cells.all(), start=1) if words in cell.input_value())


def answer(group: Locator, label: str, value: str) -> None:
    box = group.get_by_label(re.compile(label))
    box.fill(value)
    box.press("Enter")


@pytest.mark.takes(seconds=40)
def test_lines_come_from_the_price_book_and_follow_it(laptop: Chromium, server: Server) -> None:
    laptop.start()
    page = laptop.page()
    empty_book(page, server)
    survey = open_demo_house(page, server.url)
    write_book(page, server, valve=VALVE, start=START, large=LARGE)
    page.goto(f"{server.url}/#/survey/{survey}/office/price")
    page.reload()
    page.get_by_text(re.compile("^The survey suggests")).click()
    add_all = page.get_by_role("button", name=re.compile(r"^Add all \d+ that have a price$"))
    expect(add_all).to_be_visible()
    expect(page.get_by_text("No article in the price book.").first).to_be_visible()
    look(page, "60-suggested-prices")
    before = page.get_by_label(re.compile(r"^What, line \d+$")).count()
    many = int(re.findall(r"\d+", add_all.inner_text())[0])
    add_all.click()
    expect(page.get_by_label(re.compile(r"^What, line \d+$"))).to_have_count(before + many)
    expect(add_all).to_have_count(0)

    # Another price in the book, and another unit: each line says so, and one tap takes all of them over.
    write_book(page, server, valve={"selling_price": "43.00"}, start={"selling_price": "495.00"})
    page.goto(f"{server.url}/#/survey/{survey}/office/design")
    choose_it = page.get_by_role("button", name=re.compile("^Choose .*12 kW"))
    choose_it.click()
    # What is chosen is kept before the page is opened anew.
    expect(choose_it).to_have_count(0)
    page.goto(f"{server.url}/#/survey/{survey}/office/price")
    page.reload()
    changed = page.get_by_role("group", name=re.compile("changed since it was drawn$"))
    expect(changed).to_have_count(many + 1)
    expect(changed.filter(has_text="£43.00").first).to_contain_text("Price: was £41.50, now £43.00")
    expect(changed.filter(has_text="12 kW")).to_contain_text("now £7,900.00")
    look(page, "61-changed-prices")
    page.get_by_role("button", name=f"Take over all {many + 1} changed lines").click()
    expect(changed).to_have_count(0)
    large = line_of(page, "12 kW, fitted")
    expect(page.get_by_label(f"One costs, £, line {large}", exact=True)).to_have_value("7900.00")
    expect(page.get_by_label(f"VAT, line {large}", exact=True)).to_have_value("0")

    # Group, discount, the household's choice, and the place among the lines.
    start = line_of(page, "Commissioning, invented")
    page.get_by_role("button", name=re.compile("^More of Commissioning, invented")).click()
    more = page.get_by_role("group", name="More of Commissioning, invented")
    answer(more, "^Group", "Heating system")
    expect(page.get_by_text("Group: Heating system")).to_be_visible()
    answer(more, "^Discount(?! in pounds)", "10")
    expect(page.get_by_text("Group: Heating system · 10 % off")).to_be_visible()
    more.get_by_role("button", name=re.compile("^Move up")).click()
    expect(page.get_by_label(f"What, line {start - 1}", exact=True)).to_have_value("Commissioning, invented")
    # 495.00 less 49.50.
    row = page.get_by_role("row").filter(has=page.get_by_label(f"What, line {start - 1}", exact=True))
    expect(row).to_contain_text("£445.50")
    look(page, "62-more-of-a-line")
    choose = more.get_by_role("group", name=re.compile("^The household may choose it"))
    choose.get_by_text("Yes", exact=True).click()
    chosen = page.get_by_role("region", name="If the household wants it")
    # With VAT at 20 %: 445.50 + 89.10.
    expect(chosen).to_contain_text("£534.60 with VAT, not in the sum")
    look(page, "63-household-chooses")
    chosen.get_by_role("button", name=re.compile("^They want it")).click()
    expect(chosen).to_have_count(0)

    # What is left over is shut until somebody opens it.
    assert "Left over" not in page.locator("body").inner_text()
    page.get_by_text("Margin, for the office only").click()
    left = page.get_by_role("row").filter(has_text="£23.75").first
    # 43.00 less 19.25.
    expect(left).to_be_visible()
    expect(left).to_contain_text("55.2")
    look(page, "64-margin")
    # The same on a phone: nothing lies over what can be tapped.
    for width in (390, 320):
        page.set_viewport_size({"width": width, "height": 844})
        look(page, f"65-price-{width}")
    page.get_by_text("Margin, for the office only").click()
    expect(left).to_have_count(0)
