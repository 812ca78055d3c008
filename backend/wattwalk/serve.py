"""Serving: the web server and, beside it, who sends what waits in the outbox and who makes reports, until the process is told to end."""

from __future__ import annotations

import logging
import os
import signal
import socket
import threading
from collections.abc import Callable
from types import FrameType

import waitress
from flask import Flask

from .database import db
from .office.mail import MailSettings, read_mail_settings
from .office.outbox import send_waiting
from .office.report_jobs import make_waiting
from .survey.errors import WattwalkError

log = logging.getLogger(__name__)

THREADS = 8
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

    def __init__(self, app: Flask, name: str, look: Callable[[threading.Event], list[tuple[str, str]]], pause_s: float) -> None:
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


def _workers(app: Flask, mail: MailSettings | None) -> list[Worker]:
    settings = app.config["SETTINGS"]
    # A report keeps one processor busy; one is left for whoever waits for an answer.
    makers = max(1, min(2, (os.cpu_count() or 1) - 1))
    return [
        Worker(app, "outbox", lambda stop: send_waiting(settings, mail, stop=stop), OUTBOX_PAUSE_S),
        *(Worker(app, f"reports {number}", lambda stop: make_waiting(settings, stop=stop), REPORTS_PAUSE_S) for number in range(1, makers + 1)),
    ]


class ServeError(WattwalkError, OSError):
    """The address cannot be served on; the message says why."""


def serve(app: Flask, host: str, port: int, started: Callable[[str], None]) -> None:
    """Serve until the process is told to end; `started` is called with the address once it answers.

    Raises
    ------
    ServeError
        When the port is taken or the address is not this machine's.
    SettingError
        When the mail settings cannot be meant.
    """
    mail = read_mail_settings()
    listener = _bind(host, port)
    server = waitress.create_server(
        app, sockets=[listener], threads=THREADS, ident=None, max_request_body_size=MAX_BODY,
        # One trusted proxy's headers are the program's own to read; without one nobody's are.
        clear_untrusted_proxy_headers=not app.config["SETTINGS"].trust_proxy,
    )

    def end(_number: int, _frame: FrameType | None) -> None:
        raise SystemExit(0)

    signal.signal(signal.SIGTERM, end)
    # What was read before serving belongs to no request.
    db.session.remove()
    workers = _workers(app, mail)
    for worker in workers:
        worker.start()
    try:
        shown = f"[{host}]" if ":" in host else host
        started(f"http://{shown}:{listener.getsockname()[1]}")
        server.run()
    finally:
        server.close()
        for worker in workers:
            worker.tell()
        for worker in workers:
            worker.stop()


def _bind(host: str, port: int) -> socket.socket:
    listener = socket.socket(socket.AF_INET6 if ":" in host else socket.AF_INET)
    try:
        # A server that was stopped a moment ago leaves its port in a state that only looks taken.
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listener.bind((host, port))
    except OSError as error:
        listener.close()
        raise ServeError(f"Cannot serve on {host} port {port}: {error.strerror or error}.") from error
    return listener
