"""The declarations hang together: stages, groups, references, defaults, and the walk over them."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

import pytest

from wattwalk.engine.fabric.by_look import elements_of
from wattwalk.survey.constructions import ELEMENTS, LOOKS
from wattwalk.survey.fields import ANSWERED, AT_OFFICE, ON_SITE, FieldType, choice, number, rows, text
from wattwalk.survey.kinds import KINDS, OFFICE_STAGE, Part, Record, record_kind
from wattwalk.survey.model import _field, survey_model
from wattwalk.survey.purposes import PURPOSES
from wattwalk.survey.validation import check_field, check_value
from wattwalk.survey.walk import EXPECTATIONS, REPLACED_BY, STAGES

SPECS = [(kind, spec) for kind in KINDS.values() for spec in kind.fields]


@pytest.mark.parametrize(("kind", "spec"), SPECS, ids=[f"{kind.name}.{spec.name}" for kind, spec in SPECS])
def test_each_field_is_whole(kind, spec):
    assert spec.label
    assert kind.stage in {stage.name for stage in STAGES}
    assert all(name in KINDS for name in spec.refers_to)
    assert all(purpose in PURPOSES for purpose in spec.needed_for)
    if spec.default is not None:
        assert check_value(spec, spec.default) is None
        assert spec.default_from, "a default says where it comes from"
    if spec.type is FieldType.NUMBER:
        assert spec.low < spec.high
        assert check_value(spec, spec.low) is None
        assert check_value(spec, spec.high) is None
        assert check_value(spec, spec.high + 1).code == "out_of_range"
        assert check_value(spec, float("nan")).code == "not_a_number"
    if spec.choices:
        assert len({item.value for item in spec.choices}) == len(spec.choices)
    for name, allowed in spec.when:
        options = {item.value for item in kind.field(name).choices}
        assert not options or set(allowed) - {None} <= options


def test_expectations_name_what_exists():
    for item in EXPECTATIONS:
        kind = KINDS[item.kind]
        for name, value in item.where:
            assert check_field(kind, name, value, "x") is None
        if item.per:
            assert KINDS[item.per].name in kind.field(item.link or kind.parent).refers_to
    for kind, fields in REPLACED_BY.items():
        for name, others in fields.items():
            assert KINDS[kind].field(name).needed_for
            assert all(KINDS[kind].has(other) for other in others)


def test_every_look_belongs_to_an_element():
    known = {item[0] for item in ELEMENTS}
    for look in LOOKS:
        assert set(elements_of(look[0])) <= known


def test_the_model_is_json_and_its_version_follows_it():
    model = survey_model()
    assert json.loads(json.dumps(model)) == model
    assert survey_model()["version"] == model["version"]


def declare(*groups, stage="rooms", **fields):
    return record_kind("test_kind", "Test", "Tests", stage=stage, part=Part("rooms"), groups=groups)(
        type("Made", (Record,), {"__annotations__": dict.fromkeys(fields, "object"), **fields})
    )


@dataclass
class _RowWithAPlace:
    a: str | None = text("A", answered=AT_OFFICE)


@pytest.mark.parametrize(
    ("stage", "group", "own", "answered"),
    [
        ("rooms", "", "", ON_SITE),
        ("rooms", AT_OFFICE, "", AT_OFFICE),
        ("rooms", "", AT_OFFICE, AT_OFFICE),
        ("rooms", AT_OFFICE, ON_SITE, ON_SITE),
        (OFFICE_STAGE, "", "", AT_OFFICE),
        (OFFICE_STAGE, "", ON_SITE, ON_SITE),
    ],
)
def test_a_field_says_where_it_is_answered_or_takes_it_from_its_group_or_its_kind(stage, group, own, answered):
    try:
        made = declare(("main", "Main", group), stage=stage, a=text("A", answered=own))
        assert made.kind.field("a").answered == answered
        described = _field(made.kind.field("a"))
        assert described.get("answered", ON_SITE) == answered
    finally:
        KINDS.pop("test_kind", None)


def test_every_field_has_a_place_where_it_is_answered_and_something_is_left_for_each_stage():
    assert {spec.answered for _, spec in SPECS} == set(ANSWERED)
    for stage in {kind.stage for kind in KINDS.values()} - {OFFICE_STAGE}:
        assert any(spec.answered == ON_SITE for kind, spec in SPECS if kind.stage == stage)


def size(label: str, unit: str = "m", **given: Any) -> Any:
    return number(label, unit=unit, low=0, high=1, **given)


def test_a_size_says_which_sizes_after_it_a_line_of_several_fills_as_well():
    try:
        made = declare(a=size("A", fills=("b", "c")), b=size("B"), c=size("C"))
        assert _field(made.kind.field("a"))["fills"] == ["b", "c"]
        assert "fills" not in _field(made.kind.field("b"))
    finally:
        KINDS.pop("test_kind", None)
    assert KINDS["room"].field("length_m").fills == ("width_m", "height_m")


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"a": number("A", unit="m", low=0, high=1, group="nowhere")}, "no group"),
        ({"a": number("A", unit="m", low=0, high=1, when={"b": 1})}, "names no field"),
        ({"a": choice("A", (("x", "X"),), default="y")}, "not one of the choices"),
        ({"a": text("A", answered="on the way")}, "answered at 'on the way'"),
        ({"a": rows("A", _RowWithAPlace)}, "a list is one answer"),
        ({"a": size("A", fills=("b",))}, "expected fields of its own unit"),
        ({"b": size("B"), "a": size("A", fills=("b",))}, "expected fields of its own unit"),
        ({"a": size("A", fills=("b",)), "b": size("B", unit="mm")}, "expected fields of its own unit"),
        ({"a": size("A", fills=("c", "b")), "b": size("B"), "c": size("C")}, "in their order"),
    ],
)
def test_a_declaration_that_cannot_be_is_refused_at_once(fields, words):
    with pytest.raises(ValueError, match=words):
        declare(**fields)
    assert "test_kind" not in KINDS
