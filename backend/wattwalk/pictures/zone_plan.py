"""A place of the unit from above, true to scale: wall, unit, protective zone, everything near it by number."""

from __future__ import annotations

from collections.abc import Callable
from math import fsum

from wattwalk.engine.answers import Assessment, BaseFoot, ZoneObject, ZonePlan
from wattwalk.engine.answers.words import PLACE_VIEW, STANDING_WORDS, inside_a_sentence
from wattwalk.survey.document import Survey
from wattwalk.survey.site import Base

from .marks import enough_mark, short_mark, unknown_mark
from .svg import (
    PAPER,
    Palette,
    amount,
    drawing,
    figure,
    fitted,
    hatch,
    path,
    polyline,
    rect,
    text,
    text_width,
    two_lines,
)

#: What is further away than this is told in the list and not drawn, m.
FARTHEST_M = 6.0


def place_words(item: ZoneObject) -> str:
    """Return where something is, as one says it with one's back to the wall."""
    parts = []
    if item.along_m is not None:
        side = "right" if item.along_m > 0 else "left"
        parts.append("before the unit's middle" if item.along_m == 0 else f"{amount(abs(item.along_m), 2)} m {side}")
    if item.out_m is not None:
        parts.append("at the wall" if item.out_m == 0 else f"{amount(item.out_m, 2)} m out")
    if item.up_m is not None:
        parts.append(f"{amount(item.up_m, 2)} m up")
    return ", ".join(parts) or "place not known"


def _state_words(plan: ZonePlan, item: ZoneObject) -> str:
    return (
        "inside the planning shape"
        if item.state == "inside" and not plan.is_makers
        else inside_a_sentence(STANDING_WORDS[item.state])
    )


#: The number of something near, what it is, and where it lies along the wall and out of it, m or on the paper.
_Drawn = tuple[int, ZoneObject, float, float]


def _mark(item: ZoneObject, x: float, y: float, palette: Palette) -> str:
    if item.state == "inside":
        return short_mark(x, y, palette)
    if item.state == "dealt_with":
        return enough_mark(x, y, palette)
    if item.state in ("not_known", "undecided"):
        return unknown_mark(x, y, palette)
    return rect(x - 4, y - 4, 8, 8, fill=palette.paper, stroke=palette.quiet, line=1.6)


def _frame(plan: ZonePlan, drawn: list[_Drawn]) -> tuple[float, float, float]:
    left, right, unit_left, unit_right = -1.5, 1.5, 0.0, 0.0
    out = 2.0
    if plan.unit is not None:
        unit_left, unit_right, _, front = plan.unit
        out = max(out, front + 0.6)
    alongs = [x for x, _ in plan.corners] + [along for _, _, along, _ in drawn] + [unit_left, unit_right]
    outs = [y for _, y in plan.corners] + [away for *_, away in drawn]
    return (
        min(left, *(value - 0.5 for value in alongs)),
        max(right, *(value + 0.5 for value in alongs)),
        max([out, *(value + 0.4 for value in outs)]),
    )


def _numbers(placed: list[_Drawn], palette: Palette, width: float) -> list[str]:
    """Write each number beside its mark, on a side where no other number stands."""
    parts: list[str] = []
    taken: list[tuple[float, float]] = []
    for number, item, x, y in placed:
        words = str(number)
        for dx, dy in ((12, -6), (-12, -6), (12, 16), (-12, 16), (12, -22), (-12, -22), (26, -6), (-26, -6)):
            at = (x + dx, y + dy)
            if 8 < at[0] < width - 8 and all(abs(at[0] - tx) > 13 or abs(at[1] - ty) > 13 for tx, ty in taken):
                break
        taken.append(at)
        weight = 700 if item.state == "inside" else 400
        parts.append(text(at[0], at[1], words, fill=palette.ink, size=13, anchor="middle", weight=weight))
    return parts


