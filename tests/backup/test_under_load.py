"""A backup taken while people work, restored elsewhere: it verifies, and the phones bring what came after it; nothing is lost or doubled."""

from __future__ import annotations

import http.client
import json
import os
import random
import subprocess
import sys
import threading
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest

from tests.backup.conftest import Place, put_photo
from tests.support.cast import ADA, BEN, Device, Office, open_office, picture
from tests.support.ledger.account import account, agree
from tests.support.ledger.phone import Phone
from tests.support.ledger.wire import HttpWire
from tests.support.server import Server
from tests.support.until import wait_until
from wattwalk.api.access import PLAIN_COOKIE
from wattwalk.backup.archive import open_archive
from wattwalk.config import Settings

#: Changes and photos that reach the office before the backup begins, and as many after it has ended.
CHANGES, PHOTOS = 40, 5


class Answer:
    """An answer as the tests' own client gives it."""

    def __init__(self, status_code: int, body: bytes) -> None:
        self.status_code, self._body = status_code, body

    @property
    def json(self) -> Any:
        """Return the body, which is JSON."""
        return json.loads(self._body)


class Wire:
    """A client of a server that runs, with a device's session."""

    def __init__(self, url: str, token: str) -> None:
        self._host, self._headers = urlsplit(url).netloc, {"Cookie": f"{PLAIN_COOKIE}={token}"}

    def _ask(self, method: str, path: str, data: bytes | None = None, headers: dict[str, str] | None = None) -> Answer:
        connection = http.client.HTTPConnection(self._host, timeout=60)
        try:
            connection.request(method, path, data, {**self._headers, **(headers or {})})
            answer = connection.getresponse()
            return Answer(answer.status, answer.read())
        finally:
            connection.close()

    def get(self, path: str) -> Answer:
        """Ask for an address."""
        return self._ask("GET", path)

    def post(self, path: str, data: bytes, headers: dict[str, str]) -> Answer:
        """Send a body."""
        return self._ask("POST", path, data, headers)

    def put(self, path: str, data: bytes, content_type: str) -> Answer:
        """Send a picture."""
        return self._ask("PUT", path, data, {"Content-Type": content_type})


def connect(office: Office, url: str, survey: str) -> list[HttpWire]:
    """Sign three devices in and return their ways to the server."""
    wires = []
    for person, name in ((ADA, "Ada's phone"), (BEN, "Ben's phone"), (ADA, "The office")):
        token = office.device(person).client.get_cookie(PLAIN_COOKIE).value
        wires.append(HttpWire(Device(Wire(url, token), name, survey)))  # type: ignore[arg-type]
    return wires


class Work(threading.Thread):
    """One phone that edits, photographs and exchanges until it is told to stop."""

    def __init__(self, phone: Phone, seed: int) -> None:
        super().__init__()
        self._phone, self._chance, self._is_over = phone, random.Random(seed), threading.Event()
        self._seed, self.fault = seed, ""

    def run(self) -> None:
        """Work."""
        number = 0
        try:
            while not self._is_over.is_set():
                number += 1
                for _ in range(self._chance.randint(1, 6)):
                    name, value = self._chance.choice(
                        [("length_m", self._chance.randint(10, 90) / 10), ("name", f"Room {number}"), ("notes", "damp")]
                    )
                    self._phone.edit(("room", f"room-{self._chance.randrange(6)}", name), value)
                if number % 2:
                    self._phone.take_photo(f"photo-{self._seed}-{number}", picture(20 + number, 20 + self._seed))
                self._phone.exchange()
        except Exception as error:
            self.fault = repr(error)

    def stop(self) -> None:
        """Stop, and raise when something went wrong meanwhile."""
        self._is_over.set()
        self.join(120)
        assert not self.is_alive()
        assert self.fault == ""


def photos_of(at: Settings) -> int:
    """Return how many photos lie at the office."""
    return sum(1 for _ in at.photos.names())


def wait_for_work(idle: Phone, at: Settings, changes: int, photos: int) -> None:
    """Wait until the office has so many changes and photos; `idle` is a phone that nobody works on."""
    wait_until(lambda: idle.wire.stands()[1] >= changes and photos_of(at) >= photos, "too little reaches the office")


