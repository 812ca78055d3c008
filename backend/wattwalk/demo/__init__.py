"""The demo house: an invented household, an invented house, and pictures drawn for it.  Nobody lives there."""

from __future__ import annotations

from base64 import b64encode
from datetime import date
from hashlib import sha256
from typing import Any

from .house import EXAMPLE_DAY, house
from .photos import draw_photos

__all__ = ["demo_document"]


def demo_document(day: date = EXAMPLE_DAY) -> dict[str, Any]:
    """Return the demo house as a survey document, its pictures inlined and its dates told from a day.

    The pictures are drawn anew at each call, so their hashes always fit their bytes.
    """
    document = house(day)
    drawn = draw_photos()
    document["photos"] = {}
    for record in document["records"]["photo"]:
        picture = drawn[record["id"]]
        name = sha256(picture.data).hexdigest()
        record.update(
            sha256=name,
            media_type="image/jpeg",
            size_bytes=len(picture.data),
            width_px=picture.width_px,
            height_px=picture.height_px,
        )
        document["photos"][name] = {"media_type": "image/jpeg", "base64": b64encode(picture.data).decode("ascii")}
    return document
