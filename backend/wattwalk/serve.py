"""Serving: the web server and, beside it, the sender of what waits in the outbox, until the process is told to end."""

from __future__ import annotations

import logging
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
from .office.states import count_gaps, find_uncounted
from .survey.errors import WattwalkError

log = logging.getLogger(__name__)

#: More than `api/gate.py` lets be busy or waiting with slow work: somebody who asks for little always finds one.
THREADS = 24
#: Seconds for which one thread that calculates may keep the others from going on.
SWITCH_S = 0.001
#: Ours answers in words when a body is too large, so the server below lets a little more through.
MAX_BODY = 64_000_000


#: Seconds between two looks into the outbox; somebody at the office is waiting to see the message go.
OUTBOX_PAUSE_S = 2.0


class OutboxSender(threading.Thread):
    """Sends what waits in the outbox until it is told to stop.

    Parameters
    ----------
    app : Flask
        The program.
    mail : MailSettings or None
        The mail server; without one, messages are kept as files.
    """

    def __init__(self, app: Flask, mail: MailSettings | None) -> None:
        super().__init__(name="outbox", daemon=True)
        self._app, self._mail = app, mail
        self._is_over = threading.Event()

    def run(self) -> None:
        """Look into the outbox again and again; a failure is logged and the next look may do better."""
        while not self._is_over.wait(OUTBOX_PAUSE_S):
            try:
                with self._app.app_context():
                    for email, state in send_waiting(self._app.config["SETTINGS"], self._mail):
                        log.info("Email %s is %s.", email, state)
            except Exception:
                log.exception("The outbox could not be looked into.")

    def stop(self) -> None:
        """Stop after the message in hand, or after ten seconds: what is in hand then is set aside for a person."""
        self._is_over.set()
        self.join(10)


#: Seconds between two looks for surveys whose gaps are not counted.
COUNT_PAUSE_S = 2.0
#: How many surveys one look is for. A survey that cannot be counted is logged once and left out from then on.
COUNT_AT_ONCE = 20


class GapCounter(threading.Thread):
    """Counts gaps for the office's list beside the server, at most half of the time, until it is told to stop.

    Parameters
    ----------
    app : Flask
        The program.
    """

    def __init__(self, app: Flask) -> None:
        super().__init__(name="gaps", daemon=True)
        self._app = app
        self._is_over = threading.Event()
        self._broken: set[str] = set()

    def run(self) -> None:
        """Look for what is not counted again and again; a failure is logged and the next look may do better."""
        pause_s = COUNT_PAUSE_S
        while not self._is_over.wait(pause_s):
            pause_s = COUNT_PAUSE_S
            try:
                if self._count_some():
                    pause_s = 0.0
            except Exception:
                log.exception("Gaps could not be counted.")

    def _count_some(self) -> int:
        with self._app.app_context():
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
                if self._is_over.wait(time.monotonic() - began):
                    break
            return len(waiting)

    def stop(self) -> None:
        """Stop after the survey in hand."""
        self._is_over.set()
        self.join(10)


class ServeError(WattwalkError, OSError):
    """The address cannot be served on; the message says why."""


def serve(app: Flask, listener: socket.socket, mail: MailSettings | None, started: Callable[[str], None]) -> None:
    """Serve on a socket of :func:`bind` until the process is told to end; `started` is called with the address once it answers."""
    # One trusted proxy's headers are the program's own to read; without one nobody's are.
    server = make_server(app, listener, threads=THREADS, max_body=MAX_BODY, clear_proxy_headers=not app.config["SETTINGS"].trust_proxy)
    sys.setswitchinterval(SWITCH_S)

    def end(_number: int, _frame: FrameType | None) -> None:
        raise SystemExit(0)

    signal.signal(signal.SIGTERM, end)
    # What was read before serving belongs to no request.
    db.session.remove()
    workers = (OutboxSender(app, mail), GapCounter(app))
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
