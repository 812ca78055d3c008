"""Radiators, towel rails and convectors away from their rating, by EN 442: ``Φ = Φ50 · (ΔT / 50)^n``."""

from __future__ import annotations

from dataclasses import dataclass
from math import log

from wattwalk.catalogue import CatalogueError, interpolate, table
from wattwalk.survey.building import PANEL_TYPES, Emitter
from wattwalk.survey.known import known

from ..answers.citing import DECLARED, cite_row
from ..answers.rounding import figure

OUTPUTS = "radiator_outputs_generic_2026"
SECTIONS = "column_sections_generic_2026"
RAILS = "towel_rails_generic_2026"
EXPONENTS = "emitter_exponents_2026"
VOLUME = "column_volume_2026"
CORRECTIONS = "emitter_corrections_2026"

#: Below this ratio of (return − room) to (flow − room) the logarithmic mean is used.
LIMIT_RATIO = 0.7
#: Rating differences of 75/65/20 °C: arithmetic and logarithmic, K.
ARITHMETIC_50, LOGARITHMIC_50 = 50.0, 49.83

#: The pipes at both bottom corners take something off a panel longer than so many times its height.
LONG_TIMES_HEIGHT = 3.0


@dataclass(frozen=True)
class Rating:
    """An output at 50 K in W, with the formula, the numbers and the source behind it."""

    output_w: float
    formula: str
    numbers: str
    source: str


class RatingError(ValueError):
    """An emitter whose rated output cannot be told; its text says what to write down."""


def arithmetic_mean(flow_c: float, return_c: float, inside_c: float) -> float:
    """Return the arithmetic mean difference in K between water and room.

    Parameters
    ----------
    flow_c, return_c, inside_c : float
        Water in, water out, room, °C.

    References
    ----------
    EN 442-2, excess temperature: ``(θf + θr) / 2 − θi``.

    Examples
    --------
    >>> arithmetic_mean(50, 45, 20)
    27.5
    """
    return (flow_c + return_c) / 2 - inside_c


def logarithmic_mean(flow_c: float, return_c: float, inside_c: float) -> float:
    """Return the logarithmic mean difference in K between water and room (0 when the return is no warmer than the room).

    Parameters
    ----------
    flow_c, return_c, inside_c : float
        °C, the flow at least as warm as the return.

    Examples
    --------
    >>> round(logarithmic_mean(50, 40, 20), 2)
    24.66
    """
    hot, cool = flow_c - inside_c, return_c - inside_c
    if cool <= 0:
        return 0.0
    if hot - cool < 1e-9 * hot:
        return hot
    return (hot - cool) / log(hot / cool)


def driving_ratio(flow_c: float, return_c: float, inside_c: float) -> tuple[float, float, bool]:
    """Return the driving difference in K, its share of the rating difference, and whether it is the logarithmic one.

    Parameters
    ----------
    flow_c, return_c, inside_c : float
        Water in, water out, room, °C.

    Notes
    -----
    Nothing is given once the return is no warmer than the room: no water flow can do that.

    Examples
    --------
    >>> driving_ratio(75, 65, 20)
    (50.0, 1.0, False)
    """
    if return_c <= inside_c:
        return 0.0, 0.0, False
    if (return_c - inside_c) / (flow_c - inside_c) >= LIMIT_RATIO:
        mean = arithmetic_mean(flow_c, return_c, inside_c)
        return mean, mean / ARITHMETIC_50, False
    mean = logarithmic_mean(flow_c, return_c, inside_c)
    return mean, mean / LOGARITHMIC_50, True


def radiator_output(rated_w: float, exponent: float, flow_c: float, return_c: float, inside_c: float) -> float:
    """Return the output in W of a radiator at these temperatures.

    Parameters
    ----------
    rated_w : float
        Output at 75/65/20 °C (difference 50 K), W.
    exponent : float
        Exponent n of its characteristic.
    flow_c, return_c, inside_c : float
        °C.

    References
    ----------
    EN 442-2:2014, characteristic equation; arithmetic mean down to a ratio of 0.7, logarithmic below.

    Examples
    --------
    >>> round(radiator_output(1000, 1.3, 50, 45, 20))
    460
    """
    _mean, ratio, _is_log = driving_ratio(flow_c, return_c, inside_c)
    return rated_w * ratio**exponent if ratio > 0 else 0.0


def exponent_of(emitter: Emitter) -> tuple[float, str]:
    """Return an emitter's exponent and its source: declared, or the usual one of its type."""
    if emitter.exponent is not None:
        return emitter.exponent, DECLARED
    row = table(EXPONENTS).get(type=known(emitter.type))
    return row.number("exponent"), cite_row(row)


