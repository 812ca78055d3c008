"""Outside, routes and photos with a thumb and no signal: what lies in the zone, the base point by point, a run as a line, photos."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.ask import got
from tests.browser.axe import violations
from tests.browser.hand import answer, back, field, go_to, picture, sign_in, unfold
from tests.browser.keyboard import too_small
from tests.support.chromium import Chromium
from tests.support.server import Server

PHOTO = Path(__file__).with_name("photo.jpg")


@pytest.fixture
def page(phone: Chromium, server: Server) -> Page:
    """A new survey on a phone that has lost its signal."""
    context = phone.start()
    phone.allow_lasting_storage(server.url)
    page = phone.page()
    sign_in(page, server.url, "surveyor@demo.example", "walk-the-house")
    page.wait_for_function("() => navigator.serviceWorker.ready.then(() => true)")
    context.set_offline(True)
    page.get_by_role("button", name="New survey").click()
    return page


def into_signal(page: Page) -> None:
    """Come back into signal, and sign in again where the browser's end has ended the session too."""
    page.context.set_offline(False)
    page.reload()
    strip = page.get_by_role("status").first
    expect(strip).to_have_text(re.compile("^(At the office|Sign in again)"))
    if strip.inner_text().startswith("Sign in again"):
        strip.click()
        page.get_by_label("Password").fill("walk-the-house")
        page.get_by_role("button", name="Sign in").click()
        expect(strip).to_have_text(re.compile("^At the office"))


def to_position(page: Page) -> None:
    go_to(page, "Outside")
    page.get_by_role("button", name="Add a place for the unit").click()
    answer(page, "clear_back_mm", "300")
    place = page.url
    unit = page.get_by_role("region", name="The unit")
    expect(unit).to_contain_text("No unit chosen yet")
    unit.get_by_role("button", name="Enter a unit for this place").click()
    # A place has a name as well: its form has to be gone.
    expect(unfold(page, "width_mm")).to_be_visible()
    for name, value in {"name": "9 kW Thistledown", "width_mm": "1000", "depth_mm": "400", "height_mm": "900"}.items():
        answer(page, name, value)
    page.goto(place)
    expect(unit.get_by_role("link", name=re.compile("The unit: 9 kW Thistledown"))).to_be_visible()


def tap(drawing: Locator, across: float, down: float) -> None:
    """Tap a drawing at shares of its width and height."""
    drawing.scroll_into_view_if_needed()
    box = drawing.bounding_box()
    assert box is not None
    drawing.page.touchscreen.tap(box["x"] + across * box["width"], box["y"] + down * box["height"])


#: Types readings and keeps each with Enter, faster than the phone can store them.
TYPE_ON = """(readings) => {
  const input = document.querySelector('.entry-reading input');
  for (const text of readings) {
    input.value = text;
    input.dispatchEvent(new Event('input', { bubbles: true }));
    input.dispatchEvent(new KeyboardEvent('keydown', { key: 'Enter', bubbles: true }));
  }
}"""

#: Keeps a reading, types the next one while it is being stored, and keeps that in the moment in which the screen names the next point.
KEEP_AT_ONCE = """async ([first, second, words]) => {
  const input = document.querySelector('.entry-reading input');
  const type = (text) => {
    input.value = text;
    input.dispatchEvent(new Event('input', { bubbles: true }));
  };
  const keep = () => input.dispatchEvent(new KeyboardEvent('keydown', { key: 'Enter', bubbles: true }));
  type(first);
  for (let turn = 0; turn < 50; turn += 1) await Promise.resolve();
  const named = new Promise((done) => {
    const where = document.querySelector('.entry-where');
    const watch = new MutationObserver(() => {
      if (!where.textContent.includes(words)) return;
      watch.disconnect();
      done();
    });
    watch.observe(where, { childList: true, subtree: true, characterData: true });
  });
  keep();
  type(second);
  await named;
  keep();
}"""

#: Types a reading, taps another point, and types and keeps the reading of that one while the first is being stored.
TYPE_TAP_TYPE = """async ([first, place, second]) => {
  const input = document.querySelector('.entry-reading input');
  const type = (text) => {
    input.value = text;
    input.dispatchEvent(new Event('input', { bubbles: true }));
  };
  type(first);
  for (let turn = 0; turn < 50; turn += 1) await Promise.resolve();
  document.querySelectorAll('.readings .row')[place].click();
  type(second);
  for (let turn = 0; turn < 50; turn += 1) await Promise.resolve();
  input.dispatchEvent(new KeyboardEvent('keydown', { key: 'Enter', bubbles: true }));
}"""

