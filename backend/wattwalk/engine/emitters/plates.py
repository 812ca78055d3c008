"""Heated floors with heat-conducting plates (EN 1264 type B): joisted, overlay and retrofit boards."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import sqrt

from wattwalk.catalogue import interpolate, table

from ..answers.citing import cite
from ..answers.rounding import figure
from .underfloor import ALPHA, MOST_COVERING_M2K_W, REFERENCE_SCREED_M, REFERENCE_SCREED_W_MK

CONDUCTION, CONTACT = "plates_conduction_en_1264_2_2021", "plates_contact_en_1264_2_2021"
SPACING_FACTOR, BOARD_WIDTH = "plates_spacing_factor_en_1264_2_2021", "plates_board_width_en_1264_2_2021"

#: Coefficient of type B, W/m²K, and the reference conduction of plates, W/K.
B_PLATES, CONDUCTION_W_K = 6.5, 0.125
#: More conductive plates are held to the table's last row: the standard has a further table that was not at hand.
MOST_CONDUCTION = 0.4
#: From this conduction on, and this spacing, the table is the same for every pipe.
ANY_PIPE_CONDUCTION, ANY_PIPE_SPACING_M = 0.3, 0.10
NARROWEST_M, WIDEST_M, THINNEST_PIPE_MM, THICKEST_PIPE_MM = 0.05, 0.45, 14.0, 22.0
THINNEST_M2K_W, THICKEST_M2K_W = 0.01, 0.18

EN_1264_PLATES = cite(
    "en_1264_2_2021", "type B, plates no better than K 0.4; contact factor from memory", "from memory"
)


class PlatesError(ValueError):
    """A floor with plates that the formula does not cover; its text says what would do instead."""


@cache
def _points(name: str, x: str, y: str) -> tuple[tuple[float, float], ...]:
    return tuple((row.number(x), row.number(y)) for row in table(name).rows)


@cache
def _conduction_points() -> dict[float, dict[float, tuple[tuple[float, float], ...]]]:
    found: dict[float, dict[float, list[tuple[float, float]]]] = {}
    for row in table(CONDUCTION).rows:
        found.setdefault(row.number("conduction"), {}).setdefault(row.number("spacing_m"), []).append(
            (row.number("pipe_mm"), row.number("a_wl"))
        )
    return {
        conduction: {spacing: tuple(points) for spacing, points in by_spacing.items()}
        for conduction, by_spacing in found.items()
    }


def _conduction_factor(conduction: float, spacing_m: float, pipe_mm: float) -> float:
    by_conduction = []
    for value, by_spacing in _conduction_points().items():
        by_conduction.append(
            (
                value,
                interpolate(
                    [(spacing, interpolate(points, pipe_mm)) for spacing, points in by_spacing.items()], spacing_m
                ),
            )
        )
    return interpolate(by_conduction, min(conduction, MOST_CONDUCTION))


def plates_conduction(spacing_m: float, board_m: float, board_w_mk: float, plate_m: float, plate_w_mk: float) -> float:
    """Return the conduction K_WL of plates and the board above them: ``(s_WL λ_WL + b_u s_u λ_E) / 0.125``.

    Parameters
    ----------
    spacing_m, board_m, plate_m : float
        Pipe spacing and the thicknesses of board and plate, m.
    board_w_mk, plate_w_mk : float
        Conductivities, W/mK.

    Examples
    --------
    >>> round(plates_conduction(0.2, 0.025, 0.04, 0.0005, 200), 3)
    0.804
    """
    return (
        plate_m * plate_w_mk + interpolate(_points(BOARD_WIDTH, "spacing_m", "b_u"), spacing_m) * board_m * board_w_mk
    ) / CONDUCTION_W_K


@dataclass(frozen=True)
class PlatesFactors:
    """EN 1264's factors of plates below a board: covering, spacing (with its exponent), board, conduction, contact."""

    a_b: float
    a_t: float
    a_u: float
    a_wl: float
    a_k: float

    @property
    def coefficient_w_m2k(self) -> float:
        """K_H, W/m²K."""
        return B_PLATES * self.a_u * self.a_t * self.a_wl * self.a_k * self.a_b

    @property
    def words(self) -> str:
        """The factors in the order of the formula; the one of the spacing has its exponent in it."""
        return f"aB {figure(self.a_b, 3)}, aT^mT {figure(self.a_t, 3)}, au {figure(self.a_u, 3)}, aWL {figure(self.a_wl, 3)}, aK {figure(self.a_k, 3)}"


