"""Which mutants there are, which are drawn, and which are left out because nobody could tell them from the program.

The mutations are Cosmic Ray's, and one of our own: a statement that only calls something is left out. Of Cosmic Ray's replacements of one sign by
another those are taken that a person could mistype: ``+`` for ``-``, ``<`` for ``<=``, ``==`` for ``!=``; ``<<`` for ``+`` on figures would only crash.
A place gives one mutant at most, whatever could be done to it.

Left out by rule, because no behaviour hangs on them:

- annotations of types, documentation, ``__all__``, what stands under ``if TYPE_CHECKING``;
- what stands inside an f-string, and what is handed to a log: the wording of messages;
- the decorators that only keep an answer for the next time (``cache``, ``lru_cache``) and their sizes;
- ``frozen`` and ``slots`` of a dataclass, which hold off a programmer's mistake.
"""

from __future__ import annotations

import ast
import functools
import hashlib
import random
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from types import CodeType
from typing import Any

import parso
from cosmic_ray.ast import ast_nodes, get_ast
from cosmic_ray.mutating import mutate_code
from cosmic_ray.operators.operator import Operator
from cosmic_ray.operators.provider import OperatorProvider

AREAS = {"sync": ("sync",), "office": ("office", "accounts.py", "api"), "engine": ("engine",)}
_SIGNS = {
    "Add": ("Sub",),
    "Sub": ("Add",),
    "Mul": ("Div",),
    "Div": ("Mul",),
    "FloorDiv": ("Div",),
    "Mod": ("FloorDiv",),
    "Pow": ("Mul",),
    "BitOr": ("BitAnd",),
    "BitAnd": ("BitOr",),
}
_COMPARISONS = {
    "Eq": ("NotEq",),
    "NotEq": ("Eq",),
    "Lt": ("LtE", "GtE"),
    "LtE": ("Lt", "Gt"),
    "Gt": ("GtE", "LtE"),
    "GtE": ("Gt", "Lt"),
    "Is": ("IsNot",),
    "IsNot": ("Is",),
}
_OTHERS = (
    "ReplaceUnaryOperator_Delete_Not",
    "ReplaceUnaryOperator_Delete_USub",
    "AddNot",
    "ReplaceTrueWithFalse",
    "ReplaceFalseWithTrue",
    "ReplaceAndWithOr",
    "ReplaceOrWithAnd",
    "ReplaceBreakWithContinue",
    "ReplaceContinueWithBreak",
    "ExceptionReplacer",
    "NumberReplacer",
    "RemoveDecorator",
    "ZeroIterationForLoop",
)
_ONLY_FOR_SPEED = {"cache", "lru_cache", "functools.cache", "functools.lru_cache"}
_LOGS = {"log", "logger", "_log", "_logger", "logging"}
_NO_BEHAVIOUR_OF_A_DATACLASS = {"frozen", "slots"}
#: Where a star or two is no multiplication.
_NO_SIGNS = {"parameters", "dictorsetmaker", "arglist", "lambdef", "atom", "testlist_star_expr", "dict_or_set_maker"}


class RemoveCall(Operator):
    """A statement that only calls something is left out."""

    def mutation_positions(self, node: Any) -> Iterator[tuple[tuple[int, int], tuple[int, int]]]:
        """Return where a statement is nothing but a call."""
        if (
            node.type in ("atom_expr", "power")
            and node.parent.type == "simple_stmt"
            and node.children[-1].type == "trailer"
            and node.children[-1].children[0].value == "("
        ):
            yield node.start_pos, node.end_pos

    def mutate(self, node: Any, index: int) -> Any:
        """Put a `pass` in its place."""
        made = parso.parse("pass").children[0]
        made.prefix = node.get_first_leaf().prefix
        return made

    @classmethod
    def examples(cls) -> tuple[Any, ...]:
        """Give no example: the tests of the drawing have them."""
        return ()


