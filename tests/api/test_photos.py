"""Photos: kept under their hash when they are what they claim to be, refused in words when not."""

from __future__ import annotations

import hashlib
import io
import struct
import zlib

import pytest
from PIL import Image

from tests.support.cast import ADA, CORA, Device, Office, change, picture
from wattwalk.survey.errors import SurveyError
from wattwalk.sync.photos import MAX_BYTES, check_picture


def sha256(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def put(device: Device, data: bytes, name: str | None = None, content_type: str = "image/jpeg"):
    return device.client.put(f"{device.path}/photos/{name or sha256(data)}", data=data, content_type=content_type)


@pytest.fixture
def ada(office: Office) -> Device:
    device = office.device(ADA)
    device.push(change())
    return device


@pytest.mark.parametrize(
    ("format", "media_type"),
    [("JPEG", "image/jpeg"), ("PNG", "image/png"), ("WEBP", "image/webp"), ("MPO", "image/jpeg")],
)
def test_a_picture_is_kept_and_comes_back_byte_for_byte(ada: Device, format: str, media_type: str) -> None:
    options = {"save_all": True, "append_images": [Image.new("RGB", (8, 8))]} if format == "MPO" else {}
    data = picture(format=format, **options)
    path = f"{ada.path}/photos/{sha256(data)}"
    assert ada.client.head(path).status_code == 404
    first = put(ada, data)
    assert first.status_code == 201
    assert first.json == {
        "sha256": sha256(data),
        "media_type": media_type,
        "size_bytes": len(data),
        "width_px": 64,
        "height_px": 48,
    }
    assert put(ada, data).status_code == 200
    got = ada.client.get(path, buffered=True)
    assert (got.data, got.content_type) == (data, media_type)
    assert got.headers["Cache-Control"] == "no-store"
    assert ada.client.head(path, buffered=True).status_code == 200


def bomb() -> bytes:
    """Return a PNG of a few hundred bytes that claims 30,000 × 30,000 pixels."""

    def chunk(name: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))

    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", struct.pack(">IIBBBBB", 30_000, 30_000, 8, 0, 0, 0, 0))
        + chunk(b"IDAT", zlib.compress(b"\0" * 1000))
        + chunk(b"IEND", b"")
    )


@pytest.mark.parametrize(("size", "is_taken"), [((9000, 6666), True), ((6667, 9000), False)])
def test_pixels_are_counted_whatever_the_shape(size: tuple[int, int], *, is_taken: bool) -> None:
    # One bit a pixel: sixty million of them are a small file.
    written = io.BytesIO()
    Image.new("1", size).save(written, "PNG")
    if is_taken:
        assert check_picture(written.getvalue()) == ("image/png", *size)
    else:
        with pytest.raises(SurveyError) as refused:
            check_picture(written.getvalue())
        assert [problem.code for problem in refused.value.problems] == ["picture_too_large"]


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"", "not_a_picture"),
        (b"not a picture at all", "not_a_picture"),
        (b"%PDF-1.7 and more", "not_a_picture"),
        (picture(200, 150)[:-200], "not_a_picture"),
        (picture(200, 150, "PNG")[:-60], "not_a_picture"),
        (picture(format="GIF"), "not_a_picture"),
        (b'<svg xmlns="http://www.w3.org/2000/svg"/>', "not_a_picture"),
        (bomb(), "picture_too_large"),
        (b"\xff" * (MAX_BYTES + 1), "picture_too_large"),
    ],
    ids=["empty", "text", "pdf", "half a jpeg", "half a png", "gif", "svg", "bomb", "20 MB"],
)
def test_what_is_no_picture_is_refused(ada: Device, data: bytes, code: str) -> None:
    answer = put(ada, data)
    assert (answer.status_code, answer.json["code"]) == (422, code)
    # Its hash tells the phone that the office itself refuses it, and no machine on the way.
    assert answer.json["record"] == f"photo/{sha256(data)}"
    assert ada.client.get(f"{ada.path}/photos/{sha256(data)}").status_code == 404


def test_bytes_of_another_hash_are_refused(ada: Device) -> None:
    answer = put(ada, picture(), sha256(b"another"))
    assert (answer.status_code, answer.json["code"], answer.json["record"]) == (422, "hash_differs", None)


def test_a_body_that_is_not_an_image_is_refused(ada: Device) -> None:
    assert put(ada, picture(), content_type="application/json").json["code"] == "wrong_type"
    assert put(ada, picture(), content_type="application/octet-stream").json["code"] == "wrong_type"


def test_photos_of_another_firm_are_not_found(ada: Device, office: Office) -> None:
    data = picture()
    put(ada, data)
    cora = office.device(CORA)
    assert put(cora, data).status_code == 404
    for path in (f"{cora.path}/photos/{sha256(data)}", f"{cora.path}/photos/{sha256(data)}/preview"):
        assert cora.client.get(path).json["code"] == "no_such_survey"


def test_missing_photos_are_counted_until_they_arrive(ada: Device) -> None:
    data = picture(70, 50)
    ada.push(change("photo-1", "sha256", sha256(data), kind="photo"))
    assert ada.listed()["photos_missing"] == 1
    assert ada.view()["photos"] == [{"record": "photo-1", "sha256": sha256(data), "arrived": False, "lost": False}]
    put(ada, data)
    assert ada.listed()["photos_missing"] == 0
    assert ada.view()["photos"] == [{"record": "photo-1", "sha256": sha256(data), "arrived": True, "lost": False}]


def test_a_preview_is_small_upright_and_without_the_cameras_notes(ada: Device) -> None:
    image = Image.new("RGB", (2000, 1000), "white")
    image.paste("red", (0, 0, 1000, 1000))
    notes = Image.Exif()
    notes[0x0112] = 6  # lies on its side: to be turned a quarter clockwise
    notes.get_ifd(0x8825)[1] = "N"
    written = io.BytesIO()
    image.save(written, "JPEG", exif=notes)
    put(ada, written.getvalue())
    got = ada.client.get(f"{ada.path}/photos/{sha256(written.getvalue())}/preview")
    assert got.content_type == "image/jpeg"
    small = Image.open(io.BytesIO(got.data))
    assert small.size == (480, 960)
    assert not small.getexif()
    assert small.getpixel((240, 100))[1] < 60 < 200 < small.getpixel((240, 800))[1]


def test_a_preview_of_a_transparent_picture_lies_on_white(ada: Device) -> None:
    written = io.BytesIO()
    Image.new("RGBA", (40, 30), (0, 0, 0, 0)).save(written, "PNG")
    put(ada, written.getvalue(), content_type="image/png")
    got = ada.client.get(f"{ada.path}/photos/{sha256(written.getvalue())}/preview")
    assert Image.open(io.BytesIO(got.data)).getpixel((5, 5)) == (255, 255, 255)
