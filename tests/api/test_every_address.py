"""Every address of the API, asked by a fixed cast: one's own firm, another firm, nobody, and a device that was signed out since.

``TABLE`` has a line for each address and method. An address without a line fails, and so does one that tells another firm, or somebody who
is not signed in, anything of a firm's own, or lets them change anything of it.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

import pytest
from sqlalchemy import select
from werkzeug.test import TestResponse

from tests.support.cast import ADA, BEN, CORA, MODEL, Device, Office, Person, change, picture
from tests.support.reasons import written
from wattwalk.api.access import PUBLIC
from wattwalk.database import db, reading
from wattwalk.models import Firm
from wattwalk.office import report_jobs
from wattwalk.office.outbox import send_waiting


@dataclass(frozen=True)
class Line:
    """What an address answers: the status for one's own firm and for another firm; without a sign-in it is 401 unless ``out`` says otherwise.

    ``json`` is the body, worked out of the world when it is a function. ``only`` is for what the address needs in another way than the rest,
    by the name of the part of the address. ``makes`` says that the address may make what it does not find.
    """

    own: int
    other: int
    out: int = 401
    json: Any = None
    query: dict[str, str] | None = None
    data: Callable[[World], bytes] | None = None
    only: Callable[[World], dict[str, Any]] = lambda world: {}
    makes: bool = False


@dataclass
class World:
    """What one firm has in the office, and the device that it asks from."""

    device: Device
    survey: str
    photo: bytes
    new_photo: bytes
    report: int
    email: str
    job: str
    setting: str

    def parts(self) -> dict[str, Any]:
        """Return what stands for each part of an address."""
        return {
            "survey_id": self.survey,
            "sha256": sha256(self.photo),
            "number": self.report,
            "email_id": self.email,
            "job_id": self.job,
            "change_id": self.setting,
        }


def sha256(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


SIGN_IN = "POST /api/session"
_SURVEY = "/api/surveys/<id:survey_id>"
_REPORT = f"{_SURVEY}/reports/<int(min=1, max=1000000):number>"
#: What stands for each part of an address where it does not matter whether there is such a thing.
ANY = {
    "survey_id": "a-survey",
    "sha256": "a" * 64,
    "number": 1,
    "email_id": "an-email",
    "job_id": "a-job",
    "change_id": "018f0000-0000-7000-8000-000000000000",
    "name": "file",
    "kind": "article",
}
_WORDS = {"to": "nettlebed@house.example", "subject": "Your survey", "message": "Dear both, here it is."}
_UNITS = {"name": "list.csv", "text": "id\nx\n"}

TABLE = {
    # Open to everybody, and the same for everybody.
    "GET /api/health": Line(200, 200, out=200),
    "GET /api/model": Line(200, 200, out=200),
    "GET /api/openapi.json": Line(200, 200, out=200),
    SIGN_IN: Line(401, 401, out=401, json={"email": ADA.email, "password": "not the password"}),
    # Each gets its own.
    "GET /api/session": Line(200, 200),
    "DELETE /api/session": Line(200, 200),
    # It empties the cache of whoever asks, and tells nothing.
    "DELETE /api/cache": Line(204, 204, out=204),
    "GET /api/firm": Line(200, 200),
    "PATCH /api/firm": Line(200, 200, json={"telephone": "01632 960999"}),
    "GET /api/firm/history": Line(200, 200),
    "POST /api/firm/history/<uuid:change_id>/back": Line(200, 404),
    "GET /api/surveys": Line(200, 200),
    "GET /api/survey-states": Line(200, 200),
    "GET /api/book": Line(200, 200),
    "GET /api/book/changes": Line(200, 200, query={"model": MODEL}),
    "POST /api/book/changes": Line(
        200,
        200,
        json=lambda world: {"device": "a phone", "changes": [change("an-article", "code", "A-1", kind="article")]},
    ),
    "GET /api/book/history": Line(200, 200),
    "POST /api/book/lists": Line(422, 422, json={"kind": "unit", **_UNITS}),
    "GET /api/book/lists/<any(article, preset_valve):kind>.csv": Line(
        200, 200, only=lambda _world: {"kind": "preset_valve"}
    ),
    "GET /api/book/lists/<any(article, preset_valve):kind>.xlsx": Line(
        200, 200, only=lambda _world: {"kind": "preset_valve"}
    ),
    # Belongs to one firm.
    f"GET {_SURVEY}": Line(200, 404),
    f"GET {_SURVEY}/changes": Line(200, 404, query={"model": MODEL}),
    f"POST {_SURVEY}/changes": Line(
        200,
        404,
        json=lambda world: {"device": "a phone", "changes": [change(field="name", value="Changed")]},
        makes=True,
    ),
    f"GET {_SURVEY}/assessment": Line(200, 404),
    f"GET {_SURVEY}/document": Line(200, 404),
    f"GET {_SURVEY}/quote": Line(200, 404),
    f"GET {_SURVEY}/margin": Line(200, 404),
    f"GET {_SURVEY}/options": Line(200, 404),
    f"GET {_SURVEY}/history": Line(200, 404),
    f"PUT {_SURVEY}/photos/<sha256:sha256>": Line(
        201, 404, data=lambda world: world.new_photo, only=lambda world: {"sha256": sha256(world.new_photo)}
    ),
    f"GET {_SURVEY}/photos/<sha256:sha256>": Line(200, 404),
    f"GET {_SURVEY}/photos/<sha256:sha256>/preview": Line(200, 404),
    f"GET {_SURVEY}/reports": Line(200, 404),
    f"GET {_SURVEY}/version-points": Line(200, 404),
    f"POST {_SURVEY}/reports": Line(202, 404, json=lambda world: written(world.device)),
    f"GET {_SURVEY}/reports/changes": Line(200, 404),
    f"GET {_SURVEY}/report-jobs/<id:job_id>": Line(200, 404),
    f"POST {_REPORT}/again": Line(409, 404, json={}),
    f"GET {_REPORT}.pdf": Line(200, 404),
    f"GET {_REPORT}/<any(file, sheets, page):name>": Line(200, 404, only=lambda _world: {"name": "file"}),
    f"POST {_REPORT}/emails": Line(202, 404, json=_WORDS),
    f"GET {_SURVEY}/emails": Line(200, 404),
    "POST /api/emails/<id:email_id>/retry": Line(202, 404),
}


@pytest.fixture(autouse=True)
def _no_setting(monkeypatch: pytest.MonkeyPatch) -> None:
    """Stand in for the setting of the PDF, which has tests of its own."""
    tree = b"%PDF-1.7\n1 0 obj\n<</Type /Pages /Kids [2 0 R] /Count 1>>\nendobj\n"
    monkeypatch.setattr(
        report_jobs,
        "render_in_subprocess",
        lambda request, **_how: {
            name: tree + b"Report of " + json.loads(request.inputs_json)["firm"]["name"].encode()
            for name in ("quotation", "file", "sheets", "page")
        },
    )


def make_world(office: Office, person: Person, seed: int) -> World:
    """Have a firm work: particulars, a survey with rooms and prices, a photo, a report, and an email that was held."""
    office.take_up_survey()
    device = office.device(person)
    word = f"{person.firm.split()[0]} {office.survey}"
    photo, new_photo = picture(64 + seed, 48), picture(64 + seed, 49)
    particulars = {
        "address": f"1 {word} Yard",
        "telephone": ("01632 960001", "01632 960002")[seed - 1],
        "email": f"office@{person.email.split('@')[1]}",
        "terms": f"Terms of {word}",
    }
    assert device.client.patch("/api/firm", json=particulars).status_code == 200
    device.push(
        change("household", "household_name", f"The household of {word}", kind="survey"),
        change(f"room-of-{office.survey}", "name", f"Kitchen of {word}"),
        change(f"price-of-{office.survey}", "what", f"Unit for {word}", kind="price_line"),
        change(f"photo-of-{office.survey}", "sha256", sha256(photo), kind="photo"),
    )
    article = change(f"article-of-{office.survey}", "words", f"Article of {word}", kind="article")
    told = device.client.post("/api/book/changes", json={"device": device.name, "changes": [article]})
    assert told.json["results"][0]["status"] == "accepted", told.json
    assert (
        device.client.put(f"{device.path}/photos/{sha256(photo)}", data=photo, content_type="image/jpeg").status_code
        == 201
    )
    made = device.client.post(f"{device.path}/reports", json=written(device))
    assert made.status_code == 202, made.get_data(as_text=True)
    with office.app.app_context():
        assert {state for _job, state in report_jobs.make_waiting(office.settings)} == {"ready"}
    sent = device.client.post(
        f"{device.path}/reports/1/emails",
        json={**_WORDS, "to": f"{office.survey}@house.example", "message": f"Dear {word}"},
    )
    assert sent.status_code == 202, sent.get_data(as_text=True)
    with office.app.app_context():
        send_waiting(office.settings, None)
    setting = device.client.get("/api/firm/history").json["changes"][0]["id"]
    return World(device, office.survey, photo, new_photo, 1, sent.json["id"], made.json["id"], setting)


@dataclass
class Cast:
    """Both firms at work, and who asks."""

    office: Office
    own: World
    other: World
    out: Device
    signed_out: Device


@pytest.fixture
def cast(office: Office) -> Cast:
    """Ada's firm and Cora's, nobody, and a phone of Ben's that was signed out but still holds its cookie."""
    own, other = make_world(office, ADA, 1), make_world(office, CORA, 2)
    signed_out, ends = office.device(BEN), office.app.test_client()
    cookie = signed_out.client.get_cookie("wattwalk")
    ends.set_cookie(cookie.key, cookie.value)
    assert ends.delete("/api/session").status_code == 200
    return Cast(office, own, other, Device(office.app.test_client(), "nobody's", own.survey), signed_out)


