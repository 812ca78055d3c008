"""What the tests of backups share: an office in use, and an empty place to restore into, of either make."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest
from uuid_utils import uuid7

from tests.support.cast import ADA, BEN, Device, Office, change, open_office, picture
from tests.support.postgres import fresh_database
from wattwalk.app import create_app
from wattwalk.backup.tables import kept_tables, write_rows
from wattwalk.config import Settings
from wattwalk.database import now, one_moment, writing
from wattwalk.models import Email, Report

MAKES = ("sqlite", "postgresql")
Place = Callable[[str], Settings]


@pytest.fixture
def place(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Place]:
    """A function that makes an empty home with an empty database of one make."""
    with ExitStack() as databases:

        def make(kind: str) -> Settings:
            home = tmp_path / f"home-{len(list(tmp_path.iterdir()))}"
            home.mkdir()
            if kind == "sqlite":
                return Settings(home, f"sqlite:///{home / 'wattwalk.sqlite3'}")
            return Settings(home, databases.enter_context(fresh_database(request.getfixturevalue("postgres_url"))))

        yield make


@pytest.fixture
def opened() -> Iterator[Callable[[Settings], Office]]:
    """A function that opens an office with the cast at a place; closed at the test's end."""
    with ExitStack() as offices:
        yield lambda at: offices.enter_context(open_office(at.database_url, at.home))


@pytest.fixture
def program() -> Iterator[Callable[[Settings], Office]]:
    """A function that runs the program on a place as it is, with nobody added; closed at the test's end."""
    with ExitStack() as programs:

        def run(at: Settings) -> Office:
            office = Office(create_app(at), at)
            programs.callback(office.close)
            return office

        yield run


def put_photo(device: Device, data: bytes, record: str) -> str:
    """Let a device name and send a photo; return its hash."""
    sha256 = hashlib.sha256(data).hexdigest()
    device.push(change(record, "sha256", sha256, kind="photo"))
    assert device.client.put(f"{device.path}/photos/{sha256}", data=data, content_type="image/jpeg").status_code in (
        200,
        201,
    )
    return sha256


def use(office: Office) -> None:
    """Let people work in the office: changes of two, one refused and one contested, photos, a report, messages in every state that matters."""
    ada, ben = office.device(ADA), office.device(BEN)
    ada.push(
        change("kitchen", "name", "Kitchen é 🏠"), change("kitchen", "length_m", 4.25), change("hall", "length_m", -1)
    )
    ben.push(change("kitchen", "name", "Galley"))
    for number in range(3):
        put_photo(ada, picture(40 + number, 30), f"photo-{number}")
    ada.client.post("/api/session", json={"email": ADA.email, "password": "not the one"})
    report = Report(
        id=str(uuid7()),
        survey_id=office.survey,
        number=1,
        revision=3,
        made_at=now(),
        user_id=None,
        pages=2,
        size_bytes=12,
        file_name=f"{office.survey}/1-ab.pdf",
    )
    folder = office.settings.home
    (folder / "reports" / office.survey).mkdir(parents=True)
    (folder / "reports" / report.file_name).write_bytes(b"%PDF-1.7 one")
    (folder / "outbox").mkdir()
    with office.app.app_context(), writing() as session:
        session.add(report)
        session.flush()
        for state in ("waiting", "sending", "sent", "held_as_file"):
            name = f"{uuid7()}.eml" if state == "held_as_file" else None
            session.add(
                Email(
                    id=str(uuid7()),
                    survey_id=office.survey,
                    report_id=report.id,
                    to="a@b.example",
                    subject="S",
                    message="M",
                    message_id=f"<{state}@x>",
                    state=state,
                    attempts=1,
                    created_at=now(),
                    file_name=name,
                )
            )
            if name:
                (folder / "outbox" / name).write_bytes(b"From: a")


def rows_of(at: Settings) -> dict[str, list[bytes]]:
    """Return all rows that a backup holds, by table, as lines in order."""
    found: dict[str, list[bytes]] = {}
    with one_moment(at.database_url) as connection:
        for table in kept_tables(connection):
            lines: list[bytes] = []
            write_rows(connection, table, lines.append)
            found[table.name] = sorted(lines)
    return found


def files_of(at: Settings) -> dict[str, bytes]:
    """Return papers and kept messages below the home folder, and photos, by their names."""
    found = {
        path.relative_to(at.home).as_posix(): path.read_bytes()
        for folder in ("reports", "outbox")
        for path in (at.home / folder).rglob("*")
        if path.is_file()
    }
    return found | {f"photos/{name}": at.photos.get(name) or b"" for name in at.photos.names()}
