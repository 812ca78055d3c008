"""Write the TypeScript types of an answer, derived from the shapes of the engine and of the offers, and the tables of words and of
what fits what that the phone needs before the engine is there: `answer_types.py FILE`.

A field with a default came later than its shape: an answer of an older office that a phone has kept may lack it, so it is optional.
"""

from __future__ import annotations

import json
import shutil
import sys
import types
from collections.abc import Callable, Iterator
from dataclasses import MISSING, fields, is_dataclass
from enum import Enum
from pathlib import Path
from typing import Any, Literal, get_args, get_origin, get_type_hints

from place_tables import write_tables

import wattwalk
from wattwalk.engine.answers import Assessment, Ranges, words
from wattwalk.engine.answers.plan import Plans
from wattwalk.engine.fabric.by_look import elements_of
from wattwalk.engine.fabric.constructions import ready_elements
from wattwalk.engine.place.codes import BEYOND_PACKING
from wattwalk.engine.place.refrigerants import classes
from wattwalk.engine.place.zone_findings import DANGER_WORDS, DANGERS, WAY_WORDS
from wattwalk.offers import Suggestions
from wattwalk.offers.options import OptionRow
from wattwalk.survey.constructions import ELEMENTS, Construction
from wattwalk.unit_list import COLUMNS, PAPERS

#: What an answer is put together from.
ROOTS = (Assessment, Suggestions, Ranges, Plans, OptionRow)

#: What TypeScript calls each plain type.
PLAIN = {str: "string", int: "number", float: "number", bool: "boolean", type(None): "null"}


class ShapeError(TypeError):
    """A field of a shape has a type that JSON does not carry."""


def shapes_of(*shapes: type) -> Iterator[type]:
    """Give shapes and every shape and choice below them, each once, those they lean on first."""
    seen: dict[type, None] = {}

    def visit(found: type) -> None:
        if found in seen:
            return
        if is_dataclass(found):
            for hint in get_type_hints(found).values():
                for part in parts_of(hint):
                    visit(part)
            seen[found] = None
        elif isinstance(found, type) and issubclass(found, Enum):
            seen[found] = None

    for shape in shapes:
        visit(shape)
    yield from seen


def parts_of(hint: Any) -> Iterator[type]:
    """Give the plain types and shapes that a type is put together from."""
    if get_origin(hint) is None:
        if isinstance(hint, type):
            yield hint
        return
    if get_origin(hint) is not Literal:
        for part in get_args(hint):
            yield from parts_of(part)


def typed(hint: Any) -> str:
    """Return the TypeScript type of a field.

    Raises
    ------
    ShapeError
        When JSON does not carry the type.
    """
    if hint in PLAIN:
        return PLAIN[hint]
    origin, parts = get_origin(hint), get_args(hint)
    if origin is types.UnionType or str(origin) == "typing.Union":
        return " | ".join(typed(part) for part in parts)
    if origin is Literal:
        return " | ".join(f"'{part}'" for part in parts)
    if origin is tuple and len(parts) == 2 and parts[1] is ...:
        inner = typed(parts[0])
        return f"({inner})[]" if " " in inner else f"{inner}[]"
    if origin is tuple:
        return f"[{', '.join(typed(part) for part in parts)}]"
    if isinstance(hint, type) and (is_dataclass(hint) or issubclass(hint, Enum)):
        return hint.__name__
    raise ShapeError(f"{hint!r} has no form in JSON.")


def declaration(shape: type) -> str:
    """Return the TypeScript declaration of one shape or choice."""
    if issubclass(shape, Enum):
        return f"export type {shape.__name__} = {' | '.join(repr(str(item.value)) for item in shape)};\n"
    hints = get_type_hints(shape)
    lines = [
        f"  {item.name}{'' if item.default is MISSING and item.default_factory is MISSING else '?'}: {typed(hints[item.name])};"
        for item in fields(shape)
    ]
    words = " ".join((shape.__doc__ or "").split("\n\n")[0].split())
    return f"/** {words} */\nexport interface {shape.__name__} {{\n" + "\n".join(lines) + "\n}\n"


def of_elements(field: str, elements: Callable[[str], tuple[str, ...]]) -> dict[str, list[str]]:
    """Return, by element of a building, the choices of a construction's field that it can be."""
    choices = [item.value for item in Construction.kind.field(field).choices]
    return {element[0]: [value for value in choices if element[0] in elements(value)] for element in ELEMENTS}


def tables() -> dict[str, dict[str, Any]]:
    """Return the tables that the phone has from the engine, by their names."""
    told = {name: table for name, table in vars(words).items() if name.isupper()}
    return told | {
        "DANGERS": DANGERS,
        "DANGER_WORDS": DANGER_WORDS,
        "WAY_WORDS": WAY_WORDS,
        "BEYOND_PACKING": BEYOND_PACKING,
        "REFRIGERANT_CLASSES": classes(),
        "LOOKS_OF": of_elements("look", elements_of),
        "READY_OF": of_elements("ready", ready_elements),
        "UNIT_COLUMNS": COLUMNS,
        "UNIT_PAPERS": PAPERS,
    }


def write_types() -> str:
    """Return the whole file."""
    head = "/** Derived from `backend/wattwalk/engine/answers/` and `backend/wattwalk/offers/` by `backend/tools/answer_types.py`; not to be edited. */\n\n"
    types_ = "\n".join(declaration(shape) for shape in shapes_of(*ROOTS))
    consts = "".join(
        f"\nexport const {name} = {json.dumps(table, ensure_ascii=False, indent=2)} as const;\n"
        for name, table in tables().items()
    )
    return head + types_ + consts


if __name__ == "__main__":
    Path(sys.argv[1]).write_text(write_types(), encoding="utf-8")
    Path(sys.argv[1]).with_name("places.ts").write_text(write_tables(), encoding="utf-8")
    # The house that is tried out on a phone is the one that `wattwalk example` writes.
    shutil.copyfile(
        Path(wattwalk.__file__).parent / "examples" / "demo-house.json", Path(sys.argv[1]).with_name("demo.json")
    )
