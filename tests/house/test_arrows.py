"""The arrows of the house point one way, and its inner rooms need nothing but the standard library."""

from __future__ import annotations

import ast
import sys
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "backend" / "wattwalk"

INNER = ("survey", "engine", "offers", "pictures", "catalogue")
STORES = {"files", "paths", "photo_store", "config", "database", "models", "guessing", "accounts"}
#: How lists come in and go out, each reader by itself.
LISTS = {"unit_list", "article_list", "valve_list", "list_columns", "list_file"}
SERVER = {*INNER, *STORES, "version", "sync", "office", "checks", *LISTS}

# What each part of the package may import from the rest of it. A new part has to be given its place here.
MAY_IMPORT: dict[str, set[str]] = {
    "survey": set(),
    "catalogue": set(),
    "engine": {"survey", "catalogue"},
    "offers": {"survey", "engine"},
    "pictures": {"survey", "engine"},
    # The one answer, on the phone as well: it may lean on nothing but the inner rooms.
    "answer": {*INNER},
    "files": set(),
    "paths": {"survey"},
    "version": set(),
    "photo_store": {"files"},
    "checks": {*INNER, "paths"},
    "config": {"survey", "paths", "photo_store"},
    "database": {"survey", "files", "paths", "config"},
    "models": {"survey", "database"},
    "guessing": {"survey", "database", "models"},
    "accounts": {"survey", "database", "models", "guessing"},
    "backup": {"survey", "version", *STORES},
    "sync": {"survey", *STORES},
    "office": {*INNER, *STORES, "version", "sync", "checks", *LISTS},
    "api": {*SERVER, "answer", "web"},
    "web": {"paths"},
    "connections": set(),
    "serve": {*SERVER, "connections"},
    "app": {*SERVER, "api", "web"},
    "demo": {*INNER, "unit_list"},
    "fill_in": {*SERVER, "demo"},
    "unit_list": {*INNER},
    "article_list": {"survey", "list_columns", "list_file"},
    "valve_list": {"survey", "list_columns", "list_file"},
    "list_columns": {"survey", "list_file"},
    "list_file": {"survey", "catalogue"},
    "terminal": {"survey"},
    "commands": {*SERVER, "backup", "app", "terminal", "serve", "fill_in"},
    "cli": {*SERVER, "terminal", "commands"},
}
# The subjects of the engine in the order in which they are asked: each may lean on those before it, and on its own.
SUBJECTS = (
    "answers",
    "fluids",
    "climate",
    "fabric",
    "air",
    "emitters",
    "rooms",
    "season",
    "unit",
    "hot_water",
    "place",
    "circuit",
    "electric",
    "cost",
    "plausibility",
    "ranges",
    "layout",
)
# Adding floats with the builtin gives other last digits on Python 3.12 and later than on 3.11.
ADDS_WITH_FSUM = ("engine", "pictures")


def imported_names(source: str, module: str) -> list[str]:
    """Return the full dotted names a module imports, wherever in the module the import stands."""
    names: list[str] = []
    parent = module.split(".")
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            names += [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            base = parent[: len(parent) - node.level] if node.level else []
            stem = ".".join([*base, *(node.module.split(".") if node.module else [])])
            # `from wattwalk import engine` names a part by what it imports, not by where from.
            names += [f"{stem}.{alias.name}" for alias in node.names] if stem == "wattwalk" else [stem]
    return names


def parts_against_the_arrows(source: str, module: str) -> list[str]:
    """Return the parts of the package that a module imports and may not."""
    part = module.split(".")[1]
    wanted = {name.split(".")[1] for name in imported_names(source, module) if name.startswith("wattwalk.")}
    # `from . import __version__` asks for the package's own word, not for a part of it.
    return sorted((wanted & MAY_IMPORT.keys()) - MAY_IMPORT[part] - {part})


def subjects_against_the_order(source: str, module: str) -> list[str]:
    """Return the subjects of the engine that one of its modules leans on and may not."""
    own = module.split(".")[2]
    wanted = {name.split(".")[2] for name in imported_names(source, module) if name.startswith("wattwalk.engine.")}
    return sorted(
        subject for subject in wanted if subject not in SUBJECTS or SUBJECTS.index(subject) > SUBJECTS.index(own)
    )


def circles(leans_on: dict[str, set[str]]) -> list[list[str]]:
    """Return the groups of modules that lean on each other in a circle, in order."""
    sorter, found = TopologicalSorter(leans_on), []
    try:
        sorter.prepare()
    except CycleError as error:
        found.append(sorted(set(error.args[1])))
    return found


def imports_between(paths: dict[str, Path]) -> dict[str, set[str]]:
    """Return which modules each module imports, a name imported from a package counting as the module of that name where there is one."""
    found: dict[str, set[str]] = {}
    for module, path in paths.items():
        wanted: set[str] = set()
        parent = module.split(".") if path.name == "__init__.py" else module.split(".")[:-1]
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.Import):
                wanted |= {alias.name for alias in node.names}
            elif isinstance(node, ast.ImportFrom):
                base = parent[: len(parent) - node.level + 1] if node.level else []
                stem = ".".join([*base, *(node.module.split(".") if node.module else [])])
                wanted |= {f"{stem}.{alias.name}" if f"{stem}.{alias.name}" in paths else stem for alias in node.names}
        found[module] = (wanted & paths.keys()) - {module}
    return found


