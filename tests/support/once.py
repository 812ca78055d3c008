"""What takes long to make and is only read: made once in a test run, however many processes share the run."""

from __future__ import annotations

import fcntl
import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest


def once(factory: pytest.TempPathFactory, name: str, make: Callable[[Path], object]) -> Path:
    """Return the folder `name` of this test run, filled by `make` for the first who asks; whoever asks meanwhile waits for it.

    Nobody may write into it: each who wants to takes a copy.
    """
    run = factory.getbasetemp()
    if "PYTEST_XDIST_WORKER" in os.environ:
        run = run.parent
    made, half = run / name, run / f"{name}-half"
    with (run / f"{name}.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not made.exists():
            # What somebody before us left half made is no use.
            shutil.rmtree(half, ignore_errors=True)
            half.mkdir()
            make(half)
            half.rename(made)
    return made
