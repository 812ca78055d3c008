"""How many requests of a kind may be at work and wait at once: whoever asks for little always finds a thread.

A request beyond what may wait is answered at once with 503 ``office_busy`` and ``Retry-After``. Nothing of it was taken, and a phone sends it
again by itself. All places together are fewer than the server's threads.
"""

from __future__ import annotations

import threading

from flask import Flask, g, request

from .errors import BUSY, BUSY_WAIT_S, Refusal


class Gate:
    """Lets a few in, a few more wait, and the others go.

    Parameters
    ----------
    at_work : int
        How many may be inside.
    waiting : int
        How many may wait for that, first come, first served.
    patience_s : float
        Seconds after which one that waits is sent away.
    """

    def __init__(self, at_work: int, waiting: int, patience_s: float) -> None:
        self.places = at_work + waiting
        self._patience_s = patience_s
        self._free = threading.Semaphore(at_work)
        self._may_come = threading.Semaphore(self.places)

    def enter(self) -> bool:
        """Come in, after a while if need be; False when there is no place."""
        if not self._may_come.acquire(blocking=False):
            return False
        if self._free.acquire(timeout=self._patience_s):
            return True
        self._may_come.release()
        return False

    def leave(self) -> None:
        """Give the place to the next one."""
        self._free.release()
        self._may_come.release()


#: What calculates for long: two keep both cores of a small machine busy.
_SLOW = frozenset(
    {
        "results.assessment",
        "results.quote",
        "results.options",
        "reports.points",
        "results.document",
        "surveys.show",
        "history.show",
        "photos.preview",
        "states.list_all",
    }
)
#: What writes: on SQLite one after the other in any case.
_WRITES = frozenset({"surveys.push", "photos.PhotoView", "book.push", "book.bring_in"})
_SIGN_IN = "session.create"


class Gates:
    """The gates of one program."""

    def __init__(self) -> None:
        self.slow = Gate(2, 3, 10.0)
        self.writes = Gate(4, 6, 10.0)
        #: Hashing a password takes much memory and a core, on purpose.
        self.sign_in = Gate(2, 2, 5.0)

    def places(self) -> int:
        """Return how many threads can be inside or before the gates."""
        return self.slow.places + self.writes.places + self.sign_in.places

    def of_request(self) -> Gate | None:
        """Return the gate that the present request has to pass, None when it may go on."""
        endpoint = request.endpoint
        if endpoint == _SIGN_IN:
            return self.sign_in
        if endpoint in _WRITES:
            return self.writes if request.method not in {"GET", "HEAD", "OPTIONS"} else None
        # A list from its beginning is long.
        if endpoint in _SLOW or (endpoint == "surveys.list_all" and request.args.get("since", "0") == "0"):
            return self.slow
        return None


def register_gates(app: Flask) -> None:
    """Let every request pass its gate, once it is known who asks."""
    gates = app.extensions["wattwalk-gates"] = Gates()

    @app.before_request
    def enter() -> None:
        gate = gates.of_request()
        if gate is None:
            return
        if not gate.enter():
            raise Refusal(503, BUSY, headers={"Retry-After": str(BUSY_WAIT_S)})
        g.gate = gate

    @app.teardown_request
    def leave(_error: BaseException | None) -> None:
        gate = g.pop("gate", None)
        if gate is not None:
            gate.leave()
