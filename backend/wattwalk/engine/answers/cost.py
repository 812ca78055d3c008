"""The shapes of what the engine says of a year's running cost, its carbon, and the grant.

Units are in the names; amounts of money are decimal text in pounds.
"""

from __future__ import annotations

from dataclasses import dataclass

from .said import Step


@dataclass(frozen=True)
class CarbonLine:
    """Carbon dioxide of a year in kg by one set of factors; sets are never mixed."""

    factor_set: str
    kg_low: float
    kg_high: float
    source: str


@dataclass(frozen=True)
class CostLine:
    """What one way of heating takes in a year, from the lowest to the highest that can be expected."""

    key: str
    name: str
    energy_low_kwh: float
    energy_high_kwh: float
    price_p_kwh: float | None
    pounds_low: str | None
    pounds_high: str | None
    carbon: tuple[CarbonLine, ...]
    words: str


@dataclass(frozen=True)
class Grant:
    """A grant that the dated table holds for this place, fuel and day; ``pounds`` is None where it holds none."""

    pounds: str | None
    words: str
    source: str


@dataclass(frozen=True)
class RunningCost:
    """A year's running cost and carbon against the present fuel: a range, not a promise.

    ``so_far`` stands beside what the year's heat decides while a room of the house does not close.
    """

    lines: tuple[CostLine, ...]
    heat_low_kwh: float | None
    heat_high_kwh: float | None
    efficiency: float | None
    break_even_low: float | None
    break_even_high: float | None
    saved_low_pounds: str | None
    saved_high_pounds: str | None
    grant: Grant | None
    words: tuple[str, ...]
    missing: tuple[str, ...]
    steps: tuple[Step, ...]
    source: str
    so_far: str = ""
