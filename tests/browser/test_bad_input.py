"""What goes wrong around the phone: a full disk, a store that is damaged, a page that answers for the office, file copies that are none.

Each is said in words where it is seen, and nothing that was typed or saved is lost.
"""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser.hand import answer, field, go_to, sign_in
from tests.support.chromium import Chromium
from tests.support.server import Server

pytestmark = pytest.mark.without_engine

#: Spoils the first room's row as a damaged store would, and answers with how many rows the store holds.
SPOIL = """async () => {
  const store = await new Promise((done) => { const asked = indexedDB.open('wattwalk'); asked.onsuccess = () => done(asked.result); });
  const writing = store.transaction('records', 'readwrite');
  const records = writing.objectStore('records');
  const all = await new Promise((done) => { const asked = records.getAll(); asked.onsuccess = () => done(asked.result); });
  records.put({ ...all.find((row) => row.kind === 'room'), values: null });
  await new Promise((done) => { writing.oncomplete = done; });
  store.close();
  return all.length;
}"""
COUNT = """async () => {
  const store = await new Promise((done) => { const asked = indexedDB.open('wattwalk'); asked.onsuccess = () => done(asked.result); });
  const asked = store.transaction('records').objectStore('records').count();
  return new Promise((done) => { asked.onsuccess = () => { store.close(); done(asked.result); }; });
}"""


def start_survey(page: Page, url: str, name: str) -> str:
    """Sign in, start a survey with one room, and return the room's address."""
    sign_in(page, url, "surveyor@demo.example", "walk-the-house")
    page.get_by_role("button", name="New survey").click()
    go_to(page, "Rooms")
    page.get_by_role("button", name="New room").click()
    page.get_by_role("region", name="New room").get_by_role("button", name="Kitchen", exact=True).click()
    answer(page, "name", name)
    expect(page.get_by_role("status").filter(has_text=re.compile("^At the office"))).to_be_visible()
    return page.url.split("?")[0]


def test_what_a_full_disk_does_not_take_stays_in_its_field_and_is_saved_when_there_is_room(
    phone: Chromium, server: Server
) -> None:
    phone.start()
    room = start_survey(phone.page(), server.url, "Old kitchen")
    # The browser remembers for a while how much room there was: so it is started anew, and full before the app opens its store.
    phone.close()
    context = phone.start()
    page = phone.page()
    session = context.new_cdp_session(page)
    session.send("Storage.overrideQuotaForOrigin", {"origin": server.url, "quotaSize": 1_000})
    page.goto(room)
    notes = field(page, "notes").locator("textarea")
    notes.fill("damp behind the sink")
    notes.blur()
    dialog = page.get_by_role("dialog", name="Not saved")
    expect(dialog.get_by_text("The storage of this phone is full.")).to_be_visible()
    dialog.get_by_role("button", name="Try again").click()
    expect(dialog.get_by_text("The storage of this phone is full.")).to_be_visible()
    dialog.get_by_role("button", name="Back to what I typed").click()
    expect(field(page, "notes").get_by_text("Not saved:")).to_be_visible()
    expect(field(page, "notes").get_by_text("Saved on this phone")).to_have_count(0)
    # Whoever goes away from it is told once more, and finds it again on coming back.
    page.locator("a.bar-back").click()
    dialog.get_by_role("button", name="Back to what I typed").click()
    go_to(page, "Old kitchen")
    expect(notes).to_have_value("damp behind the sink")
    session.send("Storage.overrideQuotaForOrigin", {"origin": server.url})
    notes.focus()
    notes.blur()
    expect(field(page, "notes").get_by_text("Saved on this phone")).to_be_visible()
    page.reload()
    expect(notes).to_have_value("damp behind the sink")


def test_a_store_with_a_spoilt_row_says_so_and_leaves_the_ways_open(phone: Chromium, server: Server) -> None:
    phone.start()
    page = phone.page()
    room = start_survey(page, server.url, "Spoilt kitchen")
    rows = page.evaluate(SPOIL)
    page.reload()
    expect(page.get_by_role("heading", name="This page cannot be shown")).to_be_visible()
    expect(page.get_by_text("Nothing has been deleted or changed")).to_be_visible()
    page.get_by_role("link", name="What is where").click()
    expect(page.get_by_role("heading", name="What is where")).to_be_visible()
    page.get_by_role("button", name="Save a copy to a file").first.click()
    expect(page.get_by_text("The survey is still on this phone")).to_be_visible()
    page.goto(room)
    expect(page.get_by_role("heading", name="This page cannot be shown")).to_be_visible()
    page.get_by_role("link", name="Back to the surveys").click()
    page.get_by_role("button", name="New survey").click()
    expect(page.get_by_role("link", name=re.compile("Rooms"))).to_be_visible()
    assert page.evaluate(COUNT) >= rows


def test_a_page_that_answers_for_the_office_is_not_taken_for_it(phone: Chromium, server: Server) -> None:
    context = phone.start()
    page = phone.page()
    start_survey(page, server.url, "Hotel kitchen")
    context.route(
        "**/api/**",
        lambda route: route.fulfill(
            status=200, content_type="text/html", body="<h1>Welcome. Sign in to the Wi-Fi.</h1>"
        ),
    )
    answer(page, "notes", "seen at the hotel")
    expect(page.get_by_role("status").filter(has_text="No answer from the office")).to_be_visible()
    page.goto(f"{server.url}/#/sync")
    expect(page.get_by_text("A Wi-Fi that asks you to sign in does that")).to_be_visible()
    expect(page.get_by_text("1 change waiting").first).to_be_visible()
    context.unroute("**/api/**")
    page.get_by_role("button", name="Send and fetch now").click()
    expect(page.get_by_role("status").filter(has_text=re.compile("^At the office"))).to_be_visible()


@pytest.fixture
def copies(tmp_path: Path) -> dict[str, Path]:
    """Files that a person may take for a copy, and one that is."""
    whole = json.dumps(
        {
            "format": "wattwalk-survey",
            "version": 1,
            "id": "copied",
            "records": {"room": [{"id": "r", "name": "Copied kitchen"}]},
        }
    )
    texts = {
        "half": whole[: len(whole) // 2],
        "newer": whole.replace('"version": 1', '"version": 9'),
        "other": '{"rooms": []}',
        "whole": whole,
    }
    for name, text in texts.items():
        (tmp_path / f"{name}.json").write_text(text)
    return {name: tmp_path / f"{name}.json" for name in texts}


def test_a_file_that_is_no_copy_is_refused_in_words_where_it_was_chosen(
    phone: Chromium, server: Server, copies: dict[str, Path]
) -> None:
    phone.start()
    page = phone.page()
    sign_in(page, server.url, "surveyor@demo.example", "walk-the-house")
    page.goto(f"{server.url}/#/sync")
    for name, words in (
        ("half", "only half of it was written"),
        ("newer", "its file is of version 9"),
        ("other", "not a copy of a survey"),
        ("whole", "1 answer and 0 photos were put in"),
    ):
        page.locator("#copy-back").set_input_files(copies[name])
        said = page.get_by_role("region", name="Surveys on this phone").get_by_text(words)
        expect(said).to_be_visible()
        expect(said).to_be_in_viewport()
