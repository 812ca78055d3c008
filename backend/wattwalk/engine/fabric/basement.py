"""Basements by EN ISO 13370: floor and walls of one that is heated, and the floor above one that is not."""

from __future__ import annotations

from dataclasses import dataclass
from math import fsum, log, pi

from .ground import CLAY_W_MK, DECK_M2K_W, RSE, RSI, VOID_WALL_W_M2K, characteristic_dimension

#: Surface resistance inside a wall in the ground, m²K/W.
WALL_RSI = 0.13

#: Air changes of an unheated cellar, 1/h, and the heat content of air that the standard uses, Wh/m³K.
CELLAR_AIR_CHANGES_H, AIR_WH_M3K = 0.3, 0.33


@dataclass(frozen=True)
class Basement:
    """U-values in W/m²K of a basement's floor and walls, and the lengths in m they were made from."""

    floor_u: float
    wall_u: float
    characteristic_m: float
    floor_m: float
    wall_m: float


def basement_floor(
    characteristic_m: float, equivalent_m: float, depth_m: float, ground_w_mk: float = CLAY_W_MK
) -> float:
    """Return the U-value in W/m²K of a basement floor.

    Parameters
    ----------
    characteristic_m, equivalent_m : float
        B′ and the equivalent thickness of the floor, m.
    depth_m : float
        Depth of the floor below the ground outside, m; 0 gives a slab on the ground.
    ground_w_mk : float
        Conductivity of the ground, W/mK.

    References
    ----------
    EN ISO 13370:2017, heated basement, floor: as a slab with ``d + 0.5 z`` for d.

    Examples
    --------
    >>> round(basement_floor(4.93, 0.62, 2.1), 3)
    0.407
    """
    thick = equivalent_m + 0.5 * depth_m
    if thick < characteristic_m:
        return 2 * ground_w_mk / (pi * characteristic_m + thick) * log(pi * characteristic_m / thick + 1)
    return ground_w_mk / (0.457 * characteristic_m + thick)


def basement_wall(
    depth_m: float, wall_m2k_w: float, floor_equivalent_m: float, ground_w_mk: float = CLAY_W_MK
) -> float:
    """Return the U-value in W/m²K of a wall in the ground.

    Parameters
    ----------
    depth_m : float
        Depth that the wall reaches below the ground outside, m, more than 0.
    wall_m2k_w : float
        Resistance of the wall's layers, m²K/W.
    floor_equivalent_m : float
        Equivalent thickness of the basement's floor, m.
    ground_w_mk : float
        Conductivity of the ground, W/mK.

    Raises
    ------
    ValueError
        When the depth is not more than 0.

    References
    ----------
    EN ISO 13370:2017, heated basement, walls: ``U = 2λ/(πz) · (1 + 0.5 d/(d + z)) · ln(z/dw + 1)``, d not more than dw.

    Examples
    --------
    >>> round(basement_wall(2.1, 0.5, 0.62), 3)
    0.571
    """
    if depth_m <= 0:
        raise ValueError("a wall in the ground reaches more than 0 m below it")
    wall_m = ground_w_mk * (WALL_RSI + wall_m2k_w + RSE)
    floor_m = min(floor_equivalent_m, wall_m)
    return 2 * ground_w_mk / (pi * depth_m) * (1 + 0.5 * floor_m / (floor_m + depth_m)) * log(depth_m / wall_m + 1)


def heated_basement(
    area_m2: float,
    perimeter_m: float,
    depth_m: float,
    wall_m: float,
    floor_m2k_w: float,
    wall_m2k_w: float,
    ground_w_mk: float = CLAY_W_MK,
) -> Basement:
    """Return the U-values of a heated basement.

    Parameters
    ----------
    area_m2, perimeter_m : float
        Of its floor; the perimeter counts only edges to the ground outside, m² and m.
    depth_m, wall_m : float
        Depth of its floor below the ground, and thickness of its walls, m.
    floor_m2k_w, wall_m2k_w : float
        Resistances of the layers of floor and walls, m²K/W.
    ground_w_mk : float
        Conductivity of the ground, W/mK.

    Examples
    --------
    >>> round(heated_basement(54.0, 21.9, 2.1, 0.3, 0.0, 0.5).floor_u, 3)
    0.408
    """
    characteristic = characteristic_dimension(area_m2, perimeter_m)
    floor = wall_m + ground_w_mk * (RSI + floor_m2k_w + RSE)
    return Basement(
        basement_floor(characteristic, floor, depth_m, ground_w_mk),
        basement_wall(depth_m, wall_m2k_w, floor, ground_w_mk),
        characteristic,
        floor,
        ground_w_mk * (WALL_RSI + wall_m2k_w + RSE),
    )


def floor_over_cellar(
    area_m2: float,
    perimeter_m: float,
    depth_m: float,
    height_m: float,
    wall_m: float,
    insulation_m2k_w: float,
    ground_w_mk: float = CLAY_W_MK,
    *,
    deck_m2k_w: float = DECK_M2K_W,
) -> float:
    """Return the U-value in W/m²K of a floor over an unheated cellar, cellar and ground in it.

    Parameters
    ----------
    area_m2, perimeter_m : float
        Of the cellar, m² and m.
    depth_m, height_m : float
        Depth of the cellar's floor below, and height of the heated floor above, the ground outside, m.
    wall_m : float
        Thickness of the walls, m.
    insulation_m2k_w : float
        Resistance of insulation in the heated floor, m²K/W.
    ground_w_mk : float
        Conductivity of the ground, W/mK.

    References
    ----------
    EN ISO 13370:2017, unheated basement: ``1/U = 1/Uf + A/(A Ubf + z P Ubw + h P Uw + 0.33 n V)``; a bare cellar of brick walls, n = 0.3 per hour.

    Examples
    --------
    >>> round(floor_over_cellar(54.0, 21.9, 1.8, 0.3, 0.3, 0.0), 3)
    0.77
    """
    cellar = heated_basement(area_m2, perimeter_m, depth_m, wall_m, 0.0, wall_m / 0.77, ground_w_mk)
    deck = 2 * RSI + deck_m2k_w + insulation_m2k_w
    volume = area_m2 * (depth_m + height_m)
    out = fsum(
        [
            area_m2 * cellar.floor_u,
            depth_m * perimeter_m * cellar.wall_u,
            height_m * perimeter_m * VOID_WALL_W_M2K,
            AIR_WH_M3K * CELLAR_AIR_CHANGES_H * volume,
        ]
    )
    return 1 / (deck + area_m2 / out)
