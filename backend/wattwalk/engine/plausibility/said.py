"""How a check of plausibility speaks: a thing to check, never a stop, with the reason of its limit."""

from __future__ import annotations

from ..answers import Finding, Severity
from ..answers.rounding import figure
from .limits import Limit


def say(
    code: str, record: str, field: str | None, message: str, remedy: str, limit: Limit | str, about: str = ""
) -> Finding:
    """Return a finding that asks a person to look, on the record with this key; a limit given as words is its source."""
    source = limit if isinstance(limit, str) else limit.source
    return Finding(Severity.CHECK, code, record, field, message, remedy, source, about)


def metres(value: float) -> str:
    """Return a length in words.

    Examples
    --------
    >>> metres(4.0)
    '4 m'
    """
    return f"{figure(value)} m"


def square_metres(value: float) -> str:
    """Return an area in words, to a tenth of a square metre.

    Examples
    --------
    >>> square_metres(16.24)
    '16.2 m²'
    """
    return f"{figure(value, 1)} m²"
