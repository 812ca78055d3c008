"""Two phones and the office at work on one house at once, against the real server on each make of database."""

from __future__ import annotations

import json
import random
import urllib.request
from http.cookiejar import CookieJar
from itertools import pairwise
from pathlib import Path
from typing import Any
from urllib.error import HTTPError

from tests.support.cast import ADA, BEN, MODEL, PASSWORD, open_office
from tests.support.ledger.history import History
from tests.support.ledger.phone import Phone
from tests.support.server import Server
from tests.support.together import together

ROUNDS = 8
FIELDS = {"name": ["Kitchen", "Larder"], "length_m": [2.4, 3.1, 4.75], "width_m": [1.8, 3.3], "notes": ["damp", "dry"]}


class SocketWire:
    """Requests of one signed-in device over a real connection."""

    def __init__(self, url: str, name: str, survey: str, sign_in: dict[str, str]) -> None:
        self.name, self.model, self._url, self._survey = name, MODEL, url, survey
        self._opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(CookieJar()))
        self._ask("POST", "/api/session", sign_in)

    def _ask(self, method: str, path: str, body: Any = None) -> Any:
        data = None if body is None else json.dumps(body).encode()
        asked = urllib.request.Request(
            self._url + path, data, {"Content-Type": "application/json", "Origin": self._url}, method=method
        )
        with self._opener.open(asked, timeout=60) as answer:
            return json.load(answer)

    def stands(self) -> tuple[str, int]:
        """Return what the list says."""
        answer = self._ask("GET", "/api/surveys")
        return answer["epoch"], next((line["revision"] for line in answer["surveys"] if line["id"] == self._survey), 0)

    def push(self, changes: list[dict[str, Any]], epoch: str | None) -> tuple[int, dict[str, Any]]:
        """Send a batch and return the answer."""
        body = {"device": self.name, "app": "0.1.0", "model": self.model, "epoch": epoch, "changes": changes}
        return 200, self._ask("POST", f"/api/surveys/{self._survey}/changes", body)

    def page(self, since: int, limit: int) -> dict[str, Any] | None:
        """Return a page of the log."""
        try:
            return self._ask(
                "GET", f"/api/surveys/{self._survey}/changes?since={since}&limit={limit}&model={self.model}"
            )
        except HTTPError as fault:
            if fault.code != 404:
                raise
            return None

    def view(self) -> dict[str, Any]:
        """Return the survey as it stands."""
        return self._ask("GET", f"/api/surveys/{self._survey}")


def _work(seed: int, phone: Phone) -> None:
    chance = random.Random(seed)
    for _ in range(ROUNDS):
        for _ in range(3):
            name = chance.choice(list(FIELDS))
            phone.edit(("room", f"room-{chance.randrange(3)}", name), chance.choice(FIELDS[name]))
        phone.exchange()


def test_two_phones_and_the_office_at_once_end_equal(database_url: str, tmp_path: Path) -> None:
    with (
        open_office(database_url, tmp_path) as office,
        Server(tmp_path, environment={"DATABASE_URL": database_url}) as server,
    ):
        cast = ((ADA, "Ada's phone"), (BEN, "Ben's phone"), (ADA, "The office"))
        phones = [
            Phone(SocketWire(server.url, name, office.survey, {"email": person.email, "password": PASSWORD}))
            for person, name in cast
        ]
        together(_work, phones)
        history = History(office, tmp_path, phones, [])
        history.settle()
        assert (history.counts["lost"], history.counts["doubled"]) == (0, 0)
        assert history.counts["acknowledged"] >= len(phones) * ROUNDS
        # Nobody worked alone: the log changes hands far more often than three people one after the other would make it.
        devices = [change["device"] for change in phones[0].wire.page(0, 2_000)["changes"]]
        assert sum(one != next for one, next in pairwise(devices)) > 2 * len(phones)
