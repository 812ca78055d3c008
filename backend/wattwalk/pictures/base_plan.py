"""A base from above: readings, the fitted plane as bands and lines of equal height, the way it falls, the feet."""

from __future__ import annotations

import math
from collections.abc import Callable

from wattwalk.engine.answers import BaseAssessment
from wattwalk.engine.answers.words import PLACE_VIEW

from .svg import PAPER, Palette, amount, drawing, figure, hatch, path, polyline, rect, text, text_width, two_lines

_Point = tuple[float, float]
#: From mm along the wall and out of it: the height of the fitted plane in mm, or a place on the paper.
_Height = Callable[[float, float], float]
_Place = Callable[[float, float], _Point]


def _plane(base: BaseAssessment) -> tuple[float, float] | None:
    """Return how the fitted plane rises along the wall and out of it, mm/m, where one is fitted to readings."""
    if base.slope_x_mm_m is None or base.slope_y_mm_m is None or not base.points:
        return None
    return base.slope_x_mm_m, base.slope_y_mm_m


def _plane_offset(base: BaseAssessment, along: float, out: float) -> float:
    """Return the fitted plane's height at the right end of the wall edge, mm above the lowest reading."""
    parts = [item.height_mm - item.residual_mm - (along * item.x_mm + out * item.y_mm) / 1000 for item in base.points]
    return math.fsum(parts) / len(parts)


def _cut(shape: list[_Point], height: _Height, level: float, keep_above: bool) -> list[_Point]:
    """Return the part of a convex shape whose plane height is above (or below) a level."""
    sign = 1.0 if keep_above else -1.0
    kept: list[_Point] = []
    for place, here in enumerate(shape):
        before = shape[place - 1]
        rise_before, rise_here = sign * (height(*before) - level), sign * (height(*here) - level)
        if (rise_before >= 0) != (rise_here >= 0):
            share = rise_before / (rise_before - rise_here)
            kept.append((before[0] + share * (here[0] - before[0]), before[1] + share * (here[1] - before[1])))
        if rise_here >= 0:
            kept.append(here)
    return kept


def _interval(range_mm: float) -> float:
    """Return the step between lines of equal height that gives at most eight bands."""
    return next((step for step in (0.5, 1, 2, 5, 10, 20, 50, 100) if range_mm / step <= 8), 200)


def _bands(corners: list[_Point], height: _Height, place: _Place, palette: Palette) -> list[str]:
    heights = [height(*corner) for corner in corners]
    lowest, highest = min(heights), max(heights)
    if highest - lowest < 0.5:
        return []
    step = _interval(highest - lowest)
    first = math.floor(lowest / step)
    count = math.ceil(highest / step) - first
    parts = []
    for index in range(count):
        level = (first + index) * step
        band = _cut(_cut(corners, height, level, True), height, level + step, False)
        if len(band) < 3:
            continue
        share = 0.34 * (1 - (index + 0.5) / count)
        shape = polyline([place(*point) for point in band], closed=True)
        parts.append(f'<path d="{shape}" fill="{palette.accent}" fill-opacity="{figure(share)}"/>')
    for index in range(1, count):
        level = (first + index) * step
        edge = [point for point in _cut(corners, height, level, True) if abs(height(*point) - level) < 1e-6]
        if len(edge) >= 2:
            (x1, y1), (x2, y2) = place(*edge[0]), place(*edge[1])
            parts.append(path(polyline([(x1, y1), (x2, y2)]), stroke=palette.accent_text, line=0.8, dash="5 4"))
    return parts


