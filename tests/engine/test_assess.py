"""The assessment as a whole: plain JSON, rounding, sources, and the demo house."""

from __future__ import annotations

import json
import re

import pytest

from tests.support.houses import small_house, with_records
from wattwalk.catalogue import CONFIDENCES
from wattwalk.demo import demo_document
from wattwalk.demo.house import house
from wattwalk.engine import ENGINE_VERSION, assess, to_plain
from wattwalk.engine.answers import Severity, Verdict
from wattwalk.engine.answers.rounding import figure, listed, rounded
from wattwalk.survey.document import read_document, write_document
from wattwalk.survey.gaps import find_gaps
from wattwalk.survey.kinds import KINDS
from wattwalk.survey.works import Photo

from .support import assessed, only


@pytest.fixture(scope="module")
def demo():
    return assess(read_document(house()))


def numbers(value):
    if isinstance(value, dict):
        for item in value.values():
            yield from numbers(item)
    elif isinstance(value, list):
        for item in value:
            yield from numbers(item)
    elif isinstance(value, float):
        yield value


def test_plain_form_is_json_in_the_order_of_declaration(demo):
    plain = to_plain(demo)
    assert json.loads(json.dumps(plain, allow_nan=False)) == plain
    assert list(plain)[:4] == ["engine", "survey", "climate", "constructions"]
    assert plain["engine"] == ENGINE_VERSION
    assert plain["rooms"][0]["verdict"] == "enough"
    assert type(plain["rooms"][0]["verdict"]) is str


def test_every_number_leaves_rounded_and_none_is_minus_zero(demo):
    for value in numbers(to_plain(demo)):
        assert value == round(value, 4)
        assert str(value) != "-0.0"


def test_the_same_document_gives_the_same_bytes():
    first, second = (json.dumps(to_plain(assess(read_document(house())))) for _ in range(2))
    assert first == second


def test_whole_numbers_and_decimals_give_the_same_bytes():
    document = json.loads(json.dumps(house()))
    for kind, records in document["records"].items():
        for record in records:
            for name, item in record.items():
                if type(item) is int and KINDS[kind].field(name).type == "number":
                    record[name] = float(item)
    assert type(document["records"]["survey"][0]["altitude_m"]) is float
    assert json.dumps(to_plain(assess(read_document(document)))) == json.dumps(to_plain(assess(read_document(house()))))


def test_every_source_named_is_listed_once_with_its_confidence(demo):
    keys = [item.key for item in demo.sources]
    assert keys == sorted(set(keys))
    assert {item.confidence for item in demo.sources} <= set(CONFIDENCES)
    named = {loss.source for room in demo.rooms for loss in room.surfaces} | {
        finding.source for finding in demo.findings
    }
    named |= {step.source for room in demo.rooms for emitter in room.emitters for step in emitter.steps} | {
        item.source for item in demo.constructions
    }
    named |= {step.source for item in demo.bases for step in item.steps} | {step.source for step in demo.climate.steps}
    assert named <= set(keys)


def test_what_is_recalled_says_so(demo):
    for source in demo.sources:
        assert ("from memory" in source.key) == (source.confidence == "from memory")


def test_findings_come_worst_first(demo):
    order = [item.severity for item in demo.findings]
    assert order == sorted(order, key=[Severity.STOP, Severity.CHECK, Severity.NOTE].index)


def test_the_demo_house_shows_what_it_is_for(demo):
    assert {item.verdict for item in demo.rooms} == {Verdict.ENOUGH}
    assert 45 < demo.flow.lowest_c < demo.flow.design_c
    assert only(demo, "in_protective_zone", Severity.STOP).record == "nearby_object/object-air-brick"
    assert only(demo, "base_falls_a_little", Severity.CHECK)
    assert [item.verdict for item in demo.cables] == ["fine", "fine", "fine"]
    assert demo.building.total_w > demo.building.unit_size_w > 3000
    old = next(emitter for room in demo.rooms for emitter in room.emitters if emitter.id == "emitter-study-old")
    assert not old.counts


def test_the_demo_house_has_no_gap_and_real_pictures():
    document = demo_document()
    survey = read_document(document)
    assert find_gaps(survey) == ()
    assert len(document["photos"]) == len(survey.of_kind(Photo)) == 10
    assert write_document(survey) == document


def test_the_demo_house_names_nobody_real():
    words = json.dumps(house())
    assert re.findall(r"[\w.]+@([\w.]+)", words) == ["household.example"]
    assert "01632 96" in words  # Numbers kept free for fiction.


@pytest.mark.parametrize(
    ("kind", "record", "code"),
    [
        ("emitter", {"id": "lost", "type": "panel_22"}, "emitter_without_room"),
        ("nearby_object", {"id": "lost", "type": "drain"}, "nearby_object_without_outdoor_position"),
        ("level_reading", {"id": "lost", "x_mm": 1}, "level_reading_without_base"),
    ],
)
def test_a_record_that_belongs_to_nothing_is_not_passed_over(kind, record, code):
    assert only(assessed(with_records(small_house(), kind, record)), code, Severity.CHECK).record == f"{kind}/lost"
    assert not [item for item in assessed(small_house()).findings if "_without_" in item.code]


def test_methods_tell_choice_from_default():
    lines = assessed(with_records(small_house(), "design", {"id": "d", "flow_temperature_c": 50})).methods
    assert any(line.startswith("Flow temperature at the design cold: 50 °C (chosen") for line in lines)
    assert any(line.startswith("Neighbour behind a party wall: As warm as we are (default") for line in lines)


@pytest.mark.parametrize(
    ("value", "decimals", "written"),
    [
        (-5.40, 2, "−5.4"),
        (12.0, 1, "12"),
        (100.0, 0, "100"),
        (-0.001, 2, "0"),
        (1234.5, 1, "1,234.5"),
        (0.05, 1, "0.1"),
    ],
)
def test_figures_are_written_for_people(value, decimals, written):
    assert figure(value, decimals) == written


def test_rounding_leaves_no_minus_zero():
    assert str(rounded(-0.0001, 2)) == "0.0"


def test_lists_read_as_sentences():
    assert [listed(words) for words in ([], ["a"], ["a", "b"], ["a", "b", "c"])] == ["", "a", "a and b", "a, b and c"]
