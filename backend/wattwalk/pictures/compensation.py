"""The weather-compensation line: the flow needed over the outside temperature, and the straight line to set."""

from __future__ import annotations

from wattwalk.engine.answers import Assessment

from .svg import PAPER, Palette, amount, drawing, drawing_so_far, path, polyline, rect, text, text_width


def _degrees(value: float) -> str:
    return amount(value, 1).removesuffix(".0")


def compensation(assessment: Assessment, palette: Palette = PAPER, width: float = 640) -> str:
    """Draw the flow temperature over the outside temperature.

    Parameters
    ----------
    assessment : Assessment
        Without a compensation line the drawing says so in words.
    palette : Palette
        Colours for light paper or for the dark theme.
    width : float
        Width of the drawing in its own units.

    Returns
    -------
    str
        SVG text: the line needed, a dashed straight line through the two points to set, both points named.
    """
    line = assessment.compensation
    if line is None:
        words = "No weather-compensation line can be drawn yet."
        return drawing(width, 30, "Weather-compensation line", words, [text(0, 19, words, fill=palette.quiet)])
    height, left, right, top, foot = 240.0, 34.0, 14.0, 30.0, 196.0
    outside = [item.outside_c for item in line.points]
    low_x, high_x = min(*outside, line.cold_outside_c), max(*outside, line.mild_outside_c)
    flows = [value for item in line.points for value in (item.flow_c, item.line_c)]
    low_y, high_y = 5.0 * (min(flows) // 5), 5.0 * (max(flows) // 5 + 1)

    def x(celsius: float) -> float:
        return left + (width - left - right) * (celsius - low_x) / (high_x - low_x)

    def y(celsius: float) -> float:
        return foot - (foot - top) * (celsius - low_y) / (high_y - low_y)

    parts = []
    step = 5.0 if high_y - low_y <= 30 else 10.0
    mark = step * -(-low_y // step)
    while mark <= high_y + 1e-9:
        parts.append(rect(left, y(mark), width - left - right, 1, fill=palette.line))
        parts.append(text(left - 6, y(mark) + 4, _degrees(mark), fill=palette.quiet, size=12, anchor="end"))
        mark += step
    for celsius in (-10, -5, 0, 5, 10, 15):
        if low_x <= celsius <= high_x:
            parts.append(path(f"M{x(celsius):.2f} {foot:.0f} v5", stroke=palette.quiet, line=1))
            parts.append(text(x(celsius), foot + 19, _degrees(celsius), fill=palette.quiet, size=12, anchor="middle"))
    parts.append(text(0, 13, "flow, °C", fill=palette.quiet, size=12))
    parts.append(text(width - right, foot + 37, "outside, °C", fill=palette.quiet, size=12, anchor="end"))
    parts.append(
        path(
            polyline([(x(item.outside_c), y(item.line_c)) for item in line.points]),
            stroke=palette.ink,
            line=1.3,
            dash="5 4",
        )
    )
    parts.append(
        path(polyline([(x(item.outside_c), y(item.flow_c)) for item in line.points]), stroke=palette.accent, line=2.6)
    )
    for at, flow in ((line.cold_outside_c, line.cold_flow_c), (line.mild_outside_c, line.mild_flow_c)):
        words = f"set {_degrees(flow)} °C at {_degrees(at)} °C"
        # A square stands for a point to set; its words lie above the line, where nothing else is drawn.
        parts.append(rect(x(at) - 5, y(flow) - 5, 10, 10, fill=palette.paper, stroke=palette.ink, line=2))
        # A screen without the report's font shows another, up to a third wider.
        fits = x(at) + 10 + 1.35 * text_width(words, 12) <= width
        parts.append(
            text(
                x(at) + 10 if fits else width,
                y(flow) - 9,
                words,
                fill=palette.ink,
                size=12,
                anchor="start" if fits else "end",
                weight=600,
            )
        )
    shown = "; ".join(f"{_degrees(item.outside_c)} °C outside: {_degrees(item.flow_c)} °C" for item in line.points)
    words = f"{line.words} Flow needed: {shown}."
    return drawing_so_far((width, height), "Weather-compensation line", words, parts, line.so_far, palette)
