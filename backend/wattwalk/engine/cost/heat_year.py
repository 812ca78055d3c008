"""Heat and electricity of a year, put together for its cost."""

from __future__ import annotations

from ..answers import EnergyEstimate, HeatOfYear, HeatTerm, HotWaterResult
from ..answers.rounding import figure, rounded
from ..unit import Units
from ..unit.load import DAY_MEAN
from .running_cost import HeatYear

#: The way of counting hot water that is made for a year's mean.
MEAN_USE = "sap_2012"


def heat_of_year(water: HotWaterResult | None, energy: EnergyEstimate | None) -> HeatOfYear | None:
    """Return a year's heat as a sum: the terms of heating, and the hot water; None while the heating is not known."""
    if energy is None:
        return None
    heat = None if water is None else water.heat_kwh
    term = HeatTerm(
        "hot_water",
        "Hot water",
        heat,
        heat is not None,
        "not known yet; the sum is without it"
        if heat is None
        else f"counted whatever was chosen for the unit's load: what is used and what the store loses, all year{_mean_use(water)}",
        DAY_MEAN,
    )
    return HeatOfYear((*energy.terms, term), rounded(energy.heat_kwh + (heat or 0.0), 0))


def _mean_use(water: HotWaterResult | None) -> str:
    """Say what the year would be by SAP's mean use, where the store was chosen for more or less than that."""
    needs = () if water is None else water.needs
    used = next((need.heat_kwh_day for need in needs if need.is_used), None)
    mean = next((need.heat_kwh_day for need in needs if need.method == MEAN_USE), None)
    if water is None or water.heat_kwh is None or used is None or mean is None or used == mean:
        return ""
    year = water.heat_kwh - 365 * (used - mean)
    return (
        f"; used is what the store was chosen for, by the mean use of SAP 2012 it would be about {figure(year, 0)} kWh"
    )


def heat_year(units: Units, water: HotWaterResult | None, energy: EnergyEstimate | None) -> HeatYear | None:
    """Return heat and electricity of a year: the chosen unit's where there is one, with the hot water where it is known.

    `energy`, the year with a generic heat pump, stands in while no unit with a table is chosen.
    """
    if units.year is not None:
        heat, electricity, words = units.year.heat_kwh, units.year.electricity_kwh, "heating by the chosen unit's table"
        if units.table is not None:
            # Standing by takes power all year; while it runs, the table counts it in.
            electricity += units.table.standby_w / 1000 * max(0.0, 8760 - units.year.heating_h)
    elif energy is not None:
        heat, electricity, words = energy.heat_kwh, energy.electricity_kwh, "heating by a generic heat pump"
    else:
        return None
    if water is not None and water.heat_kwh is not None and water.electricity_kwh is not None:
        return HeatYear(heat + water.heat_kwh, electricity + water.electricity_kwh, f"{words}, and hot water")
    return HeatYear(heat, electricity, f"{words}, hot water left out")