def _fall_arrow(plane: tuple[float, float], middle: _Point, reach: float, palette: Palette) -> list[str]:
    # The drawing lies with the wall at its foot: what grows from the right end grows to the left, what grows out grows up.
    along, out = plane
    steep = math.hypot(along, out)
    if steep < 0.05:
        return []
    dx, dy = along / steep, out / steep
    x1, y1, x2, y2 = middle[0] - dx * reach, middle[1] - dy * reach, middle[0] + dx * reach, middle[1] + dy * reach
    head = [(x2, y2), (x2 - 13 * dx - 6 * dy, y2 - 13 * dy + 6 * dx), (x2 - 13 * dx + 6 * dy, y2 - 13 * dy - 6 * dx)]
    shaft = path(polyline([(x1, y1), (x2 - 10 * dx, y2 - 10 * dy)]), stroke=palette.accent_text, line=3)
    return [shaft, path(polyline(head, closed=True), fill=palette.accent_text, stroke=palette.accent_text, line=1)]


def _size(base: BaseAssessment) -> tuple[float, float]:
    """Return the slab's size in mm; without one, the reach of the readings."""
    length = base.length_mm or max([item.x_mm for item in base.points] + [1000.0])
    width = base.width_mm or max([item.y_mm for item in base.points] + [600.0])
    return length, width


def _dimensions(left: float, top: float, wide: float, deep: float, size: _Point, palette: Palette) -> list[str]:
    line = palette.quiet
    below, aside = top - 14, left - 14
    ticks = (
        f"M{figure(left)} {figure(below)} H{figure(left + wide)} M{figure(left)} {figure(below - 4)} v8 M{figure(left + wide)} {figure(below - 4)} v8"
        f" M{figure(aside)} {figure(top)} V{figure(top + deep)} M{figure(aside - 4)} {figure(top)} h8 M{figure(aside - 4)} {figure(top + deep)} h8"
    )
    return [
        path(ticks, stroke=line, line=1),
        text(left + wide / 2, below - 6, f"{amount(size[0])} mm", fill=line, size=12, anchor="middle"),
        text(aside - 8, top + deep / 2 + 4, f"{amount(size[1])}", fill=line, size=12, anchor="end"),
    ]


def _feet(base: BaseAssessment, place: _Place, palette: Palette) -> list[str]:
    parts = []
    if len(base.feet) == 4:
        xs, ys = [foot.x_mm for foot in base.feet], [foot.y_mm for foot in base.feet]
        (x1, y1), (x2, y2) = place(max(xs), max(ys)), place(min(xs), min(ys))
        parts.append(rect(x1, y1, x2 - x1, y2 - y1, fill="none", stroke=palette.ink, line=1))
    for foot in base.feet:
        x, y = place(foot.x_mm, foot.y_mm)
        parts.append(rect(x - 17, y - 11, 34, 22, fill=palette.paper, stroke=palette.ink, line=1.6, radius=3))
        parts.append(text(x, y + 4.8, amount(foot.packing_mm), fill=palette.ink, size=14, anchor="middle", weight=700))
    return parts


def _points(base: BaseAssessment, place: _Place, palette: Palette) -> list[str]:
    feet = [place(foot.x_mm, foot.y_mm) for foot in base.feet]
    parts = []
    for item in base.points:
        x, y = place(item.x_mm, item.y_mm)
        parts.append(
            path(f"M{figure(x - 4)} {figure(y)} h8 M{figure(x)} {figure(y - 4)} v8", stroke=palette.ink, line=1.4)
        )
        # A label moves above its cross where a foot's box would cover it.
        covered = any(abs(fx - x) < 34 and -26 < fy - y < 34 for fx, fy in feet)
        dy = -9 if covered and not any(abs(fx - x) < 30 and -34 < fy - y < 0 for fx, fy in feet) else 18
        parts.append(text(x, y + dy, amount(item.height_mm, 1), fill=palette.ink, size=11, anchor="middle"))
    return parts


