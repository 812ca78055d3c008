"""No hole passes: a side taken away from a complete house is seen at once, found from the list of gaps, and said again with one tap."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

from tests.browser.hand import go_to, picture, sizes
from tests.browser.test_stops_on_the_walk import ENGINE_MS, SIZES, fetched, looked_at, quiet_house, station
from tests.support.chromium import Chromium
from tests.support.server import Server

SO_FAR = "so far: 5 of 6 sides"


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
    expect(foot).to_contain_text("so far: 8 of 9 rooms", timeout=ENGINE_MS)
    for name in ("Rooms", "Before you leave"):
        expect(station(page, name)).to_contain_text("1 gap")
        expect(station(page, name)).not_to_contain_text("Complete")
    go_to(page, "Rooms")
    expect(page.get_by_role("link", name=re.compile("Study"))).to_contain_text(SO_FAR)
    page.goto(f"{walk}/results")
    expect(page.get_by_role("region", name="The house")).to_contain_text("so far: 8 of 9 rooms")
    looked_at(page, "open-results")

    page.goto(f"{walk}/office/results")
    expect(page.get_by_role("region", name="The house")).to_contain_text("so far: 8 of 9 rooms")
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
