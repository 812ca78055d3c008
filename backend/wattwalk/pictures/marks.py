"""The small shapes that say a state beside its word, so that colour is never alone."""

from __future__ import annotations

from .svg import Palette, figure, path, text

__all__ = ["enough_mark", "nothing_mark", "short_mark", "unknown_mark"]


def enough_mark(x: float, y: float, palette: Palette) -> str:
    """Return a tick in a box of 12 by 12 whose middle is at (x, y)."""
    shape = f"M{figure(x - 5)} {figure(y)} L{figure(x - 1.5)} {figure(y + 4)} L{figure(x + 5)} {figure(y - 4.5)}"
    return path(shape, stroke=palette.quiet, line=2)


def short_mark(x: float, y: float, palette: Palette) -> str:
    """Return a filled triangle that points down: less than it should be."""
    shape = f"M{figure(x - 6)} {figure(y - 5)} L{figure(x + 6)} {figure(y - 5)} L{figure(x)} {figure(y + 5.5)} Z"
    return path(shape, stroke=palette.accent_text, fill=palette.accent_text, line=1)


def nothing_mark(x: float, y: float, palette: Palette) -> str:
    """Return an empty square: nothing is there."""
    shape = f"M{figure(x - 5)} {figure(y - 5)} h10 v10 h-10 Z"
    return path(shape, stroke=palette.accent_text, line=1.8, dash="2.5 2.5")


def unknown_mark(x: float, y: float, palette: Palette) -> str:
    """Return a ring with a question mark: it cannot be said."""
    ring = f"M{figure(x - 6)} {figure(y)} a6 6 0 1 0 12 0 a6 6 0 1 0 -12 0 Z"
    return path(ring, stroke=palette.quiet, line=1.3) + text(
        x, y + 3.6, "?", fill=palette.quiet, size=10, anchor="middle", weight=600
    )
