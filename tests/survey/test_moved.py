"""What a place said of its unit in documents of older versions lies on the unit, and no figure moves."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from tests.golden import write_moved
from tests.golden.write_old_units import figures_of, kept_figures, old_documents
from wattwalk.survey.document import read_document, write_document
from wattwalk.survey.errors import SurveyError
from wattwalk.survey.kinds import KINDS
from wattwalk.survey.moved import MOVED, SECOND, Held, Said, moves_of
from wattwalk.survey.site import OutdoorPosition
from wattwalk.survey.standing import NO_UNIT, unit_at, unit_words
from wattwalk.survey.unit import Unit
from wattwalk.survey.validation import is_id
from wattwalk.survey.works import Design


def read(name: str, **more: Any):
    document = copy.deepcopy(old_documents()[name])
    for kind, values in more.items():
        document["records"][kind][0].update(values)
    return read_document(document)


@pytest.mark.parametrize("name", sorted(old_documents()))
def test_old_surveys_keep_every_figure_and_finding(name: str) -> None:
    assert figures_of(read_document(old_documents()[name])) == kept_figures(name)


@pytest.mark.parametrize("name", sorted(old_documents()))
def test_what_was_taken_over_is_written_and_read_as_it_is(name: str) -> None:
    survey = read_document(old_documents()[name])
    assert read_document(write_document(survey)) == survey


@pytest.mark.parametrize("name", sorted(old_documents()))
def test_nothing_that_was_said_of_a_unit_is_lost(name: str) -> None:
    document = old_documents()[name]
    survey = read_document(document)
    counted = 0
    for place in document["records"].get("outdoor_position", []):
        record = survey.find(OutdoorPosition, place["id"])
        for old, new in MOVED.items():
            if old in place:
                assert getattr(unit_at(survey, record), new) == place[old]
                counted += 1
        if SECOND in place:
            assert survey.find(Unit, record.second_unit).sound_power_dba == place[SECOND]
    assert counted > 0 or name in ("small_house", "terrace", "walked_house", "invented_house")


def test_the_fields_that_moved_are_fields_of_the_unit_alone() -> None:
    assert all(KINDS["unit"].has(new) for new in MOVED.values())
    assert not any(KINDS["outdoor_position"].has(old) for old in (*MOVED, SECOND))


def test_a_place_alone_gets_a_unit_of_its_own() -> None:
    survey = read("place_only")
    (place,) = survey.of_kind(OutdoorPosition)
    (unit,) = survey.of_kind(Unit)
    assert (place.unit, unit.name, unit.zone_drawing) == (unit.id, f"Unit at: {place.name}", "corners")
    assert unit_at(survey, place) is unit


def test_a_unit_that_the_design_named_in_words_is_made_and_chosen() -> None:
    survey = read("named_in_words")
    (unit,) = survey.of_kind(Unit)
    assert survey.single(Design).unit == unit.id
    assert unit_words(survey) == unit.name == old_documents()["named_in_words"]["records"]["design"][0]["unit_name"]


def test_the_chosen_unit_takes_what_its_first_place_said_and_a_second_place_keeps_its_own() -> None:
    survey = read("two_places")
    back, garage = survey.of_kind(OutdoorPosition)
    assert unit_at(survey, back).id == "unit-middle"
    assert (back.unit, garage.unit) == (None, "unit-of-position-garage")
    assert (unit_at(survey, back).sound_power_dba, unit_at(survey, garage).sound_power_dba) == (55, 61)


def test_a_place_without_a_word_of_a_unit_stays_without_one() -> None:
    document = copy.deepcopy(old_documents()["place_only"])
    for name in (*MOVED, "zone_shape"):
        document["records"]["outdoor_position"][0].pop(name, None)
    survey = read_document(document)
    assert unit_at(survey, survey.of_kind(OutdoorPosition)[0]) is NO_UNIT


def test_a_value_beyond_its_limits_is_still_refused() -> None:
    with pytest.raises(SurveyError, match="sound_power_dba"):
        read("place_only", outdoor_position={"sound_power_dba": 900})


def test_a_document_of_now_takes_no_unit_data_at_a_place() -> None:
    with pytest.raises(SurveyError, match="unit_mass_kg"):
        read_document({**old_documents()["place_only"], "version": 3})


@pytest.mark.parametrize(
    "junk",
    [
        {"outdoor_position": 3},
        {"outdoor_position": [3, {"id": 7}], "unit": {}, "design": [None]},
        {"design": [{"id": "d", "unit": [1]}], "outdoor_position": [{"id": "p", "unit_mass_kg": 80}]},
    ],
)
def test_what_has_not_the_form_of_a_record_is_refused_in_words(junk: dict[str, Any]) -> None:
    with pytest.raises(SurveyError):
        read_document({"format": "wattwalk-survey", "version": 2, "id": "x", "records": junk})


def test_a_unit_made_for_the_longest_id_has_an_id_that_can_be_stored() -> None:
    moves = moves_of([Held("outdoor_position", "p" * 64, {"unit_mass_kg": 80, SECOND: 50})])
    assert all(is_id(unit) for unit, _ in moves.to.values())


def test_a_place_that_was_taken_away_takes_its_unit_with_it() -> None:
    gone = Held("outdoor_position", "old", {"unit_mass_kg": 80}, is_deleted=True)
    kept = Held("outdoor_position", "new", {"unit_mass_kg": 90})
    moves = moves_of([Held("unit", "u", {}), Held("design", "d", {"unit": "u"}), gone, kept])
    assert moves.to == {("old", "unit_mass_kg"): ("unit-of-old", "mass_kg"), ("new", "unit_mass_kg"): ("u", "mass_kg")}
    assert Said("unit", "unit-of-old", "deleted", True, "old") in moves.said


def test_the_golden_file_that_the_phone_is_held_to_is_what_python_says() -> None:
    assert write_moved.written() == write_moved.FILE.read_text(encoding="utf-8")
