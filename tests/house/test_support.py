"""The helpers the other tests lean on do what they say."""

from __future__ import annotations

import socket
import threading
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

import pytest
from sqlalchemy import create_engine, text

from tests.conftest import OutsideNetworkError
from tests.support.chromium import Chromium


class _OnePage(BaseHTTPRequestHandler):
    def do_GET(self) -> None:
        self.send_response(200)
        self.send_header("Content-Type", "text/html")
        self.end_headers()
        self.wfile.write(b'<meta name="viewport" content="width=device-width"><title>A page</title>')

    def log_message(self, *_: object) -> None:
        """Say nothing."""


@pytest.fixture
def page_address() -> Iterator[str]:
    with ThreadingHTTPServer(("127.0.0.1", 0), _OnePage) as server:
        thread = threading.Thread(target=server.serve_forever)
        thread.start()
        yield f"http://localhost:{server.server_port}/"
        server.shutdown()
        thread.join()


def test_a_database_is_empty_and_takes_a_table(database_url: str) -> None:
    engine = create_engine(database_url)
    with engine.begin() as connection:
        connection.execute(text("CREATE TABLE room (name TEXT)"))
        connection.execute(text("INSERT INTO room VALUES ('Küche')"))
    with engine.connect() as connection:
        assert connection.execute(text("SELECT name FROM room")).scalar_one() == "Küche"
    engine.dispose()


def test_nothing_outside_this_machine_can_be_reached() -> None:
    # 192.0.2.1 is set aside for documentation (RFC 5737): nobody answers there.
    with socket.socket() as outward, pytest.raises(OutsideNetworkError, match=r"192\.0\.2\.1"):
        outward.connect(("192.0.2.1", 80))


def test_a_killed_phone_keeps_what_it_had_stored(phone: Chromium, page_address: str) -> None:
    page = phone.start().pages[0]
    page.goto(page_address)
    page.evaluate(
        """() => new Promise((resolve, reject) => {
            const opening = indexedDB.open('kept', 1);
            opening.onupgradeneeded = () => opening.result.createObjectStore('notes');
            opening.onerror = () => reject(opening.error);
            opening.onsuccess = () => {
                const writing = opening.result.transaction('notes', 'readwrite', { durability: 'strict' });
                writing.objectStore('notes').put('hall', 'first');
                writing.oncomplete = () => resolve();
            };
        })"""
    )
    phone.kill()

    page = phone.start().pages[0]
    page.goto(page_address)
    stored = page.evaluate(
        """() => new Promise((resolve, reject) => {
            const opening = indexedDB.open('kept', 1);
            opening.onerror = () => reject(opening.error);
            opening.onsuccess = () => {
                const reading = opening.result.transaction('notes').objectStore('notes').get('first');
                reading.onsuccess = () => resolve(reading.result);
            };
        })"""
    )
    assert stored == "hall"
    assert page.evaluate("() => innerWidth") == 360
    assert page.evaluate("() => navigator.maxTouchPoints") > 0


def test_lasting_storage_can_be_granted(laptop: Chromium, page_address: str) -> None:
    page = laptop.start().pages[0]
    laptop.allow_lasting_storage(page_address.rstrip("/"))
    page.goto(page_address)
    assert page.evaluate("() => navigator.storage.persist()") is True
    assert page.evaluate("() => innerWidth") == 1280
