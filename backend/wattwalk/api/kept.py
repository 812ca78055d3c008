"""Long answers that were made already, kept packed: whoever asks the same of the same moment gets the same bytes without their being worked out again."""

from __future__ import annotations

import gzip
import threading
from collections import OrderedDict
from collections.abc import Hashable
from typing import Any, cast

from flask import Flask, Response, current_app

from ..answer import as_text
from .compression import pack, takes_packed

#: Bytes that all kept answers may take together, packed; that of a house of 60 rooms takes 0.12 MB.
ROOM_BYTES = 16_000_000


class KeptAnswers:
    """Packed answers, each under all that it hangs on; the one that was asked for longest ago goes first.

    Parameters
    ----------
    room_bytes : int
        Bytes that they may take together.
    """

    def __init__(self, room_bytes: int = ROOM_BYTES) -> None:
        self._room = room_bytes
        self._held: OrderedDict[Hashable, bytes] = OrderedDict()
        self._size = 0
        self._lock = threading.Lock()

    def find(self, question: Hashable) -> bytes | None:
        """Return what was answered to this very question, or None."""
        with self._lock:
            found = self._held.get(question)
            if found is not None:
                self._held.move_to_end(question)
            return found

    def keep(self, question: Hashable, answer: dict[str, Any]) -> bytes:
        """Keep an answer, plain or of the engine's shapes, and return it packed."""
        packed = pack(as_text(answer).encode())
        with self._lock:
            self._size += len(packed) - len(self._held.pop(question, b""))
            self._held[question] = packed
            while self._size > self._room:
                self._size -= len(self._held.popitem(last=False)[1])
        return packed


def register_kept_answers(app: Flask) -> None:
    """Give a program a place of its own for what it has answered."""
    app.extensions["wattwalk-answers"] = KeptAnswers()


def kept_answers() -> KeptAnswers:
    """Return the place of the present program."""
    return cast(KeptAnswers, current_app.extensions["wattwalk-answers"])


def answer_packed(packed: bytes) -> Response:
    """Answer with packed JSON, as it is or unpacked for who takes nothing packed."""
    if not takes_packed():
        return Response(gzip.decompress(packed), mimetype="application/json")
    return Response(packed, headers={"Content-Encoding": "gzip"}, mimetype="application/json")