def meet(phones: list[Phone]) -> None:
    """Let each exchange until nobody has anything to say or to hear."""
    for _ in range(3):
        for phone in phones:
            phone.exchange()


def wattwalk(at: Settings, *arguments: str | Path) -> subprocess.CompletedProcess[str]:
    environment = {**os.environ, "WATTWALK_HOME": str(at.home), "DATABASE_URL": at.database_url}
    return subprocess.run(
        [Path(sys.executable).parent / "wattwalk", *arguments],
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )


def server_at(at: Settings) -> Server:
    """Return the real server for a place."""
    return Server(at.home.parent, environment={"DATABASE_URL": at.database_url, "WATTWALK_HOME": str(at.home)})


@pytest.mark.parametrize(("of", "to"), [("sqlite", "postgresql"), ("postgresql", "sqlite"), ("sqlite", "sqlite")])
def test_a_backup_under_load_is_one_moment_and_the_phones_bring_the_rest(
    place: Place, program: Callable[[Settings], Office], tmp_path: Path, of: str, to: str, say: Callable[[str], None]
) -> None:
    there, here, kept, survey = place(of), place(to), tmp_path / "kept.zip", "house-1"
    with open_office(there.database_url, there.home) as office, server_at(there) as server:
        phones = [Phone(wire) for wire in connect(office, server.url, survey)]
        works = [Work(phone, seed) for seed, phone in enumerate(phones[:2])]
        for work in works:
            work.start()
        wait_for_work(phones[2], there, CHANGES, PHOTOS)
        began = time.monotonic()
        made = wattwalk(there, "backup", kept)
        took = time.monotonic() - began
        assert (made.returncode, made.stderr) == (0, "")
        wait_for_work(phones[2], there, phones[2].wire.stands()[1] + CHANGES, photos_of(there) + PHOTOS)
        for work in works:
            work.stop()
        for phone in phones:
            phone.exchange()
        revision = phones[2].wire.stands()[1]
        server.kill()
    # The machine is lost with everything on it.
    restored = wattwalk(here, "restore", kept)
    assert (restored.returncode, restored.stderr) == (0, "")
    assert "0 missing or spoilt" in restored.stdout
    assert "0 with faults" in restored.stdout
    with open_archive(kept) as archive:
        logged, photos = archive.manifest.tables["change"]["rows"], len(archive.manifest.names("photos"))
    taken = len({sha256 for phone in phones for sha256 in phone.pictures})
    assert 0 < logged < revision
    assert 0 < photos < taken
    copy = program(here)
    copy.survey = survey
    with server_at(here) as server:
        for phone, wire in zip(phones, connect(copy, server.url, survey), strict=True):
            phone.wire = wire
        meet(phones)
        counts: Counter[str] = Counter()
        account(copy, phones, counts, survey, was_restored=True)
        # What two said in the life that is over comes in a new order, and is asked about; once somebody has picked, all show the same.
        for contest in phones[2].wire.view()["contested"]:
            phones[2].edit(
                (contest["kind"], contest["record"], contest["field"]), contest["values"][-1]["value"], resolves=True
            )
        meet(phones)
        assert agree(phones) == []
    assert wattwalk(here, "verify").returncode == 0
    say(
        f"backup under load, {of} to {to}: {took:.1f} s; {logged} of {revision} changes and {photos} of {taken} photos were in it, the phones brought the rest"
    )


def test_nothing_is_exchanged_under_an_office_that_serves(
    place: Place, program: Callable[[Settings], Office], tmp_path: Path
) -> None:
    at, kept = place("sqlite"), tmp_path / "kept.zip"
    with open_office(at.database_url, at.home) as office:
        put_photo(office.device(ADA), picture(), "photo")
    with server_at(at) as server:
        assert wattwalk(at, "backup", kept).returncode == 0
        refused = wattwalk(at, "restore", kept, "--replace")
        assert (refused.returncode, "Stop it first" in refused.stderr) == (1, True)
        server.stop()
        assert wattwalk(at, "restore", kept, "--replace").returncode == 0
        server.start()
