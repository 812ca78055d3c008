"""No hole passes: a side taken away from a complete house is seen at once, found from the list of gaps, and said again with one tap."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.hand import go_to, picture, sizes
from tests.browser.test_stops_on_the_walk import ENGINE_MS, SIZES, fetched, looked_at, quiet_house, station
from tests.support.chromium import Chromium
from tests.support.server import Server

SO_FAR, HOUSE_SO_FAR = "so far: 5 of 6 sides", "so far: 8 of 9 rooms"
#: What hangs on the house's load, by the name of its region: on the phone's results, behind a tap there, and on the office's page.
ON_THE_PHONE = (
    "The house",
    "What the unit must carry",
    "Unit, hot water and cost",
    "What would lower the flow temperature",
    "Weather compensation",
    "What the year’s heat is made of",
    "How the air was counted",
)
BEHIND_A_TAP = ("The chosen unit", "Hot water worked out", "Running cost and carbon")
AT_THE_OFFICE = (
    *(name for name in ON_THE_PHONE if name != "Unit, hot water and cost"),
    *BEHIND_A_TAP,
    "Water in the circuit",
    "Water of each emitter",
)
#: The drawings of it, as they stand in a page: what would lower the flow, the line to set, the cost, the heating water.
DRAWN = 'img[src*="So%20far%3A%208%20of%209%20rooms"]'


def region(page: Page, name: str) -> Locator:
    """Return a part of a page by its name, which the words may stand in themselves."""
    return page.get_by_role("region", name=re.compile(f"^{re.escape(name)}"))


def all_say_so_far(page: Page, names: tuple[str, ...]) -> None:
    for name in names:
        expect(region(page, name).first).to_contain_text(HOUSE_SO_FAR)


@pytest.fixture(scope="module")
def server(server: Server) -> Server:
    server.take_in(quiet_house())
    return server


def test_complete_goes_with_one_side_and_the_gap_leads_to_it(phone: Chromium, server: Server) -> None:
    page = fetched(phone, server, "Quince")
    foot = page.get_by_role("contentinfo")
    expect(foot).to_contain_text("live on this phone", timeout=ENGINE_MS)
    expect(station(page, "Rooms")).to_contain_text("Complete")
    expect(foot).not_to_contain_text("so far")
    walk = page.url

    page.goto(f"{walk}/record/surface/surface-study-right")
    page.get_by_role("button", name="Take away this surface").click()
    page.get_by_role("button", name="Take it away").click()
    page.goto(f"{walk}/record/room/room-study")
    expect(foot).to_contain_text(SO_FAR, timeout=ENGINE_MS)
    expect(foot).to_contain_text("Not known yet")
    for words in ("Enough", "Too small"):
        expect(foot).not_to_contain_text(words)
    looked_at(page, "open-room")

    page.goto(walk)
    expect(foot.get_by_text(HOUSE_SO_FAR)).to_have_count(2, timeout=ENGINE_MS)
    for name in ("Rooms", "Before you leave"):
        expect(station(page, name)).to_contain_text("1 gap")
        expect(station(page, name)).not_to_contain_text("Complete")
    go_to(page, "Rooms")
    expect(page.get_by_role("link", name=re.compile("Study"))).to_contain_text(SO_FAR)
    page.goto(f"{walk}/results")
    all_say_so_far(page, ON_THE_PHONE)
    for summary in ("Units in question", "Hot water in full", "Running cost and carbon in full"):
        page.get_by_text(summary).click()
    all_say_so_far(page, BEHIND_A_TAP)
    expect(page.locator(DRAWN)).to_have_count(4)
    looked_at(page, "open-results")

    page.goto(f"{walk}/office/results")
    all_say_so_far(page, AT_THE_OFFICE)
    expect(page.locator(DRAWN)).to_have_count(4)
    expect(page.get_by_role("row", name=re.compile("Study")).first).to_contain_text(SO_FAR)
    page.set_viewport_size({"width": 1280, "height": 900})
    picture(page, "open-office")
    page.set_viewport_size(SIZES[0])

    page.goto(walk)
    go_to(page, "Before you leave")
    page.get_by_role("link", name=re.compile("Study: Right side, what is beyond it")).click()
    side = page.get_by_role("region", name="Right side")
    expect(side).to_be_visible()
    side.get_by_role("button", name="Nothing worth counting").click()
    expect(foot).not_to_contain_text("so far", timeout=ENGINE_MS)
    page.goto(walk)
    expect(station(page, "Rooms")).to_contain_text("Complete", timeout=ENGINE_MS)
    expect(station(page, "Before you leave")).to_contain_text("Complete")
    for whole in ("results", "office/results"):
        page.goto(f"{walk}/{whole}")
        expect(region(page, "What the year’s heat is made of")).to_be_visible()
        expect(page.get_by_text("so far:")).to_have_count(0)
        expect(page.locator('img[src*="o%20far%3A"]')).to_have_count(0)


def test_a_room_of_one_side_says_so_as_it_is_entered(phone: Chromium, server: Server) -> None:
    page = fetched(phone, server, "Quince")
    walk = page.url
    go_to(page, "Rooms")
    page.get_by_role("button", name="New room").click()
    page.get_by_role("button", name="Store", exact=True).click()
    sizes(page, "Length × width × height", "3 3 2.4")
    page.get_by_role("region", name="Front side").get_by_role("button", name="Outside", exact=True).click()
    foot = page.get_by_role("contentinfo")
    expect(foot).to_contain_text("so far: 1 of 6 sides", timeout=ENGINE_MS)
    page.goto(walk)
    expect(station(page, "Rooms")).not_to_contain_text("Complete")
