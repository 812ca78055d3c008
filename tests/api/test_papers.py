"""What is worked out of a survey and what leaves the office: assessment, quote, document, report versions, emails."""

from __future__ import annotations

import copy
import dataclasses
import hashlib
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select, update
from sqlalchemy.orm import undefer

from tests.support.cast import ADA, BEN, CORA, Device, Office, change
from tests.support.reasons import WRITTEN, written
from tests.support.together import together
from wattwalk import __version__
from wattwalk.answer import as_text
from wattwalk.database import reading, writing
from wattwalk.engine import ENGINE_VERSION, assess, to_plain
from wattwalk.engine.ranges import work_out_ranges
from wattwalk.models import Email, Report, ReportJob
from wattwalk.office import papers, report_jobs, versions
from wattwalk.office.frozen import RenderRequest, thaw
from wattwalk.office.outbox import send_waiting
from wattwalk.office.paper_names import FILE, PAGE, QUOTATION, SHEETS
from wattwalk.office.render import RenderTimeoutError
from wattwalk.office.report_inputs import ReportError
from wattwalk.survey.building import Room
from wattwalk.survey.document import read_document
from wattwalk.sync.documents import import_document

HOUSE: dict[str, Any] = {
    "survey": [{"id": "household", "household_name": "The Nettlebeds", "outside_design_temperature_c": -3}],
    "construction": [{"id": "wall", "name": "Wall", "element": "wall", "known_by": "declared", "u_value_w_m2k": 0.5}],
    "room": [
        {"id": "kitchen", "name": "Kitchen", "use": "kitchen", "length_m": 4, "width_m": 3, "height_m": 2.4},
        {"id": "larder"},
    ],
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

        import_document(
            read_document(document),
            firm_id=accounts.find_or_add_firm(ADA.firm).id,
            user_id=None,
            photos=office.settings.photos,
        )
    return device


class Desk:
    """Stands in for the setting of the PDF, which has tests of its own, and makes at a word what waits."""

    def __init__(self, office: Office) -> None:
        self.office = office
        self.given: list[RenderRequest] = []
        self.failure: Exception | None = None
        self.ink = b""

    def render(self, request: RenderRequest, **_: Any) -> dict[str, bytes]:
        self.given.append(request)
        if self.failure is not None:
            raise self.failure
        tree = b"%PDF-1.7\n1 0 obj\n<</Type /Pages /Kids [2 0 R 3 0 R] /Count 2>>\nendobj\n"
        quotation = tree + self.ink + str(request.number).encode()
        return {QUOTATION: quotation, FILE: quotation + b"file", SHEETS: quotation + b"sheets", PAGE: b"<p>page</p>"}

    def make(self) -> list[str]:
        """Make what waits and return the state of each job."""
        with self.office.app.app_context():
            return [state for _job, state in report_jobs.make_waiting(self.office.settings)]

    def version(self, device: Device) -> dict[str, Any]:
        """Ask for a version, make it, and return its line in the list."""
        answer = device.client.post(f"{device.path}/reports", json=written(device))
        assert answer.status_code == 202, answer.get_data(as_text=True)
        assert self.make() == ["ready"]
        return device.client.get(f"{device.path}/reports").json["reports"][0]

    def path(self, device: Device, number: int) -> Path:
        """Return where a version's file lies."""
        with self.office.app.app_context(), reading() as session:
            report = session.scalars(
                select(Report).where(Report.survey_id == device.survey, Report.number == number)
            ).one()
            return papers.report_path(self.office.settings, report)


@pytest.fixture
def desk(office: Office, monkeypatch: pytest.MonkeyPatch) -> Iterator[Desk]:
    """A desk at which nothing waits, before the test and after it."""
    made = Desk(office)
    monkeypatch.setattr(report_jobs, "render_in_subprocess", made.render)
    yield made
    with office.app.app_context(), writing() as session:
        session.execute(update(ReportJob).values(state="failed", problem="report_not_made"))


def test_the_assessment_is_the_engines(office: Office, ada: Device) -> None:
    answer = ada.client.get(f"{ada.path}/assessment")
    assert answer.status_code == 200, answer.get_data(as_text=True)
    survey = read_document(ada.client.get(f"{ada.path}/document").json)
    assessed = assess(survey)
    assert answer.json["assessment"] == to_plain(assessed)
    assert answer.json["ranges"] == json.loads(as_text(dataclasses.asdict(work_out_ranges(survey, assessed))))
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
    ada.push(
        change("wall-1", "room", "a-room-still-on-the-phone", kind="surface"),
        change("wall-1", "construction", "nowhere", kind="surface"),
    )
    assert ada.client.get(f"{ada.path}/assessment").status_code == 200


def test_report_versions_are_numbered_and_stay(office: Office, ada: Device, desk: Desk) -> None:
    asked = ada.client.post(f"{ada.path}/reports", json=written(ada))
    assert asked.status_code == 202, asked.get_data(as_text=True)
    revision = ada.view()["revision"]
    assert (
        asked.json["state"],
        asked.json["number"],
        asked.json["revision"],
        asked.json["before"],
        asked.json["again"],
    ) == ("waiting", 1, revision, 0, False)
    assert ada.client.get(asked.headers["Location"]).json == asked.json
    # Nobody has waited for it: there is nothing to see but the job.
    assert ada.client.get(f"{ada.path}/reports").json == {"reports": [], "job": asked.json}
    assert desk.make() == ["ready"]
    ready = ada.client.get(asked.headers["Location"]).json
    assert (ready["state"], ready["number"], ready["problem"]) == ("ready", 1, None)
    ada.push(change("kitchen", "name", "Big kitchen", seen=revision))
    second = desk.version(ada)
    assert (second["number"], second["pages"], second["revision"], second["paper"]) == (2, 2, revision + 1, "whole")
    assert [request.number for request in desk.given] == [1, 2]
    assert [report["number"] for report in ada.client.get(f"{ada.path}/reports").json["reports"]] == [2, 1]
    assert ada.listed()["latest_report"] == 2
    got = ada.client.get(f"{ada.path}/reports/1.pdf", buffered=True)
    assert (got.content_type, got.headers["Cache-Control"], got.data[-1:]) == ("application/pdf", "no-store", b"1")
    assert ada.client.get(f"{ada.path}/reports/3.pdf").json["code"] == "no_such_report"
    assert ada.client.get(f"{ada.path}/reports/99999999999999999999.pdf").status_code == 404
    assert ada.client.get(f"{ada.path}/report-jobs/no-such-job").json["code"] == "no_such_job"


def test_another_firm_sees_and_moves_nothing(office: Office, ada: Device, desk: Desk) -> None:
    desk.version(ada)
    job = ada.client.get(f"{ada.path}/reports").json["job"]["id"]
    words = {"to": "nettlebed@house.example", "subject": "Your survey", "message": "Dear both,\n\nhere it is."}
    sent = ada.client.post(f"{ada.path}/reports/1/emails", json=words)
    assert sent.status_code == 202
    cora = office.device(CORA)
    for path in ("/reports", "/reports/1.pdf", f"/report-jobs/{job}", "/emails"):
        answer = cora.client.get(f"{ada.path}{path}")
        assert (answer.status_code, answer.json["code"]) == (404, "no_such_survey"), path
        assert words["to"] not in answer.get_data(as_text=True)
    for path, given in (("/reports", {}), ("/reports/1/again", {}), ("/reports/1/emails", words)):
        assert cora.client.post(f"{ada.path}{path}", json=given).json["code"] == "no_such_survey", path
    assert cora.client.post(f"/api/emails/{sent.json['id']}/retry", json={}).json["code"] == "no_such_email"
    # What another survey of one's own has asked for is not this one's either.
    office.take_up_survey()
    other = office.device(ADA)
    other.push(change())
    assert other.client.get(f"{other.path}/report-jobs/{job}").json["code"] == "no_such_job"
    assert desk.make() == []
    with office.app.app_context(), writing() as session:
        session.execute(update(Email).values(state="sent"))


def test_a_firm_that_asks_for_the_checks_has_them_on_its_reports(ada: Device, desk: Desk) -> None:
    desk.version(ada)
    assert ada.client.patch("/api/firm", json={"prints_checks": True}).status_code == 200
    desk.version(ada)
    assert ada.client.patch("/api/firm", json={"prints_checks": False}).status_code == 200
    before, after = (thaw(request) for request in desk.given)
    assert before.firm["name"] == ADA.firm
    assert before.checks == ()
    assert len(after.checks) == 3
    assert sum(tried for _, tried, _ in after.checks) > 700
    assert sum(every for _subject, every, _met in after.checks) >= 80


def test_a_version_is_made_from_what_stood_when_it_was_asked_for(office: Office, ada: Device, desk: Desk) -> None:
    asked = ada.client.post(f"{ada.path}/reports", json=written(ada)).json
    ada.push(change("kitchen", "length_m", 9.5, seen=asked["revision"]))
    assert ada.client.patch("/api/firm", json={"telephone": "01632 960111"}).status_code == 200
    assert desk.make() == ["ready"]
    inputs = thaw(desk.given[0])
    assert inputs.survey.find(Room, "kitchen").length_m == 4
    assert inputs.firm["telephone"] == ""
    with office.app.app_context(), reading() as session:
        report = session.scalars(
            select(Report).where(Report.survey_id == ada.survey).options(undefer(Report.inputs_json))
        ).one()
        job = session.scalars(
            select(ReportJob).where(ReportJob.id == asked["id"]).options(undefer(ReportJob.inputs_json))
        ).one()
    assert report.inputs_json == desk.given[0].inputs_json
    assert json.loads(report.inputs_json)["revision"] == report.revision == asked["revision"]
    # It is kept once, where it belongs.
    assert job.inputs_json is None
    assert (report.app_version, report.engine_version) == (__version__, ENGINE_VERSION)
    assert report.sha256 == hashlib.sha256(desk.path(ada, 1).read_bytes()).hexdigest()
    listed = ada.client.get(f"{ada.path}/reports").json["reports"][0]
    assert (listed["sha256"], listed["app_version"], listed["engine_version"]) == (
        report.sha256,
        __version__,
        ENGINE_VERSION,
    )
    ada.client.patch("/api/firm", json={"telephone": ""})


def test_the_same_asked_twice_is_one_job_and_another_one_waits_for_it(ada: Device, desk: Desk) -> None:
    first = ada.client.post(f"{ada.path}/reports", json=written(ada))
    again = ada.client.post(f"{ada.path}/reports", json=written(ada))
    assert (again.status_code, again.json["id"]) == (202, first.json["id"])
    ada.push(change("kitchen", "length_m", 9.5, seen=first.json["revision"]))
    other = ada.client.post(f"{ada.path}/reports", json=written(ada))
    assert (other.status_code, other.json["code"]) == (409, "report_under_way")
    assert (
        other.json["message"]
        == f"Version 1 is being made already, from change {first.json['revision']}. Ask for the next one when it is there."
    )
    assert desk.make() == ["ready"]
    assert ada.client.post(f"{ada.path}/reports", json=written(ada)).json["number"] == 2
    assert desk.make() == ["ready"]
    assert [report["number"] for report in ada.client.get(f"{ada.path}/reports").json["reports"]] == [2, 1]


def test_a_red_point_without_a_reason_gives_no_version_whoever_asks(ada: Device, desk: Desk) -> None:
    found = ada.client.get(f"{ada.path}/version-points").json
    wanted = [point for point in found["points"] if point["weight"] == "red"]
    assert wanted
    asked = ada.client.post(f"{ada.path}/reports", json={})
    assert (asked.status_code, asked.json["code"]) == (409, "reason_wanted")
    assert [problem["message"] for problem in asked.json.get("problems", [asked.json])] == [
        point["words"] for point in wanted
    ]
    # One that is empty, blank, or for something else is none; nor is one for all but one of them.
    every = written(ada)["reasons"]
    for reasons in (
        [{**reason, "reason": " \u200b"} for reason in every],
        [{**reason, "about": f"{reason['about']}x"} for reason in every],
        every[1:],
    ):
        answer = ada.client.post(f"{ada.path}/reports", json={"reasons": reasons})
        assert (answer.status_code, answer.json["code"]) in {(409, "reason_wanted"), (422, "not_valid")}, answer.json
    for wrong in (
        {"reasons": "yes"},
        {"reasons": [{"reason": "Seen."}]},
        {"why": []},
        {"reasons": [{**every[0], "weight": "amber"}]},
    ):
        assert ada.client.post(f"{ada.path}/reports", json=wrong).status_code == 422
    assert ada.client.get(f"{ada.path}/reports").json == {"reports": [], "job": None}
    assert desk.make() == []


def test_the_reasons_are_kept_with_the_version_and_with_who_wrote_them(ada: Device, desk: Desk) -> None:
    points = [
        point for point in ada.client.get(f"{ada.path}/version-points").json["points"] if point["weight"] == "red"
    ]
    made = desk.version(ada)
    assert [(kept["code"], kept["record"], kept["about"]) for kept in made["reasons"]] == [
        (point["code"], point["record"], point["about"]) for point in points
    ]
    assert {kept["reason"] for kept in made["reasons"]} == {WRITTEN}
    assert {kept["by"] for kept in made["reasons"]} == {ADA.name}
    assert all(kept["words"] and kept["at"].endswith("Z") for kept in made["reasons"])


def test_nine_ask_for_one_survey_at_once_and_get_one_version(office: Office, ada: Device, desk: Desk) -> None:
    devices = [office.device(ADA) for _ in range(9)]
    answers: list[Any] = []
    reasons = written(ada)
    together(
        lambda _place, device: answers.append(device.client.post(f"{ada.path}/reports", json=reasons)),
        devices,
    )
    assert [answer.status_code for answer in answers] == [202] * 9
    assert len({answer.json["id"] for answer in answers}) == 1
    assert desk.make() == ["ready"]
    assert len(ada.client.get(f"{ada.path}/reports").json["reports"]) == 1


def test_a_full_queue_says_busy_and_takes_more_later(
    office: Office, ada: Device, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(versions, "MOST_OF_A_FIRM", 3)
    devices = [ada]
    for _ in range(5):
        office.take_up_survey()
        devices.append(office.device(ADA))
        devices[-1].push(change())
    answers: list[Any] = []
    together(
        lambda _place, device: answers.append(device.client.post(f"{device.path}/reports", json=written(device))),
        devices,
    )
    assert sorted(answer.status_code for answer in answers) == [202, 202, 202, 429, 429, 429]
    refused = [answer for answer in answers if answer.status_code == 429]
    assert {answer.json["code"] for answer in refused} == {"too_many_reports"}
    assert all(int(answer.headers["Retry-After"]) > 0 for answer in refused)
    assert sorted(answer.json["before"] for answer in answers if answer.status_code == 202)[-1] <= 2
    # Another firm is not kept waiting by it, until the house is full.
    office.take_up_survey()
    cora = office.device(CORA)
    cora.push(change())
    assert cora.client.post(f"{cora.path}/reports", json=written(cora)).json["before"] == 3
    monkeypatch.setattr(versions, "MOST_IN_ALL", 4)
    office.take_up_survey()
    other = office.device(CORA)
    other.push(change())
    assert other.client.post(f"{other.path}/reports", json=written(other)).status_code == 429
    assert desk.make() == ["ready"] * 4
    assert other.client.post(f"{other.path}/reports", json=written(other)).status_code == 202
    assert desk.make() == ["ready"]


def test_a_contested_survey_gives_no_report(office: Office, ada: Device, desk: Desk) -> None:
    office.device(BEN).push(change("kitchen", "name", "Scullery"))
    answer = ada.client.post(f"{ada.path}/reports", json=written(ada))
    assert (answer.status_code, answer.json["code"]) == (409, "contested")
    # It says by what, and names the field and its record for whoever goes there.
    assert answer.json["message"].startswith("Scullery: Name was answered twice")
    assert (answer.json["field"], answer.json["record"]) == ("name", "room/kitchen")
    assert desk.make() == []


@pytest.mark.parametrize(
    ("failure", "code"),
    [
        (ReportError("a font is missing in /a/place"), "report_not_made"),
        (OSError("no room in /a/place"), "report_not_made"),
        (RenderTimeoutError("/a/place"), "report_too_slow"),
    ],
)
def test_a_report_that_cannot_be_made_says_so(ada: Device, desk: Desk, failure: Exception, code: str) -> None:
    desk.failure = failure
    asked = ada.client.post(f"{ada.path}/reports", json=written(ada))
    assert desk.make() == ["failed"]
    job = ada.client.get(asked.headers["Location"]).json
    assert (job["state"], job["problem"]["code"]) == ("failed", code)
    assert job["problem"]["message"].startswith("The report ")
    assert "/a/place" not in job["problem"]["message"]
    assert ada.client.get(f"{ada.path}/reports").json == {"reports": [], "job": job}
    # Its number was never given: the next one takes it.
    desk.failure = None
    assert desk.version(ada)["number"] == 1


def test_a_paper_that_is_missing_or_damaged_says_so_and_is_put_back(ada: Device, desk: Desk) -> None:
    desk.version(ada)
    path = desk.path(ada, 1)
    made = path.read_bytes()
    assert ada.client.post(f"{ada.path}/reports/1/again", json={}).json["code"] == "paper_is_there"
    words = {"to": "nettlebed@house.example", "subject": "Your survey", "message": "Here it is."}

    def spoil(content: bytes | None) -> None:
        path.unlink()
        if content is not None:
            path.write_bytes(content)

    for content, state in ((None, "missing"), (bytes(len(made)), "damaged"), (made[:-1], "damaged"), (b"", "damaged")):
        spoil(content)
        assert ada.client.get(f"{ada.path}/reports").json["reports"][0]["paper"] == state
        got = ada.client.get(f"{ada.path}/reports/1.pdf")
        assert (got.status_code, got.json["code"]) == (410, f"paper_{state}")
        assert got.headers["Cache-Control"] == "no-store"
        refused = ada.client.post(f"{ada.path}/reports/1/emails", json=words)
        assert (refused.status_code, refused.json["code"]) == (410, f"paper_{state}")
        job = ada.client.post(f"{ada.path}/reports/1/again", json={})
        assert (job.status_code, job.json["again"], job.json["number"]) == (202, True, 1)
        assert desk.make() == ["ready"]
        assert path.read_bytes() == made
        assert ada.client.get(f"{ada.path}/reports").json["reports"][0]["paper"] == "whole"
    assert ada.client.get(f"{ada.path}/emails").json == {"emails": []}
    assert ada.client.get(f"{ada.path}/reports/1.pdf", buffered=True).data == made
    # Made again, it is the same version: nothing was numbered anew.
    assert [report["number"] for report in ada.client.get(f"{ada.path}/reports").json["reports"]] == [1]


def test_what_comes_out_otherwise_is_not_put_back(ada: Device, desk: Desk) -> None:
    desk.version(ada)
    path = desk.path(ada, 1)
    path.unlink()
    desk.ink = b"another ink "
    ada.client.post(f"{ada.path}/reports/1/again", json={})
    assert desk.make() == ["failed"]
    job = ada.client.get(f"{ada.path}/reports").json["job"]
    assert (job["again"], job["problem"]["code"]) == (True, "cannot_be_made_again")
    assert not path.exists()
    assert ada.client.get(f"{ada.path}/reports").json["reports"][0]["paper"] == "missing"


def test_a_version_of_before_is_known_by_its_size_only_and_never_made_again(
    office: Office, ada: Device, desk: Desk
) -> None:
    desk.version(ada)
    with office.app.app_context(), writing() as session:
        session.execute(
            update(Report)
            .where(Report.survey_id == ada.survey)
            .values(sha256=None, inputs_json=None, app_version=None, engine_version=None)
        )
    path = desk.path(ada, 1)
    listed = ada.client.get(f"{ada.path}/reports").json["reports"][0]
    assert (listed["paper"], listed["sha256"], listed["app_version"]) == ("not_known", None, None)
    assert ada.client.get(f"{ada.path}/reports/1.pdf", buffered=True).data == path.read_bytes()
    path.write_bytes(path.read_bytes()[:-1])
    assert ada.client.get(f"{ada.path}/reports").json["reports"][0]["paper"] == "damaged"
    path.unlink()
    answer = ada.client.post(f"{ada.path}/reports/1/again", json={})
    assert (answer.status_code, answer.json["code"]) == (409, "cannot_be_made_again")
    assert ada.client.post(f"{ada.path}/reports/2/again", json={}).json["code"] == "no_such_report"
    assert desk.make() == []


def test_every_paper_is_verified(office: Office, ada: Device, desk: Desk) -> None:
    for length in (5, 6, 7):
        desk.version(ada)
        ada.push(change("kitchen", "length_m", length, seen=ada.view()["revision"]))
    with office.app.app_context(), writing() as session:
        session.execute(
            update(Report)
            .where(Report.survey_id == ada.survey, Report.number == 1)
            .values(sha256=None, inputs_json=None)
        )

    def verified() -> tuple[dict[str, int], list[str], str]:
        with office.app.app_context():
            found = papers.verify_papers(office.settings)
        return found.counts, found.faults.get(ada.survey, []), found.summary()

    before, faults, _ = verified()
    assert faults == []
    desk.path(ada, 1).unlink()
    path = desk.path(ada, 3)
    path.write_bytes(bytes(path.stat().st_size))
    after, faults, summary = verified()
    assert {state: after[state] - before[state] for state in after} == {
        "whole": -1,
        "not_known": -1,
        "missing": 1,
        "damaged": 1,
    }
    assert [fault.split(" (")[0] for fault in faults] == ["the file of version 1", "the file of version 3"]
    assert faults[0].endswith("is missing; it cannot be made again: what it was made from was not kept")
    assert faults[1].endswith("is damaged; whether it can be made again shows when it is tried on the Reports page")
    assert summary.startswith(
        f"{sum(after.values())} papers read, {after['missing']} missing, {after['damaged']} damaged"
    )


def test_an_email_waits_is_held_and_can_be_tried_again(office: Office, ada: Device, desk: Desk) -> None:
    desk.version(ada)
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
def test_an_email_that_cannot_be_sent_is_refused(ada: Device, desk: Desk, given: dict[str, str], field: str) -> None:
    desk.version(ada)
    words = {"to": "nettlebed@house.example", "subject": "Your survey", "message": "Here it is.", **given}
    answer = ada.client.post(f"{ada.path}/reports/1/emails", json=words)
    assert (answer.status_code, answer.json["field"]) == (422, field)
    assert ada.client.get(f"{ada.path}/emails").json == {"emails": []}