#: Keeps with Enter what stands in both fields for a stretch.
BOTH_AT_ONCE = """() => {
  for (const input of document.querySelectorAll('.walk-on input, [id^=line-]')) input.dispatchEvent(new KeyboardEvent('keydown', { key: 'Enter', bubbles: true }));
}"""

#: Keeps a stretch with Enter and taps the next place before anything of it can be stored: both in one turn of the page.
NEXT_AT_ONCE = """(next) => {
  document.querySelector('.walk-on input').dispatchEvent(new KeyboardEvent('keydown', { key: 'Enter', bubbles: true }));
  [...document.querySelectorAll('.walk-on .choice')].find((one) => one.textContent === next).click();
}"""


def test_what_lies_in_the_zone_stands_out_until_its_remedy_is_seen(page: Page) -> None:
    to_position(page)
    tap(page.locator("svg.plan"), 0.62, 0.75)
    page.get_by_role("button", name="Air brick or vent").click()
    item = page.locator(".nearby-item").first
    expect(item).to_contain_text("May be inside")
    answer(item, "up_m", "150 mm")
    expect(item).to_contain_text("Inside the planning shape: leaked gas could flow through it into the house")
    expect(page.get_by_role("heading", name="Nearby: one thing is inside the planning shape")).to_be_visible()
    expect(page.locator("svg.plan .marker-words")).to_have_text("inside")

    item.get_by_role("button", name="Close off").click()
    expect(item).to_contain_text("Inside the planning shape")
    item.get_by_role("checkbox").click()
    expect(item).to_contain_text("Inside, dealt with")
    expect(page.locator("svg.plan .marker-words")).to_have_count(0)
    item.get_by_role("button", name="Move").click()
    expect(item).to_contain_text("Inside the planning shape")


@pytest.mark.without_engine
def test_left_is_minus_however_it_is_said(page: Page) -> None:
    to_position(page)
    page.get_by_role("button", name="Add something nearby").click()
    adding = page.get_by_role("region", name="Add something nearby")
    adding.get_by_role("button", name="Left").click()
    expect(page.locator("#nearby-place")).to_be_focused()
    page.locator("#nearby-place").fill("4,4 far")
    adding.get_by_role("button", name="Gully").click()
    expect(adding.get_by_role("alert")).to_contain_text("'far' is not a number")
    expect(page.locator(".nearby-item")).to_have_count(0)
    page.locator("#nearby-place").fill("4,4 200 mm")
    adding.get_by_role("button", name="Gully").click()
    expect(adding.get_by_role("status")).to_contain_text("Gully, 4.4 m to the left, 0.2 m out")
    adding.get_by_role("button", name="Nothing more").click()
    item = page.locator(".nearby-item").first
    item.get_by_role("button").first.click()
    expect(item).to_contain_text("4.4 m to the left, 0.2 m out, how high not known")
    expect(item.locator("#field-along_m input")).to_have_value("-4.4")
    expect(item).to_contain_text("Not inside; the maker's drawing decides")


