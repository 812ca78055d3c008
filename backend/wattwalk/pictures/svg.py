"""A small writer of SVG text: deterministic, every look in an attribute, every text made safe."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

FONT = "Source Sans 3, Source Sans Pro, sans-serif"
MINUS = "\N{MINUS SIGN}"

#: What XML forbids, and the marks that reorder the text around them: one figure could read as another.
_NOT_DRAWN = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]|[\u202a-\u202e\u2066-\u2069]")
_NARROW = frozenset("iljtfrI.,:;'|!()[] -\N{RIGHT SINGLE QUOTATION MARK}")
_WIDE = frozenset("mwMW@%&\N{EM DASH}")


@dataclass(frozen=True)
class Palette:
    """The colours of a drawing; text colours keep a contrast of 7:1 on ``paper``."""

    paper: str
    ink: str
    quiet: str
    line: str
    loss: str
    accent: str
    accent_text: str


#: For the report and the light theme.
PAPER = Palette("#fffdf9", "#26231f", "#55504a", "#d8d1c6", "#6f675d", "#c8692c", "#85390d")
#: For the dark theme.
DARK = Palette("#1b1917", "#f3eee6", "#c4bdb2", "#4a453f", "#a39a8d", "#e58f53", "#f2ab78")


def safe(text: object) -> str:
    """Return text as it may stand in XML: marked-up characters escaped, characters that XML forbids or that reorder text left out."""
    kept = _NOT_DRAWN.sub("", str(text))
    return kept.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;").replace('"', "&quot;")


def figure(value: float) -> str:
    """Write a coordinate with at most two decimals, the same on every machine."""
    written = f"{value + 0.0:.2f}".rstrip("0").rstrip(".")
    return "0" if written in {"-0", ""} else written


def amount(value: float, decimals: int = 0) -> str:
    """Write a figure for a person: thousands separated, a true minus sign, no minus zero."""
    written = f"{value:,.{decimals}f}"
    if written.strip("-0.,") == "":
        written = written.lstrip("-")
    return written.replace("-", MINUS)


def text_width(text: str, size: float) -> float:
    """Estimate the width of a text; close enough to decide what fits, never used to place a figure."""
    shares = [
        0.3 if letter in _NARROW else 0.82 if letter in _WIDE else 0.62 if letter.isupper() else 0.51 for letter in text
    ]
    return size * math.fsum(shares)


def fitted(text: str, size: float, width: float) -> str:
    """Return the text, cut with an ellipsis when it is wider than ``width``."""
    if text_width(text, size) <= width:
        return text
    kept = text
    while kept and text_width(kept + "…", size) > width:
        kept = kept[:-1]
    return kept.rstrip() + "…"


def two_lines(text: str, size: float, width: float) -> list[str]:
    """Break a text into at most two lines of ``width``, between words where it can."""
    if text_width(text, size) <= width:
        return [text]
    words, first = text.split(), ""
    while words and text_width(f"{first} {words[0]}".strip(), size) <= width:
        first = f"{first} {words.pop(0)}".strip()
    if not first:
        return [fitted(text, size, width)]
    return [first, fitted(" ".join(words), size, width)]


def text(
    x: float, y: float, words: str, *, fill: str, size: float = 13, anchor: str = "start", weight: int = 400
) -> str:
    """Return one line of text with its baseline at ``y``."""
    bold = f' font-weight="{weight}"' if weight != 400 else ""
    return (
        f'<text x="{figure(x)}" y="{figure(y)}" font-family="{FONT}" font-size="{figure(size)}" fill="{fill}"'
        f' text-anchor="{anchor}"{bold}>{safe(words)}</text>'
    )


def rect(
    x: float,
    y: float,
    width: float,
    height: float,
    *,
    fill: str,
    stroke: str = "none",
    line: float = 1,
    radius: float = 0,
) -> str:
    """Return a rectangle; a negative size is drawn as nothing."""
    round_ = f' rx="{figure(radius)}"' if radius else ""
    edge = f' stroke="{stroke}" stroke-width="{figure(line)}"' if stroke != "none" else ""
    return (
        f'<rect x="{figure(x)}" y="{figure(y)}" width="{figure(max(width, 0))}" height="{figure(max(height, 0))}"'
        f' fill="{fill}"{edge}{round_}/>'
    )


def path(shape: str, *, stroke: str = "none", fill: str = "none", line: float = 1.5, dash: str = "") -> str:
    """Return a path."""
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<path d="{shape}" fill="{fill}" stroke="{stroke}" stroke-width="{figure(line)}" stroke-linecap="round"'
        f' stroke-linejoin="round"{dashed}/>'
    )


def polyline(points: list[tuple[float, float]], closed: bool = False) -> str:
    """Return the path data of straight lines through points."""
    joined = " L".join(f"{figure(x)} {figure(y)}" for x, y in points)
    return f"M{joined}" + (" Z" if closed else "")


def hatch(x: float, y: float, width: float, height: float, *, stroke: str, step: float = 5, line: float = 1.1) -> str:
    """Return slanting lines that fill a rectangle exactly, without a clip or a pattern that would need an id."""
    parts = []
    count = int((width + height) / step) + 1
    for place in range(1, count + 1):
        reach = place * step
        start_x, start_y = (x + reach - height, y) if reach > height else (x, y + height - reach)
        end_x, end_y = (x + reach, y + height) if reach < width else (x + width, y + height - (reach - width))
        if start_x < x + width and end_y > y:
            parts.append(f"M{figure(start_x)} {figure(start_y)} L{figure(end_x)} {figure(end_y)}")
    return path(" ".join(parts), stroke=stroke, line=line) if parts else ""


def drawing(width: float, height: float, title: str, description: str, parts: list[str]) -> str:
    """Return the whole drawing with its title and description for those who cannot see it."""
    body = "\n".join(part for part in parts if part)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {figure(width)} {figure(height)}" width="{figure(width)}"'
        f' height="{figure(height)}" role="img">\n<title>{safe(title)}</title>\n<desc>{safe(description)}</desc>\n{body}\n</svg>\n'
    )


def drawing_so_far(
    size: tuple[float, float], title: str, description: str, parts: list[str], so_far: str, palette: Palette
) -> str:
    """Return a drawing, and under it what stands beside figures that are not whole yet; nothing stands there once they are."""
    width, height = size
    if not so_far:
        return drawing(width, height, title, description, parts)
    words = text(0, height + 14, so_far[0].upper() + so_far[1:], fill=palette.ink, size=12, weight=600)
    return drawing(width, height + 22, f"{title}, {so_far}", description, [*parts, words])
