"""Changes in: accepted once, refused and kept, never lost, in revisions without gaps."""

from __future__ import annotations

from typing import Any

import pytest
from sqlalchemy import select

from tests.support.cast import ADA, BEN, CORA, MODEL, Device, Office, change
from tests.support.together import together
from wattwalk.database import reading
from wattwalk.models import StoredSurvey
from wattwalk.survey.site import OutdoorPosition
from wattwalk.sync.surveys import load_survey
from wattwalk.sync.verify import verify_survey


def results(answer: dict[str, Any]) -> list[tuple[str, int | None]]:
    return [(result["status"], result["revision"]) for result in answer["results"]]


def assert_log_holds(office: Office) -> None:
    with office.app.app_context(), reading() as session:
        assert verify_survey(session, office.survey) == []


def test_changes_get_the_next_revisions_and_become_the_record(office: Office) -> None:
    ada = office.device(ADA)
    answer = ada.push(change(value=4.2), change(field="width_m", value=3), change("hall", "name", "Hall"))
    assert results(answer) == [("accepted", 1), ("accepted", 2), ("accepted", 3)]
    assert answer["revision"] == 3
    assert ada.view()["records"]["room"] == [
        {"id": "kitchen", "length_m": 4.2, "width_m": 3},
        {"id": "hall", "name": "Hall"},
    ]
    assert_log_holds(office)


def test_a_repeat_is_answered_as_before_and_changes_nothing(office: Office) -> None:
    ada = office.device(ADA)
    batch = [change(), change(value=999), change(field="width_m", value=3)]
    first = ada.push(*batch)
    ada.push(change(value=5, seen=1))
    assert ada.push(*batch)["results"] == first["results"]
    assert ada.view()["records"]["room"][0]["length_m"] == 5
    assert ada.view()["revision"] == 3


def test_a_repeat_within_one_batch_counts_once(office: Office) -> None:
    same = change()
    answer = office.device(ADA).push(same, same)
    assert results(answer) == [("accepted", 1), ("accepted", 1)]
    assert answer["revision"] == 1


def test_an_id_used_for_two_changes_is_refused(office: Office) -> None:
    ada = office.device(ADA)
    first = change(value=4.2)
    ada.push(first)
    (result,) = ada.push({**first, "value": 5.0})["results"]
    assert (result["status"], result["problem"]["code"]) == ("refused", "id_used_twice")
    assert (result["revision"], result["contested"]) == (None, False)
    assert ada.view()["records"]["room"] == [{"id": "kitchen", "length_m": 4.2}]


def test_a_value_by_the_name_of_an_older_phone_is_kept_and_read_by_its_present_one(office: Office) -> None:
    ada = office.device(ADA)
    answer = ada.push(
        change("place", "neighbour_screened", "partly", kind="outdoor_position"),
        change("place", "zone_shape", "sides", kind="outdoor_position"),
    )
    assert results(answer) == [("accepted", 1), ("accepted", 2)]
    # The log is the phone's own word; whoever works with the survey reads what it means now.
    assert [item["value"] for item in ada.pull()] == ["partly", "sides"]
    with office.app.app_context(), reading() as session:
        firm_id = session.scalars(select(StoredSurvey.firm_id).where(StoredSurvey.id == office.survey)).one()
        place = load_survey(session, firm_id, office.survey).survey.of_kind(OutdoorPosition)[0]
    assert (place.neighbour_screened, place.zone_shape) == ("half_hidden", "planning")
    assert_log_holds(office)


def test_null_clears_a_field(office: Office) -> None:
    ada = office.device(ADA)
    ada.push(change())
    ada.push(change(value=None, seen=1), change(field="name", value="Kitchen"))
    assert ada.view()["records"]["room"] == [{"id": "kitchen", "name": "Kitchen"}]
    assert_log_holds(office)


