"""Layered elements by EN ISO 6946: layers in series, and bridged layers by the combined method."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import product
from math import fsum, prod
from typing import Any

from wattwalk.catalogue import Row, interpolate, table

from ..answers.rounding import figure

MATERIALS = "materials_en_iso_10456_2007"
SURFACES = "surface_resistances_en_iso_6946_2017"
AIR_LAYERS = "air_layers_en_iso_6946_2017"

#: Words by which an air layer is known when neither λ nor R is written down.
AIR_WORDS = ("air", "air layer", "air gap", "cavity", "empty cavity")

#: More bridged layers than this make the paths a guess.
MOST_BRIDGED = 3

#: EN ISO 6946: the combined method holds while the upper limit is at most this multiple of the lower.
LIMIT_RATIO = 1.5

#: A bridge that conducts better than this is metal, and a layer that conducts worse than the second figure is
#: insulation, W/mK: the combined method does not hold for metal through insulation.
METAL_W_MK, INSULATION_W_MK = 10.0, 0.1

#: Vents in mm² per metre at which an air layer begins to be, and is, well ventilated; the middle is taken when not measured.
VENTS_FROM, VENTS_TO, VENTS_MIDDLE = 500.0, 1500.0, 1000.0

#: EN ISO 6946: corrections that together are less than this share of U are left out.
CORRECTION_SHARE = 0.03
AIR_GAP_W_M2K = {"none": 0.0, "gaps": 0.01, "circulation": 0.04}


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
    thickness_m: float | None = None
    air: str | None = None
    vents_mm2_m: float = 0.0

    @property
    def equivalent(self) -> float:
        """Resistance of the layer with what bridges it side by side, m²K/W."""
        if not self.fraction:
            return self.resistance
        return 1 / fsum([(1 - self.fraction) / self.resistance, self.fraction / self.bridge_resistance])


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

    References
    ----------
    EN ISO 6946:2017, Table 7.

    Examples
    --------
    >>> surface_resistances('horizontal', inside_beyond=False)
    (0.13, 0.04)
    """
    row = table(SURFACES).get(direction=direction)
    near = row.number("inside_m2k_w")
    return near, near if inside_beyond else row.number("outside_m2k_w")


def air_layer_resistance(thickness_mm: float, direction: str) -> float:
    """Return the resistance in m²K/W of an unventilated air layer of 0 to 300 mm.

    Parameters
    ----------
    thickness_mm : float
        0 to 300 mm.
    direction : str
        Way of the heat: ``up``, ``horizontal`` or ``down``.

    Raises
    ------
    CatalogueError
        When the layer is thicker than the table goes.

    References
    ----------
    EN ISO 6946:2017, Table 8.

    Examples
    --------
    >>> air_layer_resistance(50, 'horizontal')
    0.18
    """
    column = f"{direction}_m2k_w"
    return interpolate(
        ((row.number("thickness_mm"), row.number(column)) for row in table(AIR_LAYERS).rows), thickness_mm
    )


def read_layer(given: Mapping[str, Any], place: int, direction: str) -> Layer:
    """Turn one row of a construction's layers into resistances.

    Raises
    ------
    LayerError
        When the row has neither a resistance nor what makes one, a bridge without its λ, or metal through insulation.
    """
    name = given.get("material") or f"layer {place}"
    thickness, air = given.get("thickness_mm"), given.get("air")
    if (
        air is None
        and given.get("resistance_m2k_w") is None
        and given.get("conductivity_w_mk") is None
        and str(name).strip().lower() in AIR_WORDS
    ):
        air = "still"
    if air == "well":
        return Layer(0.0, "well ventilated air: it and all beyond it left out", air=air)
    resistance, words, row = _resistance(given, name, place, direction, air)
    thickness_m = None if thickness is None else thickness / 1000
    vents = given.get("vents_mm2_m") or VENTS_MIDDLE
    fraction = given.get("bridge_fraction") or 0.0
    if not fraction:
        return Layer(resistance, words, row=row, thickness_m=thickness_m, air=air, vents_mm2_m=vents)
    bridge = given.get("bridge_conductivity_w_mk")
    if bridge is None or thickness_m is None:
        raise LayerError(
            f"{name} (layer {place}) is bridged, but the λ of what bridges it or the layer's thickness is missing."
        )
    if bridge >= METAL_W_MK and thickness_m / resistance <= INSULATION_W_MK:
        raise LayerError(
            f"{name} (layer {place}) is insulation bridged by metal, which this method cannot work out. Declare the U-value, or write thin fixings down as such."
        )
    words += f", {figure(fraction * 100, 1)} % bridged by λ {figure(bridge, 3)}"
    return Layer(resistance, words, fraction, thickness_m / bridge, row, thickness_m, air, vents)


