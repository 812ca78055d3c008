"""What was taken away comes back: at once, later from its list, after a kill; and where it cannot be kept, the words say so."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser.axe import violations
from tests.browser.hand import picture, sign_in, sizes
from tests.support.chromium import Chromium
from tests.support.server import Server

pytestmark = pytest.mark.without_engine

PHONE = {"width": 390, "height": 844}
PHOTO = Path(__file__).with_name("photo.jpg")

#: The browser loses the bytes of every picture.
LOSE_PICTURES = """() => new Promise((done, fail) => {
  const asked = indexedDB.open('wattwalk');
  asked.onerror = () => fail(asked.error);
  asked.onsuccess = () => {
    const clearing = asked.result.transaction('photoBytes', 'readwrite').objectStore('photoBytes').clear();
    clearing.onsuccess = () => { asked.result.close(); done(); };
    clearing.onerror = () => fail(clearing.error);
  };
})"""


def new_survey(phone: Chromium, server: Server) -> Page:
    context = phone.start(viewport=PHONE)
    phone.allow_lasting_storage(server.url)
    page = phone.page()
    sign_in(page, server.url, "surveyor@demo.example", "walk-the-house")
    page.wait_for_function("() => navigator.serviceWorker.ready.then(() => true)")
    context.set_offline(True)
    page.get_by_role("button", name="New survey").click()
    expect(page.get_by_role("link", name=re.compile("^Rooms"))).to_be_visible()
    return page


def take_away_study(page: Page) -> None:
    """Take the room away on its own screen, which leads to the list of rooms."""
    page.get_by_role("button", name="Take away this room").click()
    page.get_by_role("button", name="Take it away").click()
    expect(page.get_by_role("heading", name="Rooms", exact=True)).to_be_visible()
    expect(page.get_by_role("main").get_by_role("link", name=re.compile("^Study"))).to_have_count(0)


@pytest.mark.takes(seconds=20)
def test_a_room_comes_back_at_once_and_from_the_list_after_a_kill(phone: Chromium, server: Server) -> None:
    page = new_survey(phone, server)
    walk = page.url
    page.get_by_role("link", name=re.compile("^Rooms")).click()
    page.get_by_role("button", name="New room").click()
    page.get_by_role("button", name="Study", exact=True).click()
    sizes(page, "Length × width × height", "3 2.5 2.4")
    front = page.get_by_role("region", name="Front side")
    front.get_by_role("button", name="Outside", exact=True).click()
    expect(front.get_by_role("button", name="Add a window")).to_be_visible()

    take_away_study(page)
    said = page.get_by_role("status").filter(has_text="Study was taken away, with one thing that belongs to it.")
    expect(said).to_be_in_viewport()
    picture(page, "bring-back-at-once")
    assert violations(page) == []
    said.get_by_role("button", name="Bring back").click()
    expect(page.get_by_role("main").get_by_role("link", name=re.compile("^Study"))).to_be_visible()
    expect(said).to_have_count(0)

    page.get_by_role("main").get_by_role("link", name=re.compile("^Study")).click()
    expect(page.get_by_role("button", name=re.compile("^Front side outside"))).to_be_visible()
    take_away_study(page)
    # Two screens on, it is no longer in the way.
    page.goto(walk)
    page.goto(f"{walk}/stage/household")
    expect(page.get_by_role("button", name="Bring back")).to_have_count(0)

    phone.kill()
    phone.start(viewport=PHONE).set_offline(True)
    page = phone.page()
    page.goto(walk)
    page.get_by_role("link", name="What was taken away").click()
    row = page.get_by_role("listitem").filter(has_text="Study")
    expect(row).to_contain_text("Room, one surface")
    picture(page, "bring-back-list")
    assert violations(page) == []
    row.get_by_role("button", name="Bring back Study").click()
    expect(page.get_by_role("status").filter(has_text="Study is back.")).to_be_visible()
    page.get_by_role("link", name="Go to it").click()
    expect(page.get_by_role("button", name=re.compile("^Front side outside"))).to_be_visible()


def test_a_photo_comes_back_until_its_picture_is_gone(phone: Chromium, server: Server) -> None:
    page = new_survey(phone, server)
    walk = page.url
    page.goto(f"{walk}/stage/photos")
    page.locator("input[type=file]").first.set_input_files(PHOTO)
    page.get_by_role("link", name=re.compile("^See:")).first.click()
    ask = page.get_by_role("button", name="Take away this photo")
    ask.click()
    expect(page.get_by_role("group", name=re.compile("can be brought back here for 30 days"))).to_be_visible()
    page.get_by_role("button", name="Take it away").click()
    said = page.get_by_role("status").filter(has_text="was taken away")
    said.get_by_role("button", name="Bring back").click()
    expect(page.get_by_role("link", name=re.compile("^See:")).first).to_be_visible()
    page.get_by_role("link", name=re.compile("^See:")).first.click()
    ask.click()
    page.get_by_role("button", name="Take it away").click()
    expect(said).to_be_visible()

    page.goto(f"{walk}/taken")
    row = page.get_by_role("main").get_by_role("listitem")
    expect(row).to_contain_text("is on this phone only, and stays here until")
    expect(row.get_by_role("button", name=re.compile("^Bring back"))).to_be_visible()
    page.evaluate(LOSE_PICTURES)
    page.reload()
    expect(row).to_contain_text("It cannot be brought back: its picture is gone. Take it again.")
    expect(row).not_to_contain_text("stays here until")
    expect(row.get_by_role("button")).to_have_count(0)


def test_filling_the_house_is_taken_back_at_once(phone: Chromium, server: Server) -> None:
    page = new_survey(phone, server)
    walk = page.url
    page.get_by_role("link", name=re.compile("^Rooms")).click()
    page.get_by_role("button", name="New room").click()
    page.get_by_role("button", name="Study", exact=True).click()
    sizes(page, "Length × width × height", "3 2.5 2.4")
    front = page.get_by_role("region", name="Front side")
    front.get_by_role("button", name="Outside", exact=True).click()
    expect(front).to_contain_text("construction needed")
    room = page.url.split("?")[0]
    page.goto(f"{walk}/stage/constructions")
    look = page.get_by_role("region", name="Outside walls").locator("#field-look")
    look.get_by_role("button", name=re.compile("^Solid brick wall")).click()
    said = page.get_by_role("status").filter(has_text="Outside walls: filled one surface.")
    said.get_by_role("button", name="Take it back").click()
    expect(said).to_have_count(0)
    # None stands alone any more: all are offered anew.
    expect(look.get_by_role("button")).to_have_count(8)
    expect(look.locator("[aria-pressed=true]")).to_have_count(0)
    page.goto(f"{room}?side=front")
    expect(front).to_contain_text("construction needed")
