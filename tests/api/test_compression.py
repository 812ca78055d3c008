"""Bodies packed with gzip, in and out: the same as unpacked ones, and never more than may come unpacked."""

from __future__ import annotations

import gzip
import io
import json
import zlib

import pytest

from tests.support.cast import ADA, MODEL, Office, change
from wattwalk.api.compression import unpack
from wattwalk.api.errors import Refusal

LIMIT = 10_000


def send(device, packed: bytes, **headers: str):
    return device.client.post(
        f"{device.path}/changes",
        data=packed,
        headers={"Content-Type": "application/json", "Content-Encoding": "gzip", **headers},
    )


def body(device, *changes: dict) -> bytes:
    return json.dumps({"device": device.name, "app": "0.1.0", "changes": list(changes)}).encode()


def test_a_packed_batch_is_taken_like_an_unpacked_one(office: Office) -> None:
    device = office.device(ADA)
    changes = [change(f"room-{number}", "name", "Zimmer é ☃") for number in range(50)]
    packed = gzip.compress(body(device, *changes))
    answer = send(device, packed)
    assert answer.status_code == 200, answer.get_data(as_text=True)
    assert [result["status"] for result in answer.json["results"]] == ["accepted"] * 50
    assert answer.json == device.push(*changes)
    assert {item["value"] for item in device.pull()} == {"Zimmer é ☃"}


@pytest.mark.parametrize(
    "spoil",
    [
        lambda packed: packed[:-9],
        lambda packed: packed[: len(packed) // 2],
        lambda packed: b"{" + packed,
        lambda packed: packed + b"more",
        lambda packed: b"",
    ],
)
def test_a_damaged_one_is_refused_in_the_one_shape_and_nothing_of_it_is_taken(office: Office, spoil) -> None:
    device = office.device(ADA)
    answer = send(device, spoil(gzip.compress(body(device, change()))))
    assert (answer.status_code, answer.json["code"]) == (400, "not_unpacked")
    assert set(answer.json) == {"code", "message", "field", "record"}
    assert device.listed() is None


def test_a_bomb_is_refused_before_it_is_unpacked(office: Office) -> None:
    device = office.device(ADA)
    bomb = zlib.compressobj(9, zlib.DEFLATED, 31)
    packed = b"".join([*(bomb.compress(bytes(1_000_000)) for _ in range(100)), bomb.flush()])
    assert len(packed) < 200_000
    answer = send(device, packed)
    assert (answer.status_code, answer.json["code"]) == (413, "too_large")


class Counting(io.BytesIO):
    taken = 0

    def read(self, size: int | None = -1) -> bytes:
        piece = super().read(size)
        self.taken += len(piece)
        return piece


def test_unpacking_stops_at_the_limit_and_reads_no_further() -> None:
    assert unpack(io.BytesIO(gzip.compress(bytes(LIMIT))), LIMIT) == bytes(LIMIT)
    source = Counting(gzip.compress(bytes(200_000_000), 1))
    with pytest.raises(Refusal) as refused:
        unpack(source, LIMIT)
    assert refused.value.status == 413
    assert source.taken <= 64 * 1024


@pytest.mark.parametrize("coding", ["br", "deflate", "gzip, gzip"])
def test_another_packing_is_refused(office: Office, coding: str) -> None:
    device = office.device(ADA)
    answer = send(device, gzip.compress(body(device, change())), **{"Content-Encoding": coding})
    assert (answer.status_code, answer.json["code"]) == (415, "wrong_type")


def test_nobody_unpacks_for_a_stranger(office: Office) -> None:
    answer = office.app.test_client().post(
        "/api/surveys/x/changes",
        data=b"no gzip",
        headers={"Content-Type": "application/json", "Content-Encoding": "gzip"},
    )
    assert answer.status_code == 401


def test_long_answers_come_packed_to_whoever_asks(office: Office) -> None:
    device = office.device(ADA)
    device.push(*(change(f"room-{number}", "name", f"Room {number}") for number in range(40)))
    plain = device.client.get(f"{device.path}/changes?since=0&model={MODEL}")
    packed = device.client.get(f"{device.path}/changes?since=0&model={MODEL}", headers={"Accept-Encoding": "gzip, br"})
    assert "Content-Encoding" not in plain.headers
    assert packed.headers["Content-Encoding"] == "gzip"
    assert "Accept-Encoding" in packed.headers["Vary"]
    assert gzip.decompress(packed.data) == plain.data
    assert len(packed.data) < len(plain.data) / 4
    assert packed.headers["Content-Length"] == str(len(packed.data))
    short = device.client.get("/api/health", headers={"Accept-Encoding": "gzip"})
    assert "Content-Encoding" not in short.headers


@pytest.mark.parametrize("accepted", ["gzip;q=0", "br", "identity"])
def test_answers_come_as_they_are_to_whoever_cannot_unpack_them(office: Office, accepted: str) -> None:
    device = office.device(ADA)
    device.push(*(change(f"room-{place}", "name", f"Room {place}") for place in range(40)))
    answer = device.client.get(f"{device.path}/changes?model={MODEL}", headers={"Accept-Encoding": accepted})
    assert "Content-Encoding" not in answer.headers
    assert len(answer.json["changes"]) == 40


def test_the_description_says_that_changes_may_come_packed(office: Office) -> None:
    described = office.app.test_client().get("/api/openapi.json").json
    assert "Content-Encoding: gzip" in described["paths"]["/api/surveys/{survey_id}/changes"]["post"]["description"]