def _resistance(
    given: Mapping[str, Any], name: str, place: int, direction: str, air: str | None
) -> tuple[float, str, Row | None]:
    """Return a layer's resistance in m²K/W, how the working shows it, and the catalogue's row behind it."""
    thickness, resistance, conductivity = (
        given.get("thickness_mm"),
        given.get("resistance_m2k_w"),
        given.get("conductivity_w_mk"),
    )
    if resistance is not None:
        return resistance, f"{name} R {figure(resistance, 3)}", None
    if thickness is None:
        raise LayerError(
            f"{name} (layer {place}) has no thickness and no resistance. Measure its thickness, or write down its R."
        )
    if air is not None:
        if thickness > 300:
            raise LayerError(
                f"{name} (layer {place}) is {figure(thickness, 0)} mm thick; air layers are tabulated to 300 mm. Write down its R."
            )
        words = f"air {figure(thickness, 1)} mm"
        if air == "slight":
            words += f", vents {figure(given.get('vents_mm2_m') or VENTS_MIDDLE, 0)} mm²/m"
        return air_layer_resistance(thickness, direction), words, None
    if conductivity is not None:
        return thickness / 1000 / conductivity, f"{name} {figure(thickness, 1)} mm / λ {figure(conductivity, 3)}", None
    row = find_material(name)
    if row is None:
        raise LayerError(
            f"{name} (layer {place}) has neither λ nor R, and the table of materials does not know it. Write down one of the two."
        )
    conductivity = row.number("conductivity_w_mk")
    return (
        thickness / 1000 / conductivity,
        f"{row.word('name')} {figure(thickness, 1)} mm / λ {figure(conductivity, 3)}",
        row,
    )


def element_resistance(near: float, far: float, layers: Sequence[Layer]) -> Resistance:
    """Return the total resistance of an element whose air layers may be ventilated.

    Parameters
    ----------
    near, far : float
        Surface resistances, m²K/W.
    layers : sequence of Layer
        From the inside outwards; a row marked as well ventilated air ends the element, and still air takes the place of its outer surface.

    Returns
    -------
    Resistance
        m²K/W; where a layer is a little ventilated, between the closed and the well ventilated element by the area of its vents.

    Raises
    ------
    LayerError
        When two air layers are a little ventilated, or too many layers are bridged.

    References
    ----------
    EN ISO 6946:2017, air layers: ``R = (1500 − A)/1000 · R closed + (A − 500)/1000 · R open`` for vents of A mm²/m.
    """
    for place, layer in enumerate(layers):
        if layer.air == "well":
            layers, far = layers[:place], near
            break
    slight = [place for place, layer in enumerate(layers) if layer.air == "slight"]
    if len(slight) > 1:
        raise LayerError("two air layers are a little ventilated, and the method has one; say which of them is closed.")
    closed = total_resistance(near, far, layers)
    if not slight:
        return closed
    opened = total_resistance(near, near, layers[: slight[0]])
    share = (layers[slight[0]].vents_mm2_m - VENTS_FROM) / (VENTS_TO - VENTS_FROM)

    def between(one: float, other: float) -> float:
        return (1 - share) * one + share * other

    return Resistance(
        between(closed.total, opened.total), between(closed.upper, opened.upper), between(closed.lower, opened.lower)
    )


def air_gap_correction(level: str, layer_m2k_w: float, total_m2k_w: float) -> float:
    """Return what gaps in the insulation add to U, W/m²K.

    Parameters
    ----------
    level : str
        ``none``, ``gaps`` (through the layer) or ``circulation`` (gaps, and air moving round it).
    layer_m2k_w, total_m2k_w : float
        Resistance of the layer with the gaps and of the whole element, m²K/W.

    References
    ----------
    EN ISO 6946:2017, correction for air voids: ``ΔU = ΔU″ (R1/R)²``.

    Examples
    --------
    >>> round(air_gap_correction('gaps', 3.0, 4.0), 4)
    0.0056
    """
    return AIR_GAP_W_M2K[level] * (layer_m2k_w / total_m2k_w) ** 2


def fixing_correction(
    conductivity_w_mk: float,
    area_mm2: float,
    per_m2: float,
    layer_m: float,
    depth_m: float | None,
    layer_m2k_w: float,
    total_m2k_w: float,
) -> float:
    """Return what metal fixings through the insulation add to U, W/m²K.

    Parameters
    ----------
    conductivity_w_mk : float
        Of a fixing, W/mK; below 1 it adds nothing.
    area_mm2, per_m2 : float
        Section of one fixing, mm², and how many there are on a square metre.
    layer_m, depth_m : float
        Thickness of the insulation and how deep the fixing goes into it, m; None means right through.
    layer_m2k_w, total_m2k_w : float
        Resistance of the insulation and of the whole element, m²K/W.

    References
    ----------
    EN ISO 6946:2017, correction for mechanical fasteners, from memory: ``ΔU = α λ A n / d · (R1/R)²``, α = 0.8.

    Examples
    --------
    >>> round(fixing_correction(50, 12.5, 2.5, 0.1, None, 2.5, 3.5), 4)
    0.0064
    """
    if conductivity_w_mk < 1:
        return 0.0
    depth = layer_m if depth_m is None else min(depth_m, layer_m)
    alpha = 0.8 * depth / layer_m
    return alpha * conductivity_w_mk * area_mm2 * 1e-6 * per_m2 / layer_m * (layer_m2k_w / total_m2k_w) ** 2


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
        raise LayerError(
            f"{len(bridged)} layers are bridged; more than {MOST_BRIDGED} cannot be worked out this way. Declare the U-value."
        )
    ways = [((1 - layer.fraction, layer.resistance), (layer.fraction, layer.bridge_resistance)) for layer in bridged]
    upper = 1 / fsum(prod(share for share, _ in path) / fsum([plain, *(r for _, r in path)]) for path in product(*ways))
    lower = fsum([plain, *(1 / fsum(share / r for share, r in way) for way in ways)])
    return Resistance((upper + lower) / 2, upper, lower)
