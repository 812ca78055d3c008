"""The plans of a house as its household reads them: rooms by name, and what changes in each, small enough to lie side by side."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from wattwalk.engine.answers.plan import PlanRoom, StoreyPlan
from wattwalk.engine.answers.rounding import listed

from .placed_things import PlacedThing
from .storey_plan import WALLS, Box, Frame, opening_marks, thing_marks, wall_line, words_box
from .svg import PAPER, Palette, drawing, fitted, path, polyline, text, text_width

#: Round the rooms, in drawing units, and where a unit stands outside of a wall.
_MARGIN, _MARGIN_UNIT = 5.0, 24.0
#: A single small room does not fill a page.
_MOST_SCALE = 40.0
_LETTERS, _LINE = 10.2, 12.0


def house_plans(
    plans: Sequence[StoreyPlan],
    changes: Mapping[str, Sequence[str]],
    things: Sequence[PlacedThing],
    palette: Palette = PAPER,
    *,
    width: float,
    tallest: float,
) -> dict[str, str]:
    """Draw storeys for the household, all to one scale.

    Parameters
    ----------
    plans : sequence of StoreyPlan
        Those that are proved, each with rooms.
    changes : mapping
        A few words for what changes in a room, by its id.
    things : sequence of PlacedThing
        What stands where; of emitters only new ones are drawn.
    palette : Palette
        The colours.
    width, tallest : float
        Width of each drawing, and how tall its rooms may be together, in drawing units.

    Returns
    -------
    dict
        SVG text by storey.
    """
    if not plans:
        return {}
    shown = [thing for thing in things if thing.kind == "unit" or (thing.kind == "emitter" and thing.is_new)]
    margin = _MARGIN_UNIT if any(thing.kind == "unit" for thing in shown) else _MARGIN
    boxes = [_box(plan) for plan in plans]
    scale = min(
        _MOST_SCALE,
        *((width - 2 * margin) / (right - left) for left, _, right, _ in boxes),
        *(tallest / (foot - top) for _, top, _, foot in boxes),
    )
    found = {}
    for plan, (left, top, right, foot) in zip(plans, boxes, strict=True):
        has_unit = any(thing.kind == "unit" and any(room.id == thing.room for room in plan.rooms) for thing in shown)
        head = _MARGIN_UNIT if has_unit else _MARGIN
        frame = Frame(scale, (width - (right - left) * scale) / 2, head, left, top, (foot - top) * scale)
        found[plan.storey] = _drawn(plan, changes, shown, frame, palette, width, head)
    return found


def house_plan_words(plan: StoreyPlan, changes: Mapping[str, Sequence[str]]) -> str:
    """Return a storey in words, for those who cannot see the drawing: its rooms, and what changes in them."""
    rooms = listed([room.name for room in plan.rooms])
    changing = [f"{room.name}: {', '.join(changes[room.id])}." for room in plan.rooms if changes.get(room.id)]
    return " ".join([f"Plan of the {plan.label.lower()} from above, with {rooms}.", *changing])


def _box(plan: StoreyPlan) -> tuple[float, float, float, float]:
    points = [point for room in plan.rooms for point in room.outline]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return min(xs), min(ys), max(xs), max(ys)


def _drawn(
    plan: StoreyPlan,
    changes: Mapping[str, Sequence[str]],
    things: Sequence[PlacedThing],
    frame: Frame,
    palette: Palette,
    width: float,
    margin: float,
) -> str:
    parts = []
    for room in plan.rooms:
        shape = polyline([frame.at(*point) for point in room.outline], closed=True)
        parts.append(path(shape, fill=palette.line if changes.get(room.id) else palette.paper))
    for line in sorted((line for room in plan.rooms for line in room.lines), key=lambda item: WALLS[item.beyond][1]):
        parts.append(wall_line(line, frame, palette, 0.6))
    key: list[str] = []
    for room in plan.rooms:
        words, box = _words(room, changes.get(room.id, ()), frame, palette, key)
        for opening in room.openings:
            parts += opening_marks(opening, room, frame, palette, box)
        for thing in things:
            if thing.room == room.id:
                parts += thing_marks(thing, room, frame, palette)
        parts += words
    foot = frame.top + frame.height + margin
    for row in _rows([f"{number} {words}" for number, words in enumerate(key, 1)], width):
        foot += _LINE
        parts.append(text(0, foot, row, fill=palette.ink, size=_LETTERS))
    return drawing(width, foot + 4, f"Plan of the {plan.label.lower()}", house_plan_words(plan, changes), parts)


def _words(
    room: PlanRoom, changes: Sequence[str], frame: Frame, palette: Palette, key: list[str]
) -> tuple[list[str], Box]:
    """Write a room's name and what changes in it; what has no room there gets a number and its line in ``key``; return the box round it as well."""
    wide, deep = room.width_m * frame.scale - 7, room.height_m * frame.scale - 6
    lines = [(part, 400) for part in _broken(room.name, wide)] + [
        (part, 600) for words in changes for part in _broken(words, wide)
    ]
    if any(text_width(words, _LETTERS) > wide for words, _ in lines) or len(lines) * _LINE > deep:
        key.append(f"{room.name}: {', '.join(changes)}" if changes else room.name)
        lines = [(str(len(key)), 600)]
    x, y = frame.at(room.x_m + room.width_m / 2, room.y_m + room.height_m / 2)
    first = y - (len(lines) - 1) * _LINE / 2 + 3.6
    written = [
        text(x, first + place * _LINE, words, fill=palette.ink, size=_LETTERS, anchor="middle", weight=weight)
        for place, (words, weight) in enumerate(lines)
    ]
    return written, words_box(x, first, _LINE, [(words, _LETTERS) for words, _ in lines])


def _rows(items: Sequence[str], width: float) -> list[str]:
    """Set items one after the other in as many rows as they need; a phone's letters may be wider than ours."""
    rows: list[str] = []
    for item in items:
        if rows and text_width(f"{rows[-1]} · {item}", _LETTERS) <= width / 1.1:
            rows[-1] += f" · {item}"
        else:
            rows.append(fitted(item, _LETTERS, width / 1.1))
    return rows


def _broken(words: str, wide: float) -> list[str]:
    """Break words into as many lines as they need; one word that is too long stays so."""
    lines: list[str] = []
    for word in words.split():
        if lines and text_width(f"{lines[-1]} {word}", _LETTERS) <= wide:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines or [words]
