"""Every refusal has one shape, and none tells what is inside."""

from __future__ import annotations

import pytest
from werkzeug.test import TestResponse

from tests.support.cast import ADA, Office, change
from wattwalk.sync import push


def assert_refused(answer: TestResponse, status: int, code: str) -> None:
    assert answer.status_code == status, answer.get_data(as_text=True)
    assert answer.content_type == "application/json"
    assert answer.json["code"] == code
    assert {"code", "message", "field", "record"} <= set(answer.json)
    assert answer.json["message"].endswith((".", "…"))


@pytest.mark.parametrize(
    ("method", "path", "options", "status", "code"),
    [
        ("GET", "/api/nowhere", {}, 404, "not_found"),
        ("POST", "/api/nowhere", {"json": {}}, 404, "not_found"),
        ("POST", "/api/health", {"json": {}}, 405, "wrong_method"),
        ("GET", "/api/surveys/no-such", {}, 404, "no_such_survey"),
        ("GET", "/api/surveys/%00", {}, 404, "not_found"),
        ("GET", "/api/surveys/UPPER", {}, 404, "not_found"),
        ("GET", "/api/surveys/x%0A", {}, 404, "not_found"),
        ("GET", "/api/surveys/x/changes?since=-1", {}, 422, "not_valid"),
        ("GET", "/api/surveys/x/changes?since=1e3", {}, 422, "not_valid"),
        ("GET", "/api/surveys/x/changes?limit=0", {}, 422, "not_valid"),
        ("GET", "/api/surveys/x/changes?since=99999999999999999999", {}, 422, "not_valid"),
        ("POST", "/api/surveys/x/changes", {}, 415, "wrong_type"),
        (
            "POST",
            "/api/surveys/x/changes",
            {"data": "a=1", "content_type": "application/x-www-form-urlencoded"},
            415,
            "wrong_type",
        ),
        ("POST", "/api/surveys/x/changes", {"data": "{}", "content_type": "text/plain"}, 415, "wrong_type"),
        ("POST", "/api/surveys/x/changes", {"content_type": "application/json"}, 400, "body_missing"),
        ("POST", "/api/surveys/x/changes", {"data": "{", "content_type": "application/json"}, 400, "not_json"),
        ("POST", "/api/surveys/x/changes", {"data": b"\xff\xfe", "content_type": "application/json"}, 400, "not_json"),
        ("POST", "/api/surveys/x/changes", {"data": '{"a": NaN}', "content_type": "application/json"}, 400, "not_json"),
        (
            "POST",
            "/api/surveys/x/changes",
            {"data": '{"a": 1e400}', "content_type": "application/json"},
            400,
            "not_json",
        ),
        (
            "POST",
            "/api/surveys/x/changes",
            {"data": "[" * 100_000, "content_type": "application/json"},
            400,
            "not_json",
        ),
        ("POST", "/api/surveys/x/changes", {"data": "9" * 5000, "content_type": "application/json"}, 400, "not_json"),
        ("POST", "/api/surveys/x/changes", {"json": []}, 422, "not_valid"),
        ("POST", "/api/surveys/x/changes", {"json": {}}, 422, "not_valid"),
        ("POST", "/api/surveys/x/changes", {"json": {"device": 7, "changes": []}}, 422, "not_a_device"),
        ("POST", "/api/surveys/x/changes", {"json": {"device": "a\u0000", "changes": []}}, 422, "not_a_device"),
        ("POST", "/api/surveys/x/changes", {"json": {"device": "a", "changes": {}}}, 422, "not_a_list"),
        ("POST", "/api/surveys/x/changes", {"json": {"device": "a", "changes": [7]}}, 422, "not_an_id"),
        ("POST", "/api/surveys/x/changes", {"json": {"device": "a", "changes": [{"id": "one"}]}}, 422, "not_an_id"),
        (
            "POST",
            "/api/surveys/x/changes",
            {"json": {"device": "a", "changes": [change(value=[[[[[[[[[[1]]]]]]]]]])]}},
            422,
            "too_deep",
        ),
        ("POST", "/api/surveys/x/changes", {"json": {"device": "a", "changes": [{}] * 1001}}, 422, "too_many"),
        ("PATCH", "/api/firm", {"json": "name"}, 422, "not_valid"),
    ],
)
def test_refusals_have_one_shape(office: Office, method: str, path: str, options: dict, status: int, code: str) -> None:
    assert_refused(office.device(ADA).client.open(path, method=method, **options), status, code)


def test_several_problems_are_all_named(office: Office) -> None:
    answer = office.app.test_client().post("/api/session", json={"mail": "x"})
    assert answer.status_code == 422
    assert {problem["field"] for problem in answer.json["problems"]} == {"email", "password", "mail"}


def test_a_wrong_method_says_which_are_right(office: Office) -> None:
    answer = office.device(ADA).client.put("/api/health", json={})
    assert answer.headers["Allow"] == "GET, HEAD, OPTIONS"


def test_too_much_is_refused_in_words(office: Office) -> None:
    answer = office.device(ADA).client.post(
        f"/api/surveys/{office.survey}/changes", data=b" " * 20_000_002, content_type="application/json"
    )
    assert_refused(answer, 413, "too_large")


def test_a_fault_of_ours_tells_nothing_of_itself(
    office: Office, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def fail(**_: object) -> None:
        raise RuntimeError("the secret inside")

    monkeypatch.setattr(push, "push", fail)
    answer = office.device(ADA).send(change())
    assert_refused(answer, 500, "our_fault")
    assert "secret" not in answer.get_data(as_text=True)
    assert "the secret inside" in caplog.text


def test_a_failed_push_leaves_nothing_behind(office: Office, monkeypatch: pytest.MonkeyPatch) -> None:
    ada = office.device(ADA)
    ada.push(change())
    with monkeypatch.context() as patched:
        patched.setattr(push._Intake, "_settle_refused", lambda self: 1 / 0)
        assert ada.send(change(field="width_m", value=3)).status_code == 500
    assert (ada.view()["revision"], len(ada.pull())) == (1, 1)
    assert ada.push(change(field="width_m", value=3))["revision"] == 2
