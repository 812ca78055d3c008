"""Signing in and out, the firm, and what keeps strangers' pages and guesses out."""

from __future__ import annotations

import base64
import hashlib
from datetime import timedelta
from typing import Any

import pytest
from flask.testing import FlaskClient
from sqlalchemy import delete, event, update

from tests.office.test_logo import drawn
from tests.support.cast import ADA, BEN, CORA, PASSWORD, Office, change, picture
from wattwalk import accounts, guessing
from wattwalk.database import db, now, writing
from wattwalk.models import DeviceSession, LoginFailure
from wattwalk.office.logo import as_logo
from wattwalk.survey.holders import SURVEYOR


@pytest.fixture(autouse=True)
def _no_failures(office: Office) -> None:
    with office.app.app_context(), writing() as session:
        session.execute(delete(LoginFailure))


def test_signing_in_opens_and_signing_out_closes(office: Office) -> None:
    client = office.app.test_client()
    assert client.get("/api/surveys").status_code == 401
    answer = client.post("/api/session", json={"email": "ADA@teasel.example", "password": PASSWORD})
    assert answer.status_code == 200
    epoch = client.get("/api/health").json["epoch"]
    token = client.get_cookie("wattwalk").value
    name = accounts.session_name(token)
    assert answer.json == {
        "user": {"name": "Ada", "email": ADA.email, "role": "office"},
        "firm": {"name": ADA.firm},
        "epoch": epoch,
        "session": name,
    }
    assert client.get("/api/session").json == answer.json
    ended = client.delete("/api/session")
    assert (ended.status_code, ended.json) == (200, {"ended": True})
    assert client.get_cookie("wattwalk") is None
    assert client.get("/api/session").json["code"] == "sign_in_needed"
    # The cookie of somebody who kept it opens nothing either.
    client.set_cookie("wattwalk", token)
    assert client.get("/api/session").status_code == 401


def test_signing_out_takes_the_cookie_and_is_answered_without_waiting_for_the_browsers_cache(office: Office) -> None:
    client = office.device(ADA).client
    token = client.get_cookie("wattwalk").value
    # The browser holds an answer with this header back until its cache is empty: no answer that anybody waits for may have it.
    assert "Clear-Site-Data" not in client.delete("/api/session").headers
    # A session that had ended before, at the office or by age: the device is cleared all the same.
    client.set_cookie("wattwalk", token)
    late = client.delete("/api/session")
    assert (late.status_code, late.json["code"], "Clear-Site-Data" in late.headers) == (401, "sign_in_needed", False)
    assert client.get_cookie("wattwalk") is None
    client.set_cookie("wattwalk", token)
    assert client.get("/api/surveys").status_code == 401
    assert client.get_cookie("wattwalk").value == token


def test_the_browsers_cache_is_emptied_for_whoever_asks_and_never_its_storage(office: Office) -> None:
    for client in (office.app.test_client(), office.device(ADA).client):
        emptied = client.delete("/api/cache")
        assert (emptied.status_code, emptied.headers["Clear-Site-Data"], emptied.data) == (204, '"cache"', b"")
    assert client.get("/api/session").status_code == 200
    elsewhere = client.delete("/api/cache", headers={"Sec-Fetch-Site": "cross-site"})
    assert (elsewhere.status_code, "Clear-Site-Data" in elsewhere.headers) == (403, False)


def test_a_sign_out_that_comes_late_ends_its_own_session_and_nobody_elses(office: Office) -> None:
    client = office.app.test_client()
    left = client.post("/api/session", json={"email": ADA.email, "password": PASSWORD}).json["session"]
    ada = client.get_cookie("wattwalk").value
    cora = client.post("/api/session", json={"email": CORA.email, "password": PASSWORD}).json["session"]
    late = client.delete(f"/api/session?session={left}")
    assert (late.status_code, late.json, "Clear-Site-Data" in late.headers) == (200, {"ended": False}, False)
    assert client.get("/api/session").json["user"]["email"] == CORA.email
    # Whoever signed in on the device took the place of the one before, whose cookie nobody holds any more.
    other = office.app.test_client()
    other.set_cookie("wattwalk", ada)
    assert other.get("/api/session").status_code == 401
    assert client.delete(f"/api/session?session={cora}").json == {"ended": True}
    assert client.get("/api/session").status_code == 401
    assert office.device(ADA).client.delete("/api/session?session=nonsense").status_code == 422


def test_nothing_of_the_api_is_kept_by_a_browser(office: Office) -> None:
    device = office.device(ADA)
    device.push(change())
    data = picture()
    path = f"{device.path}/photos/{hashlib.sha256(data).hexdigest()}"
    assert device.client.put(path, data=data, content_type="image/jpeg").status_code == 201
    for address in ("/api/health", "/api/surveys", "/api/nowhere", path, f"{path}/preview", f"{device.path}/document"):
        assert device.client.get(address, buffered=True).headers["Cache-Control"] == "no-store", address


