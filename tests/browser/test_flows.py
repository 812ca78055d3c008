"""Whole flows for what repeats: each is entered on a phone without signal, and the records are looked at."""

from __future__ import annotations

import re
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.axe import violations
from tests.browser.hand import back, field, go_to, picture, sign_in, unfold
from tests.browser.held import held
from tests.support.chromium import Chromium
from tests.support.server import Server

pytestmark = pytest.mark.without_engine

BOX = "Length × width × height"


@pytest.fixture
def page(phone: Chromium, server: Server) -> Page:
    """A new survey on a phone without signal."""
    context = phone.start(viewport={"width": 390, "height": 844})
    phone.allow_lasting_storage(server.url)
    page = phone.page()
    sign_in(page, server.url, "surveyor@demo.example", "walk-the-house")
    page.wait_for_function("() => navigator.serviceWorker.ready.then(() => true)")
    context.set_offline(True)
    page.get_by_role("button", name="New survey").click()
    expect(page.get_by_role("link", name=re.compile("^Rooms"))).to_be_visible()
    return page


def records(page: Page, kind: str) -> list[dict[str, Any]]:
    """Return what the phone holds of a kind, in the order of entering."""
    survey = re.search("#/survey/([^/?]+)", page.url)
    assert survey is not None
    return [values for key, values in held(page, survey[1]).items() if key.startswith(f"{kind}/")]


def sizes_of(values: dict[str, Any]) -> list[float | None]:
    return [values.get(name) for name in ("length_m", "width_m", "height_m")]


def new_room(page: Page, use: str) -> Locator:
    """Begin a room from the list of rooms; the cursor stands in the line of its box."""
    page.get_by_role("button", name="New room").click()
    page.get_by_role("button", name=use, exact=True).click()
    line = page.get_by_label(BOX)
    expect(line).to_be_focused()
    return line


def say(page: Page, text: str) -> None:
    expect(page.locator("input:focus")).to_have_count(1)
    page.keyboard.type(text)
    page.keyboard.press("Enter")


def side(page: Page, name: str) -> Locator:
    sheet = page.get_by_role("region", name=name, exact=True)
    expect(sheet).to_be_visible()
    return sheet


def test_a_laser_measure_fills_length_width_and_height_in_turn(page: Page) -> None:
    go_to(page, "Rooms")
    line = new_room(page, "Study")
    say(page, "4.213")
    expect(page.get_by_text("Length 4.213 m. Width next.")).to_be_visible()
    assert sizes_of(records(page, "room")[0]) == [None, None, None]
    say(page, "3.872")
    expect(page.get_by_text("Length 4.213 m, Width 3.872 m. Height next.")).to_be_visible()
    picture(page, "flows-laser")
    assert violations(page) == []
    say(page, "2.4")
    side(page, "Front side")
    assert sizes_of(records(page, "room")[0]) == [4.213, 3.872, 2.4]
    expect(line).to_have_value("4.213 x 3.872 x 2.4")
    # In the next room the height is known: one by one it has its turn, and an Enter alone takes it.
    back(page)
    new_room(page, "Toilet")
    for text in ("1.9", "0.95", ""):
        say(page, text)
    side(page, "Front side")
    assert sizes_of(records(page, "room")[1]) == [1.9, 0.95, 2.4]


