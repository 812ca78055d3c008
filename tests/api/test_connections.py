"""Many connections that lie idle or come slowly, and answers that nobody reads: the server goes on answering everybody else."""

from __future__ import annotations

import json
import os
import socket
import statistics
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any
from urllib.request import Request, urlopen

import pytest

from tests.support.cast import change
from tests.support.server import Server
from tests.support.until import PATIENCE_S
from wattwalk import connections
from wattwalk.connections import make_server
from wattwalk.fill_in import EMAIL, PASSWORD
from wattwalk.serve import bind

HALF_A_HEAD = b"GET /api/health HTTP/1.1\r\nHost: x\r\n"
HALF_A_BODY = (
    b"POST /api/session HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: 1000\r\n\r\n{"
)
WHOLE = b"GET / HTTP/1.1\r\nHost: x\r\n\r\n"


def crowd(stack: ExitStack, port: int, number: int) -> list[socket.socket]:
    """Open connections from five addresses: a third idle, a third with half a head, a third with half a body."""
    opened = []
    for place in range(number):
        one = stack.enter_context(
            socket.create_connection(
                ("127.0.0.1", port), timeout=PATIENCE_S, source_address=(f"127.0.0.{2 + place % 5}", 0)
            )
        )
        one.sendall((b"", HALF_A_HEAD, HALF_A_BODY)[place % 3])
        opened.append(one)
    return opened


def ask(url: str, cookie: str = "", body: Any = None) -> tuple[float, Any, str]:
    """Ask once over a connection of its own; return the milliseconds, the answer and the cookie that came."""
    headers = {"Cookie": cookie, **({} if body is None else {"Content-Type": "application/json"})}
    began = time.perf_counter()
    with urlopen(
        Request(url, headers=headers, data=None if body is None else json.dumps(body).encode()), timeout=PATIENCE_S
    ) as answer:
        read = json.load(answer)
    return (time.perf_counter() - began) * 1000, read, (answer.headers["Set-Cookie"] or "").split(";")[0]


def add_person(server: Server) -> None:
    """Let somebody sign in; the office is running."""
    program = Path(sys.executable).parent / "wattwalk"
    environment = {**os.environ, "WATTWALK_HOME": str(server.home)}
    subprocess.run(
        [program, "user", "add", EMAIL, "--firm", "Teasel Heating"],
        input=PASSWORD,
        text=True,
        env=environment,
        check=True,
    )


@pytest.mark.alone
def test_two_thousand_that_say_nothing_keep_nobody_out(tmp_path: Path, say: Callable[[str], None]) -> None:
    with Server(tmp_path) as server, ExitStack() as stack:
        add_person(server)
        opened = crowd(stack, server.port, 2_000)
        ask(f"{server.url}/api/health")
        health = [ask(f"{server.url}/api/health")[0] for _ in range(30)]
        say(
            f"2,000 idle or half-sent connections: health answered in {statistics.median(health):.1f} ms in the middle, {max(health):.0f} ms at most"
        )
        assert statistics.median(health) < 100
        _, _, cookie = ask(f"{server.url}/api/session", body={"email": EMAIL, "password": PASSWORD})
        took, pushed, _ = ask(
            f"{server.url}/api/surveys/house/changes", cookie, {"device": "phone", "changes": [change()]}
        )
        assert pushed["revision"] == 1
        assert took < 5_000
        assert ask(f"{server.url}/api/surveys?since=0", cookie)[1]["count"] == 1
        # They are all still there: it was not by sending them away that there was room.
        assert sum(is_open(one) for one in opened) == 2_000


def is_open(one: socket.socket) -> bool:
    one.setblocking(False)
    try:
        return one.recv(1) != b""
    except BlockingIOError:
        return True
    except ConnectionResetError:
        return False


def test_when_all_are_taken_the_longest_idle_make_room(tmp_path: Path) -> None:
    program = tmp_path / "with-few-files"
    program.write_text('#!/bin/sh\nulimit -n 800\nexec "$REAL_PROGRAM" "$@"\n')
    program.chmod(0o755)
    with (
        Server(
            tmp_path, program=program, environment={"REAL_PROGRAM": str(Path(sys.executable).parent / "wattwalk")}
        ) as server,
        ExitStack() as stack,
    ):
        first = crowd(stack, server.port, 60)
        # Answered, the server has taken in those before it as well.
        ask(f"{server.url}/api/health")
        crowd(stack, server.port, 190)
        assert ask(f"{server.url}/api/health")[1]["status"] == "ok"
        assert not any(is_open(one) for one in first)
        printed = server.printed()
    assert "at most 100 connections are held at once" in printed
    assert "When all are taken, those that have done nothing for longest are ended" in printed
    assert printed.count("When all are taken") == 1


class Held:
    """A server of ours in this process, with a small application behind it."""

    def __init__(self, application: Callable[..., Any], threads: int) -> None:
        listener = bind("127.0.0.1", 0)
        self.port = listener.getsockname()[1]
        self._server = make_server(application, listener, threads=threads, max_body=1_000_000, clear_proxy_headers=True)
        self._is_over = threading.Event()
        self._thread = threading.Thread(target=self._run, daemon=True)
        self._thread.start()

    def _run(self) -> None:
        for one in list(self._server._map.values()):
            self._server.touch(one)
        while not self._is_over.is_set():
            self._server._turn()

    def connect(self, said: bytes = b"") -> socket.socket:
        """Open a connection and say something on it."""
        one = socket.create_connection(("127.0.0.1", self.port), timeout=PATIENCE_S)
        one.sendall(said)
        return one

    def close(self) -> None:
        """End it."""
        self._is_over.set()
        self._server.pull_trigger()
        self._thread.join(PATIENCE_S)
        self._server.task_dispatcher.shutdown()
        for one in list(self._server.active_channels.values()):
            one.handle_close()
        self._server.close()


