"""The next thing is in view: a thumb that never scrolls goes from one question to the next, and from a gap to its field and back."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.axe import violations
from tests.browser.hand import field, picture, sign_in
from tests.support.chromium import Chromium
from tests.support.server import Server
from tests.support.until import wait_until

pytestmark = pytest.mark.without_engine

PHONE = {"width": 390, "height": 844}

#: Whether a thumb meets a target, at its middle and near its top and foot: not outside the screen, not under what stays at the top or the foot.
#: And it stays where it is: what still moves is no target for a thumb.
MEETS = """async (target) => {
  const before = target.getBoundingClientRect();
  await new Promise((later) => setTimeout(later, 150));
  const at = target.getBoundingClientRect();
  if (at.top !== before.top) return false;
  const meets = (y) => {
    const met = document.elementFromPoint(at.left + at.width / 2, y);
    return met !== null && target.contains(met);
  };
  return at.height > 0 && [at.top + 4, at.top + at.height / 2, at.bottom - 4].every(meets);
}"""


class Thumb:
    """Taps where a target is, and only where it is met without scrolling."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.targets = 0

    def sees(self, target: Locator) -> None:
        """Wait until the target stands in view, by itself."""
        expect(target).to_have_count(1)
        # Asked again and again from here: the page's own waiting takes a promise for a yes.
        wait_until(lambda: target.evaluate(MEETS), lambda: self.not_met(target), self.page)
        self.targets += 1

    def not_met(self, target: Locator) -> str:
        picture(self.page, "in-view-not-met")
        return f"not in view by itself: {target}"

    def tap(self, target: Locator) -> None:
        self.sees(target)
        box = target.bounding_box()
        assert box is not None
        self.page.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)

    def button(self, words: str, within: Page | Locator | None = None) -> None:
        self.tap((within or self.page).get_by_role("button", name=words, exact=True))

    def type(self, text: str) -> None:
        """Type where the cursor is, which stands in view, and Enter."""
        self.sees(self.page.locator("input:focus"))
        self.page.keyboard.type(text)
        self.page.keyboard.press("Enter")


@pytest.fixture
def page(phone: Chromium, server: Server) -> Page:
    """A new survey on a phone without signal."""
    context = phone.start(viewport=PHONE)
    phone.allow_lasting_storage(server.url)
    page = phone.page()
    sign_in(page, server.url, "surveyor@demo.example", "walk-the-house")
    page.wait_for_function("() => navigator.serviceWorker.ready.then(() => true)")
    context.set_offline(True)
    page.get_by_role("button", name="New survey").click()
    expect(page.get_by_role("link", name=re.compile("^Rooms"))).to_be_visible()
    return page


def side(page: Page, name: str) -> Locator:
    sheet = page.get_by_role("region", name=name)
    expect(sheet).to_be_visible()
    return sheet


def enter_room(page: Page, thumb: Thumb, use: str) -> None:
    """A room from its size to its emitter: four walls, one with a window, floor, ceiling, a radiator that is kept."""
    thumb.button("New room")
    thumb.button(use)
    thumb.type("4.2 3.6 2.4")
    for place, name in enumerate(("Front side", "Right side", "Back side", "Left side")):
        sheet = side(page, name)
        thumb.button("Outside", sheet)
        if place == 0:
            thumb.button("Add a window", sheet)
            thumb.type("1.2 1.05")
            expect(sheet.get_by_text("1 × window, 1.2 × 1.05 m")).to_be_visible()
        thumb.button("Next side", sheet)
    for name in ("Floor", "Ceiling"):
        sheet = side(page, name)
        choice = sheet.get_by_role("group", name="What is beyond it?").or_(
            sheet.get_by_role("group", name="What is beyond it")
        )
        thumb.tap(choice.first.locator(".choice").first)
        expect(page.get_by_role("region", name=name, exact=True)).to_have_count(0)
    emitters = page.get_by_role("region", name="Emitters")
    thumb.tap(emitters.get_by_role("button", name=re.compile("^Double panel, one convector")))
    thumb.type("600 1200")
    thumb.tap(field(emitters, "plan").get_by_role("button").first)
    expect(field(emitters, "plan").get_by_text("Saved on this phone")).to_be_visible()


@pytest.mark.takes(seconds=30)
def test_a_room_is_entered_without_scrolling_once(page: Page) -> None:
    thumb = Thumb(page)
    thumb.tap(page.get_by_role("link", name=re.compile("^Rooms")))
    for use in ("Living room", "Kitchen"):
        enter_room(page, thumb, use)
        picture(page, f"in-view-{use}")
        thumb.tap(page.locator("a.bar-back"))
        expect(page.get_by_role("heading", name="Rooms", exact=True)).to_be_visible()
    assert thumb.targets == 39
    assert violations(page) == []


