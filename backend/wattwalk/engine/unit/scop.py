"""Seasonal efficiency of a unit by EN 14825: the bins of a reference climate, part load, hours of rest."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import fsum

from wattwalk.catalogue import table

from ..answers.citing import cite
from .table import UnitTable

BINS, CLIMATES, OUTLETS = "bins_en_14825_2018", "climates_en_14825_2018", "outlets_en_14825_2018"

#: Outside temperature at which the standard's load line reaches nothing, °C.
NO_LOAD_C = 16.0
#: Degradation of a unit that switches on and off, where its maker declares none.
DEGRADATION = 0.9
#: Outside temperature down to which the unit is taken to cover the load by itself, °C, when a table is rated here.
BIVALENT_C = -7.0

EN_14825 = cite("en_14825_2018", "seasonal coefficient of performance by bins")


@dataclass(frozen=True)
class Declared:
    """One declared point: outside temperature in °C, output in kW and coefficient of performance there."""

    outside_c: float
    capacity_kw: float
    cop: float


@dataclass(frozen=True)
class Resting:
    """Power in kW while the unit gives no heat: thermostat off, standby, crankcase heater, off."""

    thermostat_off_kw: float = 0.0
    standby_kw: float = 0.0
    crankcase_kw: float = 0.0
    off_kw: float = 0.0


@dataclass(frozen=True)
class Rating:
    """The seasonal figures: with the hours of rest and without, and the heat of the electric heater in kWh."""

    scop: float
    scop_on: float
    heat_kwh: float
    heater_kwh: float


def part_load(outside_c: float, design_c: float) -> float:
    """Return the part load ratio at an outside temperature: ``(T_j − 16) / (T_design − 16)``.

    Parameters
    ----------
    outside_c, design_c : float
        The outside temperature and the climate's design temperature, °C.

    References
    ----------
    EN 14825:2018, part load ratio: ``(Tj − 16) / (Tdesign − 16)``.

    Examples
    --------
    >>> round(part_load(2, -10), 2)
    0.54
    """
    return (outside_c - NO_LOAD_C) / (design_c - NO_LOAD_C)


def cycling_factor(ratio: float, degradation: float = DEGRADATION) -> float:
    """Return what is left of the efficiency when a unit covers a load by switching on and off.

    Parameters
    ----------
    ratio : float
        Load over output, more than nothing; from 1 on nothing is lost.
    degradation : float
        The coefficient Cc.

    References
    ----------
    EN 14825:2018, water-based units: ``CR / (Cc CR + 1 − Cc)``.

    Examples
    --------
    >>> round(cycling_factor(0.5), 3)
    0.909
    """
    if ratio >= 1:
        return 1.0
    return ratio / (degradation * ratio + 1 - degradation)


def _between(points: Sequence[Declared], outside_c: float, value: Callable[[Declared], float]) -> float:
    """Return a value on the straight lines between declared points, on the outermost lines beyond them."""
    place = 1
    while place < len(points) - 1 and points[place].outside_c < outside_c:
        place += 1
    one, other = points[place - 1], points[place]
    return value(one) + (value(other) - value(one)) * (outside_c - one.outside_c) / (other.outside_c - one.outside_c)


def seasonal_rating(
    points: Sequence[Declared],
    design_kw: float,
    climate: str = "average",
    least_c: float | None = None,
    degradation: float = DEGRADATION,
    resting: Resting | None = None,
) -> Rating:
    """Return the seasonal efficiency of a unit from its declared points.

    Parameters
    ----------
    points : sequence of Declared
        At least two, at different outside temperatures.
    design_kw : float
        Design load of the reference house, kW.
    climate : str
        ``average``, ``warmer`` or ``colder``.
    least_c : float, optional
        Outside temperature below which the unit does not run, °C.
    degradation : float
        The coefficient Cc.
    resting : Resting, optional
        Power while no heat is given; nothing unless declared.

    Notes
    -----
    Output and coefficient of performance lie on straight lines between the points and on the outermost lines beyond them, each bin
    is degraded by itself: EU regulation 813/2013 has the declared values drawn between and then corrected by the degradation (its
    definition of ``COP_bin``, from memory).  Drawing on the degraded coefficients instead is the other reading.  The
    worked example of annex H prints 3.61 and lies between the two: 3.625 by this one, 3.598 by the other (3.602 when held beyond 12 °C).

    References
    ----------
    EN 14825:2018, ``SCOP_on = Σ h P / Σ h ((P − elbu)/COP_bin + elbu)``, ``SCOP = Q / (Q/SCOP_on + hours of rest)``.
    """
    listed = sorted(points, key=lambda point: point.outside_c)
    hours_of = table(CLIMATES).get(climate=climate)
    heat, heater, electricity = [], [], []
    for row in table(BINS).where("climate", climate):
        outside, hours = row.number("outside_c"), row.number("hours_h")
        load = design_kw * part_load(outside, hours_of.number("design_c"))
        runs = least_c is None or outside >= least_c
        capacity = _between(listed, outside, lambda point: point.capacity_kw) if runs else 0.0
        short = max(0.0, load - capacity)
        heat.append(hours * load)
        heater.append(hours * short)
        if load - short > 0:
            cop = _between(listed, outside, lambda point: point.cop) * cycling_factor(load / capacity, degradation)
            electricity.append(hours * (load - short) / cop)
    scop_on = fsum(heat) / (fsum(electricity) + fsum(heater))
    rest = resting or Resting()
    whole = design_kw * hours_of.number("heating_h")
    at_rest = fsum(
        hours_of.number(name) * power
        for name, power in (
            ("thermostat_off_h", rest.thermostat_off_kw),
            ("standby_h", rest.standby_kw),
            ("crankcase_h", rest.crankcase_kw),
            ("off_h", rest.off_kw),
        )
    )
    return Rating(whole / (whole / scop_on + at_rest), scop_on, fsum(heat), fsum(heater))


def outlet_of(unit: UnitTable, application_c: float) -> tuple[bool, str]:
    """Say whether a unit's table covers the variable outlet of an application at 35 or 55 °C, and in words what the rating stands on.

    A variable outlet asks for cooler water as it gets milder.  Where the table begins above that, its coolest water stands in.
    """
    asked = [row.number("outlet_c") for row in table(OUTLETS).where("application_c", application_c)]
    coolest = unit.flow_c[0]
    if coolest <= min(asked) + 1e-9:
        return True, "variable outlet"
    if coolest >= application_c - 1e-9:
        return False, f"fixed outlet of {coolest:g} °C, where its table begins"
    return False, f"variable outlet down to {coolest:g} °C, where its table begins, and fixed below"


def rate_table(unit: UnitTable, application_c: float) -> Rating:
    """Return the seasonal efficiency that a unit's table gives in the average climate for an application at 35 or 55 °C.

    Notes
    -----
    The house is the one that the unit just covers at −7 °C.  Above its least output the unit follows the load; below it, it
    switches on and off.  The table holds full load, so a unit that does better at part load is declared with more.
    """
    outlets = [
        (row.number("outside_c"), row.number("outlet_c"))
        for row in table(OUTLETS).where("application_c", application_c)
    ]
    design_c = table(CLIMATES).get(climate="average").number("design_c")
    at_bivalent = unit.at(BIVALENT_C, dict(outlets)[BIVALENT_C]).capacity_kw
    design_kw = at_bivalent / part_load(BIVALENT_C, design_c)
    points = []
    for outside, outlet in outlets:
        found = unit.at(outside, outlet)
        given = min(found.capacity_kw, max(found.least_kw, design_kw * part_load(outside, design_c)))
        points.append(Declared(outside, given, found.cop))
    at_rest = unit.standby_w / 1000
    return seasonal_rating(points, design_kw, resting=Resting(at_rest, at_rest, 0.0, at_rest))
