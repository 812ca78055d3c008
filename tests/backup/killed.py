"""Run a command and kill it, as a power cut would, at its nth step that reaches for a file or the database."""

from __future__ import annotations

import os
import signal
import sys
from typing import Any

from sqlalchemy import Engine, event

from wattwalk.cli import main

#: What Python says of files; the database's own steps are its statements and its commits.
FILE_STEPS = frozenset({"os.rename", "os.link", "os.remove", "os.mkdir", "os.truncate"})


class Steps:
    """Counts steps, and ends the process at one of them."""

    def __init__(self, last: int) -> None:
        self.count, self._last = 0, last

    def step(self) -> None:
        """Take one step."""
        self.count += 1
        if self.count == self._last:
            os.kill(os.getpid(), signal.SIGKILL)

    def hear(self, name: str, given: tuple[Any, ...]) -> None:
        """Hear of what Python does; a file that is opened to be written is a step."""
        if name in FILE_STEPS or (
            name == "open"
            and isinstance(given[0], str)
            and not given[0].endswith(".pyc")
            and given[2] & (os.O_WRONLY | os.O_RDWR)
        ):
            self.step()


def run(last: int, arguments: list[str]) -> int:
    """Run the command that the arguments name; with `last` = 0 nothing is killed. The number of steps is written to standard error."""
    steps = Steps(last)
    sys.addaudithook(steps.hear)
    event.listen(Engine, "before_cursor_execute", lambda *_: steps.step())
    # Just before the commit is one step, the first statement or file after it is the next.
    event.listen(Engine, "commit", lambda _: steps.step())
    status = main(arguments)
    print(f"steps {steps.count}", file=sys.stderr)
    return status
