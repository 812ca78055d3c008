"""Where the marks of a photo lie: arrows, rings and words in a picture's own pixels, the same on the phone's screen and on paper.

The phone draws them by the same rules (``pwa/src/domain/marks.ts``); ``tests/golden/marks.json`` holds both to the same places.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

#: Characters of words in one line, and the height of a line in letters' sizes.
LINE_CHARACTERS, LINE_HEIGHT = 24, 1.2
_LINE, _OUTLINE, _HEAD = 0.008, 0.016, 0.04
Point = tuple[float, float]


@dataclass(frozen=True)
class Widths:
    """Widths of a mark's line and of the light line under it, and the length of an arrow's head, px."""

    line: float
    outline: float
    head: float


@dataclass(frozen=True)
class Arrow:
    """A line from the tail to the head's foot, and the head's three corners with the tip first."""

    tail: Point
    neck: Point
    head: tuple[Point, Point, Point]


@dataclass(frozen=True)
class Ring:
    """An ellipse by its middle and its two half widths."""

    middle: Point
    across: float
    down: float


@dataclass(frozen=True)
class Words:
    """Lines of words; ``x`` is their start, middle or end as ``anchor`` says, ``top`` the upper edge of the first line."""

    lines: tuple[str, ...]
    x: float
    top: float
    anchor: str
    size: float


def widths(width_px: float, height_px: float) -> Widths:
    """Return how thick the marks of a picture of this size are."""
    longest = max(width_px, height_px)
    return Widths(_LINE * longest, _OUTLINE * longest, _HEAD * longest)


def placed(stroke: Mapping[str, Any], width_px: float, height_px: float) -> Arrow | Ring | Words | None:
    """Return where a mark lies in a picture of this size, or None for a mark that is not whole.

    Parameters
    ----------
    stroke : mapping
        A row of the photo's field ``strokes``; positions are shares of width and height, 0 to 1.
    width_px, height_px : float
        Size of the upright picture, px.
    """
    x1, y1, x2, y2 = (stroke.get(name) for name in ("x1", "y1", "x2", "y2"))
    if x1 is None or y1 is None:
        return None
    start = (x1 * width_px, y1 * height_px)
    if stroke.get("shape") == "words":
        return _words(str(stroke.get("words") or ""), x1, start, width_px, height_px)
    if x2 is None or y2 is None:
        return None
    end = (x2 * width_px, y2 * height_px)
    if stroke.get("shape") == "arrow":
        return _arrow(start, end, widths(width_px, height_px).head)
    if stroke.get("shape") == "ring":
        return Ring(
            ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2), abs(end[0] - start[0]) / 2, abs(end[1] - start[1]) / 2
        )
    return None


def _arrow(tail: Point, tip: Point, head_px: float) -> Arrow | None:
    reach = math.hypot(tip[0] - tail[0], tip[1] - tail[1])
    if reach < 1:
        return None
    across, down = (tip[0] - tail[0]) / reach, (tip[1] - tail[1]) / reach
    # A short arrow still shows some of its line.
    long = min(head_px, 0.6 * reach)
    neck = (tip[0] - long * across, tip[1] - long * down)
    half = 0.5 * long
    return Arrow(
        tail,
        neck,
        (tip, (neck[0] - half * down, neck[1] + half * across), (neck[0] + half * down, neck[1] - half * across)),
    )


def wrapped(words: str) -> tuple[str, ...]:
    """Return words in lines of at most 24 characters; a longer word is cut."""
    lines: list[str] = []
    for word in words.split():
        while len(word) > LINE_CHARACTERS:
            lines.append(word[:LINE_CHARACTERS])
            word = word[LINE_CHARACTERS:]
        if word and lines and len(lines[-1]) + 1 + len(word) <= LINE_CHARACTERS:
            lines[-1] += f" {word}"
        elif word:
            lines.append(word)
    return tuple(lines)


def _words(words: str, share: float, at: Point, width_px: float, height_px: float) -> Words | None:
    lines = wrapped(words)
    if not lines:
        return None
    size = min(0.045 * width_px, 0.08 * height_px)
    # Words near an edge run away from it, so that they stay on the picture.
    anchor = "start" if share < 1 / 3 else "end" if share > 2 / 3 else "middle"
    top = max(0.2 * size, min(at[1] - 0.6 * size, height_px - len(lines) * LINE_HEIGHT * size))
    return Words(lines, at[0], top, anchor, size)


def in_words(strokes: list[Mapping[str, Any]]) -> str:
    """Return what is drawn on a photo for a reader who cannot see it, or an empty text."""
    parts = []
    for shape, one, many in (("arrow", "an arrow", "arrows"), ("ring", "a ring", "rings")):
        count = len([item for item in strokes if item.get("shape") == shape])
        if count:
            parts.append(one if count == 1 else f"{count} {many}")
    parts += [f"the words “{item['words']}”" for item in strokes if item.get("shape") == "words" and item.get("words")]
    if not parts:
        return ""
    return "Marked with " + (parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}")
