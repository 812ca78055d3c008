"""The office at its laptop: the list, what came in twice or wrong, the price, a report and its email, and a server that goes away."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, Route, expect
from uuid_utils import uuid7

from tests.browser.ask import got
from tests.browser.axe import violations
from tests.browser.book import empty_book
from tests.browser.hand import open_demo_house, picture
from tests.browser.reasons import make_version
from tests.support.chromium import Chromium
from tests.support.server import Server
from tests.support.until import wait_until

PARTS = ("results", "came", "history", "design", "methods", "works", "price", "reports")
TELEPHONE = "01632 960001"  # of the range kept free for drama


def ask(page: Page, server: Server, path: str) -> dict[str, Any]:
    """Return what the office says of a survey."""
    response = got(page, f"{server.url}/api/surveys/{path}")
    assert response.ok, response.text()
    return response.json()


def push_from_a_tablet(page: Page, server: Server, survey: str, *changes: dict[str, Any]) -> list[dict[str, Any]]:
    """Send changes as a device that has seen nothing of the survey yet."""
    made = [{"id": str(uuid7()), "seen": 0, "made_at": "2026-03-31T14:05:00Z", **change} for change in changes]
    response = page.context.request.post(
        f"{server.url}/api/surveys/{survey}/changes", data={"device": "tablet", "app": "0.1.0", "changes": made}
    )
    assert response.ok, response.text()
    return response.json()["results"]


def test_a_busy_office_is_asked_again_by_itself(laptop: Chromium, server: Server) -> None:
    laptop.start()
    page = laptop.page()
    survey = open_demo_house(page, server.url)
    expect(page.get_by_role("status").filter(has_text=re.compile("^At the office"))).to_be_visible()
    turned_away = []

    def busy(route: Route) -> None:
        # More often than the loop of the exchanges, which looks once a minute, would make good by its own next look.
        if len(turned_away) == 3:
            route.continue_()
            return
        turned_away.append(route.request.url)
        body = {"code": "office_busy", "message": "The office is busy.", "field": None, "record": None}
        route.fulfill(status=503, headers={"Retry-After": "2"}, json=body)

    page.route(f"**/api/surveys/{survey}?brief=1", busy)
    go_to_part(page, server, survey, "came")
    expect(page.get_by_text("The office is busy. It is asked again by itself.")).to_be_visible()
    expect(page.get_by_text("The office is busy")).to_have_count(0)
    assert len(turned_away) == 3
    page.unroute(f"**/api/surveys/{survey}?brief=1")


def go_to_part(page: Page, server: Server, survey: str, part: str) -> None:
    page.goto(f"{server.url}/#/survey/{survey}/office/{part}")


@pytest.mark.takes(seconds=20)
def test_the_office_decides_prices_and_sends(laptop: Chromium, server: Server) -> None:
    laptop.start()
    page = laptop.page()
    # What the price book has no article for is priced by hand.
    empty_book(page, server)
    survey = open_demo_house(page, server.url)
    view = ask(page, server, survey)
    house, room = view["records"]["survey"][0]["id"], view["records"]["room"][0]["id"]
    results = push_from_a_tablet(
        page,
        server,
        survey,
        {"kind": "survey", "record": house, "field": "contact_phone", "value": TELEPHONE},
        {"kind": "room", "record": room, "field": "length_m", "value": 4000},
    )
    assert [(item["status"], item["contested"]) for item in results] == [("accepted", True), ("refused", False)]

    page.goto(f"{server.url}/#/office")
    row = page.get_by_role("row").filter(has_text="Thimbleworth")
    expect(row.get_by_text("1 answered twice")).to_be_visible()
    expect(row.get_by_text("1 refused")).to_be_visible()
    expect(row.get_by_text("Report version 1")).to_be_visible()
    picture(page, "30-office-list")

    no_report_while_contested(page, server, survey)
    pick_what_stands(page, server, survey)
    change_the_price(page, server, survey)
    take_a_suggestion(page, server, survey)
    make_and_send(page, server, survey)


def no_report_while_contested(page: Page, server: Server, survey: str) -> None:
    go_to_part(page, server, survey, "reports")
    expect(page.get_by_text("No report can be made")).to_be_visible()
    expect(page.get_by_role("alert").get_by_text("Telephone")).to_be_visible()
    expect(page.get_by_role("button", name="Make version 2")).to_have_count(0)
    page.get_by_role("link", name="Pick which stands").click()


def pick_what_stands(page: Page, server: Server, survey: str) -> None:
    # An office that is busy is asked again by itself, and says so meanwhile.
    expect(page.get_by_text("Typed: 4000 m")).to_be_visible()
    picture(page, "31-office-contested")
    page.get_by_role("group", name=re.compile("Telephone")).get_by_role("button", name=re.compile(TELEPHONE)).click()
    expect(page.get_by_role("heading", name="Answered twice")).to_have_count(0)
    expect(page.get_by_role("status").filter(has_text=re.compile("^At the office"))).to_be_visible()
    # The line may still be that of the exchange before.
    wait_until(lambda: not ask(page, server, survey)["contested"], "what was picked does not reach the office", page)
    view = ask(page, server, survey)
    assert view["records"]["survey"][0]["contact_phone"] == TELEPHONE
    assert len(view["refused"]) == 1


def change_the_price(page: Page, server: Server, survey: str) -> None:
    go_to_part(page, server, survey, "price")
    before = float(ask(page, server, f"{survey}/quote")["to_pay"])
    line = next(item for item in ask(page, server, survey)["records"]["price_line"] if item["what"] == "Fitting")
    quantity = page.locator(f"#line-{line['id']}").get_by_label(re.compile("^Quantity"))
    quantity.fill("some")
    quantity.press("Enter")
    expect(page.get_by_text("Not saved: Quantity: 'some' is not a number.")).to_be_visible()
    expect(quantity).to_have_value("some")
    quantity.fill(f"{line['quantity'] + 1:g}")
    quantity.press("Enter")
    # Whoever leaves before the office has answered sees no price of before.
    go_to_part(page, server, survey, "works")
    beside = page.get_by_role("navigation").get_by_role("link", name=re.compile("^Price"))
    expect(beside).to_be_visible()
    expect(beside).not_to_contain_text(f"£{before:,.2f}")
    go_to_part(page, server, survey, "price")
    after = before + float(line["unit_price"]) * (1 + int(line["vat_rate"]) / 100)
    expect(page.locator(".price-to-pay")).to_contain_text(f"£{after:,.2f}")
    assert float(ask(page, server, f"{survey}/quote")["to_pay"]) == pytest.approx(after, abs=0.005)


def take_a_suggestion(page: Page, server: Server, survey: str) -> None:
    suggested = ask(page, server, f"{survey}/assessment")["suggestions"]["lines"]
    page.get_by_text(re.compile("^The survey suggests")).click()
    page.get_by_role("button", name=f"Add it: {suggested[0]['what']}").click()
    expect(page.get_by_role("button", name=f"Add it: {suggested[0]['what']}")).to_have_count(0)
    expect(page.get_by_text("Before the quote can go out:")).to_be_visible()
    made = [
        item
        for item in ask(page, server, survey)["records"]["price_line"]
        if item.get("drawn_from") == suggested[0]["drawn_from"]
    ]
    assert [(item["what"], "unit_price" in item) for item in made] == [(suggested[0]["what"], False)]
    place = page.locator(f"#line-{made[0]['id']}")
    place.get_by_role("button", name=re.compile("^Take away")).click()
    page.get_by_role("button", name="Take it away").click()
    expect(page.get_by_text("Before the quote can go out:")).to_have_count(0)
    picture(page, "32-office-price")


def make_and_send(page: Page, server: Server, survey: str) -> None:
    go_to_part(page, server, survey, "reports")
    assert make_version(page)[0] == 2
    made = page.get_by_role("link", name="Quotation, version 2")
    expect(made).to_be_visible()
    pdf = got(page, f"{server.url}{made.get_attribute('href')}")
    assert pdf.body().startswith(b"%PDF-")
    page.get_by_label("To", exact=True).fill("not an address")
    page.get_by_role("button", name="Send version 2").click()
    expect(page.get_by_text(re.compile("^Not sent: "))).to_be_visible()
    page.get_by_label("To", exact=True).fill("household@test.example")
    page.get_by_role("button", name="Send version 2").click()
    expect(page.get_by_text(re.compile("Kept as a file because no mail server is set"))).to_be_visible()
    expect(page.get_by_role("button", name="Try to send it now")).to_be_visible()
    picture(page, "33-office-sent")
    assert [email["to"] for email in ask(page, server, f"{survey}/emails")["emails"]] == ["household@test.example"]


@pytest.mark.first_visit
def test_the_office_goes_on_without_its_server(laptop: Chromium, tmp_path: Path, demo_office: Path) -> None:
    with Server(tmp_path, demo=True, begin_with=demo_office) as server:
        laptop.start()
        page = laptop.page()
        survey = open_demo_house(page, server.url)
        go_to_part(page, server, survey, "price")
        expect(page.locator(".price-to-pay")).to_contain_text("£")
        total = page.locator(".price-to-pay").inner_text()
        page.goto(f"{server.url}/#/office/firm")
        expect(page.get_by_label("Name", exact=True)).to_have_value("Thistledown Heating (demo)")
        server.stop()

        page.get_by_label("Telephone").fill(TELEPHONE)
        page.get_by_role("button", name="Save at the office").click()
        expect(page.get_by_text(re.compile("^Not saved: No answer from the office"))).to_be_visible()
        expect(page.get_by_label("Telephone")).to_have_value(TELEPHONE)

        go_to_part(page, server, survey, "price")
        expect(page.locator(".price-to-pay")).to_have_text(total)
        quantity = page.get_by_label("Quantity, line 1", exact=True)
        quantity.fill("2")
        quantity.press("Enter")
        expect(page.get_by_text("As they were before the last change.")).to_be_visible()
        page.goto(f"{server.url}/#/office")
        expect(
            page.get_by_text(re.compile("^No answer from the office: .* What is shown is the last that came")).first
        ).to_be_visible()
        expect(page.get_by_role("link", name=re.compile("Thimbleworth"))).to_be_visible()

        server.start()
        page.goto(f"{server.url}/#/office/firm")
        page.reload()
        expect(page.get_by_label("Telephone")).to_be_editable()
        page.get_by_label("Telephone").fill(TELEPHONE)
        page.get_by_role("button", name="Save at the office").click()
        expect(page.get_by_text(re.compile("^Saved at the office"))).to_be_visible()
        assert got(page, f"{server.url}/api/firm").json()["telephone"] == TELEPHONE
        expect(page.get_by_role("status").filter(has_text=re.compile("^At the office"))).to_be_visible()
        assert float(ask(page, server, f"{survey}/quote")["lines"][0]["quantity"]) == 2


@pytest.mark.takes(seconds=20)
@pytest.mark.parametrize("screen", ["phone", "laptop"])
def test_every_office_page_can_be_read_by_everybody(
    request: pytest.FixtureRequest, server: Server, screen: str
) -> None:
    browser: Chromium = request.getfixturevalue(screen)
    # Without motion a colour is never looked at on its way from one theme to the other.
    browser.start(color_scheme="light", reduced_motion="reduce")
    page = browser.page()
    survey = open_demo_house(page, server.url)
    addresses = [f"#/survey/{survey}/office/{part}" for part in PARTS] + ["#/office", "#/office/firm"]
    for address in addresses:
        page.goto(f"{server.url}/{address}")
        expect(page.get_by_role("heading", level=1)).to_be_visible()
        page.wait_for_load_state("networkidle")
        closed = page.locator("details:not([open]) > summary")
        # Each click takes one out of those that are closed.
        for _ in range(closed.count()):
            closed.first.click()
        for theme in ("light", "dark"):
            page.emulate_media(color_scheme=theme)
            assert violations(page) == [], f"{address}, {theme}"
        wide = page.evaluate("document.documentElement.scrollWidth")
        assert wide <= page.viewport_size["width"], f"{address} is {wide} px wide"
