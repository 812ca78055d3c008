"""What is worked out of a survey and what leaves the office: assessment, quote, document, report versions, emails."""

from __future__ import annotations

import copy
from typing import Any

import pytest
from sqlalchemy import update

from tests.support.cast import ADA, BEN, CORA, Device, Office, change
from tests.support.together import together
from wattwalk.database import writing
from wattwalk.engine import assess, to_plain
from wattwalk.models import Email
from wattwalk.office import versions
from wattwalk.office.outbox import send_waiting
from wattwalk.office.report_inputs import ReportError
from wattwalk.survey.document import read_document
from wattwalk.sync.documents import import_document

HOUSE: dict[str, Any] = {
    "survey": [{"id": "household", "household_name": "The Nettlebeds", "outside_design_temperature_c": -3}],
    "construction": [{"id": "wall", "name": "Wall", "element": "wall", "known_by": "declared", "u_value_w_m2k": 0.5}],
    "room": [{"id": "kitchen", "name": "Kitchen", "use": "kitchen", "length_m": 4, "width_m": 3, "height_m": 2.4}, {"id": "larder"}],
    "price_line": [
        {"id": "line-1", "what": "Unit", "quantity": 2, "unit_price": "149.55", "vat_rate": "20"},
        {"id": "line-2", "what": "Grant", "quantity": 1, "unit_price": "50", "vat_rate": "0", "is_credit": "grant"},
    ],
}


@pytest.fixture
def ada(office: Office) -> Device:
    """Ada, with a small house that is in the office already."""
    device = office.device(ADA)
    document = {"format": "wattwalk-survey", "version": 1, "id": office.survey, "records": copy.deepcopy(HOUSE)}
    with office.app.app_context():
        firm = device.client.get("/api/firm").json
        assert firm["name"] == ADA.firm
        from wattwalk import accounts

        import_document(read_document(document), firm_id=accounts.find_or_add_firm(ADA.firm).id, user_id=None, photos=office.settings.photos)
    return device


@pytest.fixture
def pdf(monkeypatch: pytest.MonkeyPatch) -> list[Any]:
    """Stand in for the setting of the PDF, which has tests of its own; the inputs it was given are collected."""
    given: list[Any] = []

    def render(inputs: Any) -> bytes:
        given.append(inputs)
        return b"%PDF-1.7\n1 0 obj\n<</Type /Pages /Kids [2 0 R 3 0 R] /Count 2>>\nendobj\n" + str(inputs.version).encode()

    monkeypatch.setattr(versions, "render_in_subprocess", render)
    return given


def test_the_assessment_is_the_engines(office: Office, ada: Device) -> None:
    answer = ada.client.get(f"{ada.path}/assessment")
    assert answer.status_code == 200, answer.get_data(as_text=True)
    survey = read_document(ada.client.get(f"{ada.path}/document").json)
    assert answer.json["assessment"] == to_plain(assess(survey))
    assert answer.json["revision"] == ada.view()["revision"]
    assert answer.json["gaps"] == ada.view()["gaps"]
    assert answer.json["pictures"]["room_losses"].startswith("<svg")
    assert {"compensation", "improvements"} <= set(answer.json["pictures"])
    assert answer.json["pictures"]["room_losses"] != answer.json["pictures_dark"]["room_losses"]


def test_a_document_comes_out_as_it_went_in(ada: Device) -> None:
    assert ada.client.get(f"{ada.path}/document").json["records"] == HOUSE


def test_the_quote_adds_up(ada: Device) -> None:
    quote = ada.client.get(f"{ada.path}/quote").json
    assert (quote["net"], quote["vat"], quote["gross"]) == ("299.10", "59.82", "358.92")
    assert quote["to_pay"] == "308.92"


def test_half_synced_references_trouble_nobody(ada: Device) -> None:
    ada.push(change("wall-1", "room", "a-room-still-on-the-phone", kind="surface"), change("wall-1", "construction", "nowhere", kind="surface"))
    assert ada.client.get(f"{ada.path}/assessment").status_code == 200


def test_report_versions_are_numbered_and_stay(office: Office, ada: Device, pdf: list[Any]) -> None:
    first = ada.client.post(f"{ada.path}/reports", json={})
    assert first.status_code == 201, first.get_data(as_text=True)
    assert (first.json["number"], first.json["pages"], first.json["revision"]) == (1, 2, ada.view()["revision"])
    ada.push(change("kitchen", "name", "Big kitchen", seen=first.json["revision"]))
    second = ada.client.post(f"{ada.path}/reports")
    assert (second.status_code, second.json["number"]) == (201, 2)
    assert [inputs.version for inputs in pdf] == [1, 2]
    assert pdf[0].firm["name"] == ADA.firm
    assert [report["number"] for report in ada.client.get(f"{ada.path}/reports").json["reports"]] == [2, 1]
    assert ada.listed()["latest_report"] == 2
    got = ada.client.get(f"{ada.path}/reports/1.pdf", buffered=True)
    assert (got.content_type, got.data[-1:]) == ("application/pdf", b"1")
    assert ada.client.get(f"{ada.path}/reports/3.pdf").json["code"] == "no_such_report"
    assert ada.client.get(f"{ada.path}/reports/99999999999999999999.pdf").status_code == 404
    cora = office.device(CORA)
    assert cora.client.get(f"{ada.path}/reports/1.pdf").json["code"] == "no_such_survey"
    assert cora.client.post(f"{ada.path}/reports", json={}).json["code"] == "no_such_survey"


