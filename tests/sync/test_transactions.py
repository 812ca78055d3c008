"""What the promises stand on below the rules of sync: one moment for a reader, one turn for a writer, a disk that is waited for."""

from __future__ import annotations

import fcntl
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import Connection, func, select

from tests.support.cast import Device, Office, change, open_office
from wattwalk.database import changing_tables, reading, writing
from wattwalk.models import Change, StoredSurvey


def test_a_reading_block_sees_one_moment_whatever_is_committed_meanwhile(office: Office, ada: Device) -> None:
    """Records read before a batch and a log read after it would be two halves of different surveys."""
    ada.push(change())
    counts = select(func.count()).select_from(Change).where(Change.survey_id == office.survey)
    revision = select(StoredSurvey.revision).where(StoredSurvey.id == office.survey)
    with office.app.app_context():
        with reading() as session:
            assert session.scalar(revision) == 1
            other = threading.Thread(target=lambda: ada.push(change("hall"), change("larder")))
            other.start()
            other.join(30)
            assert not other.is_alive()
            assert (session.scalar(counts), session.scalar(revision)) == (1, 1)
        with reading() as session:
            assert (session.scalar(counts), session.scalar(revision)) == (3, 3)


@pytest.fixture(scope="module")
def embedded(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    """An office on SQLite, which has one writer's place and waits for the disk as it is told; PostgreSQL sees to both by itself."""
    home = tmp_path_factory.mktemp("embedded")
    with open_office(f"sqlite:///{home / 'wattwalk.sqlite3'}", home) as office:
        yield office


def may_join(queue: Path) -> bool:
    """Say whether another writer would be let in now, beside one that is there."""
    with queue.open("ab") as other:
        try:
            fcntl.flock(other, fcntl.LOCK_SH | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        return True


def test_a_writer_has_its_turn_alone(embedded: Office) -> None:
    queue = Path(f"{embedded.settings.database_url.removeprefix('sqlite:///')}-queue")
    with embedded.app.app_context():
        with writing():
            assert not may_join(queue)
        assert may_join(queue)
        with reading():
            assert may_join(queue)
    with changing_tables(embedded.settings.database_url):
        assert not may_join(queue)


def waits_for_the_disk(connection: Connection) -> bool:
    """Say whether a commit on this connection returns only when it is on the disk: 2 is FULL, 3 is EXTRA."""
    return connection.exec_driver_sql("PRAGMA synchronous").scalar() in (2, 3)


def test_a_commit_is_on_the_disk_when_it_is_answered(embedded: Office) -> None:
    """Less than FULL, a power cut takes back what was called at the office."""
    with embedded.app.app_context():
        with writing() as session:
            assert waits_for_the_disk(session.connection())
        with reading() as session:
            assert session.connection().exec_driver_sql("PRAGMA journal_mode").scalar() == "wal"
    with changing_tables(embedded.settings.database_url) as connection:
        assert waits_for_the_disk(connection)