@dataclass(frozen=True)
class Mutant:
    """One mistake: where it is, and the file with it."""

    area: str
    file: str
    function: str
    operator: str
    line: str
    becomes: str
    lines: tuple[int, ...]
    source: str
    is_in_function: bool

    @property
    def key(self) -> str:
        """Return what names it for as long as its line says what it says."""
        return hashlib.sha256(
            "\0".join((self.file, self.function, self.operator, self.line, self.becomes)).encode()
        ).hexdigest()[:16]


@functools.cache
def operators() -> dict[str, Operator]:
    """Return the mutations by name."""
    provider = OperatorProvider()
    names = [f"ReplaceBinaryOperator_{sign}_{other}" for sign, others in _SIGNS.items() for other in others]
    names += [f"ReplaceComparisonOperator_{sign}_{other}" for sign, others in _COMPARISONS.items() for other in others]
    return {name: provider[name]() for name in (*names, *_OTHERS)} | {"RemoveCall": RemoveCall()}


@dataclass(frozen=True)
class _Place:
    file: str
    start: tuple[int, int]
    end: tuple[int, int]
    family: str
    choices: tuple[tuple[str, int], ...]


def files_of(package: Path, area: str) -> list[Path]:
    """Return the files of an area, in order."""
    return sorted(
        path
        for name in AREAS[area]
        for path in ((package / name).rglob("*.py") if not name.endswith(".py") else [package / name])
    )


def places_of(file: str, source: str) -> list[_Place]:
    """Return where a file can be mutated, without what is left out by rule."""
    nodes = list(ast_nodes(get_ast(source)))
    left_out = list(_left_out(source))
    found: dict[tuple[Any, ...], list[tuple[str, int]]] = {}
    for name, operator in operators().items():
        occurrence = 0
        for node in nodes:
            for start, end in operator.mutation_positions(node):
                number, occurrence = occurrence, occurrence + 1
                if name.startswith("ReplaceBinary") and node.parent.type in _NO_SIGNS:
                    continue
                if not any(first <= start and end <= last for first, last in left_out):
                    found.setdefault((start, end, name.partition("_")[0]), []).append((name, number))
    return [_Place(file, start, end, family, tuple(choices)) for (start, end, family), choices in sorted(found.items())]


def draw(package: Path, area: str, seed: int, most: int) -> Iterator[Mutant]:
    """Return so many mutants of an area: the first of one order that the seed gives, so that fewer are the beginning of more."""
    sources = {str(path.relative_to(package)): path.read_text() for path in files_of(package, area)}
    places = [place for file, source in sources.items() for place in places_of(file, source)]
    chance = random.Random(f"{seed} {area}")
    chance.shuffle(places)
    drawn = 0
    for place in places:
        name, occurrence = chance.choice(place.choices)
        mutant = make(area, place.file, sources[place.file], name, occurrence, place.start, place.end)
        if mutant is not None:
            yield mutant
            drawn += 1
            if drawn == most:
                return


def make(
    area: str, file: str, source: str, name: str, occurrence: int, start: tuple[int, int], end: tuple[int, int]
) -> Mutant | None:
    """Return the mutant, or None when it does not compile or is the same program."""
    try:
        mutated = mutate_code(source, operators()[name], occurrence)
    except AttributeError:
        # Cosmic Ray cannot replace an exception that is named with its module.
        if name != "ExceptionReplacer":
            raise
        return None
    if mutated is None:
        return None
    try:
        if ast.dump(ast.parse(mutated)) == ast.dump(ast.parse(source)):
            return None
        compile(mutated, file, "exec")
    except SyntaxError:
        return None
    line, becomes = _difference(source, mutated, start[0])
    differ = differing(compile(source, file, "exec"), compile(mutated, file, "exec"))
    statement = _statement(source, start[0])
    return Mutant(
        area,
        file,
        _function(source, start[0]),
        name,
        line,
        becomes,
        tuple(range(statement[0], max(statement[1], end[0]) + 1)),
        mutated,
        differ,
    )


def _difference(source: str, mutated: str, line: int) -> tuple[str, str]:
    old, new = source.splitlines(), mutated.splitlines()
    after = len(new) - (len(old) - line)
    if len(old) == len(new):
        return old[line - 1].strip(), new[line - 1].strip()
    return old[line - 1].strip(), " ".join(part.strip() for part in new[line - 1 : max(after, line)])