def test_a_firm_that_asks_for_the_checks_has_them_on_its_reports(ada: Device, pdf: list[Any]) -> None:
    assert ada.client.post(f"{ada.path}/reports", json={}).status_code == 201
    assert ada.client.patch("/api/firm", json={"prints_checks": True}).status_code == 200
    assert ada.client.post(f"{ada.path}/reports", json={}).status_code == 201
    before, after = pdf
    assert before.checks == ()
    assert len(after.checks) >= 10
    assert sum(every for _subject, every, _met in after.checks) >= 80


def test_a_number_that_was_taken_meanwhile_is_not_given_twice(office: Office, ada: Device, pdf: list[Any], monkeypatch: pytest.MonkeyPatch) -> None:
    set_alone, ben, made_meanwhile = versions.render_in_subprocess, office.device(BEN), []

    def be_overtaken(inputs: Any) -> bytes:
        monkeypatch.setattr(versions, "render_in_subprocess", set_alone)
        # While Ada's is being set, with its number on it, Ben's is made from the first to the last.
        together(lambda _place, other: made_meanwhile.append(other.client.post(f"{other.path}/reports").json), [ben])
        return set_alone(inputs)

    monkeypatch.setattr(versions, "render_in_subprocess", be_overtaken)
    answer = ada.client.post(f"{ada.path}/reports")
    assert (answer.status_code, answer.json["number"]) == (201, 2), answer.get_data(as_text=True)
    assert [made["number"] for made in made_meanwhile] == [1]
    # Ada's was set twice: first with the number that was Ben's by then.
    assert [inputs.version for inputs in pdf] == [1, 1, 2]
    assert [report["number"] for report in ada.client.get(f"{ada.path}/reports").json["reports"]] == [2, 1]
    kept = [path.name for path in office.settings.home.rglob("*.pdf") if path.parent.name == office.survey]
    assert len(kept) == 2, "what was set with a number that was taken is still there"


def test_a_contested_survey_gives_no_report(office: Office, ada: Device, pdf: list[Any]) -> None:
    office.device(BEN).push(change("kitchen", "name", "Scullery"))
    answer = ada.client.post(f"{ada.path}/reports", json={})
    assert (answer.status_code, answer.json["code"]) == (409, "contested")
    # It says by what, and names the field and its record for whoever goes there.
    assert answer.json["message"].startswith("Scullery: Name was answered twice")
    assert (answer.json["field"], answer.json["record"]) == ("name", "room/kitchen")
    assert pdf == []


def test_a_report_that_cannot_be_made_says_so(ada: Device, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(_inputs: Any) -> bytes:
        raise ReportError("a font is missing in /a/place")

    monkeypatch.setattr(versions, "render_in_subprocess", fail)
    answer = ada.client.post(f"{ada.path}/reports", json={})
    assert (answer.status_code, answer.json["code"]) == (503, "report_not_made")
    assert "/a/place" not in answer.json["message"]
    assert ada.client.get(f"{ada.path}/reports").json == {"reports": []}


def test_an_email_waits_is_held_and_can_be_tried_again(office: Office, ada: Device, pdf: list[Any]) -> None:
    ada.client.post(f"{ada.path}/reports", json={})
    words = {"to": "nettlebed@house.example", "subject": "Your survey", "message": "Dear both,\n\nhere it is."}
    sent = ada.client.post(f"{ada.path}/reports/1/emails", json=words)
    assert sent.status_code == 202, sent.get_data(as_text=True)
    assert (sent.json["state"], sent.json["report"], sent.json["to"]) == ("waiting", 1, words["to"])
    with office.app.app_context():
        send_waiting(office.settings, None)
    (listed,) = ada.client.get(f"{ada.path}/emails").json["emails"]
    assert (listed["id"], listed["state"]) == (sent.json["id"], "held_as_file")
    assert (office.settings.home / "outbox" / listed["file_name"]).is_file()
    retried = ada.client.post(f"/api/emails/{listed['id']}/retry")
    assert (retried.status_code, retried.json["state"]) == (202, "waiting")
    assert ada.client.post(f"/api/emails/{listed['id']}/retry", json={}).status_code == 422
    cora = office.device(CORA)
    assert cora.client.post(f"/api/emails/{listed['id']}/retry", json={}).json["code"] == "no_such_email"
    assert cora.client.post(f"{ada.path}/reports/1/emails", json=words).json["code"] == "no_such_survey"
    with office.app.app_context(), writing() as session:
        session.execute(update(Email).values(state="sent"))


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"to": "nobody"}, "to"),
        ({"to": "a@house.example\r\nBcc: b@house.example"}, "to"),
        ({"subject": "a\r\nBcc: b@house.example"}, "subject"),
        ({"subject": ""}, "subject"),
        ({"message": "\u0000"}, "message"),
        ({"message": "   "}, "message"),
        ({"colour": "red"}, "colour"),
    ],
)
def test_an_email_that_cannot_be_sent_is_refused(ada: Device, pdf: list[Any], given: dict[str, str], field: str) -> None:
    ada.client.post(f"{ada.path}/reports", json={})
    words = {"to": "nettlebed@house.example", "subject": "Your survey", "message": "Here it is.", **given}
    answer = ada.client.post(f"{ada.path}/reports/1/emails", json=words)
    assert (answer.status_code, answer.json["field"]) == (422, field)
    assert ada.client.get(f"{ada.path}/emails").json == {"emails": []}
