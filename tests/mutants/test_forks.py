"""A mistake reaches the running program, a run ends in time, and what it was is told."""

from __future__ import annotations

import importlib.util
import os
import subprocess
import sys
import time
from pathlib import Path
from types import ModuleType

import pytest

pytest.importorskip("cosmic_ray", reason="`make mutants` installs what draws the mutants")

from tests.mutants import forks

SOURCE = """
def add(a, b):
    return a + b

def outer(a):
    def inner(b):
        return add(a, b) * 2
    return inner

class Sum:
    def of(self, a, b):
        return [add(one, b) for one in (a,)][0]
"""


@pytest.fixture
def module(tmp_path: Path) -> ModuleType:
    """A module of a package that may be mutated, loaded."""
    path = tmp_path / "engine" / "sums.py"
    path.parent.mkdir()
    path.write_text(SOURCE)
    (tmp_path / "accounts.py").touch()
    spec = importlib.util.spec_from_file_location("sums", path)
    made = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(made)
    return made


def test_a_mistake_is_put_into_every_function_that_is_there(module: ModuleType, tmp_path: Path) -> None:
    kept = module.add
    forks.remember_sources(tmp_path)
    forks.put_in("engine/sums.py", SOURCE.replace("a + b", "a - b"), tmp_path, forks._functions_of(tmp_path))
    assert (kept(5, 3), module.outer(5)(3), module.Sum().of(5, 3)) == (2, 4, 2)


def test_a_mistake_of_an_inner_function_is_put_into_its_outer_one(module: ModuleType, tmp_path: Path) -> None:
    forks.remember_sources(tmp_path)
    forks.put_in("engine/sums.py", SOURCE.replace("* 2", "* 3"), tmp_path, forks._functions_of(tmp_path))
    assert module.outer(5)(3) == 24


def test_a_function_that_is_not_there_cannot_be_given_a_mistake(module: ModuleType, tmp_path: Path) -> None:
    forks.remember_sources(tmp_path)
    with pytest.raises(ValueError, match="No function"):
        forks.put_in("engine/sums.py", SOURCE, tmp_path, forks._functions_of(tmp_path))


@pytest.mark.parametrize(("code", "outcome"), [(0, "survived"), (1, "killed"), (2, "killed"), (3, "broken")])
def test_how_a_run_ended_is_told(code: int, outcome: str) -> None:
    def run(say) -> int:
        say("the test that failed")
        return code

    found = forks.watch(run, 5)
    assert (found.outcome, found.killer) == (outcome, "the test that failed")


def test_a_run_that_breaks_is_no_kill() -> None:
    assert forks.watch(lambda say: 1 // 0, 5).outcome == "broken"


def test_a_run_that_goes_round_in_circles_is_ended(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(forks, "SECONDS_TOO_LONG", 1.0)

    def circle(say) -> int:
        while True:
            pass

    assert forks.watch(circle, 0).outcome == "killed_by_time"


def test_a_run_that_is_stuck_is_ended_with_what_it_started(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(forks, "SECONDS_STUCK", 2.0)

    def wait(say) -> int:
        started = subprocess.Popen([sys.executable, "-c", "import time; time.sleep(600)"])
        (tmp_path / "pid").write_text(str(started.pid))
        time.sleep(600)
        return 0

    assert forks.watch(wait, 0).outcome == "killed_by_time"
    started = int((tmp_path / "pid").read_text())
    for _ in range(100):
        if (
            not Path(f"/proc/{started}").exists()
            or Path(f"/proc/{started}/stat").read_text().rpartition(")")[2].split()[0] == "Z"
        ):
            return
        time.sleep(0.05)
    os.kill(started, 9)
    raise AssertionError("What the run had started was still running.")