def test_feet_inches_and_a_voice_are_understood_and_shown_before_they_are_taken(page: Page) -> None:
    go_to(page, "Rooms")
    line = new_room(page, "Study")
    # What is not understood is refused in words beside the field, and nothing of it is stored.
    say(page, "13'9 12'6 door")
    expect(page.get_by_text("Not saved: 'door' is not a number.")).to_be_visible()
    expect(line).to_be_focused()
    assert sizes_of(records(page, "room")[0]) == [None, None, None]
    line.fill("13'9 12 ft 6 in 7'10")
    expect(page.get_by_text("= 4.191 × 3.81 × 2.388 m")).to_be_visible()
    assert sizes_of(records(page, "room")[0]) == [None, None, None]
    picture(page, "flows-feet")
    line.press("Enter")
    side(page, "Front side")
    assert sizes_of(records(page, "room")[0]) == [4.191, 3.81, 2.388]

    line.fill("four point two by three point nine by 2400 mm")
    expect(page.get_by_text("= 4.2 × 3.9 × 2.4 m")).to_be_visible()
    line.press("Enter")
    expect(line).to_have_value("4.2 x 3.9 x 2.4")
    assert sizes_of(records(page, "room")[0]) == [4.2, 3.9, 2.4]
    # A radiator from its size alone, by a rule in inches.
    page.get_by_role("button", name=re.compile("^Double panel, one convector")).click()
    expect(page.get_by_label("Height × length")).to_be_focused()
    say(page, '24" x 47 1/2"')
    expect(page.get_by_label("Height × length")).to_have_value("610 x 1207")
    (emitter,) = records(page, "emitter")
    assert [emitter["type"], emitter["height_mm"], emitter["length_mm"]] == ["panel_21", 610, 1207]


def test_the_sizes_of_a_cupboard_in_one_line_and_enter_moves_on(page: Page) -> None:
    go_to(page, "Hot water")
    page.locator('a.row[href*="/record/hot_water/"]').click()
    width = unfold(page, "place_width_mm")
    width.locator("input").click()
    say(page, "620 x door")
    expect(width.get_by_text(re.compile("^Not saved: "))).to_be_visible()
    assert records(page, "hot_water") == []
    width.locator("input").fill("620 .64 1850")
    # A depth of less than a millimetre is no depth, and is not said to be one.
    expect(width.locator(".field-echo")).to_have_text("")
    width.locator("input").fill("620 640 1850")
    expect(width.get_by_text("Clear width × Clear depth × Clear height = 620 × 640 × 1850 mm")).to_be_visible()
    picture(page, "flows-cupboard")
    width.locator("input").press("Enter")
    # The two that were filled are passed by: the cursor stands in the one after them.
    expect(field(page, "door_width_mm").locator("input")).to_be_focused()
    say(page, "2 ft")
    expect(field(page, "door_width_mm").get_by_text("Saved on this phone")).to_be_visible()
    # A question that is tapped is shown, and not answered by an Enter more.
    expect(field(page, "floor_can_carry")).to_be_focused()
    page.keyboard.press("Enter")
    (hot_water,) = records(page, "hot_water")
    assert hot_water == {
        "place_width_mm": 620,
        "place_depth_mm": 640,
        "place_height_mm": 1850,
        "door_width_mm": 610,
    }
    assert violations(page) == []


def test_windows_go_to_the_other_side_and_a_loft_over_the_ceiling(page: Page) -> None:
    go_to(page, "Rooms")
    new_room(page, "Living room")
    say(page, "5 4 2.4")
    front = side(page, "Front side")
    front.get_by_role("button", name="Outside", exact=True).click()
    front.get_by_role("button", name="Add a window").click()
    say(page, "2 x 1.2 1.1")
    expect(front.get_by_text("2 × window, 1.2 × 1.1 m")).to_be_visible()
    # Another window like it.
    front.get_by_role("button", name="One window more").click()
    expect(front.get_by_text("3 × window, 1.2 × 1.1 m")).to_be_visible()
    page.get_by_role("button", name=re.compile("^Back side")).click()
    rear = side(page, "Back side")
    rear.get_by_role("button", name="Same as the front side: Outside air, with 3 windows").click()
    expect(rear.get_by_text("3 × window, 1.2 × 1.1 m")).to_be_visible()
    picture(page, "flows-other-side")
    walls = {item["side"]: item for item in records(page, "surface") if item["element"] == "wall"}
    windows = [item for item in records(page, "surface") if item["element"] == "window"]
    assert sorted(walls) == ["back", "front"]
    assert [[item["side"], item["count"], item["width_m"], item["height_m"]] for item in windows] == [
        ["front", 3, 1.2, 1.1],
        ["back", 3, 1.2, 1.1],
    ]
    assert windows[1]["opening_in"] != windows[0]["opening_in"]

    page.get_by_role("button", name=re.compile("^Ceiling")).click()
    ceiling = side(page, "Ceiling")
    ceiling.get_by_role("button", name="One not entered yet").click()
    ceiling.get_by_role("button", name="Loft room", exact=True).click()
    picture(page, "flows-loft")
    assert violations(page) == []
    ceiling.get_by_role("group", name="What is that room?").get_by_role("button", name="Study", exact=True).click()
    expect(ceiling).to_have_count(0)
    loft = next(item for item in records(page, "room") if item["use"] == "study")
    assert [loft["name"], loft["storey"]] == ["Study", "loft"]
    page.get_by_role("link", name="Next room: Study").click()
    expect(page.get_by_label(BOX)).to_be_focused()
    expect(page.get_by_role("heading", name="Study", exact=True)).to_be_visible()


