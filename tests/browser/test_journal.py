"""The second store: what was saved on the phone comes back when the browser has lost or spoilt its own store."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Iterator
from pathlib import Path
from urllib.request import urlopen

import pytest
from playwright.sync_api import Page, Playwright, expect

from tests.browser.hand import answer, back, go_to, picture, sign_in
from tests.support.chromium import Chromium, Screen
from tests.support.server import Server
from tests.support.until import PATIENCE_S

pytestmark = pytest.mark.without_engine

PHOTO = Path(__file__).with_name("photo.jpg")
BROUGHT_BACK = re.compile("The browser had lost part of its store")

CUT_JOURNAL = """async (bytes) => {
  const folder = await (await navigator.storage.getDirectory()).getDirectoryHandle('wattwalk');
  const names = [];
  for await (const name of folder.keys()) if (/^journal-\\d+$/.test(name)) names.push(name);
  const file = await folder.getFileHandle(names.sort((a, b) => Number(a.slice(8)) - Number(b.slice(8))).at(-1));
  const size = (await file.getFile()).size;
  const writer = await file.createWritable({ keepExistingData: true });
  await writer.truncate(size - bytes);
  await writer.close();
  return size;
}"""


@pytest.fixture(autouse=True)
def office_answers(server: Server) -> Iterator[None]:
    """The loft is left without the office; the next visit finds it open again."""
    yield
    if not server.is_running:
        server.start()


@pytest.fixture(scope="module")
def worked_in_the_loft(
    playwright_driver: Playwright, server: Server, tmp_path_factory: pytest.TempPathFactory, profile_with_app: Path
) -> Path:
    """The profile of a phone on which somebody signed in, lost the network and the office, entered a household, two rooms and a photo, and lost the battery."""
    profile = tmp_path_factory.mktemp("loft") / "profile"
    with Chromium(playwright_driver, profile, Screen.PHONE, has_engine=False, begin_with=profile_with_app) as phone:
        work_in_the_loft(phone, server)
        phone.kill()
    return profile


@pytest.fixture
def after_the_loft(
    playwright_driver: Playwright, server: Server, tmp_path: Path, worked_in_the_loft: Path
) -> Iterator[Chromium]:
    """That phone, not yet started again; the office is out of reach."""
    if server.is_running:
        server.stop()
    with Chromium(
        playwright_driver, tmp_path / "loft", Screen.PHONE, has_engine=False, begin_with=worked_in_the_loft
    ) as phone:
        yield phone


def work_in_the_loft(phone: Chromium, server: Server) -> None:
    context = phone.start()
    page = phone.page()
    sign_in(page, server.url, "surveyor@demo.example", "walk-the-house")
    page.wait_for_function("() => navigator.serviceWorker.ready.then(() => true)")
    context.set_offline(True)
    server.stop()
    page.get_by_role("button", name="New survey").click()
    go_to(page, "Household and meter")
    go_to(page, "Household and house")
    answer(page, "household_name", "Quince")
    answer(page, "postcode", "LS40 0VK")
    back(page)
    back(page)
    go_to(page, "Photos")
    item = page.get_by_role("listitem").filter(has_text="Photo of the base").first
    item.locator("input[type=file]").first.set_input_files(PHOTO)
    expect(item.get_by_text("Saved on this phone")).to_be_visible()
    back(page)
    for name in ("Old kitchen", "Larder"):
        go_to(page, "Rooms")
        page.get_by_role("button", name="New room").click()
        page.get_by_role("region", name="New room").get_by_role("button", name="Kitchen", exact=True).click()
        answer(page, "notes", f"the {name.lower()}")
        answer(page, "name", name)
        back(page)
        back(page)


def store_of(phone: Chromium) -> Path:
    """Return the folder of the browser's own store of this app."""
    (folder,) = phone.profile.glob("Default/IndexedDB/http_127.0.0.1_*.indexeddb.leveldb")
    return folder


def open_offline(phone: Chromium, server: Server) -> Page:
    context = phone.start()
    context.set_offline(True)
    page = phone.page()
    page.goto(server.url)
    return page


def all_is_there(page: Page) -> None:
    expect(page.get_by_role("link", name=re.compile("Quince"))).to_be_visible()
    go_to(page, "Quince")
    go_to(page, "Rooms")
    for name in ("Old kitchen", "Larder"):
        expect(page.get_by_role("link", name=re.compile(name)).first).to_be_visible()
    back(page)
    go_to(page, "Photos")
    # Pictures are read when they come near the screen.
    page.locator("main .picture").first.scroll_into_view_if_needed()
    expect(page.locator("main img").first).to_have_js_property("complete", value=True)
    assert page.locator("main img").first.evaluate("image => image.naturalWidth") > 0
    back(page)