def differing(original: CodeType, mutated: CodeType) -> bool:
    """Whether all that differs lies inside of functions, so that it can be put into a program that is running."""
    if original.co_flags & 0x02 and mutated.co_flags & 0x02:  # the code of a function, which a running one can be given
        return True
    ours, theirs = ([made for made in code.co_consts if isinstance(made, CodeType)] for code in (original, mutated))
    if len(ours) != len(theirs) or _own(original) != _own(mutated):
        return False
    return all(differing(one, other) for one, other in zip(ours, theirs, strict=True))


def _own(code: CodeType) -> tuple[Any, ...]:
    constants = tuple((type(made), made) for made in code.co_consts if not isinstance(made, CodeType))
    return code.co_code, constants, code.co_names, code.co_varnames, code.co_name


def _function(source: str, line: int) -> str:
    """Return the dotted name of the innermost function or class around a line, or an empty text."""
    best: list[str] = []

    def look(node: ast.AST, names: list[str]) -> None:
        nonlocal best
        for child in ast.iter_child_nodes(node):
            if isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
                first = min([child.lineno, *(decorator.lineno for decorator in child.decorator_list)])
                if first <= line <= (child.end_lineno or line):
                    best = [*names, child.name]
                    look(child, best)
            else:
                look(child, names)

    look(ast.parse(source), [])
    return ".".join(best)


def _statement(source: str, line: int) -> tuple[int, int]:
    """Return the first and last line of the innermost statement around a line; of one with a body, its head."""
    found = (line, line)
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.stmt) and node.lineno <= line <= (node.end_lineno or line):
            body = getattr(node, "body", None)
            last = (
                body[0].lineno - 1
                if isinstance(body, list) and body and body[0].lineno > node.lineno
                else node.end_lineno or line
            )
            if line <= last:  # what is further in comes later
                found = (node.lineno, last)
    return found


def _left_out(source: str) -> Iterator[tuple[tuple[int, int], tuple[int, int]]]:
    """Return the stretches that nothing hangs on, as parso counts them."""
    lines = source.splitlines()

    def stretch(node: Any) -> tuple[tuple[int, int], tuple[int, int]]:
        def column(line: int, bytes_before: int) -> int:
            return len(lines[line - 1].encode()[:bytes_before].decode())

        return (node.lineno, column(node.lineno, node.col_offset)), (
            node.end_lineno,
            column(node.end_lineno, node.end_col_offset),
        )

    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.arg | ast.AnnAssign) and node.annotation is not None:
            yield stretch(node.annotation)
        if isinstance(node, ast.JoinedStr):
            yield stretch(node)
        if isinstance(node, ast.Assign) and any(
            isinstance(target, ast.Name) and target.id == "__all__" for target in node.targets
        ):
            yield stretch(node)
        if isinstance(node, ast.If) and ast.unparse(node.test) in {"TYPE_CHECKING", "typing.TYPE_CHECKING"}:
            yield stretch(node)
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Call) and _is_log(node.value.func):
            yield stretch(node)
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef) and node.returns is not None:
                yield stretch(node.returns)
            for decorator in node.decorator_list:
                called = decorator.func if isinstance(decorator, ast.Call) else decorator
                first, last = stretch(decorator)
                if ast.unparse(called) in _ONLY_FOR_SPEED:
                    # Cosmic Ray's decorator reaches from its sign to the end of its line.
                    yield (first[0], 0), (last[0] + 1, 0)
                if ast.unparse(called) in {"dataclass", "dataclasses.dataclass"} and isinstance(decorator, ast.Call):
                    yield from (
                        stretch(given) for given in decorator.keywords if given.arg in _NO_BEHAVIOUR_OF_A_DATACLASS
                    )


def _is_log(called: ast.expr) -> bool:
    if not isinstance(called, ast.Attribute) or called.attr not in {
        "debug",
        "info",
        "warning",
        "error",
        "exception",
        "critical",
    }:
        return False
    before = called.value
    return (isinstance(before, ast.Name) and before.id in _LOGS) or (
        isinstance(before, ast.Attribute) and before.attr in _LOGS
    )
