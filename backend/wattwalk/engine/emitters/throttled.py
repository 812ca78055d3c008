"""An emitter larger than its room needs: the return at which it gives just that, with less water through it."""

from __future__ import annotations

from math import exp

from wattwalk.survey.known import known

from .radiators import ARITHMETIC_50, LIMIT_RATIO, LOGARITHMIC_50
from .work import EmitterWork

#: The search for a return ends when a step changes its logarithm by less than this.
_CLOSE, _MOST_STEPS = 1e-12, 60


def return_of_mean(mean_k: float, flow_c: float, inside_c: float) -> float | None:
    """Return the return temperature in °C at which the logarithmic mean difference is ``mean_k``; None when no return reaches it.

    Parameters
    ----------
    mean_k : float
        Logarithmic mean difference between water and room, K; more than nothing.
    flow_c, inside_c : float
        Water in, room, °C.

    Notes
    -----
    With ``u = ln((θf − θi)/(θr − θi))`` and ``t = ΔT/(θf − θi)`` it is the root of ``1 − e^(−u) − t u``, found by Newton's steps from
    ``u = 1/t``: the function is bent one way only, so they come down to the root from above.

    References
    ----------
    EN 442-2 and EN 1264-2, ``ΔT = (θf − θr)/ln((θf − θi)/(θr − θi))``, solved for θr.

    Examples
    --------
    >>> round(return_of_mean(24.66, 50, 20), 1)
    40.0
    """
    hot = flow_c - inside_c
    if hot <= 0 or mean_k >= hot:
        return None
    share = mean_k / hot
    u = 1 / share
    for _ in range(_MOST_STEPS):
        left = exp(-u)
        step = (1 - left - share * u) / (left - share)
        u -= step
        if abs(step) < _CLOSE:
            break
    return inside_c + hot * exp(-u)


def radiator_return(rated_w: float, exponent: float, heat_w: float, flow_c: float, inside_c: float) -> float | None:
    """Return the return temperature in °C at which a radiator gives ``heat_w``; None when no flow of water makes it give so much.

    Parameters
    ----------
    rated_w : float
        Output at 75/65/20 °C, W.
    exponent : float
        Exponent n of its characteristic.
    heat_w : float
        What it is to give, W; more than nothing.
    flow_c, inside_c : float
        Water in, room, °C.

    Notes
    -----
    The arithmetic mean holds down to a ratio of 0.7, the logarithmic one below it, as for the output; where the two meet they are 0.7 % apart.

    References
    ----------
    EN 442-2:2014, ``Φ = Φ50 (ΔT/50)^n``, solved for the return.

    Examples
    --------
    >>> round(radiator_return(1000, 1.3, 460, 50, 20), 1)
    45.0
    """
    if flow_c <= inside_c:
        return None
    ratio: float = (heat_w / rated_w) ** (1 / exponent)
    returning = 2 * (ratio * ARITHMETIC_50 + inside_c) - flow_c
    if returning >= flow_c:
        return None
    if (returning - inside_c) / (flow_c - inside_c) >= LIMIT_RATIO:
        return returning
    colder = return_of_mean(ratio * LOGARITHMIC_50, flow_c, inside_c)
    # Between the two means lies a step: what falls on it is met where they change over.
    return None if colder is None else min(colder, inside_c + LIMIT_RATIO * (flow_c - inside_c))


def floor_return(
    coefficient_w_m2k: float, area_m2: float, heat_w: float, flow_c: float, inside_c: float
) -> float | None:
    """Return the return temperature in °C at which a heated floor gives ``heat_w`` upward; None when no flow of water makes it give so much.

    Parameters
    ----------
    coefficient_w_m2k, area_m2 : float
        Output per kelvin and square metre, W/m²K, and heated area, m².
    heat_w : float
        What it is to give upward, W; more than nothing.
    flow_c, inside_c : float
        Water in, room, °C.

    References
    ----------
    EN 1264-3, each loop's difference at the common flow temperature: ``q = K ΔθH``, solved for the return.

    Examples
    --------
    >>> round(floor_return(4.0, 20, 1000, 40, 20), 2)
    27.16
    """
    return return_of_mean(heat_w / area_m2 / coefficient_w_m2k, flow_c, inside_c)


def return_for(work: EmitterWork, heat_w: float, flow_c: float) -> float | None:
    """Return the return temperature in °C at which an emitter gives ``heat_w`` at this flow in °C; None when nothing does, or it is not known."""
    inside = work.inside_c
    if work.missing or inside is None or heat_w <= 0:
        return None
    if work.coefficient_w_m2k is not None:
        return floor_return(work.coefficient_w_m2k, work.area_m2, heat_w, flow_c, inside) if work.area_m2 else None
    rated = known(work.rated_w)
    return radiator_return(rated, known(work.exponent), heat_w, flow_c, inside) if rated > 0 else None
