"""A hot water cylinder: heat in it, how long it takes to warm again, its coil, what it loses, what it gives at the tap."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import exp, fsum

from ..answers.citing import cite
from ..emitters.radiators import logarithmic_mean
from ..fluids.water import HEAT_J_KGK, density
from ..unit.table import UnitTable

#: Temperature of water as it is used at the tap, °C.
TAP_C = 40.0
#: Slices of the rise in which a charge is worked out.
SLICES = 8

HEAT_BALANCE = cite("heat_balance", "heat in water", "published")
COIL = cite("coil_theory", "coil in a mixed store", "published")
LOSS_LIMIT = cite("approved_document_l_cylinder", "largest loss of a store", "from memory")


def heat_kwh(volume_l: float, rise_k: float, temperature_c: float = 40.0) -> float:
    """Return the heat in kWh that warms a volume in litres by a rise in K, at the density of a temperature in °C.

    Parameters
    ----------
    volume_l : float
        l.
    rise_k : float
        K.
    temperature_c : float
        Temperature whose density counts, °C.

    References
    ----------
    ``Q = ρ V c Δθ``.

    Examples
    --------
    >>> round(heat_kwh(200, 40), 2)
    9.22
    """
    return volume_l / 1000 * density(temperature_c) * HEAT_J_KGK * rise_k / 3.6e6


def reheat_minutes(volume_l: float, rise_k: float, power_kw: float) -> float:
    """Return the minutes that a constant power in kW takes to warm a volume in litres by a rise in K.

    Parameters
    ----------
    volume_l : float
        l.
    rise_k : float
        K.
    power_kw : float
        kW.

    Raises
    ------
    ValueError
        When the power is not more than nothing.

    Examples
    --------
    >>> round(reheat_minutes(200, 40, 6.0))
    92
    """
    if power_kw <= 0:
        raise ValueError(f"the power must be more than nothing, found {power_kw} kW")
    return heat_kwh(volume_l, rise_k) / power_kw * 60


def coil_effectiveness(conductance_w_k: float, flow_kg_s: float) -> float:
    """Return the effectiveness of a coil in a mixed store: ``1 − exp(−UA / (ṁ cp))``.

    Parameters
    ----------
    conductance_w_k : float
        UA of the coil, W/K.
    flow_kg_s : float
        Water through it, kg/s; more than nothing.

    Examples
    --------
    >>> round(coil_effectiveness(600, 0.25), 3)
    0.437
    """
    return 1 - exp(-conductance_w_k / (flow_kg_s * HEAT_J_KGK))


def coil_flow_c(power_kw: float, store_c: float, conductance_w_k: float, flow_kg_s: float) -> float:
    """Return the flow temperature in °C that brings a power in kW into a store at a temperature in °C.

    Parameters
    ----------
    power_kw : float
        kW.
    store_c : float
        Temperature of the store, °C.
    conductance_w_k : float
        UA of the coil, W/K.
    flow_kg_s : float
        Water through the coil, kg/s.

    References
    ----------
    As :func:`coil_effectiveness`: ``Q = ε ṁ c (θf − θs)``.

    Examples
    --------
    >>> round(coil_flow_c(6, 45, 600, 0.25), 1)
    58.1
    """
    return store_c + power_kw * 1000 / (coil_effectiveness(conductance_w_k, flow_kg_s) * flow_kg_s * HEAT_J_KGK)


def coil_power_kw(flow_c: float, return_c: float, store_c: float, conductance_w_k: float) -> float:
    """Return what a coil gives in kW at flow, return and store temperature in °C by the logarithmic mean: ``UA · LMTD``.

    Parameters
    ----------
    flow_c, return_c, store_c : float
        °C.
    conductance_w_k : float
        UA of the coil, W/K.

    References
    ----------
    ``Q = UA · LMTD``.

    Examples
    --------
    >>> round(coil_power_kw(55, 50, 45, 600), 2)
    4.33
    """
    return conductance_w_k * logarithmic_mean(flow_c, return_c, store_c) / 1000


@dataclass(frozen=True)
class Duty:
    """The unit at the design cold: its table, what it gives and what the house asks for, kW; None while it is not known."""

    unit: UnitTable | None
    capacity_kw: float | None
    load_kw: float | None


@dataclass(frozen=True)
class Charger:
    """What charges a store: output in kW and efficiency over the flow temperature in °C, the hottest flow, and its coil."""

    capacity_kw: Callable[[float], float]
    cop: Callable[[float], float]
    hottest_c: float
    conductance_w_k: float
    flow_kg_s: float


@dataclass(frozen=True)
class Charge:
    """One charge: minutes, flow and output at its end, efficiency over all of it, and whether the coil held the unit back."""

    minutes: float
    end_flow_c: float
    end_kw: float
    efficiency: float
    is_held_back: bool


def charge(volume_l: float, from_c: float, to_c: float, by: Charger) -> Charge | None:
    """Return one charge of a mixed store from one temperature to another, or None when the flow cannot get that hot.

    Notes
    -----
    Worked out in eight slices of the rise, at the middle of each.  In a slice the unit gives all it can at the flow that its coil
    asks for; where that is hotter than the unit goes, it gives what the coil takes at its hottest flow.
    """
    if to_c >= by.hottest_c - 0.5 or to_c <= from_c:
        return None
    effectiveness_kw_k = coil_effectiveness(by.conductance_w_k, by.flow_kg_s) * by.flow_kg_s * HEAT_J_KGK / 1000
    slice_k = (to_c - from_c) / SLICES
    hours, electricity, heat = [], [], heat_kwh(volume_l, slice_k)
    is_held_back = False
    for place in range(SLICES):
        power, flow, held = _state(from_c + (place + 0.5) * slice_k, effectiveness_kw_k, by)
        hours.append(heat / power)
        electricity.append(heat / by.cop(flow))
        is_held_back = is_held_back or held
    end_kw, end_flow, held = _state(to_c, effectiveness_kw_k, by)
    return Charge(fsum(hours) * 60, end_flow, end_kw, heat * SLICES / fsum(electricity), is_held_back or held)


def _state(store_c: float, effectiveness_kw_k: float, by: Charger) -> tuple[float, float, bool]:
    """Return power in kW, flow in °C and whether the coil holds the unit back, at one store temperature."""
    if effectiveness_kw_k * (by.hottest_c - store_c) < by.capacity_kw(by.hottest_c):
        return effectiveness_kw_k * (by.hottest_c - store_c), by.hottest_c, True
    low, high = store_c, by.hottest_c
    # A millikelvin decides nothing here.
    while high - low > 1e-3:
        middle = (low + high) / 2
        if effectiveness_kw_k * (middle - store_c) < by.capacity_kw(middle):
            low = middle
        else:
            high = middle
    return by.capacity_kw(high), high, False


def largest_loss_kwh(volume_l: float) -> float:
    """Return the largest loss of a store in kWh a day at 45 K: ``1.15 (0.2 + 0.051 V^⅔)``, V in litres.

    Parameters
    ----------
    volume_l : float
        l.

    References
    ----------
    Domestic services guide to Part L (from memory).

    Examples
    --------
    >>> round(largest_loss_kwh(200), 2)
    2.24
    """
    surface: float = volume_l ** (2 / 3)
    return 1.15 * (0.2 + 0.051 * surface)


def at_the_tap_l(usable_l: float, store_c: float, cold_c: float) -> float:
    """Return the litres at 40 °C that a usable volume in litres gives, mixed with cold water.

    Parameters
    ----------
    usable_l : float
        l.
    store_c, cold_c : float
        Store and cold water, °C.

    References
    ----------
    Heat kept in mixing: ``V (θs − θc) / (40 − θc)``.

    Examples
    --------
    >>> round(at_the_tap_l(180, 50, 10), 1)
    240.0
    """
    return usable_l * (store_c - cold_c) / (TAP_C - cold_c)
