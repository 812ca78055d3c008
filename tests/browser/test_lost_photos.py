"""A photo that the office loses after it had come: the phone's word changes, the phone sends it again by itself, and who has none says so."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, Route, expect

from tests.browser.ask import got
from tests.browser.hand import go_to, open_demo_house, picture, sign_in
from tests.browser.test_photo_marks import PHOTO, take_photo
from tests.support.chromium import Chromium
from tests.support.server import Server
from tests.support.until import wait_until

#: The program as it is, but for the pause between two looks at the photos, which nobody need sit out here.
OFTEN = f"""#!{sys.executable}
import sys

from wattwalk import cli, serve

assert serve.PHOTOS_PAUSE_S > 1
serve.PHOTOS_PAUSE_S = 1.0
sys.exit(cli.main())
"""
AT_THE_OFFICE = re.compile(r"^\s*At the office")


@pytest.fixture(scope="module")
def server(
    tmp_path_factory: pytest.TempPathFactory, demo_office: Path, office_port: int, profile_with_app: Path
) -> Iterator[Server]:
    """The demo office, which looks often for its photos."""
    folder = tmp_path_factory.mktemp("office")
    program = folder / "wattwalk-often"
    program.write_text(OFTEN)
    program.chmod(0o755)
    with Server(folder, program=program, demo=True, begin_with=demo_office, port=office_port) as running:
        yield running


def moved(page: Page, since: int) -> dict[str, Any]:
    """Return what moved in the office's list since a number."""
    return got(page, f"{page.url.split('#')[0]}api/surveys?since={since}").json()


def wait_until_office_misses(page: Page, survey: str, photos: int, since: int) -> None:
    """Wait until the office has looked by itself, and what moved in its list says how many photos of a survey are missing there.

    The list as a whole counts them as it is asked; a phone asks only for the lines that moved, and a line moves when the office has looked.
    """

    def missed() -> list[int]:
        return [line["photos_missing"] for line in moved(page, since)["surveys"] if line["id"] == survey]

    wait_until(
        lambda: missed() == [photos], f"What moves in the office's list does not come to {photos} missing.", page
    )


def wattwalk(server: Server, *arguments: str) -> subprocess.CompletedProcess[str]:
    command = [str(Path(sys.executable).parent / "wattwalk"), *arguments]
    return subprocess.run(
        command, env={**os.environ, "WATTWALK_HOME": str(server.home)}, capture_output=True, text=True, check=False
    )


def photos(server: Server) -> set[Path]:
    return set((server.home / "photos").glob("[0-9a-f][0-9a-f]/*"))


def exchange(page: Page, back_to: str) -> None:
    page.goto(page.url.split("#")[0] + "#/sync")
    page.get_by_role("button", name="Send and fetch now").click()
    expect(page.get_by_role("button", name="Send and fetch now")).to_be_enabled()
    page.goto(back_to)


def stop_photos(route: Route) -> None:
    if route.request.method == "PUT":
        route.abort()
    else:
        route.continue_()


@pytest.mark.without_engine
def test_a_lost_photo_is_sent_again_by_itself_and_its_word_follows(phone: Chromium, server: Server) -> None:
    phone.start()
    page = phone.page()
    sign_in(page, server.url, "surveyor@demo.example", "walk-the-house")
    before = photos(server)
    others = {path: path.read_bytes() for path in before}
    page.get_by_role("button", name="New survey").click()
    take_photo(page)
    state, here = page.locator(".photo-state"), page.url
    expect(state).to_have_text(AT_THE_OFFICE)
    [file] = photos(server) - before
    data = file.read_bytes()

    def zero() -> None:
        file.write_bytes(bytes(len(data)))
        said = wattwalk(server, "verify")
        assert (said.returncode, "is spoilt" in said.stdout) == (1, True)

    def restore_without_files() -> None:
        server.stop()
        shutil.rmtree(server.home / "photos")
        assert wattwalk(server, "new-epoch").returncode == 0
        server.start()

    for damage in (file.unlink, zero, restore_without_files):
        page.context.route("**/photos/*", stop_photos)
        damage()
        if damage is not restore_without_files:
            assert wattwalk(server, "verify").returncode == 1
        exchange(page, here)
        expect(state).to_have_text(re.compile(r"^\s*Saved on this phone"))
        if damage is not restore_without_files:
            expect(state).to_contain_text("The office has lost it, so it is sent again")
            picture(page, f"60-photo-lost-{damage.__name__}")
        expect(page.get_by_role("status").filter(has_text=re.compile("1 photo"))).to_be_visible()
        assert not file.exists()
        page.context.unroute("**/photos/*", stop_photos)
        exchange(page, here)
        expect(state).to_have_text(AT_THE_OFFICE)
        assert file.read_bytes() == data
    # The demo house's own photos went with the rest; other tests of this file want them.
    for path, content in others.items():
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
    assert PHOTO.is_file()


@pytest.mark.without_engine
@pytest.mark.parametrize("size", ["phone", "laptop"])
def test_a_photo_that_nobody_has_is_called_missing_on_the_phone_and_at_the_office(
    request: pytest.FixtureRequest, server: Server, size: str
) -> None:
    if not photos(server):
        pytest.fail("The demo house has photos.")
    browser = request.getfixturevalue(size)
    browser.start()
    page = browser.page()
    survey = open_demo_house(page, server.url)
    go_to(page, "What came")
    listed = page.get_by_text(re.compile(r"\d+ of \d+ photos are at the office"))
    expect(listed).to_be_visible()
    file = max(photos(server), key=lambda path: path.stat().st_size)
    data = file.read_bytes()
    before = moved(page, 0)["cursor"]
    file.unlink()
    try:
        exchange(page, page.url)
        expect(page.get_by_text("1 missing here")).to_be_visible()
        expect(page.get_by_text("the office has lost them since")).to_be_visible()
        picture(page, f"61-photo-missing-office-{size}")
        # The server looks by itself whether the photos are there, and the list says so at the next exchange.
        wait_until_office_misses(page, survey, 1, before)
        exchange(page, page.url.split("#")[0] + f"#/survey/{survey}/stage/photos")
        expect(page.get_by_text("One photo is missing")).to_be_visible()
        picture(page, f"61-photo-missing-photos-{size}")
        page.get_by_role("listitem").filter(has_text="Missing: the office had it and has lost it").first.get_by_role(
            "link"
        ).click()
        expect(page.locator(".photo-state")).to_have_text(
            "Missing: the office had it and has lost it, and this phone does not have it either"
        )
        picture(page, f"61-photo-missing-one-{size}")
        before = moved(page, 0)["cursor"]
    finally:
        file.write_bytes(data)
    wait_until_office_misses(page, survey, 0, before)
    exchange(page, page.url)
    expect(page.locator(".photo-state")).to_have_text(re.compile(r"^\s*At the office, not on this phone"))
