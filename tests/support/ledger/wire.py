"""Two ways from a phone to the office: over HTTP as in use, and straight to the services behind it, which is many times as quick."""

from __future__ import annotations

import gzip
import json
import logging
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict
from typing import Any, Protocol
from unittest.mock import patch
from weakref import WeakKeyDictionary

from sqlalchemy import select
from sqlalchemy.orm import Session

from tests.support.cast import MODEL, Device, Office, Person
from wattwalk import accounts
from wattwalk.api import surveys as api
from wattwalk.database import reading, writing
from wattwalk.models import User
from wattwalk.survey.errors import SurveyError
from wattwalk.survey.holders import FIRM, SURVEY
from wattwalk.survey.model import shape_of
from wattwalk.sync import photos as kept
from wattwalk.sync import pull as log
from wattwalk.sync import push as intake
from wattwalk.sync import surveys as stored
from wattwalk.sync.book import list_book
from wattwalk.sync.errors import NoSuchSurveyError
from wattwalk.sync.logs import book_of, find_revision
from wattwalk.sync.sight import OF_SURVEY, Sight

#: What the office has to say: the status, and the answer's JSON where there is one.
Answer = tuple[int, Any]


class Trouble(RuntimeError):
    """What goes wrong in the office when a history asks for it."""


@contextmanager
def troubled(*, after_commit: bool) -> Iterator[None]:
    """Let the office fail over a batch: when all of it is written and nothing committed, or when all is committed and nothing said."""
    push = intake.push

    @contextmanager
    def write_and_fail() -> Iterator[Session]:
        with writing() as session:
            yield session
            raise Trouble

    def push_and_fail(**given: Any) -> None:
        push(**given)
        raise Trouble

    failing = (
        patch.object(intake, "push", push_and_fail) if after_commit else patch.object(intake, "writing", write_and_fail)
    )
    logging.disable(logging.CRITICAL)
    try:
        with failing:
            yield
    finally:
        logging.disable(logging.NOTSET)


class Wire(Protocol):
    """What a phone asks of the office; `name` is the device's."""

    name: str
    #: The version of the model that the phone's app knows.
    model: str

    def stands(self) -> tuple[str, int]:
        """Return the epoch and the survey's revision: 0 when the office does not know it."""

    def push(self, changes: list[dict[str, Any]], epoch: str | None) -> Answer:
        """Send a batch and return the answer."""

    def cut(self, changes: list[dict[str, Any]], epoch: str | None, share: int) -> int | None:
        """Send a batch that breaks off after so many hundredths; return the status, if there is one."""

    def stranger(self, changes: list[dict[str, Any]], epoch: str | None) -> int:
        """Send a batch without being signed in; return the status."""

    def photo(self, sha256: str, data: bytes) -> Answer:
        """Send a photo's bytes and return the answer."""

    def page(self, since: int, limit: int) -> dict[str, Any] | None:
        """Return a page of the log, or None when the office does not know the survey or the app is too old for it."""

    def view(self) -> dict[str, Any] | None:
        """Return records, contests and photos as they stand, or None when the office does not know the survey."""


