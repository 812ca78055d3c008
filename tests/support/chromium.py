"""Debian's Chromium, driven by Playwright, with a profile that outlives a kill: what a phone in a loft goes through."""

from __future__ import annotations

import os
import shutil
import signal
from contextlib import suppress
from enum import Enum
from pathlib import Path
from types import TracebackType
from typing import Any

from playwright.sync_api import BrowserContext, Page, Playwright
from playwright.sync_api import Error as PlaywrightError

from tests.support.until import PATIENCE_MS, wait_until

#: What Playwright's own list of features to leave out holds (a second list takes the place of the first), and with it the address
#: bar's pages: nobody sees them here, and drawing them takes as much of the processor as all the rest of a browser's start.
WITHOUT_FEATURES = (
    "AvoidUnnecessaryBeforeUnloadCheckSync",
    "DestroyProfileOnBrowserClose",
    "HttpsUpgrades",
    "HttpsFirstBalancedModeAutoEnable",
    "LensOverlay",
    "MediaRouter",
    "PaintHolding",
    "ThirdPartyStoragePartitioning",
    "AvoidCorsURLLoaderRestartOnRedirect",
    "OptimizationHints",
    "NetworkTimeServiceQuerying",
    "PreconnectToSearch",
    "WebUIOmniboxPopup",
    "WebUIOmniboxAimPopup",
)
ARGUMENTS = [
    f"--disable-features={','.join(WITHOUT_FEATURES)}",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    # The browser is not under the test run's own network guard, so it gets one.
    "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1, EXCLUDE localhost",
]
#: What a killed browser leaves in its profile to say that it runs.
LEFT_BY_A_KILL = "Singleton*"
#: Makes a browser one that cannot run the engine, as there are phones that cannot.
NO_ENGINE = """globalThis.Worker = class extends Worker {
  constructor(address, options) {
    if (options?.name === 'engine') throw new Error('this phone cannot run it');
    super(address, options);
  }
};"""


class Screen(Enum):
    """The two sizes we promise: a small phone, touched, and a laptop."""

    PHONE = {"viewport": {"width": 360, "height": 780}, "device_scale_factor": 2, "is_mobile": True, "has_touch": True}  # noqa: RUF012
    LAPTOP = {"viewport": {"width": 1280, "height": 800}, "device_scale_factor": 1}  # noqa: RUF012


class Chromium:
    """One browser with one profile folder; it can be started, killed and started again.

    Parameters
    ----------
    driver : Playwright
        The session's driver.
    profile : Path
        Folder of the profile; made when it is not there, kept between starts.
    screen : Screen
        Size and touch.
    has_engine : bool
        Without it, it is a browser that cannot run the engine, whose first start takes three seconds of the processor.
    begin_with : Path | None
        The profile of a browser that does not run, to go on from a copy of; by default one that has never been anywhere.
    """

    def __init__(
        self,
        driver: Playwright,
        profile: Path,
        screen: Screen,
        *,
        has_engine: bool = True,
        begin_with: Path | None = None,
    ) -> None:
        if begin_with is not None:
            shutil.copytree(begin_with, profile, ignore=shutil.ignore_patterns(LEFT_BY_A_KILL))
        self._driver = driver
        self.profile = profile
        self._screen = screen
        self._has_engine = has_engine
        self._context: BrowserContext | None = None

    def __enter__(self) -> Chromium:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def start(self, **options: Any) -> BrowserContext:
        """Start the browser on its profile and return its context; `options` are Playwright's for a context.

        Raises
        ------
        RuntimeError
            When it is running already, or Chromium is not installed.
        """
        if self._context is not None:
            raise RuntimeError("This browser is running already.")
        program = shutil.which("chromium")
        if program is None:
            raise RuntimeError("Chromium is not installed: install the Debian package `chromium`, or run `make test`.")
        self.profile.mkdir(parents=True, exist_ok=True)
        # A killed browser leaves these behind, and the next one would take them for a running twin.
        for left_behind in self.profile.glob(LEFT_BY_A_KILL):
            left_behind.unlink()
        self._context = self._driver.chromium.launch_persistent_context(
            str(self.profile),
            executable_path=program,
            args=ARGUMENTS,
            locale="en-GB",
            timezone_id="Europe/London",
            **{"service_workers": "allow", **self._screen.value, **options},
        )
        self._context.set_default_timeout(PATIENCE_MS)
        if not self._has_engine:
            self._context.add_init_script(NO_ENGINE)
        return self._context

    def page(self) -> Page:
        """Return the first page of the running browser."""
        if self._context is None:
            raise RuntimeError("This browser is not running.")
        return self._context.pages[0] if self._context.pages else self._context.new_page()

    def allow_lasting_storage(self, origin: str) -> None:
        """Grant the origin persistent storage, which a headless browser cannot be asked for."""
        page = self.page()
        session = page.context.new_cdp_session(page)
        # The grant lasts as long as the session that made it, which ends with the page: so it is not detached here.
        session.send("Browser.grantPermissions", {"permissions": ["durableStorage"], "origin": origin})

    def kill(self, groups: set[int] | None = None) -> None:
        """End the browser as a flat battery would: every one of its processes at once, without a word.

        Looking for its processes takes a while; where the blow must fall at once, give the `groups` that were found before.
        """
        for group in groups or self.groups():
            with suppress(ProcessLookupError):
                os.killpg(group, signal.SIGKILL)
        self._wait_until_gone()
        self._forget_context()

    def groups(self) -> set[int]:
        """Return the browser's process groups, which hold all of its processes and none of ours."""
        groups = {os.getpgid(process) for process in self._processes()}
        if os.getpgrp() in groups:
            raise RuntimeError(
                "The browser shares the test run's process group, so what is done to it would be done to the tests."
            )
        return groups

    def close(self) -> None:
        """End the browser in good order; nothing happens when it is not running."""
        if self._context is None:
            return
        self._forget_context()
        self._wait_until_gone()

    def _forget_context(self) -> None:
        context, self._context = self._context, None
        if context is not None:
            # After a kill Playwright may have noticed before us, and there is nothing left to close.
            with suppress(PlaywrightError):
                context.close()

    def _processes(self) -> list[int]:
        """Return the ids of all processes started on this profile."""
        mark = f"--user-data-dir={self.profile}".encode()
        found = []
        for folder in Path("/proc").iterdir():
            if not folder.name.isdigit():
                continue
            try:
                arguments = (folder / "cmdline").read_bytes().split(b"\0")
            except OSError:
                continue  # it ended while we looked
            if mark in arguments:
                found.append(int(folder.name))
        return found

    def _wait_until_gone(self) -> None:
        wait_until(lambda: not self._processes(), lambda: f"Chromium is still running: {self._processes()}")
