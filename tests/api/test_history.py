"""The history of a survey over the API: what each answer was before, by person, by room, by day, by words, all of it and page by page."""

from __future__ import annotations

from typing import Any

import pytest

from tests.support.cast import ADA, BEN, CORA, Device, Office, change
from wattwalk.survey.holders import SURVEYOR

#: More than one batch of a phone, and far more than any page.
MANY = 1_177


@pytest.fixture
def ada(office: Office) -> Device:
    return office.device(ADA)


@pytest.fixture
def ben(office: Office) -> Device:
    return office.device(BEN)


def ask(device: Device, **asked: Any) -> dict[str, Any]:
    response = device.client.get(f"{device.path}/history", query_string=asked)
    assert response.status_code == 200, response.get_data(as_text=True)
    return response.json


def ask_book(device: Device, **asked: Any) -> dict[str, Any]:
    response = device.client.get("/api/book/history", query_string=asked)
    assert response.status_code == 200, response.get_data(as_text=True)
    return response.json


def write_book(device: Device, *changes: dict[str, Any]) -> None:
    answer = device.client.post("/api/book/changes", json={"device": device.name, "changes": list(changes)})
    assert {item["status"] for item in answer.json["results"]} == {"accepted"}


def lines(answer: dict[str, Any]) -> list[tuple[str, str, str | None]]:
    """Return what was said of what, and what it was before."""
    return [
        (f"{line['title']}: {line['label']}", line["words"], line["before"] and line["before"]["words"])
        for line in answer["changes"]
    ]


def test_all_of_more_than_a_thousand_changes_come_page_by_page_each_once(ada: Device) -> None:
    made = [change("kitchen", "length_m", round(1 + number / 500, 3), seen=number) for number in range(MANY)]
    for start in range(0, MANY, 500):
        assert {item["status"] for item in ada.push(*made[start : start + 500])["results"]} == {"accepted"}
    seen: list[int] = []
    before = 0
    for _page in range(20):
        answer = ask(ada, before=before, limit=100)
        assert answer["found"] == answer["revision"] == MANY
        seen += [line["revision"] for line in answer["changes"]]
        if answer["next"] is None:
            break
        before = answer["next"]
    assert seen == list(range(MANY, 0, -1))
    # Across the border of a page, too, each line stands beside the one that it followed.
    last_of_page = ask(ada, before=MANY - 98, limit=1)["changes"][0]
    assert last_of_page["before"]["revision"] == last_of_page["revision"] - 1
    assert ask(ada, before=2)["changes"][0]["before"] is None


def test_a_value_says_what_it_was_who_said_so_when_and_on_which_device(ada: Device, ben: Device) -> None:
    ada.push(change("kitchen", "name", "Kitchen"), change(value=4.2, made_at="2026-03-31T14:05:00Z"))
    ben.push(change(value=4.6, seen=2, made_at="2026-04-01T09:30:00Z"))
    ada.push(change("hall", "length_m", 9.9))
    answer = ask(ada, record="kitchen", field="length_m")
    assert answer["found"] == 2
    newest, first = answer["changes"]
    assert (newest["value"], newest["words"], newest["user"], newest["device"]) == (
        4.6,
        "4.60\xa0m",
        BEN.name,
        ben.name,
    )
    assert newest["before"] == {
        "value": 4.2,
        "words": "4.20\xa0m",
        "revision": 2,
        "user": ADA.name,
        "device": ada.name,
        "made_at": "2026-03-31T14:05:00Z",
    }
    assert first["before"] is None


def test_a_room_brings_what_belongs_to_it_and_what_was_taken_away(ada: Device) -> None:
    ada.push(
        change("kitchen", "name", "Kitchen"),
        change("hall", "name", "Hall"),
        change("wall", "room", "kitchen", kind="surface"),
        change("window", "room", "kitchen", kind="surface"),
        change("window", "opening_in", "wall", kind="surface"),
        change("party", "room", "hall", kind="surface"),
        change("party", "other_room", "kitchen", kind="surface"),
        change("photo-1", "of", "window", kind="photo"),
        change("wall", "deleted", True, kind="surface"),
    )
    told = ask(ada, record="kitchen")
    assert {line["record"] for line in told["changes"]} == {"kitchen", "wall", "window", "party", "photo-1"}
    assert told["changes"][0]["words"] == "Taken away"
    assert {line["record"] for line in ask(ada, record="hall")["changes"]} == {"hall", "party"}
    assert [(place["title"], place["changes"]) for place in told["places"]] == [("Hall", 3), ("Kitchen", 8)]
    ada.push(change("hall", "deleted", True, seen=0))
    assert [place["gone"] for place in ask(ada)["places"]] == [True, False]