class HttpWire:
    """Requests, packed, to the whole program."""

    def __init__(self, device: Device, sight: Sight = OF_SURVEY) -> None:
        self._device, self.name, self.model = device, device.name, MODEL
        self._path = device.path if sight.holder == SURVEY else "/api/book"

    def _post(self, packed: bytes, client: Any = None) -> Any:
        return (client or self._device.client).post(
            f"{self._path}/changes",
            data=packed,
            headers={"Content-Type": "application/json", "Content-Encoding": "gzip"},
        )

    def _packed(self, changes: list[dict[str, Any]], epoch: str | None) -> bytes:
        return gzip.compress(
            json.dumps(
                {"device": self.name, "app": "0.1.0", "model": self.model, "epoch": epoch, "changes": changes}
            ).encode(),
            1,
        )

    def stands(self) -> tuple[str, int]:
        """Return what the office says of itself and of the end of the log: its list of hundreds of surveys would take longer than all the rest."""
        end = self._device.client.get(f"{self._path}/changes?since={2**62}&limit=1&model={MODEL}")
        return self._device.client.get("/api/health").json["epoch"], 0 if end.status_code == 404 else end.json[
            "revision"
        ]

    def push(self, changes: list[dict[str, Any]], epoch: str | None) -> Answer:
        """Send a batch and return the answer."""
        answer = self._post(self._packed(changes, epoch))
        return answer.status_code, answer.json

    def cut(self, changes: list[dict[str, Any]], epoch: str | None, share: int) -> int | None:
        """Send a part of a batch."""
        packed = self._packed(changes, epoch)
        return self._post(packed[: len(packed) * share // 101]).status_code

    def stranger(self, changes: list[dict[str, Any]], epoch: str | None) -> int:
        """Send a batch from a client that carries no session."""
        return self._post(self._packed(changes, epoch), self._device.client.application.test_client()).status_code

    def photo(self, sha256: str, data: bytes) -> Answer:
        """Send a photo's bytes."""
        answer = self._device.client.put(f"{self._path}/photos/{sha256}", data=data, content_type="image/jpeg")
        return answer.status_code, answer.json

    def page(self, since: int, limit: int) -> dict[str, Any] | None:
        """Return a page of the log."""
        answer = self._device.client.get(f"{self._path}/changes?since={since}&limit={limit}&model={self.model}")
        return None if answer.status_code in (404, 409) else answer.json

    def view(self) -> dict[str, Any] | None:
        """Return the survey as it stands."""
        answer = self._device.client.get(self._path)
        return None if answer.status_code == 404 else answer.json


class InnerWire:
    """Calls of what stands behind the requests, within an app context of the caller's."""

    def __init__(self, office: Office, person: Person, name: str, sight: Sight = OF_SURVEY) -> None:
        self._office, self.name, self.model, self._sight = office, name, MODEL, sight
        self._photos = office.settings.photos
        self._user, self._firm = _account(office, person)
        self._survey = office.survey if sight.holder == SURVEY else book_of(self._firm)

    def stands(self) -> tuple[str, int]:
        """Return the epoch and the survey's revision."""
        with reading() as session:
            try:
                return accounts.epoch(), find_revision(session, self._firm, self._survey, self._sight.holder)
            except NoSuchSurveyError:
                return accounts.epoch(), 0

    def push(self, changes: list[dict[str, Any]], epoch: str | None) -> Answer:
        """Give a batch to the intake, unless the app is too old for it."""
        if shape_of(self.model) < api.SHAPE:
            return 409, {"code": "app_too_old"}
        read = intake.read_batch(self.name, json.loads(json.dumps(changes)))
        try:
            pushed = intake.push(
                firm_id=self._firm,
                user_id=self._user,
                survey_id=self._survey,
                device=self.name,
                changes=read,
                epoch=epoch,
                sight=self._sight,
            )
        except Trouble:
            return 500, None
        return 200, {
            "epoch": pushed.epoch,
            "revision": pushed.revision,
            "results": [result.as_dict() for result in pushed.results],
        }

    def cut(self, changes: list[dict[str, Any]], epoch: str | None, share: int) -> int | None:
        """Nothing of a part reaches the intake."""
        return None

    def stranger(self, changes: list[dict[str, Any]], epoch: str | None) -> int:
        """Nothing of a stranger's reaches the intake."""
        return 401

    def photo(self, sha256: str, data: bytes) -> Answer:
        """Give a photo's bytes to what keeps them."""
        try:
            _, is_new = kept.store_photo(
                self._photos, firm_id=self._firm, survey_id=self._survey, sha256=sha256, data=data
            )
        except NoSuchSurveyError:
            return 404, None
        except SurveyError as error:
            return 422, error.problems[0].as_dict()
        return 201 if is_new else 200, {"sha256": sha256}

    def page(self, since: int, limit: int) -> dict[str, Any] | None:
        """Return a page of the log, or None to an app that is too old for it."""
        if shape_of(self.model) < api.SHAPE:
            return None
        with reading() as session:
            try:
                pulled = log.pull(session, self._firm, self._survey, since, limit, self._sight)
            except NoSuchSurveyError:
                return None
            return {
                "epoch": accounts.epoch(),
                "revision": pulled.revision,
                "more": pulled.more,
                "changes": pulled.changes,
            }

    def view(self) -> dict[str, Any] | None:
        """Return the survey as it stands, or the book."""
        with reading() as session:
            if self._sight.holder == FIRM:
                contested = log.find_contested(session, self._survey, self._sight)
                records = list_book(session, self._firm, self._sight.role)
                return {"records": records, "contested": contested, "photos": []}
            try:
                loaded = stored.load_survey(session, self._firm, self._survey)
            except NoSuchSurveyError:
                return None
            records = {
                kind: [{"id": item.id, **item.values()} for item in items]
                for kind, items in loaded.survey.records.items()
            }
            photos = [asdict(photo) for photo in loaded.photos(self._photos)]
            return {"records": records, "contested": log.find_contested(session, self._survey), "photos": photos}


_ACCOUNTS: WeakKeyDictionary[Office, dict[Person, tuple[str, str]]] = WeakKeyDictionary()


def forget_accounts(office: Office) -> None:
    """Look the cast up anew: they belong to another firm now."""
    _ACCOUNTS.pop(office, None)


def _account(office: Office, person: Person) -> tuple[str, str]:
    """Return the ids of a person and of the firm; looked up once for an office."""
    known = _ACCOUNTS.setdefault(office, {})
    if person not in known:
        with office.app.app_context(), reading() as session:
            user, firm = session.execute(select(User.id, User.firm_id).where(User.email == person.email)).one()
            known[person] = (user, firm)
    return known[person]