def test_the_cookie_is_guarded(office: Office) -> None:
    client = office.app.test_client()
    plain = client.post("/api/session", json={"email": ADA.email, "password": PASSWORD}).headers.getlist("Set-Cookie")[
        0
    ]
    assert plain.startswith("wattwalk=")
    assert "HttpOnly" in plain
    assert "SameSite=Lax" in plain
    assert f"Max-Age={90 * 24 * 3600}" in plain
    secure = client.post(
        "/api/session", json={"email": ADA.email, "password": PASSWORD}, base_url="https://office.example"
    ).headers.getlist("Set-Cookie")[0]
    assert secure.startswith("__Host-wattwalk=")
    assert "; Secure" in secure
    assert "Path=/" in secure
    assert "Domain" not in secure


def test_a_wrong_password_and_an_unknown_email_look_the_same(office: Office) -> None:
    client = office.app.test_client()
    wrong = client.post("/api/session", json={"email": ADA.email, "password": "a wrong password"})
    unknown = client.post("/api/session", json={"email": "nobody@teasel.example", "password": PASSWORD})
    odd = client.post("/api/session", json={"email": "\u0000\ud800@x", "password": "\u0000\ud800"})
    assert (wrong.status_code, wrong.json["code"]) == (401, "wrong_sign_in")
    assert (unknown.status_code, unknown.json) == (401, wrong.json)
    assert (odd.status_code, odd.json) == (401, wrong.json)


def test_guessing_becomes_slow(office: Office, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(guessing, "MAX_FAILURES_PER_EMAIL", 3)
    client = office.app.test_client()
    for _ in range(3):
        assert client.post("/api/session", json={"email": ADA.email, "password": "a wrong password"}).status_code == 401
    answer = client.post("/api/session", json={"email": ADA.email, "password": PASSWORD})
    assert (answer.status_code, answer.json["code"]) == (429, "too_many_tries")
    assert 0 < int(answer.headers["Retry-After"]) <= 900
    assert client.post("/api/session", json={"email": CORA.email, "password": PASSWORD}).status_code == 200
    with office.app.app_context(), writing() as session:
        session.execute(update(LoginFailure).values(at=now() - timedelta(minutes=16)))
    assert client.post("/api/session", json={"email": ADA.email, "password": PASSWORD}).status_code == 200


def test_a_session_slides_and_ends_after_ninety_days_of_rest(office: Office) -> None:
    device = office.device(ADA)
    with office.app.app_context(), writing() as session:
        session.execute(update(DeviceSession).values(seen_at=now() - timedelta(days=89)))
    assert device.client.get("/api/session").status_code == 200
    with office.app.app_context(), writing() as session:
        assert session.query(DeviceSession).filter(DeviceSession.seen_at > now() - timedelta(minutes=1)).count() == 1
        session.execute(update(DeviceSession).values(seen_at=now() - timedelta(days=91)))
    assert device.client.get("/api/session").json["code"] == "sign_in_needed"


def test_a_surveyor_does_not_change_the_firm(office: Office) -> None:
    before = office.device(ADA).client.get("/api/firm").json
    with office.as_role(BEN, SURVEYOR):
        answer = office.device(BEN).client.patch("/api/firm", json={"terms": "Ours.", "prints_checks": True})
    assert (answer.status_code, answer.json["code"]) == (403, "not_allowed")
    assert office.device(ADA).client.get("/api/firm").json == before


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({}, 200),
        ({"Origin": "http://localhost"}, 200),
        ({"Sec-Fetch-Site": "same-origin"}, 200),
        ({"Origin": "http://evil.example"}, 403),
        ({"Origin": "https://localhost"}, 403),
        ({"Origin": "null"}, 403),
        ({"Sec-Fetch-Site": "cross-site"}, 403),
        ({"Sec-Fetch-Site": "same-site"}, 403),
    ],
)
def test_writes_come_from_our_own_pages_only(office: Office, headers: dict[str, str], status: int) -> None:
    client = office.device(ADA).client
    answer = client.patch("/api/firm", json={"telephone": "01632 960001"}, headers=headers)
    assert answer.status_code == status
    if status == 403:
        assert answer.json["code"] == "wrong_origin"


def test_a_password_is_not_taken_over_an_open_line(office: Office) -> None:
    given = {"email": ADA.email, "password": PASSWORD}
    client = office.app.test_client()
    refused = client.post("/api/session", json=given, base_url="http://office.example")
    assert (refused.status_code, refused.json["code"]) == (403, "not_secure")
    for address in ("http://127.0.0.1:8000", "http://[::1]:8000", "https://office.example"):
        assert client.post("/api/session", json=given, base_url=address).status_code == 200