def test_a_base_is_read_point_by_point(page: Page) -> None:
    to_position(page)
    page.get_by_role("button", name="Add: base").click()
    answer(page, "length_mm", "1200")
    page.get_by_label(re.compile("^Width out from the wall")).fill("700")
    page.get_by_label(re.compile("^Width out from the wall")).press("Enter")
    page.get_by_role("button", name="Start at the wall on the right").click()
    entry = page.get_by_role("group", name="One reading")
    for number, reading in enumerate(("412", "413,5", "414"), start=1):
        entry.get_by_label(re.compile("^Reading")).fill(reading)
        entry.get_by_label(re.compile("^Reading")).press("Enter")
        expect(page.locator(".readings > li")).to_have_count(number)
        # The next point has its turn when its reading is asked for.
        expect(entry.get_by_label(re.compile("^Reading"))).to_have_value("")
    expect(page.get_by_text("From highest to lowest 2 mm.")).to_be_visible()
    # Three points in one line carry no plane; the engine on the phone says so.
    expect(page.get_by_text(re.compile("^Still missing: "))).to_be_visible()

    # A point of one's own, in the middle of nowhere in particular.
    before = entry.get_by_label("From the right").input_value()
    tap(page.locator("svg.slab"), 0.62, 0.6)
    expect(entry.get_by_label("From the right")).not_to_have_value(before)
    entry.get_by_label(re.compile("^Reading")).fill("about")
    entry.get_by_role("button", name="Keep, next point").click()
    expect(entry.get_by_role("alert")).to_contain_text("Not saved: 'about' is not a number")
    entry.get_by_label(re.compile("^Reading")).fill("416")
    entry.get_by_role("button", name="Keep, next point").click()
    expect(page.locator(".readings > li").last).to_contain_text("lowest")
    expect(page.get_by_text("From highest to lowest 4 mm.")).to_be_visible()
    expect(page.get_by_role("heading", name=re.compile(r"^Falls \d+\.\d mm across the base"))).to_be_visible()
    expect(page.get_by_text("Live on this phone. The unit maker's tolerance governs.")).to_be_visible()

    # Who types on at once, while the reading before is being stored, gives it to the next point.
    page.locator(".readings .row").first.click()
    expect(entry.get_by_label("From the right")).to_have_value("50")
    expect(entry.get_by_label(re.compile("^Reading"))).to_have_value("412")
    page.evaluate(TYPE_ON, ["412,5", "413"])
    expect(page.locator(".readings > li").nth(0)).to_contain_text("412.5 mm")
    expect(page.locator(".readings > li").last).to_contain_text("413 mm")
    expect(page.locator(".readings > li")).to_have_count(5)

    # A reading that was typed and not kept by a tap is stored when another point takes its place.
    tap(page.locator("svg.slab"), 0.3, 0.3)
    entry.get_by_label(re.compile("^Reading")).fill("415")
    tap(page.locator("svg.slab"), 0.75, 0.35)
    expect(page.locator(".readings > li")).to_have_count(6)
    expect(page.locator(".readings > li").last).to_contain_text("415 mm")
    expect(entry.get_by_label(re.compile("^Reading"))).to_have_value("")

    # With heights in place of a line and a rule, the same readings turn round.
    unfold(page, "instrument").get_by_role("button", name=re.compile("^Heights")).click()
    expect(page.locator(".readings > li").first).to_contain_text("lowest")
    picture(page, "site-base")

    page.locator(".readings .row").first.click()
    entry.get_by_role("button", name="Take this reading away").click()
    entry.get_by_role("button", name="Take it away").click()
    expect(page.locator(".readings > li")).to_have_count(5)


def test_a_reading_belongs_to_the_point_that_was_chosen_however_soon_it_is_typed(page: Page) -> None:
    to_position(page)
    page.get_by_role("button", name="Add: base").click()
    answer(page, "length_mm", "1200")
    page.get_by_label(re.compile("^Width out from the wall")).fill("700")
    page.get_by_label(re.compile("^Width out from the wall")).press("Enter")
    entry, rows = page.get_by_role("group", name="One reading"), page.locator(".readings > li")
    page.get_by_role("button", name="Start at the wall on the right").click()
    expect(entry.get_by_label("From the right")).to_have_value("50")
    page.evaluate(KEEP_AT_ONCE, ["412", "413", "600 mm from the right"])
    expect(rows.nth(1)).to_contain_text("413 mm")
    expect(rows.nth(0)).to_contain_text("412 mm")
    expect(rows).to_have_count(2)
    expect(entry.get_by_role("alert")).to_have_count(0)
    # What is typed after a tap on another point is that one's, also while the reading before is being stored.
    rows.nth(0).get_by_role("button").click()
    expect(entry.get_by_label("From the right")).to_have_value("50")
    page.evaluate(TYPE_TAP_TYPE, ["405", 1, "406"])
    expect(rows.nth(0)).to_contain_text("405 mm")
    expect(rows.nth(1)).to_contain_text("406 mm")
    expect(rows).to_have_count(2)


