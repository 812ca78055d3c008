"""A fixed cast: two firms, three people, their devices, and an office that takes their changes without a network."""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from flask import Flask
from flask.testing import FlaskClient
from PIL import Image
from sqlalchemy import select
from uuid_utils import uuid7
from werkzeug.test import TestResponse

from wattwalk import accounts
from wattwalk.api.access import PLAIN_COOKIE
from wattwalk.app import create_app
from wattwalk.config import Settings
from wattwalk.database import db, migrate, now, reading, writing
from wattwalk.models import Firm, User
from wattwalk.survey.holders import OFFICE
from wattwalk.survey.model import survey_model

PASSWORD = "a password of the cast"
#: The model that the cast's devices know, which a pull names.
MODEL = survey_model()["version"]


@dataclass(frozen=True)
class Person:
    """Somebody who signs in."""

    name: str
    email: str
    firm: str


ADA = Person("Ada", "ada@teasel.example", "Teasel Heating")
BEN = Person("Ben", "ben@teasel.example", "Teasel Heating")
CORA = Person("Cora", "cora@burdock.example", "Burdock Heating")
CAST = (ADA, BEN, CORA)


@cache
def _password_hash() -> str:
    # Hashing is slow on purpose; once is enough for a test run.
    return accounts._hasher().hash(PASSWORD)


class Device:
    """One person's phone or laptop, signed in, that sends and asks by the API about one survey."""

    def __init__(self, client: FlaskClient, name: str, survey: str) -> None:
        self.client = client
        self.name = name
        self.survey = survey
        self.path = f"/api/surveys/{survey}"

    def push(self, *changes: dict[str, Any]) -> dict[str, Any]:
        """Send changes and return the answer's JSON."""
        response = self.send(*changes)
        assert response.status_code == 200, response.get_data(as_text=True)
        return response.json

    def send(self, *changes: dict[str, Any]) -> TestResponse:
        """Send changes and return the answer."""
        return self.client.post(
            f"{self.path}/changes", json={"device": self.name, "app": "0.1.0", "model": MODEL, "changes": list(changes)}
        )

    def pull(self, since: int = 0) -> list[dict[str, Any]]:
        """Return the log after a revision."""
        return self.client.get(f"{self.path}/changes?since={since}&model={MODEL}").json["changes"]

    def view(self) -> dict[str, Any]:
        """Return the survey as it stands."""
        response = self.client.get(self.path)
        assert response.status_code == 200, response.get_data(as_text=True)
        return response.json

    def book_push(self, *changes: dict[str, Any]) -> dict[str, Any]:
        """Send changes of the firm's book and return the answer's JSON."""
        sent = {"device": self.name, "app": "0.1.0", "model": MODEL, "changes": list(changes)}
        response = self.client.post("/api/book/changes", json=sent)
        assert response.status_code == 200, response.get_data(as_text=True)
        return response.json

    def book_pull(self, since: int = 0, limit: int = 2000) -> dict[str, Any]:
        """Return a page of the log of the firm's book, as far as this person may see it."""
        return self.client.get(f"/api/book/changes?since={since}&limit={limit}&model={MODEL}").json

    def book(self) -> dict[str, Any]:
        """Return the firm's book as it stands, as far as this person may see it."""
        return self.client.get("/api/book").json

    def listed(self) -> dict[str, Any] | None:
        """Return the survey's line in the list, or None when it is not listed."""
        surveys = self.client.get("/api/surveys").json["surveys"]
        return next((line for line in surveys if line["id"] == self.survey), None)


class Office:
    """The program with the cast in its database; each test has a survey of its own in ``survey``."""

    def __init__(self, app: Flask, settings: Settings) -> None:
        self.app = app
        self.settings = settings
        self.survey = ""
        self._surveys = 0

    def take_up_survey(self) -> None:
        """Turn to a survey that nobody has sent anything of."""
        self._surveys += 1
        self.survey = f"house-{self._surveys}"

    def device(self, person: Person, name: str = "") -> Device:
        """Return a device on which this person is signed in."""
        with self.app.app_context():
            with reading() as session:
                user_id = session.scalars(select(User.id).where(User.email == person.email)).one()
            token = accounts.start_session(user_id)
        client = self.app.test_client()
        client.set_cookie(PLAIN_COOKIE, token)
        return Device(client, name or f"{person.name}'s phone", self.survey)

    @contextmanager
    def as_role(self, person: Person, role: str) -> Iterator[None]:
        """Let a person be something else to their firm for a while."""
        with self.app.app_context():
            accounts.give_role(person.email, role)
        try:
            yield
        finally:
            with self.app.app_context():
                accounts.give_role(person.email, OFFICE)

    def close(self) -> None:
        """Let go of the database."""
        with self.app.app_context():
            db.session.remove()
            db.engine.dispose()


@contextmanager
def open_office(database_url: str, home: Path) -> Iterator[Office]:
    """Make the tables, add the cast, and lend the office out."""
    settings = Settings(home=home, database_url=database_url)
    migrate(database_url)
    app = create_app(settings)
    with app.app_context():
        for person in CAST:
            add_person(accounts.find_or_add_firm(person.firm), person)
    office = Office(app, settings)
    office.take_up_survey()
    try:
        yield office
    finally:
        office.close()


def add_person(firm: Firm, person: Person) -> None:
    """Add somebody of the cast without hashing the password anew."""
    with writing() as session:
        session.add(
            User(
                id=str(uuid7()),
                firm_id=firm.id,
                email=person.email,
                name=person.name,
                password_hash=_password_hash(),
                made_at=now(),
            )
        )


def change(
    record: str = "kitchen",
    field: str = "length_m",
    value: Any = 4.2,
    *,
    kind: str = "room",
    seen: int = 0,
    **more: Any,
) -> dict[str, Any]:
    """Return a change as a phone would send it, under an id of its own."""
    return {
        "id": str(uuid7()),
        "kind": kind,
        "record": record,
        "field": field,
        "value": value,
        "seen": seen,
        "made_at": "2026-03-31T14:05:00Z",
        **more,
    }


def picture(width: int = 64, height: int = 48, format: str = "JPEG", **options: Any) -> bytes:
    """Return the bytes of a small picture that is not all of one colour."""
    image = Image.linear_gradient("L").resize((width, height)).convert("RGB")
    written = io.BytesIO()
    image.save(written, format, **options)
    return written.getvalue()