def _shape(
    plan: ZonePlan, place: Callable[[float, float], tuple[float, float]], palette: Palette, width: float
) -> list[str]:
    """Draw the zone by its corners, or the planning shape, with its name."""
    outline = polyline([place(x, max(y, 0.0)) for x, y in plan.corners], closed=True)
    parts = [f'<path d="{outline}" fill="{palette.accent}" fill-opacity="0.16"/>']
    parts.append(path(outline, stroke=palette.accent_text, line=1.6, dash="7 4"))
    reach = max(y for _, y in plan.corners)
    middle = [x for x, y in plan.corners if y >= reach - 1e-6]
    x, y = place(fsum(middle) / len(middle), reach)
    name = "protective zone" if plan.is_makers else "planning shape, not a maker's"
    # Over its far edge, where nothing inside it is covered; a narrow shape's name is kept on the paper.
    half = text_width(name, 12) * 0.62
    parts.append(
        text(
            min(max(x, half), width - half),
            y - 5,
            name,
            fill=palette.accent_text,
            size=12,
            anchor="middle",
            weight=600,
        )
    )
    return parts


def _list(plan: ZonePlan, drawn: list[_Drawn], foot: float, palette: Palette, width: float) -> tuple[list[str], float]:
    """Return everything nearby in words by its number, and where the list ends."""
    parts: list[str] = []
    narrow = width < 480
    shown = {number for number, *_ in drawn}
    for number, item in enumerate(plan.objects, start=1):
        beyond = "" if number in shown else " (beyond the drawing)"
        state = f"{_state_words(plan, item)}{beyond}"
        room = (width - 24) / (1.2 if narrow else 1.15)
        first, *rest = (
            [fitted(f"{number}  {item.words}", 12, room), place_words(item), state]
            if narrow
            else two_lines(f"{number}  {item.words}: {place_words(item)}; {state}", 12, room)
        )
        foot += 19
        parts += [
            _mark(item, 8, foot - 4, palette),
            text(22, foot, first, fill=palette.ink, size=12, weight=600 if item.state == "inside" else 400),
        ]
        for row in rest:
            foot += 15
            parts.append(text(22, foot, row, fill=palette.ink, size=12, weight=600 if item.state == "inside" else 400))
    return parts, foot


def feet_at(survey: Survey, assessment: Assessment, place_id: str) -> tuple[BaseFoot, ...]:
    """Return the unit's feet with their packing on the base of a place; none while nothing is known of them."""
    ids = [base.id for base in survey.children(Base, place_id)]
    return next((base.feet for base in assessment.bases if base.id in ids and base.feet), ())


#: On the paper a foot is so wide and deep, and needs so much room.
_FOOT_WIDE, _FOOT_DEEP = 26, 16


def _feet(
    plan: ZonePlan, feet: tuple[BaseFoot, ...], place: Callable[[float, float], tuple[float, float]], palette: Palette
) -> list[str]:
    """Draw the feet with the packing under each where they do not cover one another."""
    if plan.unit is None or not feet:
        return []
    middle_x = fsum(foot.x_mm for foot in feet) / len(feet)
    middle_y = fsum(foot.y_mm for foot in feet) / len(feet)
    left, right, back, front = plan.unit
    # Along the slab is counted from its right end, along the wall to the right: the one grows where the other falls.
    placed = [
        place((left + right) / 2 - (foot.x_mm - middle_x) / 1000, (back + front) / 2 + (foot.y_mm - middle_y) / 1000)
        for foot in feet
    ]
    if any(
        abs(one[0] - other[0]) < _FOOT_WIDE and abs(one[1] - other[1]) < _FOOT_DEEP
        for number, one in enumerate(placed)
        for other in placed[:number]
    ):
        return []
    parts = []
    for foot, (x, y) in zip(feet, placed, strict=True):
        parts.append(
            rect(
                x - _FOOT_WIDE / 2,
                y - _FOOT_DEEP / 2,
                _FOOT_WIDE,
                _FOOT_DEEP,
                fill=palette.paper,
                stroke=palette.ink,
                line=1.2,
                radius=2,
            )
        )
        parts.append(text(x, y + 4.4, amount(foot.packing_mm), fill=palette.ink, size=12, anchor="middle", weight=700))
    return parts


def packing_words(feet: tuple[BaseFoot, ...]) -> str:
    """Return the packing under each foot by the foot's name."""
    return ", ".join(f"{foot.name} {amount(foot.packing_mm)} mm" for foot in feet)


