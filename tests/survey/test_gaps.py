"""The list of gaps, held to its golden files, and the rules behind it one by one."""

from __future__ import annotations

import json

import pytest

from tests.golden.write_gaps import FOLDER, documents, golden
from tests.support.houses import changed, small_house
from wattwalk.survey.document import read_document
from wattwalk.survey.fields import AT_OFFICE
from wattwalk.survey.gaps import find_gaps
from wattwalk.survey.kinds import KINDS, OFFICE_STAGE
from wattwalk.survey.walk import STAGES


def gaps(document):
    return find_gaps(read_document(document))


@pytest.mark.parametrize("name", sorted(documents()))
def test_golden_file(name):
    kept = json.loads((FOLDER / f"{name}.json").read_text(encoding="utf-8"))
    assert kept == golden(documents()[name])


def test_every_golden_file_is_made_from_a_document():
    assert {path.stem for path in FOLDER.glob("*.json")} == set(documents())


def test_gaps_come_in_the_order_of_the_walk():
    order = [stage.name for stage in STAGES]
    found = [order.index(gap.stage) for gap in gaps(small_house())]
    assert found == sorted(found)
    assert len(set(found)) > 3


def test_each_gap_says_what_it_spoils():
    for document in documents().values():
        for gap in gaps(document):
            assert gap.words
            assert gap.spoils


def fields(document, record):
    return {gap.field for gap in gaps(document) if gap.record == record and gap.side is None}


def test_another_answer_can_stand_in():
    by_area = changed(small_house(), "room", "hall", length_m=None, floor_area_m2=8, perimeter_m=12)
    assert fields(by_area, "hall") == set()
    assert fields(changed(by_area, "room", "hall", perimeter_m=None), "hall") == {"perimeter_m"}
    assert fields(changed(small_house(), "room", "hall", length_m=None), "hall") == {"length_m"}


def test_a_question_that_does_not_apply_is_no_gap():
    document = changed(small_house(), "surface", "front", other_side="unheated")
    assert fields(document, "front") == {"unheated_space"}
    assert fields(changed(document, "surface", "front", other_side="neighbour"), "front") == set()


def test_what_only_the_office_can_answer_is_a_gap_of_the_offices_and_of_no_stop_in_the_house():
    found = gaps(documents()["office"])
    ours = {(gap.record, gap.field) for gap in found if gap.stage == OFFICE_STAGE}
    assert ours == {("s", "recovery_efficiency_pct"), ("own", "name"), ("own", "points"), ("work", "specification")}
    answered = {(kind.name, spec.name): spec.answered for kind in KINDS.values() for spec in kind.fields}
    for gap in found:
        if gap.field is not None:
            assert (gap.stage == OFFICE_STAGE) == (answered[gap.kind, gap.field] == AT_OFFICE), gap.words


def test_what_the_firms_list_leaves_out_is_asked_of_no_survey():
    document = documents()["office"]
    assert "firm" not in {gap.record for gap in gaps(document)}
    assert "firm" in {gap.record for gap in gaps(changed(document, "unit", "firm", firm_list=None))}


def test_a_default_is_an_answer():
    assert "plan" not in fields(small_house(), "radiator")


def test_an_empty_text_is_no_answer():
    assert "name" in fields(changed(small_house(), "room", "hall", name=""), "hall")


def test_a_ground_floor_by_its_look_asks_for_the_footprint_and_one_that_is_declared_or_has_its_own_does_not():
    document = documents()["footprint"]
    assert [gap.field for gap in gaps(document) if gap.kind == "survey" and "ground floor" in gap.spoils] == [
        "ground_floor_area_m2"
    ]
    document = changed(document, "construction", "look", known_by="declared", u_value_w_m2k=0.5)
    assert not [gap for gap in gaps(document) if "ground floor" in gap.spoils]
