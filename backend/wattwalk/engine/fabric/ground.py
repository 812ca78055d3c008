"""Ground floors by EN ISO 13370: slab on ground and suspended floor, for the whole footprint of the house."""

from __future__ import annotations

from dataclasses import dataclass
from math import log, pi

from ..answers.rounding import figure

#: Conductivity of clay or silt, the usual UK ground, W/mK.
CLAY_W_MK = 1.5

#: Surface resistances of EN ISO 13370 for floors, m²K/W.
RSI, RSE = 0.17, 0.04

#: RdSAP's constants of a suspended timber floor: height above ground m, U of the void's wall W/m²K, vent area m²/m,
#: wind speed m/s, wind shielding factor, resistance of the bare deck m²K/W.
VOID_HEIGHT_M, VOID_WALL_W_M2K, VOID_VENTS_M2_M, WIND_M_S, SHIELDING, DECK_M2K_W = 0.3, 1.5, 0.003, 5.0, 0.05, 0.2

#: How the void's own U-value is reckoned from them.
VOID_WORDS = (
    f"Ux = (2 h Uw + 1,450 ε v fw)/B′ = (2 × {figure(VOID_HEIGHT_M)} × {figure(VOID_WALL_W_M2K)}"
    f" + 1,450 × {figure(VOID_VENTS_M2_M, 3)} × {figure(WIND_M_S)} × {figure(SHIELDING)})/B′"
)


@dataclass(frozen=True)
class GroundFloor:
    """A ground floor's U-value in W/m²K, and the lengths in m that it was made from."""

    u_value: float
    characteristic_m: float
    equivalent_m: float
    u_ground: float
    u_void: float


def characteristic_dimension(area_m2: float, perimeter_m: float) -> float:
    """Return B′ = A / (0.5 P) in m, of the whole floor and never of one room.

    Parameters
    ----------
    area_m2 : float
        Area of the whole floor, m².
    perimeter_m : float
        Its edges to outside or to an unheated space, m.

    Raises
    ------
    ValueError
        When the perimeter is not more than 0.

    References
    ----------
    EN ISO 13370:2017, characteristic dimension of a floor.

    Examples
    --------
    >>> round(characteristic_dimension(54.0, 21.9), 2)
    4.93
    """
    if perimeter_m <= 0:
        raise ValueError("the exposed perimeter must be more than 0 m")
    return area_m2 / (0.5 * perimeter_m)


def _slab(characteristic: float, equivalent: float, ground_w_mk: float) -> float:
    if equivalent < characteristic:
        return 2 * ground_w_mk / (pi * characteristic + equivalent) * log(pi * characteristic / equivalent + 1)
    return ground_w_mk / (0.457 * characteristic + equivalent)


def slab_on_ground(
    area_m2: float, perimeter_m: float, wall_m: float, floor_m2k_w: float, ground_w_mk: float = CLAY_W_MK
) -> GroundFloor:
    """Return the U-value of a slab on the ground.

    Parameters
    ----------
    area_m2, perimeter_m : float
        Of the whole ground floor; the perimeter counts only edges to outside or to an unheated space.
    wall_m : float
        Thickness of the outside walls, m.
    floor_m2k_w : float
        Resistance of the floor's layers and insulation, m²K/W (0 for a bare slab).
    ground_w_mk : float
        Conductivity of the ground, W/mK.

    Returns
    -------
    GroundFloor
        W/m²K for the difference to the yearly mean outside.

    References
    ----------
    EN ISO 13370:2017, slab-on-ground floors: ``d < B′: U = 2λ/(πB′ + d) · ln(πB′/d + 1)``, else ``λ/(0.457 B′ + d)``.

    Examples
    --------
    >>> round(slab_on_ground(54.0, 21.9, 0.3, 0.0).u_value, 3)
    0.608
    """
    characteristic = characteristic_dimension(area_m2, perimeter_m)
    equivalent = wall_m + ground_w_mk * (RSI + floor_m2k_w + RSE)
    return GroundFloor(_slab(characteristic, equivalent, ground_w_mk), characteristic, equivalent, 0.0, 0.0)


