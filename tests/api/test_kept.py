"""What was answered once is not worked out again, and never stands for another moment."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.support.cast import CORA, Device, Office, change
from wattwalk import accounts
from wattwalk.api import results
from wattwalk.api.kept import KeptAnswers
from wattwalk.engine import assess


@pytest.fixture
def counted(monkeypatch: pytest.MonkeyPatch) -> Callable[[], int]:
    """Return how often a survey has been worked out for its assessment."""
    worked: list[str] = []

    def count(survey: object) -> object:
        worked.append(survey.id)
        return assess(survey)

    monkeypatch.setattr(results, "assess", count)
    return lambda: len(worked)


def ask(device: Device, **named: str) -> dict[str, object]:
    answer = device.client.get(f"{device.path}/assessment", headers=named)
    assert answer.status_code == 200, answer.get_data(as_text=True)
    return answer.json


def test_the_same_question_is_worked_out_once(ada: Device, ben: Device, counted: Callable[[], int]) -> None:
    ada.push(change())
    packed = ada.client.get(f"{ada.path}/assessment", headers={"Accept-Encoding": "gzip"})
    again = ben.client.get(f"{ada.path}/assessment", headers={"Accept-Encoding": "gzip"})
    assert packed.headers["Content-Encoding"] == again.headers["Content-Encoding"] == "gzip"
    assert packed.data == again.data
    assert "Content-Encoding" not in ada.client.get(f"{ada.path}/assessment").headers
    assert ask(ada)["revision"] == ada.view()["revision"]
    assert counted() == 1


def test_a_change_of_survey_or_book_another_day_and_another_life_are_other_questions(
    office: Office, ada: Device, counted: Callable[[], int], monkeypatch: pytest.MonkeyPatch
) -> None:
    ada.push(change("room-1", "name", "Kitchen"))
    assert [room["name"] for room in ask(ada)["assessment"]["rooms"]] == ["Kitchen"]
    seen = ada.view()["revision"]
    ada.push(change("room-1", "name", "Pantry", seen=seen))
    assert [room["name"] for room in ask(ada)["assessment"]["rooms"]] == ["Pantry"]
    assert (ask(ada)["revision"], counted()) == (ada.view()["revision"], 2)
    told = ada.book_push(change(f"unit-{ada.survey}", "name", "Unit", kind="unit"))["revision"]
    assert (ask(ada)["book"], counted()) == (told, 3)
    monkeypatch.setattr(results, "today", lambda: "2031-01-01")
    ask(ada)
    assert counted() == 4
    with office.app.app_context():
        accounts.renew_epoch()
    ask(ada)
    assert counted() == 5


def test_what_is_kept_is_nobody_elses(office: Office, ada: Device) -> None:
    ada.push(change())
    ask(ada)
    stranger = office.device(CORA, "a phone of another firm")
    assert stranger.client.get(f"{ada.path}/assessment").status_code == 404


def test_what_was_asked_for_longest_ago_goes_first() -> None:
    packed = len(KeptAnswers().keep(1, {"answer": 1}))
    kept = KeptAnswers(room_bytes=2 * packed)
    for number in (1, 2):
        kept.keep(number, {"answer": number})
    assert kept.find(1) is not None
    kept.keep(3, {"answer": 3})
    assert [kept.find(number) is not None for number in (1, 2, 3)] == [True, False, True]
    # One that is kept again takes no room of its own.
    kept.keep(3, {"answer": 3})
    assert kept.find(1) is not None


def test_a_brief_survey_is_the_whole_one_without_what_a_phone_has_itself(ada: Device) -> None:
    ada.push(change(), change("photo-1", "sha256", "a" * 64, kind="photo"))
    whole, brief = ada.view(), ada.client.get(f"{ada.path}?brief=1").json
    assert brief == {name: whole[name] for name in ("id", "revision", "contested", "refused", "photos")}
    assert [photo["record"] for photo in brief["photos"]] == ["photo-1"]
