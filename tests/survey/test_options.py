"""An option is laid over the survey, which stays as it was found."""

from __future__ import annotations

import json
from typing import Any

import pytest

from wattwalk.demo.house import house
from wattwalk.survey.book import Book, with_book
from wattwalk.survey.building import Emitter, Room
from wattwalk.survey.document import Survey, read_document, write_document
from wattwalk.survey.options import (
    EMPTY,
    NO_OPTION,
    NOT_TAKEN,
    OF_GONE,
    TWICE,
    UNIT_GONE,
    UnderOption,
    as_offered,
    id_of_value,
    under,
)
from wattwalk.survey.unit import Unit
from wattwalk.survey.works import Design

STUDY = "emitter/emitter-study-new"


def value(option: str, of: str, field: str, said: Any, words: str = "", **more: Any) -> dict[str, Any]:
    return {
        "id": id_of_value(option, of, field),
        "option": option,
        "of": of,
        "field": field,
        "value": said if isinstance(said, str) and more.get("raw") else json.dumps(said),
        "words": words or of,
    }


def with_options(*values: dict[str, Any], **design: Any) -> Survey:
    made = house()
    made["records"]["option"] = [{"id": "a", "name": "A"}, {"id": "b", "name": "B"}]
    made["records"]["option_value"] = list(values)
    made["records"]["design"][0].update(design)
    return read_document(made)


def codes(seen: UnderOption) -> list[str]:
    return [problem.code for problem in seen.problems]


def test_two_options_differ_in_one_radiator_while_the_survey_stays_as_found():
    survey = with_options(value("a", STUDY, "length_mm", 1600), value("b", STUDY, "length_mm", 800))
    before = write_document(survey)
    lengths = [under(survey, name).survey.find(Emitter, "emitter-study-new").length_mm for name in ("a", "b", None)]
    assert lengths == [1600, 800, 1200]
    assert write_document(survey) == before
    (difference,) = under(survey, "a").differences
    assert (difference.label, difference.was, difference.now) == (
        "Length",
        "1,200\N{NO-BREAK SPACE}mm",
        "1,600\N{NO-BREAK SPACE}mm",
    )
    # Only that radiator is another one: everything else is the very same record.
    laid = under(survey, "a").survey
    assert [item for item in laid if all(item is not other for other in survey)] == [
        laid.find(Emitter, "emitter-study-new")
    ]


def test_a_survey_without_options_has_one_the_survey_as_it_stands():
    survey = read_document(house())
    assert as_offered(survey).survey is survey
    assert as_offered(survey).problems == ()


def test_the_offered_one_is_the_one_that_the_design_names():
    survey = with_options(value("b", "design/design", "flow_temperature_c", 40), offered="b")
    assert as_offered(survey).survey.single(Design).flow_temperature_c == 40
    assert as_offered(survey).option.name == "B"
    assert survey.single(Design).flow_temperature_c == 50


def test_an_option_takes_away_and_makes_records_of_its_own():
    survey = with_options(
        value("a", STUDY, "deleted", True),
        value("b", "emitter/only-in-b", "deleted", False),
        value("b", "emitter/only-in-b", "room", "room-study"),
        value("b", "emitter/only-in-b", "type", "panel_22"),
    )
    assert under(survey, "a").survey.find(Emitter, "emitter-study-new") is None
    assert [(item.was, item.now) for item in under(survey, "a").differences] == [("there", "not here")]
    made = under(survey, "b").survey.find(Emitter, "only-in-b")
    assert (made.room, made.type) == ("room-study", "panel_22")
    assert survey.find(Emitter, "only-in-b") is None


def test_a_radiator_of_its_own_is_told_by_its_room_and_its_size():
    survey = with_options(
        value("b", "emitter/only-in-b", "deleted", False),
        value("b", "emitter/only-in-b", "room", "room-study"),
        value("b", "emitter/only-in-b", "type", "panel_22"),
        value("b", "emitter/only-in-b", "length_mm", 1600),
    )
    (difference,) = under(survey, "b").differences
    assert difference.title == "Study: Double panel, two convectors (type 22)"
    assert difference.now == "only here (length 1,600\N{NO-BREAK SPACE}mm)"


def test_what_a_line_hangs_on_is_no_difference_that_a_household_reads():
    basis = [{"record": "design/design", "field": "unit", "value": '"unit-large"'}]
    line = "price_line/price-unit"
    survey = with_options(
        value("a", line, "unit_price", "5480.00"),
        value("a", line, "drawn_basis", basis),
        value("a", line, "drawn_from", "unit-large"),
    )
    assert [item.field for item in under(survey, "a").differences] == ["unit_price"]