def suspended_floor(
    area_m2: float,
    perimeter_m: float,
    wall_m: float,
    insulation_m2k_w: float,
    ground_w_mk: float = CLAY_W_MK,
    deck_m2k_w: float = DECK_M2K_W,
) -> GroundFloor:
    """Return the U-value of a suspended floor over a vented void, for the difference to outside air.

    Parameters
    ----------
    area_m2, perimeter_m, wall_m : float
        As for :func:`slab_on_ground`.
    insulation_m2k_w : float
        Resistance of insulation in the deck, m²K/W (0 for none).
    ground_w_mk : float
        Conductivity of the ground, W/mK.
    deck_m2k_w : float
        Resistance of the deck without that insulation, m²K/W; RdSAP's bare timber deck where its layers are not known.

    Returns
    -------
    GroundFloor
        W/m²K; void and ground are in it, so it is never multiplied by a further factor.

    References
    ----------
    EN ISO 13370:2017, suspended floors: ``1/U = 1/Uf + 1/(Ug + Ux)``, with the constants of RdSAP.

    Examples
    --------
    >>> round(suspended_floor(54.0, 21.9, 0.3, 0.0).u_value, 3)
    0.654
    """
    characteristic = characteristic_dimension(area_m2, perimeter_m)
    equivalent = wall_m + ground_w_mk * (RSI + RSE)
    u_ground = 2 * ground_w_mk / (pi * characteristic + equivalent) * log(pi * characteristic / equivalent + 1)
    u_void = (
        2 * VOID_HEIGHT_M * VOID_WALL_W_M2K / characteristic
        + 1450 * VOID_VENTS_M2_M * WIND_M_S * SHIELDING / characteristic
    )
    deck = 2 * RSI + deck_m2k_w + insulation_m2k_w
    return GroundFloor(1 / (deck + 1 / (u_ground + u_void)), characteristic, equivalent, u_ground, u_void)


def edge_psi(
    equivalent_m: float,
    reach_m: float,
    insulation_m: float,
    insulation_w_mk: float,
    is_vertical: bool,
    ground_w_mk: float = CLAY_W_MK,
) -> float:
    """Return Ψ in W/mK of insulation at the edge of a slab; negative, since it saves.

    Parameters
    ----------
    equivalent_m : float
        Equivalent thickness of the slab, m.
    reach_m : float
        Width of insulation that lies, depth of insulation that stands, m.
    insulation_m, insulation_w_mk : float
        Its thickness, m, and λ, W/mK.
    is_vertical : bool
        True when it stands.
    ground_w_mk : float
        Conductivity of the ground, W/mK.

    Raises
    ------
    ValueError
        When the insulation conducts as well as the ground, so that it insulates nothing.

    References
    ----------
    EN ISO 13370:2017, edge insulation: ``Ψ = −λ/π [ln(D/d + 1) − ln(D/(d + d′) + 1)]``, with 2 D for D when it stands.

    Examples
    --------
    >>> round(edge_psi(0.615, 0.5, 0.05, 0.04, is_vertical=True), 3)
    -0.297
    """
    more = (insulation_m / insulation_w_mk - insulation_m / ground_w_mk) * ground_w_mk
    if more <= 0:
        raise ValueError("the insulation at the edge must conduct less than the ground")
    reach = 2 * reach_m if is_vertical else reach_m
    return -ground_w_mk / pi * (log(reach / equivalent_m + 1) - log(reach / (equivalent_m + more) + 1))


def with_edge(u_value: float, psi_w_mk: float, characteristic_m: float) -> float:
    """Return the U-value in W/m²K of a slab with edge insulation: ``U + 2 Ψ / B′`` (Ψ in W/mK, B′ in m).

    Parameters
    ----------
    u_value : float
        Of the slab alone, W/m²K.
    psi_w_mk : float
        Ψ of the edge, W/mK; negative where it saves.
    characteristic_m : float
        B′ of the floor, m.

    References
    ----------
    EN ISO 13370:2017, edge insulation: ``U + 2 Ψ / B′``.

    Examples
    --------
    >>> round(with_edge(0.7, -0.3, 5.0), 2)
    0.58
    """
    return u_value + 2 * psi_w_mk / characteristic_m
