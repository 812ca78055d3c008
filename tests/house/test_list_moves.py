"""Rows that stand on a line of the list are written as objects, which moves the line; a module that writes them otherwise has to say so."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).resolve().parents[2] / "backend" / "wattwalk"
ON_THE_LINE = {"StoredPhoto", "Report", "Email"}
#: Writes that need no word, by module and function, and why.
NEED_NO_WORD = {
    (
        "office/outbox.py",
        "_note_handing_over",
    ): "no screen shows when the end of a message went out, and its state stays what it was",
    (
        "backup/restoring.py",
        "_put_tables",
    ): "a restored database has an epoch of its own, in which every phone asks for the whole list",
}


def unsaid_writes(source: str) -> list[str]:
    """Return the functions that write such rows past their objects, unless they call `say_moved` ('' outside of any)."""
    tree = ast.parse(source)
    functions = [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)]
    inside = {id(node) for function in functions for node in ast.walk(function)}
    found = [function.name for function in functions if _writes_unsaid(list(ast.walk(function)))]
    return found + ([""] if _writes_unsaid([node for node in ast.walk(tree) if id(node) not in inside]) else [])


def _writes_unsaid(nodes: list[ast.AST]) -> bool:
    calls = [node for node in nodes if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)]
    names = {call.func.id for call in calls}
    writes = any(
        call.func.id in {"insert", "update", "delete"}
        and any(isinstance(given, ast.Name) and given.id in ON_THE_LINE for given in call.args)
        for call in calls
    )
    return writes and "say_moved" not in names


def test_no_module_moves_a_line_without_a_word() -> None:
    found = {
        (str(path.relative_to(PACKAGE)), name)
        for path in sorted(PACKAGE.rglob("*.py"))
        for name in unsaid_writes(path.read_text())
    }
    assert found - NEED_NO_WORD.keys() == set()


@pytest.mark.parametrize(
    ("source", "functions"),
    [
        ("session.execute(update(Email).values(state='sent'))", [""]),
        ("def lose():\n    session.execute(delete(StoredPhoto))", ["lose"]),
        ("def lose():\n    session.execute(delete(StoredPhoto)); say_moved(session, id)", []),
        ("def lose():\n    session.execute(delete(StoredPhoto))\ndef say():\n    say_moved(session, id)", ["lose"]),
        ("session.execute(delete(LoginFailure))", []),
    ],
)
def test_such_a_write_is_found(source: str, functions: list[str]) -> None:
    assert unsaid_writes(source) == functions
