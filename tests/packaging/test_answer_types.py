"""The phone's types of an answer are derived from the engine's shapes."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass, fields, is_dataclass
from enum import Enum
from pathlib import Path
from typing import Any, Literal, get_args, get_origin, get_type_hints

import pytest

from tests.support.tools import load_tool
from wattwalk.demo.house import house
from wattwalk.engine import assess, to_plain
from wattwalk.engine.answers import (
    Assessment,
    CylinderFit,
    Severity,
    UnitResult,
    Verdict,
    ZoneObject,
)
from wattwalk.engine.fabric.by_look import elements_of
from wattwalk.survey.constructions import ELEMENTS, LOOKS
from wattwalk.survey.document import read_document
from wattwalk.survey.usual import READY

answer_types = load_tool("answer_types")
ROOT = Path(__file__).resolve().parents[2]


def literal(shape: type, field: str) -> list[str]:
    """Return what a field of a shape can be."""
    return list(get_args(get_type_hints(shape)[field]))


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


@pytest.mark.parametrize(
    ("table", "states"),
    [
        ("SEVERITY_WORDS", [item.value for item in Severity]),
        ("VERDICT_WORDS", [item.value for item in Verdict]),
        ("UNIT_WORDS", literal(UnitResult, "verdict")),
        ("FIT_WORDS", literal(CylinderFit, "state")),
        ("STANDING_WORDS", literal(ZoneObject, "state")),
        ("CABLE_WORDS", ["stop", "check", "fine", "not_known"]),
        ("DANGER_WORDS", ["opening", "hollow", "spark", "boundary"]),
    ],
)
def test_every_state_has_its_words_and_the_phone_has_them(table, states):
    told = answer_types.tables()[table]
    assert sorted(told) == sorted(states)
    assert all(told.values())
    written = re.search(rf"export const {table} = (\{{.*?\n\}}) as const;", answer_types.write_types(), re.DOTALL)
    assert json.loads(written[1]) == told


def test_what_an_element_can_be_is_the_engines_word():
    looks, ready = answer_types.tables()["LOOKS_OF"], answer_types.tables()["READY_OF"]
    assert looks.keys() == ready.keys() == {element[0] for element in ELEMENTS}
    assert all(element in elements_of(look) for element, all_looks in looks.items() for look in all_looks)
    assert {look for all_looks in looks.values() for look in all_looks} == {look[0] for look in LOOKS}
    assert {one for ones in ready.values() for one in ones} == {one[0] for one in READY}


def test_the_phone_has_no_words_of_its_own_for_what_the_engine_says():
    """A table of the engine's words that is written down again goes stale beside it."""
    told = {
        words for name, table in answer_types.tables().items() if name.endswith("_WORDS") for words in table.values()
    }
    common = {"Check", "Note", "Not known", "Tight", "Fits", "Enough", "Too small", "Not known yet"}
    found = [
        f"{path.name}: {words}"
        for path in (ROOT / "pwa/src").rglob("*.ts*")
        if "generated" not in path.parts
        for words in told - common
        if f"'{words}'" in (text := path.read_text()) or f'"{words}"' in text
    ]
    assert found == []
