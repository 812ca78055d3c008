"""A port of this machine that nobody listens on."""

from __future__ import annotations

import os
import random
import socket

#: Below what Linux gives to connections that go out (from 32768 on): a server that is stopped for a while finds its port free again.
FIRST, LAST = 20_000, 32_000
#: Test processes that may run side by side; each has ports of its own.
MOST_WORKERS = 16


def free_port() -> int:
    """Return a TCP port of 127.0.0.1 that is free now, and that no other process of the same test run is given.

    Raises
    ------
    OSError
        When none of a hundred is free.
    """
    worker = int(os.environ.get("PYTEST_XDIST_WORKER", "gw0").removeprefix("gw")) % MOST_WORKERS
    for port in random.sample(range(FIRST + worker, LAST, MOST_WORKERS), 100):
        with socket.socket() as probe:
            try:
                probe.bind(("127.0.0.1", port))
            except OSError:
                continue
            return port
    raise OSError(f"No port from {FIRST} to {LAST} is free.")
