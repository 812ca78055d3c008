"""The plan of each storey on the phone and at the office: it grows with the rooms, a tap opens one, what is not settled is one tap away."""

from __future__ import annotations

import copy
import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.hand import go_to, picture, sign_in
from tests.browser.test_stops_on_the_walk import ENGINE_MS, fetched, looked_at, quiet_house
from tests.support.chromium import Chromium
from tests.support.server import Server
from tests.support.shapes import MID_TERRACE
from tests.support.told_rooms import told


def turned_house() -> dict:
    """The rooms of a terrace, faced from different sides, of which several layouts fit."""
    document, _ = told(MID_TERRACE, 0)
    document = copy.deepcopy(document)
    document["records"]["survey"][0] |= {"household_name": "Damson", "postcode": "LS40 0VK"}
    return {**document, "id": "turned-house"}


def wrong_house() -> dict:
    """The quiet house, but that one wall is told far too long."""
    document = quiet_house()
    document["records"]["survey"][0]["household_name"] = "Rowan"
    wall = next(item for item in document["records"]["surface"] if item["id"] == "surface-living-right-kitchen")
    wall["width_m"] = 2.4
    return {**document, "id": "wrong-house"}


@pytest.fixture(scope="module")
def server(server: Server) -> Server:
    for document in (quiet_house(), turned_house(), wrong_house()):
        server.take_in(document)
    return server


def plan(page: Page, storey: str):
    return page.get_by_role("region", name=f"Plan: {storey}")


def test_the_plans_stand_at_the_rooms_and_a_tap_opens_one(phone: Chromium, server: Server) -> None:
    page = fetched(phone, server, "Quince")
    go_to(page, "Rooms")
    for storey in ("Ground floor", "First floor"):
        expect(plan(page, storey)).to_contain_text("one layout fits", timeout=ENGINE_MS)
        expect(plan(page, storey).locator("img")).to_be_visible()
    looked_at(page, "plans")
    # What is tapped is where the room is drawn: the kitchen is at the right and at the back.
    taps = plan(page, "Ground floor").get_by_role("group", name="Ground floor: rooms to open")
    kitchen, living = (
        taps.get_by_role("button", name=f"Open {name}").bounding_box() for name in ("Kitchen", "Living room")
    )
    assert kitchen is not None
    assert living is not None
    assert kitchen["x"] >= living["x"] + living["width"] - 2
    assert kitchen["y"] > living["y"]
    page.mouse.click(kitchen["x"] + kitchen["width"] / 2, kitchen["y"] + kitchen["height"] / 2)
    expect(page.get_by_role("heading", name="Kitchen").first).to_be_visible()


def test_a_plan_is_no_proof_from_the_moment_that_a_side_is_taken_away(phone: Chromium, server: Server) -> None:
    page = fetched(phone, server, "Quince")
    walk = page.url
    go_to(page, "Rooms")
    expect(plan(page, "First floor")).to_contain_text("one layout fits", timeout=ENGINE_MS)
    page.goto(f"{walk}/record/surface/surface-study-right")
    page.get_by_role("button", name="Take away this surface").click()
    page.get_by_role("button", name="Take it away").click()
    # The app goes back to the room by itself, which would undo a page that is asked for before.
    expect(page.get_by_role("heading", name="Study", exact=True)).to_be_visible()
    page.goto(f"{walk}/stage/rooms")
    upper = plan(page, "First floor")
    expect(upper).to_contain_text("not enough said yet", timeout=ENGINE_MS)
    expect(upper).not_to_contain_text("one layout fits")
    upper.get_by_role("button", name="Say what is beyond the right side of Study.").click()
    expect(page.get_by_role("heading", name="Study").first).to_be_visible()


def test_what_is_not_settled_is_settled_in_one_tap(phone: Chromium, server: Server) -> None:
    page = fetched(phone, server, "Damson")
    go_to(page, "Rooms")
    ground = plan(page, "Ground floor")
    expect(ground).to_contain_text("several layouts fit", timeout=ENGINE_MS)
    expect(ground.get_by_role("group", name=re.compile("^Which way does the front side"))).to_be_visible()
    looked_at(page, "plan-of-several")
    ground.get_by_role("button", name="All rooms lie as drawn").click()
    expect(ground).to_contain_text("one layout fits", timeout=ENGINE_MS)


def test_two_statements_that_disagree_are_named(phone: Chromium, server: Server) -> None:
    page = fetched(phone, server, "Rowan")
    go_to(page, "Rooms")
    expect(plan(page, "Ground floor")).to_contain_text("no layout fits", timeout=ENGINE_MS)
    found = page.get_by_role("region", name="What disagrees on the plans")
    expect(found).to_contain_text("2.4 m")
    looked_at(page, "plan-that-disagrees")


def test_the_office_sees_the_plans(phone: Chromium, server: Server) -> None:
    phone.start(viewport={"width": 1280, "height": 900})
    page = phone.page()
    sign_in(page, server.url, "surveyor@demo.example", "walk-the-house")
    go_to(page, "The office")
    page.get_by_role("link", name="Quince", exact=True).click()
    expect(page.get_by_role("heading", name="Plans")).to_be_visible(timeout=ENGINE_MS)
    for theme in ("light", "dark"):
        page.emulate_media(color_scheme=theme)
        expect(plan(page, "Ground floor").locator("img")).to_be_visible()
        picture(page, f"plans-office-{theme}")
    plan(page, "Ground floor").get_by_role("button", name="Open Hall").press("Enter")
    expect(page.get_by_role("heading", name="Hall").first).to_be_visible()
