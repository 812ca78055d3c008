"""How numbers leave the engine: rounded, never minus zero, and how they are written in words."""

from __future__ import annotations

import math

#: Decimals of each unit on leaving.  One place, so that phone, office and paper show the same figures.
WATTS = 1
AREA = 3
U_VALUE = 4
TEMPERATURE = 2
LENGTH_MM = 1

#: Below this a difference in watts decides nothing (the same surveys must give the same verdict on every machine).
WATT_TOLERANCE = 1e-6


def rounded(value: float, decimals: int) -> float:
    """Return ``value`` rounded, with minus zero turned into zero.

    Parameters
    ----------
    value : float
        A finite number.
    decimals : int
        Places to keep.

    Examples
    --------
    >>> rounded(-0.04, 1)
    0.0
    """
    return round(value, decimals) + 0.0


def rounded_if_any(value: float | None, decimals: int) -> float | None:
    """Return ``value`` rounded, or None where it is not known.

    Parameters
    ----------
    value : float or None
        A finite number, if there is any.
    decimals : int
        Places to keep.

    Examples
    --------
    >>> rounded_if_any(2.345, 1)
    2.3
    """
    return None if value is None else rounded(value, decimals)


def rounded_up(value: float, decimals: int) -> float:
    """Round up to a number of decimals: a lowest temperature that serves must still serve when it is printed.

    Parameters
    ----------
    value : float
        A finite number.
    decimals : int
        Places to keep.

    Examples
    --------
    >>> rounded_up(47.62, 1)
    47.7
    """
    share = 10.0**decimals
    return math.ceil(round(value * share, 6)) / share


def figure(value: float, decimals: int = 2) -> str:
    """Write a number for a person: thousands apart, fixed places with trailing zeros dropped, a true minus sign.

    Whole numbers keep no point; ``figure(-5.40)`` is ``−5.4``.

    Examples
    --------
    >>> figure(-5.40)
    '−5.4'
    >>> figure(12.0)
    '12'
    >>> figure(1238.4, 0)
    '1,238'
    """
    written = f"{rounded(value, decimals):,.{decimals}f}"
    if "." in written:
        written = written.rstrip("0").rstrip(".")
    return written.replace("-", "\N{MINUS SIGN}")


def serving(flow_c: float) -> str:
    """Write the lowest flow temperature that serves, °C, with one decimal: rounded up, so that what is printed still serves.

    Parameters
    ----------
    flow_c : float
        °C.

    Examples
    --------
    >>> serving(47.62)
    '47.7'
    """
    return figure(rounded_up(flow_c, 1), 1)


def counted(number: float, one: str, many: str) -> str:
    """Write a count with its noun, in the singular where it is one.

    Parameters
    ----------
    number : float
        How many.
    one, many : str
        The noun for one, and for any other number.

    Examples
    --------
    >>> counted(1, 'day', 'days'), counted(2.5, 'day', 'days')
    ('1 day', '2.5 days')
    """
    return f"{figure(number)} {one if number == 1 else many}"


def listed(words: list[str] | tuple[str, ...]) -> str:
    """Join words as a person would: ``a, b and c``.

    Examples
    --------
    >>> listed(['flow', 'return', 'room'])
    'flow, return and room'
    """
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"