def test_a_value_can_be_cleared():
    survey = with_options(value("a", STUDY, "length_mm", None))
    assert under(survey, "a").survey.find(Emitter, "emitter-study-new").length_mm is None


class TestBadInput:
    """One clear sentence each, and the rest of the option counts all the same."""

    def test_a_radiator_that_was_deleted_from_the_survey_is_said_in_both(self):
        survey = with_options(
            value("a", STUDY, "length_mm", 1600, "Study: new radiator"),
            value("a", "design/design", "flow_temperature_c", 40),
            value("b", STUDY, "length_mm", 800, "Study: new radiator"),
        )
        emitters = tuple(item for item in survey.of_kind(Emitter) if item.id != "emitter-study-new")
        survey = Survey(survey.id, {**survey.records, "emitter": emitters})
        for name, called in (("a", "A"), ("b", "B")):
            seen = under(survey, name)
            told = [problem.message for problem in seen.problems if problem.code == OF_GONE]
            assert told == [
                f"Option ‘{called}’ changes ‘Study: new radiator’, which is no longer in the survey; that part of it counts for nothing."
            ]
        assert under(survey, "a").survey.single(Design).flow_temperature_c == 40

    def test_a_radiator_of_its_own_in_a_room_that_is_gone_is_said_and_counts_for_nothing(self):
        values = [
            value(name, f"emitter/own-{name}", field, said, "Study: new radiator")
            for name in ("a", "b")
            for field, said in (("deleted", False), ("room", "room-study"), ("type", "panel_22"))
        ]
        survey = with_options(*values)
        assert under(survey, "a").survey.find(Emitter, "own-a") is not None
        rooms = tuple(item for item in survey.of_kind(Room) if item.id != "room-study")
        survey = Survey(survey.id, {**survey.records, "room": rooms})
        for name in ("a", "b"):
            seen = under(survey, name)
            assert [problem.record for problem in seen.problems if problem.code == OF_GONE] == [f"emitter/own-{name}"]
            assert seen.survey.find(Emitter, f"own-{name}") is None
            assert EMPTY in codes(seen)

    def test_a_unit_that_left_the_list_is_said(self):
        survey = with_options(value("a", "design/design", "unit", "unit-of-the-book"))
        unit = Unit(id="unit-of-the-book", name="10 kW")
        assert codes(under(with_book(survey, Book(records=(unit,))), "a")) == []
        assert codes(under(with_book(survey, Book(left=(unit,))), "a")) == [UNIT_GONE]

    def test_an_option_that_changes_nothing_is_said(self):
        assert codes(under(with_options(), "a")) == [EMPTY]
        assert codes(under(with_options(value("a", STUDY, "length_mm", 1200)), "a")) == [EMPTY]

    def test_an_offered_option_that_is_gone_is_said(self):
        survey = with_options(offered="a")
        gone = Survey(survey.id, {**survey.records, "option": ()})
        assert codes(as_offered(gone)) == [NO_OPTION]

    @pytest.mark.parametrize(
        ("of", "field", "said"),
        [
            (STUDY, "length_mm", "long"),
            (STUDY, "no_such_field", 1),
            ("survey/survey-demo", "present_fuel", "oil"),
            ("design/design", "offered", "b"),
            ("design/design", "deleted", True),
            (STUDY, "deleted", "yes"),
            ("no_such_kind/x", "name", "x"),
            ("emitter/NOT AN ID", "length_mm", 5),
        ],
    )
    def test_what_an_option_may_not_say_is_refused_and_the_surveys_own_stands(self, of, field, said):
        survey = with_options(value("a", of, field, said), value("a", "design/design", "flow_temperature_c", 40))
        seen = under(survey, "a")
        assert codes(seen) == [NOT_TAKEN]
        assert seen.survey.find(Emitter, "emitter-study-new") == survey.find(Emitter, "emitter-study-new")
        assert seen.survey.single(Design).flow_temperature_c == 40

    def test_what_is_no_json_is_refused(self):
        assert codes(under(with_options(value("a", STUDY, "length_mm", "{", raw=True)), "a")) == [NOT_TAKEN, EMPTY]

    def test_two_answers_for_one_are_said(self):
        other = {**value("a", STUDY, "length_mm", 800), "id": "by-hand"}
        assert codes(under(with_options(value("a", STUDY, "length_mm", 1600), other), "a")) == [TWICE]


def test_the_same_answer_of_one_option_lies_in_one_record_wherever_it_is_said():
    # The phone works the same id out (pwa/test/options.test.ts).
    assert id_of_value("a", STUDY, "length_mm") == "value-4509450f67f7732dc9ff297af06eb72b621bc17a"
