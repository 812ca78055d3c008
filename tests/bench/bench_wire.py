"""How many bytes go over the wire for the edit jobs of a survey, counted at the socket with all headers; figures, not a test.

The phone's side is played here with the headers that a browser sends, the same batches and the same packing as the phone's own.
The figures to beat are those of a general replication library (a document database) for the same edits, measured
once when the first design was made; they are not measured anew here. The rows of edits are the exchange of changes alone:
what was made goes up and the log comes down, without the assessment and its drawings.
"""

from __future__ import annotations

import gzip
import hashlib
import http.client
import io
import json
import random
import socket
import sys
import tempfile
import threading
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import waitress
from PIL import Image

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.support.cast import ADA, MODEL, Device, Office, open_office
from wattwalk.api.access import PLAIN_COOKIE
from wattwalk.serve import MAX_BODY

EDITS, PHOTOS = 1_000, 40
#: The phone's largest batch (`BATCH` in pwa/src/sync/cycle.ts), and the length from which it packs a body (pwa/src/sync/api.ts).
BATCH, WORTH_PACKING = 500, 1_000
#: What the general replication library sent, bytes up (first design's measurements).
LIBRARY = {"synced every 50": 812_000, "made offline, sent at once": 137_000, "40 photos": 15_600_000}
#: The headers that Chromium adds to every request of a page, so that no row is flattered.
BROWSER = {
    "User-Agent": "Mozilla/5.0 (Linux; Android 10; K) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/140.0.0.0 Mobile Safari/537.36",
    "Accept": "application/json",
    "Accept-Language": "en-GB,en;q=0.9",
    "Accept-Encoding": "gzip, deflate, br, zstd",
    "Cache-Control": "no-cache",
    "Pragma": "no-cache",
    "Sec-Fetch-Dest": "empty",
    "Sec-Fetch-Mode": "cors",
    "Sec-Fetch-Site": "same-origin",
    "sec-ch-ua": '"Chromium";v="140", "Not=A?Brand";v="24"',
    "sec-ch-ua-mobile": "?1",
    "sec-ch-ua-platform": '"Android"',
}


class CountingSocket:
    """A socket that counts what passes through it."""

    def __init__(self, inner: socket.socket) -> None:
        self._inner = inner
        self.up = self.down = 0

    def sendall(self, data: Any) -> None:
        """Send, and count what was sent."""
        self._inner.sendall(data)
        self.up += len(data)

    def makefile(self, _mode: str) -> io.BufferedReader:
        """Return a reader of the answers that counts what the network brought."""
        counter, inner = self, self._inner

        class Reader(io.RawIOBase):
            def readable(self) -> bool:
                return True

            def readinto(self, buffer: Any) -> int:
                got = inner.recv_into(buffer)
                counter.down += got
                return got

        return io.BufferedReader(Reader())

    def close(self) -> None:
        """Close the socket."""
        self._inner.close()


class Wire:
    """One phone's connection to the office, kept open as a browser keeps it."""

    def __init__(self, port: int, device: Device) -> None:
        self.counted = CountingSocket(socket.create_connection(("127.0.0.1", port)))
        self._connection = http.client.HTTPConnection("127.0.0.1", port)
        self._connection.sock = self.counted
        self._device = device
        self._cookie = f"{PLAIN_COOKIE}={device.client.get_cookie(PLAIN_COOKIE).value}"
        self._origin = f"http://127.0.0.1:{port}"

    def ask(
        self, method: str, path: str, body: bytes | None = None, media_type: str = "application/json"
    ) -> dict[str, Any]:
        """Ask as the phone does, and return the answer's JSON."""
        headers = {**BROWSER, "Cookie": self._cookie, "Referer": f"{self._origin}/surveys/{self._device.survey}"}
        if body is not None:
            headers |= {"Content-Type": media_type, "Origin": self._origin}
            if media_type == "application/json" and len(body) >= WORTH_PACKING:
                # The browser's own packing uses zlib's usual level.
                body, headers["Content-Encoding"] = gzip.compress(body, 6), "gzip"
        self._connection.request(method, self._device.path + path, body, headers)
        answer = self._connection.getresponse()
        data = answer.read()
        assert answer.status in (200, 201), (answer.status, data[:200])
        return json.loads(gzip.decompress(data) if answer.getheader("Content-Encoding") == "gzip" else data)