def zone_plan(
    plan: ZonePlan,
    palette: Palette = PAPER,
    width: float = 640,
    *,
    feet: tuple[BaseFoot, ...] = (),
    tallest: float = 380,
) -> str:
    """Draw one place of the unit from above with its protective zone, or the planning shape in its stead, and everything near it.

    Parameters
    ----------
    plan : ZonePlan
        Metres along the wall and out from it.
    palette : Palette
        Colours for light paper or for the dark theme.
    width : float
        Width of the drawing in its own units.
    feet : tuple of BaseFoot
        The unit's feet on its base, each with its packing, where they are known.
    tallest : float
        How tall the plan itself may be, in the same units.

    Returns
    -------
    str
        SVG text, as seen with one's back to the wall: the wall at the foot, left on the left.
    """
    drawn = [
        (number, item, item.along_m, item.out_m)
        for number, item in enumerate(plan.objects, start=1)
        if item.along_m is not None
        and item.out_m is not None
        and abs(item.along_m) <= FARTHEST_M
        and item.out_m <= FARTHEST_M
    ]
    left, right, out = _frame(plan, drawn)
    scale = min((width - 20) / (right - left), tallest / out)
    span = (right - left) * scale
    inset, top = (width - span) / 2, 16.0
    wall = top + out * scale

    def place(along_m: float, out_m: float) -> tuple[float, float]:
        return inset + (along_m - left) * scale, wall - out_m * scale

    parts = [rect(inset, top, span, out * scale, fill=palette.paper)]
    if plan.corners:
        parts += _shape(plan, place, palette, width)
    parts += [
        rect(inset, wall, span, 1.8, fill=palette.ink),
        hatch(inset, wall + 2, span, 11, stroke=palette.quiet, step=7, line=1),
    ]
    if plan.unit is not None:
        (x1, y2), (x2, y1) = place(plan.unit[0], plan.unit[2]), place(plan.unit[1], plan.unit[3])
        parts.append(rect(x1, y1, x2 - x1, y2 - y1, fill=palette.paper, stroke=palette.ink, line=2, radius=3))
        drawn_feet = _feet(plan, feet, place, palette)
        parts += drawn_feet
        # Between the feet its name needs room of its own.
        if x2 - x1 > 34 and y2 - y1 > (15 + 2 * _FOOT_DEEP if drawn_feet else 15):
            parts.append(
                text((x1 + x2) / 2, (y1 + y2) / 2 + 4.5, "unit", fill=palette.ink, size=13, anchor="middle", weight=600)
            )
    placed = []
    for number, item, along, away in drawn:
        x, y = place(along, away)
        parts.append(_mark(item, x, y, palette))
        placed.append((number, item, x, y))
    parts += _numbers(placed, palette, width)
    foot = wall + 30
    parts.append(path(f"M{figure(inset)} {figure(foot - 4)} v4 h{figure(scale)} v-4", stroke=palette.quiet, line=1.2))
    parts.append(text(inset + scale + 6, foot + 3, "1 m", fill=palette.quiet, size=12))
    said = PLACE_VIEW
    if inset + scale + 40 + text_width(said, 12) * 1.3 < width:
        parts.append(text(inset + span, foot + 3, said, fill=palette.quiet, size=12, anchor="end"))
    else:
        foot += 16
        parts.append(text(inset, foot + 3, fitted(said, 12, width / 1.3), fill=palette.quiet, size=12))
    if feet:
        for row in two_lines(f"□ packing under the unit's feet: {packing_words(feet)}", 12, width / 1.15):
            foot += 17
            parts.append(text(0, foot, row, fill=palette.ink, size=12))
    more, foot = _list(plan, drawn, foot, palette, width)
    parts += more
    inside = [item.words for item in plan.objects if item.state == "inside"]
    what = "the zone" if plan.is_makers else "the planning shape"
    said = f"{PLACE_VIEW}. {plan.shape}. {len(plan.objects)} things nearby; " + (
        f"inside {what}: {', '.join(inside)}." if inside else f"none inside {what} that is not dealt with."
    )
    if feet:
        said += f" Packing under its feet: {packing_words(feet)}."
    return drawing(
        width,
        foot + 10,
        f"{'Protective zone' if plan.is_makers or not plan.corners else 'Planning shape'} of {plan.name}",
        said,
        parts,
    )
