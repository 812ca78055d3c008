"""How warm a heated floor's surface may get, and the output at which it does: EN 1264-2's limits and limit curves."""

from __future__ import annotations

from functools import cache

from wattwalk.catalogue import interpolate, table

from ..answers.citing import cite

CURVE_B, CURVE_N, CURVE_THICK = (
    "underfloor_limit_b_en_1264_2_2021",
    "underfloor_limit_n_en_1264_2_2021",
    "underfloor_limit_thick_en_1264_2_2021",
)

#: Law of the heated surface: ``q = 8.92 (θF − θi)^1.1``.
SURFACE_W_M2K, SURFACE_EXPONENT = 8.92, 1.1
#: Highest surface temperatures: where people stay, along outside walls and under timber, °C; a bathroom above its room, K.
OCCUPIED_C, PERIMETER_C, TIMBER_C, BATH_ABOVE_K = 29.0, 35.0, 27.0, 9.0
#: The limit curves are drawn for a surface 9 K above the room.
CURVE_K = 9.0
#: Screeds of a greater resistance go by their thickness over the spacing, m²K/W.
THICK_FROM_M2K_W = 0.0792
#: Thinnest and widest of the tables.
THINNEST_M2K_W, THINNEST_SHARE, THICKEST_SHARE, WIDEST_M = 0.01, 0.173, 0.75, 0.375

TIMBER = ("engineered_timber", "solid_timber", "laminate")

SURFACE_LIMITS = cite("en_1264_2_2021", "surface temperature limits")
TIMBER_LIMIT = cite("common_practice", "timber floors at most 27 °C", "from memory")
LIMIT_CURVES = cite("en_1264_2_2021", "limit curves")


def highest_surface(inside_c: float, is_bath: bool, zone: str = "occupied", covering: str | None = None) -> float:
    """Return the highest surface temperature of a heated floor in °C.

    Parameters
    ----------
    inside_c : float
        Temperature of the room, °C.
    is_bath : bool
        Whether it is a bathroom: 9 K above the room (33 °C at 24 °C), if that is more than 29 °C.
    zone : str
        ``occupied``, 29 °C, or ``perimeter``, 35 °C.
    covering : str or None
        The covering as declared in the survey; timber is held to 27 °C.

    Examples
    --------
    >>> highest_surface(20, is_bath=False)
    29.0
    """
    if zone == "perimeter":
        highest = PERIMETER_C
    else:
        highest = max(OCCUPIED_C, inside_c + BATH_ABOVE_K) if is_bath else OCCUPIED_C
    return min(highest, TIMBER_C) if covering in TIMBER else highest


def output_at_surface(surface_c: float, inside_c: float) -> float:
    """Return the output in W/m² of a surface at ``surface_c`` in a room at ``inside_c``, °C.

    Parameters
    ----------
    surface_c : float
        Mean temperature of the surface, °C.
    inside_c : float
        Temperature of the room, °C.

    References
    ----------
    EN 1264-2:2021: ``q = 8.92 (θF − θi)^1.1``.

    Examples
    --------
    >>> round(output_at_surface(29, 20), 1)
    100.0
    """
    driving: float = max(0.0, surface_c - inside_c) ** SURFACE_EXPONENT
    return SURFACE_W_M2K * driving


def highest_output(inside_c: float, is_bath: bool, zone: str = "occupied", covering: str | None = None) -> float:
    """Return the output in W/m² at which the mean surface reaches its limit.

    Parameters
    ----------
    inside_c : float
        Temperature of the room, °C.
    is_bath : bool
        True in a bathroom.
    zone : str
        ``occupied`` or ``perimeter``.
    covering : str or None
        What lies on the floor, where it has a limit of its own.

    References
    ----------
    EN 1264-2:2021: ``q = 8.92 (θF − θi)^1.1`` at the highest surface.

    Examples
    --------
    >>> round(highest_output(20, is_bath=False), 1)
    100.0
    """
    return output_at_surface(highest_surface(inside_c, is_bath, zone, covering), inside_c)


