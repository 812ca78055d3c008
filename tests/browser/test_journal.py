"""The second store: what was saved offline comes back when the browser's own database has been emptied, photo included."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser.hand import answer, back, go_to, sign_in
from tests.support.chromium import Chromium
from tests.support.server import Server

PHOTO = Path(__file__).with_name("photo.jpg")


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Server]:
    with Server(tmp_path, demo=True) as running:
        yield running


def databases(profile: Path) -> list[Path]:
    """Return the folders of the profile's databases."""
    found = [folder for folder in (profile / "Default" / "IndexedDB").iterdir() if folder.name.endswith(".leveldb")]
    assert found, "the profile holds no database, so nothing could be taken from it"
    return found


def work_offline(phone: Chromium, server: Server) -> None:
    """Sign in, lose the office, and leave a survey with answers and a photo on the phone."""
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
    answer(page, "altitude_m", "146 m")
    back(page)
    back(page)
    go_to(page, "Photos")
    item = page.get_by_role("listitem").filter(has_text="Photo of the base").first
    item.locator("input[type=file]").first.set_input_files(PHOTO)
    expect(item.get_by_text("Saved on this phone")).to_be_visible()


def open_offline(phone: Chromium, server: Server) -> Page:
    """Start the browser anew with no office in reach."""
    context = phone.start()
    context.set_offline(True)
    page = phone.page()
    page.goto(server.url)
    return page


def see_the_work(page: Page) -> None:
    """Find the answers and the photo that `work_offline` left."""
    expect(page.get_by_role("link", name=re.compile("Quince"))).to_be_visible(timeout=15_000)
    expect(page.get_by_text("It was brought back from the second copy")).to_be_visible()
    expect(page.get_by_role("status").filter(has_text=re.compile("and 1 photo waiting"))).to_be_visible()
    go_to(page, "Quince")
    go_to(page, "Household and meter")
    go_to(page, "Household and house")
    expect(page.locator("#field-altitude_m input").first).to_have_value("146")


def test_what_was_saved_offline_survives_an_emptied_database(phone: Chromium, server: Server, tmp_path: Path) -> None:
    work_offline(phone, server)
    phone.kill()
    for folder in databases(tmp_path / "phone-profile"):
        shutil.rmtree(folder)
    see_the_work(open_offline(phone, server))
