"""With the keyboard alone: every screen's targets are met by Tab and seen to be, and no action takes the place away."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.book import write_book
from tests.browser.hand import open_demo_house
from tests.browser.held import held
from tests.browser.keyboard import BOOK, NOTE_WHAT_CAN_BE_TAPPED, open_screen, press_all, screens, too_small, walk
from tests.support.chromium import Chromium
from tests.support.server import Server

SIZE = {"width": 390, "height": 844}
NARROW = {"width": 320, "height": 844}
#: What a thumb does by its place on a drawing, and the keyboard in a form beside it: where a thing stands, and where a point is.
DONE_IN_A_FORM_TOO = re.compile(r'^cannot be reached: svg\.plan( slab)? "')
#: What ends the visit, asks the office for slow work, or is the browser's own.
LEFT_OUT = re.compile(
    "Sign out|Make |Send|Ask the office|Fetch|Show the photo|Save a copy|Read a copy|^button.*All .* as "
)
#: Screens on which things come and go under the hand.
BUSY_SCREENS = (
    "stage/constructions",
    "stage/rooms",
    "stage/outside",
    "stage/routes",
    "stage/leaving",
    "record/room/room-bathroom",
    "record/base/base-back",
    "record/outdoor_position/position-back",
    "record/cable_run/cable-bus",
    "record/construction/construction-bathroom-wall",
    "record/hot_water/hot-water",
    "record/note/note-dog",
)
BUSY_OFFICE_SCREENS = ("office/price", "office/history", "office/options")


@pytest.fixture
def page(phone: Chromium, server: Server) -> Page:
    context = phone.start(viewport=SIZE, reduced_motion="reduce")
    context.add_init_script(NOTE_WHAT_CAN_BE_TAPPED)
    return phone.page()


@pytest.mark.without_engine
@pytest.mark.takes(seconds=60)
def test_tab_meets_whatever_can_be_tapped_and_shows_where_it_is(page: Page, server: Server) -> None:
    survey = open_demo_house(page, server.url)
    fill_the_newest(page, server, survey)
    addresses = screens(page, server.url, survey)
    assert len(addresses) > 45
    for address in addresses:
        open_screen(page, server.url, address)
        unfold_own_radiator(page)
        wrong = [words for words in walk(page) if not DONE_IN_A_FORM_TOO.match(words)]
        assert wrong == [], address
        for size in (SIZE, NARROW):
            page.set_viewport_size(size)
            assert too_small(page) == [], f"{address}, {size['width']} px"
        page.set_viewport_size(SIZE)


def fill_the_newest(page: Page, server: Server, survey: str) -> str:
    """Give an article prices by day, and the survey an option with a radiator of its own, so that there is something to walk through.

    Returns
    -------
    str
        The address of the article.
    """
    prices = [{"holds_from": f"2026-0{month}-01", "price": f"15{month}.00"} for month in (1, 2, 3)]
    book = page.context.request.get(f"{server.url}/api/book").json()["records"]
    for article in book["article"][:1]:
        write_book(page, server, **{article["id"]: {"selling_prices": prices}})
    page.goto(f"{server.url}/#/sync")
    page.get_by_role("button", name="Send and fetch now").click()
    article = f"#/survey/{BOOK}/record/article/{book['article'][0]['id']}"
    page.goto(f"{server.url}/{article}")
    expect(page.get_by_role("row", name=re.compile("£153.00"))).to_be_visible()
    page.goto(f"{server.url}/#/survey/{survey}/office/options")
    before = sum(name.startswith("option/") for name in held(page, survey))
    page.get_by_role("button", name="New option").click()
    # Until it is stored, the one before stands there.
    each = page.get_by_role("group", name="Which option is changed below").get_by_role("button")
    expect(each).to_have_count(before + 1)
    expect(each.last).to_have_attribute("aria-pressed", "true")
    page.locator("summary").filter(has_text="Radiators and floors").click()
    page.locator("summary").filter(has_text="Study: Double").first.click()
    page.get_by_role("button", name=re.compile("^Put another in its place")).click()
    expect(page.locator("summary").filter(has_text="only in this option")).to_be_visible()
    return article


def unfold_own_radiator(page: Page) -> None:
    """Open what an option has of its own, which lies two folds deep."""
    page.locator("details").evaluate_all(
        "(all) => all.filter((one) => one.textContent.includes('only in this option')).forEach((one) => { one.open = true; })"
    )


@pytest.mark.without_engine
def test_a_side_and_a_point_are_chosen_by_enter_and_by_space(page: Page, server: Server) -> None:
    survey = open_demo_house(page, server.url)
    for part, name in (
        ("record/room/room-bathroom", re.compile("^Left side")),
        ("record/base/base-back", re.compile("^Point 5,")),
    ):
        for key in ("Enter", "Space"):
            open_screen(page, server.url, "#/")
            open_screen(page, server.url, f"#/survey/{survey}/{part}")
            target = page.locator("svg").get_by_role("button", name=name)
            expect(target).to_have_attribute("aria-pressed", "false")
            target.focus()
            page.keyboard.press(key)
            expect(target).to_have_attribute("aria-pressed", "true")


def assert_the_place_is_kept(page: Page, server: Server, addresses: list[str]) -> None:
    count = 0
    for address in addresses:
        pressed, lost = press_all(page, server.url, address, LEFT_OUT)
        assert lost == [], address
        count += len(pressed)
    # Something was pressed on them all, and each question's answer with it.
    assert count > 5 * len(addresses)


@pytest.mark.without_engine
@pytest.mark.takes(seconds=60)
def test_no_action_at_the_office_takes_the_place_of_the_keyboard_away(page: Page, server: Server) -> None:
    survey = open_demo_house(page, server.url)
    article = fill_the_newest(page, server, survey)
    here = [f"#/survey/{survey}/{part}" for part in BUSY_OFFICE_SCREENS]
    # The article last: it takes itself away.
    assert_the_place_is_kept(page, server, [*here, "#/office/firm", f"#/survey/{BOOK}/office/history", article])


@pytest.mark.without_engine
@pytest.mark.takes(seconds=60)
def test_no_action_takes_the_place_of_the_keyboard_away(page: Page, server: Server) -> None:
    # The last one here: it takes away what it stands on.
    survey = open_demo_house(page, server.url)
    assert_the_place_is_kept(page, server, [f"#/survey/{survey}/{part}" for part in BUSY_SCREENS])