@contextmanager
def serving(application: Callable[..., Any], threads: int = 1) -> Iterator[Held]:
    held = Held(application, threads)
    try:
        yield held
    finally:
        held.close()


def small(_environ: dict[str, Any], start: Callable[..., Any]) -> list[bytes]:
    start("200 OK", [("Content-Length", "2")])
    return [b"ok"]


def large(environ: dict[str, Any], start: Callable[..., Any]) -> list[bytes]:
    """Answer with 40 MB, in pieces, but on one address with next to nothing."""
    if environ["PATH_INFO"] == "/small":
        return small(environ, start)
    start("200 OK", [("Content-Length", str(40 * 1_000_000))])
    return [b"x" * 1_000_000] * 40


def is_closed(one: socket.socket) -> bool:
    """Read until the server has closed the connection; one that stays open fails by the socket's own patience."""
    try:
        while one.recv(65_536):
            pass
    except ConnectionResetError:
        pass
    return True


@pytest.fixture
def quick_looks(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(connections, "IDLE_S", 0.6)
    monkeypatch.setattr(connections, "WAY_S", 1.5)
    monkeypatch.setattr(connections, "LOOK_S", 0)


def test_an_idle_connection_and_a_half_sent_request_end(quick_looks: None) -> None:
    with serving(small) as held:
        for said in (b"", HALF_A_HEAD, HALF_A_BODY, WHOLE):
            with held.connect(said) as one:
                assert is_closed(one)


def drip(one: socket.socket) -> None:
    until = time.monotonic() + PATIENCE_S
    while time.monotonic() < until:
        one.sendall(b"A: b\r\n")
        time.sleep(0.1)


def test_a_request_that_comes_by_drops_ends_too(quick_looks: None) -> None:
    began = time.monotonic()
    with serving(small) as held, held.connect(HALF_A_HEAD) as one:
        with pytest.raises(OSError, match=r"Broken pipe|reset"):
            drip(one)
        assert time.monotonic() - began > 1.4


def test_a_slow_request_that_gets_on_is_served(quick_looks: None, monkeypatch: pytest.MonkeyPatch) -> None:
    # All of it takes longer than one may lie idle, and no step of it nearly as long.
    monkeypatch.setattr(connections, "IDLE_S", 2.0)
    monkeypatch.setattr(connections, "WAY_S", 60)
    with serving(small) as held, held.connect() as one:
        for byte in (WHOLE[place : place + 4] for place in range(0, len(WHOLE), 4)):
            one.sendall(byte)
            time.sleep(0.35)
        assert b"200 OK" in one.recv(1000)


def test_a_request_that_is_worked_on_is_waited_for(quick_looks: None) -> None:
    def slow(environ: dict[str, Any], start: Callable[..., Any]) -> list[bytes]:
        time.sleep(2.5)
        return small(environ, start)

    with serving(slow) as held, held.connect(WHOLE) as one:
        assert b"200 OK" in one.recv(1000)


def test_an_answer_that_nobody_reads_holds_no_thread(quick_looks: None) -> None:
    with (
        serving(large) as held,
        held.connect(WHOLE),
        held.connect(WHOLE * 2),
        held.connect(WHOLE * 40),
        held.connect(b"GET /small HTTP/1.1\r\nHost: x\r\n\r\n") as one,
    ):
        began = time.monotonic()
        assert b"200 OK" in one.recv(1000)
        assert time.monotonic() - began < 30


def test_an_answer_that_is_read_slowly_comes_whole() -> None:
    with serving(large) as held, held.connect(WHOLE.replace(b"\r\n\r\n", b"\r\nConnection: close\r\n\r\n")) as one:
        one.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 65_536)
        read = 0
        while piece := one.recv(1_000_000):
            read += len(piece)
    assert read > 40_000_000


def test_what_has_been_said_of_an_answer_goes_out_while_the_rest_is_made() -> None:
    has_all = threading.Event()

    def in_two(_environ: dict[str, Any], start: Callable[..., Any]) -> Iterator[bytes]:
        start("200 OK", [("Content-Length", str(30_000_002))])
        time.sleep(0.3)  # until the loop has seen that nothing is to be sent yet
        yield b"x" * 30_000_000
        yield b"ok" if has_all.wait(PATIENCE_S / 2) else b"no"

    with serving(in_two) as held, held.connect(WHOLE) as one:
        read = 0
        while read < 30_000_000:
            read += len(one.recv(1_000_000))
        has_all.set()
        assert one.recv(1000).endswith(b"ok")


def test_requests_sent_ahead_are_few() -> None:
    may_answer = threading.Event()

    def held_up(environ: dict[str, Any], start: Callable[..., Any]) -> list[bytes]:
        assert environ["PATH_INFO"] == "/small" or may_answer.wait(PATIENCE_S / 2)
        return small(environ, start)

    with serving(held_up, threads=2) as held, held.connect(WHOLE * 40) as one:
        # Who comes after them is answered, so they have all been looked at before the first has its answer.
        with held.connect(b"GET /small HTTP/1.1\r\nHost: x\r\n\r\n") as later:
            assert b"200 OK" in later.recv(1000)
        may_answer.set()
        came = b""
        while piece := one.recv(65_536):
            came += piece
    assert came.count(b"200 OK") == connections.MOST_AT_ONCE


def test_a_connection_serves_one_request_after_the_other() -> None:
    with serving(small) as held, held.connect() as one:
        for _ in range(50):
            one.sendall(WHOLE)
            came = b""
            while not came.endswith(b"\r\n\r\nok"):
                came += one.recv(1000)
