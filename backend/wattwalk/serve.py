"""Serving: the web server, until the process is told to end."""

from __future__ import annotations

import signal
from collections.abc import Callable
from types import FrameType

import waitress
from flask import Flask

from .survey.errors import WattwalkError

THREADS = 8
#: Ours answers in words when a body is too large, so the server below lets a little more through.
MAX_BODY = 64_000_000


class ServeError(WattwalkError, OSError):
    """The address cannot be served on; the message says why."""


def serve(app: Flask, host: str, port: int, started: Callable[[str], None]) -> None:
    """Serve until the process is told to end; `started` is called with the address once it answers.

    Raises
    ------
    ServeError
        When the port is taken or the address is not this machine's.
    """
    try:
        server = waitress.create_server(
            app, host=host, port=port, threads=THREADS, ident=None, max_request_body_size=MAX_BODY,
            # One trusted proxy's headers are the program's own to read; without one nobody's are.
            clear_untrusted_proxy_headers=not app.config["SETTINGS"].trust_proxy,
        )
    except (OSError, ValueError) as error:
        raise ServeError(f"Cannot serve on {host} port {port}: {error}.") from error

    def end(_number: int, _frame: FrameType | None) -> None:
        raise SystemExit(0)

    signal.signal(signal.SIGTERM, end)
    try:
        shown = f"[{host}]" if ":" in host else host
        started(f"http://{shown}:{getattr(server, 'effective_port', port)}")
        server.run()
    finally:
        server.close()
