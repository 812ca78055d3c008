"""Which test runs which line: every test once, with coverage's contexts, in the copy.

What an earlier test left in a cache of the program would hide lines from a later one, so caches are emptied before each. The setting up of
a fixture that several tests share counts for all of them. A program that a test starts counts for that test.
"""

from __future__ import annotations

import functools
import gc
import importlib
import json
import os
import pkgutil
import sys
import time
from collections import defaultdict
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import coverage
import pytest

import wattwalk

#: The tests that are asked: those that drive a browser, build, or look at the repository are not.
TESTS = (
    "tests/survey",
    "tests/engine",
    "tests/catalogue",
    "tests/pictures",
    "tests/published",
    "tests/sync",
    "tests/office",
    "tests/api",
    "tests/cli",
)
#: A test that takes longer than this by itself is not asked again; these are known to, and are not even asked once.
SECONDS_PER_TEST = 12.0
TOO_LONG = ("tests/sync/test_ledger.py::test_random_histories_lose_nothing_and_double_nothing",)
#: What is mutated, below the package.
MUTATED = ("sync", "office", "api", "engine", "accounts.py")
#: Contexts of lines that run before any test: when the program is imported, and when the tests are collected.
AT_IMPORT, AT_COLLECTION = "import", "collection"


def own_caches(package: Path) -> list[Any]:
    """Return the caches of the mutated code and of the tests."""
    mutated = tuple(f"wattwalk.{name.removesuffix('.py')}" for name in MUTATED)
    return [
        made
        for made in gc.get_objects()
        if isinstance(made, functools._lru_cache_wrapper) and (made.__module__ or "").startswith((*mutated, "tests"))
    ]


def is_shared(fixture: Any) -> bool:
    """Whether a fixture outlives the test that asked for it first."""
    return fixture.scope != "function"


def fixture_name(fixture: Any) -> str:
    """Return the context of a fixture's setting up."""
    return f"fixture {fixture.baseid} {fixture.argname}"


class Recorder:
    """The plugin that switches contexts."""

    def __init__(self, package: Path, measured: coverage.Coverage) -> None:
        self.package = package
        self.measured = measured
        self.seconds: dict[str, float] = {}
        self.shared: dict[str, list[str]] = {}
        self.failed: list[str] = []
        self._contexts = [AT_COLLECTION]
        self._caches: list[Any] | None = None

    @contextmanager
    def _context(self, name: str) -> Iterator[None]:
        self._contexts.append(name)
        self.measured.switch_context(name)
        yield
        self._contexts.pop()
        self.measured.switch_context(self._contexts[-1])

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        """Give each test a context of its own."""
        if self._caches is None:
            self._caches = own_caches(self.package)
        for cache in self._caches:
            cache.cache_clear()
        os.environ["WATTWALK_TEST"] = item.nodeid
        fixtures = item._fixtureinfo.name2fixturedefs
        self.shared[item.nodeid] = [
            fixture_name(fixtures[name][-1])
            for name in item.fixturenames
            if name in fixtures and is_shared(fixtures[name][-1])
        ]
        began = time.monotonic()
        with self._context(item.nodeid):
            result = yield
        self.seconds[item.nodeid] = round(time.monotonic() - began, 4)
        return result

    @pytest.hookimpl(wrapper=True)
    def pytest_fixture_setup(self, fixturedef: Any) -> Iterator[None]:
        """Give the setting up of a shared fixture a context of its own."""
        if not is_shared(fixturedef):
            return (yield)
        with self._context(fixture_name(fixturedef)):
            return (yield)

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Note a test that does not pass: it can kill nothing."""
        if report.failed:
            self.failed.append(report.nodeid)


def record(package: Path, output: Path, tests: list[str]) -> int:
    """Run the tests and write the map; return pytest's status."""
    folder = output.parent
    for old in folder.glob(".measured*"):
        old.unlink()
    mutated = [str(package / name / "*") if not name.endswith(".py") else str(package / name) for name in MUTATED]
    settings = folder / "measure.ini"
    settings.write_text(
        f"[run]\ninclude =\n{''.join(f'    {name}{chr(10)}' for name in mutated)}data_file = {folder / '.measured-by-a-program'}\n"
        "parallel = true\nsigterm = true\ncontext = ${WATTWALK_TEST-import}\n"
    )
    os.environ["COVERAGE_PROCESS_START"] = str(settings)
    measured = coverage.Coverage(data_file=str(folder / ".measured"), include=mutated, config_file=False)
    measured.start()
    measured.switch_context(AT_IMPORT)
    for module in pkgutil.walk_packages(wattwalk.__path__, "wattwalk."):
        importlib.import_module(module.name)
    measured.switch_context(AT_COLLECTION)
    recorder = Recorder(package, measured)
    status = pytest.main(
        [
            "-q",
            "-p",
            "no:cacheprovider",
            "-o",
            "addopts=-ra --strict-markers --strict-config",
            *(f"--deselect={name}" for name in TOO_LONG),
            *(tests or TESTS),
        ],
        plugins=[recorder],
    )
    measured.stop()
    measured.save()
    lines: dict[str, dict[int, set[str]]] = defaultdict(lambda: defaultdict(set))
    for file in [folder / ".measured", *folder.glob(".measured-by-a-program*")]:
        data = coverage.CoverageData(str(file))
        data.read()
        for name in data.measured_files():
            for line, contexts in data.contexts_by_lineno(name).items():
                lines[str(Path(name).relative_to(package))][line].update(
                    context.partition("|")[0] for context in contexts
                )
    _write(output, recorder, lines)
    return int(status)


def _write(output: Path, recorder: Recorder, lines: dict[str, dict[int, set[str]]]) -> None:
    """Write the map; what is known of tests of other files stays."""
    users: dict[str, set[str]] = defaultdict(set)
    for test, fixtures in recorder.shared.items():
        for fixture in fixtures:
            users[fixture].add(test)
    known = (
        json.loads(output.read_text())
        if output.exists()
        else {"tests": {}, "failed": [], "lines": {}, "early": {}, "modules": []}
    )
    anew = {name.partition("::")[0] for name in recorder.seconds}
    known["failed"] = sorted(
        {name for name in known["failed"] if name.partition("::")[0] not in anew} | set(recorder.failed)
    )
    known["tests"] = {name: seconds for name, seconds in known["tests"].items() if name.partition("::")[0] not in anew}
    known["tests"] |= {name: seconds for name, seconds in recorder.seconds.items() if name not in recorder.failed}
    for file, found in lines.items():
        by_line = known["lines"].setdefault(file, {})
        for line in {*by_line, *map(str, found)}:
            contexts = found.get(int(line), set())
            ours = {test for context in contexts for test in users.get(context, {context}) if test in known["tests"]}
            kept = {
                test for test in by_line.get(line, ()) if test in known["tests"] and test.partition("::")[0] not in anew
            }
            by_line[line] = sorted(ours | kept)
        for moment in (AT_IMPORT, AT_COLLECTION):
            early = known["early"].setdefault(moment, {})
            early[file] = sorted(
                {*early.get(file, ()), *(line for line, contexts in found.items() if moment in contexts)}
            )
    third_party = {
        name
        for name, module in sys.modules.items()
        if getattr(module, "__file__", None) and not name.startswith(("wattwalk", "tests", "__main__", "conftest"))
    }
    known["modules"] = sorted(third_party | set(known["modules"]))
    output.write_text(json.dumps(known))


if __name__ == "__main__":
    sys.exit(record(Path(sys.argv[1]), Path(sys.argv[2]), sys.argv[3:]))