def test_the_firm_chooses_whether_its_reports_carry_the_checks(office: Office) -> None:
    client = office.device(ADA).client
    assert client.get("/api/firm").json["prints_checks"] is False
    assert client.patch("/api/firm", json={"prints_checks": "yes"}).status_code == 422
    assert client.patch("/api/firm", json={"prints_checks": True}).json["prints_checks"] is True
    assert client.get("/api/firm").json["prints_checks"] is True
    assert office.device(CORA).client.get("/api/firm").json["prints_checks"] is False


def test_the_firm_says_what_its_quotations_promise_and_payments_come_to_the_whole(office: Office) -> None:
    client = office.device(ADA).client
    nothing = client.get("/api/firm").json
    assert [nothing[name] for name in ("valid_days", "lead_weeks", "stages")] == [None, None, []]
    stages = [
        {"percent": "33.33", "words": "With your yes", "is_deposit": True},
        {"percent": "66.67", "words": "At the end", "is_deposit": False},
    ]
    said = {"valid_days": 30, "lead_weeks": 6, "stages": stages, "exclusions": "Plaster", "assumptions": "Floors lift"}
    assert client.patch("/api/firm", json=said).status_code == 200
    assert said.items() <= client.get("/api/firm").json.items()
    for wrong, field in (
        ([{"percent": "90", "words": "Then"}], "stages"),
        ([{"percent": "0", "words": "Never"}, {"percent": "100", "words": "Then"}], "stages"),
        ([{**stages[1]}, {**stages[0]}], "stages"),
        ([{"percent": "-100", "words": "Then"}], "stages.0.percent"),
        ([{"percent": "100", "words": ""}], "stages.0.words"),
    ):
        answer = client.patch("/api/firm", json={"telephone": "01632 960555", "stages": wrong})
        assert (answer.status_code, answer.json["field"]) == (422, field), wrong
    for wrong in ({"valid_days": 0}, {"valid_days": 366}, {"lead_weeks": 1.5}, {"exclusions": "x" * 1_001}):
        assert client.patch("/api/firm", json=wrong).status_code == 422, wrong
    # Nothing of what was refused was kept, and another firm's is its own.
    now = client.get("/api/firm").json
    assert said.items() <= now.items()
    assert now["telephone"] != "01632 960555"
    assert office.device(CORA).client.get("/api/firm").json["stages"] == []
    assert client.patch("/api/firm", json={"valid_days": None, "stages": []}).json["stages"] == []


def test_the_firm_s_logo_is_taken_whole_or_refused_in_one_sentence_and_goes_again(office: Office) -> None:
    client = office.device(ADA).client
    assert client.get("/api/firm").json["logo"] is None
    sent = base64.b64encode(drawn()).decode()
    assert client.patch("/api/firm", json={"logo": sent}).json["logo"] == as_logo(drawn())
    for wrong, code in (
        ("no base64 at all", "not_base64"),
        ("", "not_a_picture"),
        (base64.b64encode(b"<svg/>").decode(), "not_a_picture"),
        (base64.b64encode(drawn((120, 60))).decode(), "logo_too_small"),
    ):
        answer = client.patch("/api/firm", json={"telephone": "01632 960555", "logo": wrong})
        assert (answer.status_code, answer.json["code"], answer.json["field"]) == (422, code, "logo")
    kept = client.get("/api/firm").json
    assert (kept["logo"], kept["telephone"] != "01632 960555") == (as_logo(drawn()), True)
    assert office.device(CORA).client.get("/api/firm").json["logo"] is None
    assert client.patch("/api/firm", json={"logo": None}).json["logo"] is None


def test_no_request_reads_the_logo_but_those_that_show_it(office: Office) -> None:
    client = office.device(ADA).client
    assert client.patch("/api/firm", json={"logo": base64.b64encode(drawn()).decode()}).status_code == 200
    asked: list[str] = []
    with office.app.app_context():
        engine = db.engine

    def note(_connection: object, _cursor: object, statement: str, *_rest: object) -> None:
        asked.append(statement)

    event.listen(engine, "before_cursor_execute", note)
    try:
        assert client.get("/api/surveys?since=0").status_code == 200
        assert any("FROM device_session" in statement for statement in asked)
        assert not any("logo" in statement for statement in asked)
        asked.clear()
        assert client.get("/api/firm").json["logo"] == as_logo(drawn())
        assert any("logo" in statement for statement in asked)
    finally:
        event.remove(engine, "before_cursor_execute", note)


