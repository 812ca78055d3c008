"""Compressed requests and answers: gzip (RFC 1952), never unpacked beyond what an unpacked request may be."""

from __future__ import annotations

import gzip
import io
import zlib
from typing import IO

from flask import Flask, Response, current_app, request

from ..survey.errors import Problem
from .errors import Refusal

#: Bytes below which packing gains nothing.
WORTH_IT = 1_000
_PIECE = 64 * 1024
#: zlib's window for gzip's own frame.
_GZIP = 31
_PACKED_ALREADY = ("image/", "application/pdf")


def register_compression(app: Flask) -> None:
    """Unpack what comes in packed, after it is known who sends it, and pack answers for whoever asks for it."""
    app.before_request(_unpack_request)
    app.after_request(_pack_answer)


def unpack(source: IO[bytes], limit: int) -> bytes:
    """Return what gzip has packed, in at most `limit` bytes.

    Parameters
    ----------
    source : file object
        Packed bytes, read in pieces.
    limit : int
        Most bytes that may come out; not one more is ever held.

    Raises
    ------
    Refusal
        413 when more would come out; 400 when it is no gzip, damaged, cut off, or followed by something else.
    """
    inflate = zlib.decompressobj(_GZIP)
    pieces: list[bytes] = []
    left = limit
    try:
        while piece := source.read(_PIECE):
            while piece:
                if inflate.eof:
                    raise _damaged()
                out = inflate.decompress(piece, left + 1)
                if len(out) > left:
                    raise Refusal(413, Problem("too_large", "What was sent is too large."))
                left -= len(out)
                pieces.append(out)
                piece = inflate.unconsumed_tail or inflate.unused_data
    except zlib.error as error:
        raise _damaged() from error
    if not inflate.eof:
        raise _damaged()
    return b"".join(pieces)


def pack(content: bytes) -> bytes:
    """Return bytes packed by gzip, always the same for the same: no time in the frame."""
    return gzip.compress(content, compresslevel=6, mtime=0)


def takes_packed() -> bool:
    """Say whether whoever asks takes an answer packed."""
    return bool(request.accept_encodings["gzip"])


def _damaged() -> Refusal:
    return Refusal(
        400, Problem("not_unpacked", "What was sent is packed with gzip and came damaged or cut off. Send it again.")
    )


def _unpack_request() -> None:
    coding = request.headers.get("Content-Encoding", "").strip().lower()
    if not request.path.startswith("/api/") or coding in ("", "identity"):
        return
    if coding != "gzip" or request.mimetype != "application/json":
        raise Refusal(415, Problem("wrong_type", "Only JSON packed with gzip is taken packed."))
    unpacked = unpack(request.stream, current_app.config["MAX_CONTENT_LENGTH"])
    # The request reads its body anew, as if it had come so.
    request.environ["wsgi.input"] = io.BytesIO(unpacked)
    request.environ["CONTENT_LENGTH"] = str(len(unpacked))
    request.environ.pop("HTTP_CONTENT_ENCODING", None)
    for name in ("stream", "content_length"):
        request.__dict__.pop(name, None)


def _pack_answer(response: Response) -> Response:
    if not request.path.startswith("/api/") or (response.mimetype or "").startswith(_PACKED_ALREADY):
        return response
    response.vary.add("Accept-Encoding")
    is_plain = (
        response.status_code == 200
        and not response.is_streamed
        and not response.direct_passthrough
        and "Content-Encoding" not in response.headers
    )
    if not is_plain or not takes_packed() or (response.content_length or 0) < WORTH_IT:
        return response
    response.set_data(pack(response.get_data()))
    response.headers["Content-Encoding"] = "gzip"
    return response
