"""Bodies that travel packed as gzip (RFC 1952): those that phones send, and our longer answers."""

from __future__ import annotations

import gzip
import zlib

from flask import Flask, Request, Response, request

from ..survey.errors import Problem
from ..sync.photos import MAX_BYTES
from .errors import Refusal

#: A body may be this long once unpacked, the same as one that comes as it is, bytes.
MAX_UNPACKED = MAX_BYTES
#: Shorter answers fit into one packet of the network either way, bytes.
WORTH_PACKING = 1_000
#: Higher levels take twice as long for a few bytes in a hundred.
_LEVEL = 5
#: zlib's word for a gzip header and trailer around the data.
_GZIP = 31


def read_body(request: Request) -> bytes:
    """Return the body of a request, unpacked when it came packed.

    Raises
    ------
    Refusal
        415 when it is packed in another way than gzip, 400 when it is cut off or damaged, 413 when it unpacks to more than ``MAX_UNPACKED``.
    """
    encoding = request.headers.get("Content-Encoding", "identity").strip().lower()
    if encoding == "identity":
        return request.get_data()
    if encoding not in {"gzip", "x-gzip"}:
        # RFC 9110, 15.5.16: the answer says what would have been taken.
        words = "Expected a body as it is or packed as gzip; this one is packed in another way."
        raise Refusal(415, Problem("wrong_encoding", words), headers={"Accept-Encoding": "gzip"})
    return _unpack(request.get_data())


def _unpack(packed: bytes) -> bytes:
    inflater = zlib.decompressobj(_GZIP)
    try:
        # One byte more than may be tells too much from just enough; nothing past it is ever unpacked.
        data = inflater.decompress(packed, MAX_UNPACKED + 1)
    except zlib.error as error:
        raise _damaged() from error
    if len(data) > MAX_UNPACKED:
        raise Refusal(413, Problem("too_large", "What was sent is too large once unpacked."))
    if not inflater.eof or inflater.unused_data:
        raise _damaged()
    return data


def _damaged() -> Refusal:
    return Refusal(400, Problem("not_gzip", "The packed body is cut off or damaged; send it again."))


def register_compression(app: Flask) -> None:
    """Pack the longer JSON answers for those who say they can unpack them."""
    app.after_request(_pack_answer)


def _pack_answer(response: Response) -> Response:
    if response.mimetype != "application/json" or response.is_streamed or "Content-Encoding" in response.headers:
        return response
    response.vary.add("Accept-Encoding")
    data = response.get_data()
    if len(data) < WORTH_PACKING or not request.accept_encodings["gzip"]:
        return response
    # Without the hour in its header the same answer is the same bytes.
    response.set_data(gzip.compress(data, _LEVEL, mtime=0))
    response.headers["Content-Encoding"] = "gzip"
    return response
