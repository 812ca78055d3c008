"""The office's list: gaps and the last email of every survey of the firm, and of no other."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from uuid_utils import uuid7

from tests.support.cast import ADA, BEN, CORA, Device, Office, change
from wattwalk.database import now, writing
from wattwalk.models import Report
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
                    id=str(uuid7()), survey_id=ada.survey, number=number, revision=1, made_at=now() + timedelta(seconds=number), pages=1, size_bytes=1, file_name=f"{ada.survey}/{number}"
                )
                session.add(report)
                session.flush()
                enqueue(session, survey_id=ada.survey, report=report, to=to, subject="Report", message="Here it is.")
    state = state_of(ada)
    assert state is not None
    assert state["email"] == {"state": "waiting", "to": "second@household.example", "report": 2, "sent_at": None}
