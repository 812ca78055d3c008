"""The first minute with the app, and the app on the home screen: where to begin, how to install, where one is, what is shared into it."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.ask import got
from tests.browser.axe import violations
from tests.browser.hand import answer, back, open_demo_house, sign_in, unfold
from tests.browser.held import held
from tests.browser.keyboard import open_screen
from tests.support.chromium import Chromium
from tests.support.server import Server
from tests.support.until import until, wait_until

PHOTO = Path(__file__).with_name("photo.jpg")
SIZE = {"width": 390, "height": 844}
LEEDS = {"latitude": 53.8, "longitude": -1.55, "accuracy": 18}

#: How much waits for the office on this phone, by its own store.
_WAITING = """() => new Promise((done, failed) => {
  const asked = indexedDB.open('wattwalk');
  asked.onerror = () => failed(asked.error);
  asked.onsuccess = () => {
    const count = asked.result.transaction('outbox').objectStore('outbox').count();
    count.onsuccess = () => { asked.result.close(); done(count.result); };
  };
})"""
#: What another app does that shares pictures: the browser sends them as a form to the address that the manifest names.
_SHARE = """async (pictures) => {
  const form = new FormData();
  for (const [name, base64] of pictures)
    form.append('photos', new File([Uint8Array.from(atob(base64), (letter) => letter.charCodeAt(0))], name, { type: 'image/jpeg' }));
  const answer = await fetch('/share', { method: 'POST', body: form, redirect: 'manual' });
  return answer.type;
}"""
#: A browser that shows numbers on the icon, and notes them.
_BADGE = """(() => {
  globalThis.badges = [];
  Navigator.prototype.setAppBadge = (count) => { badges.push(count); return Promise.resolve(); };
  Navigator.prototype.clearAppBadge = () => { badges.push(0); return Promise.resolve(); };
})();"""


@pytest.fixture
def page(phone: Chromium, server: Server) -> Page:
    context = phone.start(viewport=SIZE, reduced_motion="reduce")
    context.add_init_script(_BADGE)
    return phone.page()


def surveyor(page: Page, server: Server) -> None:
    sign_in(page, server.url, "surveyor@demo.example", "walk-the-house")
    page.wait_for_function("() => navigator.serviceWorker.ready.then(() => true)")


def test_an_empty_list_offers_the_door_and_a_demo_house_that_stays_here(page: Page, server: Server) -> None:
    surveyor(page, server)
    page.context.set_offline(True)
    begin = page.get_by_role("region", name="Begin")
    expect(begin.get_by_role("button", name="Start at the door")).to_be_visible()
    for theme in ("light", "dark"):
        page.emulate_media(color_scheme=theme)
        assert violations(page) == []
    begin.get_by_role("button", name="Try the demo house here").click()
    expect(page.get_by_role("heading", name=re.compile("Thimbleworth"))).to_be_visible()
    # The engine on the phone works it out, without an office.
    expect(page.locator(".foot")).to_contain_text(re.compile(r"Heat loss \d"))
    open_screen(page, server.url, "#/survey/demo:house/record/note/note-dog")
    answer(page, "words", "Tried out.")
    assert page.evaluate(_WAITING) == 0
    page.reload()
    expect(page.get_by_role("status").first).to_have_text("Nothing waiting · office out of reach")
    page.goto(f"{server.url}/#/survey/demo:house/office")
    expect(page.get_by_text("The demo house of this phone is not at the office")).to_be_visible()
    page.goto(f"{server.url}/#/")
    expect(page.get_by_text("Invented, to try things on: stays on this phone")).to_be_visible()
    page.context.set_offline(False)
    page.get_by_role("button", name="New survey").click()
    expect(page.get_by_role("link", name=re.compile("Household"))).to_be_visible()
    expect(page.get_by_role("status").first).to_have_text(re.compile("^At the office"))
    listed = got(page, f"{server.url}/api/surveys").json()["surveys"]
    assert all(":" not in item["id"] for item in listed)
    assert got(page, f"{server.url}/api/surveys/demo:house").status == 404


@pytest.mark.without_engine
def test_the_phone_asks_to_install_once(page: Page, server: Server) -> None:
    surveyor(page, server)
    offer = page.get_by_text("Put Wattwalk on the home screen before the first survey.")
    expect(offer).to_be_visible()
    # Where the browser can do it by itself it is asked to; the ways in words are for all others.
    page.get_by_role("button", name=re.compile("^(Understood|Not on this device)$")).click()
    expect(offer).to_have_count(0)
    page.reload()
    expect(page.get_by_role("heading", name="Surveys", exact=True)).to_be_visible()
    expect(page.get_by_role("region", name="Begin")).to_be_visible()
    expect(offer).to_have_count(0)
    page.goto(f"{server.url}/#/sync")
    page.get_by_text("Put it on the home screen").click()
    expect(page.get_by_text(re.compile("Three dots or lines"))).to_be_visible()


@pytest.mark.without_engine
def test_station_and_nation_are_offered_by_postcode_and_by_position_and_the_height_is_not(
    page: Page, server: Server
) -> None:
    surveyor(page, server)
    page.context.set_offline(True)
    page.get_by_role("button", name="Start at the door").click()
    expect(page.get_by_role("link", name=re.compile("Household"))).to_be_visible()
    survey = page.url.rsplit("/", 1)[-1]
    record = next(name for name in held(page, survey) if name.startswith("survey/"))
    open_screen(page, server.url, f"#/survey/{survey}/record/{record}")
    where = page.get_by_role("region", name="Station and nation")
    answer(page, "postcode", "EH1 0VK")
    unfold(page, "nation")
    code = where.get_by_role("group", name="By the postcode EH1 0VK")
    code.get_by_role("button", name="Take Edinburgh").click()
    expect(code.get_by_text("Saved on this phone")).to_be_visible()
    code.get_by_role("button", name="Take Scotland").click()
    expect(code.get_by_role("button")).to_have_count(0)
    taken = {"design_location": "edinburgh", "nation": "scotland"}
    wait_until(lambda: taken.items() <= held(page, survey)[record].items(), "what was taken is not kept", page)

    ask = where.get_by_role("button", name="Use the position of this phone")
    ask.click()
    expect(where.get_by_role("alert")).to_contain_text("not allowed to this app")
    page.context.grant_permissions(["geolocation"], origin=server.url)
    page.context.set_geolocation(LEEDS)
    ask.click()
    expect(where).to_contain_text("within about 18 m")
    expect(where).to_contain_text("The height above the sea is not known by this: read it from a map.")
    found = where.get_by_role("group", name="By the position")
    found.get_by_role("button", name=re.compile("^Take England")).click()
    expect(found.get_by_text("Saved on this phone")).to_be_visible()
    assert violations(page) == []
    kept = held(page, survey)
    assert kept[record]["nation"] == "england"
    # Nothing of the position is kept, and no height.
    assert "altitude_m" not in kept[record]
    assert "53.8" not in json.dumps(kept)

    page.context.set_geolocation({**LEEDS, "accuracy": 40_000})
    ask.click()
    expect(where).to_contain_text("Nothing can be chosen by it")
    expect(found).to_have_count(0)


@pytest.mark.without_engine
def test_shortcuts_lead_into_a_new_survey_and_into_the_last(page: Page, server: Server) -> None:
    surveyor(page, server)
    manifest = json.loads(page.evaluate("async () => (await fetch('/manifest.webmanifest')).text()"))
    addresses = [item["url"] for item in manifest["shortcuts"]]
    assert addresses == ["/#/new", "/#/last"]
    page.goto("about:blank")
    page.goto(f"{server.url}{addresses[0]}")
    expect(page).to_have_url(re.compile("#/survey/"))
    made = page.url
    # The way back does not lead through the address again, which would begin another one.
    page.go_back()
    expect(page).to_have_url("about:blank")
    page.go_forward()
    expect(page).to_have_url(made)
    page.reload()
    expect(page.get_by_role("link", name=re.compile("Household"))).to_be_visible()
    page.goto("about:blank")
    page.goto(f"{server.url}{addresses[0]}")
    expect(page).to_have_url(re.compile("#/survey/"))
    assert page.url != made
    page.goto(made)
    expect(page.get_by_role("link", name=re.compile("Household"))).to_be_visible()
    page.goto("about:blank")
    page.goto(f"{server.url}{addresses[1]}")
    expect(page).to_have_url(made)
    back(page)
    # Neither address is a page of its own, and nothing was begun twice.
    expect(page.locator("main ul.list").first.locator("> li")).to_have_count(2)


def shared(page: Page, *pictures: tuple[str, bytes]) -> None:
    import base64

    assert page.evaluate(_SHARE, [[name, base64.b64encode(picture).decode()] for name, picture in pictures]) == (
        "opaqueredirect"
    )


@pytest.mark.without_engine
def test_pictures_that_are_shared_without_signal_wait_until_they_are_saved_in_a_survey(
    page: Page, server: Server
) -> None:
    survey = open_demo_house(page, server.url)
    until(page, "() => navigator.serviceWorker.ready.then(() => navigator.serviceWorker.controller !== null)")
    page.context.set_offline(True)
    before = {name for name in held(page, survey) if name.startswith("photo/")}
    shared(page, ("boiler.jpg", PHOTO.read_bytes()), ("no picture.jpg", b"no picture at all"))
    page.goto(f"{server.url}/#/")
    page.reload()
    expect(page.get_by_text("2 pictures that were shared wait for a survey.")).to_be_visible()
    page.get_by_role("link", name="Say into which").click()
    waiting = page.get_by_role("list", name="Waiting pictures").get_by_role("listitem")
    expect(waiting).to_have_count(2)
    # While the store takes nothing, nothing is called saved and nothing is let go of.
    page.evaluate(
        "() => { globalThis.put = IDBObjectStore.prototype.put; IDBObjectStore.prototype.put = () => { throw new DOMException('full', 'QuotaExceededError'); }; }"
    )
    page.get_by_role("button", name=re.compile("Thimbleworth")).click()
    page.get_by_role("dialog").get_by_role("button", name=re.compile("^(Give up|Leave|Go on|Not now)")).first.click()
    expect(page.get_by_role("alert").first).to_contain_text("is not saved")
    expect(page.get_by_text("Saved on this phone")).to_have_count(0)
    expect(waiting).to_have_count(2)
    page.evaluate("() => { IDBObjectStore.prototype.put = globalThis.put; }")
    page.get_by_role("button", name=re.compile("Thimbleworth")).click()
    expect(page.get_by_text("Saved on this phone: 1 photo")).to_be_visible()
    expect(page.get_by_role("alert").first).to_contain_text("no picture.jpg: ")
    expect(waiting).to_have_count(1)
    assert len({name for name in held(page, survey) if name.startswith("photo/")} - before) == 1
    assert violations(page) == []
    page.get_by_role("button", name="They belong in none").click()
    page.get_by_role("button", name="Let them go").click()
    expect(waiting).to_have_count(0)
    # What waits for the office is the number on the icon.
    badges: list[Any] = page.evaluate("() => badges")
    assert badges[-1] > 0
    page.context.set_offline(False)
    page.goto(f"{server.url}/#/sync")
    page.get_by_role("button", name="Send and fetch now").click()
    page.wait_for_function("() => badges.at(-1) === 0")
