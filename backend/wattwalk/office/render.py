"""Rendering a report in a process of its own, so that the server goes on answering meanwhile."""

from __future__ import annotations

import gc
import json
import os
import signal
import subprocess
import sys
import tempfile
import threading
import time
import traceback
from collections.abc import Callable, Sequence
from dataclasses import asdict
from typing import NoReturn

from .frozen import RenderRequest, thaw
from .report_inputs import ReportError

TIMEOUT_S = 180.0
_REFUSED = 3
#: Seconds between two looks whether the report is still wanted.
_LOOK_S = 0.25


class RenderInterruptedError(ReportError):
    """The process that set the report was ended from outside: nothing is said about the report itself."""


class RenderTimeoutError(ReportError):
    """The report was not ready in time."""


def render_in_subprocess(
    request: RenderRequest, *, timeout_s: float = TIMEOUT_S, is_unwanted: Callable[[], bool] = lambda: False
) -> dict[str, bytes]:
    """Make the papers of a version in another process and return each by its name; the process ends when this one does.

    Parameters
    ----------
    request : RenderRequest
        What the report is made from.
    timeout_s : float
        Seconds until the process is ended and the report refused.
    is_unwanted : callable
        Asked several times a second; once it says True the process is ended.

    Returns
    -------
    dict of str to bytes
        Each paper, the same as ``make_paper`` gives for the inputs of the request.

    Raises
    ------
    RenderTimeoutError
        When the report is not ready in time.
    RenderInterruptedError
        When the report is not wanted any more, or somebody else ended the process.
    ReportError
        When the report cannot be made.
    """
    # Nobody writes to this pipe: that its other end has closed tells the process that its parent is gone, however it went.
    lifeline, held = os.pipe()
    try:
        # A file and no pipe: what a pipe has no room for waits for its reader, and `communicate` forgets it when it looks up meanwhile.
        with tempfile.TemporaryFile() as given:
            given.write(json.dumps(asdict(request)).encode())
            given.seek(0)
            with subprocess.Popen(
                [sys.executable, "-m", "wattwalk.office.render", str(lifeline)],
                stdin=given,
                stdout=subprocess.PIPE,
                stderr=subprocess.PIPE,
                pass_fds=(lifeline,),
            ) as process:
                try:
                    written, said = _listen(process, timeout_s, is_unwanted)
                except BaseException:
                    process.kill()
                    raise
    finally:
        os.close(lifeline)
        os.close(held)
    if process.returncode == 0 and written.startswith(b"{"):
        return _apart(written)
    words = said.decode("utf-8", "replace").strip()
    if process.returncode == _REFUSED:
        raise ReportError(words)
    if process.returncode < 0:
        raise RenderInterruptedError(f"The process that made the report was ended by signal {-process.returncode}.")
    last = words.splitlines()[-1] if words else "nothing was said"
    raise ReportError(f"The report could not be made (the process ended with {process.returncode}): {last}")


def _together(made: dict[str, bytes]) -> bytes:
    """Return papers as one stream: a line that says how long each is, then one after the other."""
    head = json.dumps({name: len(content) for name, content in made.items()}).encode()
    return b"\n".join([head, b"".join(made.values())])


def _apart(written: bytes) -> dict[str, bytes]:
    """Return the papers of such a stream."""
    head, _, rest = written.partition(b"\n")
    made, at = {}, 0
    for name, length in json.loads(head).items():
        made[name] = rest[at : at + length]
        at += length
    if at != len(rest):
        raise ReportError("The process that made the report wrote less than it said.")
    return made


def _listen(process: subprocess.Popen[bytes], timeout_s: float, is_unwanted: Callable[[], bool]) -> tuple[bytes, bytes]:
    deadline = time.monotonic() + timeout_s
    while True:
        try:
            return process.communicate(timeout=min(_LOOK_S, timeout_s))
        except subprocess.TimeoutExpired as error:
            if time.monotonic() >= deadline:
                raise RenderTimeoutError(
                    f"The report was not ready after {timeout_s:.0f} seconds, so it was stopped."
                ) from error
            if is_unwanted():
                raise RenderInterruptedError("The report is not wanted from here any more.") from error


def _end_with_parent(lifeline: int) -> None:
    """End this process at once when its parent has ended: its lease goes to somebody else."""

    def watch() -> None:
        os.read(lifeline, 1)
        os._exit(1)

    threading.Thread(target=watch, daemon=True).start()


def _in_two(make: Callable[[str], bytes], names: Sequence[str], alone: str) -> dict[str, bytes]:
    """Make the paper that takes longest here and all others beside it, in a copy of this process that ends with this one; return them in the order of the names.

    Raises
    ------
    ReportError
        When a paper cannot be made.
    """
    others = [name for name in names if name != alone]
    lifeline, held = os.pipe()
    source, sink = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(held)
        os.close(source)
        _be_beside(lifeline, sink, lambda: _together({name: make(name) for name in others}))
    os.close(lifeline)
    os.close(sink)
    try:
        longest = make(alone)
        with os.fdopen(source, "rb") as written:
            beside = written.read()
    except BaseException:
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        raise
    status = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    os.close(held)
    if status < 0:
        # Whatever ended it has to end this one too: nothing is said about the papers.
        os.kill(os.getpid(), -status)
    if status == _REFUSED:
        raise ReportError(beside.decode())
    if status != 0:
        # It has said what it stumbled over, and this process ends as one that stumbled itself.
        sys.exit(status)
    made = {alone: longest, **_apart(beside)}
    return {name: made[name] for name in names}


def _be_beside(lifeline: int, sink: int, work: Callable[[], bytes]) -> NoReturn:
    """Be the copy: write what `work` returns, or in words why it cannot be made, and end without what the other process has still to do."""
    status = 1
    try:
        # Whoever reads the standard output waits until nobody can write to it any more.
        os.close(1)
        _end_with_parent(lifeline)
        with os.fdopen(sink, "wb") as answer:
            try:
                answer.write(work())
                status = 0
            except ReportError as error:
                answer.write(str(error).encode())
                status = _REFUSED
    except BaseException:
        traceback.print_exc()
    finally:
        os._exit(status)


def main() -> int:
    """Read a request from standard input and write the papers to standard output."""
    _end_with_parent(int(sys.argv[1]))
    # Phones that sync and people at the office go first.
    os.nice(5)
    # A paper is one large tree that stands until it is written: to look through it for what is over took a twelfth of the time, and this process ends with it.
    gc.disable()
    from .report import FILE, PAPERS, make_paper

    request = RenderRequest(**json.loads(sys.stdin.buffer.read()))
    try:
        inputs = thaw(request)
        made = _together(_in_two(lambda name: make_paper(inputs, name), PAPERS, alone=FILE))
    except ReportError as error:
        print(error, file=sys.stderr)
        return _REFUSED
    sys.stdout.buffer.write(made)
    return 0


if __name__ == "__main__":
    sys.exit(main())
