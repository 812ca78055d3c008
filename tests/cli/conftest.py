"""The command line with a home of its own, run inside the test's own process: starting a program for each test takes long."""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from wattwalk.cli import main


@dataclass(frozen=True)
class Done:
    """How a command ended, and what it wrote."""

    returncode: int
    stdout: bytes
    stderr: bytes


Run = Callable[..., Done]


class Input(io.TextIOWrapper):
    """Standard input with these bytes in it, which is no terminal."""

    def __init__(self, given: bytes) -> None:
        super().__init__(io.BytesIO(given), encoding="utf-8")


@pytest.fixture
def wattwalk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfdbinary: pytest.CaptureFixture[bytes]) -> Run:
    """Run a command with these arguments, standard input and variables, and return how it ended."""
    monkeypatch.chdir(tmp_path)
    for name in [name for name in os.environ if name.startswith("WATTWALK_") or name == "DATABASE_URL"]:
        monkeypatch.delenv(name)
    monkeypatch.setenv("WATTWALK_HOME", str(tmp_path / "var"))

    def run(*arguments: str | Path, given: bytes = b"", **environment: str) -> Done:
        capfdbinary.readouterr()
        with monkeypatch.context() as patched:
            patched.setattr(sys, "stdin", Input(given))
            for name, value in environment.items():
                patched.setenv(name, value)
            try:
                status = main([str(argument) for argument in arguments])
            except SystemExit as ended:  # argparse ends the program by itself
                status = int(ended.code or 0)
        written = capfdbinary.readouterr()
        return Done(status, written.out, written.err)

    return run