def test_people_days_and_words_narrow_it_and_each_other(ada: Device, ben: Device) -> None:
    ada.push(
        change("kitchen", "name", "Kitchen", made_at="2026-03-31T23:59:59Z"),
        change("kitchen", "length_m", 4.2, made_at="2026-04-01T00:00:00Z"),
    )
    ben.push(
        change("kitchen", "use", "kitchen", made_at="2026-04-01T23:59:59Z"),
        change("kitchen", "length_m", 5.5, seen=2, made_at="2026-04-02T00:00:00Z"),
    )
    people = {person["name"]: person for person in ask(ada)["people"]}
    assert {name: person["changes"] for name, person in people.items()} == {ADA.name: 2, BEN.name: 2}
    by_ben = ask(ada, person=people[BEN.name]["id"])
    assert {line["user"] for line in by_ben["changes"]} == {BEN.name}
    assert by_ben["found"] == 2
    day = {"since": "2026-04-01T00:00:00Z", "until": "2026-04-02T00:00:00Z"}
    assert [line["field"] for line in ask(ada, **day)["changes"]] == ["use", "length_m"]
    assert [line["field"] for line in ask(ada, **day, person=people[BEN.name]["id"])["changes"]] == ["use"]
    # By a value, by what it was before, by the question and by the name, whichever way it is written.
    assert [line["revision"] for line in ask(ada, words="4.20")["changes"]] == [4, 2]
    assert [line["revision"] for line in ask(ada, words="KITCHEN length 5.50")["changes"]] == [4]
    assert ask(ada, words=f"{BEN.name} length")["found"] == 1
    assert ask(ada, words="cellar")["changes"] == []


def test_what_is_refused_is_no_part_of_it_and_choices_and_references_are_in_words(ada: Device) -> None:
    ada.push(
        change("kitchen", "name", "Kitchen"),
        change("kitchen", "length_m", "long"),
        change("wall", "room", "kitchen", kind="surface"),
        change("wall", "side", "left", kind="surface"),
        change("wall", "width_m", None, kind="surface"),
    )
    assert [words for _what, words, _before in lines(ask(ada, record="wall"))] == [
        "As the room is",
        "Left side",
        "Kitchen",
    ]
    assert ask(ada)["found"] == 4


def test_another_firm_has_no_history_of_it_and_wrong_questions_are_refused(office: Office, ada: Device) -> None:
    ada.push(change())
    assert office.device(CORA).client.get(f"{ada.path}/history").status_code == 404
    for asked in ({"limit": 201}, {"before": -1}, {"since": "yesterday"}, {"field": "length_m"}):
        assert ada.client.get(f"{ada.path}/history", query_string=asked).status_code == 422, asked


def test_the_firm_s_book_says_what_an_article_was_before_and_by_whom(office: Office, ada: Device, ben: Device) -> None:
    write_book(
        ada,
        change("pipe", "code", "PIPE-22", kind="article"),
        change("pipe", "selling_price", "14.20", kind="article"),
        change("valve", "code", "VALVE-15", kind="article"),
    )
    write_book(ben, change("pipe", "selling_price", "15.10", kind="article", seen=2))
    answer = ask_book(ada, limit=1)
    (line,) = answer["changes"]
    assert (line["title"], line["label"], line["words"]) == ("PIPE-22", "Selling price of one, without VAT", "£15.10")
    assert (line["user"], line["before"]["words"], line["before"]["user"]) == (BEN.name, "£14.20", ADA.name)
    assert (answer["found"], answer["revision"], answer["places"]) == (4, 4, [])
    assert {person["name"]: person["changes"] for person in answer["people"]} == {ADA.name: 3, BEN.name: 1}
    assert ask_book(ada, record="valve")["found"] == 1
    assert ask_book(ada, words="15.10 pipe-22")["found"] == 1
    # One that was taken away is still called what it was, and no other firm sees any of it.
    write_book(ada, change("valve", "deleted", True, kind="article", seen=3))
    assert lines(ask_book(ada, record="valve"))[0] == ("VALVE-15: Taken away", "Taken away", None)
    assert ask_book(office.device(CORA))["found"] == 0


def test_a_surveyor_is_told_nothing_of_costs_in_the_history_of_the_book(office: Office, ada: Device) -> None:
    write_book(
        ada,
        change("dear", "code", "PIPE-22", kind="article"),
        change("dear", "cost_price", "6.85", kind="article"),
        change("dear", "supplier", "Secret Supplies (invented)", kind="article"),
    )
    assert ask_book(ada, record="dear")["found"] == 3
    with office.as_role(BEN, SURVEYOR):
        told = office.device(BEN).client.get("/api/book/history", query_string={"record": "dear"})
    assert [line["field"] for line in told.json["changes"]] == ["code"]
    assert told.json["found"] == 1
    # As it stands in an answer: the digits alone may be those of a moment.
    for secret in ('"6.85"', "Secret"):
        assert secret not in told.get_data(as_text=True)
