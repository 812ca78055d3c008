"""Types are real and functions stay small: what the type checker is told, and how long anything may grow."""

from __future__ import annotations

import ast
import re
import tomllib
from collections.abc import Iterator
from fnmatch import fnmatch
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PROGRAM = ROOT / "backend" / "wattwalk"
#: Arguments that may be told by their places alone; one more needs names, or a small class of what belongs together.
MOST_BY_PLACE = 7
#: Values that a shape may be made of by their places alone.
MOST_VALUES = 8
#: Length of a function without its docstring, in lines and in characters without the blanks before them.
MOST_LINES, MOST_CHARACTERS = 72, 3000
#: Where nothing of the strict checks is left out.
STRICT = ("survey", "engine", "catalogue", "pictures", "offers", "answer", "checks")


def _modules() -> list[Path]:
    return sorted(PROGRAM.rglob("*.py"))


def too_big(source: str) -> Iterator[str]:
    """Yield what is too big in a module: functions by their arguments or length, shapes made of too many values by place."""
    lines = source.splitlines()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            by_place = [item.arg for item in (*node.args.posonlyargs, *node.args.args)]
            count = len(by_place) - (by_place[:1] in (["self"], ["cls"]))
            if count > MOST_BY_PLACE:
                yield f"{node.name} has {count} arguments by place"
            body = node.body[1:] if ast.get_docstring(node) is not None else node.body
            if body:
                text = lines[body[0].lineno - 1 : body[-1].end_lineno]
                if len(text) > MOST_LINES:
                    yield f"{node.name} has {len(text)} lines"
                characters = sum(len(line.strip()) + 1 for line in text)
                if characters > MOST_CHARACTERS:
                    yield f"{node.name} has {characters} characters"
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and len(node.args) > MOST_VALUES:
            shape = node.func.id.lstrip("_")
            if shape[:1].isupper():
                yield f"{shape} is made of {len(node.args)} values by place (line {node.lineno})"


def _unexplained(source: str) -> list[str]:
    """Return the lines whose type check is switched off without a code and a reason beside it."""
    return [
        line.strip()
        for line in source.splitlines()
        if "type: ignore" in line and not re.search(r"# type: ignore\[[a-z, -]+\]  # \w+", line)
    ]


def test_no_function_is_too_big_to_read():
    found = [f"{path.relative_to(ROOT)}: {words}" for path in _modules() for words in too_big(path.read_text())]
    assert found == []


@pytest.mark.parametrize(
    "source",
    [
        "def flow(run, title, pipe, load, flow, length, speed, steep): ...",
        "class A:\n    def flow(self, run, title, pipe, load, flow, length, speed, steep): ...",
        "def long():\n" + "    a = 1\n" * 73,
        "def wide():\n    return '" + "x" * 3000 + "'",
        "made = Shape(1, 2, 3, 4, 5, 6, 7, 8, 9)",
    ],
)
def test_what_is_too_big_is_seen(source):
    assert len(list(too_big(source))) == 1


@pytest.mark.parametrize(
    "source",
    [
        "def flow(run, title, pipe, load, flow, length, speed, *, steep): ...",
        "class A:\n    def flow(self, run, title, pipe, load, flow, length, speed): ...",
        'def told():\n    """' + "Words.\n" * 200 + '"""\n    return 1',
        "made = Shape(a=1, b=2, c=3, d=4, e=5, f=6, g=7, h=8, i=9)",
    ],
)
def test_what_is_small_enough_passes(source):
    assert list(too_big(source)) == []


def test_the_type_checker_leaves_nothing_out():
    told = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["mypy"]
    assert told["strict"] is True
    assert told["files"] == ["backend/wattwalk"]
    assert "ignore-without-code" in told["enable_error_code"]
    for section in told["overrides"]:
        assert not section.get("ignore_errors")
        own = [name for name in section["module"] if name.startswith("wattwalk")]
        strict = [
            part
            for part in STRICT
            if any(fnmatch(f"wattwalk.{part}", name) or name.startswith(f"wattwalk.{part}.") for name in own)
        ]
        assert strict == []
    assert (PROGRAM / "py.typed").exists()


def test_a_check_that_is_switched_off_says_why():
    assert {
        str(path.relative_to(ROOT)): found for path in _modules() if (found := _unexplained(path.read_text()))
    } == {}


@pytest.mark.parametrize(
    "line",
    ["a = b  # type: ignore", "a = b  # type: ignore[misc]", "# mypy: ignore-errors\na = b  # type: ignore[misc]  #"],
)
def test_a_check_that_is_switched_off_without_a_word_is_seen(line):
    assert _unexplained(line)


def test_no_module_switches_its_checks_off():
    assert [str(path) for path in _modules() if re.search(r"^# mypy:", path.read_text(), re.M)] == []
