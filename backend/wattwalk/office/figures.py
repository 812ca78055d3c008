"""How the report writes the engine's figures: units joined, what is not known said so."""

from __future__ import annotations

from wattwalk.pictures.svg import amount

NOT_KNOWN = "not known"
NBSP = "\N{NO-BREAK SPACE}"


def quantity(value: float | None, unit: str, decimals: int = 0) -> str:
    """Write a figure with its unit, or that it is not known."""
    return NOT_KNOWN if value is None else f"{amount(value, decimals)}{NBSP}{unit}"


def bare(value: float | None, decimals: int = 0) -> str:
    """Write a figure for a column whose head names the unit; a dash when it is not known."""
    return "–" if value is None else amount(value, decimals)


def watts(value: float | None) -> str:
    """Write a power in watts."""
    return quantity(value, "W")


def kilowatts(watts_: float | None) -> str:
    """Write a power in kilowatts with one decimal."""
    return quantity(None if watts_ is None else watts_ / 1000, "kW", 1)


def degrees(value: float | None) -> str:
    """Write a temperature with a decimal only where it has one."""
    return NOT_KNOWN if value is None else f"{amount(value, 1).removesuffix('.0')}{NBSP}°C"


def shortened(words: str, most: int) -> str:
    """Return words cut between two of them when they are longer than ``most`` letters."""
    flat = " ".join(words.split())
    return flat if len(flat) <= most else flat[:most].rsplit(" ", 1)[0] + " …"


def plain_result(value: float) -> str:
    """Write the result of a step with up to three decimals that matter."""
    decimals = 0 if abs(value) >= 1000 else 1 if abs(value) >= 100 else 2 if abs(value) >= 10 else 3
    written = amount(value, decimals)
    return written.rstrip("0").rstrip(".") if "." in written else written


def in_sum(written: str, value: float | None, *, counts: bool) -> str:
    """Return a term of a sum as it was written; one that is left out says so, and is a dash when it is nothing."""
    if counts:
        return written
    return f"{written}, left out" if value else "–"


def beside(so_far: str) -> str:
    """Return what stands behind a figure of the house while a room of it does not close."""
    return f", {so_far}" if so_far else ""


def lower_first(words: str) -> str:
    """Return words as they stand inside a sentence; an abbreviation keeps its capitals."""
    return words if len(words) > 1 and words[1].isupper() else words[:1].lower() + words[1:]


def upper_first(words: str) -> str:
    """Return words with a capital first, as they stand in a cell of a table."""
    return words[:1].upper() + words[1:]


def sentence(words: str) -> str:
    """Return words as a sentence of their own: a capital first, a full stop last."""
    stripped = words.strip()
    if not stripped:
        return ""
    return stripped[:1].upper() + stripped[1:] + ("" if stripped[-1] in ".!?" else ".")
