"""Serving: the web server and, beside it, the sender of what waits in the outbox, until the process is told to end."""

from __future__ import annotations

import logging
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
from .survey.errors import WattwalkError

log = logging.getLogger(__name__)

THREADS = 8
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
    sender = OutboxSender(app, mail)
    sender.start()
    try:
        shown = f"[{host}]" if ":" in host else host
        started(f"http://{shown}:{listener.getsockname()[1]}")
        server.run()
    finally:
        server.close()
        sender.stop()


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
