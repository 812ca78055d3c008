"""A house of two ages on the phone: an extension is added at the rooms, and one choice in a room says which part it is in."""

from __future__ import annotations

import re

from playwright.sync_api import expect

from tests.browser.hand import answer, back, choose, field, go_to, picture, sign_in, sizes
from tests.support.chromium import Chromium
from tests.support.server import Server


def test_a_room_is_put_into_an_extension(phone: Chromium, server: Server) -> None:
    context = phone.start()
    phone.allow_lasting_storage(server.url)
    page = phone.page()
    sign_in(page, server.url, "surveyor@demo.example", "walk-the-house")
    page.wait_for_function("() => navigator.serviceWorker.ready.then(() => true)")
    context.set_offline(True)
    page.get_by_role("button", name="New survey").click()
    go_to(page, "Rooms")
    page.get_by_role("button", name="New room").click()
    page.get_by_role("button", name="Kitchen", exact=True).click()
    sizes(page, "Length × width × height", "4 x 3 x 2.4")
    expect(page.get_by_role("button", name=re.compile("^Front side"))).to_be_visible()
    # While the house has only one part, nobody is asked for it.
    expect(field(page, "extension")).to_have_count(0)
    back(page)
    page.get_by_role("button", name="Add: extension").click()
    answer(page, "name", "Rear extension")
    choose(page, "age_band", "2012 to 2022")
    picture(page, "extension")
    back(page)
    expect(page.get_by_role("heading", name="Household and meter")).to_be_visible()
    back(page)
    go_to(page, "Rooms")
    page.get_by_role("link", name=re.compile("Kitchen")).first.click()
    choose(page, "extension", "Rear extension")
    picture(page, "room_in_extension")
    page.get_by_role("button", name="Another like this").click()
    expect(page.get_by_role("heading", name="Kitchen 2")).to_be_visible()
    expect(field(page, "extension").locator("option:checked")).to_have_text("Rear extension")
    back(page)
    expect(page.get_by_role("link", name=re.compile("Kitchen 2.*Rear extension"))).to_be_visible()
    picture(page, "rooms_with_extension")
