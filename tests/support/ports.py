"""A port of this machine that nobody listens on."""

from __future__ import annotations

import os
import random
import socket
from pathlib import Path

#: Below what Linux gives to connections that go out (from 32768 on): a server that is stopped for a while finds its port free again.
FIRST, LAST = 20_000, 32_000
#: Test processes that may run side by side; each has ports of its own.
MOST_WORKERS = 16
#: Ports that this process has been given: whoever stops for a while comes back to its own.
_given: set[int] = set()


def free_port() -> int:
    """Return a TCP port of 127.0.0.1 that is free now, and that nobody else of the same test run is given.

    Raises
    ------
    OSError
        When none of this process's own is free.
    """
    worker = int(os.environ.get("PYTEST_XDIST_WORKER", "gw0").removeprefix("gw")) % MOST_WORKERS
    own = set(range(FIRST + worker, LAST, MOST_WORKERS)) - _given
    for port in random.sample(sorted(own), len(own)):
        with socket.socket() as probe:
            try:
                probe.bind(("127.0.0.1", port))
            except OSError:
                continue
            _given.add(port)
            return port
    raise OSError(f"No port of this process from {FIRST} to {LAST} is free.")


def holders(port: int) -> list[str]:
    """Tell what this machine has at a TCP port: each socket's state as the kernel numbers it, and the command lines that hold it."""
    found = []
    for row in Path("/proc/net/tcp").read_text().splitlines()[1:]:
        _number, local, _remote, state, *_rest, inode = row.split()[:10]
        if int(local.split(":")[1], 16) == port:
            found.append(f"state {state}, held by {_commands(inode) or 'nobody'}")
    return found


def _commands(inode: str) -> list[str]:
    held = []
    for link in Path("/proc").glob("[0-9]*/fd/*"):
        try:
            if str(link.readlink()) == f"socket:[{inode}]":
                held.append((link.parents[1] / "cmdline").read_bytes().replace(b"\0", b" ").decode(errors="replace"))
        except OSError:
            # It has ended meanwhile.
            continue
    return held