def test_an_address_from_before_the_walk_had_stages_leads_to_its_stage(page: Page) -> None:
    go_to(page, "Rooms")
    expect(page).to_have_url(re.compile("/stage/rooms$"))
    now = page.url
    back(page)
    expect(page.get_by_role("heading", name="Rooms", exact=True)).to_have_count(0)
    page.goto(now.replace("/stage/", "/stop/"))
    expect(page.get_by_role("heading", name="Rooms", exact=True)).to_be_visible()


def test_the_cables_of_the_job_wait_for_a_route_and_a_name(page: Page) -> None:
    go_to(page, "Pipes and cables")
    waiting = page.get_by_role("button", name=re.compile("Waiting for a route"))
    expect(waiting).to_have_count(3)
    page.get_by_role("button", name=re.compile("^Bus cable to the outdoor unit")).click()
    answer(page, "stretches", "outdoors 5, under floor 9, cupboard 2")
    page.get_by_role("group", name="Next stretch").get_by_role("button", name="Buried").click()
    page.get_by_label(re.compile("^Buried, length")).fill("350 cm")
    page.get_by_role("button", name="Add stretch").click()
    expect(page.get_by_role("heading", name="Route 19.5 m")).to_be_visible()
    expect(page.get_by_role("img", name=re.compile("^Route: Outdoors 5 m, then .*Buried 3.5 m$"))).to_be_visible()
    # Typed and not added by a tap, it is stored as the screen goes.
    page.get_by_role("group", name="Next stretch").get_by_role("button", name="Outdoors").click()
    page.get_by_label(re.compile("^Outdoors, length")).fill("0.5")
    page.go_back()
    expect(page.get_by_role("link", name=re.compile("^Bus cable"))).to_be_visible()
    page.go_forward()
    expect(page.get_by_role("heading", name="Route 20 m")).to_be_visible()
    # Said in both ways at once, faster than the phone can draw it, neither takes the place of the other.
    page.get_by_role("group", name="Next stretch").get_by_role("button", name="Outdoors").click()
    page.get_by_label(re.compile("^Outdoors, length")).fill("0.25")
    page.get_by_label("All in one line").fill("loft 0.75")
    page.evaluate(BOTH_AT_ONCE)
    expect(page.get_by_role("heading", name="Route 21 m")).to_be_visible()
    unfold(page, "run_by").get_by_role("button", name="Nobody yet").click()
    expect(page.locator(".notice").get_by_text("nobody runs it.")).to_be_visible()
    back(page)
    expect(waiting).to_have_count(2)
    expect(page.get_by_role("link", name=re.compile("^Bus cable"))).to_contain_text("21 m · nobody runs it yet")

    page.get_by_role("button", name=re.compile("^Outdoor unit to the house")).click()
    unfold(page, "constraint").get_by_role("button", name=re.compile("^Finished floor")).click()
    warning = page.locator(".notice").get_by_text("that must not be lifted, and no other route is agreed.")
    expect(warning).to_be_visible()
    answer(page, "other_route_agreed", "Along the skirting of the hall")
    expect(warning).to_have_count(0)


@pytest.mark.without_engine
def test_the_next_place_stays_open_when_it_was_tapped_while_a_stretch_was_stored(page: Page) -> None:
    go_to(page, "Pipes and cables")
    page.get_by_role("button", name=re.compile("^Bus cable to the outdoor unit")).click()
    page.get_by_role("group", name="Next stretch").get_by_role("button", name="Outdoors").click()
    page.get_by_label(re.compile("^Outdoors, length")).fill("5")
    page.evaluate(NEXT_AT_ONCE, "Buried")
    # Stored and said so, which is when the place that it lies in would be shut.
    expect(page.get_by_role("heading", name="Route 5 m")).to_be_visible()
    expect(field(page, "stretches").get_by_text("Saved on this phone")).to_be_visible()
    expect(page.get_by_label(re.compile("^Buried, length"))).to_be_visible()
    page.get_by_label(re.compile("^Buried, length")).fill("2")
    page.get_by_role("button", name="Add stretch").click()
    expect(page.get_by_role("heading", name="Route 7 m")).to_be_visible()


