"""How much water: content, the least that must always be open to the unit, expansion, and what a buffer mixes."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, pi

from ..answers.citing import cite
from ..answers.rounding import figure

EXPANSION = cite("en_12828_2012", "annex on sizing of expansion vessels", "from memory")
DEFROST = cite("common_practice", "least water for a defrost: heat drawn over heat capacity", "common practice")
#: Sizes in which expansion vessels, and volumisers and buffers, are ordinarily sold, l: common practice, no source.
#: A vessel holds so much of the content in reserve when all is cold, and never less than so many litres (EN 12828).
RESERVE_SHARE, LEAST_RESERVE_L = 0.005, 3.0
EXPANSION_SIZES_L = (8, 12, 18, 24, 35, 50, 80, 100, 150, 200, 300)
BUFFER_SIZES_L = (15, 25, 35, 50, 60, 80, 100, 120, 150, 200, 300, 500, 800, 1000)


def content_l_m(bore_mm: float) -> float:
    """Return the water in a metre of pipe, l, for a bore in mm.

    Parameters
    ----------
    bore_mm : float
        Inside diameter, mm.

    References
    ----------
    ``π d² / 4``.

    Examples
    --------
    >>> round(content_l_m(19.7), 3)
    0.305
    """
    return pi * bore_mm**2 / 4 / 1000


def defrost_volume_l(draw_kw: float, seconds: float, drop_k: float, density: float, heat_j_kgk: float) -> float:
    """Return the water that gives a defrost its heat, l.

    Parameters
    ----------
    draw_kw : float
        Heat drawn from the water, kW.
    seconds : float
        How long, s.
    drop_k : float
        How far the water may cool, K; more than nothing.
    density, heat_j_kgk : float
        Of the water, kg/m³ and J/kgK.

    References
    ----------
    ``V = P·t/(ρ·c·ΔT)``; the maker's figure wins.

    Examples
    --------
    >>> round(defrost_volume_l(4.0, 240, 20, 992, 4180), 1)
    11.6
    """
    if drop_k <= 0:
        raise ValueError(f"the water must be allowed to cool, found {drop_k:g} K")
    return draw_kw * 1000 * seconds / (density * heat_j_kgk * drop_k) * 1000


def run_volume_l(
    least_kw: float, load_kw: float, seconds: float, swing_k: float, density: float, heat_j_kgk: float
) -> float:
    """Return the water that lets a unit run for ``seconds`` at its least output, l; nothing when the house takes it all.

    Parameters
    ----------
    least_kw, load_kw : float
        Least output of the unit, and what the house takes, kW.
    seconds : float
        How long it is to run, s.
    swing_k : float
        By how much the water may warm meanwhile, K.
    density, heat_j_kgk : float
        Of the water, kg/m³ and J/kgK.

    References
    ----------
    Heat kept: ``V = (P − Q) t / (ρ c Δθ)``.

    Examples
    --------
    >>> round(run_volume_l(2.5, 1.0, 600, 5, 992, 4180), 1)
    43.4
    """
    return max(0.0, defrost_volume_l(least_kw - load_kw, seconds, swing_k, density, heat_j_kgk))


def expansion_vessel_l(
    content_l: float, growth_share: float, precharge_bar: float, safety_valve_bar: float
) -> float | None:
    """Return the least nominal size of an expansion vessel, l; None when the valve leaves no room above the charge.

    Parameters
    ----------
    content_l : float
        Water in the whole circuit, l.
    growth_share : float
        By what share it grows.
    precharge_bar, safety_valve_bar : float
        Charge of the vessel and setting of the valve, bar above the air.

    References
    ----------
    EN 12828, ``(Ve + Vwr)·(pe + 1)/(pe − p0)``, reserve 0.5 % and at least 3 l, end pressure 0.5 bar below the valve (10 % above 5 bar).

    Examples
    --------
    >>> round(expansion_vessel_l(90, 0.012, 1.0, 3.0), 1)
    9.5
    """
    end = end_pressure_bar(safety_valve_bar)
    if end - precharge_bar < 0.1:
        return None
    return (content_l * growth_share + reserve_l(content_l)) * (end + 1) / (end - precharge_bar)


def end_pressure_bar(safety_valve_bar: float) -> float:
    """Return the highest pressure the circuit may reach, bar, below a safety valve.

    Parameters
    ----------
    safety_valve_bar : float
        Pressure at which it opens, bar.

    Examples
    --------
    >>> end_pressure_bar(3.0)
    2.5
    """
    return safety_valve_bar - 0.5 if safety_valve_bar <= 5 else 0.9 * safety_valve_bar


def reserve_l(content_l: float) -> float:
    """Return the reserve of water a vessel holds when all is cold, l.

    Parameters
    ----------
    content_l : float
        Water of the whole circuit, l.

    Examples
    --------
    >>> round(reserve_l(90), 2)
    3.0
    """
    return max(LEAST_RESERVE_L, RESERVE_SHARE * content_l)


def reserve_words(content_l: float) -> str:
    """Return how the reserve of water is reckoned for so much content, l.

    Parameters
    ----------
    content_l : float
        Water in the circuit, l.

    Examples
    --------
    >>> reserve_words(90)
    '3 l (0.5 % of the content would be less)'
    >>> reserve_words(1000)
    '0.5 % of the content'
    """
    share = f"{figure(RESERVE_SHARE * 100, 1)} % of the content"
    is_least = RESERVE_SHARE * content_l < LEAST_RESERVE_L
    return f"{figure(LEAST_RESERVE_L, 0)} l ({share} would be less)" if is_least else share


def fill_pressure_bar(vessel_l: float, content_l: float, precharge_bar: float) -> float | None:
    """Return the pressure to fill to when cold, bar; None when the vessel is smaller than its reserve.

    Parameters
    ----------
    vessel_l, content_l : float
        The vessel, and the water of the whole circuit, l.
    precharge_bar : float
        Pressure of the gas in the empty vessel, bar.

    Examples
    --------
    >>> round(fill_pressure_bar(18, 90, 1.0), 2)
    1.4
    """
    spare = vessel_l - reserve_l(content_l)
    return None if spare <= 0 else vessel_l * (precharge_bar + 1) / spare - 1


def sold_size_l(least_l: float, sizes_l: Sequence[int] = EXPANSION_SIZES_L) -> float:
    """Return the next size that is sold, l; beyond the largest the next whole hundred, to be made up of several.

    Parameters
    ----------
    least_l : float
        l.
    sizes_l : sequence of int
        The sizes sold, the smallest first, l.

    Examples
    --------
    >>> sold_size_l(9.5)
    12.0
    >>> sold_size_l(11.2, BUFFER_SIZES_L)
    15.0
    """
    return next((float(size) for size in sizes_l if size >= least_l - 1e-9), float(ceil(least_l / 100) * 100))


def mixed_flow_c(unit_flow: float, house_flow: float, flow_c: float, return_c: float) -> float:
    """Return what reaches the house from a vessel with four connections, °C, when the house draws more than the unit gives.

    Parameters
    ----------
    unit_flow, house_flow : float
        Water of the unit and of the house, l/min.
    flow_c, return_c : float
        °C.

    References
    ----------
    Heat kept in mixing.

    Examples
    --------
    >>> round(mixed_flow_c(15, 20, 45, 38), 2)
    43.25
    """
    return (
        flow_c if house_flow <= unit_flow else (unit_flow * flow_c + (house_flow - unit_flow) * return_c) / house_flow
    )


def mixed_return_c(unit_flow: float, house_flow: float, flow_c: float, return_c: float) -> float:
    """Return what goes back to the unit, °C, when the unit gives more than the house draws.

    Parameters
    ----------
    unit_flow, house_flow : float
        Water of the unit and of the house, l/min.
    flow_c, return_c : float
        °C.

    References
    ----------
    Heat kept in mixing.

    Examples
    --------
    >>> round(mixed_return_c(20, 15, 45, 38), 2)
    39.75
    """
    return (
        return_c if unit_flow <= house_flow else (house_flow * return_c + (unit_flow - house_flow) * flow_c) / unit_flow
    )
