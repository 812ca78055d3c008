"""Layered elements by EN ISO 6946: layers in series, and bridged layers by the combined method."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import product
from math import fsum, prod
from typing import Any

from wattwalk.catalogue import Row, interpolate, table

from .rounding import figure

MATERIALS = "materials_en_iso_10456_2007"
SURFACES = "surface_resistances_en_iso_6946_2017"
AIR_LAYERS = "air_layers_en_iso_6946_2017"

#: Words by which an air layer is known when neither λ nor R is written down.
AIR_WORDS = ("air", "air layer", "air gap", "cavity", "empty cavity")

#: More bridged layers than this make the paths a guess.
MOST_BRIDGED = 3

#: EN ISO 6946: the combined method holds while the upper limit is at most this multiple of the lower.
LIMIT_RATIO = 1.5


@dataclass(frozen=True)
class Layer:
    """One layer with its resistance, and what bridges it (fraction 0 for nothing).

    ``resistance`` and ``bridge_resistance`` in m²K/W; ``words`` is how the working shows it.
    """

    resistance: float
    words: str
    fraction: float = 0.0
    bridge_resistance: float = 0.0
    row: Row | None = None


@dataclass(frozen=True)
class Resistance:
    """Total resistance of an element in m²K/W, and the two limits it is the mean of."""

    total: float
    upper: float
    lower: float


class LayerError(ValueError):
    """A layer that cannot be worked out; its text says which, what was found and what is needed."""


@cache
def _materials() -> Mapping[str, Row]:
    by_name: dict[str, Row] = {}
    for row in table(MATERIALS).rows:
        by_name[row.word("material").lower()] = row
        by_name[row.word("name").lower()] = row
    return by_name


def find_material(name: str | None) -> Row | None:
    """Return the catalogue's row of a material by its key or its name, whatever the case, or None."""
    return _materials().get((name or "").strip().lower())


def surface_resistances(direction: str, inside_beyond: bool) -> tuple[float, float]:
    """Return the resistances of the near and the far surface.

    Parameters
    ----------
    direction : str
        Way of the heat: ``up``, ``horizontal`` or ``down``.
    inside_beyond : bool
        True when still air lies beyond (a room, a neighbour, an unheated space).

    Returns
    -------
    tuple of float
        m²K/W.
    """
    row = table(SURFACES).get(direction=direction)
    near = row.number("inside_m2k_w")
    return near, near if inside_beyond else row.number("outside_m2k_w")


def air_layer_resistance(thickness_mm: float, direction: str) -> float:
    """Return the resistance in m²K/W of an unventilated air layer of 0 to 300 mm.

    Raises
    ------
    CatalogueError
        When the layer is thicker than the table goes.
    """
    column = f"{direction}_m2k_w"
    return interpolate(((row.number("thickness_mm"), row.number(column)) for row in table(AIR_LAYERS).rows), thickness_mm)


def read_layer(given: Mapping[str, Any], place: int, direction: str) -> Layer:
    """Turn one row of a construction's layers into resistances.

    Raises
    ------
    LayerError
        When the row has neither a resistance nor what makes one, or a bridge without its λ.
    """
    name = given.get("material") or f"layer {place}"
    thickness, resistance, conductivity = given.get("thickness_mm"), given.get("resistance_m2k_w"), given.get("conductivity_w_mk")
    row = None
    if resistance is not None:
        words = f"{name} R {figure(resistance, 3)}"
    elif thickness is None:
        raise LayerError(f"{name} (layer {place}) has no thickness and no resistance. Measure its thickness, or write down its R.")
    elif conductivity is not None:
        resistance = thickness / 1000 / conductivity
        words = f"{name} {figure(thickness, 1)} mm / λ {figure(conductivity, 3)}"
    elif str(name).strip().lower() in AIR_WORDS:
        if thickness > 300:
            raise LayerError(f"{name} (layer {place}) is {figure(thickness, 0)} mm thick; air layers are tabulated to 300 mm. Write down its R.")
        resistance = air_layer_resistance(thickness, direction)
        words = f"air {figure(thickness, 1)} mm"
    else:
        row = find_material(name)
        if row is None:
            raise LayerError(f"{name} (layer {place}) has neither λ nor R, and the table of materials does not know it. Write down one of the two.")
        conductivity = row.number("conductivity_w_mk")
        resistance = thickness / 1000 / conductivity
        words = f"{row.word('name')} {figure(thickness, 1)} mm / λ {figure(conductivity, 3)}"
    fraction = given.get("bridge_fraction") or 0.0
    if not fraction:
        return Layer(resistance, words, row=row)
    bridge = given.get("bridge_conductivity_w_mk")
    if bridge is None or thickness is None:
        raise LayerError(f"{name} (layer {place}) is bridged, but the λ of what bridges it or the layer's thickness is missing.")
    words += f", {figure(fraction * 100, 1)} % bridged by λ {figure(bridge, 3)}"
    return Layer(resistance, words, fraction, thickness / 1000 / bridge, row)


def total_resistance(near: float, far: float, layers: Sequence[Layer]) -> Resistance:
    """Return the total resistance of an element between two surfaces.

    Parameters
    ----------
    near, far : float
        Surface resistances, m²K/W.
    layers : sequence of Layer
        From the inside outwards.

    Returns
    -------
    Resistance
        m²K/W; ``total`` is the mean of the upper limit (parallel paths) and the lower limit (flat temperatures).

    Raises
    ------
    LayerError
        When more than three layers are bridged.

    Notes
    -----
    Where several layers are bridged their bridges are taken as independent of one another.

    References
    ----------
    EN ISO 6946:2017, combined method for components with inhomogeneous layers.
    """
    plain = fsum([near, far, *(layer.resistance for layer in layers if not layer.fraction)])
    bridged = [layer for layer in layers if layer.fraction]
    if not bridged:
        return Resistance(plain, plain, plain)
    if len(bridged) > MOST_BRIDGED:
        raise LayerError(f"{len(bridged)} layers are bridged; more than {MOST_BRIDGED} cannot be worked out this way. Declare the U-value.")
    ways = [((1 - layer.fraction, layer.resistance), (layer.fraction, layer.bridge_resistance)) for layer in bridged]
    upper = 1 / fsum(prod(share for share, _ in path) / fsum([plain, *(r for _, r in path)]) for path in product(*ways))
    lower = fsum([plain, *(1 / fsum(share / r for share, r in way) for way in ways)])
    return Resistance((upper + lower) / 2, upper, lower)
