"""Water in pipes: flow from load, velocity and pressure drop pipe by pipe, fittings, and what balances a branch."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import fsum, sqrt
from typing import Any

from wattwalk.catalogue import Row, table

from ..answers.citing import cite
from . import water
from .glycol import Fluid
from .water import COLEBROOK, friction_factor

SIZES, LIMITS, FITTINGS = "pipe_sizes_2026", "pipe_limits_2026", "fitting_losses_2026"
#: A size written down is taken for the one in the table when it lies within this, mm.
SIZE_TOLERANCE_MM = 0.5

FLOW = cite("colebrook", "flow, velocity and friction in pipes", "published")
KV = cite("fitting_handbooks", "Δp = (Q/Kv)² bar at 1,000 kg/m³")

__all__ = [
    "COLEBROOK",
    "FLOW",
    "KV",
    "balancing_kv",
    "fitting_drop",
    "flow_l_min",
    "gradient",
    "kv_drop",
    "limits",
    "pipe_row",
    "velocity",
    "zeta",
]


def pipe_row(material: str | None, size_mm: float | None) -> Row | None:
    """Return the table's row for a pipe, or None when the table has no such size."""
    if material is None or size_mm is None:
        return None
    near = [
        row
        for row in table(SIZES).where("material", material)
        if abs(row.number("size_mm") - size_mm) <= SIZE_TOLERANCE_MM
    ]
    return min(near, key=lambda row: abs(row.number("size_mm") - size_mm), default=None)


def flow_l_min(load_kw: float, difference_k: float, fluid: Fluid, mean_c: float) -> float:
    """Return the flow in l/min that carries a load.

    Parameters
    ----------
    load_kw : float
        Heat, kW; nothing or more.
    difference_k : float
        Flow less return, K; more than nothing.
    fluid : Fluid
        What flows.
    mean_c : float
        Mean temperature, °C.

    References
    ----------
    ``q = Q / (ρ c Δθ)``.

    Examples
    --------
    >>> round(flow_l_min(6, 5, Fluid('water'), 40), 1)
    17.4
    """
    if difference_k <= 0:
        raise ValueError(f"the difference must be more than nothing, found {difference_k:g} K")
    return load_kw * 1000 / (fluid.specific_heat(mean_c) * difference_k) / fluid.density(mean_c) * 60_000


def velocity(flow: float, bore_mm: float) -> float:
    """Return the velocity in m/s of a flow in l/min through a bore in mm.

    Parameters
    ----------
    flow : float
        l/min.
    bore_mm : float
        Inside diameter, mm.

    References
    ----------
    As :func:`.water.velocity`.

    Examples
    --------
    >>> round(velocity(10, 19.7), 3)
    0.547
    """
    return water.velocity(flow, bore_mm / 1000)


def gradient(flow: float, bore_mm: float, roughness_mm: float, fluid: Fluid, mean_c: float) -> float:
    """Return the pressure drop in Pa for each metre of straight pipe.

    Parameters
    ----------
    flow : float
        l/min; none gives none.
    bore_mm, roughness_mm : float
        Inside diameter and roughness of the wall, mm.
    fluid : Fluid
        What flows.
    mean_c : float
        Its mean temperature, °C.

    References
    ----------
    Darcy and Weisbach, ``f·ρv²/2d``, with Colebrook's factor.

    Examples
    --------
    >>> round(gradient(10, 19.7, 0.0015, Fluid('water'), 40))
    206
    """
    if flow <= 0:
        return 0.0
    bore, speed, density = bore_mm / 1000, velocity(flow, bore_mm), fluid.density(mean_c)
    factor = friction_factor(fluid.reynolds(speed, bore, mean_c), roughness_mm / bore_mm)
    return factor * density * speed**2 / (2 * bore)


def zeta(kind: str, size_mm: float) -> float:
    """Return the loss coefficient of a fitting in a pipe of this outside diameter, mm.

    Parameters
    ----------
    kind : str
        A kind of fitting of the table, such as ``bend``.
    size_mm : float
        Outside diameter of the pipe, mm.

    Examples
    --------
    >>> zeta('bend', 22)
    0.4
    """
    rows = table(FITTINGS).where("kind", kind)
    if not rows:
        raise ValueError(f"the table of fittings has no {kind!r}")
    return next((row for row in rows if size_mm <= row.number("up_to_size_mm") + SIZE_TOLERANCE_MM), rows[-1]).number(
        "zeta"
    )


def fitting_drop(fittings: Sequence[Mapping[str, Any]] | None, size_mm: float, speed: float, density: float) -> float:
    """Return what all fittings of a run take together, Pa, at a velocity in m/s and a density in kg/m³.

    Parameters
    ----------
    fittings : sequence of dict, or None
        Rows with a ``kind`` and a ``count``.
    size_mm : float
        Outside diameter of the pipe, mm.
    speed : float
        Velocity of the water, m/s.
    density : float
        kg/m³.

    References
    ----------
    ``Δp = Σζ · ρ v² / 2``.

    Examples
    --------
    >>> round(fitting_drop([{'kind': 'bend', 'count': 4}], 22, 0.5, 992))
    198
    """
    counted = [(row.get("kind"), row.get("count")) for row in fittings or []]
    return fsum(zeta(kind, size_mm) * count for kind, count in counted if kind and count) * density * speed**2 / 2


def kv_drop(flow: float, kv_m3_h: float, density: float) -> float:
    """Return the pressure drop in kPa of something with a Kv in m³/h at a flow in l/min and a density in kg/m³.

    Parameters
    ----------
    flow : float
        l/min.
    kv_m3_h : float
        Kv, m³/h at 1 bar.
    density : float
        kg/m³.

    References
    ----------
    ``Δp = (q / Kv)² · ρ / 1000``, in bar for q in m³/h.

    Examples
    --------
    >>> round(kv_drop(10, 1.7, 1000), 2)
    12.46
    """
    return (flow * 60 / 1000 / kv_m3_h) ** 2 * density / 1000 * 100


def balancing_kv(flow: float, surplus_kpa: float) -> float | None:
    """Return the Kv in m³/h of a valve that takes a surplus of pressure at a flow in l/min; None where there is no surplus.

    Parameters
    ----------
    flow : float
        l/min.
    surplus_kpa : float
        Pressure that the valve must take, kPa.

    References
    ----------
    ``Kv = q / √Δp``, q in m³/h and Δp in bar.

    Examples
    --------
    >>> round(balancing_kv(10, 12.5), 2)
    1.7
    """
    return None if surplus_kpa <= 1e-9 else flow * 60 / 1000 / sqrt(surplus_kpa / 100)


def limits(bore_mm: float) -> dict[str, Row]:
    """Return the usual limits that hold for a bore in mm: ``velocity_m_s``, ``gradient_pa_m``, ``lowest_velocity_m_s``."""
    found: dict[str, Row] = {}
    for row in sorted(table(LIMITS).rows, key=lambda item: item.number("above_bore_mm")):
        if bore_mm >= row.number("above_bore_mm"):
            found[row.word("limit")] = row
    return found
