"""What stands beside every figure: a finding, a source, a line of working."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Severity(StrEnum):
    """How serious a finding is."""

    STOP = "stop"
    CHECK = "check"
    NOTE = "note"


class Verdict(StrEnum):
    """What can be said of a room's emitters at the flow temperature looked at."""

    ENOUGH = "enough"
    SHORT = "short"
    NO_EMITTER = "no_emitter"
    NOT_KNOWN = "not_known"


@dataclass(frozen=True)
class Source:
    """Where a formula or a figure comes from.

    ``confidence`` is one of ``published``, ``second-hand``, ``from memory``, ``common practice``.
    """

    key: str
    title: str
    edition: str
    clause: str
    confidence: str


@dataclass(frozen=True)
class Finding:
    """Something a person must know, with a remedy and the record it points at.

    ``code``, ``record`` and ``about`` say which one it is; ``about`` is empty where a record has one of this code at most.  The
    words are for people and may change with every figure.  ``title`` and ``chapter`` are those that its code declares (``codes.py``
    in the subject's folder); ``assess`` fills them in.
    """

    severity: Severity
    code: str
    record: str
    field: str | None
    message: str
    remedy: str
    source: str
    about: str = ""
    title: str = ""
    chapter: str = ""


@dataclass(frozen=True)
class Step:
    """One line of working: a formula with its numbers and its result, as the working pages print it."""

    what: str
    formula: str
    numbers: str
    result: float
    unit: str
    source: str
