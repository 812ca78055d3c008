"""A photo marked with a thumb: the arrow outlives a kill, shows wherever the photo shows, and is printed."""

from __future__ import annotations

import re
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import Page, expect

from tests.browser.ask import got
from tests.browser.hand import go_to, picture, sign_in
from tests.browser.reasons import reasons
from tests.support.chromium import Chromium
from tests.support.server import Server
from tests.support.until import wait_until
from wattwalk.office.report import FILE, gather, paper_html
from wattwalk.survey.document import read_document

pytestmark = pytest.mark.without_engine

PHOTO = Path(__file__).with_name("photo.jpg")
FULL = "four fifths full"
#: Notes every height of the line that says what is where, above everything that can be tapped.
WATCH_STRIP = """() => {
  globalThis.heights = [];
  new ResizeObserver(([strip]) =>
    globalThis.heights.push([strip.borderBoxSize[0].blockSize, strip.target.textContent])).observe(document.querySelector('.strip'));
}"""


def draw(page: Page, start: tuple[float, float], end: tuple[float, float]) -> None:
    """Draw with one finger between two places, given as shares of the picture."""
    surface = page.get_by_role("img", name="The picture, to draw on")
    surface.scroll_into_view_if_needed()
    box = surface.bounding_box()
    assert box is not None
    points = [
        (
            box["x"] + box["width"] * (start[0] + (end[0] - start[0]) * step / 6),
            box["y"] + box["height"] * (start[1] + (end[1] - start[1]) * step / 6),
        )
        for step in range(7)
    ]
    touch = page.context.new_cdp_session(page)
    for place, (x, y) in enumerate(points):
        touch.send(
            "Input.dispatchTouchEvent",
            {"type": "touchMove" if place else "touchStart", "touchPoints": [{"x": x, "y": y}]},
        )
    touch.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    touch.detach()


def take_photo(page: Page) -> None:
    go_to(page, "Photos")
    item = page.get_by_role("listitem").filter(has_text="Photo of the base").first
    item.locator("input[type=file]").first.set_input_files(PHOTO)
    expect(item.get_by_text("Saved on this phone")).to_be_visible()
    page.get_by_role("link", name="See: Photo of the base").click()


#: How high the line that says what is where is with a fault of many words in it, and how high it was.
WITH_MANY_WORDS = """() => {
  const strip = document.querySelector('.strip');
  const said = strip.querySelector('[role=status]');
  const before = [strip.offsetHeight, said.textContent];
  said.textContent = 'The storage of this phone did not take it. '.repeat(9);
  const heights = [strip.offsetHeight, before[0]];
  said.textContent = before[1];
  return heights;
}"""


def test_marks_outlive_a_kill_and_reach_the_report(phone: Chromium, server: Server) -> None:
    phone.start()
    page = phone.page()
    sign_in(page, server.url, "surveyor@demo.example", "walk-the-house")
    page.get_by_role("button", name="New survey").click()
    take_photo(page)
    page.get_by_role("button", name="Mark it").click()
    page.evaluate(WATCH_STRIP)
    draw(page, (0.2, 0.8), (0.6, 0.4))
    status = page.get_by_role("region", name="Mark the photo").get_by_role("status")
    expect(status).to_have_text("Saved on this phone")
    expect(page.get_by_role("group", name="Which end to move")).to_be_visible()
    # The tip is chosen and stands under the thumb: taken hold of, it moves and no second arrow comes.
    draw(page, (0.6, 0.4), (0.7, 0.3))
    page.get_by_role("button", name="Ring", exact=True).click()
    draw(page, (0.1, 0.1), (0.3, 0.25))
    page.get_by_role("button", name="Words", exact=True).click()
    page.get_by_role("button", name="Put one in the middle").click()
    page.get_by_label("Words on the picture").fill("Crack in the slab")
    page.get_by_role("button", name="Put them there").click()
    expect(page.locator(".photo-mark")).to_have_count(3)
    picture(page, "40-photo-marks")
    page.get_by_role("button", name="Undo").click()
    expect(page.locator(".photo-mark")).to_have_count(2)
    page.get_by_role("button", name="Put one in the middle").click()
    page.get_by_label("Words on the picture").fill("Crack in the slab")
    page.get_by_role("button", name="Put them there").click()
    expect(page.locator(".photo-mark")).to_have_count(3)
    page.get_by_role("button", name="Move it up").click()
    expect(status).to_have_text("Saved on this phone")
    # Whatever is saved and sent meanwhile, and however long the words for that are, the picture below stands still under the thumb.
    expect(page.get_by_role("status").filter(has_text=re.compile("^At the office"))).to_be_visible()
    heights = page.evaluate("() => globalThis.heights")
    assert len(heights) == 1, heights
    long, usual = page.evaluate(WITH_MANY_WORDS)
    assert long == usual
    address = page.url

    phone.kill()
    phone.start()
    page = phone.page()
    page.goto(address)
    expect(
        page.get_by_role("img", name=re.compile("Marked with an arrow, a ring and the words “Crack in the slab”"))
    ).to_be_visible()
    expect(page.locator(".picture-marks .photo-mark")).to_have_count(3)
    picture(page, "41-photo-with-marks")
    survey = re.search(r"#/survey/([^/?]+)", address)
    assert survey is not None
    at_the_office(page, server, survey[1])


