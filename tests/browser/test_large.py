"""A survey as large as is promised: 60 rooms, 600 surfaces, 300 photos; it opens, takes an edit and a photo, and reaches the office."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import expect

from tests.browser.hand import go_to, sign_in
from tests.support.chromium import Chromium
from tests.support.houses import camera_pictures, large_house, with_photos
from tests.support.server import Server

PHOTO = Path(__file__).with_name("photo.jpg")
ROOMS, SURFACES, PHOTOS = 60, 600, 300
EMAIL, PASSWORD = "ada@teasel.example", "a password of ten"
#: What a slow and busy machine may take, ms: ten times what a quiet one does. `tests/bench/bench_large.py` holds the real budgets.
SCREEN_MS, SAVED_MS, PHOTO_MS = 3_000, 5_000, 20_000

#: Does what it is told and answers with the milliseconds until the words stand on the screen.
UNTIL = """([hash, selector, count]) => new Promise((done) => {
  const begun = performance.now();
  location.hash = hash;
  const look = () => {
    if (document.querySelectorAll(selector).length >= count) requestAnimationFrame(() => done(performance.now() - begun));
    else requestAnimationFrame(look);
  };
  look();
})"""


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """A server with one person and the large house in it; the demo would only take time."""
    folder = tmp_path_factory.mktemp("office")
    with Server(folder) as running:
        document = folder / "large.json"
        document.write_text(
            json.dumps(with_photos(large_house(ROOMS, SURFACES), list(camera_pictures(PHOTOS, 160, 120))))
        )
        for arguments, given in (
            (["user", "add", EMAIL, "--firm", "Teasel Heating"], PASSWORD),
            (["import", str(document)], ""),
        ):
            command = [str(Path(sys.executable).parent / "wattwalk"), *arguments]
            subprocess.run(
                command,
                check=True,
                capture_output=True,
                input=given.encode(),
                env={"WATTWALK_HOME": str(folder / "var")},
            )
        yield running


@pytest.mark.alone
@pytest.mark.first_visit
def test_a_survey_of_sixty_rooms_and_three_hundred_photos_is_worked_on_and_reaches_the_office(
    phone: Chromium, server: Server
) -> None:
    phone.start()
    page = phone.page()
    sign_in(page, server.url, EMAIL, PASSWORD)
    page.get_by_role("listitem").filter(has_text="Test household").get_by_role("button", name="Fetch").click()
    expect(page.locator(".foot-figures")).to_contain_text("Heat loss")
    home = page.url.split("#")[1].split("/stage")[0]

    assert page.evaluate(UNTIL, [f"{home}/stage/rooms", "main ul.list > li", ROOMS]) < SCREEN_MS
    assert page.locator("main ul.list > li").count() == ROOMS
    go_to(page, "Room 30")
    size = page.get_by_label("Length × width × height")
    box = page.get_by_role("region", name="The box")
    before = page.locator(".foot-figures b").first.inner_text()
    size.fill("5.25 x 3.5 x 2.4")
    size.press("Enter")
    expect(box.get_by_text("Saved on this phone").first).to_be_visible(timeout=SAVED_MS)
    expect(page.locator(".foot-figures b").first).not_to_have_text(before)

    assert page.evaluate(UNTIL, [f"{home}/stage/photos", "ul.photos a", PHOTOS]) < SCREEN_MS
    part = page.get_by_role("region", name="All photos")
    part.locator("input[type=file]").first.set_input_files(PHOTO)
    expect(part.get_by_role("heading", name=f"All photos ({PHOTOS + 1})")).to_be_visible(timeout=PHOTO_MS)
    expect(part.get_by_text("Saved on this phone").first).to_be_visible(timeout=PHOTO_MS)
    expect(page.get_by_text("The one photo of this phone is at the office.")).to_be_visible()
    expect(page.get_by_role("status").filter(has_text=re.compile("^At the office"))).to_be_visible()

    view = page.evaluate("async () => (await fetch('/api/surveys/large-house')).json()")
    assert {kind: len(view["records"][kind]) for kind in ("room", "surface", "photo")} == {
        "room": ROOMS,
        "surface": SURFACES,
        "photo": PHOTOS + 1,
    }
    assert next(room for room in view["records"]["room"] if room["id"] == "room-30")["length_m"] == 5.25
    assert all(photo["arrived"] for photo in view["photos"])
    assert (view["contested"], view["refused"]) == ([], [])
