"""The real server as a process of its own, which can be stopped, killed and started again on the same address."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Mapping
from pathlib import Path
from types import TracebackType
from typing import Any
from urllib.error import URLError
from urllib.request import urlopen

from tests.support.ports import free_port, holders
from tests.support.until import PATIENCE_S

#: The first start of the demo works its house and its papers out: it ends by itself when it fails, so nothing is lost by waiting for a busy machine.
START_TIMEOUT_S = 600.0


class ServerError(RuntimeError):
    """The server did not start or did not stop; the message holds what it printed."""


class Server:
    """`wattwalk run` on a free port of this machine.

    Parameters
    ----------
    folder : Path
        Working folder of the process; its database and files go to `var` inside it, its output to `server.log`.
    program : Path
        The `wattwalk` command to run; by default the one beside the Python that runs the tests.
    demo : bool
        Whether to fill in the demo firm and its house.
    begin_with : Path | None
        The `var` of a server that was stopped, to go on from a copy of: a demo house need not be worked out for each test anew.
    environment : Mapping[str, str]
        Variables on top of the test run's own.
    port : int | None
        Where it listens; by default where nobody has yet.
    """

    def __init__(
        self,
        folder: Path,
        *,
        program: Path | None = None,
        demo: bool = False,
        begin_with: Path | None = None,
        environment: Mapping[str, str] | None = None,
        port: int | None = None,
    ) -> None:
        self.folder = folder
        self.home = folder / "var"
        if begin_with is not None:
            shutil.copytree(begin_with, self.home)
        self.log = folder / "server.log"
        self.port = port or free_port()
        self.url = f"http://127.0.0.1:{self.port}"
        self._command = [
            str(program or Path(sys.executable).parent / "wattwalk"),
            "run",
            "--host",
            "127.0.0.1",
            "--port",
            str(self.port),
        ]
        if demo:
            self._command.append("--demo")
        # The server is a program as its user would start it: nothing of the checkout on its path.
        inherited = {name: value for name, value in os.environ.items() if name not in {"PYTHONPATH", "DATABASE_URL"}}
        self._environment = {**inherited, "WATTWALK_HOME": str(self.home), **(environment or {})}
        self._process: subprocess.Popen[bytes] | None = None

    def __enter__(self) -> Server:
        self.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._process is not None:
            self.stop()

    @property
    def is_running(self) -> bool:
        """Whether it has been started and not been ended since."""
        return self._process is not None

    def start(self) -> None:
        """Start the server and wait until it answers.

        Raises
        ------
        ServerError
            When it ends, or does not answer in time.
        """
        if self._process is not None:
            raise ServerError("This server is running already.")
        taken_until = time.monotonic() + PATIENCE_S
        while not self._starts(is_tried_again=time.monotonic() < taken_until):
            time.sleep(0.2)

    def _starts(self, *, is_tried_again: bool) -> bool:
        """Start it and wait until it answers; False when its port was taken and that is tried again: whoever held it may be on the way out."""
        with self.log.open("ab") as log:
            printed_before = log.tell()
            self._process = subprocess.Popen(
                self._command, cwd=self.folder, env=self._environment, stdin=subprocess.DEVNULL, stdout=log, stderr=log
            )
        deadline = time.monotonic() + START_TIMEOUT_S
        # What answers on the port counts only once our own process has said that it serves there.
        while not (self.url.encode() in self.log.read_bytes()[printed_before:] and self._answers()):
            if self._process.poll() is not None or time.monotonic() > deadline:
                self.kill()
                is_taken = b"Address already in use" in self.log.read_bytes()[printed_before:]
                if is_taken and is_tried_again:
                    print(f"Port {self.port} was taken: {holders(self.port)}")
                    return False
                raise ServerError(f"The server did not start:\n{self.printed()}\nAt its port: {holders(self.port)}")
            time.sleep(0.05)
        return True

    def stop(self) -> None:
        """End the server as a person would, and wait for it.

        Raises
        ------
        ServerError
            When it was not running any more, or does not end in time.
        """
        process = self._running()
        if process.poll() is not None:
            self._process = None
            raise ServerError(f"The server ended by itself with status {process.returncode}:\n{self.printed()}")
        process.send_signal(signal.SIGTERM)
        try:
            process.wait(PATIENCE_S)
        except subprocess.TimeoutExpired as error:
            self.kill()
            raise ServerError(f"The server did not end when asked:\n{self.printed()}") from error
        self._process = None

    def kill(self) -> None:
        """End the server at once, as a power cut would."""
        process = self._running()
        process.kill()
        process.wait()
        self._process = None

    def printed(self) -> str:
        """Return all that the server has printed so far."""
        return self.log.read_text(errors="replace")

    def _running(self) -> subprocess.Popen[bytes]:
        if self._process is None:
            raise ServerError("This server is not running.")
        return self._process

    def take_in(self, document: Mapping[str, Any]) -> None:
        """Bring a survey document into the office while it serves, as its user would: `wattwalk import`."""
        file = self.folder / f"{document['id']}.json"
        file.write_text(json.dumps(document))
        command = [self._command[0], "import", file]
        subprocess.run(command, check=True, capture_output=True, env={"WATTWALK_HOME": str(self.home)})

    def _answers(self) -> bool:
        try:
            with urlopen(f"{self.url}/api/health", timeout=2) as answer:
                return answer.status == 200
        except (URLError, ConnectionError, TimeoutError):
            return False
