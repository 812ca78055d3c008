"""What the browser's tests share: a server with the demo firm and its house, and browsers that have the app already."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Playwright, expect

from tests.browser.hand import sign_in
from tests.support.chromium import Chromium, Screen
from tests.support.kept_memory import wait_for_kept_memory
from tests.support.once import once
from tests.support.ports import free_port
from tests.support.server import Server

#: What people leave behind in a browser; the app's own files and the engine's memory are no part of it.
_LEFT_BEHIND = "cookies,file_systems,indexeddb,local_storage"


def _seed(folder: Path) -> None:
    with Server(folder, demo=True):
        """Started, it has seeded the demo."""


@pytest.fixture(scope="session")
def demo_office(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What a server holds that was started for the demo firm and stopped again: `make run` as a newcomer has it, worked out once."""
    return once(tmp_path_factory, "demo", _seed) / "var"


@pytest.fixture(scope="session")
def office_port() -> int:
    """Where the demo office of every module listens, one after the other: what a browser keeps of the app belongs to the address."""
    return free_port()


@pytest.fixture(scope="session")
def profile_with_app(
    tmp_path_factory: pytest.TempPathFactory, playwright_driver: Playwright, demo_office: Path, office_port: int
) -> Path:
    """The profile of a browser in which the app was opened at the office's address and the engine started; nobody has left anything in it."""
    folder = tmp_path_factory.mktemp("with-app")
    profile = folder / "profile"
    with (
        Server(folder, demo=True, begin_with=demo_office, port=office_port) as office,
        Chromium(playwright_driver, profile, Screen.PHONE) as browser,
    ):
        browser.start()
        page = browser.page()
        sign_in(page, office.url, "surveyor@demo.example", "walk-the-house")
        page.wait_for_function("() => navigator.serviceWorker.ready.then(() => true)")
        page.goto(f"{office.url}/#/sync")
        expect(page.get_by_role("region", name="Figures on this phone")).to_contain_text("Ready")
        wait_for_kept_memory(page)
        page.goto("about:blank")
        page.context.new_cdp_session(page).send(
            "Storage.clearDataForOrigin", {"origin": office.url, "storageTypes": _LEFT_BEHIND}
        )
    # The app's own files come from the service worker; what the browser's cache has of them is not asked for again.
    shutil.rmtree(profile / "Default" / "Cache", ignore_errors=True)
    return profile


@pytest.fixture(scope="module")
def server(
    tmp_path_factory: pytest.TempPathFactory, demo_office: Path, office_port: int, profile_with_app: Path
) -> Iterator[Server]:
    """A server of the demo firm for the tests of one module; a module that wants another one makes its own."""
    # The profile is asked for so that its own server has left the port by now.
    folder = tmp_path_factory.mktemp("office")
    with Server(folder, demo=True, begin_with=demo_office, port=office_port) as running:
        yield running


@pytest.fixture
def own_server(tmp_path: Path, demo_office: Path, office_port: int, profile_with_app: Path) -> Iterator[Server]:
    """A server of the demo firm for one test by itself: what it writes would be found by the test of the other size."""
    with Server(tmp_path, demo=True, begin_with=demo_office, port=office_port) as running:
        yield running


@pytest.fixture
def first_profile(request: pytest.FixtureRequest) -> Path | None:
    """What the browsers of a test begin with: the app, unless the mark `first_visit` says that they have never been anywhere."""
    if request.node.get_closest_marker("first_visit") is not None:
        return None
    return request.getfixturevalue("profile_with_app")