def test_a_storey_is_copied_upwards(page: Page) -> None:
    go_to(page, "Rooms")
    new_room(page, "Living room")
    say(page, "5 4 2.4")
    front = side(page, "Front side")
    front.get_by_role("button", name="Outside", exact=True).click()
    front.get_by_role("button", name="Next side").click()
    right = side(page, "Right side")
    right.get_by_role("button", name="One not entered yet").click()
    right.get_by_role("group", name="What is that room?").get_by_role(
        "button", name="Hall or landing", exact=True
    ).click()
    expect(right.get_by_text("It counts in both rooms.")).to_be_visible()
    page.get_by_role("link", name="Next room: Hall").click()
    expect(page.get_by_label(BOX)).to_be_focused()
    say(page, "2 4")
    front = side(page, "Front side")
    front.get_by_role("button", name="Neighbour", exact=True).click()
    expect(front).to_have_count(0)
    page.get_by_role("link", name="New room").click()
    expect(page.get_by_role("region", name="New room")).to_be_visible()
    page.get_by_role("button", name="Copy upwards: the rooms of the first floor").click()
    sheet = page.get_by_role("region", name="Copy upwards: first floor")
    # What is asked comes to where the thumb is.
    expect(sheet).to_be_focused()
    over = sheet.get_by_role("group", name="Over Hall")
    expect(over.get_by_role("button", name="Landing")).to_have_attribute("aria-pressed", "true")
    sheet.get_by_role("group", name="Over Living room").get_by_role("button", name="Bathroom").click()
    picture(page, "flows-upwards")
    assert violations(page) == []
    sheet.get_by_role("button", name="Add 2 rooms").click()
    expect(page.get_by_role("link", name=re.compile("^.*Landing"))).to_be_visible()
    expect(sheet).to_have_count(0)
    rooms = {item["name"]: item for item in records(page, "room")}
    assert {name: [item["storey"], *sizes_of(item)] for name, item in rooms.items() if item["storey"] == "first"} == {
        "Bathroom": ["first", 5, 4, 2.4],
        "Landing": ["first", 2, 4, 2.4],
    }
    survey = re.search("#/survey/([^/?]+)", page.url)[1]
    ids = {item["name"]: key.partition("/")[2] for key, item in held(page, survey).items() if key.startswith("room/")}
    said = {
        (name, item["side"]): item["other_side"]
        for item in records(page, "surface")
        for name, id in ids.items()
        if item["room"] == id
    }
    assert said == {
        ("Living room", "front"): "outside",
        ("Living room", "right"): "room",
        ("Living room", "ceiling"): "room",
        ("Hall", "front"): "neighbour",
        ("Hall", "ceiling"): "room",
        ("Bathroom", "front"): "outside",
        ("Bathroom", "right"): "room",
        ("Landing", "front"): "neighbour",
    }
    # It is offered while nothing is above.
    expect(page.get_by_role("button", name=re.compile("^Copy upwards: the rooms of the first"))).to_have_count(0)
    expect(page.get_by_role("button", name=re.compile("^Copy upwards: the rooms of the second"))).to_be_visible()