def test_a_store_that_was_wiped_comes_back_and_reaches_the_office(after_the_loft: Chromium, server: Server) -> None:
    phone = after_the_loft
    shutil.rmtree(store_of(phone))
    page = open_offline(phone, server)
    expect(page.get_by_text(BROUGHT_BACK)).to_be_visible()
    picture(page, "journal-brought-back")
    all_is_there(page)
    server.start()
    page.context.set_offline(False)
    page.goto(f"{server.url}/#/sign-in")
    page.get_by_label("Email").fill("surveyor@demo.example")
    page.get_by_label("Password").fill("walk-the-house")
    page.get_by_role("button", name="Sign in").click()
    expect(page.get_by_role("status").filter(has_text=re.compile("^At the office"))).to_be_visible()
    listed = page.evaluate("async () => (await (await fetch('/api/surveys')).json()).surveys")
    (mine,) = [survey for survey in listed if survey["title"].startswith("Quince")]
    assert (mine["refused"], mine["contested"], mine["photos_missing"]) == (0, 0, 0)
    records = page.evaluate("async (id) => (await (await fetch(`/api/surveys/${id}`)).json()).records", mine["id"])
    assert sorted(room["name"] for room in records["room"]) == ["Larder", "Old kitchen"]
    assert len(records["photo"]) == 1


def test_a_spoilt_log_of_the_browsers_store_loses_nothing(after_the_loft: Chromium, server: Server) -> None:
    phone = after_the_loft
    logs = sorted(store_of(phone).glob("*.log"), key=lambda file: file.stat().st_size)
    spoilt = bytearray(logs[-1].read_bytes())
    assert len(spoilt) > 2_000, "there is nothing to spoil"
    # The head of a record in its middle: what stands after it cannot be read either.
    for place in range(len(spoilt) // 3, len(spoilt) // 3 + 64):
        spoilt[place] ^= 0xFF
    logs[-1].write_bytes(spoilt)
    # The first start may still read it; the browser throws away what it cannot read when it writes the next time.
    for _ in range(2):
        page = open_offline(phone, server)
        all_is_there(page)
        page.wait_for_timeout(500)
        phone.kill()
    all_is_there(open_offline(phone, server))


def test_a_torn_end_of_the_journal_costs_no_more_than_its_last_line(after_the_loft: Chromium, server: Server) -> None:
    phone = after_the_loft
    phone.start().set_offline(True)
    page = phone.page()
    # A picture of ours, without the app, which would itself find the torn end that is made here.
    page.goto(f"{server.url}/icons/icon-192.png")
    assert page.evaluate(CUT_JOURNAL, 7) > 1_000
    phone.kill()
    shutil.rmtree(store_of(phone))
    page = open_offline(phone, server)
    expect(page.get_by_text(BROUGHT_BACK)).to_be_visible()
    go_to(page, "Quince")
    go_to(page, "Rooms")
    expect(page.get_by_role("link", name=re.compile("Old kitchen")).first).to_be_visible()
    # The last line gave the second room its name; all that was said of it before is there.
    expect(page.get_by_role("link", name=re.compile("Larder"))).to_have_count(0)
    expect(page.get_by_role("link", name=re.compile("^Kitchen"))).to_have_count(1)
    page.goto(f"{server.url}/#/sync")
    expect(page.get_by_text("Its last line had been cut off by a crash")).to_be_visible()
    picture(page, "journal-status")


def test_a_copy_read_back_fills_another_phone(
    after_the_loft: Chromium, server: Server, laptop: Chromium, tmp_path: Path
) -> None:
    page = open_offline(after_the_loft, server)
    go_to_status(page)
    with page.expect_download() as saved:
        page.get_by_role("button", name="Save a copy to a file").click()
    copy = tmp_path / "copy.json"
    saved.value.save_as(copy)
    assert len(json.loads(copy.read_text())["records"]["room"]) == 2
    server.start()
    with urlopen(f"{server.url}/api/health", timeout=PATIENCE_S) as health:
        assert health.status == 200
    laptop.start()
    other = laptop.page()
    sign_in(other, server.url, "surveyor@demo.example", "walk-the-house")
    other.goto(f"{server.url}/#/sync")
    half = tmp_path / "half.json"
    half.write_bytes(copy.read_bytes()[:500])
    other.locator("#copy-back").set_input_files(half)
    expect(other.get_by_text("damaged, or only half of it was written")).to_be_visible()
    other.locator("#copy-back").set_input_files(copy)
    expect(
        other.get_by_text(re.compile(r"The copy was read back: \d+ answers and 1 photo were put in"))
    ).to_be_visible()
    expect(other.get_by_role("status").filter(has_text=re.compile("^At the office"))).to_be_visible()
    picture(other, "status-after-a-copy")
    other.goto(server.url)
    go_to(other, "Quince")
    go_to(other, "Rooms")
    expect(other.get_by_role("link", name=re.compile("Larder")).first).to_be_visible()


def go_to_status(page: Page) -> None:
    page.goto(page.url.split("#")[0] + "#/sync")
    expect(page.get_by_role("heading", name="What is where")).to_be_visible()
