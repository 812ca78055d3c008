"""What would lower the flow temperature: the house as it is, and the best changes one after the other."""

from __future__ import annotations

from wattwalk.engine.answers import Assessment
from wattwalk.engine.answers.rounding import rounded_up

from .svg import PAPER, Palette, amount, drawing, drawing_so_far, path, rect, text, two_lines

_ROW, _LINE, _BAR = 26.0, 15.0, 12.0
#: Where the bars begin, °C: no heating runs cooler.
_COOLEST_C = 20.0


def improvements(assessment: Assessment, palette: Palette = PAPER, width: float = 640) -> str:
    """Draw the lowest flow that serves every room, as it is and after each of the best changes.

    Parameters
    ----------
    assessment : Assessment
        Without changes that help the drawing says so in words.
    palette : Palette
        Colours for light paper or for the dark theme.
    width : float
        Width of the drawing in its own units.

    Returns
    -------
    str
        SVG text: a bar for each state of the house from 20 °C, with its temperature and what was changed.
    """
    found = assessment.improvements
    if found is None or not found.in_turn:
        words = "No change can be ranked yet." if found is None else found.words
        lines = two_lines(words, 13, width)
        return drawing(
            width,
            14 + 16 * len(lines),
            "What would lower the flow temperature",
            words,
            [text(0, 19 + 16 * place, line, fill=palette.quiet) for place, line in enumerate(lines)],
        )
    rows = [("As it is", found.flow_c), *((item.what, item.lowest_flow_c) for item in found.in_turn)]
    hottest = max(flow for _, flow in rows if flow is not None)
    room = width - 78

    def long(celsius: float) -> float:
        return room * (celsius - _COOLEST_C) / max(hottest - _COOLEST_C, 1.0)

    parts, y, said = [], 4.0, []
    for place, (what, flow) in enumerate(rows):
        label = what if place == 0 else f"{place}. {what}"
        for line in two_lines(label, 12, width / 1.3):
            parts.append(text(0, y + 11, line, fill=palette.ink, size=12, weight=600 if place == 0 else 400))
            y += _LINE
        if flow is None:
            parts.append(text(0, y + 12, "no flow serves every room", fill=palette.ink, size=12))
            said.append(f"{label}: no flow serves every room")
        else:
            shown = f"{amount(rounded_up(flow, 1), 1)} °C"
            parts.append(rect(0, y + 3, long(flow), _BAR, fill=palette.loss if place == 0 else palette.accent))
            if place and found.flow_c is not None:
                parts.append(
                    path(f"M{long(found.flow_c):.2f} {y:.2f} v{_BAR + 6:.0f}", stroke=palette.ink, line=1.3, dash="3 3")
                )
            parts.append(
                text(
                    max(long(flow), long(found.flow_c) if found.flow_c is not None and place else 0.0) + 8,
                    y + 13,
                    shown,
                    fill=palette.ink,
                    size=12,
                    weight=600,
                )
            )
            said.append(f"{label}: {shown}")
        y += _ROW
    title = "What would lower the flow temperature"
    return drawing_so_far((width, y), title, ". ".join(said) + ".", parts, found.so_far, palette)
