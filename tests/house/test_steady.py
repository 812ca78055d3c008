"""No test hangs on how quick the machine is: it waits for what counts, with patience, and sleeps only where time itself is what it asks about."""

from __future__ import annotations

import ast
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
#: Figures and mistakes made on purpose are no part of a test run.
LEFT_OUT = {"bench", "mutants"}
#: The shortest wait for what must come, s. `tests/support/until.py` has the patience that all should lean on.
SHORTEST_S = 30
#: From here on a number of a driver is milliseconds, and not seconds.
MILLISECONDS_FROM = 1_000
SLEEPS = {"sleep", "wait_for_timeout"}
CLOCKS = {"monotonic", "perf_counter", "time"}

Look = Callable[[ast.AST], Iterator[ast.AST]]

#: Where a test may sleep, and why: nothing that it could wait for says when.
MAY_SLEEP = {
    "tests/api/test_busy.py": "gives another the time to come in between, were it let in; a statement that is too long",
    "tests/api/test_connections.py": "comes slowly and works for long, as what it asks about does",
    "tests/browser/kills.py": "the blow falls at a drawn moment",
    "tests/browser/test_door.py": "nothing of the house may be shown later either, and nothing says that it never will",
    "tests/browser/test_journal.py": "the browser writes to its own store when it likes",
    "tests/office/test_report_jobs.py": "another is at work in the meantime",
    "tests/office/test_served_reports.py": "a mail server that takes its time, and kills at other moments of it",
    "tests/packaging/test_set_up.py": "a step that takes longer than the one that fails",
    "tests/support/postgres.py": "between two looks",
    "tests/support/server.py": "between two looks",
    "tests/support/until.py": "between two looks",
}
#: Waits that may be short, and why.
MAY_BE_SHORT = {
    "tests/browser/reasons.py": "a field or a button that has moved is looked for anew",
    "tests/office/test_outbox.py": "nobody is there to answer",
    "tests/office/test_report.py": "is to be over before the report is",
    "tests/support/server.py": "asked again by the loop around it",
}


@cache
def trees() -> dict[str, ast.AST]:
    """Return what every file of the tests says, by its path."""
    files = sorted(path for path in (ROOT / "tests").rglob("*.py") if LEFT_OUT.isdisjoint(path.relative_to(ROOT).parts))
    assert files
    return {path.relative_to(ROOT).as_posix(): ast.parse(path.read_text()) for path in files}


def name_of(call: ast.AST) -> str:
    """Return the last name of what is called, nothing for what is no call."""
    if not isinstance(call, ast.Call):
        return ""
    return getattr(call.func, "attr", getattr(call.func, "id", ""))


def seconds(node: ast.expr) -> float | None:
    """Return the seconds that a plain number stands for, None for anything else."""
    if not isinstance(node, ast.Constant) or isinstance(node.value, bool) or not isinstance(node.value, int | float):
        return None
    return node.value / 1000 if node.value >= MILLISECONDS_FROM else node.value


def is_short(node: ast.expr) -> bool:
    found = seconds(node)
    return found is not None and found < SHORTEST_S


def sleeps(tree: ast.AST) -> Iterator[ast.AST]:
    """Find every call that lets time pass."""
    yield from (node for node in ast.walk(tree) if name_of(node) in SLEEPS)


def short_waits(tree: ast.AST) -> Iterator[ast.AST]:
    """Find a patience that is a small number: a keyword, a deadline by the clock, or a limit that is held against it."""
    for node in ast.walk(tree):
        if isinstance(node, ast.keyword) and node.arg and node.arg.split("_s")[0] in {"timeout", "patience"}:
            if is_short(node.value):
                yield node.value
        elif isinstance(node, ast.BinOp) and isinstance(node.op, ast.Add):
            if name_of(node.left) in CLOCKS and is_short(node.right):
                yield node
        elif name_of(node) in {"join", "wait"} and len(node.args) == 1 and is_short(node.args[0]):
            yield node


def limits(tree: ast.AST) -> Iterator[ast.AST]:
    """Find what is to have taken less than a small number, in a test that has the machine not for itself."""
    alone = {
        id(inside)
        for function in ast.walk(tree)
        if isinstance(function, ast.FunctionDef) and "mark.alone" in " ".join(map(ast.unparse, function.decorator_list))
        for inside in ast.walk(function)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.Assert) and id(node) not in alone and isinstance(node.test, ast.Compare):
            sides = [node.test.left, *node.test.comparators]
            for operator, left, right in zip(node.test.ops, sides, sides[1:], strict=False):
                reads_clock = any(name_of(part) in CLOCKS for part in ast.walk(left))
                if isinstance(operator, ast.Lt | ast.LtE) and reads_clock and is_short(right):
                    yield node


def found(look: Look, allowed: dict[str, str]) -> tuple[list[str], set[str]]:
    """Return where something is found that may not be, and the files in which it may be."""
    wrong, used = [], set()
    for name, tree in trees().items():
        for node in look(tree):
            used.add(name)
            if name not in allowed:
                wrong.append(f"{name}:{node.lineno}")
    return wrong, used & set(allowed)


@pytest.mark.parametrize(
    ("look", "allowed"),
    [(sleeps, MAY_SLEEP), (short_waits, MAY_BE_SHORT), (limits, {})],
    ids=["sleeps", "short waits", "limits"],
)
def test_no_test_hangs_on_how_quick_the_machine_is(look: Look, allowed: dict[str, str]) -> None:
    wrong, used = found(look, allowed)
    assert wrong == []
    assert used == set(allowed), "a file is allowed what it does not do any more"


@pytest.mark.parametrize(
    ("look", "line"),
    [
        (sleeps, "page.wait_for_timeout(200)"),
        (sleeps, "time.sleep(0.1)"),
        (short_waits, "expect(part).to_be_visible(timeout=15_000)"),
        (short_waits, "urlopen(url, timeout=5)"),
        (short_waits, "wait_until(ask, 'it comes', patience_s=10)"),
        (short_waits, "until = time.monotonic() + 15"),
        (short_waits, "thread.join(5)"),
        (limits, "assert time.monotonic() - began < 2"),
    ],
)
def test_what_hangs_on_it_is_seen(look: Look, line: str) -> None:
    assert len(list(look(ast.parse(line)))) == 1


@pytest.mark.parametrize(
    ("look", "line"),
    [
        (short_waits, "expect(part).to_be_visible(timeout=60_000)"),
        (short_waits, "until = time.monotonic() + PATIENCE_S"),
        (limits, "assert time.monotonic() - began > 1.4"),
        (limits, "@pytest.mark.alone\ndef test_it():\n    assert perf_counter() - begun < 3.0"),
    ],
)
def test_what_does_not_is_let_be(look: Look, line: str) -> None:
    assert list(look(ast.parse(line))) == []
