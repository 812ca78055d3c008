"""No constant of the program and no export of the phone app that nothing asks for."""

from __future__ import annotations

import ast
import re
from collections import Counter
from collections.abc import Iterable
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
WORD = re.compile(r"\w+")
EXPORT = re.compile(r"^export (?:async )?(?:const|let|function\*?|class|type|interface|enum) (\w+)", re.MULTILINE)


def texts(*folders: str, endings: tuple[str, ...]) -> dict[Path, str]:
    """Return every file of these folders with one of these endings; what is generated or fetched is left out."""
    return {
        path: path.read_text(encoding="utf-8")
        for folder in folders
        for path in sorted((ROOT / folder).rglob("*"))
        if path.suffix in endings and not {"generated", "node_modules", "__pycache__"} & set(path.parts)
    }


def words_in(contents: Iterable[str]) -> Counter[str]:
    """Return how often each word stands in all of these texts."""
    return Counter(word for content in contents for word in WORD.findall(content))


def constants(source: str) -> list[str]:
    """Return the constants that a module gives a name, private ones too."""
    return [
        name.id
        for node in ast.parse(source).body
        if isinstance(node, ast.Assign | ast.AnnAssign)
        for target in (node.targets if isinstance(node, ast.Assign) else [node.target])
        for name in ast.walk(target)
        if isinstance(name, ast.Name) and name.id.strip("_").isupper()
    ]


def test_every_constant_is_asked_for() -> None:
    program = texts("backend", endings=(".py",))
    # What stands in this file was made up to be told apart, and asks for nothing.
    asking = {
        path: text for path, text in texts("migrations", "tests", endings=(".py",)).items() if path != Path(__file__)
    }
    said = words_in([*program.values(), *asking.values()])
    unused = [
        f"{path.relative_to(ROOT)}: {name}"
        for path, source in program.items()
        for name in constants(source)
        if said[name] < 2 and name not in ASKED_FOR_BY_OTHERS
    ]
    assert unused == []


#: What a library looks for by its name.
ASKED_FOR_BY_OTHERS = {"ARGUMENTS_PARSER", "ERROR_SCHEMA"}


def test_every_export_of_the_phone_app_is_asked_for() -> None:
    app = texts("pwa/src", endings=(".ts", ".tsx"))
    said = words_in([*app.values(), *texts("pwa/test", "pwa/tools", endings=(".ts", ".tsx", ".mjs", ".mts")).values()])
    unused = [
        f"{path.relative_to(ROOT)}: {name}"
        for path, source in app.items()
        for name in EXPORT.findall(source)
        if said[name] < 2
    ]
    assert unused == []


@pytest.mark.parametrize(
    ("source", "found"),
    [("SHADE: Colour = (1, 2)\n", ["SHADE"]), ("A, B = 1, 2\n", ["A", "B"]), ("_LIMIT = 3\nname = 4\n", ["_LIMIT"])],
)
def test_a_constant_is_told_by_its_letters(source: str, found: list[str]) -> None:
    assert constants(source) == found
