"""The office of the ledger: the program on an SQLite file that is fresh for each history, and can be set back to a backup."""

from __future__ import annotations

import json
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, NamedTuple

from flask.testing import FlaskClient
from sqlalchemy import select

from tests.support.cast import ADA, BEN, Office, Person, open_office
from tests.support.ledger.line import Deliver
from wattwalk import accounts
from wattwalk.database import db, reading
from wattwalk.models import User
from wattwalk.survey.errors import SurveyError
from wattwalk.sync import pull as log
from wattwalk.sync import push as intake
from wattwalk.sync.errors import NoSuchSurveyError
from wattwalk.sync.photos import photo_path, store_photo
from wattwalk.sync.state import SurveyState, read_state
from wattwalk.sync.surveys import find_survey
from wattwalk.sync.verify import verify_survey

SURVEY = "house"


class Logged(NamedTuple):
    """One line of the log."""

    id: str
    revision: int | None
    kind: str
    record: str
    field: str
    value_json: str
    device: str
    is_contested: bool


class LedgerHouse:
    """The program, its database in the memory of this machine, and the means to look behind its API."""

    def __init__(self, office: Office, file: Path) -> None:
        self._file = file
        office.survey = SURVEY
        self._clients = {person.email: office.device(person).client for person in (ADA, BEN)}
        with reading() as session:
            self._people = {user.email: (user.firm_id, user.id) for user in session.scalars(select(User))}
        self._empty: bytes | None = None
        self._window: sqlite3.Connection | None = None

    def by_api(self, person: Person) -> Deliver:
        """Return the way to the office through the whole program, as this person."""
        client: FlaskClient = self._clients[person.email]

        def deliver(method: str, path: str, sent: bytes, kind: str | None) -> tuple[int, str, bytes]:
            with client.open(path, method=method, data=sent or None, content_type=kind) as answer:
                return answer.status_code, answer.content_type or "", answer.get_data()

        return deliver

    def by_functions(self, person: Person) -> Deliver:
        """Return the short way, past HTTP and the API's schemas to the functions beneath them: the same answers at a fifth of the price."""
        firm, user = self._people[person.email]

        def deliver(method: str, path: str, sent: bytes, kind: str | None) -> tuple[int, str, bytes]:
            try:
                status, body = self._answer(firm, user, method, path, sent)
            except SurveyError as error:
                status, body = 422, error.problems[0].as_dict()
            except NoSuchSurveyError as error:
                status, body = 404, {"code": "no_such_survey", "message": str(error)}
            return status, "application/json", json.dumps(body).encode()

        return deliver

    def _answer(self, firm: str, user: str, method: str, path: str, sent: bytes) -> tuple[int, dict[str, Any]]:
        if method == "PUT":
            photo, is_new = store_photo(self._file.parent / "photos", firm_id=firm, survey_id=SURVEY, sha256=path.rsplit("/", 1)[1], data=sent)
            return 201 if is_new else 200, {"sha256": photo.sha256}
        if method == "POST":
            try:
                given = json.loads(sent)
            except ValueError:
                return 400, {"code": "not_json", "message": "Expected JSON."}
            changes = intake.read_batch(given["device"], given["changes"])
            pushed = intake.push(firm_id=firm, user_id=user, survey_id=SURVEY, device=given["device"], changes=changes)
            return 200, {"epoch": pushed.epoch, "revision": pushed.revision, "results": [result.as_dict() for result in pushed.results]}
        # What is no rule of sync's is asked of the file itself.
        epoch = self._ask("SELECT epoch FROM instance")[0][0]
        if path == "/api/health":
            return 200, {"epoch": epoch}
        if path == "/api/surveys":
            contested = self._ask("SELECT count(*) FROM contest")[0][0]
            return 200, {
                "epoch": epoch,
                "surveys": [{"id": id, "revision": reached, "contested": contested} for id, reached in self._ask("SELECT id, revision FROM survey")],
            }
        with reading() as session:
            if "?" not in path:
                contested = log.find_contested(session, SURVEY) if self._ask("SELECT field FROM contest LIMIT 1") else []
                reached = find_survey(session, firm, SURVEY).revision
                return 200, {"revision": reached, "contested": contested, "refused": [], "photos": self._photos()}
            since, limit = (int(part.split("=")[1]) for part in path.split("?")[1].split("&"))
            pulled = log.pull(session, firm, SURVEY, since, limit)
            changes = [{**change, "received_at": change["received_at"].isoformat()} for change in pulled.changes]
            return 200, {"epoch": epoch, "revision": pulled.revision, "more": pulled.more, "changes": changes}

    def _ask(self, query: str) -> list[Any]:
        if self._window is None:
            self._window = sqlite3.connect(self._file)
        return self._window.execute(query).fetchall()

    def arrived(self) -> set[str]:
        """Return the hashes of the photos that the office says it has, and whose bytes it has."""
        return {sha256 for (sha256,) in self._ask("SELECT sha256 FROM photo") if photo_path(self._file.parent / "photos", sha256).is_file()}

    def _photos(self) -> list[dict[str, Any]]:
        arrived = self.arrived()
        named = [json.loads(values).get("sha256") for (values,) in self._ask("SELECT values_json FROM record WHERE kind = 'photo' AND NOT is_deleted")]
        return [{"sha256": sha256, "arrived": sha256 in arrived} for sha256 in named if sha256]

    def start_afresh(self) -> None:
        """Set the database back to the cast and nothing else."""
        if self._empty is None:
            self._empty = self.back_up()
        self._put(self._empty)

    def back_up(self) -> bytes:
        """Return the whole database as it is."""
        with sqlite3.connect(self._file) as connection:
            connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
            copy = connection.serialize()
        connection.close()
        return copy

    def restore(self, backup: bytes) -> None:
        """Put a backup in the database's place and begin a new epoch, as the manual asks."""
        self._put(backup)
        accounts.renew_epoch()

    def _put(self, copy: bytes) -> None:
        db.session.remove()
        db.engine.dispose()
        if self._window is not None:
            self._window.close()
            self._window = None
        for leftover in ("-wal", "-shm"):
            Path(f"{self._file}{leftover}").unlink(missing_ok=True)
        self._file.write_bytes(copy)

    def log(self) -> list[Logged]:
        """Return the whole log, refusals included, in the order of revisions."""
        return [Logged(*row) for row in self._ask("SELECT id, revision, kind, record_id, field, value_json, device, is_contested FROM change ORDER BY revision")]

    def look(self) -> SurveyState:
        """Return what the log adds up to, having held it against all that is stored.

        Raises
        ------
        AssertionError
            When the stored state is not what the log says.
        """
        if not self._ask("SELECT id FROM survey"):
            return SurveyState()
        with reading() as session:
            faults = verify_survey(session, SURVEY)
        assert not faults, faults
        # Proved equal to the log a line above, and cheaper to read than to work out again.
        records = {id: read_state(*parts) for id, *parts in self._ask("SELECT id, kind, made_revision, is_deleted, values_json, marks_json FROM record")}
        contests = {(record, field): json.loads(revisions) for record, field, revisions in self._ask("SELECT record_id, field, revisions_json FROM contest")}
        return SurveyState(records, contests)


@contextmanager
def open_house() -> Iterator[LedgerHouse]:
    """Lend out the office of the ledger; its files lie in memory where the machine has such a folder."""
    memory = Path("/dev/shm")
    with tempfile.TemporaryDirectory(prefix="ledger-", dir=memory if memory.is_dir() else None) as folder:
        file = Path(folder) / "wattwalk.sqlite3"
        with open_office(f"sqlite:///{file}", Path(folder)) as office, office.app.app_context():
            yield LedgerHouse(office, file)
