"""Reading and writing the survey document: round trip, and every way it can be wrong named plainly."""

from __future__ import annotations

import copy
import json

import jsonschema
import pytest

from tests.support.houses import changed, small_house, with_records
from wattwalk.demo import demo_document
from wattwalk.survey.document import read_document, write_document
from wattwalk.survey.errors import SurveyError
from wattwalk.survey.json_schema import document_schema


@pytest.fixture(scope="module")
def schema():
    jsonschema.Draft202012Validator.check_schema(document_schema())
    return jsonschema.Draft202012Validator(document_schema())


def problems(content):
    with pytest.raises(SurveyError) as caught:
        read_document(content)
    return caught.value.problems


def test_a_document_survives_the_round():
    document = small_house()
    assert read_document(json.dumps(write_document(read_document(document)))) == read_document(document)


def test_the_schema_takes_the_demo_house(schema):
    assert list(schema.iter_errors(demo_document())) == []


BAD = [
    (changed(small_house(), "room", "hall", height_m=50), "room/hall", "height_m", "out_of_range", "1 to 12 m"),
    (changed(small_house(), "room", "hall", height_m="2,4"), "room/hall", "height_m", "not_a_number", "the text '2,4'"),
    (changed(small_house(), "room", "hall", height_m=True), "room/hall", "height_m", "not_a_number", "yes"),
    (changed(small_house(), "room", "hall", use="cinema"), "room/hall", "use", "not_a_choice", "bedroom"),
    (changed(small_house(), "room", "hall", colour="red"), "room/hall", "colour", "unknown_field", "length_m"),
    (
        changed(small_house(), "survey", "s", visit_date="12.3.2026"),
        "survey/s",
        "visit_date",
        "not_a_date",
        "2026-03-31",
    ),
    (
        changed(small_house(), "survey", "s", existing_deposit=500),
        "survey/s",
        "existing_deposit",
        "not_an_amount",
        '"149.50"',
    ),
    (
        changed(small_house(), "survey", "s", vulnerable="no"),
        "survey/s",
        "vulnerable",
        "not_yes_or_no",
        "true or false",
    ),
    (
        changed(small_house(), "construction", "wall", layers=[{"thickness_mm": -1}]),
        "construction/wall",
        "layers.1.thickness_mm",
        "out_of_range",
        "0.1 to 2,000 mm",
    ),
    (
        changed(small_house(), "construction", "wall", layers={"a": 1}),
        "construction/wall",
        "layers",
        "not_a_list",
        "a group of values",
    ),
    (
        with_records(small_house(), "hot_water", {"id": "h", "baths": 1.5}),
        "hot_water/h",
        "baths",
        "not_a_whole_number",
        "0 to 10",
    ),
]


@pytest.mark.parametrize(
    ("document", "record", "field", "code", "words"), BAD, ids=[f"{item[2]} {item[3]}" for item in BAD]
)
def test_a_bad_value_is_named_and_the_schema_refuses_it_too(schema, document, record, field, code, words):
    found = problems(document)
    assert [(item.record, item.field, item.code) for item in found] == [(record, field, code)]
    assert words in found[0].message
    assert not schema.is_valid(document) or code == "not_a_date"


@pytest.mark.parametrize(
    ("surface", "field", "target"),
    [("between", "other_room", "cellar"), ("front", "construction", "hall"), ("pane", "opening_in", "pane-2")],
)
def test_a_reference_to_nothing_or_to_another_kind(surface, field, target):
    found = problems(changed(small_house(), "surface", surface, **{field: target}))
    assert [(item.record, item.field, item.code) for item in found] == [
        (f"surface/{surface}", field, "broken_reference")
    ]


def test_every_problem_is_told_at_once():
    document = changed(changed(small_house(), "room", "hall", height_m=99), "room", "living", width_m="x")
    assert {item.record for item in problems(document)} == {"room/hall", "room/living"}


@pytest.mark.parametrize(
    ("content", "code"),
    [
        ("{", "not_json"),
        (b"\xff\xfe{}", "not_json"),
        ("[" * 100_000, "not_json"),
        ('{"a": NaN}', "not_json"),
        ("[]", "not_a_document"),
        ("{}", "not_a_document"),
        (json.dumps({**small_house(), "format": "other"}), "not_a_document"),
        (json.dumps({**small_house(), "version": 4}), "wrong_version"),
        (json.dumps({**small_house(), "version": True}), "wrong_version"),
        (json.dumps({**small_house(), "id": "Not An Id"}), "not_an_id"),
        (json.dumps({**small_house(), "extra": 1}), "unknown_part"),
        (json.dumps({**small_house(), "records": {"boat": []}}), "unknown_kind"),
        (json.dumps({**small_house(), "records": {"room": {}}}), "not_a_list"),
        (json.dumps({**small_house(), "records": {"room": [1]}}), "not_a_record"),
        (json.dumps({**small_house(), "records": {"room": [{"name": "x"}]}}), "not_an_id"),
        (json.dumps({**small_house(), "records": {"room": [{"id": "a"}, {"id": "a"}]}}), "repeated_id"),
        (json.dumps({**small_house(), "records": {"survey": [{"id": "a"}, {"id": "b"}]}}), "too_many"),
        (json.dumps({**small_house(), "photos": {"abc": {}}}), "not_a_photo"),
    ],
)
def test_what_is_not_a_survey_document(content, code):
    found = problems(content)
    assert found[0].code == code
    assert found[0].line().strip()


def test_a_line_names_record_field_found_and_expected():
    line = problems(changed(small_house(), "room", "hall", height_m=50))[0].line()
    assert line == "room/hall, height_m: Height: found 50, expected 1 to 12 m."


def test_reading_leaves_the_document_alone():
    document = small_house()
    kept = copy.deepcopy(document)
    read_document(document)
    assert document == kept
