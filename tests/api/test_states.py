"""The office's list: gaps and the last email of every survey of the firm, and of no other."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from typing import Any

import pytest
from uuid_utils import uuid7

from tests.support.cast import ADA, BEN, CORA, Device, Office, change
from tests.support.houses import small_house
from wattwalk import serve
from wattwalk.app import create_app
from wattwalk.database import BusyError, db, now, reading, writing
from wattwalk.models import GapCount, Report
from wattwalk.office import states
from wattwalk.office.outbox import enqueue


def state_of(device: Device) -> dict[str, Any] | None:
    """Return the survey's line."""
    response = device.client.get("/api/survey-states")
    assert response.status_code == 200
    return next((line for line in response.json["surveys"] if line["id"] == device.survey), None)


def test_gaps_are_those_of_the_survey_itself(office: Office) -> None:
    ada = office.device(ADA)
    assert state_of(ada) is None
    ada.push(change(field="name", value="Kitchen"))
    first = state_of(ada)
    assert first is not None
    assert first["gaps"] == len(ada.view()["gaps"]) > 0
    assert (first["revision"], first["email"]) == (1, None)
    ada.push(change(field="length_m", value=4.2))
    later = state_of(ada)
    assert later is not None
    assert (later["revision"], later["gaps"]) == (2, first["gaps"] - 1)


def test_a_gap_that_only_the_engine_sees_is_counted_in_the_list_as_on_every_page(office: Office) -> None:
    """One count: a construction whose layers nobody knows lacks no answer, and open all the same."""
    ada = office.device(ADA)
    for kind, items in small_house()["records"].items():
        for item in items:
            ada.push(*(change(item["id"], name, value, kind=kind) for name, value in item.items() if name != "id"))
    before = state_of(ada)
    ada.push(
        change("wall", "known_by", "layers", kind="construction"),
        change("wall", "layers", [{"material": "Moon dust", "thickness_mm": 100}], kind="construction"),
    )
    worked_out = ada.client.get(f"/api/surveys/{ada.survey}/assessment").json["gaps"]
    assert ("construction", "wall", "no_u_value") in {(gap["kind"], gap["record"], gap["code"]) for gap in worked_out}
    after = state_of(ada)
    assert before is not None
    assert after is not None
    assert after["gaps"] == len(worked_out) == len(ada.view()["gaps"]) == before["gaps"] + 1


def test_another_firm_sees_nothing_of_it(office: Office) -> None:
    ada, ben, cora = office.device(ADA), office.device(BEN), office.device(CORA)
    ada.push(change())
    assert state_of(ben) is not None
    assert state_of(cora) is None


def test_an_unchanged_survey_is_counted_once(office: Office, monkeypatch: pytest.MonkeyPatch) -> None:
    ada = office.device(ADA)
    ada.push(change())
    read: list[str] = []
    load = states.load_survey

    def load_and_note(session: Any, firm_id: str, survey_id: str) -> Any:
        read.append(survey_id)
        return load(session, firm_id, survey_id)

    monkeypatch.setattr(states, "load_survey", load_and_note)
    assert state_of(ada) == state_of(ada)
    assert read.count(ada.survey) == 1
    ada.push(change(field="width_m", value=3.1))
    state_of(ada)
    assert read.count(ada.survey) == 2


def test_the_last_email_counts(office: Office) -> None:
    ada = office.device(ADA)
    ada.push(change())
    with office.app.app_context():
        for number, to in ((1, "first@household.example"), (2, "second@household.example")):
            with writing() as session:
                report = Report(
                    id=str(uuid7()),
                    survey_id=ada.survey,
                    number=number,
                    revision=1,
                    made_at=now() + timedelta(seconds=number),
                    pages=1,
                    size_bytes=1,
                    file_name=f"{ada.survey}/{number}",
                )
                session.add(report)
                session.flush()
                enqueue(session, survey_id=ada.survey, report=report, to=to, subject="Report", message="Here it is.")
    state = state_of(ada)
    assert state is not None
    assert state["email"] == {"state": "waiting", "to": "second@household.example", "report": 2, "sent_at": None}


