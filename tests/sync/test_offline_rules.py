"""Rows of the table of what has gone wrong elsewhere, over real connections to the web server that the program runs on."""

from __future__ import annotations

import json
import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import waitress
from waitress import wasyncore

from tests.support.cast import ADA, BEN, Device, Office, change
from tests.support.together import together
from tests.support.until import PATIENCE_S
from tests.sync.test_push import assert_log_holds
from wattwalk.api.access import PLAIN_COOKIE


@contextmanager
def serving(office: Office) -> Iterator[int]:
    """Serve the office on a port of this machine and yield the port."""
    sockets: dict[int, Any] = {}
    server = waitress.create_server(office.app, host="127.0.0.1", port=0, threads=4, map=sockets)
    thread = threading.Thread(target=server.run)
    thread.start()
    try:
        yield server.effective_port
    finally:
        server.task_dispatcher.shutdown()
        # The loop ends when it has nothing left to watch; only its own thread may close what it watches.
        server.trigger.pull_trigger(lambda: wasyncore.close_all(sockets))
        thread.join(timeout=PATIENCE_S)
        assert not thread.is_alive()


def request(device: Device, *changes: dict[str, Any]) -> bytes:
    """Return the bytes of a push as they go over the line."""
    body = json.dumps({"device": device.name, "app": "0.1.0", "changes": list(changes)}).encode()
    cookie = device.client.get_cookie(PLAIN_COOKIE)
    head = (
        f"POST {device.path}/changes HTTP/1.1\r\nHost: 127.0.0.1\r\nCookie: {PLAIN_COOKIE}={cookie.value}\r\n"
        f"Content-Type: application/json\r\nContent-Length: {len(body)}\r\nConnection: close\r\n\r\n"
    )
    return head.encode() + body


def ask(port: int, sent: bytes, *, read: int | None = None) -> bytes:
    """Send these bytes and no more, and return the answer; after `read` bytes of it the line is dropped."""
    with socket.create_connection(("127.0.0.1", port), timeout=PATIENCE_S) as line:
        line.sendall(sent)
        if read is None:
            line.shutdown(socket.SHUT_WR)
        answer = b""
        while (read is None or len(answer) < read) and (
            part := line.recv(4096 if read is None else read - len(answer))
        ):
            answer += part
        return answer


def test_row_15_a_request_that_breaks_off_after_any_byte_leaves_nothing_or_all(office: Office) -> None:
    ada = office.device(ADA)
    whole = request(ada, change(value=4.2), change(field="width_m", value=3), change("hall", "name", "Hall"))
    with serving(office) as port:
        for end in sorted({*range(0, len(whole), 41), len(whole) - 2, len(whole) - 1}):
            ask(port, whole[:end])
            assert ada.client.get(ada.path).status_code == 404, (
                f"something was taken of a request that broke off after {end} bytes"
            )
        answer = ask(port, whole)
        assert answer.startswith(b"HTTP/1.1 200")
    assert ada.view()["revision"] == 3
    assert_log_holds(office)


def test_row_15_an_answer_that_breaks_off_after_any_byte_is_given_again(office: Office) -> None:
    ada = office.device(ADA)
    changes = [change(value=4.2), change(field="width_m", value=3), change(field="height_m", value=999)]
    whole = request(ada, *changes)
    with serving(office) as port:
        first = ada.push(*changes)
        length = len(ask(port, whole))
        for end in range(0, length, 37):
            assert len(ask(port, whole, read=end)) == end
    assert ada.push(*changes) == first
    assert ada.view()["revision"] == 2
    assert len(ada.view()["refused"]) == 1
    assert_log_holds(office)


def test_two_phones_and_the_office_at_once_end_equal(office: Office) -> None:
    """Three people work on one survey at the same moment; each offers, pulls and in the end shows what the others show."""
    devices = [office.device(ADA, "ada"), office.device(BEN, "ben"), office.device(ADA, "office")]
    devices[0].push(change(field="name", value="Kitchen"))

    def work(place: int, device: Device) -> None:
        for turn in range(10):
            seen = {(line["record"], line["field"]): line["revision"] for line in device.pull()}
            fields = (
                ("kitchen", "length_m", 3 + place + turn / 10),
                ("kitchen", "notes", f"{device.name} {turn}"),
                (f"room-{place}", "name", f"{turn}"),
            )
            device.push(
                *(change(record, field, value, seen=seen.get((record, field), 0)) for record, field, value in fields)
            )

    together(work, devices)
    logs = [device.pull() for device in devices]
    assert logs[0] == logs[1] == logs[2]
    assert [line["revision"] for line in logs[0]] == list(range(1, 92))
    shown: dict[tuple[str, str], Any] = {}
    for line in logs[0]:
        # Whatever took another's place unseen is a contest; nothing was overwritten in silence.
        before = shown.get((line["record"], line["field"]))
        if before and before["device"] != line["device"] and line["seen"] < before["revision"]:
            assert line["contested"], line
        shown[line["record"], line["field"]] = line
    views = [device.view() for device in devices]
    assert views[0] == views[1] == views[2]
    for contest in views[0]["contested"]:
        assert len({value["device"] for value in contest["values"]}) > 1
        devices[1].push(
            change(
                contest["record"],
                contest["field"],
                contest["values"][0]["value"],
                seen=shown[contest["record"], contest["field"]]["revision"],
                resolves=True,
            )
        )
    assert devices[2].view()["contested"] == []
    assert_log_holds(office)
