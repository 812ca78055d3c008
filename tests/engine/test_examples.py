"""The examples in the docstrings of the engine and the survey: they are run, and every public formula has one."""

from __future__ import annotations

import ast
import doctest
import importlib
from pathlib import Path

import pytest

PACKAGE = Path(__file__).resolve().parents[2] / "backend" / "wattwalk"
MODULES = [
    ".".join(path.relative_to(PACKAGE.parent).with_suffix("").parts)
    for folder in ("engine", "survey")
    for path in sorted((PACKAGE / folder).rglob("*.py"))
    if path.name != "__init__.py"
]
#: What a formula is given and gives: nothing that somebody would have to make up first.
PLAIN = {"float", "int", "bool", "str", "None"}
#: The folders whose formulas an engineer would look up and try by hand.
FOLDERS = {
    "fluids", "climate", "fabric", "air", "emitters", "season", "unit", "hot_water", "place", "circuit", "electric", "cost",
}  # fmt: skip


def words_of(annotation: ast.expr | None) -> set[str]:
    """Return the names in an annotation."""
    if annotation is None:
        return {"?"}
    return {node.id for node in ast.walk(annotation) if isinstance(node, ast.Name)} | {
        "None" for node in ast.walk(annotation) if isinstance(node, ast.Constant) and node.value is None
    }


def is_formula(function: ast.FunctionDef) -> bool:
    """Say whether a function is a public formula: numbers and plain words in, at least one of them a number, a number out."""
    given = [words_of(item.annotation) for item in (*function.args.args, *function.args.kwonlyargs)]
    gives = words_of(function.returns)
    return (
        not function.name.startswith("_")
        and bool(given)
        and all(names <= PLAIN for names in given)
        and any("float" in names for names in given)
        and "float" in gives
        and gives <= {"float", "tuple", "str", "bool", "None"}
    )


def formulas(source: str) -> dict[str, str]:
    """Return the docstring of every public formula of a module by its name."""
    return {
        node.name: ast.get_docstring(node) or ""
        for node in ast.parse(source).body
        if isinstance(node, ast.FunctionDef) and is_formula(node)
    }


def source_of(module: str) -> str:
    return (PACKAGE.parent / Path(*module.split("."))).with_suffix(".py").read_text()


OF_FORMULAS = [module for module in MODULES if module.split(".")[2] in FOLDERS and formulas(source_of(module))]


@pytest.mark.parametrize("module", MODULES)
def test_the_examples_come_out_as_they_say(module: str) -> None:
    done = doctest.testmod(importlib.import_module(module))
    assert done.failed == 0


def test_there_are_many_of_them() -> None:
    finder = doctest.DocTestFinder(exclude_empty=True)
    every = [test for module in MODULES for test in finder.find(importlib.import_module(module))]
    assert sum(len(test.examples) for test in every) >= 130
    assert len({folder for folder in FOLDERS if any(f".engine.{folder}." in module for module in OF_FORMULAS)}) >= 11


@pytest.mark.parametrize("module", OF_FORMULAS)
def test_every_formula_says_its_parameters_and_shows_an_example(module: str) -> None:
    lacking = {
        name: [part for part in ("Parameters\n------", "Examples\n------") if part not in words]
        for name, words in formulas(source_of(module)).items()
    }
    assert {name: parts for name, parts in lacking.items() if parts} == {}


@pytest.mark.parametrize(
    ("source", "found"),
    [
        ("def heat(flow: float, name: str = 'x') -> float: ...", ["heat"]),
        ("def range_of(a: float | None) -> tuple[float, str]: ...", ["range_of"]),
        ("def _heat(flow: float) -> float: ...", []),
        ("def look_up(name: str) -> float: ...", []),
        ("def heat(run: PipeRun, flow: float) -> float: ...", []),
        ("def heat(flow: float) -> Row: ...", []),
    ],
)
def test_a_formula_is_told_from_other_functions(source: str, found: list[str]) -> None:
    assert list(formulas(source)) == found
