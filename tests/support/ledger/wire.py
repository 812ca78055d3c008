"""Two ways from a phone to the office: over HTTP as in use, and straight to the services behind it, which is five times as quick."""

from __future__ import annotations

import gzip
import json
from typing import Any, Protocol

from sqlalchemy import select

from tests.support.cast import Device, Office, Person
from wattwalk import accounts
from wattwalk.database import reading
from wattwalk.models import User
from wattwalk.sync import pull as log
from wattwalk.sync import push as intake
from wattwalk.sync import surveys as stored
from wattwalk.sync.errors import NoSuchSurveyError


class Wire(Protocol):
    """What a phone asks of the office; `name` is the device's."""

    name: str

    def push(self, changes: list[dict[str, Any]]) -> dict[str, Any]:
        """Send a batch and return the answer."""

    def cut(self, changes: list[dict[str, Any]], share: int) -> int | None:
        """Send a batch that breaks off after so many hundredths; return the status, if there is one."""

    def page(self, since: int, limit: int) -> dict[str, Any] | None:
        """Return a page of the log, or None when the office does not know the survey."""

    def view(self) -> dict[str, Any] | None:
        """Return records and contests as they stand, or None when the office does not know the survey."""


class HttpWire:
    """Requests, packed, to the whole program."""

    def __init__(self, device: Device) -> None:
        self._device, self.name = device, device.name

    def _post(self, packed: bytes) -> Any:
        return self._device.client.post(
            f"{self._device.path}/changes", data=packed, headers={"Content-Type": "application/json", "Content-Encoding": "gzip"}
        )

    def _packed(self, changes: list[dict[str, Any]]) -> bytes:
        return gzip.compress(json.dumps({"device": self.name, "app": "0.1.0", "changes": changes}).encode())

    def push(self, changes: list[dict[str, Any]]) -> dict[str, Any]:
        """Send a batch and return the answer."""
        answer = self._post(self._packed(changes))
        assert answer.status_code == 200, answer.get_data(as_text=True)
        return answer.json

    def cut(self, changes: list[dict[str, Any]], share: int) -> int | None:
        """Send a part of a batch."""
        packed = self._packed(changes)
        return self._post(packed[: len(packed) * share // 101]).status_code

    def page(self, since: int, limit: int) -> dict[str, Any] | None:
        """Return a page of the log."""
        answer = self._device.client.get(f"{self._device.path}/changes?since={since}&limit={limit}")
        return None if answer.status_code == 404 else answer.json

    def view(self) -> dict[str, Any] | None:
        """Return the survey as it stands."""
        answer = self._device.client.get(self._device.path)
        return None if answer.status_code == 404 else answer.json


class InnerWire:
    """Calls of what stands behind the requests."""

    def __init__(self, office: Office, person: Person, name: str) -> None:
        self._office, self.name, self._survey = office, name, office.survey
        with office.app.app_context(), reading() as session:
            self._user, self._firm = session.execute(select(User.id, User.firm_id).where(User.email == person.email)).one()

    def push(self, changes: list[dict[str, Any]]) -> dict[str, Any]:
        """Give a batch to the intake."""
        with self._office.app.app_context():
            read = intake.read_batch(self.name, json.loads(json.dumps(changes)))
            pushed = intake.push(firm_id=self._firm, user_id=self._user, survey_id=self._survey, device=self.name, changes=read)
        return {"epoch": pushed.epoch, "revision": pushed.revision, "results": [result.as_dict() for result in pushed.results]}

    def cut(self, changes: list[dict[str, Any]], share: int) -> int | None:
        """Nothing of a part reaches the intake."""
        return None

    def page(self, since: int, limit: int) -> dict[str, Any] | None:
        """Return a page of the log."""
        with self._office.app.app_context(), reading() as session:
            try:
                pulled = log.pull(session, self._firm, self._survey, since, limit)
            except NoSuchSurveyError:
                return None
            return {"epoch": accounts.epoch(), "revision": pulled.revision, "more": pulled.more, "changes": pulled.changes}

    def view(self) -> dict[str, Any] | None:
        """Return the survey as it stands."""
        with self._office.app.app_context(), reading() as session:
            try:
                loaded = stored.load_survey(session, self._firm, self._survey)
            except NoSuchSurveyError:
                return None
            records = {kind: [{"id": item.id, **item.values()} for item in items] for kind, items in loaded.survey.records.items()}
            return {"records": records, "contested": log.find_contested(session, self._survey)}
