"""The phone's types of an answer are derived from the engine's shapes."""

from __future__ import annotations

import json
from dataclasses import dataclass, fields, is_dataclass
from enum import Enum
from typing import Any, Literal, get_args, get_origin, get_type_hints

import pytest

from tests.support.tools import load_tool
from wattwalk.demo.house import house
from wattwalk.engine import assess, to_plain
from wattwalk.engine.answers import Assessment
from wattwalk.survey.document import read_document

answer_types = load_tool("answer_types")


@dataclass(frozen=True)
class Corner:
    """One corner."""

    along_m: float


@dataclass(frozen=True)
class Place:
    """A place of a unit.

    More that the phone need not read.
    """

    name: str
    corners: tuple[Corner, ...]
    outline: tuple[float, float] | None
    state: Literal["inside", "outside"]
    words: tuple[str | None, ...]
    came_later: int | None = None


def test_a_shape_becomes_an_interface():
    assert answer_types.declaration(Place) == (
        "/** A place of a unit. */\nexport interface Place {\n  name: string;\n  corners: Corner[];\n  outline: [number, number] | null;\n"
        "  state: 'inside' | 'outside';\n  words: (string | null)[];\n  came_later?: number | null;\n}\n"
    )


def test_shapes_come_after_those_they_lean_on():
    assert list(answer_types.shapes_of(Place)) == [Corner, Place]


def test_what_json_does_not_carry_is_refused():
    with pytest.raises(answer_types.ShapeError):
        answer_types.typed(set[str])


def test_every_shape_of_the_answer_is_written():
    written = answer_types.write_types()
    for shape in answer_types.shapes_of(*answer_types.ROOTS):
        assert f"{shape.__name__} " in written


def holds(value: Any, hint: Any) -> bool:
    """Say whether a JSON value is what a field's type promises."""
    origin, parts = get_origin(hint), get_args(hint)
    if origin is Literal:
        return value in parts
    if origin is tuple:
        kinds = [parts[0]] * len(value) if parts[1:] == (...,) else parts
        return (
            isinstance(value, list)
            and len(value) == len(kinds)
            and all(holds(item, kind) for item, kind in zip(value, kinds, strict=True))
        )
    if origin is not None:
        return any(holds(value, part) for part in parts)
    if is_dataclass(hint):
        hints = get_type_hints(hint)
        return (
            isinstance(value, dict)
            and list(value) == [item.name for item in fields(hint)]
            and all(holds(value[name], hints[name]) for name in value)
        )
    if isinstance(hint, type) and issubclass(hint, Enum):
        return value in {item.value for item in hint}
    if hint is float:
        return isinstance(value, int | float) and not isinstance(value, bool)
    return isinstance(value, hint) and not (hint is int and isinstance(value, bool))


def test_the_answer_of_a_whole_house_keeps_to_its_types():
    answer = json.loads(json.dumps(to_plain(assess(read_document(house())))))
    assert holds(answer, Assessment)
    answer["plant"]["units"][0]["verdict"] = "splendid"
    assert not holds(answer, Assessment)
