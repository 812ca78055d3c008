"""Values that an older program stored under another name go on being understood, by everything that reads them."""

from __future__ import annotations

import jsonschema
import pytest

from wattwalk.survey.document import DOCUMENT_VERSION, read_document, write_document
from wattwalk.survey.fields import choice
from wattwalk.survey.json_schema import document_schema
from wattwalk.survey.kinds import KINDS, Part, Record, record_kind
from wattwalk.survey.model import survey_model
from wattwalk.survey.stored import make_record
from wattwalk.survey.validation import check_field

RENAMED = [(kind, spec, before, now) for kind in KINDS.values() for spec in kind.fields for before, now in spec.renamed]
SCREENING = [("no", "in_view"), ("partly", "half_hidden"), ("yes", "out_of_sight")]


def document(kind, field, value):
    return {
        "format": "wattwalk-survey",
        "version": DOCUMENT_VERSION,
        "id": "old",
        "records": {kind: [{"id": "a", field: value}]},
    }


def test_the_names_that_phones_and_offices_still_hold_are_known():
    known = {(kind.name, spec.name, before, now) for kind, spec, before, now in RENAMED}
    assert {
        ("outdoor_position", "zone_shape", "sides", "planning"),
        ("survey", "separate_neighbour", "ten_degrees", "cold"),
        *(("outdoor_position", "neighbour_screened", *pair) for pair in SCREENING),
    } <= known


@pytest.mark.parametrize(("kind", "spec", "before", "now"), RENAMED, ids=lambda item: getattr(item, "name", item))
def test_an_older_name_is_read_as_the_present_one(kind, spec, before, now):
    survey = read_document(document(kind.name, spec.name, before))
    assert getattr(survey.records_named(kind.name)[0], spec.name) == now
    assert write_document(survey)["records"][kind.name] == [{"id": "a", spec.name: now}]
    assert getattr(make_record(kind.name, "a", {spec.name: before}), spec.name) == now
    assert spec.choice_label(before) == spec.choice_label(now) != before
    # A phone that knows only the older name goes on sending it.
    assert check_field(kind, spec.name, before, "a") is None
    jsonschema.validate(document(kind.name, spec.name, before), document_schema())


def test_a_name_that_never_was_is_still_refused():
    assert check_field(KINDS["outdoor_position"], "zone_shape", "square", "a").code == "not_a_choice"
    assert check_field(KINDS["outdoor_position"], "zone_shape", ["sides"], "a").code == "not_a_choice"
    assert make_record("outdoor_position", "a", {"zone_shape": "square"}).zone_shape is None


def test_the_phone_is_told():
    fields = {field["name"]: field for field in survey_model()["kinds"]["outdoor_position"]["fields"]}
    assert fields["neighbour_screened"]["renamed"] == dict(SCREENING)
    assert "renamed" not in fields["condensate_route"]


@pytest.mark.parametrize("renamed", [{"a": "b"}, {"old": "gone"}])
def test_a_renaming_that_makes_no_sense_is_refused_where_it_is_declared(renamed):
    with pytest.raises(ValueError, match="only a value that is gone"):

        @record_kind("shelf", "Shelf", "Shelves", stage="house", part=Part("rooms"), title=("which",))
        class Shelf(Record):
            which: str | None = choice("Which", (("a", "A"), ("b", "B")), renamed=renamed)