def ask(
    line: Line, address: str, asker: Device, world: World, method: str | None = None, **instead: Any
) -> TestResponse:
    """Ask for an address with the parts of the world's own, or with others in their place."""
    named, _, rule = address.partition(" ")
    options: dict[str, Any] = {}
    if line.data is not None:
        options = {"data": line.data(world), "content_type": "image/jpeg"}
    elif line.json is not None:
        options = {"json": line.json(world) if callable(line.json) else line.json}
    return asker.client.open(
        path_of(rule, {**world.parts(), **line.only(world), **instead}),
        method=method or named,
        query_string=line.query,
        buffered=True,
        **options,
    )


def path_of(rule: str, parts: dict[str, Any]) -> str:
    """Fill the parts of an address in."""
    while "<" in rule:
        before, _, rest = rule.partition("<")
        inside, _, after = rest.partition(">")
        name = inside.rsplit(":", 1)[-1]
        assert name in parts, f"World.parts() does not say what stands for {name!r}."
        rule = f"{before}{parts[name]}{after}"
    return rule


def rows(office: Office, of: Person, *, or_of_nobody: bool) -> list[tuple[str, dict[str, Any]]]:
    """Return the rows of every table that belong to a person's firm, and if asked those that belong to no firm."""
    with office.app.app_context(), reading() as session:
        owner_of: dict[Any, str] = dict(iter(session.execute(select(Firm.id, Firm.name))))
        tables = [
            (table, [dict(row._mapping) for row in session.execute(select(table))])
            for table in db.metadata.sorted_tables
        ]
    found = []
    for table, lines in tables:
        # Tables come after those that they point to, so whoever owns a survey, a person or a report owns what hangs on it.
        for line in lines:
            owners = {
                owner_of[value]
                for name, value in line.items()
                if isinstance(value, str) and name.endswith("id") and value in owner_of
            }
            owner = of.firm if of.firm in owners else next(iter(owners), None)
            if owner and isinstance(line.get("id"), str) and table.name != "record":
                owner_of[line["id"]] = owner
            if owner == of.firm or (owner is None and or_of_nobody):
                found.append((table.name, line))
    return found


