"""Serving: the web server and, beside it, who sends what waits in the outbox and who makes reports, until the process is told to end."""

from __future__ import annotations

import logging
import os
import signal
import socket
import sys
import threading
import time
from collections.abc import Callable
from types import FrameType

from flask import Flask

from .connections import make_server
from .database import BusyError, db, reading
from .office.mail import MailSettings
from .office.outbox import send_waiting
from .office.report_jobs import make_waiting
from .office.states import count_gaps, find_uncounted
from .survey.errors import WattwalkError
from .sync.photos import note_lost

log = logging.getLogger(__name__)

#: More than `api/gate.py` lets be busy or waiting with slow work: somebody who asks for little always finds one.
THREADS = 24
#: Seconds for which one thread that calculates may keep the others from going on.
SWITCH_S = 0.001
#: Ours answers in words when a body is too large, so the server below lets a little more through.
MAX_BODY = 64_000_000


#: Seconds between two looks into the outbox; somebody at the office is waiting to see the message go.
OUTBOX_PAUSE_S = 2.0
#: The same for reports.
REPORTS_PAUSE_S = 0.5


class Worker(threading.Thread):
    """Looks again and again for what there is to do beside the requests, until it is told to stop.

    Parameters
    ----------
    app : Flask
        The program.
    name : str
        What the thread is called; its failures are logged under it.
    look : callable
        Does what there is to do and returns ``(id, state)`` of each; the event it is given is set once the program ends.
    pause_s : float
        Seconds between two looks.
    """

    def __init__(
        self, app: Flask, name: str, look: Callable[[threading.Event], list[tuple[str, str]]], pause_s: float
    ) -> None:
        super().__init__(name=name, daemon=True)
        self._app, self._look, self._pause_s = app, look, pause_s
        self._is_over = threading.Event()

    def run(self) -> None:
        """Look until told to stop; a failure is logged and the next look may do better."""
        while not self._is_over.wait(self._pause_s):
            try:
                with self._app.app_context():
                    for done, state in self._look(self._is_over):
                        log.info("%s: %s is %s.", self.name, done, state)
            except Exception:
                log.exception("%s: looking for work failed.", self.name)

    def tell(self) -> None:
        """Say that the program ends."""
        self._is_over.set()

    def stop(self) -> None:
        """Stop, ten seconds for what is in hand; what is in hand then is freed when its lease has run out."""
        self.tell()
        self.join(10)


#: Seconds between two looks for surveys whose gaps are not counted.
COUNT_PAUSE_S = 2.0
#: How many surveys one look is for. A survey that cannot be counted is logged once and left out from then on.
COUNT_AT_ONCE = 20
#: Seconds between two looks whether the photos that came are still there.
PHOTOS_PAUSE_S = 10.0


class GapLook:
    """Counts gaps for the office's list beside the server, at most half of the time."""

    def __init__(self) -> None:
        self._broken: set[str] = set()

    def __call__(self, stop: threading.Event) -> list[tuple[str, str]]:
        """Count until nothing waits or it is told to stop; it has nothing to say of single surveys."""
        while self._count_some(stop):
            pass
        return []

    def _count_some(self, stop: threading.Event) -> bool:
        with reading() as session:
            waiting = find_uncounted(session, COUNT_AT_ONCE + len(self._broken))
        waiting = [item for item in waiting if item.survey_id not in self._broken]
        for item in waiting:
            began = time.monotonic()
            try:
                count_gaps([item], 1.0)
            except BusyError:
                raise
            except Exception:
                self._broken.add(item.survey_id)
                log.exception("The gaps of survey %s cannot be counted.", item.survey_id)
            # As long as it took, so that whoever asks for something never waits behind this alone.
            if stop.wait(time.monotonic() - began):
                return False
        return bool(waiting)


def _workers(app: Flask, mail: MailSettings | None) -> list[Worker]:
    settings = app.config["SETTINGS"]
    # A report keeps one processor busy; one is left for whoever waits for an answer.
    makers = max(1, min(2, (os.cpu_count() or 1) - 1))
    return [
        Worker(app, "outbox", lambda stop: send_waiting(settings, mail, stop=stop), OUTBOX_PAUSE_S),
        Worker(app, "gaps", GapLook(), COUNT_PAUSE_S),
        Worker(app, "photos", lambda _stop: note_lost(settings.photos), PHOTOS_PAUSE_S),
        *(
            Worker(app, f"reports {number}", lambda stop: make_waiting(settings, stop=stop), REPORTS_PAUSE_S)
            for number in range(1, makers + 1)
        ),
    ]


class ServeError(WattwalkError, OSError):
    """The address cannot be served on; the message says why."""


def serve(app: Flask, listener: socket.socket, mail: MailSettings | None, started: Callable[[str], None]) -> None:
    """Serve on a socket of :func:`bind` until the process is told to end; `started` is called with the address once it answers."""
    # One trusted proxy's headers are the program's own to read; without one nobody's are.
    server = make_server(
        app, listener, threads=THREADS, max_body=MAX_BODY, clear_proxy_headers=not app.config["SETTINGS"].trust_proxy
    )
    sys.setswitchinterval(SWITCH_S)

    def end(_number: int, _frame: FrameType | None) -> None:
        raise SystemExit(0)

    signal.signal(signal.SIGTERM, end)
    # What was read before serving belongs to no request.
    db.session.remove()
    workers = _workers(app, mail)
    for worker in workers:
        worker.start()
    try:
        host, port = listener.getsockname()[:2]
        shown = f"[{host}]" if ":" in host else host
        started(f"http://{shown}:{port}")
        server.run()
    finally:
        server.close()
        for worker in workers:
            worker.tell()
        for worker in workers:
            worker.stop()


def bind(host: str, port: int) -> socket.socket:
    """Take a port of this machine; what knocks before anything serves there waits.

    Raises
    ------
    ServeError
        When the port is taken or the address is not this machine's.
    """
    listener = socket.socket(socket.AF_INET6 if ":" in host else socket.AF_INET)
    try:
        # A server that was stopped a moment ago leaves its port in a state that only looks taken.
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listener.bind((host, port))
        # Two that have only bound a port both believe it to be theirs.
        listener.listen()
    except OSError as error:
        listener.close()
        raise ServeError(f"Cannot serve on {host} port {port}: {error.strerror or error}.") from error
    return listener