@pytest.mark.parametrize(
    ("given", "code", "words"),
    [
        (change(value=999), "out_of_range", "found 999, expected 0.3 to 60 m"),
        (change(value=-1), "out_of_range", "0.3 to 60 m"),
        (change(value="four"), "not_a_number", "found the text 'four', expected a number from 0.3 to 60 m"),
        (change(value=True), "not_a_number", "found yes"),
        (change(value=[1]), "not_a_number", "found a list"),
        (change(value={"a": 1}), "not_a_number", "found a group of values"),
        (change(value=10**17), "out_of_range", "0.3 to 60 m"),
        (change(value=1e300), "out_of_range", "0.3 to 60 m"),
        (change(field="colour"), "unknown_field", "has no field 'colour'"),
        (change(field=7), "unknown_field", "has no field"),
        (change(field="name", value="a\nb"), "not_one_line", "line break"),
        (change(field="name", value="\u0000"), "not_printable", "control character"),
        *(
            (change(field="name", value=unseen), "nothing_to_see", "cannot be seen")
            for unseen in ("\u202e", "\ufeff", " \u200b\u2060 ", "\u3164\u2800", "\U000e0041", "\u034f")
        ),
        (change(field="name", value="\ud800"), "not_printable", "half of a character"),
        (change(field="name", value="x" * 5000), "too_long", "found 5000 characters"),
        (change(field="deleted", value="yes"), "not_yes_or_no", "true or false"),
        (change(field="deleted", value=None), "not_yes_or_no", "true or false"),
        (change(kind="castle"), "unknown_kind", "castle"),
        (change(kind=None), "unknown_kind", "expected one of"),
        (change("Not An Id"), "not_an_id", "small letters"),
        (change(7), "not_an_id", "small letters"),
        (change(seen=-1), "not_a_revision", "whole number"),
        (change(seen="3"), "not_a_revision", "whole number"),
        (change(seen=1.5), "not_a_revision", "whole number"),
        (change(resolves="yes"), "not_yes_or_no", "true or false"),
        ({**change(), "made_at": "yesterday"}, "not_a_moment", "2026-03-31T14:05:00Z"),
        ({**change(), "made_at": None}, "not_a_moment", "2026-03-31T14:05:00Z"),
        ({"id": change()["id"]}, "unknown_kind", "expected one of"),
    ],
    ids=lambda given: given if isinstance(given, str) else None,
)
def test_what_cannot_stand_is_refused_and_kept(office: Office, given: dict[str, Any], code: str, words: str) -> None:
    ada = office.device(ADA)
    before, good = change("hall", "name", "Hall"), change("hall", "height_m", 2.4)
    answer = ada.push(before, given, good)
    assert results(answer) == [("accepted", 1), ("refused", None), ("accepted", 2)]
    problem = answer["results"][1]["problem"]
    assert problem["code"] == code
    assert words in problem["message"]
    (kept,) = ada.view()["refused"]
    assert kept["id"] == given["id"]
    assert kept["value"] == given.get("value")
    assert kept["problem"] == problem
    assert ada.listed()["refused"] == 1
    assert_log_holds(office)


def test_a_refusal_is_settled_once_its_field_is_set(office: Office) -> None:
    ada = office.device(ADA)
    ada.push(change(value=999), change(field="width_m", value=999))
    assert {refused["field"] for refused in ada.view()["refused"]} == {"length_m", "width_m"}
    ada.push(change(value=4.2))
    assert [refused["field"] for refused in ada.view()["refused"]] == ["width_m"]
    ada.push(change(field="width_m", value=998), change(field="width_m", value=3))
    assert ada.view()["refused"] == []
    ada.push(change(value=4.4, seen=1), change(value=997, seen=1))
    assert [refused["value"] for refused in ada.view()["refused"]] == [997]


def test_a_refused_value_is_nowhere_called_held(office: Office) -> None:
    """On no other phone of the firm does it take the place of what stands; who typed it where is told under what was refused."""
    ada, ben = office.device(ADA), office.device(BEN)
    ada.push(change(value=4.2))
    ada.push(change(value=999, seen=1), change("hall", "height_m", -1))
    assert [line["value"] for line in ben.pull()] == [4.2]
    assert ben.view()["records"]["room"] == [{"id": "kitchen", "length_m": 4.2}]
    assert [(refused["value"], refused["user"], refused["device"]) for refused in ben.view()["refused"]] == [
        (999, "Ada", ada.name),
        (-1, "Ada", ada.name),
    ]
    # Set by somebody else, the field is right again for all.
    ben.push(change(value=4.4, seen=1))
    assert [refused["field"] for refused in ada.view()["refused"]] == ["height_m"]
    assert ada.pull(1)[0]["value"] == 4.4


def test_text_of_every_script_comes_back_as_it_was(office: Office) -> None:
    ada = office.device(ADA)
    name = "Küche 厨房 مطبخ 🔥 ‘é’ <b>&"
    ada.push(change(field="name", value=name))
    assert ada.view()["records"]["room"][0]["name"] == name
    assert ada.pull()[0]["value"] == name


