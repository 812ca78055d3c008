"""Tries mutants one after the other, each in a process of its own that is forked where all is loaded already.

Two nurseries wait. In the cold one only other people's packages are loaded; a test run forked from it imports the program with its mistake.
In the warm one the program is imported and every test is collected; a mistake inside a function is put into the running function. That takes
milliseconds where the other takes seconds, and is not done for what runs when the program is imported. The mutated file lies in the copy
meanwhile, so that programs which a test starts have the mistake too.
"""

from __future__ import annotations

import contextlib
import functools
import gc
import importlib
import json
import os
import resource
import shutil
import signal
import sys
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from types import CodeType, FunctionType
from typing import Any

import pytest

from tests.mutants.draw import Mutant
from tests.mutants.mapping import MUTATED, TESTS, own_caches

#: A run that takes so many times what its tests take by themselves, and so many seconds on top, goes round in circles.
TIMES_TOO_LONG, SECONDS_TOO_LONG = 4.0, 15.0
#: The machine may be busy: what waits longer than this without working is stuck.
SECONDS_STUCK = 120.0
_KILLED, _SURVIVED, _BROKEN = 1, 0, 3
# Packages that are plugins of pytest's as well are loaded before it can rewrite their asserts, which are none of ours.
_OPTIONS = (
    "-W",
    "ignore::pytest.PytestAssertRewriteWarning",
    "-q",
    "-p",
    "no:cacheprovider",
    "--no-header",
    "--tb=no",
    "-o",
    "addopts=--strict-markers --strict-config",
)


@dataclass(frozen=True)
class Outcome:
    """What became of a mutant: ``killed``, ``killed_by_time`` or ``survived``, by which test, and how long it took."""

    outcome: str
    killer: str
    seconds: float


class _Stop:
    """The plugin that keeps an order of tests and ends the process at the first that fails."""

    def __init__(self, wanted: list[str], say: Callable[[str], None]) -> None:
        self.wanted = {name: place for place, name in enumerate(wanted)}
        self.say = say

    @pytest.hookimpl(trylast=True)
    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        items.sort(key=lambda item: self.wanted.get(item.nodeid, len(self.wanted)))

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        if report.failed:
            self._end(report.nodeid)

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            self._end(report.nodeid)

    def _end(self, name: str) -> None:
        self.say(name)
        os._exit(_KILLED)


