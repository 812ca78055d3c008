"""Files and streams of the command line: documents read and written, refused in words."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

from .survey.document import Survey, read_document
from .survey.errors import Problem, SurveyError, WattwalkError


class UsageError(WattwalkError, ValueError):
    """An argument or a file cannot be taken; the message names it."""


def read_input(name: str) -> bytes:
    """Return the bytes of a file, or of standard input for ``-``.

    Raises
    ------
    UsageError
        When there is no such file, it is a folder, or it cannot be read.
    """
    try:
        return sys.stdin.buffer.read() if name == "-" else Path(name).read_bytes()
    except FileNotFoundError:
        raise UsageError(f"{name}: there is no such file.") from None
    except IsADirectoryError:
        raise UsageError(f"{name} is a folder, expected a survey document.") from None
    except (OSError, ValueError) as error:
        raise UsageError(f"{name!r} cannot be read: {getattr(error, 'strerror', None) or error}.") from None


def list_name(name: str) -> str:
    """Return what messages call a list that was read from this file, or from standard input for ``-``."""
    return "standard input" if name == "-" else Path(name).name


def read_survey(name: str) -> Survey:
    """Return the survey that a document file holds.

    Raises
    ------
    UsageError, SurveyError
        When the file cannot be read, or what it holds cannot be taken.
    """
    shown = "standard input" if name == "-" else name
    try:
        return read_document(read_input(name))
    except SurveyError as error:
        raise SurveyError(
            [Problem(item.code, item.message, item.field, item.record or shown) for item in error.problems]
        ) from None


def write_output(data: bytes, name: str | None) -> None:
    """Write to a file, or to standard output when no file is named or it is ``-``.

    Raises
    ------
    UsageError
        When the file cannot be written.
    """
    if name is None or name == "-":
        sys.stdout.buffer.write(data)
        sys.stdout.buffer.flush()
        return
    try:
        Path(name).parent.mkdir(parents=True, exist_ok=True)
        Path(name).write_bytes(data)
    except (OSError, ValueError) as error:
        raise UsageError(f"{name!r} cannot be written: {getattr(error, 'strerror', None) or error}.") from None


def as_text(value: Any) -> bytes:
    """Return JSON as a person would like to read it."""
    return (json.dumps(value, ensure_ascii=False, allow_nan=False, indent=1) + "\n").encode()
