"""Runs a function in a process of its own that has the program loaded already: a Python that starts anew spends a second of the processor on that.

The process comes from a server without threads and without anything of the tests' own, so it may be killed at any moment like one that was started.
"""

from __future__ import annotations

import multiprocessing
import os
import sys
import tempfile
import traceback
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from multiprocessing.context import ForkServerContext
from pathlib import Path
from typing import Any

#: What the program reads in one way or another before it does anything with an office; what is left out here is read by each process itself.
LOADED = (
    "alembic.autogenerate",
    "alembic.command",
    "alembic.runtime.migration",
    "psycopg",
    "sqlalchemy.dialects.postgresql.psycopg",
    "sqlalchemy.dialects.sqlite.pysqlite",
    "wattwalk.app",
    "wattwalk.backup.making",
    "wattwalk.backup.restoring",
    "wattwalk.cli",
    "wattwalk.office.outbox",
    "wattwalk.office.report_jobs",
    "wattwalk.sync.verify",
)


@dataclass(frozen=True)
class Ended:
    """How a process ended (``-SIGKILL`` when it was killed), and what it wrote."""

    returncode: int
    stdout: str
    stderr: str


@cache
def _nursery() -> ForkServerContext:
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(list(LOADED))
    return context


def _run(
    function: Callable[..., int], given: tuple[Any, ...], environment: Mapping[str, str], out: str, err: str
) -> None:
    for number, name in ((1, out), (2, err)):
        file = os.open(name, os.O_WRONLY)
        os.dup2(file, number)
        os.close(file)
    os.environ.update(environment)
    try:
        status = function(*given)
    except SystemExit as ended:
        status = ended.code if isinstance(ended.code, int) else 1
    except BaseException:
        traceback.print_exc()
        status = 1
    sys.stdout.flush()
    sys.stderr.flush()
    os._exit(status)


def run_forked(
    function: Callable[..., int], *given: Any, environment: Mapping[str, str] | None = None, timeout_s: float = 120.0
) -> Ended:
    """Run a function of a module in a process of its own, wait for it, and return how it ended; what it returns is the status.

    Parameters
    ----------
    function : callable
        A function that a module offers under its name.
    *given
        What it is called with; what can be pickled.
    environment : Mapping[str, str]
        Variables on top of the test run's own.
    timeout_s : float
        After so many seconds it is ended.

    Raises
    ------
    TimeoutError
        When it had not ended in time.
    """
    with tempfile.TemporaryDirectory() as name:
        out, err = Path(name, "out"), Path(name, "err")
        for file in (out, err):
            file.touch()
        process = _nursery().Process(
            target=_run, args=(function, given, dict(environment or {}), str(out), str(err)), daemon=True
        )
        process.start()
        process.join(timeout_s)
        if process.exitcode is None:
            process.kill()
            process.join()
            raise TimeoutError(f"It had not ended after {timeout_s:.0f} s: {err.read_text()}")
        return Ended(process.exitcode, out.read_text(), err.read_text())
