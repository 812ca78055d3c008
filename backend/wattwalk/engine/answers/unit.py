"""The shapes of what the engine says of the units in question.  Units are in the names."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

#: How a unit stands to the house's load; ``too_cool`` cannot make the flow.
UnitVerdict = Literal["covers", "large", "short", "too_cool", "not_known"]


#: What a term of the unit's load is.
LoadCode = Literal["rooms", "cold_rooms", "neighbours", "neighbour_gain", "pipes", "floors", "hot_water", "heating_up"]


@dataclass(frozen=True)
class LoadTerm:
    """One term of the unit's load at the design cold, in W; None while it is not known.

    A term that does not count is shown all the same, and ``words`` says why it counts or not; ``switch`` is the choice behind it.
    """

    code: LoadCode
    label: str
    watts: float | None
    counts: bool
    words: str
    switch: str
    source: str


@dataclass(frozen=True)
class UnitResult:
    """One unit in question against the house: at the design cold, and through a year of heating without hot water.

    ``covers`` is output over load at the design cold, ``bivalent_c`` the outside temperature at which the two meet (None: ``bivalent_words``
    says why), ``cycling_share`` the share of the year's heat given while the unit switches on and off.  Everything is None while
    ``missing`` says what is missing.
    """

    id: str
    name: str
    is_chosen: bool
    capacity_kw: float | None
    cop: float | None
    covers: float | None
    bivalent_c: float | None
    bivalent_words: str
    seasonal_efficiency: float | None
    electricity_kwh: float | None
    heater_kwh: float | None
    cycling_share: float | None
    verdict: UnitVerdict
    edges: tuple[str, ...]
    missing: tuple[str, ...]
    table_from: str


def chosen_of(units: tuple[UnitResult, ...]) -> UnitResult | None:
    """Return the unit that the design names, if it is one of those in question."""
    return next((unit for unit in units if unit.is_chosen), None)


@dataclass(frozen=True)
class DayPart:
    """The load and the output of the chosen unit at one outside temperature, on its compensation line."""

    outside_c: float
    flow_c: float
    load_kw: float
    capacity_kw: float
    least_kw: float
    cop: float