def at_the_office(page: Page, server: Server, survey: str) -> None:
    strip = page.get_by_role("status").filter(has_text=re.compile("^(At the office|Sign in again)"))
    expect(strip).to_be_visible()
    if page.get_by_role("link").filter(has_text="Sign in again").count():
        page.get_by_role("link").filter(has_text="Sign in again").click()
        page.get_by_label("Email").fill("surveyor@demo.example")
        page.get_by_label("Password").fill("walk-the-house")
        page.get_by_role("button", name="Sign in").click()
        expect(page.get_by_role("status").filter(has_text=re.compile("^At the office"))).to_be_visible()
    page.goto(f"{server.url}/#/survey/{survey}/stage/photos")
    expect(page.get_by_text("The one photo of this phone is at the office.")).to_be_visible()
    # A photo in a list is read when it comes near the screen.
    page.locator(".photos > li").first.scroll_into_view_if_needed()
    expect(page.locator(".photos .photo-mark")).to_have_count(3)
    picture(page, "42-photos-with-marks")
    page.goto(f"{server.url}/#/survey/{survey}/office/came")
    page.locator(".office-photos > li").first.scroll_into_view_if_needed()
    expect(page.locator(".office-photos .photo-mark")).to_have_count(3)

    view = got(page, f"{server.url}/api/surveys/{survey}").json()
    (photo,) = view["records"]["photo"]
    arrow = next(item for item in photo["strokes"] if item["shape"] == "arrow")
    assert [arrow["x1"], arrow["y1"]] == pytest.approx([0.2, 0.8], abs=0.02)
    assert [arrow["x2"], arrow["y2"]] == pytest.approx([0.7, 0.3], abs=0.02)
    content = got(page, f"{server.url}/api/surveys/{survey}/photos/{photo['sha256']}").body()
    with Image.open(BytesIO(content)) as kept:
        # The photo itself is untouched: the marks are drawn over it wherever it is shown.
        assert kept.size == (photo["width_px"], photo["height_px"])
    document = read_document(got(page, f"{server.url}/api/surveys/{survey}/document").json())
    html = paper_html(
        gather(
            document,
            firm={"name": "Invented Heating"},
            version=1,
            made_on="2026-03-31",
            photos={photo["sha256"]: content},
        ),
        FILE,
    )
    assert "Marked with an arrow, a ring and the words “Crack in the slab”." in html
    asked = page.context.request.post(
        f"{server.url}/api/surveys/{survey}/reports",
        data=reasons(page, f"{server.url}/api/surveys/{survey}"),
    )
    assert asked.status == 202, asked.text()
    job = f"{server.url}{asked.headers['location']}"
    wait_until(lambda: got(page, job).json()["state"] not in {"waiting", "rendering"}, "it is not made", page)
    assert got(page, job).json()["state"] == "ready"
    assert got(page, f"{server.url}/api/surveys/{survey}/reports/1.pdf").body().startswith(b"%PDF-")


def test_photos_stop_with_words_before_the_storage_is_full(phone: Chromium, server: Server) -> None:
    context = phone.start()
    context.add_init_script(
        "Object.defineProperty(navigator.storage, 'estimate', { value: async () => ({ usage: 81, quota: 100 }) })"
    )
    page = phone.page()
    sign_in(page, server.url, "surveyor@demo.example", "walk-the-house")
    page.get_by_role("button", name="New survey").click()
    go_to(page, "Photos")
    expect(page.get_by_text(re.compile(FULL)).first).to_be_visible()
    item = page.get_by_role("listitem").filter(has_text="Photo of the base").first
    item.locator("input[type=file]").first.set_input_files(PHOTO)
    dialog = page.get_by_role("dialog", name="Not saved")
    expect(dialog.get_by_text(re.compile(FULL))).to_be_visible()
    dialog.get_by_role("button", name="Leave it for now").click()
    expect(item.get_by_text("Saved on this phone")).to_have_count(0)
