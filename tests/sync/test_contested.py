"""Two people change the same thing without having seen each other's value: both stay until a person picks."""

from __future__ import annotations

import pytest
from sqlalchemy import update

from tests.support.cast import ADA, Device, Office, change
from tests.sync.test_push import assert_log_holds
from wattwalk.database import reading, writing
from wattwalk.models import StoredRecord
from wattwalk.sync.verify import verify_survey


def test_a_value_that_was_not_seen_is_contested(office: Office, ada: Device, ben: Device) -> None:
    ada.push(change(value=4.2))
    (result,) = ben.push(change(value=4.5))["results"]
    assert (result["status"], result["revision"], result["contested"]) == ("accepted", 2, True)
    view = ada.view()
    assert view["records"]["room"][0]["length_m"] == 4.5
    (contest,) = view["contested"]
    assert (contest["kind"], contest["record"], contest["field"], contest["label"]) == (
        "room",
        "kitchen",
        "length_m",
        "Length",
    )
    assert [(value["value"], value["user"], value["device"], value["revision"]) for value in contest["values"]] == [
        (4.2, "Ada", "Ada's phone", 1),
        (4.5, "Ben", "Ben's phone", 2),
    ]
    assert ada.listed()["contested"] == 1
    assert_log_holds(office)


def test_a_value_that_was_seen_is_not_contested(office: Office, ada: Device, ben: Device) -> None:
    ada.push(change(value=4.2))
    (result,) = ben.push(change(value=4.5, seen=1))["results"]
    assert result["contested"] is False
    assert ada.view()["contested"] == []


def test_ones_own_device_never_contests_itself(ada: Device) -> None:
    ada.push(change(value=4.2))
    (result,) = ada.push(change(value=4.5))["results"]
    assert result["contested"] is False


def test_the_same_value_twice_needs_no_pick(office: Office, ada: Device, ben: Device) -> None:
    ada.push(change(value=4.2))
    (result,) = ben.push(change(value=4.2))["results"]
    assert result["contested"] is False
    assert ada.view()["contested"] == []
    assert_log_holds(office)


def test_other_fields_of_the_record_are_not_drawn_in(ada: Device, ben: Device) -> None:
    ada.push(change(value=4.2), change(field="width_m", value=3))
    ben.push(change(value=4.5), change(field="height_m", value=2.4))
    assert [contest["field"] for contest in ada.view()["contested"]] == ["length_m"]


def test_a_pick_settles_it(office: Office, ada: Device, ben: Device) -> None:
    ada.push(change(value=4.2))
    ben.push(change(value=4.5))
    (result,) = ben.push(change(value=4.2, seen=2, resolves=True))["results"]
    assert (result["revision"], result["contested"]) == (3, False)
    assert ada.view()["contested"] == []
    assert ada.view()["records"]["room"][0]["length_m"] == 4.2
    assert_log_holds(office)


def test_a_pick_that_has_not_seen_the_newest_value_does_not_settle(office: Office, ada: Device, ben: Device) -> None:
    ada.push(change(value=4.2))
    ben.push(change(value=4.5))
    ada.push(change(value=4.6, seen=1))
    (result,) = ben.push(change(value=4.5, seen=2, resolves=True))["results"]
    assert result["contested"] is True
    assert [value["value"] for value in ada.view()["contested"][0]["values"]] == [4.6, 4.5]
    assert_log_holds(office)


def test_each_device_shows_its_newest_value_only(ada: Device, ben: Device) -> None:
    ada.push(change(value=4.2))
    ben.push(change(value=4.5))
    ben.push(change(value=4.6))
    ada.push(change(value=4.3, seen=1))
    (contest,) = ada.view()["contested"]
    assert [value["value"] for value in contest["values"]] == [4.6, 4.3]


def test_an_ordinary_change_does_not_settle(ada: Device, ben: Device) -> None:
    ada.push(change(value=4.2))
    ben.push(change(value=4.5))
    (result,) = ada.push(change(value=4.4, seen=2))["results"]
    assert result["contested"] is True


def test_a_contest_is_settled_when_one_side_comes_round_to_the_other(office: Office, ada: Device, ben: Device) -> None:
    ada.push(change(value=4.2))
    ben.push(change(value=4.5))
    (result,) = ada.push(change(value=4.5, seen=2))["results"]
    assert (result["revision"], result["contested"]) == (3, False)
    assert ada.view()["contested"] == []
    assert ada.listed()["contested"] == 0
    assert_log_holds(office)


