"""When the database is locked or gone, the office says that it is busy, nothing is taken by half, and no thread waits for ever."""

from __future__ import annotations

import fcntl
import sqlite3
import threading
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import timedelta
from pathlib import Path

import psycopg
import pytest
from sqlalchemy import make_url, text, update
from sqlalchemy.exc import OperationalError, ProgrammingError
from werkzeug.test import TestResponse

from tests.support.cast import ADA, Office, change, open_office
from tests.support.ports import free_port
from tests.support.postgres import fresh_database
from wattwalk import database
from wattwalk.app import create_app
from wattwalk.config import Settings
from wattwalk.database import BusyError, db, is_busy, now, reading, writing
from wattwalk.models import DeviceSession

PATIENCE_S = 0.4
#: What is far longer than any request takes, on a busy machine too.
LONG_S = 60.0


@pytest.fixture
def impatient(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(database, "LOCK_PATIENCE_S", PATIENCE_S)


@pytest.fixture
def on_sqlite(tmp_path: Path, impatient: None) -> Iterator[Office]:
    with open_office(f"sqlite:///{tmp_path / 'wattwalk.sqlite3'}", tmp_path) as office:
        yield office


@pytest.fixture
def on_postgresql(tmp_path: Path, impatient: None, postgres_url: str) -> Iterator[Office]:
    with fresh_database(postgres_url) as url, open_office(url, tmp_path) as office:
        yield office


def plain(url: str) -> str:
    return make_url(url).set(drivername="postgresql").render_as_string(hide_password=False)


@contextmanager
def write_lock(office: Office) -> Iterator[None]:
    """Hold SQLite's own lock, as another program would."""
    with closing(
        sqlite3.connect(office.settings.database_url.removeprefix("sqlite:///"), isolation_level=None)
    ) as other:
        other.execute("BEGIN IMMEDIATE")
        yield
        other.execute("ROLLBACK")


@contextmanager
def queue_lock(office: Office) -> Iterator[None]:
    """Hold the place of the one writer, as another process of ours would."""
    with Path(office.settings.database_url.removeprefix("sqlite:///") + "-queue").open("ab") as queue:
        fcntl.flock(queue, fcntl.LOCK_EX)
        yield


@contextmanager
def row_lock(office: Office) -> Iterator[None]:
    """Hold the row of every survey on PostgreSQL."""
    with psycopg.connect(plain(office.settings.database_url)) as other:
        other.execute("SELECT id FROM survey FOR UPDATE")
        yield
        other.rollback()


def assert_busy(answer: TestResponse) -> None:
    assert (answer.status_code, answer.json["code"]) == (503, "office_busy"), answer.get_data(as_text=True)
    assert int(answer.headers["Retry-After"]) > 0


@pytest.mark.parametrize(
    ("make", "lock"), [("on_sqlite", write_lock), ("on_sqlite", queue_lock), ("on_postgresql", row_lock)]
)
def test_a_locked_database_is_busy_and_nothing_is_lost(request: pytest.FixtureRequest, make: str, lock: object) -> None:
    office: Office = request.getfixturevalue(make)
    ada = office.device(ADA)
    ada.push(change())
    mine = change(field="width_m", value=3.1)
    with lock(office):
        began = time.monotonic()
        assert_busy(ada.send(mine))
        assert PATIENCE_S * 0.9 < time.monotonic() - began < LONG_S / 2
        # Whoever only reads is not held up.
        assert ada.client.get("/api/health").status_code == 200
        assert ada.view()["revision"] == 1
    assert ada.push(mine)["results"][0]["revision"] == 2


def test_a_reader_whose_visit_is_due_to_be_noted_does_not_wait(
    on_sqlite: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(database, "LOCK_PATIENCE_S", LONG_S)
    ada = on_sqlite.device(ADA)
    ada.push(change())
    with on_sqlite.app.app_context(), writing() as session:
        session.execute(update(DeviceSession).values(seen_at=now() - timedelta(hours=2)))
    with queue_lock(on_sqlite):
        began = time.monotonic()
        assert ada.client.get("/api/surveys?since=0").status_code == 200
        assert time.monotonic() - began < LONG_S / 2
    assert ada.client.get("/api/surveys?since=0").status_code == 200
    with on_sqlite.app.app_context(), reading() as session:
        assert session.query(DeviceSession).filter(DeviceSession.seen_at > now() - timedelta(minutes=1)).count() == 1


def test_writers_of_one_process_all_get_their_turn(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Ten that write at once wait in one queue: only one of them at a time asks for the file's lock."""
    answers: list[int] = []
    asking: list[int] = []
    asked: list[int] = []
    lock_file = database._lock_file

    def watched(number: int, until: float) -> None:
        asking.append(number)
        asked.append(len(asking))
        # Time for another to come in between, were it let in.
        time.sleep(0.002)
        lock_file(number, until)
        asking.pop()

    with open_office(f"sqlite:///{tmp_path / 'wattwalk.sqlite3'}", tmp_path) as office:
        phones = [office.device(ADA, f"phone {place}") for place in range(10)]
        monkeypatch.setattr(database, "_lock_file", watched)

        def push(place: int) -> None:
            answers.extend(phones[place].send(change(f"room-{place}", "length_m", 3.0)).status_code for _ in range(3))

        threads = [threading.Thread(target=push, args=(place,)) for place in range(10)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
    assert answers == [200] * 30
    assert len(asked) >= 30
    assert set(asked) == {1}


def test_a_server_that_ended_our_connections_is_met_again(on_postgresql: Office) -> None:
    ada = on_postgresql.device(ADA)
    ada.push(change())
    with psycopg.connect(plain(on_postgresql.settings.database_url), autocommit=True) as other:
        other.execute(
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = current_database() AND pid <> pg_backend_pid()"
        )
    assert ada.push(change(field="width_m", value=2))["revision"] == 2


def test_a_connection_that_ends_in_the_middle_is_busy(on_postgresql: Office) -> None:
    def write_and_be_cut_off() -> None:
        with writing() as session:
            pid = session.scalar(text("SELECT pg_backend_pid()"))
            with psycopg.connect(plain(on_postgresql.settings.database_url), autocommit=True) as other:
                other.execute("SELECT pg_terminate_backend(%s)", (pid,))
            session.scalar(text("SELECT 1"))

    with on_postgresql.app.app_context(), pytest.raises(BusyError):
        write_and_be_cut_off()


def test_a_statement_ends_by_itself(on_postgresql: Office) -> None:
    def read_for_long() -> None:
        with reading() as session:
            session.execute(text("SET LOCAL statement_timeout = 50"))
            session.execute(text("SELECT pg_sleep(5)"))

    with on_postgresql.app.app_context():
        with reading() as session:
            assert session.scalar(text("SHOW statement_timeout")) == f"{database.STATEMENT_PATIENCE_S}s"
        with pytest.raises(BusyError):
            read_for_long()


def test_a_database_that_is_not_there_is_busy(tmp_path: Path) -> None:
    app = create_app(Settings(tmp_path, f"postgresql+psycopg://nobody:x@127.0.0.1:{free_port()}/none"))
    assert_busy(app.test_client().get("/api/health"))


def test_too_many_connections_are_busy(on_postgresql: Office, tmp_path: Path) -> None:
    url = make_url(on_postgresql.settings.database_url)
    with psycopg.connect(plain(on_postgresql.settings.database_url), autocommit=True) as other:
        other.execute("DROP ROLE IF EXISTS crowded")
        other.execute("CREATE ROLE crowded LOGIN PASSWORD 'crowded' CONNECTION LIMIT 0")
    app = create_app(
        Settings(tmp_path, url.set(username="crowded", password="crowded").render_as_string(hide_password=False))
    )
    assert_busy(app.test_client().get("/api/health"))


def test_a_pool_that_is_used_up_is_busy(on_sqlite: Office, monkeypatch: pytest.MonkeyPatch) -> None:
    with on_sqlite.app.app_context():
        held = [db.engine.connect() for _ in range(database.POOL_SIZE)]
        began = time.monotonic()
        try:
            assert_busy(on_sqlite.app.test_client().get("/api/health"))
            assert time.monotonic() - began < LONG_S / 2
        finally:
            for connection in held:
                connection.close()
    assert on_sqlite.app.test_client().get("/api/health").status_code == 200


@pytest.mark.parametrize(
    ("fault", "passes"),
    [
        (psycopg.errors.ConnectionFailure(), True), (psycopg.errors.DeadlockDetected(), True), (psycopg.errors.SerializationFailure(), True),
        (psycopg.errors.TooManyConnections(), True), (psycopg.errors.CannotConnectNow(), True), (psycopg.errors.DiskFull(), False),
        (psycopg.errors.UndefinedTable(), False), (sqlite3.OperationalError("database is locked"), True), (sqlite3.ProgrammingError("locked"), False),
    ],
)  # fmt: skip
def test_what_passes_by_itself(fault: Exception, passes: bool) -> None:
    made = (
        OperationalError
        if isinstance(fault, (psycopg.OperationalError, sqlite3.OperationalError))
        else ProgrammingError
    )("", {}, fault)
    assert is_busy(made) is passes


def test_a_fault_of_ours_is_not_called_busy(on_sqlite: Office) -> None:
    ada = on_sqlite.device(ADA)
    with on_sqlite.app.app_context(), writing() as session:
        session.execute(text("DROP TABLE gap_count"))
    assert ada.client.get("/api/survey-states").json["code"] == "our_fault"
