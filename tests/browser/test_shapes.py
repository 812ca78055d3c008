"""Rooms that are no plain box, entered with one thumb and without signal: an L, a bay, a room in the roof, a part of a floor."""

from __future__ import annotations

import re

from playwright.sync_api import Locator, Page, expect

from tests.browser.hand import ARTEFACTS, go_to, picture, sign_in, sizes
from tests.browser.held import held, view_of
from tests.support.chromium import Chromium
from tests.support.server import Server

BOX = "Length × width × height"


def tap(scope: Page | Locator, words: str | re.Pattern[str]) -> None:
    scope.get_by_role("button", name=words, exact=isinstance(words, str)).first.click()


def new_room(page: Page, use: str, size: str) -> None:
    page.get_by_role("button", name="New room").click()
    tap(page, use)
    sizes(page, BOX, size)
    # The first side opens by itself once the size is stored, and moves what stands below: a tap before that may miss.
    expect(page.get_by_role("region", name="Front side")).to_be_visible()


def open_shape(page: Page) -> None:
    page.get_by_text("Not a plain box?").click()


def in_all_looks(page: Page, name: str) -> None:
    """Keep pictures at both widths of a phone, on a laptop and in both themes, when somebody wants to look at them."""
    if not ARTEFACTS:
        return
    present = page.viewport_size
    for width, height in ((390, 844), (320, 640), (1280, 800)):
        page.set_viewport_size({"width": width, "height": height})
        for scheme in ("light", "dark"):
            page.emulate_media(color_scheme=scheme)
            page.get_by_text("bout its shape").or_(page.get_by_text("Not a plain box?")).evaluate(
                "(summary) => summary.scrollIntoView()"
            )
            picture(page, f"{name}-{width}-{scheme}")
    page.emulate_media(color_scheme="light")
    page.set_viewport_size(present)


def test_rooms_that_are_no_plain_box_are_entered_in_a_few_taps(phone: Chromium, server: Server) -> None:
    context = phone.start()
    phone.allow_lasting_storage(server.url)
    page = phone.page()
    sign_in(page, server.url, "surveyor@demo.example", "walk-the-house")
    page.wait_for_function("() => navigator.serviceWorker.ready.then(() => true)")
    context.set_offline(True)
    tap(page, "New survey")
    go_to(page, "Rooms")
    survey = re.search("#/survey/([^/]+)", page.url)[1]

    # An L: its box is the longest length and width, and a corner is missing. The walls keep their sizes.
    new_room(page, "Living room", "5 x 4 x 2.5")
    open_shape(page)
    tap(page, "L-shape: a corner is missing")
    tap(page, "Front left corner")
    in_all_looks(page, "shape-asked")
    sizes(page, "What is missing: along the front × deep", "2 1.5")
    expect(page.get_by_text("Floor 17 m², volume 42.5 m³.")).to_be_visible()
    front = page.get_by_role("region", name="Front side")
    tap(front, "Outside")
    expect(front.get_by_text("12.5 m²")).to_be_visible()
    tap(page, "Ceiling not said yet")
    ceiling = page.get_by_role("region", name="Ceiling")
    tap(ceiling, "Unheated space above")
    tap(ceiling, re.compile("^Loft with felt"))
    tap(page, re.compile("^Ceiling(?! not said)"))
    expect(ceiling.get_by_text("17 m²")).to_be_visible()
    tap(ceiling, "Only a part of this side")
    sizes(ceiling, "Width × length of this part", "2 x 3")
    expect(ceiling.get_by_text("11 m² of this side is left.")).to_be_visible()
    tap(ceiling, "Neighbour above")
    # What was left has an area; cut again, by an area this time, the rest is asked once more.
    ceiling.get_by_role("button", name="Only a part of this side").nth(1).click()
    sizes(ceiling, "Width × length of this part", "7.5")
    expect(ceiling.get_by_text("3.5 m² of this side is left.")).to_be_visible()
    in_all_looks(page, "shape-l")
    page.go_back()

    new_room(page, "Dining room", "5 x 4 x 2.5")
    open_shape(page)
    tap(page, "A bay")
    tap(page, "Front side")
    sizes(page, "Opening × depth × width of its front", "2.4 x 0.3 x 1.6")
    expect(page.get_by_text("Floor 20.6 m², volume 51.5 m³.")).to_be_visible()
    tap(front, "Outside")
    expect(front.get_by_text("13 m²")).to_be_visible()
    in_all_looks(page, "shape-bay")
    page.go_back()

    new_room(page, "Bedroom", "6 x 4 x 2.2")
    open_shape(page)
    tap(page, "Sloping ceiling")
    tap(page, "Left side")
    sizes(page, "Wall below it × how far it reaches in", "1 x 1.6")
    tap(page, "The same slope, right side")
    expect(page.get_by_text("Floor 24 m², volume 45.1 m³.")).to_be_visible()
    expect(page.get_by_role("group", name=re.compile("seven sides to tap"))).to_be_visible()
    tap(page, "Sloping ceiling not said yet")
    slope = page.get_by_role("region", name="Sloping ceiling")
    tap(slope, "Roof")
    tap(page, re.compile("^Sloping ceiling(?! not said)"))
    expect(slope.get_by_text("16 m²")).to_be_visible()
    in_all_looks(page, "shape-roof")
    tap(page, "Back side not said yet")
    rear = page.get_by_role("region", name="Back side")
    tap(rear, "Outside")
    expect(rear.get_by_text("11.3 m²")).to_be_visible()
    # No side stores a size: all of them follow the room.
    records = held(page, survey)
    room = next(values for values in records.values() if values.get("slopes"))
    assert room["slopes"] == [
        {"side": "left", "low_m": 1, "run_m": 1.6},
        {"side": "right", "low_m": 1, "run_m": 1.6},
    ]
    page.go_back()

    context.set_offline(False)
    page.goto(f"{server.url}/#/")
    expect(page.get_by_role("status").filter(has_text=re.compile("^At the office"))).to_be_visible()
    view = view_of(page, server.url, survey)
    assert not view["refused"]
    rooms = {item["use"]: item for item in view["records"]["room"]}
    assert rooms["living"]["floor_parts"] == [{"what": "corner", "where": "front_left", "along_m": 2, "depth_m": 1.5}]
    assert rooms["bedroom"]["slopes"] == room["slopes"]
    kept = [
        {name: item.get(name) for name in ("width_m", "height_m", "area_m2")} for item in view["records"]["surface"]
    ]
    assert [sizes for sizes in kept if any(sizes.values())] == [
        {"width_m": 2, "height_m": 3, "area_m2": None},
        {"width_m": None, "height_m": None, "area_m2": 7.5},
    ]
