"""A unit through the year of its house: output against load, the bivalent point, switching on and off, efficiency by local bins."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from math import fsum

from ..climate.weather import heating_bins
from ..season.compensation import HeatCurve
from ..season.year_load import YearLoad
from .scop import cycling_factor
from .table import UnitTable

#: Outside temperatures between which output and load are looked for to meet, °C.
COLDEST_C, MILDEST_C = -25.0, 20.0


@dataclass(frozen=True)
class House:
    """What a unit has to serve: the load in W at the design cold in °C, W for each kelvin above it, and the same through a year.

    ``so_far`` is said while a room of the house does not close: the load is that of a part of it, and no unit can be held against it.
    """

    load_w: float
    outside_c: float
    coefficient_w_k: float
    curve: HeatCurve
    region: float
    warmer_k: float
    year: YearLoad
    so_far: str = ""

    @cached_property
    def bins(self) -> tuple[tuple[int, float, float, float], ...]:
        """The year's heating bins: outside temperature in °C, hours, load in kW, flow temperature in °C."""
        return tuple(
            (outside, hours, self.year.watts(outside, self.curve) / 1000, self.curve.flow_at(outside))
            for outside, hours in heating_bins(self.region, self.warmer_k)
        )

    def load_kw(self, outside_c: float) -> float:
        """Return the load in kW at an outside temperature, on a straight line through the design load."""
        return max(0.0, self.load_w - self.coefficient_w_k * (outside_c - self.outside_c)) / 1000


@dataclass(frozen=True)
class UnitYear:
    """A year of heating with one unit, hot water beside it, kWh: heat, electricity, the heater's heat, the heat given while switching on and off."""

    heat_kwh: float
    electricity_kwh: float
    heater_kwh: float
    cycling_kwh: float
    heating_h: float

    @property
    def efficiency(self) -> float:
        """Heat for each unit of electricity, the electric heater counted in."""
        return self.heat_kwh / self.electricity_kwh

    @property
    def cycling_share(self) -> float:
        """Share of the heat that is given while the unit switches on and off."""
        return self.cycling_kwh / self.heat_kwh


def year_with(unit: UnitTable, house: House) -> UnitYear | None:
    """Return a year of heating without hot water, or None for a house that loses nothing.

    Notes
    -----
    Each bin's heat is that of :class:`YearLoad` at the flow of the compensation line.  What the unit cannot give comes from an electric
    heater at an efficiency of 1.  Below its least output the unit switches on and off and loses efficiency as EN 14825 has it.
    Between least and full output the table's efficiency stands, though many units do better there.
    """
    if house.year.line_w_k <= 0:
        return None
    heat, electricity, heater, cycling = [], [], [], []
    for outside, hours, load, flow in house.bins:
        point = unit.at(outside, flow)
        given = min(load, point.capacity_kw)
        ratio = given / point.least_kw
        heat.append(load * hours)
        heater.append((load - given) * hours)
        electricity.append(hours * given / (point.cop * cycling_factor(ratio)) + (load - given) * hours)
        if ratio < 1:
            cycling.append(given * hours)
    return UnitYear(
        fsum(heat), fsum(electricity), fsum(heater), fsum(cycling), fsum(hours for _, hours, _, _ in house.bins)
    )


def bivalent_point(
    load_kw: Callable[[float], float], capacity_kw: Callable[[float], float], coldest_c: float = COLDEST_C
) -> tuple[float, float] | None:
    """Return the outside temperature in °C at which output and load meet, and both there in kW.

    Parameters
    ----------
    load_kw, capacity_kw : callable
        Load, which falls as it gets milder, and output, over the outside temperature in °C.
    coldest_c : float
        Where to begin, °C.

    Returns
    -------
    tuple or None
        None when the output is enough even there, or not enough at 20 °C.

    Examples
    --------
    >>> [round(part, 2) for part in bivalent_point(lambda out: 0.3 * (16 - out), lambda out: 6 + 0.1 * out)]
    [-3.0, 5.7]
    """
    low, high = coldest_c, MILDEST_C
    if capacity_kw(low) >= load_kw(low) or capacity_kw(high) < load_kw(high):
        return None
    for _ in range(24):
        middle = (low + high) / 2
        if capacity_kw(middle) >= load_kw(middle):
            high = middle
        else:
            low = middle
    return high, load_kw(high)