def edits(rng: random.Random) -> list[dict[str, Any]]:
    """Return edits as a walk makes them, some seconds apart: sixty rooms with ids made on the phone, measures, names, notes."""
    at_ms = 1_780_000_000_000
    rooms = [id7(rng, at_ms + 60_000 * place) for place in range(60)]
    made = []
    for place in range(EDITS):
        at_ms += rng.randrange(1_000, 9_000)
        field = ("length_m", "width_m", "height_m", "name", "notes")[place % 5]
        value = (
            f"Room {place}"
            if field == "name"
            else f"Seen on the walk, {rng.randrange(1000)} steps in"
            if field == "notes"
            else rng.randrange(180, 620) / 100
        )
        moment = at_ms // 1000 % 86_400
        made.append(
            {
                "id": id7(rng, at_ms),
                "kind": "room",
                "record": rooms[place // 5 % 60],
                "field": field,
                "value": value,
                "seen": 0,
                "made_at": f"2026-05-28T{moment // 3600:02d}:{moment // 60 % 60:02d}:{moment % 60:02d}.{rng.randrange(1000):03d}Z",
            }
        )
    return made


def id7(rng: random.Random, at_ms: int) -> str:
    """Return a UUIDv7 (RFC 9562, 5.7) of that millisecond."""
    return str(uuid.UUID(int=at_ms << 80 | 0x7 << 76 | rng.getrandbits(12) << 64 | 0b10 << 62 | rng.getrandbits(62)))


def send_edits(wire: Wire, changes: list[dict[str, Any]], every: int) -> None:
    """Send the edits, so many at a time, each time followed by asking what is new."""
    since = 0
    for start in range(0, len(changes), every):
        body = {"device": "0192f6a1-phone", "app": "0.1.0", "model": MODEL, "changes": changes[start : start + every]}
        answer = wire.ask("POST", "/changes", json.dumps(body, separators=(",", ":"), ensure_ascii=False).encode())
        assert all(result["status"] == "accepted" for result in answer["results"]), answer
        pulled = wire.ask("GET", f"/changes?since={since}&limit=500&model={MODEL}")
        since = pulled["changes"][-1]["revision"]


def camera_pictures(rng: random.Random) -> list[bytes]:
    """Return JPEGs of the size that the phone keeps, with noise."""
    pictures = []
    for _ in range(PHOTOS):
        noise = Image.frombytes("L", (800, 600), rng.randbytes(480_000)).resize((1600, 1200), Image.Resampling.BICUBIC)
        written = io.BytesIO()
        Image.merge("RGB", (noise, noise, noise)).save(written, "JPEG", quality=45)
        pictures.append(written.getvalue())
    return pictures


@contextmanager
def served(office: Office) -> Iterator[int]:
    """Serve the office on a port of this machine, as `wattwalk run` does."""
    server = waitress.create_server(
        office.app, host="127.0.0.1", port=0, threads=2, ident=None, max_request_body_size=MAX_BODY
    )
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    try:
        yield server.effective_port
    finally:
        # By its own thread: closed from here, it would go on listening to what is closed, and say so.
        server.trigger.pull_trigger(server.close)
        thread.join()


def main() -> None:
    """Measure each job on a survey and a connection of its own."""
    rng = random.Random(7)
    changes, pictures = edits(rng), camera_pictures(rng)
    with (
        tempfile.TemporaryDirectory() as folder,
        open_office(f"sqlite:///{folder}/wattwalk.sqlite3", Path(folder)) as office,
        served(office) as port,
    ):
        for name, every in (("synced every 50", 50), ("made offline, sent at once", BATCH)):
            office.take_up_survey()
            wire = Wire(port, office.device(ADA))
            send_edits(wire, changes, every)
            show(f"{EDITS:,} edits, {name}", wire.counted, LIBRARY[name])
            wire.counted.close()
        office.take_up_survey()
        device = office.device(ADA)
        hashes = [hashlib.sha256(data).hexdigest() for data in pictures]
        wire = Wire(port, device)
        wire.ask("POST", "/changes", json.dumps({"device": "a phone", "changes": changes[:1]}).encode())
        wire.counted.up = wire.counted.down = 0
        for data, sha256 in zip(pictures, hashes, strict=True):
            wire.ask("PUT", f"/photos/{sha256}", data, "image/jpeg")
        total = sum(map(len, pictures))
        # The library's photos were 11.0 MB; ours are other pictures, so its figure is scaled by the bytes of the pictures themselves.
        show(f"{PHOTOS} photos of {total / 1e6:.1f} MB", wire.counted, round(LIBRARY["40 photos"] * total / 11_000_000))
        print(f"  photo bytes over their sum: {100 * (wire.counted.up / total - 1):.2f} % (aim: at most 2 %)")
        wire.counted.close()


def show(job: str, counted: CountingSocket, library: int) -> None:
    """Print a row."""
    print(
        f"  {job}: {counted.up:,} bytes up, {counted.down:,} down; general replication library {library:,} up; "
        f"ratio {counted.up / library:.2f}, with the bytes down {(counted.up + counted.down) / library:.2f}"
    )


if __name__ == "__main__":
    main()