@pytest.mark.without_engine
def test_photos_outlive_a_flat_battery_and_reach_the_office(page: Page, phone: Chromium, server: Server) -> None:
    go_to(page, "Photos")
    expect(page.get_by_role("heading", name="7 of 7 wanted photos are missing")).to_be_visible()
    item = page.get_by_role("listitem").filter(has_text="Photo of the consumer unit").first
    item.locator("input[type=file]").first.set_input_files(PHOTO)
    expect(item.get_by_text("Saved on this phone")).to_be_visible()
    item.locator("input[type=file]").last.set_input_files(
        {"name": "words.jpg", "mimeType": "image/jpeg", "buffer": b"not a picture"}
    )
    expect(item.get_by_role("alert")).to_contain_text("words.jpg: This file is not a picture")
    expect(page.get_by_role("heading", name="6 of 7 wanted photos are missing")).to_be_visible()
    page.locator("a.photo").click()
    answer(page, "caption", "Two ways spare")
    expect(page.locator("p.photo-state")).to_have_text("Saved on this phone")
    address = page.url

    server.stop()
    phone.kill()
    phone.start().set_offline(True)
    page = phone.page()
    page.goto(address)
    expect(page.get_by_role("img", name="Two ways spare")).to_be_visible()
    assert (
        page.get_by_role("img", name="Two ways spare").evaluate(
            "picture => picture.decode().then(() => picture.naturalWidth)"
        )
        > 0
    )

    server.start()
    into_signal(page)
    page.goto(address)
    expect(page.locator("p.photo-state")).to_have_text(re.compile(r"^\s*At the office \d\d:\d\d$"))


@pytest.mark.without_engine
def test_a_photo_taken_away_before_it_was_sent_never_leaves_the_phone(page: Page, server: Server) -> None:
    asked: list[str] = []
    page.on("request", lambda request: asked.append(f"{request.method} {request.url}"))
    go_to(page, "Photos")
    page.locator("input[type=file]").last.set_input_files(PHOTO)
    page.locator("a.photo").click()
    page.get_by_role("button", name="Take away this photo").click()
    expect(page.get_by_text("it is not sent; it can be brought back here for 30 days")).to_be_visible()
    page.get_by_role("button", name="Take it away").click()
    expect(page.get_by_text("No photo yet.")).to_be_visible()

    into_signal(page)
    survey = re.search(r"survey/([^/?]+)", page.url)
    assert survey
    seen = got(page, f"{server.url}/api/surveys/{survey[1]}").json()
    assert seen["photos"] == []
    assert any(request.startswith("POST") and request.endswith(f"{survey[1]}/changes") for request in asked)
    assert [request for request in asked if request.startswith("PUT")] == []


@pytest.mark.takes(seconds=15)
@pytest.mark.parametrize("screen", ["phone", "laptop"])
def test_everybody_can_read_and_tap(request: pytest.FixtureRequest, server: Server, screen: str) -> None:
    browser: Chromium = request.getfixturevalue(screen)
    # Without motion a colour is never looked at on its way from one theme to the other.
    browser.start(reduced_motion="reduce")
    page = browser.page()
    sign_in(page, server.url, "surveyor@demo.example", "walk-the-house")
    surveys = got(page, f"{server.url}/api/surveys").json()["surveys"]
    survey = next(item["id"] for item in surveys if item["photos_missing"] == 0 and item["latest_report"])
    page.goto(f"{server.url}/#/survey/{survey}")
    page.get_by_role("button", name="Fetch it from the office").click()
    expect(page.get_by_role("link", name=re.compile("^Outside"))).not_to_contain_text("Not started")
    records = got(page, f"{server.url}/api/surveys/{survey}").json()["records"]
    shown = [
        f"record/{kind}/{records[kind][0]['id']}"
        for kind in ("outdoor_position", "nearby_object", "base", "pipe_run", "cable_run", "photo")
    ]
    for part in ["stage/outside", "stage/routes", "stage/photos", *shown]:
        page.goto(f"{server.url}/#/survey/{survey}/{part}")
        expect(page.get_by_role("heading", level=1)).to_be_visible()
        if part == shown[0]:
            page.locator(".nearby .row").first.click()
        page.wait_for_load_state("networkidle")
        for theme in ("light", "dark"):
            page.emulate_media(color_scheme=theme)
            picture(page, f"site-{screen}-{theme}-{part.split('/')[1]}")
            assert violations(page) == [], f"{part}, {theme}"
        assert page.evaluate("document.documentElement.scrollWidth") <= page.viewport_size["width"], part
        assert too_small(page) == [], part