def base_plan(
    base: BaseAssessment,
    heavy_side: str | None = None,
    palette: Palette = PAPER,
    width: float = 640,
    *,
    tallest: float = 300,
) -> str:
    """Draw a base from above with its readings, the way it falls and the packing under each foot.

    Parameters
    ----------
    base : BaseAssessment
        Lengths and heights in mm.  Without a fitted plane only the slab and its readings are drawn.
    heavy_side : str, optional
        ``left``, ``right`` or ``even``, seen from the front of the unit (the head of the drawing), so its left is on the drawing's right.
    palette : Palette
        Colours for light paper or for the dark theme.
    width : float
        Width of the drawing in its own units.
    tallest : float
        How tall the slab itself may be, in the same units.

    Returns
    -------
    str
        SVG text, as seen with one's back to the wall: the wall at the foot, left on the left.  All figures are in mm.
    """
    length, deep_mm = _size(base)
    left, right, top = 56.0, 40.0, 54.0
    scale = min((width - left - right) / length, tallest / deep_mm)
    wide, deep = length * scale, deep_mm * scale
    left += (width - left - right - wide) / 2

    def place(x_mm: float, y_mm: float) -> _Point:
        return left + (length - x_mm) * scale, top + (deep_mm - y_mm) * scale

    plane = _plane(base)
    parts = [
        rect(left - 26, top + deep + 3, wide + 52, 1.6, fill=palette.quiet),
        hatch(left - 26, top + deep + 5, wide + 52, 12, stroke=palette.quiet, step=7, line=1),
        text(left - 26, top + deep + 31, "wall of the house", fill=palette.quiet, size=12),
        rect(left, top, wide, deep, fill=palette.paper),
    ]
    if plane is not None:
        along, out = plane
        start = _plane_offset(base, along, out)
        corners = [(0.0, 0.0), (length, 0.0), (length, deep_mm), (0.0, deep_mm)]
        parts += _bands(corners, lambda x, y: start + (along * x + out * y) / 1000, place, palette)
    parts.append(rect(left, top, wide, deep, fill="none", stroke=palette.ink, line=1.6))
    if plane is not None:
        parts += _fall_arrow(plane, (left + wide * 0.3, top + deep / 2), min(wide, deep) * 0.2, palette)
    parts += (
        _points(base, place, palette)
        + _feet(base, place, palette)
        + _dimensions(left, top, wide, deep, (length, deep_mm), palette)
    )
    foot = top + deep + 32
    if heavy_side in {"left", "right"}:
        # Told from the unit's front, so the unit's left is on the right of whoever has the wall behind them.
        on_the_left = heavy_side == "right"
        x = left if on_the_left else left + wide
        anchor = "start" if on_the_left else "end"
        parts.append(text(x, top - 36, "heavy side", fill=palette.ink, size=12, anchor=anchor, weight=600))
    legend = [f"{PLACE_VIEW}; feet and sides are named so"]
    legend += ["+ height above the lowest reading, mm"] if base.points else ["no level readings yet"]
    if base.feet:
        legend.append("□ packing under that foot, mm")
    if plane is not None:
        legend.append("stronger tint is lower; the arrow points the way it falls")
    joined = " · ".join(legend)
    rows = (
        [joined]
        if text_width(joined, 12) * 1.15 < width
        else [line for words in legend for line in two_lines(words, 12, width / 1.15)]
    )
    for place_, row in enumerate(rows):
        parts.append(text(0, foot + 16 + 16 * place_, row, fill=palette.quiet, size=12))
    said = f"{PLACE_VIEW}. Slab {amount(length)} by {amount(deep_mm)} mm. "
    said += (
        "Not enough readings for a plane."
        if base.fall_mm_m is None
        else f"Falls {amount(base.fall_mm_m, 1)} mm per metre"
    )
    if base.fall_mm_m is not None:
        said += f" toward {base.falls_toward}." if base.falls_toward else "."
    said += "".join(f" {foot_.name}: packing {amount(foot_.packing_mm)} mm." for foot_ in base.feet)
    return drawing(
        width, foot + 20 + 16 * len(rows), f"Level of {base.name}" if base.name else "Level of the base", said, parts
    )
