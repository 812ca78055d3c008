"""The cylinder in its cupboard from above: clear width and depth, and the cylinder with its insulation."""

from __future__ import annotations

from .svg import PAPER, Palette, amount, drawing, figure, path, rect, text


def cylinder_plan(
    wide_mm: float, deep_mm: float, diameter_mm: float, palette: Palette = PAPER, width: float = 640
) -> str:
    """Draw a cupboard from above with the cylinder in its middle.

    Parameters
    ----------
    wide_mm, deep_mm : float
        Clear width and depth of the place, mm.
    diameter_mm : float
        The cylinder's diameter, insulation and all, mm.
    palette : Palette
        Colours for light paper or for the dark theme.
    width : float
        Width of the drawing in its own units.

    Returns
    -------
    str
        SVG text, as seen by whoever stands at the open side: that side at the foot.
    """
    scale = min((width - 170) / max(wide_mm, diameter_mm), 220 / max(deep_mm, diameter_mm))
    wide, deep, radius = wide_mm * scale, deep_mm * scale, diameter_mm * scale / 2
    left, top = (width - wide) / 2, 30.0
    middle_x, middle_y = left + wide / 2, top + deep / 2
    fits = diameter_mm <= min(wide_mm, deep_mm)
    walls = f"M{figure(left)} {figure(top + deep)} V{figure(top)} H{figure(left + wide)} V{figure(top + deep)}"
    parts = [
        rect(left, top, wide, deep, fill=palette.paper),
        path(walls, stroke=palette.ink, line=3),
        path(f"M{figure(left)} {figure(top + deep)} H{figure(left + wide)}", stroke=palette.ink, line=1.2, dash="6 5"),
        f'<circle cx="{figure(middle_x)}" cy="{figure(middle_y)}" r="{figure(radius)}" fill="none" stroke="{palette.ink}" stroke-width="2"/>',
        text(middle_x, middle_y, f"Ø {amount(diameter_mm)} mm", fill=palette.ink, size=14, anchor="middle", weight=600),
        text(middle_x, top - 10, f"{amount(wide_mm)} mm clear", fill=palette.ink, size=13, anchor="middle"),
        text(left + wide + 10, middle_y + 4, f"{amount(deep_mm)} mm", fill=palette.ink, size=13),
        text(middle_x, top + deep + 20, "open side, you stand here", fill=palette.ink, size=13, anchor="middle"),
    ]
    if not fits:
        parts.append(
            text(middle_x, middle_y + 20, "does not fit", fill=palette.ink, size=14, anchor="middle", weight=700)
        )
    said = f"{amount(wide_mm)} by {amount(deep_mm)} mm clear, cylinder of {amount(diameter_mm)} mm: {'it fits' if fits else 'it does not fit'}."
    return drawing(width, max(top + deep, middle_y + radius) + 30, "The cylinder in its place", said, parts)