class Nursery:
    """Where mutants are tried; to be used with ``with``."""

    def __init__(self, checkout: Path, third_party: list[str], folder: Path) -> None:
        self.checkout = checkout
        self.package = checkout / "backend" / "wattwalk"
        self.folder = folder
        self._third_party = third_party
        self._ask = self._answer = -1
        self._warm = 0
        self._stack = contextlib.ExitStack()

    def __enter__(self) -> Nursery:
        sys.dont_write_bytecode = True
        os.environ["PYTHONDONTWRITEBYTECODE"] = "1"
        os.chdir(self.checkout)
        for name in self._third_party:
            with contextlib.suppress(Exception):
                importlib.import_module(name)
        self._make_repeatable()
        self._lend_one_cluster()
        self._start_warm()
        return self

    def __exit__(self, kind: type[BaseException] | None, *_: object) -> None:
        os.close(self._ask)
        if kind is not None:
            os.kill(self._warm, signal.SIGKILL)
        os.waitpid(self._warm, 0)
        self._stack.close()

    def _make_repeatable(self) -> None:
        """Let hypothesis draw the same examples each time, and not look for the smallest one that fails."""
        from hypothesis import HealthCheck, Phase, settings

        settings.register_profile(
            "mutants",
            derandomize=True,
            database=None,
            phases=(Phase.explicit, Phase.generate),
            suppress_health_check=list(HealthCheck),
            deadline=None,
        )
        settings.load_profile("mutants")

    def _lend_one_cluster(self) -> None:
        """Let every run use one cluster of PostgreSQL: starting one takes longer than most runs."""
        from tests.support import postgres

        url = self._stack.enter_context(postgres.own_cluster())

        @contextmanager
        def lent() -> Iterator[str]:
            yield url

        postgres.own_cluster = lent

    def _start_warm(self) -> None:
        ask_here, self._ask = os.pipe()
        self._answer, answer_there = os.pipe()
        self._warm = os.fork()
        if self._warm == 0:
            signal.signal(signal.SIGTERM, signal.SIG_DFL)
            os.close(self._ask)
            os.close(self._answer)
            status = _BROKEN
            log = os.open(self.folder / "nursery.log", os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
            os.dup2(log, 1)
            os.dup2(log, 2)
            try:
                with os.fdopen(ask_here) as asked, os.fdopen(answer_there, "w") as answers:
                    status = pytest.main([*_OPTIONS, *TESTS], plugins=[_Warm(self, asked, answers)])
            finally:
                os._exit(status)
        os.close(ask_here)
        os.close(answer_there)
        self._answers = os.fdopen(self._answer)
        if json.loads(self._answers.readline() or "{}").get("ready") is not True:
            raise RuntimeError(f"The tests could not be collected: see {self.folder / 'nursery.log'}.")

    def attempt(self, mutant: Mutant, tests: list[str], seconds: float, *, cold: bool) -> Outcome:
        """Run the tests on the mutant and say what became of it."""
        with self._written(mutant):
            if not cold:
                self._request({"file": mutant.file, "source": mutant.source, "tests": tests, "seconds": seconds})
                answer = json.loads(self._answers.readline())
                if answer["outcome"] != "broken":
                    return Outcome(**answer)
            return watch(
                lambda say: pytest.main(
                    [*_OPTIONS, f"--basetemp={self.folder / 'tmp'}", *tests], plugins=[_Stop(tests, say)]
                ),
                seconds,
            )

    def failing(self, tests: list[str], seconds: Mapping[str, float]) -> set[str]:
        """Return which of these tests fail when there is no mistake at all."""
        failed: set[str] = set()
        while left := [name for name in tests if name not in failed]:
            self._request({"file": "", "source": "", "tests": left, "seconds": sum(seconds[name] for name in left)})
            answer = json.loads(self._answers.readline())
            if answer["outcome"] == "survived":
                break
            if answer["killer"] not in left:
                raise RuntimeError(f"The tests do not run without a mistake: {answer}")
            failed.add(answer["killer"])
        return failed

    def _request(self, request: dict[str, Any]) -> None:
        os.write(self._ask, f"{json.dumps(request)}\n".encode())

    @contextmanager
    def _written(self, mutant: Mutant) -> Iterator[None]:
        path = self.package / mutant.file
        before, times = path.read_bytes(), path.stat()
        path.write_text(mutant.source)
        # Python takes a compiled file for good when the time of its source is the same to the second.
        os.utime(path, (times.st_atime, times.st_mtime + 10))
        try:
            yield
        finally:
            path.write_bytes(before)
            os.utime(path, (times.st_atime, times.st_mtime))


class _Warm:
    """The plugin of the warm nursery: instead of running the tests it forks for each mutant that is asked for."""

    def __init__(self, nursery: Nursery, asked: Any, answers: Any) -> None:
        self.nursery = nursery
        self.asked, self.answers = asked, answers

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        if session.testsfailed:
            return False
        items = {item.nodeid: item for item in session.items}
        functions = _functions_of(self.nursery.package)
        caches = own_caches(self.nursery.package)
        gc.freeze()
        self._say({"ready": True})
        for line in self.asked:
            request = json.loads(line)
            self._say(
                vars(
                    watch(
                        functools.partial(self._attempt, request, items, functions, caches, session), request["seconds"]
                    )
                )
            )
        return True

    def _say(self, said: dict[str, Any]) -> None:
        print(json.dumps(said), file=self.answers, flush=True)

    def _attempt(
        self,
        request: dict[str, Any],
        items: dict[str, pytest.Item],
        functions: Any,
        caches: list[Any],
        session: pytest.Session,
        say: Callable[[str], None],
    ) -> int:
        try:
            if request["file"]:
                put_in(request["file"], request["source"], self.nursery.package, functions)
        except ValueError as error:
            say(str(error))
            return _BROKEN
        for cache in caches:
            cache.cache_clear()
        session.config.option.basetemp = str(self.nursery.folder / "tmp")
        session.config._tmp_path_factory._given_basetemp = self.nursery.folder / "tmp"
        session.config.pluginmanager.register(_Stop(request["tests"], say))
        chosen = [items[name] for name in request["tests"] if name in items]
        for item, following in zip(chosen, [*chosen[1:], None], strict=True):
            session.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
        return _SURVIVED


def watch(run: Callable[[Callable[[str], None]], int], seconds: float) -> Outcome:
    """Run something in a fork of this process, for a bounded time, and end all that it has started."""
    read_end, write_end = os.pipe()
    began = time.monotonic()
    child = os.fork()
    if child == 0:
        os.setsid()
        signal.signal(signal.SIGTERM, signal.SIG_DFL)
        nothing = os.open(os.devnull, os.O_RDWR)
        for stream in (0, 1, 2):
            os.dup2(nothing, stream)
        limit = int(seconds * TIMES_TOO_LONG + SECONDS_TOO_LONG)
        resource.setrlimit(resource.RLIMIT_CPU, (limit, limit + 1))
        status = _BROKEN
        try:
            status = run(lambda words: os.write(write_end, words.encode()[:4000]) and None)
        finally:
            os._exit(status)
    os.close(write_end)
    status, timed_out = _wait(child, began + seconds * TIMES_TOO_LONG * 3 + SECONDS_STUCK)
    with contextlib.suppress(ProcessLookupError):
        os.killpg(child, signal.SIGKILL)
    # What the run has started may hold the pipe open until it is gone.
    os.set_blocking(read_end, False)
    try:
        killer = os.read(read_end, 4000).decode()
    except BlockingIOError:
        killer = ""
    os.close(read_end)
    took = round(time.monotonic() - began, 2)
    if timed_out or os.WIFSIGNALED(status):
        return Outcome(
            "killed_by_time" if timed_out or os.WTERMSIG(status) in (signal.SIGXCPU, signal.SIGKILL) else "killed",
            killer,
            took,
        )
    code = os.WEXITSTATUS(status)
    if code == _BROKEN:
        return Outcome("broken", killer, took)
    return Outcome("survived" if code == _SURVIVED else "killed", killer, took)


def _wait(child: int, until: float) -> tuple[int, bool]:
    while True:
        ended, status = os.waitpid(child, os.WNOHANG)
        if ended:
            return status, False
        if time.monotonic() > until:
            os.killpg(child, signal.SIGKILL)
            return os.waitpid(child, 0)[1], True
        time.sleep(0.01)


def _functions_of(package: Path) -> dict[str, list[FunctionType]]:
    """Return every function there is of the mutated files, by its file."""
    found: dict[str, list[FunctionType]] = {}
    starts = tuple(str(package / name) for name in MUTATED)
    for made in gc.get_objects():
        if isinstance(made, FunctionType) and made.__code__.co_filename.startswith(starts):
            found.setdefault(str(Path(made.__code__.co_filename).relative_to(package)), []).append(made)
    return found


def put_in(file: str, source: str, package: Path, functions: dict[str, list[FunctionType]]) -> None:
    """Give the functions of a running program the code of a mutated file.

    Raises
    ------
    ValueError
        When a function takes other names from around it than before, which a running one cannot.
    """
    path = str(package / file)
    ours = _by_name(compile(_BEFORE[path], path, "exec"))
    theirs = _by_name(compile(source, path, "exec"))
    new = {
        (code.co_qualname, code.co_firstlineno): theirs[name]
        for name, code in ours.items()
        if name in theirs and theirs[name] != code
    }
    changed = [
        (made, new[made.__code__.co_qualname, made.__code__.co_firstlineno])
        for made in functions.get(file, [])
        if (made.__code__.co_qualname, made.__code__.co_firstlineno) in new
    ]
    if not changed:
        raise ValueError("No function that is there has this code.")
    for made, code in changed:
        made.__code__ = code


#: The sources without a mistake, by their path.
_BEFORE: dict[str, str] = {}


def remember_sources(package: Path) -> None:
    """Keep the sources as they are without a mistake; called before the first is made."""
    for name in MUTATED:
        for path in [package / name] if name.endswith(".py") else (package / name).rglob("*.py"):
            _BEFORE[str(path)] = path.read_text()


def _by_name(code: CodeType) -> dict[tuple[str, int], CodeType]:
    """Return every code within a code, by its dotted name and which of that name it is: lambdas share theirs."""
    found: dict[tuple[str, int], CodeType] = {}
    seen: dict[str, int] = {}

    def look(outer: CodeType) -> None:
        for made in outer.co_consts:
            if isinstance(made, CodeType):
                seen[made.co_qualname] = seen.get(made.co_qualname, -1) + 1
                found[made.co_qualname, seen[made.co_qualname]] = made
                look(made)

    look(code)
    return found


def clean(folder: Path) -> None:
    """Remove what the runs have left."""
    shutil.rmtree(folder / "tmp", ignore_errors=True)