def words_in(value: Any) -> Iterator[str]:
    """Return every text in a value, within JSON too."""
    if isinstance(value, dict):
        for name, inner in value.items():
            yield from words_in(name)
            yield from words_in(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from words_in(inner)
    elif isinstance(value, str):
        yield value


def secrets_of(office: Office, person: Person, world: World, *, but: Person) -> set[bytes]:
    """Return every text of five letters and more that only this firm's rows hold, and its pictures and reports."""

    def texts(of: Person) -> set[str]:
        found: set[str] = set()
        for _table, line in rows(office, of, or_of_nobody=False):
            for name, value in line.items():
                found.update(words_in(json.loads(value) if name.endswith("_json") and value else value))
        return found

    everybodys = texts(but) | set(words_in(office.app.test_client().get("/api/model").json)) | set(_WORDS.values())
    files = [
        world.photo,
        *(
            path.read_bytes()
            for path in office.settings.reports.rglob("*.pdf")
            if person.firm.encode() in path.read_bytes()
        ),
    ]
    return {word.encode() for word in texts(person) - everybodys if len(word) >= 5} | set(files)


def files(office: Office) -> dict[str, bytes]:
    """Return every file of the office but its database."""
    found = (
        path
        for path in office.settings.home.rglob("*")
        if path.is_file() and ".sqlite" not in path.name and path.suffix != ".lock"
    )
    return {str(path.relative_to(office.settings.home)): path.read_bytes() for path in found}


def standing(office: Office, person: Person) -> tuple[list[str], dict[str, bytes]]:
    """Return all that another firm must not be able to change: the firm's rows, those that belong to nobody, and the files.

    When a device was last seen, and who failed to sign in, is no firm's.
    """
    kept = [
        (table, line)
        for table, line in rows(office, person, or_of_nobody=True)
        if table not in {"login_failure", "device_session", "known_device"}
    ]
    return sorted(f"{table} {line}" for table, line in kept), files(office)


def test_every_address_has_a_line(office: Office) -> None:
    rules = [rule for rule in office.app.url_map.iter_rules() if rule.rule.startswith("/api")]
    there = {f"{method} {rule.rule}" for rule in rules for method in rule.methods - {"HEAD", "OPTIONS"}}
    assert there - set(TABLE) == set(), (
        "Give each of these a line in TABLE: what its own firm and another firm are answered."
    )
    assert set(TABLE) - there == set(), "These have a line in TABLE and are no addresses any more."


def test_outside_the_api_there_are_only_pages(office: Office) -> None:
    assert {rule.rule for rule in office.app.url_map.iter_rules() if not rule.rule.startswith("/api")} <= {
        "/",
        "/<page:path>",
    }


def test_the_open_addresses_are_these(office: Office) -> None:
    endpoints = {
        f"{method} {rule.rule}": rule.endpoint for rule in office.app.url_map.iter_rules() for method in rule.methods
    }
    assert {endpoints[address] for address, line in TABLE.items() if line.out < 300 or address == SIGN_IN} == set(
        PUBLIC
    )


@pytest.mark.parametrize(
    "address", [address for address, line in TABLE.items() if line.own < 300 and "openapi" not in address]
)
def test_what_its_own_firm_is_answered_is_described(office: Office, address: str) -> None:
    method, _, rule = address.partition(" ")
    paths = office.app.test_client().get("/api/openapi.json").json["paths"]
    answers = paths[re.sub(r"<(?:[^<>]*:)?(\w+)>", r"{\1}", rule)][method.lower()]["responses"]
    assert str(TABLE[address].own) in answers
    assert TABLE[address].own == 204 or answers[str(TABLE[address].own)]["content"]


def test_what_is_a_firms_own_is_known(cast: Cast) -> None:
    secrets = secrets_of(cast.office, ADA, cast.own, but=CORA)
    device = cast.own.device
    shown = b"".join(
        device.client.get(f"{device.path}{rest}", buffered=True).get_data()
        for rest in ("", f"/changes?model={MODEL}", "/emails", "/reports/1.pdf")
    )
    shown += (
        device.client.get("/api/firm").get_data()
        + device.client.get("/api/session").get_data()
        + device.client.get("/api/surveys").get_data()
    )
    assert {
        ADA.email.encode(),
        ADA.firm.encode(),
        cast.own.email.encode(),
        cast.own.survey.encode(),
        cast.own.photo,
    } <= secrets
    assert len([secret for secret in secrets if secret in shown]) >= 20


@pytest.mark.parametrize("address", TABLE)
def test_an_address_keeps_to_its_firm(cast: Cast, address: str) -> None:
    line, office = TABLE[address], cast.office
    secrets, before = secrets_of(office, ADA, cast.own, but=CORA), standing(office, ADA)
    methods = ["GET", "HEAD"] if address.startswith("GET ") else [None]
    for asker, status in ((cast.out, line.out), (cast.signed_out, line.out), (cast.other.device, line.other)):
        for method in methods:
            answer = ask(line, address, asker, cast.own, method)
            said, asked = (
                answer.get_data() + str(answer.headers).encode(),
                f"{answer.request.path} {line.json}".encode(),
            )
            assert answer.status_code == status, answer.get_data(as_text=True)
            assert [secret for secret in secrets if secret in said and secret not in asked] == [], (
                f"{asker.name} was told of another firm."
            )
            assert standing(office, ADA) == before, f"{asker.name} changed what is another firm's."
            if status == 404 and not line.makes:
                absent = ask(line, address, asker, cast.own, method, survey_id="no-such", email_id="no-such")
                assert (absent.status_code, absent.get_data()) == (404, answer.get_data()), (
                    f"{asker.name} can tell that there is one."
                )
    for method in methods:
        answer = ask(line, address, cast.own.device, cast.own, method)
        assert answer.status_code == line.own, answer.get_data(as_text=True)


@pytest.mark.parametrize("address", TABLE)
def test_asking_for_the_methods_needs_a_sign_in_too(office: Office, address: str) -> None:
    rule = address.partition(" ")[2]
    path = path_of(rule, ANY)
    with_a_sign_in, without = office.device(CORA).client.options(path), office.app.test_client().options(path)
    assert (with_a_sign_in.status_code, with_a_sign_in.get_data()) == (200, b"")
    is_open = any(
        line.out < 300 or opened == SIGN_IN for opened, line in TABLE.items() if opened.partition(" ")[2] == rule
    )
    assert without.status_code == (200 if is_open else 401)
