"""The photos of a large survey: the list stands in full at once and is filled in turns, none is out of reach, and one comes back to the photo one left."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.hand import back, picture, sign_in
from tests.support.chromium import Chromium
from tests.support.houses import camera_pictures, small_house, with_photos
from tests.support.server import Server

pytestmark = pytest.mark.without_engine

PHOTOS = 150
ALL = "section[aria-label='All photos']"

#: Runs before the app: counts how often the browser is asked where something lies, and notes at each drawing how many lines of the photos
#: there are and how many of them are filled.
WATCH = """(() => {
  globalThis.asked = 0;
  const { getClientRects } = Element.prototype;
  Element.prototype.getClientRects = function () {
    globalThis.asked += 1;
    return getClientRects.call(this);
  };
  globalThis.drawings = [];
  const look = () => {
    const lines = document.querySelectorAll('section[aria-label="All photos"] .photos > li');
    if (lines.length > 0) drawings.push([lines.length, [...lines].filter((line) => line.firstChild).length, document.documentElement.scrollHeight]);
    requestAnimationFrame(look);
  };
  requestAnimationFrame(look);
})();"""


@pytest.fixture(scope="module")
def office(server: Server, tmp_path_factory: pytest.TempPathFactory) -> Server:
    """The demo's server with a survey of many photos in it."""
    document = tmp_path_factory.mktemp("survey") / "many.json"
    document.write_text(json.dumps(with_photos(small_house(), list(camera_pictures(PHOTOS, 160, 120)))))
    subprocess.run(
        [Path(sys.executable).parent / "wattwalk", "import", document],
        check=True,
        capture_output=True,
        env={"WATTWALK_HOME": str(server.home)},
    )
    return server


@pytest.fixture
def page(phone: Chromium, office: Server) -> Page:
    """The walk of that survey, on a phone that has just fetched it."""
    context = phone.start(viewport={"width": 390, "height": 844})
    context.add_init_script(WATCH)
    page = phone.page()
    sign_in(page, office.url, "surveyor@demo.example", "walk-the-house")
    page.get_by_role("listitem").filter(has_text="Test household").get_by_role("button", name="Fetch").click()
    expect(page.get_by_role("link", name="Photos")).to_be_visible()
    expect(page.get_by_role("status").filter(has_text="At the office").first).to_be_visible()
    return page


def go_to_the_photos(page: Page) -> Locator:
    """Go to the photos and return their list, once all of it is filled."""
    page.get_by_role("link", name="Photos").click()
    photos = page.locator(f"{ALL} .photos")
    expect(photos.locator("a")).to_have_count(PHOTOS)
    return photos


def test_the_list_stands_in_full_at_once_and_is_filled_in_turns(page: Page) -> None:
    photos = go_to_the_photos(page)
    drawings = page.evaluate("() => drawings")
    # Of the first drawing on there is a line for each, so that the list is as long as it will be, and most are still to be filled.
    assert {lines for lines, _, _ in drawings} == {PHOTOS}
    assert 0 < drawings[0][1] < PHOTOS / 2
    assert len({filled for _, filled, _ in drawings}) > 2
    heights = [height for _, _, height in drawings]
    assert max(heights) - min(heights) < 844
    # And none is left out: by their count, for whoever listens, and for whoever looks for words.
    expect(page.get_by_role("heading", name=f"All photos ({PHOTOS})")).to_be_visible()
    expect(photos.get_by_role("listitem")).to_have_count(PHOTOS)
    expect(photos.get_by_role("link", name=f"Picture {PHOTOS}")).to_have_count(1)
    assert page.evaluate("(words) => find(words)", f"Picture {PHOTOS}")
    picture(page, "many-photos")


def test_every_photo_is_met_by_tab(page: Page) -> None:
    photos = go_to_the_photos(page)
    photos.locator("a").first.focus()
    for _ in range(PHOTOS - 1):
        page.keyboard.press("Tab")
    last = photos.locator("a").last
    expect(last).to_be_focused()
    caption = last.locator("b").inner_text()
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1, name=caption, exact=True)).to_be_visible()


def test_one_comes_back_to_the_photo_one_left(page: Page) -> None:
    photos = go_to_the_photos(page)
    for number in (60, 141):
        link = photos.locator("a").nth(number)
        link.evaluate("(link) => link.scrollIntoView({ block: 'center' })")
        expect(link.locator("img")).to_be_visible()
        before = link.evaluate("(link) => link.getBoundingClientRect().top")
        assert 0 < before < 844
        caption = link.locator("b").inner_text()
        link.click()
        expect(page.get_by_role("heading", level=1, name=caption, exact=True)).to_be_visible()
        back(page)
        expect(link).to_be_focused()
        expect(link.locator("img")).to_be_visible()
        assert abs(link.evaluate("(link) => link.getBoundingClientRect().top") - before) < 24


def test_going_there_asks_only_where_the_first_of_them_lies(page: Page) -> None:
    # To ask where one lies that is not drawn has the browser lay it out: for hundreds that took longer than all the rest.
    page.evaluate("() => { asked = 0; }")
    go_to_the_photos(page)
    assert page.evaluate("() => asked") < 20