def test_a_long_batch_is_kept_like_a_short_one(office: Office) -> None:
    ada = office.device(ADA)
    names = ["Küche\t厨房", "back\\slash \\N \\.", "", "‘é’ 🔥", "tab\tand more"] * 8
    answer = ada.push(
        *(change(f"room-{place}", "notes", name) for place, name in enumerate(names)),
        change(value=999),
        change(field="\u0000\ud800\n"),
    )
    assert [result["status"] for result in answer["results"]] == ["accepted"] * 40 + ["refused"] * 2
    assert [line["value"] for line in ada.pull()] == names
    assert [refused["value"] for refused in ada.view()["refused"]] == [999, 4.2]
    assert ada.pull()[0].keys() == {
        "id",
        "kind",
        "record",
        "field",
        "value",
        "revision",
        "seen",
        "resolves",
        "device",
        "user",
        "made_at",
        "received_at",
        "contested",
    }
    assert_log_holds(office)


def test_one_id_cannot_be_two_kinds(office: Office) -> None:
    ada = office.device(ADA)
    ada.push(change("one", "name", "Kitchen"))
    (result,) = ada.push(change("one", "length_mm", 800, kind="emitter"))["results"]
    assert result["problem"]["code"] == "other_kind"


def test_a_survey_has_one_household(office: Office) -> None:
    ada, ben = office.device(ADA), office.device(BEN)
    ada.push(change("house-a", "household_name", "Merriweather", kind="survey"))
    (result,) = ben.push(change("house-b", "household_name", "Merryweather", kind="survey"))["results"]
    assert (result["status"], result["problem"]["code"]) == ("refused", "too_many")
    assert "house-a" in result["problem"]["message"]
    ada.push(change("house-a", "deleted", True, kind="survey"))
    (result,) = ben.push(change("house-b", "household_name", "Merryweather", kind="survey"))["results"]
    assert result["status"] == "accepted"
    (result,) = ada.push(change("house-a", "deleted", False, kind="survey", seen=2))["results"]
    assert result["problem"]["code"] == "too_many"
    assert_log_holds(office)


def test_the_log_comes_back_in_order_and_in_portions(office: Office) -> None:
    ada, ben = office.device(ADA), office.device(BEN)
    ada.push(*(change(f"room-{place}", "name", f"Room {place}") for place in range(5)))
    log = ben.pull()
    assert [line["revision"] for line in log] == [1, 2, 3, 4, 5]
    assert (log[0]["device"], log[0]["user"], log[0]["contested"]) == ("Ada's phone", "Ada", False)
    portion = ben.client.get(f"{ben.path}/changes?since=1&limit=3&model={MODEL}").json
    assert ([line["revision"] for line in portion["changes"]], portion["more"], portion["revision"]) == (
        [2, 3, 4],
        True,
        5,
    )
    rest = ben.client.get(f"{ben.path}/changes?since=4&limit=3&model={MODEL}").json
    assert ([line["revision"] for line in rest["changes"]], rest["more"]) == ([5], False)
    assert ben.client.get(f"{ben.path}/changes?since=5&model={MODEL}").json["changes"] == []


def test_another_firm_finds_nothing(office: Office) -> None:
    ada, cora = office.device(ADA), office.device(CORA)
    ada.push(change())
    missing = cora.client.get("/api/surveys/no-such-survey")
    for path in ("", "/changes", "/assessment", "/document", "/quote", "/reports", "/emails"):
        answer = cora.client.get(f"{cora.path}{path}")
        assert (answer.status_code, answer.json) == (404, missing.json), path
    assert cora.send(change(value=1)).status_code == 404
    assert cora.send().status_code == 404
    assert cora.listed() is None
    assert ada.view()["revision"] == 1


def test_a_batch_without_changes_makes_no_survey(office: Office) -> None:
    ada = office.device(ADA)
    assert ada.send().status_code == 404
    ada.push(change())
    assert ada.push() == {"epoch": ada.client.get("/api/health").json["epoch"], "revision": 1, "results": []}


def test_revisions_have_no_gaps_when_devices_push_at_once(office: Office) -> None:
    devices = [office.device(person, f"device-{place}") for place, person in enumerate((ADA, BEN, ADA, BEN))]
    given: list[int] = []

    def send(place: int, device: Device) -> None:
        for turn in range(8):
            answer = device.push(
                *(change(f"room-{place}-{turn}", "name", f"{each}") for each in range(5)),
                change("shared", "name", f"{place}"),
            )
            given.extend(result["revision"] for result in answer["results"])

    together(send, devices)
    assert sorted(given) == list(range(1, 4 * 8 * 6 + 1))
    assert [line["revision"] for line in devices[0].pull()] == sorted(given)
    assert_log_holds(office)
