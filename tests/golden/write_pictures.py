"""Write pictures that go on to their end and pictures that do not, for the office's check and the phone's.

python -m tests.golden.write_pictures
"""

from __future__ import annotations

import base64
import io
import json
from pathlib import Path

from PIL import Image

FILE = Path(__file__).with_name("pictures.json")


def made(format: str, **options: object) -> bytes:
    """Return a small picture of this format."""
    written = io.BytesIO()
    Image.linear_gradient("L").resize((24, 16)).convert("RGB").save(written, format, **options)
    return written.getvalue()


def cases() -> list[tuple[str, str, bytes, bool]]:
    """Return the name, the media type and the bytes of each case, and whether the picture is whole."""
    jpeg, progressive, png, webp = (
        made("JPEG"),
        made("JPEG", progressive=True),
        made("PNG"),
        made("WEBP", lossless=True),
    )
    noted = made("JPEG", exif=b"Exif\0\0MM\0*\0\0\0\x08\0\0\0\0\0\0", comment=b"\xff\xd9 within the words is no end")
    second_scan = progressive.index(b"\xff\xda", progressive.index(b"\xff\xda") + 2)
    return [
        ("jpeg", "image/jpeg", jpeg, True),
        (
            "jpeg with more after its end, as some phones write it",
            "image/jpeg",
            jpeg + b"more of the maker's own",
            True,
        ),
        ("jpeg with notes that hold the mark of the end", "image/jpeg", noted, True),
        ("jpeg with notes, cut after them", "image/jpeg", noted[: noted.index(b"no end") + 6], False),
        ("jpeg without its end mark", "image/jpeg", jpeg[:-2], False),
        ("jpeg without half its end mark", "image/jpeg", jpeg[:-1], False),
        ("jpeg without its last 20 bytes", "image/jpeg", jpeg[:-20], False),
        ("progressive jpeg", "image/jpeg", progressive, True),
        ("progressive jpeg after its first scan", "image/jpeg", progressive[:second_scan], False),
        (
            "two pictures in one jpeg",
            "image/jpeg",
            made("MPO", save_all=True, append_images=[Image.new("RGB", (8, 8))]),
            True,
        ),
        ("png", "image/png", png, True),
        ("png with more after its end", "image/png", png + b"more", True),
        ("png without its last 20 bytes", "image/png", png[:-20], False),
        ("png without its last chunk", "image/png", png[:-12], False),
        ("png without its last byte", "image/png", png[:-1], False),
        ("webp", "image/webp", webp, True),
        ("webp without its last byte", "image/webp", webp[:-1], False),
        ("webp without its last 20 bytes", "image/webp", webp[:-20], False),
    ]


if __name__ == "__main__":
    listed = [
        {"name": name, "media_type": media_type, "whole": whole, "base64": base64.b64encode(data).decode()}
        for name, media_type, data, whole in cases()
    ]
    FILE.write_text(json.dumps(listed, indent=1, ensure_ascii=False) + "\n")
