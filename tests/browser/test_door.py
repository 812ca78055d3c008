"""Nobody who has left may still read it: papers, photos, the phone's stores, what the screen flashes, what another tab has open, and a sign-out without signal."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from collections.abc import Iterator
from http.client import HTTPConnection
from pathlib import Path
from urllib.request import HTTPCookieProcessor, build_opener
from urllib.request import Request as HttpRequest

import pytest
from playwright.sync_api import BrowserContext, Page, Request, Route, expect

from tests.browser.hand import answer, field, go_to, open_demo_house, picture, sign_in
from tests.support.cast import change
from tests.support.chromium import Chromium
from tests.support.server import Server
from tests.support.until import PATIENCE_S, wait_until

SURVEYOR, PASSWORD = "surveyor@demo.example", "walk-the-house"
#: Somebody of another firm, who uses the same browser afterwards.
OTHER, OTHERS_PASSWORD = "cora@burdock.example", "a password of another firm"
#: What the demo house says wherever it lies; the app's own files bring it along, for everybody.
OF_THE_DEMO = ["Thimbleworth", "demo-house"]
#: Said of the house at the office alone.
REMARK = "The key lies with Quillon at number nine."
#: What would tell of the demo house and of whoever surveyed it.
OF_THE_HOUSE = [*OF_THE_DEMO, REMARK, SURVEYOR]
AT_THE_OFFICE = re.compile("^At the office")

#: Looks through everything that a browser keeps for the app and names the places in which one of the words stands.
PLACES = """async ([words, ofTheDemo]) => {
  const found = [];
  const look = (place, text, but = []) => { for (const word of words) if (!but.includes(word) && text.includes(word)) found.push(`${place}: ${word}`); };
  const asText = (bytes) => new TextDecoder('latin1').decode(bytes);
  const plain = (_key, value) => (value instanceof ArrayBuffer ? asText(value) : value);
  for (const { name } of await indexedDB.databases()) {
    const store = await new Promise((done, fail) => {
      const asked = indexedDB.open(name);
      asked.onsuccess = () => done(asked.result);
      asked.onerror = () => fail(asked.error);
    });
    for (const table of store.objectStoreNames) {
      const rows = await new Promise((done, fail) => {
        const asked = store.transaction(table).objectStore(table).getAll();
        asked.onsuccess = () => done(asked.result);
        asked.onerror = () => fail(asked.error);
      });
      look(`IndexedDB ${table}`, JSON.stringify(rows, plain));
    }
    store.close();
  }
  const walk = async (folder, path) => {
    for await (const [name, entry] of folder.entries()) {
      look('file names', name);
      if (entry.kind === 'directory') await walk(entry, `${path}/${name}`);
      else look(`files ${path}/${name}`, asText(await (await entry.getFile()).arrayBuffer()));
    }
  };
  await walk(await navigator.storage.getDirectory(), '');
  for (const name of await caches.keys()) {
    const cache = await caches.open(name);
    for (const request of await cache.keys()) {
      look('cache addresses', request.url);
      const kept = asText(await (await cache.match(request)).arrayBuffer());
      look(`cache ${name} ${request.url}`, kept, name.startsWith('workbox-precache') ? ofTheDemo : []);
    }
  }
  for (const store of [localStorage, sessionStorage]) look('settings', JSON.stringify(Object.entries(store)));
  return found;
}"""

#: What each way to an address gives: from the office, from the browser's cache first, from that cache only, from the app's own caches.
WAYS = """async (address) => {
  const ask = (cache) => fetch(address, { cache, mode: 'same-origin' }).then((answer) => answer.status, () => 'nothing');
  return [await ask('default'), await ask('force-cache'), await ask('only-if-cached'), (await caches.match(address)) ? 'kept' : 'nothing'];
}"""

FROM_CACHE = "(address) => fetch(address, { cache: 'only-if-cached', mode: 'same-origin' }).then((answer) => answer.status, () => 'nothing')"

#: Notes all that ever stands on the page, from its first moment on.
WATCH = """
globalThis.everShown = '';
new MutationObserver(() => { globalThis.everShown += `\\n${document.title} ${document.body?.innerText ?? ''}`; }).observe(document, { subtree: true, childList: true, characterData: true });
"""


@pytest.fixture(scope="module", autouse=True)
def other_firm(server: Server) -> None:
    command = [
        str(Path(sys.executable).parent / "wattwalk"),
        "user",
        "add",
        OTHER,
        "--firm",
        "Burdock Heating",
        "--name",
        "Cora",
    ]
    subprocess.run(
        command,
        check=True,
        capture_output=True,
        input=OTHERS_PASSWORD.encode(),
        env={"WATTWALK_HOME": str(server.home)},
    )


@pytest.fixture(scope="module", autouse=True)
def remark(server: Server) -> None:
    """Have something said of the house at the office that no file of the app can say."""
    asked = build_opener(HTTPCookieProcessor())
    noted = change("of-the-house-alone", "words", REMARK, kind="note")
    for path, body in (
        ("/api/session", {"email": SURVEYOR, "password": PASSWORD}),
        ("/api/surveys/demo-house/changes", {"device": "tablet", "app": "0.1.0", "changes": [noted]}),
    ):
        sent = HttpRequest(server.url + path, json.dumps(body).encode(), {"Content-Type": "application/json"})
        with asked.open(sent) as answer:
            said = json.load(answer)
    assert [item["status"] for item in said["results"]] == ["accepted"]


@pytest.fixture(autouse=True)
def office_answers(server: Server) -> Iterator[None]:
    yield
    if not server.is_running:
        server.start()


def places(page: Page, *more: str) -> list[str]:
    """Return where the browser keeps something of the house, or one of more words."""
    return page.evaluate(PLACES, [[*OF_THE_HOUSE, *more], OF_THE_DEMO])


def sign_out(page: Page, *, is_locking: bool = False) -> None:
    page.goto(page.url.split("#")[0] + "#/sync")
    page.get_by_role("button", name="Sign out").click()
    page.get_by_role("button", name="Sign out").click()
    if is_locking:
        page.get_by_role("button", name="Sign out and leave it locked").click()
    expect(page.get_by_role("button", name="Sign in")).to_be_visible()


def session_cookies(context: BrowserContext) -> list[str]:
    """Return the names of the cookies that open anything; the mark by which a device is known again opens nothing."""
    return [cookie["name"] for cookie in context.cookies() if not cookie["name"].endswith("-device")]


def token_of(context: BrowserContext) -> str:
    return next(cookie["value"] for cookie in context.cookies() if cookie["name"] == "wattwalk")


def status_with(server: Server, token: str) -> int:
    """What the office answers to whoever still holds this cookie."""
    line = HTTPConnection("127.0.0.1", server.port, timeout=PATIENCE_S)
    line.request("GET", "/api/session", headers={"Cookie": f"wattwalk={token}"})
    try:
        return line.getresponse().status
    finally:
        line.close()


def papers_of(page: Page, survey: str) -> list[str]:
    """Have a person look at a report, a photo and its small copy, and return the addresses."""
    view = page.evaluate("async (id) => (await fetch(`/api/surveys/${id}`)).json()", survey)
    photo = f"/api/surveys/{survey}/photos/{next(item['sha256'] for item in view['photos'] if item['arrived'])}"
    addresses = [
        f"/api/surveys/{survey}/reports/1.pdf",
        photo,
        f"{photo}/preview",
        f"/api/surveys/{survey}",
        "/api/surveys",
    ]
    for address in addresses:
        # As a tab of its own and as part of a page, as the screens do.
        assert (
            page.evaluate(
                "async (at) => { const answer = await fetch(at); await answer.arrayBuffer(); return answer.status; }",
                address,
            )
            == 200
        )
    tab = page.context.new_page()
    tab.goto(page.url.split("/#")[0] + photo)
    tab.close()
    return addresses


def test_papers_photos_and_stores_are_shut_to_whoever_comes_next(laptop: Chromium, server: Server) -> None:
    laptop.start().add_init_script(WATCH)
    page = laptop.page()
    survey = open_demo_house(page, server.url)
    page.wait_for_function("() => navigator.serviceWorker.ready.then(() => true)")
    addresses = papers_of(page, survey)
    page.goto(f"{server.url}/#/survey/{survey}/office/came")
    page.locator(".office-photos img").first.scroll_into_view_if_needed()
    expect(page.locator(".office-photos img").first).to_have_js_property("complete", value=True)
    inside = page.url
    held = places(page)
    assert {place.split(" ")[0] for place in held} >= {"IndexedDB", "files"}, (
        "there is nothing that a sign-out could leave behind"
    )
    assert [place for place in held if place.endswith(REMARK)], "what only this house says is not looked for"
    for address in addresses:
        assert page.evaluate(WAYS, address) == [200, 200, "nothing", "nothing"], address
    page.evaluate("() => fetch('/addresses.json').then((answer) => answer.text())")
    assert page.evaluate(FROM_CACHE, "/addresses.json") == 200
    token = token_of(page.context)

    sign_out(page)
    assert places(page) == []
    # The browser's cache is emptied too, of whatever an earlier version let it keep.
    wait_until(
        lambda: page.evaluate(FROM_CACHE, "/addresses.json") == "nothing", "the browser's cache is not emptied", page
    )
    assert session_cookies(page.context) == []
    assert status_with(server, token) == 401
    for address in addresses:
        assert page.evaluate(WAYS, address) == [401, 401, "nothing", "nothing"], address
    for come_back in (inside, f"{server.url}/#/office", f"{server.url}/#/sync"):
        tab = page.context.new_page()
        tab.goto(come_back)
        expect(tab.get_by_role("button", name="Sign in")).to_be_visible()
        tab.wait_for_timeout(300)
        shown = tab.evaluate("() => globalThis.everShown")
        assert "Sign in" in shown
        assert [word for word in OF_THE_HOUSE if word in shown] == [], come_back
        tab.close()

    sign_in(page, server.url, OTHER, OTHERS_PASSWORD)
    for address in addresses[:-1]:
        assert page.evaluate(WAYS, address) == [404, 404, "nothing", "nothing"], address
    for come_back in (inside, f"{server.url}/#/office", f"{server.url}/#/sync", f"{server.url}/#/"):
        page.goto(come_back)
        page.wait_for_timeout(300)
        assert [word for word in OF_THE_HOUSE if word in page.evaluate("() => globalThis.everShown")] == [], come_back
    assert places(page) == []
    sign_out(page)


@pytest.mark.without_engine
def test_a_sign_out_without_signal_is_remembered_and_comes_first(phone: Chromium, server: Server) -> None:
    phone.start()
    sign_in(phone.page(), server.url, SURVEYOR, PASSWORD)
    phone.page().get_by_role("listitem").filter(has_text="Thimbleworth").get_by_role("button", name="Fetch").click()
    expect(phone.page().locator(".foot-figures")).to_contain_text("Heat loss")
    home = phone.page().url
    phone.page().wait_for_function("() => navigator.serviceWorker.ready.then(() => true)")
    # Closed in good order once, so that the browser has written its cookie down.
    phone.close()
    context = phone.start()
    token = token_of(context)
    context.set_offline(True)
    server.stop()
    page = phone.page()
    page.goto(home)
    expect(page.locator(".foot-figures")).to_contain_text("Heat loss")
    sign_out(page)
    expect(page.get_by_text("The office has still to hear of it")).to_be_visible()
    picture(page, "signed-out-without-signal")
    assert token_of(context) == token, "a page cannot take this cookie away, which is what all this is for"
    phone.kill()

    # Without the office the phone stays as it was left: signed out.
    context = phone.start()
    context.add_init_script(WATCH)
    context.set_offline(True)
    page = phone.page()
    page.goto(home)
    expect(page.get_by_text("The office has still to hear of it")).to_be_visible()
    assert [word for word in OF_THE_HOUSE if word in page.evaluate("() => globalThis.everShown")] == []
    page.get_by_label("Email").fill(OTHER)
    page.get_by_label("Password").fill(OTHERS_PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    expect(page.get_by_text("It has to hear first that somebody has signed out here.")).to_be_visible()
    phone.kill()

    server.start()
    assert status_with(server, token) == 200
    context = phone.start()
    assert token_of(context) == token
    # A browser holds the answer that empties its cache back until that is done, for half a minute where it is busy: nothing waits for it.
    held: list[Route] = []
    context.route("**/api/cache", lambda route: held.append(route))
    asked: list[Request] = []
    context.on("request", lambda request: asked.append(request) if "/api/" in request.url else None)
    page = phone.page()
    page.goto(home)
    expect(page.get_by_text("The office has still to hear of it")).to_have_count(0)
    wait_until(lambda: held, "nobody asks for the cache to be emptied", page)
    page.wait_for_timeout(1_500)
    assert [(request.method, request.url.split("?")[0].removeprefix(server.url)) for request in asked] == [
        ("DELETE", "/api/session"),
        ("DELETE", "/api/cache"),
    ]
    assert status_with(server, token) == 401
    assert session_cookies(context) == []
    expect(page.get_by_role("button", name="Sign in")).to_be_visible()
    assert places(page) == []
    sign_in(page, server.url, OTHER, OTHERS_PASSWORD)
    assert page.evaluate("async () => (await (await fetch('/api/session')).json()).user.email") == OTHER
    # Nobody has been told that it is done, so a page that begins anew asks for it again.
    assert len(held) >= 1
    sign_out(page)


def test_unsent_work_stays_locked_to_its_person(phone: Chromium, server: Server) -> None:
    context = phone.start()
    page = phone.page()
    sign_in(page, server.url, SURVEYOR, PASSWORD)
    page.wait_for_function("() => navigator.serviceWorker.ready.then(() => true)")
    context.set_offline(True)
    page.get_by_role("button", name="New survey").click()
    go_to(page, "Household and meter")
    go_to(page, "Household and house")
    answer(page, "household_name", "Medlar")
    answer(page, "postcode", "B99 9ZV")
    form = page.url
    survey = form.split("/survey/")[1].split("/")[0]
    page.goto(f"{server.url}/#/sync")
    page.get_by_role("button", name="Sign out").click()
    page.get_by_role("button", name="Sign out").click()
    expect(page.get_by_text(re.compile(r"On this phone only: \d+ changes waiting\."))).to_be_visible()
    picture(page, "sign-out-with-unsent-work")
    page.get_by_role("button", name="Stay signed in").click()
    sign_out(page, is_locking=True)
    expect(page.get_by_text(re.compile(r"^\d+ changes wait on this phone, locked\."))).to_be_visible()
    picture(page, "sign-in-with-locked-work")

    words = ["Medlar", "B99 9ZV", survey, SURVEYOR]
    context.add_init_script(WATCH)
    context.set_offline(False)
    sign_in(page, server.url, OTHER, OTHERS_PASSWORD)
    for address in ("#/", "#/sync", "#/office", form.split("/", 3)[3], f"#/survey/{survey}/office"):
        page.goto(f"{server.url}/{address}")
        page.wait_for_timeout(400)
        # The address itself names the survey; the page does not.
        assert [word for word in words if word in page.evaluate("() => globalThis.everShown")] == [], address
    page.goto(f"{server.url}/#/sync")
    expect(page.get_by_text(re.compile(r"^\d+ changes of somebody else wait on this phone, locked\."))).to_be_visible()
    expect(page.get_by_role("button", name="Save a copy to a file")).to_have_count(0)
    expect(page.get_by_text("Nothing waiting")).to_be_visible()
    picture(page, "locked-work-of-somebody-else")
    page.get_by_role("button", name="Send and fetch now").click()
    expect(page.get_by_role("status").filter(has_text=AT_THE_OFFICE)).to_be_visible()
    assert page.evaluate("async () => (await (await fetch('/api/surveys')).json()).surveys") == []
    sign_out(page)
    phone.kill()

    phone.start()
    page = phone.page()
    sign_in(page, server.url, SURVEYOR, PASSWORD)
    expect(page.get_by_role("link", name=re.compile("Medlar"))).to_be_visible()
    expect(page.get_by_role("status").filter(has_text=AT_THE_OFFICE)).to_be_visible()
    listed = page.evaluate("async () => (await (await fetch('/api/surveys')).json()).surveys")
    assert [item["postcode"] for item in listed if item["id"] == survey] == ["B99 9ZV"]
    page.goto(form)
    expect(field(page, "household_name").locator("input")).to_have_value("Medlar")


def test_signing_out_in_one_tab_shuts_the_others(phone: Chromium, server: Server) -> None:
    context = phone.start()
    first = phone.page()
    sign_in(first, server.url, SURVEYOR, PASSWORD)
    first.get_by_role("listitem").filter(has_text="Thimbleworth").get_by_role("button", name="Fetch").click()
    expect(first.locator(".foot-figures")).to_contain_text("Heat loss")
    second = context.new_page()
    second.goto(f"{first.url}/stage/rooms")
    second.locator("main ul.list a").first.click()
    second.get_by_role("button", name="Write here instead").click()
    size = second.get_by_label("Length × width × height")
    size.fill("not a size")
    size.blur()
    assert second.evaluate("() => sessionStorage.getItem('wattwalk-drafts')").count("not a size") == 1
    second.evaluate("() => { globalThis.isThePageOfBefore = true; }")
    sign_out(first)
    expect(second.get_by_role("button", name="Sign in")).to_be_visible()
    # What the page had in memory is gone with it.
    assert second.evaluate("() => globalThis.isThePageOfBefore") is None
    assert second.url == f"{server.url}/"
    for page in (first, second):
        assert places(page, "not a size") == []


def test_drafts_of_somebody_who_has_left_do_not_come_back_with_their_tab(phone: Chromium, server: Server) -> None:
    phone.start()
    page = phone.page()
    page.goto(server.url)
    expect(page.get_by_role("button", name="Sign in")).to_be_visible()
    page.evaluate(
        "() => sessionStorage.setItem('wattwalk-drafts', JSON.stringify({ of: 'surveyor@demo.example', drafts: { somewhere: 'Thimbleworth' } }))"
    )
    page.reload()
    expect(page.get_by_role("button", name="Sign in")).to_be_visible()
    assert places(page) == []


@pytest.mark.first_visit
def test_an_address_that_is_not_the_apps_is_not_found_with_and_without_signal(phone: Chromium, server: Server) -> None:
    context = phone.start()
    page = phone.page()
    nowhere = page.goto(f"{server.url}/nowhere/at/all")
    assert nowhere is not None
    assert (nowhere.status, nowhere.from_service_worker) == (404, False)
    expect(page.get_by_text("There is no page at this address.")).to_be_visible()
    picture(page, "no-such-page")
    page.get_by_role("link", name="Go back").click()
    sign_in(page, server.url, SURVEYOR, PASSWORD)
    page.wait_for_function("() => navigator.serviceWorker.ready.then(() => true)")
    page.reload()
    for is_offline in (False, True):
        context.set_offline(is_offline)
        for own in ("/", "/#/office", "/#/sync"):
            page.goto(f"{server.url}{own}")
            reloaded = page.reload()
            assert reloaded is not None
            assert reloaded.status == 200, own
            expect(page.get_by_role("heading", level=1)).to_be_visible()
            expect(page.get_by_text("There is no page at this address.")).to_have_count(0)
        nowhere = page.goto(f"{server.url}/nowhere/at/all")
        assert nowhere is not None
        assert nowhere.status == 404
        expect(page.get_by_text("There is no page at this address.")).to_be_visible()
        page.get_by_role("link", name="Go back").click()
        expect(page.get_by_role("heading", name="Surveys", exact=True)).to_be_visible()
    context.set_offline(False)
    for absent in ("/api/nowhere", "/nowhere.txt"):
        found = page.goto(f"{server.url}{absent}")
        assert found is not None
        assert (found.status, "There is no page at this address." in page.inner_text("body")) == (404, False), absent