def plates_factors(
    spacing_m: float,
    pipe_mm: float,
    board_m: float,
    board_w_mk: float,
    plate_m: float,
    plate_w_mk: float,
    covering_m2k_w: float,
    *,
    plate_width_m: float | None = None,
) -> PlatesFactors:
    """Return the factors of the output of pipes in heat-conducting plates below a board, and K_H with them.

    Parameters
    ----------
    spacing_m : float
        Pipe spacing, 0.05 to 0.45 m.
    pipe_mm : float
        Outside diameter of the pipe, 14 to 22 mm; thinner ones where the table does not tell pipes apart.
    board_m, board_w_mk : float
        Board above the plates: thickness, m, and conductivity, W/mK, together 0.01 to 0.18 m²K/W.
    plate_m, plate_w_mk : float
        Plates: thickness, m, and conductivity, W/mK.
    covering_m2k_w : float
        Resistance of the covering, 0 to 0.15 m²K/W.
    plate_width_m : float or None
        Width of the plates, m, or None when they fill the spacing.

    Raises
    ------
    PlatesError
        When a value lies outside these ranges.

    Notes
    -----
    Plates more conductive than K 0.4 (most of aluminium) are counted as K 0.4, so real ones give rather more.

    References
    ----------
    EN 1264-2:2021, type B: ``K_H = 6.5 · a_B · a_T^mT · a_u · a_WL · a_K``.

    Examples
    --------
    >>> round(plates_factors(0.2, 16, 0.022, 0.15, 0.0005, 200, 0.1).coefficient_w_m2k, 2)
    2.02
    """
    resistance = board_m / board_w_mk
    if not NARROWEST_M - 1e-9 <= spacing_m <= WIDEST_M + 1e-9:
        raise PlatesError("a spacing of 50 to 450 mm")
    if not THINNEST_M2K_W - 1e-9 <= resistance <= THICKEST_M2K_W + 1e-9:
        raise PlatesError("a board above the plates of 0.01 to 0.18 m²K/W, or the maker's tested output per kelvin")
    if not 0 <= covering_m2k_w <= MOST_COVERING_M2K_W + 1e-9:
        raise PlatesError("a covering of at most 0.15 m²K/W")
    conduction = plates_conduction(spacing_m, board_m, board_w_mk, plate_m, plate_w_mk)
    is_any_pipe = conduction >= ANY_PIPE_CONDUCTION - 1e-9 and spacing_m >= ANY_PIPE_SPACING_M - 1e-9
    if pipe_mm > THICKEST_PIPE_MM or (pipe_mm < THINNEST_PIPE_MM and not is_any_pipe):
        raise PlatesError("the maker's tested output per kelvin (the table covers pipes of 14 to 22 mm)")
    pipe = max(pipe_mm, THINNEST_PIPE_MM)
    a_wl = _conduction_factor(conduction, spacing_m, pipe)
    if plate_width_m is not None and plate_width_m < spacing_m:
        share = plate_width_m / spacing_m
        bare = _conduction_factor(plates_conduction(spacing_m, board_m, board_w_mk, 0.0, plate_w_mk), spacing_m, pipe)
        # The polynomial dips a little below nothing before it reaches full width.
        a_wl -= (a_wl - bare) * max(0.0, 1 - 3.2 * share + 3.4 * share**2 - 1.2 * share**3)
    a_u = (1 / ALPHA + REFERENCE_SCREED_M / REFERENCE_SCREED_W_MK) / (1 / ALPHA + resistance)
    a_t: float = interpolate(
        _points(SPACING_FACTOR, "board_m2k_w", "a_t"), min(max(resistance, THINNEST_M2K_W), THICKEST_M2K_W)
    ) ** (1 - spacing_m / 0.075)
    a_k = interpolate(_points(CONTACT, "spacing_m", "a_k"), spacing_m)
    bare_floor = B_PLATES * a_u * a_t * a_wl * a_k
    a_b = 1 / (1 + bare_floor * covering_m2k_w * (1 + 0.44 * sqrt(spacing_m)))
    return PlatesFactors(a_b, a_t, a_u, a_wl, a_k)


def plates_coefficient(
    spacing_m: float,
    pipe_mm: float,
    board_m: float,
    board_w_mk: float,
    plate_m: float,
    plate_w_mk: float,
    covering_m2k_w: float,
    *,
    plate_width_m: float | None = None,
) -> float:
    """Return K_H in W/m²K by :func:`plates_factors`.

    Parameters
    ----------
    spacing_m, pipe_mm, board_m, board_w_mk, plate_m, plate_w_mk, covering_m2k_w : float
        As there: m, mm, m, W/mK, m, W/mK and m²K/W.
    plate_width_m : float or None
        As there, m.

    Examples
    --------
    >>> round(plates_coefficient(0.2, 16, 0.022, 0.15, 0.0005, 200, 0.1), 2)
    2.02
    """
    found = plates_factors(
        spacing_m, pipe_mm, board_m, board_w_mk, plate_m, plate_w_mk, covering_m2k_w, plate_width_m=plate_width_m
    )
    return found.coefficient_w_m2k
