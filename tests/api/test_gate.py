"""However many ask for slow work, write or sign in at once, whoever asks for little is answered."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.support.cast import ADA, MODEL, PASSWORD, Device, Office, change, open_office
from tests.support.until import PATIENCE_S, wait_until
from wattwalk import accounts, serve
from wattwalk.api import gate, results
from wattwalk.api.gate import Gate, Gates
from wattwalk.sync import push


@pytest.fixture
def alone(tmp_path: Path) -> Iterator[Office]:
    """An office of its own on SQLite: what is held up here holds up no other test, and who waits at a gate does so until it is let in."""
    with open_office(f"sqlite:///{tmp_path / 'wattwalk.sqlite3'}", tmp_path) as office:
        gates = office.app.extensions["wattwalk-gates"]
        for one in (gates.slow, gates.writes, gates.sign_in):
            one._patience_s = PATIENCE_S
        yield office


class Slow:
    """Something that goes on until it is let go; counts how many are in it at once."""

    def __init__(self, real: Callable[..., Any]) -> None:
        self._real = real
        self._lock = threading.Lock()
        self._inside = 0
        self.most = 0
        self.may_end = threading.Event()

    def wait_for(self, number: int) -> None:
        """Wait until so many have been in it at once."""
        wait_until(lambda: self.most >= number, lambda: f"{self.most} of {number} at once")

    def __call__(self, *given: Any, **named: Any) -> Any:
        with self._lock:
            self._inside += 1
            self.most = max(self.most, self._inside)
        assert self.may_end.wait(PATIENCE_S)
        with self._lock:
            self._inside -= 1
        return self._real(*given, **named)


class Many:
    """The same request from many phones at once."""

    def __init__(self, asked: list[Callable[[], Any]]) -> None:
        self.answers: list[Any] = []
        self._threads = [threading.Thread(target=lambda one=one: self.answers.append(one())) for one in asked]
        for thread in self._threads:
            thread.start()

    def wait_for(self, number: int) -> None:
        """Wait until so many have been answered."""
        wait_until(lambda: len(self.answers) >= number, lambda: f"{len(self.answers)} of {number} answered")

    def join(self) -> list[int]:
        """Wait for all and return the statuses, sorted."""
        for thread in self._threads:
            thread.join(PATIENCE_S)
        return sorted(answer.status_code for answer in self.answers)


def assert_light_work_goes_on(device: Device) -> None:
    """Ask for little while what is slow goes on: it ends only when it is let go, so whoever waited for it would be sent away."""
    assert device.client.get("/api/health").status_code == 200
    assert device.client.get("/api/surveys?since=1").status_code == 200
    assert device.client.get(f"{device.path}/changes?model={MODEL}").status_code == 200


def assert_sent_away(many: Many, number: int) -> None:
    many.wait_for(number)
    assert [(answer.status_code, answer.json["code"]) for answer in many.answers] == [(503, "office_busy")] * number
    assert all(int(answer.headers["Retry-After"]) > 0 for answer in many.answers)


def test_slow_work_leaves_threads_to_the_others(alone: Office, monkeypatch: pytest.MonkeyPatch) -> None:
    ada = alone.device(ADA)
    ada.push(change())
    slow = Slow(results.assess)
    monkeypatch.setattr(results, "assess", slow)
    phones = [alone.device(ADA) for _ in range(12)]
    many = Many([lambda phone=phone: phone.client.get(f"{phone.path}/assessment") for phone in phones])
    assert_sent_away(many, 7)
    assert_light_work_goes_on(ada)
    # Writing has places of its own.
    ada.push(change(field="width_m", value=2))
    slow.wait_for(2)
    slow.may_end.set()
    assert many.join() == [200] * 5 + [503] * 7
    assert slow.most == 2
    # Every place was given back.
    assert [ada.client.get(f"{ada.path}/assessment").status_code for _ in range(6)] == [200] * 6


def test_writers_leave_threads_to_the_others(alone: Office, monkeypatch: pytest.MonkeyPatch) -> None:
    ada = alone.device(ADA)
    ada.push(change())
    slow = Slow(push.push)
    with monkeypatch.context() as patched:
        patched.setattr(push, "push", slow)
        phones = [alone.device(ADA) for _ in range(13)]
        many = Many([lambda phone=phone: phone.send(change(field="width_m", value=3)) for phone in phones])
        assert_sent_away(many, 3)
        assert_light_work_goes_on(ada)
        slow.wait_for(4)
        slow.may_end.set()
        assert many.join() == [200] * 10 + [503] * 3
    assert slow.most == 4


def test_two_passwords_at_most_are_hashed_at_once(alone: Office, monkeypatch: pytest.MonkeyPatch) -> None:
    ada = alone.device(ADA)
    ada.push(change())
    slow = Slow(accounts._matches)
    monkeypatch.setattr(accounts, "_matches", slow)
    given = {"email": ADA.email, "password": PASSWORD}
    many = Many([lambda: alone.app.test_client().post("/api/session", json=given)] * 9)
    assert_sent_away(many, 5)
    assert_light_work_goes_on(ada)
    slow.wait_for(2)
    slow.may_end.set()
    assert many.join() == [200] * 4 + [503] * 5
    assert slow.most == 2


def test_one_that_waits_too_long_is_sent_away_and_its_place_is_free_again() -> None:
    few = Gate(1, 1, 0.2)
    assert few.enter()
    for _ in range(3):
        began = time.monotonic()
        assert not few.enter()
        assert time.monotonic() - began > 0.15
    few.leave()
    assert few.enter()


def test_a_failure_gives_its_place_back(alone: Office, monkeypatch: pytest.MonkeyPatch) -> None:
    ada = alone.device(ADA)
    ada.push(change())
    monkeypatch.setattr(results, "assess", lambda _survey: 1 / 0)
    assert [ada.client.get(f"{ada.path}/assessment").status_code for _ in range(8)] == [500] * 8


def test_all_places_together_are_fewer_than_the_threads() -> None:
    assert Gates().places() + 4 < serve.THREADS


def test_the_gates_name_addresses_that_there_are(alone: Office) -> None:
    endpoints = {rule.endpoint for rule in alone.app.url_map.iter_rules()}
    assert {gate._SIGN_IN, *gate._SLOW, *gate._WRITES} <= endpoints


def test_a_list_from_its_beginning_is_slow_work_and_news_is_not(alone: Office) -> None:
    gates = Gates()
    with alone.app.test_request_context("/api/surveys"):
        assert gates.of_request().places == gates.slow.places
    with alone.app.test_request_context("/api/surveys?since=0"):
        assert gates.of_request() is gates.slow
    with alone.app.test_request_context("/api/surveys?since=7"):
        assert gates.of_request() is None
