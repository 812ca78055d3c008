"""Options side by side, on a phone without signal and on a laptop, in both themes."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

from tests.browser.book import empty_book
from tests.browser.hand import open_demo_house
from tests.browser.looking import look
from tests.support.chromium import Chromium
from tests.support.server import Server


@pytest.mark.takes(seconds=30)
@pytest.mark.parametrize("size", ["laptop", "phone"])
def test_an_option_moves_its_own_column_and_not_the_survey(
    size: str, request: pytest.FixtureRequest, own_server: Server
) -> None:
    browser: Chromium = request.getfixturevalue(size)
    browser.start()
    page = browser.page()
    # What the price book has no article for is priced by hand.
    empty_book(page, own_server)
    survey = open_demo_house(page, own_server.url)
    page.goto(f"{own_server.url}/#/survey/{survey}/office/options")
    page.get_by_role("button", name="New option").click()
    table = page.get_by_role("region", name="Options side by side")
    expect(table.get_by_role("columnheader")).to_have_count(3)
    if size == "phone":
        page.context.set_offline(True)
    expect(page.get_by_text(re.compile("changes nothing: it is the survey as it stands"))).to_be_visible()
    flow = table.get_by_role("row", name=re.compile("^Flow temperature"))
    before = flow.get_by_role("cell").all_inner_texts()
    assert before[0] == before[1]

    field = page.get_by_label(re.compile("^Flow temperature at the design cold"))
    field.fill("35")
    field.press("Enter")
    expect(flow.get_by_role("cell").nth(1)).to_contain_text("35")
    expect(flow.get_by_role("cell").nth(1)).to_contain_text("≠")
    expect(flow.get_by_role("cell").nth(0)).to_have_text(before[0])
    expect(table.get_by_role("row", name=re.compile("^Rooms left cold")).get_by_role("cell").nth(1)).to_contain_text(
        "≠"
    )
    unit = page.get_by_label(re.compile("^Outdoor unit, from those in question"))
    unit.select_option(label="Air to water, 12 kW class, invented")
    price = table.get_by_role("row", name=re.compile("^Price with VAT"))
    expect(price.get_by_role("cell").nth(1)).to_contain_text("1 open")
    page.get_by_role("button", name="Take it over").click()
    page.locator("summary").filter(has_text=re.compile("^Price$")).click()
    line = page.locator("details.option-record").filter(has=page.locator("summary", has_text="12 kW class, invented"))
    line.locator("summary").click()
    cost = line.get_by_label(re.compile("^Price of one, without VAT"))
    cost.fill("5480")
    cost.press("Enter")
    expect(price.get_by_role("cell").nth(1)).not_to_contain_text("open")
    expect(price.get_by_role("cell").nth(1)).to_contain_text("≠")
    page.get_by_role("button", name="Offer this one").click()
    expect(page.get_by_text("This one is offered")).to_be_visible()
    # Both columns are in view, on a phone too.
    assert table.evaluate("region => region.scrollWidth - region.clientWidth") <= 0
    look(page, f"53-options-{size}")
    # The survey stays as it was found.
    page.goto(f"{own_server.url}/#/survey/{survey}/office/design")
    expect(page.get_by_text("this page is of the survey as it stands")).to_be_visible()
    expect(page.get_by_label(re.compile("^Flow temperature at the design cold"))).to_have_value("50")


@pytest.mark.takes(seconds=40)
@pytest.mark.parametrize("size", ["laptop", "phone"])
def test_an_option_has_a_radiator_of_its_own_and_says_when_the_surveys_is_taken_away(
    size: str, request: pytest.FixtureRequest, own_server: Server
) -> None:
    browser: Chromium = request.getfixturevalue(size)
    browser.start()
    page = browser.page()
    survey = open_demo_house(page, own_server.url)
    page.goto(f"{own_server.url}/#/survey/{survey}/office/options")
    table = page.get_by_role("region", name="Options side by side")
    for columns in (3, 4):
        page.get_by_role("button", name="New option").click()
        expect(table.get_by_role("columnheader")).to_have_count(columns)
    if size == "phone":
        page.context.set_offline(True)
    page.get_by_role("group", name="Which option is changed below").get_by_role("button", name="A").click()
    page.locator("summary").filter(has_text="Radiators and floors").click()
    # The survey's own stands before the option's.
    study = page.locator("details.option-record").filter(has=page.locator("summary", has_text="Study: Double")).first
    study.locator("summary").click()
    study.get_by_role("button", name=re.compile("^Put another in its place")).click()
    own = page.locator("details.option-record").filter(has=page.locator("summary", has_text="only in this option"))
    expect(own).to_have_attribute("open", "")
    length = own.get_by_label(re.compile("^Length"))
    expect(length).to_have_value("1200")
    length.fill("1800")
    length.press("Enter")
    told = page.get_by_role("region", name="What it has otherwise")
    expect(told.get_by_text(re.compile("only here .*1,800"))).to_be_visible()
    # It is not priced before a line is drawn for it, and that line is this option's alone.
    price = table.get_by_role("row", name=re.compile("^Price with VAT")).get_by_role("cell")
    expect(price.nth(1)).to_contain_text("open")
    expect(price.nth(2)).not_to_contain_text("open")
    page.get_by_role("button", name="Add all 2 that have a price").click()
    expect(
        told.get_by_role("listitem").filter(has_text="Radiator type 22, 600 x 1800 mm in Study: only here")
    ).to_be_visible()
    look(page, f"54-own-radiator-{size}")

    # The survey's own radiator goes: both options that had changed it say so.
    page.get_by_role("group", name="Which option is changed below").get_by_role("button", name="B").click()
    page.locator("summary").filter(has_text="Radiators and floors").click()
    study.locator("summary").click()
    width = study.get_by_label(re.compile("^Length"))
    width.fill("800")
    width.press("Enter")
    expect(told.get_by_text(re.compile("800"))).to_be_visible()
    page.goto(f"{own_server.url}/#/survey/{survey}/record/emitter/emitter-study-new")
    page.get_by_role("button", name="Take away this emitter").click()
    page.get_by_role("button", name="Take it away").click()
    # What was taken away leads back by itself, once it is stored.
    expect(page).not_to_have_url(re.compile("/record/emitter/emitter-study-new"))
    page.goto(f"{own_server.url}/#/survey/{survey}/office/options")
    tabs = page.get_by_role("group", name="Which option is changed below")
    gone = page.get_by_text(re.compile("which is no longer in the survey; that part of it counts for nothing"))
    for name in ("A", "B"):
        tabs.get_by_role("button", name=name).click()
        expect(gone).to_be_visible()
    page.get_by_role("button", name="Take that part out of this option").click()
    expect(gone).to_have_count(0)
    tabs.get_by_role("button", name="A").click()
    expect(gone).to_be_visible()
