"""Logs in which places said what their units are: each line lies on its unit, contests go along, and no figure moves."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import create_engine, select, text

from tests.golden.write_old_units import figures_of, kept_figures, old_documents
from tests.support.cast import ADA, Device, Office, change, open_office
from tests.support.old_database import take_back
from tests.sync.test_push import assert_log_holds
from wattwalk.database import migrate as migrate_database
from wattwalk.database import reading, writing
from wattwalk.models import Change, StoredSurvey
from wattwalk.survey.moved import MOVED, SECOND
from wattwalk.sync import changes
from wattwalk.sync.old_units import take_over
from wattwalk.sync.surveys import load_survey

_find_problem = changes._find_problem


@pytest.fixture
def as_before(monkeypatch: pytest.MonkeyPatch) -> None:
    """Take changes of a place as the program did while it said what its unit is."""

    def find(kind: Any, record: Any, field: Any, value: Any, *rest: Any) -> Any:
        was_taken = kind == "outdoor_position" and (field in (*MOVED, SECOND) or value == "corners")
        return None if was_taken else _find_problem(kind, record, field, value, *rest)

    monkeypatch.setattr(changes, "_find_problem", find)


def at(field: str, value: Any, place: str = "place", **more: Any) -> dict[str, Any]:
    return change(place, field, value, kind="outdoor_position", **more)


def migrate(office: Office) -> int:
    with office.app.app_context(), writing() as session:
        return take_over(session.connection())


def figures(office: Office) -> list[str]:
    with office.app.app_context(), reading() as session:
        firm = session.execute(text("SELECT firm_id FROM survey WHERE id = :id"), {"id": office.survey}).scalar_one()
        return figures_of(load_survey(session, firm, office.survey).survey)


@pytest.mark.parametrize(
    "name", ["another_chosen", "invented_house", "little_known", "named_in_words", "two_turned_round"]
)
def test_a_stored_house_of_old_keeps_every_figure_and_finding(
    office: Office, ada: Device, as_before: None, name: str
) -> None:
    document = old_documents()[name]
    for kind, items in document["records"].items():
        for item in items:
            ada.push(*(change(item["id"], field, value, kind=kind) for field, value in item.items() if field != "id"))
    migrate(office)
    assert figures(office) == kept_figures(name)
    assert_log_holds(office)
    assert migrate(office) == 0


def test_every_line_keeps_its_number_its_device_and_its_say(
    office: Office, ada: Device, ben: Device, as_before: None
) -> None:
    ada.push(at("name", "Back wall"), at("sound_power_dba", 55))
    ben.push(at("sound_power_dba", 57, seen=2), at("unit_mass_kg", 112))
    before = ada.pull()
    with office.app.app_context(), reading() as session:
        moved = session.execute(select(StoredSurvey.moved).where(StoredSurvey.id == office.survey)).scalar_one()
    assert migrate(office) == 1
    after = ada.pull()
    assert [line["id"] for line in after[: len(before)]] == [line["id"] for line in before]
    for was, now in zip(before, after, strict=False):
        for part in ("revision", "value", "seen", "device", "user", "made_at", "contested"):
            assert was[part] == now[part]
    assert [(line["kind"], line["record"], line["field"]) for line in after[1:4]] == [
        ("unit", "unit-of-place", "sound_power_dba"),
        ("unit", "unit-of-place", "sound_power_dba"),
        ("unit", "unit-of-place", "mass_kg"),
    ]
    assert [(line["record"], line["field"], line["value"]) for line in after[4:]] == [
        ("unit-of-place", "name", "Unit at: Back wall"),
        ("place", "unit", "unit-of-place"),
    ]
    assert ada.view()["records"]["unit"] == [
        {"id": "unit-of-place", "name": "Unit at: Back wall", "mass_kg": 112, "sound_power_dba": 57}
    ]
    with office.app.app_context(), reading() as session:
        assert session.execute(select(StoredSurvey.moved).where(StoredSurvey.id == office.survey)).scalar_one() > moved
    assert_log_holds(office)


def test_a_contest_goes_along_and_is_settled_on_the_unit(
    office: Office, ada: Device, ben: Device, as_before: None
) -> None:
    ada.push(change("u", "name", "8 kW", kind="unit"), change("d", "unit", "u", kind="design"))
    ada.push(at("name", "Back wall"), at("sound_power_dba", 55))
    ben.push(at("sound_power_dba", 58))
    # One of the two may have taken the value away: the other's word must not get lost.
    ada.push(at("unit_mass_kg", 100))
    ben.push(at("unit_mass_kg", None))
    assert {item["field"] for item in ada.view()["contested"]} == {"sound_power_dba", "unit_mass_kg"}
    migrate(office)
    contests = {
        (item["record"], item["field"]): [side["value"] for side in item["values"]] for item in ada.view()["contested"]
    }
    assert contests == {("u", "sound_power_dba"): [55, 58], ("u", "mass_kg"): [100, None]}
    assert_log_holds(office)
    seen = max(line["revision"] for line in ada.pull())
    ada.push(change("u", "mass_kg", 100, kind="unit", seen=seen, resolves=True))
    ben.push(change("u", "sound_power_dba", 55, kind="unit", seen=seen, resolves=True))
    assert ada.view()["contested"] == []
    assert ada.view()["records"]["unit"] == [{"id": "u", "name": "8 kW", "sound_power_dba": 55, "mass_kg": 100}]
    assert_log_holds(office)


def test_an_edit_that_had_seen_the_value_does_not_contest_it_afterwards(
    office: Office, ada: Device, ben: Device, as_before: None
) -> None:
    ben.push(at("name", "Back wall"), at("sound_power_dba", 55))
    migrate(office)
    ada.push(change("unit-of-place", "sound_power_dba", 57, kind="unit", seen=2))
    assert ada.view()["contested"] == []


def test_the_first_place_stays_the_first_also_where_its_first_word_moved(
    office: Office, ada: Device, as_before: None
) -> None:
    ada.push(at("unit_mass_kg", 100, "a"), at("name", "B", "b"), at("name", "A", "a"), at("unit_width_mm", 900, "a"))
    migrate(office)
    view = ada.view()["records"]
    assert [item["id"] for item in view["outdoor_position"]] == ["a", "b"]
    assert view["outdoor_position"][0] == {"id": "a", "name": "A", "unit": "unit-of-a"}
    assert view["unit"] == [{"id": "unit-of-a", "name": "Unit at: A", "mass_kg": 100, "width_mm": 900}]
    assert_log_holds(office)


def test_a_place_that_was_taken_away_comes_back_with_its_unit_in_the_log(
    office: Office, ada: Device, as_before: None
) -> None:
    ada.push(at("name", "Gone"), at("unit_mass_kg", 100), at("deleted", True))
    ada.push(at("name", "Kept", "kept"), at("unit_mass_kg", 120, "kept"), at(SECOND, 51, "kept"))
    migrate(office)
    records = ada.view()["records"]
    assert {item["id"] for item in records["unit"]} == {"unit-of-kept", "second-of-kept"}
    assert records["outdoor_position"] == [
        {"id": "kept", "name": "Kept", "unit": "unit-of-kept", "second_unit": "second-of-kept"}
    ]
    seen = max(line["revision"] for line in ada.pull())
    ada.push(at("deleted", False, seen=seen), change("unit-of-place", "deleted", False, kind="unit", seen=seen))
    assert {"id": "unit-of-place", "name": "Unit at: Gone", "mass_kg": 100} in ada.view()["records"]["unit"]
    assert_log_holds(office)


def test_a_survey_without_such_lines_is_left_alone(office: Office, ada: Device) -> None:
    ada.push(change(), at("name", "Back wall"), at("zone_shape", "wall"))
    before = ada.pull()
    assert migrate(office) == 0
    assert ada.pull() == before


def test_a_change_of_old_that_arrives_in_spite_of_all_is_refused_and_kept(office: Office, ada: Device) -> None:
    sent = at("sound_power_dba", 55)
    answer = ada.push(sent)
    assert answer["results"][0]["status"] == "refused"
    with office.app.app_context(), reading() as session:
        assert session.execute(select(Change.value_json).where(Change.id == sent["id"])).scalar_one() == "55"


def test_a_database_of_an_old_program_is_brought_over_when_it_is_migrated(
    database_url: str, tmp_path: Path, as_before: None
) -> None:
    with open_office(database_url, tmp_path) as office:
        ada = office.device(ADA)
        ada.push(at("name", "Back wall"), at("sound_power_dba", 55), at("zone_shape", "corners"))
    engine = create_engine(database_url)
    with engine.begin() as connection:
        take_back(connection, "0008")
    engine.dispose()
    migrate_database(database_url)
    with office.app.app_context():
        assert ada.view()["records"] == {
            "outdoor_position": [{"id": "place", "name": "Back wall", "unit": "unit-of-place"}],
            "unit": [
                {
                    "id": "unit-of-place",
                    "name": "Unit at: Back wall",
                    "zone_drawing": "corners",
                    "sound_power_dba": 55,
                }
            ],
        }
        assert_log_holds(office)
    office.close()
