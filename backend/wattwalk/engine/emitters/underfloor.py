"""Heated floors with pipes in or under screed (EN 1264 types A and C): output for each kelvin."""

from __future__ import annotations

from functools import cache
from math import log, pi

from wattwalk.catalogue import interpolate, table

from ..answers.rounding import figure

#: Surface coefficient W/m²K, reference screed thickness m and conductivity W/mK of EN 1264-2.
ALPHA, REFERENCE_SCREED_M, REFERENCE_SCREED_W_MK = 10.8, 0.045, 1.0
#: System coefficient of the reference pipe (λ 0.35 W/mK, wall 2 mm), W/m²K.
B0 = 6.7
#: Conductivity of the screed taken while nothing is measured, W/mK, and of plastic pipe, W/mK.
SCREED_W_MK, PIPE_W_MK = 1.2, 0.35
#: Wall of the reference pipe, m.
REFERENCE_WALL_M = 0.002
#: A covering thicker than this does not belong on a heated floor, m²K/W.
MOST_COVERING_M2K_W = 0.15
#: Widest spacing of the formula; wider gives less in proportion, m.
WIDEST_M, NARROWEST_M = 0.375, 0.05


@cache
def _covering_points() -> tuple[tuple[float, float], ...]:
    return tuple(
        (row.number("covering_m2k_w"), row.number("a_t"))
        for row in table("underfloor_covering_factor_en_1264_2_2021").rows
    )


@cache
def _spacing_points(column: str) -> tuple[tuple[float, tuple[tuple[float, float], ...]], ...]:
    by_spacing: dict[float, list[tuple[float, float]]] = {}
    for row in table("underfloor_spacing_factors_en_1264_2_2021").rows:
        by_spacing.setdefault(row.number("spacing_m"), []).append((row.number("covering_m2k_w"), row.number(column)))
    return tuple((spacing, tuple(points)) for spacing, points in by_spacing.items())


def _factor(column: str, spacing_m: float, covering_m2k_w: float) -> float:
    return interpolate(
        [(spacing, interpolate(points, covering_m2k_w)) for spacing, points in _spacing_points(column)], spacing_m
    )


def factors(
    spacing_m: float, covering_m2k_w: float, screed_w_mk: float = SCREED_W_MK
) -> tuple[float, float, float, float]:
    """Return EN 1264's factors a_B (covering), a_T (spacing), a_u (screed) and a_D (pipe).

    Parameters
    ----------
    spacing_m : float
        Spacing of the pipes, m.
    covering_m2k_w : float
        Resistance of the covering, m²K/W.
    screed_w_mk : float
        Conductivity of the screed, W/mK.

    References
    ----------
    EN 1264-2:2021, tables of a_B, a_T, a_u and a_D.

    Examples
    --------
    >>> tuple(round(part, 3) for part in factors(0.15, 0.1))
    (0.598, 1.156, 1.035, 1.029)
    """
    a_b = (1 / ALPHA + REFERENCE_SCREED_M / REFERENCE_SCREED_W_MK) / (
        1 / ALPHA + REFERENCE_SCREED_M / screed_w_mk + covering_m2k_w
    )
    a_t = interpolate(_covering_points(), covering_m2k_w)
    return a_b, a_t, _factor("a_u", spacing_m, covering_m2k_w), _factor("a_d", spacing_m, covering_m2k_w)


