"""What the heating takes in a year: the house's losses through the hours of its region, and a generic heat pump."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import fsum

from ..answers import Climate, EnergyBin, EnergyEstimate, HeatTerm, Step
from ..answers.citing import cite
from ..answers.rounding import TEMPERATURE, figure, rounded
from ..climate.weather import BASE_C, HEATED, heating_bins
from .compensation import HeatCurve
from .year_load import YearLoad, YearPart, together

#: A heat pump reaches this share of what the temperatures allow, defrosting included: 0.40 to 0.50 for air to water.
EXERGY_EFFICIENCY = 0.45
#: However mild it is, the refrigerant has to be lifted by so much, K: the estimate never pays off a smaller lift.
LEAST_LIFT_K = 20.0
KELVIN = 273.15

#: An outside temperature in °C with its hours, the heat in kWh, the flow temperature in °C and the efficiency.
Bin = tuple[int, float, float, float, float]

GENERIC_UNIT = cite("carnot", "generic air-to-water heat pump, exergy efficiency 0.45", "from memory")


@dataclass(frozen=True)
class Use:
    """Heat and electricity of a year, kWh."""

    heat_kwh: float
    electricity_kwh: float

    @property
    def efficiency(self) -> float:
        """Heat for each unit of electricity through the year."""
        return self.heat_kwh / self.electricity_kwh


def generic_efficiency(outside_c: float, flow_c: float) -> float:
    """Return the heat that a generic air-to-water heat pump gives for each unit of electricity.

    Parameters
    ----------
    outside_c, flow_c : float
        Temperatures of the outside air and of the flow, °C.

    References
    ----------
    Carnot's efficiency times an exergy efficiency, ``η T_h / (T_h − T_c)`` with η 0.45 (from memory), at a lift of at least 20 K
    (common practice, no source).  Stands in for the tables of a real unit.

    Examples
    --------
    >>> round(generic_efficiency(7, 40), 2)
    4.27
    """
    return EXERGY_EFFICIENCY * (flow_c + KELVIN) / max(flow_c - outside_c, LEAST_LIFT_K)


def _bins(load: YearLoad, curve: HeatCurve, region: float, warmer_k: float) -> list[Bin]:
    found = []
    for outside, hours in heating_bins(region, warmer_k):
        flow = curve.flow_at(outside)
        heat = load.watts(outside, curve) * hours / 1000
        found.append((outside, hours, heat, flow, generic_efficiency(outside, flow)))
    return found


def yearly_use(load: YearLoad, curve: HeatCurve, region: float, warmer_k: float = 0.0) -> Use | None:
    """Return the heat and electricity of a year, or None for a house that loses nothing.

    Parameters
    ----------
    load : YearLoad
        What the heating has to give at each outside temperature.
    curve : HeatCurve
        Its flow temperature over the outside temperature.
    region : float
        Number of the region in SAP's Table U1.
    warmer_k : float
        By how much the year is warmer there than in the table, K.
    """
    if load.line_w_k <= 0:
        return None
    return _use_of(_bins(load, curve, region, warmer_k))


def _use_of(bins: Sequence[Bin]) -> Use:
    return Use(fsum(heat for _, _, heat, _, _ in bins), fsum(heat / efficiency for _, _, heat, _, efficiency in bins))


def pounds(electricity_kwh: float, price_p_kwh: float | None) -> str | None:
    """Return a year's cost in whole pounds as decimal text, or None without a price in p/kWh.

    Parameters
    ----------
    electricity_kwh : float
        A year's electricity, kWh.
    price_p_kwh : float or None
        Its price, p/kWh.

    Examples
    --------
    >>> pounds(3500, 24.5)
    '858.00'
    """
    return None if price_p_kwh is None else f"{rounded(electricity_kwh * price_p_kwh / 100, 0):.2f}"


def _terms(parts: Sequence[YearPart], curve: HeatCurve, climate: Climate) -> tuple[HeatTerm, ...]:
    """Return each term of the year with its heat, those left out as well."""
    year = heating_bins(float(climate.region), climate.warmer_k)
    return tuple(
        HeatTerm(
            part.code,
            part.label,
            None
            if part.load is None
            else rounded(fsum(part.load.watts(outside, curve) * hours / 1000 for outside, hours in year), 0),
            part.counts,
            part.words,
            part.source,
        )
        for part in parts
    )


def estimate(
    parts: Sequence[YearPart], curve: HeatCurve, climate: Climate, price_p_kwh: float | None
) -> EnergyEstimate | None:
    """Return the estimate of a year's heating at a design flow, with its terms, bins and working."""
    load = together(parts)
    if load.line_w_k <= 0:
        return None
    year = _bins(load, curve, float(climate.region), climate.warmer_k)
    use = _use_of(year)
    terms = _terms(parts, curve, climate)
    bins = tuple(
        EnergyBin(
            outside,
            rounded(hours, 1),
            rounded(heat, 1),
            rounded(flow, 1),
            rounded(efficiency, 2),
            rounded(heat / efficiency, 1),
        )
        for outside, hours, heat, flow, efficiency in year
        if hours >= 0.05
    )
    more = "".join(
        f", {words}"
        for words, found in (
            ("pipes by their surroundings", load.pipes),
            (f"floors {figure(load.floors_w_k, 2)} W/K", load.floors_w_k),
        )
        if found
    )
    steps = (
        Step(
            "Heat of a year",
            "Σ (H · (15.5 − θo) + pipes · (θw − θa) + floors · (θw − θi)) · hours"
            if more
            else "Σ H · (15.5 − θo) · hours",
            f"H {figure(load.line_w_k, 1)} W/K{more}, hours of each degree from October to May in {climate.region_name or 'the UK'}",
            rounded(use.heat_kwh, 0),
            "kWh",
            HEATED,
        ),
        Step(
            "Electricity of a year",
            "Σ heat / (0.45 · Th/(Th − Tc))",
            f"flow from {figure(curve.flow_c, 1)} °C at the design cold down the compensation line",
            rounded(use.electricity_kwh, 0),
            "kWh",
            GENERIC_UNIT,
        ),
        Step(
            "Seasonal efficiency",
            "heat / electricity",
            f"{figure(use.heat_kwh, 0)} / {figure(use.electricity_kwh, 0)}",
            rounded(use.efficiency, 2),
            "",
            GENERIC_UNIT,
        ),
    )
    return EnergyEstimate(
        flow_c=rounded(curve.flow_c, TEMPERATURE),
        base_c=BASE_C,
        coefficient_w_k=rounded(load.line_w_k, 1),
        heat_kwh=rounded(use.heat_kwh, 0),
        electricity_kwh=rounded(use.electricity_kwh, 0),
        seasonal_efficiency=rounded(use.efficiency, 2),
        price_p_kwh=price_p_kwh,
        cost_pounds=pounds(use.electricity_kwh, price_p_kwh),
        words=(
            "An estimate for heating from October to May, hot water beside it, with a generic heat pump in place of a real unit's tables. The rooms count "
            "at their full temperatures day and night; a household that heats by the clock or leaves rooms cool uses less."
        ),
        bins=bins,
        terms=terms,
        steps=steps,
        source=GENERIC_UNIT,
    )