def surface_temperature(output_w_m2: float, inside_c: float) -> float:
    """Return the mean surface temperature in °C of a floor that gives ``output_w_m2``.

    Parameters
    ----------
    output_w_m2 : float
        W/m².
    inside_c : float
        Temperature of the room, °C.

    References
    ----------
    EN 1264-2:2021, ``q = 8.92 (θF − θi)^1.1`` turned round.

    Examples
    --------
    >>> round(surface_temperature(60, 20), 1)
    25.7
    """
    above: float = (output_w_m2 / SURFACE_W_M2K) ** (1 / SURFACE_EXPONENT)
    return inside_c + above


@cache
def _curve_points(name: str, column: str) -> tuple[tuple[float, tuple[tuple[float, float], ...]], ...]:
    by_spacing: dict[float, list[tuple[float, float]]] = {}
    for row in table(name).rows:
        by_spacing.setdefault(row.number("spacing_m"), []).append((row.number("screed_m2k_w"), row.number(column)))
    return tuple((spacing, tuple(points)) for spacing, points in by_spacing.items())


def limit_curve(spacing_m: float, screed_m: float, screed_w_mk: float) -> tuple[float, float]:
    """Return B_G in W/m²K and the exponent n_G of the limit curve of pipes in screed.

    Parameters
    ----------
    spacing_m : float
        0.05 to 0.375 m.
    screed_m, screed_w_mk : float
        Screed above the pipe, m, and its conductivity, W/mK.

    Notes
    -----
    A screed thinner than the table (0.01 m²K/W) is taken at its thinnest row.

    References
    ----------
    EN 1264-2:2021, B_G and n_G by screed and spacing.

    Examples
    --------
    >>> tuple(round(part, 2) for part in limit_curve(0.15, 0.045, 1.2))
    (76.3, 0.08)
    """
    resistance = screed_m / screed_w_mk
    if resistance <= THICK_FROM_M2K_W:
        at = max(resistance, THINNEST_M2K_W)
        curves = ((CURVE_B, "b_g_w_m2k"), (CURVE_N, "n_g"))
        b_g, n_g = (
            interpolate(
                [(spacing, interpolate(points, at)) for spacing, points in _curve_points(name, column)], spacing_m
            )
            for name, column in curves
        )
        return b_g, n_g
    share = min(max(screed_m / spacing_m, THINNEST_SHARE), THICKEST_SHARE)
    rows = table(CURVE_THICK).rows
    b_g, n_g = (
        interpolate([(row.number("screed_by_spacing"), row.number(column)) for row in rows], share)
        for column in ("b_g_w_m2k", "n_g")
    )
    return b_g, n_g


def curve_limit(
    coefficient_w_m2k: float, spacing_m: float, screed_m: float, screed_w_mk: float, surface_c: float, inside_c: float
) -> tuple[float, float]:
    """Return the output in W/m² and the driving difference in K at which the warmest strip of a screed reaches its limit.

    Parameters
    ----------
    coefficient_w_m2k : float
        K_H of the floor, W/m²K.
    spacing_m, screed_m, screed_w_mk : float
        Spacing, m; screed above the pipe, m; its conductivity, W/mK.
    surface_c, inside_c : float
        Highest surface temperature and room temperature, °C.

    Notes
    -----
    Pipes further apart than 0.375 m are held to the output at 0.375 m, spread over their spacing.

    References
    ----------
    EN 1264-2:2021, ``Δθ_G = φ (B_G / K_H)^(1/(1 − n_G))`` and ``q_G = K_H Δθ_G`` with ``φ = ((θF,max − θi)/9)^1.1``.

    Examples
    --------
    >>> tuple(round(part, 2) for part in curve_limit(4.0, 0.15, 0.045, 1.2, 29.0, 20))
    (97.24, 24.31)
    """
    if surface_c <= inside_c:
        return 0.0, 0.0
    if spacing_m > WIDEST_M:
        output, driving = curve_limit(
            coefficient_w_m2k * spacing_m / WIDEST_M, WIDEST_M, screed_m, screed_w_mk, surface_c, inside_c
        )
        return output * WIDEST_M / spacing_m, driving
    b_g, n_g = limit_curve(spacing_m, screed_m, screed_w_mk)
    phi = ((surface_c - inside_c) / CURVE_K) ** SURFACE_EXPONENT
    driving = phi * (b_g / coefficient_w_m2k) ** (1 / (1 - n_g))
    return coefficient_w_m2k * driving, driving