def _changed(client: FlaskClient, **asked: Any) -> list[tuple[str, str, str]]:
    answer = client.get("/api/firm/history", query_string=asked).json
    return [(line["label"], line["before"], line["words"]) for line in answer["changes"]]


def test_what_was_changed_of_the_firm_says_what_it_was_and_who_and_is_put_back(office: Office) -> None:
    client = office.device(ADA).client
    name = client.get("/api/firm").json["name"]
    client.patch("/api/firm", json={"telephone": "", "valid_days": None, "stages": [], "logo": None})
    start = client.get("/api/firm/history").json["found"]
    stages = [{"percent": "100", "words": "At the end", "is_deposit": False}]
    client.patch("/api/firm", json={"telephone": "01632 960001", "name": name, "valid_days": 30, "stages": stages})
    with_ben = office.device(BEN).client
    with_ben.patch("/api/firm", json={"telephone": "01632 960002", "logo": base64.b64encode(drawn()).decode()})
    assert _changed(client)[:2] == [("Logo", "Nothing", "A picture"), ("Telephone", "01632 960001", "01632 960002")]
    # What was sent and is the same as before is no change.
    assert {label for label, _before, _words in _changed(client)[2:5]} == {
        "Telephone",
        "A quotation holds for",
        "Payments",
    }
    assert ("Payments", "Nothing", "100 % At the end") in _changed(client)
    assert ("A quotation holds for", "Nothing", "30 days") in _changed(client)
    newest = client.get("/api/firm/history").json
    assert [line["user"] for line in newest["changes"][:2]] == [BEN.name, BEN.name]
    assert newest["found"] == start + 5
    logo, telephone = newest["changes"][:2]
    assert client.post(f"/api/firm/history/{telephone['id']}/back").json["telephone"] == "01632 960001"
    assert client.post(f"/api/firm/history/{logo['id']}/back").json["logo"] is None
    # Put back, it is a change like any other: it stands in the history, and can be put back itself.
    again = next(line for line in client.get("/api/firm/history").json["changes"] if line["before"] == "A picture")
    assert client.post(f"/api/firm/history/{again['id']}/back").json["logo"] == as_logo(drawn())
    stands = {line["id"]: line["stands"] for line in client.get("/api/firm/history").json["changes"]}
    assert (stands[telephone["id"]], stands[logo["id"]]) == (True, False)
    # Page by page each once.
    first = client.get("/api/firm/history", query_string={"limit": 5}).json
    rest = client.get("/api/firm/history", query_string={"limit": 5, "before": first["next"]}).json
    assert (len(first["changes"]), first["found"]) == (5, start + 8)
    assert len(rest["changes"]) == min(5, start + 3)
    assert (rest["next"] is None) == (start <= 2)
    assert not {line["id"] for line in first["changes"]} & {line["id"] for line in rest["changes"]}


def test_a_surveyor_and_another_firm_put_nothing_back(office: Office) -> None:
    client = office.device(ADA).client
    client.patch("/api/firm", json={"telephone": "01632 960001"})
    (line, *_more) = client.get("/api/firm/history").json["changes"]
    address = f"/api/firm/history/{line['id']}/back"
    with office.as_role(BEN, SURVEYOR):
        refused = office.device(BEN).client.post(address)
    assert (refused.status_code, refused.json["code"]) == (403, "not_allowed")
    cora = office.device(CORA).client
    assert cora.post(address).status_code == 404
    assert cora.get("/api/firm/history").json["found"] == 0
    assert client.get("/api/firm").json["telephone"] == "01632 960001"


def test_the_firm_changes_what_is_given(office: Office) -> None:
    client = office.device(ADA).client
    answer = client.patch("/api/firm", json={"address": "1 Teasel Yard\nNowhere", "terms": "Thirty days."})
    assert answer.status_code == 200
    assert client.get("/api/firm").json["address"] == "1 Teasel Yard\nNowhere"
    assert client.get("/api/firm").json["name"] == ADA.firm
    assert office.device(CORA).client.get("/api/firm").json["terms"] == ""


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"name": ""}, "name"),
        ({"name": "\u2800\u3164"}, "name"),
        ({"name": "\u202e\ufeff"}, "name"),
        ({"name": "a\u0000b"}, "name"),
        ({"email": "nobody"}, "email"),
        ({"colour": "red"}, "colour"),
        ({"name": 7}, "name"),
        ({"name": CORA.firm}, "name"),
    ],
)
def test_the_firm_refuses_what_cannot_be(office: Office, given: dict[str, object], field: str) -> None:
    answer = office.device(ADA).client.patch("/api/firm", json=given)
    assert (answer.status_code, answer.json["field"]) == (422, field)
    assert office.device(ADA).client.get("/api/firm").json["name"] == ADA.firm