def beyond_the_standard_library(source: str, module: str) -> list[str]:
    """Return the packages a module imports that neither Python nor this project brings."""
    return sorted(
        {name.split(".")[0] for name in imported_names(source, module)} - sys.stdlib_module_names - {"wattwalk"}
    )


def calls_of_builtin_sum(source: str) -> list[int]:
    """Return the lines that call the builtin `sum`."""
    return [
        node.lineno
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "sum"
    ]


def modules(*parts: str) -> list[tuple[str, Path]]:
    """Return the dotted name and the path of every module in the given parts of the package, all of them when none is given."""
    found = []
    for path in sorted(PACKAGE.rglob("*.py")):
        steps = ["wattwalk", *path.relative_to(PACKAGE).with_suffix("").parts]
        if len(steps) > 2 and steps[-1] == "__init__":
            # Within a package's own file one dot means the package itself, so the name keeps its last step.
            name = ".".join(steps)
        elif steps[-1] == "__init__":
            continue  # the package's front door, which imports nothing
        else:
            name = ".".join(steps)
        if not parts or steps[1] in parts:
            found.append((name, path))
    return found


def test_every_part_has_its_place() -> None:
    assert {name.split(".")[1] for name, _ in modules()} <= MAY_IMPORT.keys()


@pytest.mark.parametrize(("module", "path"), modules(), ids=lambda value: value if isinstance(value, str) else "")
def test_arrows_point_inwards(module: str, path: Path) -> None:
    assert parts_against_the_arrows(path.read_text(), module) == []


@pytest.mark.parametrize(
    ("module", "path"),
    [item for item in modules("engine") if item[0].count(".") > 2],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_the_subjects_of_the_engine_lean_one_way(module: str, path: Path) -> None:
    assert subjects_against_the_order(path.read_text(), module) == []


def test_every_subject_has_its_place() -> None:
    assert {
        path.name for path in (PACKAGE / "engine").iterdir() if path.is_dir() and path.name != "__pycache__"
    } == set(SUBJECTS)


def test_no_modules_lean_on_each_other_in_a_circle() -> None:
    paths = {}
    for path in PACKAGE.rglob("*.py"):
        steps = ["wattwalk", *path.relative_to(PACKAGE).with_suffix("").parts]
        paths[".".join(steps[:-1] if steps[-1] == "__init__" else steps)] = path
    assert circles(imports_between(paths)) == []


@pytest.mark.parametrize(
    ("module", "path"), modules(*INNER, "answer"), ids=lambda value: value if isinstance(value, str) else ""
)
def test_inner_rooms_need_only_the_standard_library(module: str, path: Path) -> None:
    assert beyond_the_standard_library(path.read_text(), module) == []


@pytest.mark.parametrize(
    ("module", "path"), modules(*ADDS_WITH_FSUM), ids=lambda value: value if isinstance(value, str) else ""
)
def test_floats_are_added_with_fsum(module: str, path: Path) -> None:
    assert calls_of_builtin_sum(path.read_text()) == [], f"{module}: use math.fsum"


@pytest.mark.parametrize(
    ("source", "module", "found"),
    [
        ("from wattwalk.office import quotes", "wattwalk.engine.rooms", ["office"]),
        ("from wattwalk import api", "wattwalk.office.quotes", ["api"]),
        ("def late():\n    from ..sync import log", "wattwalk.survey.fields", ["sync"]),
        ("from . import rooms", "wattwalk.engine.__init__", []),
        ("import wattwalk.survey.fields", "wattwalk.engine.rooms", []),
        ("from . import __version__, cli", "wattwalk.web", ["cli"]),
        ("from .cli import main", "wattwalk.commands", ["cli"]),
    ],
)
def test_an_arrow_pointing_the_other_way_is_seen(source: str, module: str, found: list[str]) -> None:
    assert parts_against_the_arrows(source, module) == found


@pytest.mark.parametrize(
    ("source", "found"),
    [("import numpy.linalg", ["numpy"]), ("from flask import g", ["flask"]), ("import math\nfrom . import rooms", [])],
)
def test_a_foreign_package_is_seen(source: str, found: list[str]) -> None:
    assert beyond_the_standard_library(source, "wattwalk.engine.rooms") == found


def test_a_subject_that_leans_the_other_way_is_seen() -> None:
    assert subjects_against_the_order("from ..unit.table import UnitTable", "wattwalk.engine.emitters.radiators") == [
        "unit"
    ]
    assert subjects_against_the_order("from ..emitters import radiators", "wattwalk.engine.unit.table") == []
    assert subjects_against_the_order("from ..assess import assess", "wattwalk.engine.cost.grants") == ["assess"]


def test_a_circle_is_seen() -> None:
    assert circles({"a": {"b"}, "b": {"c"}, "c": {"a"}, "d": {"a"}}) == [["a", "b", "c"]]
    assert circles({"a": {"b"}, "b": {"c"}, "c": set()}) == []


def test_a_builtin_sum_is_seen() -> None:
    assert calls_of_builtin_sum("import math\nx = math.fsum(y)\nz = sum(y)\n") == [3]