def screed_coefficient(
    spacing_m: float, screed_m: float, pipe_m: float, covering_m2k_w: float, screed_w_mk: float = SCREED_W_MK
) -> float:
    """Return K_H in W/m²K of pipes in screed: output per m² for each kelvin of the logarithmic mean difference.

    Parameters
    ----------
    spacing_m : float
        Pipe spacing, 0.05 m or more; beyond 0.375 m the output falls in proportion.
    screed_m : float
        Screed above the pipe, 0.010 m or more.
    pipe_m : float
        Pipe outside diameter, 0.008 to 0.030 m.
    covering_m2k_w : float
        Resistance of the covering, 0 to 0.15 m²K/W.
    screed_w_mk : float
        Conductivity of the screed, W/mK.

    Raises
    ------
    ValueError
        When a value lies outside these ranges.

    References
    ----------
    EN 1264-2:2021, type A: ``K_H = B · a_B · a_T^mT · a_u^mu · a_D^mD``.

    Examples
    --------
    >>> round(screed_coefficient(0.15, 0.045, 0.016, 0.1), 2)
    3.37
    """
    if spacing_m < NARROWEST_M - 1e-9 or screed_m < 0.010 - 1e-9 or not 0.008 - 1e-9 <= pipe_m <= 0.030 + 1e-9:
        raise ValueError("spacing from 50 mm, screed from 10 mm and pipe from 8 to 30 mm")
    if not 0 <= covering_m2k_w <= MOST_COVERING_M2K_W + 1e-9:
        raise ValueError("a covering of at most 0.15 m²K/W")
    if spacing_m > WIDEST_M:
        return screed_coefficient(WIDEST_M, screed_m, pipe_m, covering_m2k_w, screed_w_mk) * WIDEST_M / spacing_m
    thickest = 0.100 if spacing_m <= 0.200 else 0.5 * spacing_m
    if screed_m > thickest:
        at_limit = screed_coefficient(spacing_m, thickest, pipe_m, covering_m2k_w, screed_w_mk)
        return 1 / (1 / at_limit + (screed_m - thickest) / screed_w_mk)
    a_b, a_t, a_u, a_d = factors(spacing_m, min(covering_m2k_w, MOST_COVERING_M2K_W), screed_w_mk)
    m_t, m_u, m_d = 1 - spacing_m / 0.075, 100 * (0.045 - screed_m), 250 * (pipe_m - 0.020)
    coefficient: float = B0 * a_b * a_t**m_t * a_u**m_u * a_d**m_d
    return coefficient


def factor_words(spacing_m: float, screed_m: float, pipe_m: float, covering_m2k_w: float, screed_w_mk: float) -> str:
    """Return the factors of :func:`screed_coefficient` with their exponents, as it takes them.

    Parameters
    ----------
    spacing_m, screed_m, pipe_m, covering_m2k_w, screed_w_mk : float
        As there: m, m, m, m²K/W and W/mK.

    Examples
    --------
    >>> factor_words(0.15, 0.045, 0.016, 0.1, 1.0)
    'aB 0.579, aT 1.156^−1, au 1.035^0, aD 1.029^−1'
    """
    taken = min(spacing_m, WIDEST_M)
    thickest = 0.100 if taken <= 0.200 else 0.5 * taken
    a_b, a_t, a_u, a_d = factors(taken, min(covering_m2k_w, MOST_COVERING_M2K_W), screed_w_mk)
    m_t, m_u, m_d = 1 - taken / 0.075, 100 * (0.045 - min(screed_m, thickest)), 250 * (pipe_m - 0.020)
    said = f"aB {figure(a_b, 3)}, aT {figure(a_t, 3)}^{figure(m_t, 3)}, au {figure(a_u, 3)}^{figure(m_u, 3)}, aD {figure(a_d, 3)}^{figure(m_d, 3)}"
    if screed_m > thickest:
        said += f"; then 1/(1/K + ({figure(screed_m, 3)} − {figure(thickest, 3)})/{figure(screed_w_mk)}) for the screed above {figure(thickest * 1000, 0)} mm"
    if spacing_m > WIDEST_M:
        said += f"; × {figure(WIDEST_M, 3)}/{figure(spacing_m, 3)} for the wider spacing"
    return said


def coefficient_of_pipe(coefficient: float, spacing_m: float, pipe_m: float, wall_m: float, pipe_w_mk: float) -> float:
    """Return K_H in W/m²K for another pipe than the reference one (λ 0.35 W/mK, wall 2 mm).

    Parameters
    ----------
    coefficient : float
        K_H with the reference pipe, W/m²K.
    spacing_m, pipe_m, wall_m : float
        Spacing, outside diameter and wall of the pipe, m.
    pipe_w_mk : float
        Conductivity of the pipe, W/mK.

    Examples
    --------
    >>> round(coefficient_of_pipe(4.0, 0.15, 0.016, 0.002, 0.22), 2)
    3.81
    """
    shape = coefficient / B0
    change = log(pipe_m / (pipe_m - 2 * wall_m)) / (2 * pipe_w_mk) - log(pipe_m / (pipe_m - 0.004)) / (2 * 0.35)
    return shape / (1 / B0 + 1.1 / pi * shape * spacing_m * change)