def rated_output(emitter: Emitter) -> Rating:
    """Return an emitter's output at 50 K.  A declared output wins over the tables.

    Raises
    ------
    RatingError
        When neither a declared output nor a table can tell.
    """
    if emitter.rated_output_w is not None:
        return Rating(emitter.rated_output_w, "declared output", "as written in the survey", DECLARED)
    if emitter.type in PANEL_TYPES:
        return _panel(emitter)
    if emitter.type == "column":
        return _columns(emitter)
    if emitter.type == "towel_rail":
        return _rail(emitter)
    raise RatingError("its declared output at ΔT 50 K (this type is not in the tables)")


def _panel(emitter: Emitter) -> Rating:
    if emitter.height_mm is None or emitter.length_mm is None:
        raise RatingError("its height and length, or its declared output")
    rows = table(OUTPUTS).where("type", emitter.type)
    points = [(row.number("height_mm"), row.number("output_w_m")) for row in rows]
    try:
        per_metre = interpolate(points, emitter.height_mm)
    except CatalogueError as error:
        words = f"its declared output at ΔT 50 K (the table covers heights of {figure(points[0][0], 0)} to {figure(points[-1][0], 0)} mm, found {figure(emitter.height_mm, 0)} mm)"
        raise RatingError(words) from error
    numbers = f"{figure(per_metre, 1)} W/m × {figure(emitter.length_mm / 1000, 3)} m"
    formula = f"table for {figure(emitter.height_mm, 0)} mm high × length"
    return Rating(per_metre * emitter.length_mm / 1000, formula, numbers, cite_row(rows[0]))


def _columns(emitter: Emitter) -> Rating:
    by_volume = _column_volume(emitter)
    if emitter.sections is None or emitter.columns is None or emitter.height_mm is None:
        if by_volume is not None:
            return by_volume
        raise RatingError("its height, sections and columns, or its declared output")
    rows = table(SECTIONS).where("columns", float(emitter.columns))
    try:
        each = interpolate([(row.number("height_mm"), row.number("output_w")) for row in rows], emitter.height_mm)
    except CatalogueError as error:
        if by_volume is not None:
            return by_volume
        words = f"its depth, or its declared output at ΔT 50 K (the table has no {emitter.columns}-column radiator {figure(emitter.height_mm, 0)} mm high)"
        raise RatingError(words) from error
    formula = f"table for {emitter.columns} columns, {figure(emitter.height_mm, 0)} mm high × sections"
    return Rating(each * emitter.sections, formula, f"{figure(each, 1)} W × {emitter.sections}", cite_row(rows[0]))


def _column_volume(emitter: Emitter) -> Rating | None:
    height, length, depth = emitter.height_mm, emitter.length_mm, emitter.depth_mm
    if height is None or length is None or depth is None:
        return None
    row = table(VOLUME).rows[0]
    each, volume = row.number("used_w_m3"), height * length * depth / 1e9
    numbers = f"{figure(each, 0)} W/m³ × {figure(height / 1000, 3)} × {figure(length / 1000, 3)} × {figure(depth / 1000, 3)} m"
    return Rating(each * volume, "output by the volume of its envelope", numbers, cite_row(row))


@dataclass(frozen=True)
class Correction:
    """A share by which an emitter gives less than its rating: the field of the emitter that says so, in words, the factor, the source."""

    field: str
    words: str
    factor: float
    source: str


def corrections(emitter: Emitter) -> list[Correction]:
    """Return what takes something off an emitter's rating: finish, what stands around it, its connection, hung towels.

    A declared output is that of the emitter with its finish, so the finish is not taken off again.
    """
    found = []
    for name in ("finish", "enclosure", "connection", "towels"):
        spec, value = emitter.kind.field(name), emitter.effective(name)
        if not spec.is_asked({"type": emitter.type}) or (name == "finish" and emitter.rated_output_w is not None):
            continue
        row = table(CORRECTIONS).find(field=name, value=value)
        if row is None:
            continue
        if name == "connection":
            is_long = (
                emitter.height_mm is not None
                and emitter.length_mm is not None
                and emitter.length_mm > LONG_TIMES_HEIGHT * emitter.height_mm
            )
            if not is_long:
                continue
        found.append(
            Correction(
                name, f"{spec.label.lower()}: {spec.choice_label(value).lower()}", row.number("factor"), cite_row(row)
            )
        )
    return found


def _rail(emitter: Emitter) -> Rating:
    if emitter.height_mm is None or emitter.length_mm is None:
        raise RatingError("its height and length, or its declared output")
    row = table(RAILS).rows[0]
    area = emitter.height_mm * emitter.length_mm / 1e6
    low, high = row.number("from_area_m2"), row.number("to_area_m2")
    if not low - 1e-9 <= area <= high + 1e-9:
        words = f"its declared output at ΔT 50 K (the table covers rails of {figure(low)} to {figure(high)} m², found {figure(area)} m²)"
        raise RatingError(words)
    each = row.number("output_w_m2")
    return Rating(
        each * area,
        "table, bare and painted × height × width",
        f"{figure(each, 0)} W/m² × {figure(area, 3)} m²",
        cite_row(row),
    )
