"""A year's running cost of each way of heating, from the lowest to the highest that can be expected."""

from __future__ import annotations

from wattwalk.engine.answers import Assessment, CostLine

from .svg import PAPER, Palette, amount, drawing, drawing_so_far, fitted, hatch, path, rect, text, two_lines

_ROW, _BAR, _LABEL = 58.0, 20.0, 16.0
#: Steps of the scale in pounds, of which the smallest that needs no more than seven marks is taken.
_STEPS = (50, 100, 200, 250, 500, 1000, 2000, 5000, 10000)


def _range(line: CostLine) -> tuple[float, float] | None:
    if line.pounds_low is None or line.pounds_high is None:
        return None
    return float(line.pounds_low), float(line.pounds_high)


def _words(low: float, high: float) -> str:
    return f"£{amount(low)}" if low == high else f"£{amount(low)} to £{amount(high)}"


def cost_bars(assessment: Assessment, palette: Palette = PAPER, width: float = 640) -> str:
    """Draw the yearly cost of the present heating beside that of the heat pump.

    Parameters
    ----------
    assessment : Assessment
        Without a price for any of them the drawing says so in words.
    palette : Palette
        Colours for light paper or for the dark theme.
    width : float
        Width of the drawing in its own units.

    Returns
    -------
    str
        SVG text: for each way of heating a filled bar up to the lowest cost, hatched on to the highest, with both in words.
    """
    cost = assessment.plant.cost
    title = "Running cost of a year"
    lines = () if cost is None else cost.lines
    known = [found for line in lines if (found := _range(line)) is not None]
    if not known:
        said = two_lines("The running cost cannot be drawn yet: no price is known.", 13, width / 1.35)
        return drawing(
            width,
            16.0 * len(said) + 14,
            title,
            " ".join(said),
            [text(0, 19 + 16 * place, words, fill=palette.quiet) for place, words in enumerate(said)],
        )
    most = max(high for _, high in known)
    step = next((value for value in _STEPS if most / value <= 7), _STEPS[-1])
    top = max(most * 1.04, step)

    def place_of(pounds: float) -> float:
        return (width - 30) * pounds / top

    foot = _ROW * len(lines) + 6
    parts, said = [], []
    for mark in range(int(top // step) + 1):
        x = place_of(mark * step)
        parts.append(path(f"M{x:.2f} 4 V{foot:.0f}", stroke=palette.line, line=1))
        parts.append(
            text(
                x,
                foot + 15,
                f"£{amount(mark * step)}",
                fill=palette.quiet,
                size=12,
                anchor="start" if mark == 0 else "middle",
            )
        )
    for place, line in enumerate(lines):
        y = 6 + _ROW * place
        found = _range(line)
        words = f"{line.name}: {_words(*found)} a year" if found is not None else f"{line.name}: its price is not known"
        said.append(words)
        # The paper behind the words keeps the marks of the scale out of them.
        parts.append(rect(0, y, min(width, 12.5 * 0.62 * len(words)), _LABEL, fill=palette.paper))
        parts.append(text(0, y + 12, fitted(words, 13, width / 1.1), fill=palette.ink, size=13, weight=600))
        if found is None:
            parts.append(rect(0, y + 21, 60, _BAR, fill="none", stroke=palette.quiet, line=1.3))
            parts.append(text(30, y + 36, "?", fill=palette.ink, size=13, anchor="middle", weight=600))
            continue
        fill = palette.accent if line.key == "heat_pump" else palette.loss
        low, high = (place_of(value) for value in found)
        parts.append(rect(0, y + 21, low, _BAR, fill=fill))
        if high - low > 0.5:
            parts.append(rect(low, y + 21, high - low, _BAR, fill=palette.paper, stroke=fill, line=1.5))
            parts.append(hatch(low, y + 21, high - low, _BAR, stroke=fill))
    legend = two_lines(
        "filled: the lowest to be expected; hatched: up to the highest. A range, not a promise.", 12, width / 1.15
    )
    parts += [text(0, foot + 35 + 15 * place, words, fill=palette.quiet, size=12) for place, words in enumerate(legend)]
    size = (width, foot + 29 + 15 * len(legend))
    return drawing_so_far(size, title, ". ".join(said) + ".", parts, "" if cost is None else cost.so_far, palette)