def test_after_a_choice_the_next_question_stands_in_view(page: Page) -> None:
    thumb = Thumb(page)
    page.goto(re.sub(r"$", "/stage/constructions", page.url))
    wall = page.get_by_role("region", name="Outside walls")
    thumb.tap(wall.get_by_role("button", name=re.compile("^Cavity wall, empty")))
    # What can be taken back is offered at the foot of the screen, and what is asked next stands above it.
    expect(page.get_by_role("button", name="Take it back")).to_be_visible()
    thickness = wall.locator("#field-thickness_mm input")
    thumb.sees(thickness)
    # It is typed at once.
    expect(thickness).to_be_focused()
    # What was taken stands alone, with its U-value; the others are a tap away.
    taken = wall.locator("#field-look").get_by_role("button")
    expect(taken).to_have_count(1)
    expect(taken).to_contain_text("Cavity wall, empty")
    thumb.tap(taken)
    expect(taken).to_have_count(8)
    thumb.tap(taken.filter(has_text="Cavity wall, empty"))
    # Low on the screen, the answer would leave the next question under its edge.
    page.set_viewport_size({"width": 390, "height": 480})
    choice = page.get_by_role("region", name="Glazing").locator(".choice").first
    choice.evaluate(
        """(button) => scrollBy(0, button.getBoundingClientRect().bottom + 8
            - Math.min(innerHeight, document.querySelector('.offer').getBoundingClientRect().top))"""
    )
    thumb.tap(choice)
    thumb.sees(page.get_by_role("region", name="Outside doors").locator(".field").first.locator(".field-label"))


def test_what_is_asked_before_it_is_done_opens_in_view_with_the_focus_on_it(page: Page) -> None:
    page.get_by_role("link", name=re.compile("^Rooms")).click()
    page.get_by_role("button", name="New room").click()
    page.get_by_role("button", name="Study", exact=True).click()
    ask = page.get_by_role("button", name="Take away this room")
    # As low as it goes: what it opens would lie behind the foot.
    ask.evaluate("(button) => button.scrollIntoView({ block: 'end' })")
    thumb = Thumb(page)
    thumb.tap(ask)
    expect(page.locator(".confirm")).to_be_focused()
    thumb.sees(page.get_by_role("button", name="Take it away"))
    thumb.button("Keep it")
    expect(page.locator(".confirm")).to_have_count(0)


def test_what_is_being_typed_keeps_cursor_and_place(page: Page) -> None:
    page.get_by_role("link", name=re.compile("^Rooms")).click()
    page.get_by_role("button", name="New room").click()
    page.get_by_role("button", name="Study", exact=True).click()
    line = page.get_by_label("Length × width × height")
    expect(line).to_be_focused()
    page.keyboard.type("2.2 1.8 2.4")
    # Left for another field instead of by Enter: the side that opens by itself must not take what is typed there.
    name = field(page, "name").locator("input")
    name.click()
    page.keyboard.press("End")
    page.keyboard.type(" by the")
    expect(side(page, "Front side")).to_be_visible()
    page.keyboard.type(" door")
    expect(name).to_be_focused()
    expect(name).to_have_value("Study by the door")
    name.blur()
    expect(page.get_by_role("heading", name="Study by the door")).to_be_visible()


def test_a_gap_opens_what_it_asks_for_and_the_arrow_leads_back_to_its_row(page: Page) -> None:
    thumb = Thumb(page)
    walk = page.url
    page.get_by_role("link", name=re.compile("^Rooms")).click()
    page.get_by_role("button", name="New room").click()
    page.get_by_role("button", name="Study", exact=True).click()
    expect(page.get_by_label("Length × width × height")).to_be_focused()
    page.goto(f"{walk}/stage/leaving")
    rows = page.get_by_role("main").get_by_role("link")

    def follow(words: str) -> tuple[str, float]:
        row = rows.filter(has_text=re.compile(words)).first
        row.scroll_into_view_if_needed()
        scrolled = page.evaluate("() => document.scrollingElement.scrollTop")
        target = row.get_attribute("href")
        assert target is not None
        row.click()
        return target, scrolled

    def come_back(target: str, scrolled: float) -> None:
        thumb.tap(page.locator("a.bar-back"))
        expect(page.get_by_role("heading", name="Before you leave")).to_be_visible()
        expect(page.locator(f'a[href="{target}"]')).to_be_focused()
        assert page.evaluate("() => document.scrollingElement.scrollTop") == pytest.approx(scrolled, abs=2)

    # A whole record that is missing: the part of the room that makes one.
    left = follow("An emitter in the room")
    emitters = page.get_by_role("region", name="Emitters")
    expect(emitters).to_be_focused()
    thumb.sees(emitters.get_by_role("button", name=re.compile("^Double panel, one convector")))
    come_back(*left)
    # A single answer: the cursor stands in its field.
    left = follow("Study: Length")
    thumb.sees(page.locator("input:focus"))
    come_back(*left)

    # Answered, its row is gone; one stands where one stood.
    target, _ = follow("Study: Height")
    thumb.sees(page.locator("input:focus"))
    page.keyboard.type("4 3 2.4")
    page.keyboard.press("Enter")
    expect(side(page, "Front side")).to_be_visible()
    thumb.tap(page.locator("a.bar-back"))
    expect(page.get_by_role("heading", name="Before you leave")).to_be_visible()
    expect(page.locator(f'a[href="{target}"]')).to_have_count(0)
    assert violations(page) == []