def state_lines(device: Device, query: str = "") -> list[dict[str, Any]]:
    """Return the lines of one answer."""
    response = device.client.get(f"/api/survey-states{query}")
    assert response.status_code == 200
    return response.json["surveys"]


def test_a_restart_costs_no_counting(office: Office, monkeypatch: pytest.MonkeyPatch) -> None:
    ada = office.device(ADA)
    ada.push(change())
    counted = state_of(ada)
    assert counted is not None
    # Another program on the same database has nothing in its memory.
    monkeypatch.setattr(states, "load_survey", lambda *_: pytest.fail("a survey was counted again"))
    app = create_app(office.settings)
    token = ada.client.get_cookie("wattwalk").value
    client = app.test_client()
    client.set_cookie("wattwalk", token)
    lines = client.get("/api/survey-states").json["surveys"]
    assert counted in lines
    with app.app_context():
        db.engine.dispose()


def test_what_is_not_counted_in_time_says_so_and_is_counted_beside_the_server(
    office: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    ada = office.device(ADA)
    ada.push(change())
    monkeypatch.setattr(states, "BUDGET_S", 0.0)
    state = state_of(ada)
    assert state is not None
    assert (state["revision"], state["gaps"]) == (1, None)
    with office.app.app_context():
        assert serve.GapLook()(threading.Event()) == []
    state = state_of(ada)
    assert state is not None
    assert state["gaps"] == len(ada.view()["gaps"]) > 0


def test_another_program_counts_anew(office: Office, monkeypatch: pytest.MonkeyPatch) -> None:
    ada = office.device(ADA)
    ada.push(change())
    state_of(ada)
    monkeypatch.setattr(states, "counting_program", lambda: "another/model")
    monkeypatch.setattr(states, "gaps_of", lambda _survey: [None] * 77)
    state = state_of(ada)
    assert state is not None
    assert state["gaps"] == 77


def test_a_survey_that_cannot_be_counted_keeps_no_other_waiting(
    office: Office, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    broken = office.device(ADA)
    broken.push(change())
    office.take_up_survey()
    ada = office.device(ADA)
    ada.push(change())
    load = states.load_survey
    monkeypatch.setattr(
        states,
        "load_survey",
        lambda session, firm, survey: 1 / 0 if survey == broken.survey else load(session, firm, survey),
    )
    look = serve.GapLook()
    with office.app.app_context():
        for _ in range(3):
            look(threading.Event())
    assert caplog.text.count(f"The gaps of survey {broken.survey} cannot be counted.") == 1
    with office.app.app_context(), reading() as session:
        assert session.get(GapCount, ada.survey) is not None


def test_counts_are_given_though_somebody_else_is_writing(office: Office, monkeypatch: pytest.MonkeyPatch) -> None:
    ada = office.device(ADA)
    ada.push(change())

    @contextmanager
    def others_write(**_: object) -> Iterator[None]:
        raise BusyError
        yield

    monkeypatch.setattr(states, "writing", others_write)
    state = state_of(ada)
    assert state is not None
    assert state["gaps"] is not None


def test_states_come_page_by_page(office: Office) -> None:
    for _ in range(3):
        office.take_up_survey()
        office.device(ADA).push(change())
    ada = office.device(ADA)
    answer = ada.client.get("/api/survey-states?since=0&limit=2").json
    found = [line["id"] for line in answer["surveys"]]
    while answer["more"]:
        assert len(answer["surveys"]) == 2
        answer = ada.client.get(f"/api/survey-states?since={answer['cursor']}&limit=2").json
        found += [line["id"] for line in answer["surveys"]]
    assert len(found) == len(set(found))
    assert sorted(found) == sorted(line["id"] for line in state_lines(ada))
