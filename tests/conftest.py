"""What every test can ask for: a database of either make, a browser, and a promise that nothing leaves this machine."""

from __future__ import annotations

import ipaddress
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest
from playwright.sync_api import Playwright, expect, sync_playwright

from tests.support.chromium import Chromium, Screen
from tests.support.postgres import fresh_database, own_cluster
from tests.support.until import PATIENCE_MS


class OutsideNetworkError(RuntimeError):
    """A test reached for a machine that is not this one."""


def _refuse_the_outside(event: str, arguments: tuple) -> None:
    if event not in {"socket.connect", "socket.sendto"}:
        return
    address = arguments[1]
    if not isinstance(address, tuple):
        return
    host = address[0]
    if host == "localhost":
        return
    try:
        is_this_machine = ipaddress.ip_address(host).is_loopback
    except ValueError:
        is_this_machine = False
    if not is_this_machine:
        raise OutsideNetworkError(f"Tests stay on this machine, but something opened a connection to {host!r}.")


# An audit hook cannot be taken off again, so no test can forget to put it back.
sys.addaudithook(_refuse_the_outside)


#: What a test takes about, s, in a browser and elsewhere; the mark `takes` says so where it is far from that.
IN_A_BROWSER_S, ELSEWHERE_S = 8.0, 0.03


def _takes(item: pytest.Item) -> float:
    mark = item.get_closest_marker("takes")
    if mark is not None:
        return mark.kwargs["seconds"]
    return IN_A_BROWSER_S if "playwright_driver" in item.fixturenames else ELSEWHERE_S


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Begin with the longest files: of two that share the work, neither is then left waiting for one at the end."""
    of_file: Counter[Path] = Counter()
    for item in items:
        of_file[item.path] += _takes(item)
    items.sort(key=lambda item: (-of_file[item.path], item.path))


@pytest.fixture
def say(record_property: Callable[[str, object], None]) -> Callable[[str], None]:
    """What to call with a line of figures that the run shall print at its end, whichever process the test ran in."""
    return lambda words: record_property("said", words)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Print what the tests had to say."""
    reports = (report for outcome in ("passed", "failed") for report in terminalreporter.stats.get(outcome, []))
    for line in [words for report in reports for name, words in report.user_properties if name == "said"]:
        terminalreporter.write_line(line)


@pytest.fixture(scope="session")
def postgres_url() -> Iterator[str]:
    """SQLAlchemy URL of a PostgreSQL cluster that lives as long as the test run."""
    with own_cluster() as url:
        yield url


@pytest.fixture(params=["sqlite", "postgresql"])
def database_url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """SQLAlchemy URL of an empty database, once of each make."""
    if request.param == "sqlite":
        yield f"sqlite:///{tmp_path / 'wattwalk.sqlite'}"
    else:
        with fresh_database(request.getfixturevalue("postgres_url")) as url:
            yield url


@pytest.fixture(scope="session")
def playwright_driver() -> Iterator[Playwright]:
    """The driver that all browser tests share; it starts no browser by itself."""
    expect.set_options(timeout=PATIENCE_MS)
    with sync_playwright() as driver:
        yield driver


@pytest.fixture
def has_engine(request: pytest.FixtureRequest) -> bool:
    """Whether the browsers of this test run the engine: not where the mark `without_engine` stands."""
    return request.node.get_closest_marker("without_engine") is None


@pytest.fixture
def first_profile() -> Path | None:
    """What the browsers of a test begin with: nothing, as on the day they were bought."""
    return None


#: Makes a browser of this name and size with a profile of its own, not yet started.
NewBrowser = Callable[[str, Screen], Chromium]


@pytest.fixture
def new_browser(
    playwright_driver: Playwright, tmp_path: Path, has_engine: bool, first_profile: Path | None
) -> Iterator[NewBrowser]:
    """A function that makes a browser; closed at the test's end."""
    with ExitStack() as browsers:
        yield lambda name, screen: browsers.enter_context(
            Chromium(
                playwright_driver, tmp_path / f"{name}-profile", screen, has_engine=has_engine, begin_with=first_profile
            )
        )


@pytest.fixture
def phone(new_browser: NewBrowser) -> Chromium:
    """A browser the size of a phone with a profile of its own, not yet started."""
    return new_browser("phone", Screen.PHONE)


@pytest.fixture
def laptop(new_browser: NewBrowser) -> Chromium:
    """A browser the size of a laptop with a profile of its own, not yet started."""
    return new_browser("laptop", Screen.LAPTOP)
