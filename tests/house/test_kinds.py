"""What a kind of record is, the kind says (``record_kind`` in ``survey/``): no list of kinds stands anywhere else."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from wattwalk.survey.kinds import KINDS

ROOT = Path(__file__).resolve().parents[2]
PYTHON = sorted(
    path
    for path in (ROOT / "backend/wattwalk").rglob("*.py")
    if path.relative_to(ROOT / "backend/wattwalk").parts[0] not in {"survey", "demo"}
)
SCRIPTS = sorted(path for path in (ROOT / "pwa/src").rglob("*.ts*") if "generated" not in path.parts)
#: Which screen draws which kind is said in one place as well.
SCREENS = ROOT / "pwa/src/screens/registry.tsx"
#: Two names together may be two that are handled alike (the runs of pipes and cables), or fields called like kinds.
MANY = 3


def names_in(node: ast.AST) -> list[str]:
    """Return the names that a literal lists, or has as its keys, or as the first of each of its rows."""
    items = node.keys if isinstance(node, ast.Dict) else getattr(node, "elts", [])
    firsts = [item.elts[0] if isinstance(item, ast.Tuple) and item.elts else item for item in items]
    return [item.value for item in firsts if isinstance(item, ast.Constant) and isinstance(item.value, str)]


def lists_in_python(text: str) -> Iterator[set[str]]:
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, (ast.Dict, ast.List, ast.Set, ast.Tuple)) and not is_data(node):
            yield set(names_in(node))


def is_data(node: ast.AST) -> bool:
    """A dictionary with values that are worked out is an answer or a document, not a list of kinds."""
    return isinstance(node, ast.Dict) and not all(
        isinstance(value, (ast.Constant, ast.Tuple, ast.List, ast.Set)) for value in node.values
    )


def lists_in_script(text: str) -> Iterator[set[str]]:
    for inside in re.findall(r"\[([^\[\]{}()]*)\]", text):
        yield set(re.findall(r"'(\w+)'", inside))
    for inside in re.findall(r"= \{([^{}]*)\}", text):
        yield set(re.findall(r"(?:^|,)\s*(\w+): ", inside))


def listed(path: Path) -> list[set[str]]:
    text = path.read_text()
    found = lists_in_python(text) if path.suffix == ".py" else lists_in_script(text)
    return [both for names in found if len(both := names & set(KINDS)) >= MANY]


@pytest.mark.parametrize(
    ("suffix", "text"),
    [
        (".py", 'KINDS = {"room", "base", "unit"}'),
        (".py", 'OWNERS = {"emitter": ("room", "room"), "level_reading": ("base", "base"), "base": ("x", "x")}'),
        (
            ".py",
            'for kind, noun in (("cable_run", "Cable"), ("pipe_run", "Pipe"), ("vessel", "Vessel")): print(kind, noun)',
        ),
        (".ts", "const OPTIONAL = new Set(['hazard', 'note', 'photo', 'other']);"),
        (".ts", "const CATEGORY: Record<string, string> = { room: 'room', emitter: 'emitter', base: 'base' };"),
    ],
)
def test_a_list_of_kinds_is_seen(tmp_path: Path, suffix: str, text: str):
    path = tmp_path / f"some{suffix}"
    path.write_text(text)
    assert listed(path)


def test_no_list_of_kinds_stands_outside_the_survey():
    found = {
        str(path.relative_to(ROOT)): names
        for path in [*PYTHON, *SCRIPTS]
        if path != SCREENS and (names := listed(path))
    }
    assert found == {}
