"""Whether a picture goes on to its end: each kind of file says by itself where that is.

The phone asks the same before it calls a photo saved (``pwa/src/domain/endings.ts``); both are held by ``tests/golden/pictures.json``.
"""

from __future__ import annotations

import re
import zlib

#: Within a JPEG's packed lines, what ends them: any marker but a stuffed zero and the marks to start again from.
_AFTER_LINES = re.compile(rb"\xff+[^\x00\xd0-\xd7\xff]", re.DOTALL)
_START_OF_LINES, _END = 0xDA, 0xD9
#: Markers that stand alone, without a length after them.
_ALONE = frozenset({0x01, *range(0xD0, 0xD9)})
_PNG_FRAME = 12


def is_whole(media_type: str, data: bytes) -> bool:
    """Say whether a JPEG, PNG or WebP picture has all that its own lengths and marks promise; what comes after its end counts for nothing.

    Raises
    ------
    ValueError
        When the media type is none of the three.

    References
    ----------
    ITU-T T.81, annex B (JPEG); W3C PNG specification, 5.3 and 11.2.5; RFC 9649, 2.3 and 2.4 (WebP); all from memory.
    """
    if media_type == "image/jpeg":
        return _jpeg_ends(data)
    if media_type == "image/png":
        return _png_ends(data)
    if media_type == "image/webp":
        return len(data) >= 12 and len(data) >= 8 + int.from_bytes(data[4:8], "little")
    raise ValueError(f"Found {media_type!r}, expected the type of a JPEG, PNG or WebP picture.")


def _jpeg_ends(data: bytes) -> bool:
    place = 2
    while place + 2 <= len(data):
        if data[place] != 0xFF:
            return False
        marker = data[place + 1]
        if marker == _END:
            return True
        if marker == 0xFF:
            # Any number of these may stand before a marker.
            place += 1
            continue
        place += 2
        if marker in _ALONE:
            continue
        place += int.from_bytes(data[place : place + 2], "big")
        if marker == _START_OF_LINES:
            found = _AFTER_LINES.search(data, place)
            if found is None:
                return False
            place = found.end() - 2
    return False


def _png_ends(data: bytes) -> bool:
    place = 8
    while place + _PNG_FRAME <= len(data):
        size, name = int.from_bytes(data[place : place + 4], "big"), data[place + 4 : place + 8]
        end = place + _PNG_FRAME + size
        if name == b"IEND":
            return end <= len(data) and int.from_bytes(data[end - 4 : end], "big") == zlib.crc32(
                data[place + 4 : end - 4]
            )
        place = end
    return False