def test_a_contest_is_settled_when_the_side_that_shows_comes_round(office: Office, ada: Device, ben: Device) -> None:
    ada.push(change(value=4.2))
    ben.push(change(value=4.5))
    (result,) = ben.push(change(value=4.2, seen=2))["results"]
    assert result["contested"] is False
    assert ada.view()["contested"] == []
    assert ada.view()["records"]["room"][0]["length_m"] == 4.2
    assert_log_holds(office)


def test_a_contest_of_three_stays_until_all_say_the_same(office: Office, ada: Device, ben: Device) -> None:
    laptop = office.device(ADA, "Ada's laptop")
    ada.push(change(value=4.2))
    ben.push(change(value=4.5))
    laptop.push(change(value=4.7))
    (result,) = ada.push(change(value=4.7, seen=3))["results"]
    assert result["contested"] is True
    (result,) = ben.push(change(value=4.7, seen=3))["results"]
    assert result["contested"] is False
    assert ada.view()["contested"] == []
    assert_log_holds(office)


def test_clearing_a_field_can_be_what_both_come_to(office: Office, ada: Device, ben: Device) -> None:
    ada.push(change(value=4.2), change(value=None))
    ben.push(change(value=4.5))
    (result,) = ben.push(change(value=None, seen=3))["results"]
    assert result["contested"] is False
    assert ada.view()["contested"] == []
    assert_log_holds(office)


@pytest.mark.parametrize("comes_round", ["who deleted", "who edited"])
def test_a_contested_deletion_is_settled_when_one_side_comes_round(
    office: Office, ada: Device, ben: Device, comes_round: str
) -> None:
    ada.push(change(value=4.2))
    ada.push(change(field="deleted", value=True))
    ben.push(change(value=4.5, seen=1))
    who = ada if comes_round == "who deleted" else ben
    (result,) = who.push(change(field="deleted", value=who is ben, seen=2))["results"]
    assert result["contested"] is False
    assert ada.view()["contested"] == []
    assert ("room" in ada.view()["records"]) == (who is ada)
    assert_log_holds(office)


def test_deleting_hides_the_record_and_bringing_back_shows_it(office: Office, ada: Device) -> None:
    ada.push(change(value=4.2))
    ada.push(change(field="deleted", value=True))
    assert "room" not in ada.view()["records"]
    ada.push(change(field="deleted", value=False, seen=2))
    assert ada.view()["records"]["room"] == [{"id": "kitchen", "length_m": 4.2}]
    assert_log_holds(office)


def test_an_empty_record_is_made_by_saying_it_is_not_deleted(ada: Device) -> None:
    ada.push(change(field="deleted", value=False))
    assert ada.view()["records"]["room"] == [{"id": "kitchen"}]


def test_an_edit_that_had_not_seen_a_deletion_is_contested_with_it(office: Office, ada: Device, ben: Device) -> None:
    ada.push(change(value=4.2))
    ada.push(change(field="deleted", value=True))
    (result,) = ben.push(change(value=4.5, seen=1))["results"]
    assert (result["status"], result["contested"]) == ("accepted", True)
    (contest,) = ben.view()["contested"]
    assert (contest["field"], contest["label"]) == ("deleted", "Deleted")
    assert [(value["value"], value["user"], value["edited"]) for value in contest["values"]] == [
        (True, "Ada", None),
        (False, "Ben", {"field": "length_m", "label": "Length", "value": 4.5}),
    ]
    ben.push(change(field="deleted", value=False, seen=2, resolves=True))
    assert ben.view()["records"]["room"] == [{"id": "kitchen", "length_m": 4.5}]
    assert ben.view()["contested"] == []
    assert_log_holds(office)


def test_two_deletions_agree(ada: Device, ben: Device) -> None:
    ada.push(change(value=4.2))
    ada.push(change(field="deleted", value=True))
    (result,) = ben.push(change(field="deleted", value=True))["results"]
    assert result["contested"] is False


def test_a_wrong_clock_decides_nothing(ada: Device, ben: Device) -> None:
    ada.push({**change(value=4.2), "made_at": "2099-01-01T00:00:00Z"})
    ben.push({**change(value=4.5, seen=1), "made_at": "1970-01-01T00:00:00Z"})
    assert ada.view()["records"]["room"][0]["length_m"] == 4.5
    assert ada.view()["contested"] == []


def test_verify_finds_a_state_that_is_not_what_the_log_says(office: Office, ada: Device) -> None:
    ada.push(change(value=4.2), change("hall", "name", "Hall"))
    with office.app.app_context():
        with writing() as session:
            kitchen = (StoredRecord.survey_id == office.survey) & (StoredRecord.id == "kitchen")
            session.execute(update(StoredRecord).where(kitchen).values(values_json='{"length_m":4.3}'))
        with reading() as session:
            assert verify_survey(session, office.survey) == ["record kitchen differs from its log"]
