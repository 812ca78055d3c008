"""Rows that stand on a line of the list are written as objects, which moves the line; a module that writes them otherwise has to say so."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).resolve().parents[2] / "backend" / "wattwalk"
ON_THE_LINE = {"StoredPhoto", "Report", "Email"}


def unsaid_writes(source: str) -> list[int]:
    """Return the lines that write such rows past their objects, unless the module calls `say_moved`."""
    calls = [node for node in ast.walk(ast.parse(source)) if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)]
    if any(call.func.id == "say_moved" for call in calls):
        return []
    return [
        call.lineno
        for call in calls
        if call.func.id in {"insert", "update", "delete"} and any(isinstance(given, ast.Name) and given.id in ON_THE_LINE for given in call.args)
    ]


def test_no_module_moves_a_line_without_a_word() -> None:
    found = {str(path.relative_to(PACKAGE)): unsaid_writes(path.read_text()) for path in sorted(PACKAGE.rglob("*.py"))}
    assert {name: lines for name, lines in found.items() if lines} == {}


@pytest.mark.parametrize(
    ("source", "lines"),
    [
        ("session.execute(update(Email).values(state='sent'))", [1]),
        ("\nsession.execute(delete(StoredPhoto))", [2]),
        ("session.execute(delete(StoredPhoto)); say_moved(session, id)", []),
        ("session.execute(delete(LoginFailure))", []),
    ],
)
def test_such_a_write_is_found(source: str, lines: list[int]) -> None:
    assert unsaid_writes(source) == lines
