"""A port of this machine that nobody listens on."""

from __future__ import annotations

import socket


def free_port() -> int:
    """Return a TCP port of 127.0.0.1 that was free a moment ago."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]
