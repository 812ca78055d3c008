"""How many rooms each flow temperature leaves short, and the lowest one that serves them all."""

from __future__ import annotations

from collections.abc import Callable

from wattwalk.engine.answers import Assessment, FlowTemperature, Verdict
from wattwalk.engine.answers.rounding import rounded_up

from .marks import enough_mark
from .svg import PAPER, Palette, amount, drawing, fitted, path, rect, text, text_width


def _degrees(value: float) -> str:
    return amount(value, 1).removesuffix(".0")


def _room_name(assessment: Assessment, flow: FlowTemperature) -> str:
    return next((room.name for room in assessment.rooms if room.id == flow.set_by_room), flow.set_by_room or "")


def _flag(x: float, y: float, words: str, width: float, palette: Palette, weight: int) -> str:
    """Return a label beside a vertical line, on whichever side has room for it."""
    # A screen without the report's font shows another, up to a third wider.
    wide = text_width(words, 12) * 1.35
    if wide > max(x, width - x) - 8:
        return text(0, y, fitted(words, 12, width / 1.35), fill=palette.ink, size=12, weight=weight)
    on_the_left = x + 6 + wide > width and x > width / 2
    shown = words
    return text(
        x - 6 if on_the_left else x + 6,
        y,
        shown,
        fill=palette.ink,
        size=12,
        anchor="end" if on_the_left else "start",
        weight=weight,
    )


def _columns(
    flow: FlowTemperature,
    place: Callable[[float], float],
    column: float,
    reach: tuple[float, float],
    is_unknown: bool,
    palette: Palette,
) -> list[str]:
    """Draw a column of the rooms left short at each flow temperature, `column` wide, from the foot of its `reach` to the top."""
    parts: list[str] = []
    top, foot = reach
    most = max([item.rooms_short for item in flow.candidates] + [1])
    spaced = -100.0
    for item in flow.candidates:
        x = place(item.flow_c)
        tall = (foot - top - 16) * item.rooms_short / most
        if item.rooms_short:
            parts.append(rect(x - column / 2, foot - tall, column, tall, fill=palette.loss))
            parts.append(rect(x - 8, foot - tall - 16, 16, 14, fill=palette.paper))
            parts.append(text(x, foot - tall - 5, str(item.rooms_short), fill=palette.ink, size=12, anchor="middle"))
        elif column > 14 and not is_unknown:
            parts.append(enough_mark(x, foot - 9, palette))
        if x - spaced >= 24:
            parts.append(text(x, foot + 16, _degrees(item.flow_c), fill=palette.quiet, size=12, anchor="middle"))
            spaced = x
    return parts


def flow_search(assessment: Assessment, palette: Palette = PAPER, width: float = 640) -> str:
    """Draw the rooms left short at each flow temperature looked at.

    Parameters
    ----------
    assessment : Assessment
        Without a flow temperature the drawing says so in words.
    palette : Palette
        Colours for light paper or for the dark theme.
    width : float
        Width of the drawing in its own units.

    Returns
    -------
    str
        SVG text: a column per flow temperature, a line at the lowest one that serves every room with the
        room that sets it, and a dashed line at the design's own.
    """
    flow = assessment.flow
    if flow is None or not flow.candidates:
        words = "No flow temperature can be worked out yet."
        return drawing(width, 30, "Flow temperature", words, [text(0, 19, words, fill=palette.quiet)])
    top, foot, height = 46.0, 150.0, 194.0
    temperatures = (
        [item.flow_c for item in flow.candidates]
        + [flow.design_c]
        + ([flow.lowest_c] if flow.lowest_c is not None else [])
    )
    low, high = min(temperatures), max(temperatures)
    inset = 22.0
    span = max(high - low, 1.0)

    def place(celsius: float) -> float:
        return inset + (width - 2 * inset) * (celsius - low) / span

    # While a room is not known nobody can say that a temperature serves all of them.
    unknown = len([room for room in assessment.rooms if room.verdict is Verdict.NOT_KNOWN])
    gaps = [later.flow_c - earlier.flow_c for earlier, later in zip(flow.candidates, flow.candidates[1:], strict=False)]
    column = min([34.0] + [0.7 * (width - 2 * inset) * gap / span for gap in gaps if gap > 0])
    parts = [rect(0, foot, width, 1, fill=palette.quiet)]
    x = place(flow.design_c)
    parts.append(path(f"M{x:.2f} 44 V{foot:.0f}", stroke=palette.ink, line=1.3, dash="4 4"))
    parts.append(_flag(x, 38, f"design {_degrees(flow.design_c)} °C", width, palette, 400))
    if flow.lowest_c is None:
        not_known = f"{unknown} {'room is' if unknown == 1 else 'rooms are'} not known yet and not counted here"
        said = not_known if unknown else "no flow temperature looked at serves every room"
        parts.append(text(0, 14, fitted(said, 12, width / 1.35), fill=palette.ink, size=12, weight=600))
    else:
        x = place(flow.lowest_c)
        name = _room_name(assessment, flow)
        whole = "what is said is served so far" if flow.so_far else "every room is served"
        said = f"from {_degrees(rounded_up(flow.lowest_c, 1))} °C {whole}" + (f"; {name} sets it" if name else "")
        # On a narrow drawing the line under it keeps the room's name in full.
        lines = [said] if not name or text_width(said, 12) * 1.12 <= width else said.split("; ")
        parts.append(path(f"M{x:.2f} 20 V{foot:.0f}", stroke=palette.accent, line=2.6))
        parts.append(_flag(x, 14, lines[0], width, palette, 600))
        if len(lines) > 1:
            parts.append(
                text(0, height + 10, fitted(lines[1], 12, width / 1.12), fill=palette.ink, size=12, weight=600)
            )
            height += 18
    parts += _columns(flow, place, column, (top, foot), unknown > 0, palette)
    parts.append(
        text(
            width / 2,
            foot + 36,
            "water to the emitters on the coldest design day, °C",
            fill=palette.quiet,
            size=12,
            anchor="middle",
        )
    )
    listed = ", ".join(f"{_degrees(item.flow_c)} °C: {item.rooms_short}" for item in flow.candidates)
    title = "Rooms left short at each flow temperature"
    return drawing(width, height, title, f"{said}. Design {_degrees(flow.design_c)} °C. Rooms short: {listed}.", parts)
