"""However large the letters and however the phone is held: words stay whole, nothing grows under the thumb, and there is room to work."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser.axe import violations
from tests.browser.hand import answer, open_demo_house, unfold
from tests.browser.keyboard import open_screen, screens
from tests.support.chromium import Chromium
from tests.support.server import Server

PHOTO = Path(__file__).with_name("photo.jpg")
UPRIGHT = {"width": 390, "height": 844}
ON_ITS_SIDE = {"width": 844, "height": 390}
NARROW = {"width": 320, "height": 640}

#: As for somebody who has set the phone's letters to twice their size.
LARGE_LETTERS = "() => { document.documentElement.style.fontSize = '200%'; dispatchEvent(new Event('resize')); }"
#: Share of the screen's height between what stays at the top and the foot, with the page at its top; how many pixels it is too wide; lines of the title.
_ROOM = """() => {
  const foot = document.querySelector('.foot')?.getBoundingClientRect().top ?? innerHeight;
  const top = document.querySelector('main').getBoundingClientRect().top;
  const title = document.querySelector('h1');
  return {
    work: (foot - top) / innerHeight,
    tooWide: document.documentElement.scrollWidth - innerWidth,
    lines: Math.round(title.getBoundingClientRect().height / parseFloat(getComputedStyle(title).lineHeight)),
  };
}"""
#: The words on a choice that do not stand on one line each.
_BROKEN = """() => {
  const broken = [];
  for (const one of document.querySelectorAll('.choice-words, .walk .row-words > span, .button')) {
    const texts = document.createTreeWalker(one, NodeFilter.SHOW_TEXT);
    for (let text = texts.nextNode(); text; text = texts.nextNode())
      for (const word of text.data.matchAll(/[^\\s\\-–/]+/g)) {
        const range = document.createRange();
        range.setStart(text, word.index); range.setEnd(text, word.index + word[0].length);
        if (new Set([...range.getClientRects()].map((box) => Math.round(box.top))).size > 1) broken.push(`${word[0]} in "${one.textContent.trim()}"`);
      }
  }
  return broken;
}"""
#: How much room a choice and the letters on it take, px.
_LETTERS = """(one) => {
  const letters = document.createRange();
  letters.selectNodeContents(one.querySelector('.choice-words > span') ?? one.querySelector('.choice-words'));
  return [one.getBoundingClientRect(), letters.getBoundingClientRect()].map((box) => [Math.round(box.width * 10), Math.round(box.height * 10)]);
}"""
#: Every side of the room is tapped, so that what is asked there can be looked at.
SIDES = ("Front", "Ceiling", "Floor")


@pytest.fixture
def page(phone: Chromium, server: Server) -> Page:
    phone.start(viewport=UPRIGHT, reduced_motion="reduce")
    return phone.page()


def assert_room_for_work(page: Page, address: str) -> None:
    """On its side, upright, and with large letters more than half of the screen is left for what is asked."""
    page.set_viewport_size(ON_ITS_SIDE)
    room = page.evaluate(_ROOM)
    assert (room["work"] > 0.6, room["lines"]) == (True, 1), f"{address} on its side: {room}"
    page.set_viewport_size(UPRIGHT)
    room = page.evaluate(_ROOM)
    assert room["lines"] <= 2, f"{address}: {room}"
    page.evaluate(LARGE_LETTERS)
    room = page.evaluate(_ROOM)
    assert (room["work"] > 0.5, room["lines"] <= 2) == (True, True), f"{address}, large letters: {room}"
    assert "/office" in address or "/results" in address or room["tooWide"] <= 0, f"{address}, large letters: {room}"
    page.evaluate("() => { document.documentElement.style.fontSize = ''; }")


def assert_words_are_whole(page: Page, where: str) -> None:
    for size in (NARROW, UPRIGHT):
        page.set_viewport_size(size)
        assert page.evaluate(_BROKEN) == [], f"{where} at {size}"


@pytest.mark.without_engine
@pytest.mark.takes(seconds=60)
def test_every_screen_has_room_for_work_and_breaks_no_word_to_tap(page: Page, server: Server) -> None:
    survey = open_demo_house(page, server.url)
    room = f"#/survey/{survey}/record/room/room-bathroom"
    open_screen(page, server.url, room)
    for side in SIDES:
        page.locator("svg.box").get_by_role("button", name=re.compile(f"^{side}")).click()
        expect(page.locator(".box-side[aria-pressed=true]")).to_have_count(1)
        assert_words_are_whole(page, side)
    # After what is tapped: a page that large letters made too wide for the screen stays smaller, and a tap misses.
    for address in screens(page, server.url, survey):
        open_screen(page, server.url, address)
        assert_room_for_work(page, address)
        assert_words_are_whole(page, address)


@pytest.mark.without_engine
def test_a_choice_does_not_grow_when_it_is_made(page: Page, server: Server) -> None:
    survey = open_demo_house(page, server.url)
    page.set_viewport_size(NARROW)
    open_screen(page, server.url, f"#/survey/{survey}/record/survey/survey-demo")
    pressed = 0
    for name in ("dwelling", "exposure", "ventilation_age", "sheltered_sides"):
        for choice in unfold(page, name).locator(".choice[aria-pressed=false]").all():
            words = choice.inner_text()
            before = choice.evaluate(_LETTERS)
            choice.click()
            expect(unfold(page, name).locator(".choice[aria-pressed=true]")).to_have_text(words, use_inner_text=True)
            assert unfold(page, name).locator(".choice[aria-pressed=true]").evaluate(_LETTERS) == before, words
            pressed += 1
            break
    assert pressed >= 2


@pytest.mark.without_engine
def test_the_letters_of_a_drawing_grow_with_the_page(page: Page, server: Server) -> None:
    survey = open_demo_house(page, server.url)
    for part, words in (
        ("record/room/room-bathroom", ".box-label"),
        ("record/base/base-back", ".point-words"),
        ("record/outdoor_position/position-back", ".plan-label"),
        ("record/cable_run/cable-bus", "svg.route text"),
    ):
        open_screen(page, server.url, f"#/survey/{survey}/{part}")
        height = "(one) => one.getBoundingClientRect().height"
        drawn = page.locator(f"main {words}").filter(visible=True).first
        before = drawn.evaluate(height)
        page.evaluate(LARGE_LETTERS)
        # Drawn anew with the letters as they are now.
        page.evaluate("() => { location.hash = '#/'; }")
        expect(page.get_by_role("heading", name="Surveys", exact=True)).to_be_visible()
        page.evaluate("(hash) => { location.hash = hash; }", f"#/survey/{survey}/{part}")
        after = page.locator(f"main {words}").filter(visible=True).first.evaluate(height)
        assert after > 1.6 * before, f"{part}: {before} to {after} px"
        assert violations(page) == [], part
        page.evaluate("() => { document.documentElement.style.fontSize = ''; }")


@pytest.mark.without_engine
def test_no_answer_is_an_alarm_only_while_something_waits(page: Page, server: Server) -> None:
    survey = open_demo_house(page, server.url)
    page.wait_for_function("() => navigator.serviceWorker.ready.then(() => true)")
    page.context.set_offline(True)
    page.goto(f"{server.url}/#/survey/{survey}/record/note/note-dog")
    page.reload()
    strip = page.get_by_role("status").first
    expect(strip).to_have_text("Nothing waiting · office out of reach")
    answer(page, "words", "The dog bites.")
    expect(strip).to_have_text(
        re.compile("^Saved on this phone · 1 change waiting · No answer from the office"),
    )


@pytest.mark.without_engine
def test_what_is_no_email_is_not_taken_for_one(page: Page, server: Server) -> None:
    survey = open_demo_house(page, server.url)
    open_screen(page, server.url, f"#/survey/{survey}/record/survey/survey-demo")
    email = unfold(page, "contact_email")
    email.locator("input").fill("not an email")
    email.locator("input").blur()
    expect(email.get_by_role("alert")).to_have_text("Not saved: Expected an email address, such as name@example.org.")
    expect(email.get_by_text("Saved on this phone")).to_have_count(0)
    answer(page, "contact_email", "name@test.example")


@pytest.mark.without_engine
def test_the_same_photo_twice_is_kept_once_and_said_so(page: Page, server: Server) -> None:
    survey = open_demo_house(page, server.url)
    open_screen(page, server.url, f"#/survey/{survey}/record/hot_water/hot-water")
    strip = page.get_by_role("region", name=re.compile("^Photos"))
    choose = strip.locator("input[type=file]").last
    there = strip.get_by_role("listitem").count()
    choose.set_input_files(PHOTO)
    expect(strip.get_by_role("status").get_by_text("Saved on this phone", exact=True)).to_be_visible()
    expect(strip.get_by_role("listitem")).to_have_count(there + 1)
    choose.set_input_files(PHOTO)
    expect(strip.get_by_text("This photo is here already: kept once.")).to_be_visible()
    expect(strip.get_by_role("status").get_by_text("Saved on this phone", exact=True)).to_have_count(0)
    expect(strip.get_by_role("listitem")).to_have_count(there + 1)


@pytest.mark.takes(seconds=20)
def test_a_base_says_its_verdict_before_its_drawings_and_packing_only_while_it_helps(
    page: Page, server: Server
) -> None:
    survey = open_demo_house(page, server.url)
    open_screen(page, server.url, f"#/survey/{survey}/record/base/base-back")
    verdict = page.get_by_role("region", name="Verdict")
    expect(verdict.get_by_role("heading", name=re.compile(r"^Falls \d"))).to_be_visible()
    verdict_top, drawing_top = (
        place.bounding_box()["y"]
        for place in (verdict, page.locator("svg.slab"))  # type: ignore[index]
    )
    assert verdict_top < drawing_top
    result = page.get_by_role("region", name="Result")
    expect(result.get_by_text(re.compile("^Packing: "))).to_be_visible()
    page.locator(".readings .row").first.click()
    reading = page.get_by_role("group", name="One reading").get_by_label(re.compile("^Reading"))
    reading.fill("340")
    reading.press("Enter")
    expect(result.get_by_text("Packing is no remedy here.")).to_be_visible()
    expect(result.get_by_text(re.compile("^Packing: "))).to_have_count(0)
    expect(verdict).to_contain_text("Packing is no remedy at this fall.")
