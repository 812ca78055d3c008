"""The line between a phone and the office, and all that happens to requests and answers on it."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

#: Faults that keep a request from the office.
BEFORE = ("offline", "lost", "cut_request", "page", "unauthorised", "trouble", "too_large", "foreign_json")
#: Faults of the answer: the office has done what it was asked.
AFTER = ("answer_lost", "cut_answer", "page_after", "trouble_after", "twice")
_EXCUSES: dict[str, tuple[int, str, bytes]] = {
    "page": (200, "text/html", b"<html>Please accept the terms of this hotel.</html>"),
    "unauthorised": (401, "application/json", b'{"code":"sign_in_needed","message":"Please sign in.","field":null,"record":null}'),
    "trouble": (500, "application/json", b'{"code":"our_fault","message":"Something failed here.","field":null,"record":null}'),
    "too_large": (413, "application/json", b'{"code":"too_large","message":"What was sent is too large.","field":null,"record":null}'),
    "foreign_json": (200, "application/json", b'{"status":"captive"}'),
    "page_after": (200, "text/html", b"<html>Welcome back.</html>"),
    "trouble_after": (502, "text/html", b"<html>Bad gateway</html>"),
}


@dataclass(frozen=True)
class Reply:
    """What a phone makes of what came back: ``ok``, ``refused``, ``sign_in``, or ``none`` when no answer of the office came."""

    kind: str
    status: int = 0
    body: Any = None


_NONE = Reply("none")
Deliver = Callable[[str, str, bytes, str | None], tuple[int, str, bytes]]


class Line:
    """One phone's line.  ``plan`` holds the faults of the exchange under way: by the number of the request, the fault and where it cuts.

    Parameters
    ----------
    deliver : Callable
        Brings a request (method, path, bytes, content type or None) to the office and returns status, content type and bytes.
    happened : Callable
        Told of every fault that came to pass.
    """

    def __init__(self, deliver: Deliver, happened: Callable[[str], None]) -> None:
        self._bring, self._happened = deliver, happened
        self._plan: dict[int, tuple[str, float]] = {}
        self._count = 0

    def begin(self, plan: dict[int, tuple[str, float]]) -> None:
        """Begin an exchange with these faults before it."""
        self._plan, self._count = plan, 0

    def ask(self, method: str, path: str, body: dict[str, Any] | bytes | None = None) -> Reply:
        """Ask the office, as far as the line lets it through."""
        self._count += 1
        fault, share = self._plan.get(self._count, ("", 0.0))
        if any(kind == "offline" and number <= self._count for number, (kind, _) in self._plan.items()):
            fault = "offline"
        sent = body if isinstance(body, bytes) else json.dumps(body).encode() if body is not None else b""
        if fault:
            self._happened(fault)
        if fault in {"lost", "offline"}:
            return _NONE
        if fault == "cut_request":
            # What a proxy hands on of a broken request; the phone never hears of it.
            self._deliver(method, path, sent[: int(len(sent) * share)], isinstance(body, bytes))
            return _NONE
        if fault in BEFORE:
            return _read(*_EXCUSES[fault])
        status, kind, answer = self._deliver(method, path, sent, isinstance(body, bytes))
        if fault == "twice":
            status, kind, answer = self._deliver(method, path, sent, isinstance(body, bytes))
        if fault == "answer_lost":
            return _NONE
        if fault == "cut_answer":
            return _read(status, kind, answer[: int(len(answer) * share)])
        return _read(*_EXCUSES[fault]) if fault in _EXCUSES else _read(status, kind, answer)

    def _deliver(self, method: str, path: str, sent: bytes, is_picture: bool) -> tuple[int, str, bytes]:
        return self._bring(method, path, sent, None if method == "GET" else "image/png" if is_picture else "application/json")


def _read(status: int, kind: str, answer: bytes) -> Reply:
    """Read an answer as the app does (`pwa/src/sync/api.ts`)."""
    if not kind.startswith("application/json"):
        return _NONE
    try:
        body = json.loads(answer)
    except ValueError:
        return _NONE
    if status < 400:
        return Reply("ok", status, body)
    if not isinstance(body, dict) or not isinstance(body.get("code"), str) or status >= 500:
        return _NONE
    return Reply("sign_in") if status == 401 else Reply("refused", status, body)
