"""The plan of a storey: rooms as they lie, what is beyond each wall, what each room loses."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import cos, hypot, radians, sin

from wattwalk.engine.answers import RoomAssessment
from wattwalk.engine.answers.plan import PlanLine, PlanOpening, PlanRoom, PlanState, StoreyPlan
from wattwalk.engine.answers.words import PLAN_STATE_WORDS

from .placed_things import PlacedThing
from .svg import Palette, amount, drawing, fitted, path, polyline, rect, text, text_width

_Point = tuple[float, float]
#: Left, top, right and bottom, in drawing units.
Box = tuple[float, float, float, float]
#: Round the rooms, in drawing units: walls are drawn on both sides of their line, and a unit may stand outside.
_MARGIN = 14.0
#: A single small room does not fill a page.
_MOST_SCALE = 70.0
_LINE = 13.0
#: How each kind of wall is drawn: colour by name, width, dashes; and what the key calls it.
WALLS = {
    "outside": ("ink", 4.6, "", "outside"),
    "neighbour": ("ink", 3.0, "9 4", "neighbour"),
    "ground": ("ink", 3.0, "1 5", "ground"),
    "unheated": ("ink", 2.2, "4 4", "unheated space"),
    "nothing": ("quiet", 1.2, "", "inside wall"),
    "room": ("quiet", 1.2, "", "inside wall"),
    "not_said": ("accent_text", 2.2, "2 5", "not said yet"),
}


@dataclass(frozen=True)
class Frame:
    """Where the page lies in the drawing: drawing units to a metre, where its corner is drawn, and which point of the page that is."""

    scale: float
    left: float
    top: float
    x_m: float
    y_m: float
    height: float

    def at(self, x_m: float, y_m: float) -> _Point:
        """Return a point of the page, m, in drawing units."""
        return self.left + (x_m - self.x_m) * self.scale, self.top + (y_m - self.y_m) * self.scale


def _frame(plan: StoreyPlan, width: float) -> Frame:
    points = [point for room in plan.rooms for point in room.outline]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    wide, deep = max(xs) - min(xs), max(ys) - min(ys)
    scale = min((width - 2 * _MARGIN) / wide, _MOST_SCALE)
    # A page of the report holds two storeys; a phone is scrolled.
    scale = min(scale, (400.0 if width > 400 else 620.0) / deep)
    top = 26.0 if plan.north_deg is None else 44.0
    return Frame(scale, (width - wide * scale) / 2, top, min(xs), min(ys), deep * scale)


def storey_places(plan: StoreyPlan, width: float) -> dict[str, tuple[float, float, float, float]]:
    """Return where each room lies in the drawing of its storey, for who taps it: left, top, width and height in drawing units."""
    if not plan.rooms:
        return {}
    frame = _frame(plan, width)
    found = {}
    for room in plan.rooms:
        left, top = frame.at(room.x_m, room.y_m)
        found[room.id] = (
            round(left, 1),
            round(top, 1),
            round(room.width_m * frame.scale, 1),
            round(room.height_m * frame.scale, 1),
        )
    return found


def storey_plan(
    plan: StoreyPlan,
    losses: Mapping[str, RoomAssessment],
    things: Sequence[PlacedThing],
    palette: Palette,
    width: float,
) -> str | None:
    """Draw a storey.

    Parameters
    ----------
    plan : StoreyPlan
        As the engine lays it out.
    losses : mapping
        What is known of each room's loss and emitters, by its id.
    things : sequence of PlacedThing
        Emitters, units and cylinders whose place is known.
    palette : Palette
        The colours.
    width : float
        Width of the drawing in its own units.

    Returns
    -------
    str or None
        SVG text; None where no room can be drawn.
    """
    if not plan.rooms:
        return None
    frame = _frame(plan, width)
    here = {room.id for room in plan.rooms}
    things = [thing for thing in things if thing.room in here]
    state = PLAN_STATE_WORDS[plan.state] + ("" if plan.state is PlanState.ONE else ": the drawing is no proof")
    parts = [text(0, 13, state, fill=palette.ink, size=12, weight=600)]
    if plan.north_deg is not None:
        parts += _north(width - 18, 20, plan.north_deg, palette)
    for room in plan.rooms:
        shape = polyline([frame.at(*point) for point in room.outline], closed=True)
        parts.append(path(shape, fill=palette.paper))
    # Thin walls first, so that what is outside lies over them.
    for line in sorted((line for room in plan.rooms for line in room.lines), key=lambda item: WALLS[item.beyond][1]):
        parts.append(wall_line(line, frame, palette))
    key: list[str] = []
    for room in plan.rooms:
        own = [thing for thing in things if thing.room == room.id]
        words, box = _words(room, losses.get(room.id), own, frame, palette, key)
        for opening in room.openings:
            parts += opening_marks(opening, room, frame, palette, box)
        for thing in own:
            parts += thing_marks(thing, room, frame, palette)
        if room.faces != "front":
            parts.append(_front_mark(room, frame, palette))
        parts += words
    foot = frame.top + frame.height + _MARGIN + (26.0 if any(thing.kind == "unit" for thing in things) else 8.0)
    below, foot = _below(plan, key, things, foot, width, palette)
    return drawing(width, foot + 4, f"Plan of the {plan.label.lower()}", _said(plan, losses), parts + below)


def wall_line(line: PlanLine, frame: Frame, palette: Palette, share: float = 1.0) -> str:
    """Draw a piece of a wall as what lies beyond it; ``share`` of its usual width."""
    colour, wide, dash, _ = WALLS[line.beyond]
    ends = [frame.at(line.from_x_m, line.from_y_m), frame.at(line.to_x_m, line.to_y_m)]
    return path(polyline(ends), stroke=getattr(palette, colour), line=wide * share, dash=dash)


def opening_marks(opening: PlanOpening, room: PlanRoom, frame: Frame, palette: Palette, words: Box) -> list[str]:
    """Draw a window or a door in its wall; a door stands open clear of the box of the words in its room."""
    (x1, y1), (x2, y2) = frame.at(opening.from_x_m, opening.from_y_m), frame.at(opening.to_x_m, opening.to_y_m)
    ends = polyline([(x1, y1), (x2, y2)])
    gap = path(ends, stroke=palette.paper, line=6.4)
    if opening.element != "door":
        is_level = abs(y1 - y2) < 0.01
        off = (0.0, 1.7) if is_level else (1.7, 0.0)
        both = [polyline([(x1 + k * off[0], y1 + k * off[1]), (x2 + k * off[0], y2 + k * off[1])]) for k in (-1, 1)]
        return [gap, path(" ".join(both), stroke=palette.ink, line=1.1)]
    middle = frame.at(room.x_m + room.width_m / 2, room.y_m + room.height_m / 2)
    return [gap, path(polyline(_leaf((x1, y1), (x2, y2), middle, words)), stroke=palette.quiet, line=1.1)]


#: How far a door's leaf stands open, in shares of its width: as far as leaves the words of the room free.
_OPEN = (0.8, 0.6, 0.4, 0.25)


def _leaf(one: _Point, other: _Point, middle: _Point, words: Box) -> list[_Point]:
    """Return a door's leaf, open into its room, from the end that lets it clear the words there: which end it hangs at is not said."""
    long = hypot(other[0] - one[0], other[1] - one[1])
    is_level = abs(one[1] - other[1]) < 0.01
    found: list[_Point] = []
    for share in _OPEN:
        for hinge, latch in ((one, other), (other, one)):
            along = share * long * (1 if (middle[1] > hinge[1] if is_level else middle[0] > hinge[0]) else -1)
            tip = (hinge[0], hinge[1] + along) if is_level else (hinge[0] + along, hinge[1])
            found = [latch, tip, hinge]
            if not _lies_on(found, words):
                return found
    return found


def _lies_on(points: Sequence[_Point], box: Box) -> bool:
    """Say whether the box round some points lies on another."""
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return min(xs) < box[2] and max(xs) > box[0] and min(ys) < box[3] and max(ys) > box[1]


def _side_ends(room: PlanRoom, side: str, frame: Frame) -> tuple[_Point, _Point, _Point]:
    """Return both ends of a side of a room's box on the page, and the way into the room from it."""
    names = ("front", "right", "back", "left")
    way = (names.index(side) + names.index(room.faces)) % 4
    left, top = frame.at(room.x_m, room.y_m)
    right, low = frame.at(room.x_m + room.width_m, room.y_m + room.height_m)
    return (
        ((left, top), (right, top), (0.0, 1.0)),
        ((right, top), (right, low), (-1.0, 0.0)),
        ((left, low), (right, low), (0.0, -1.0)),
        ((left, top), (left, low), (1.0, 0.0)),
    )[way]


def thing_marks(thing: PlacedThing, room: PlanRoom, frame: Frame, palette: Palette) -> list[str]:
    """Draw an emitter along its side, or a unit outside of it; nothing of what only a room is known of."""
    if thing.side is None:
        return []
    (x1, y1), (x2, y2), (in_x, in_y) = _side_ends(room, thing.side, frame)
    long = hypot(x2 - x1, y2 - y1)
    middle = ((x1 + x2) / 2, (y1 + y2) / 2)
    along = ((x2 - x1) / long, (y2 - y1) / long)
    half = min((thing.length_m or 1.0) * frame.scale, 0.9 * long) / 2
    if thing.kind == "emitter":
        off = 6.0
        ends = [
            (middle[0] + k * half * along[0] + in_x * off, middle[1] + k * half * along[1] + in_y * off)
            for k in (-1, 1)
        ]
        return [path(polyline(ends), stroke=palette.accent, line=5)]
    # A unit stands outside of the wall.
    half = min(half, 0.45 * long)
    near, far = -7.0, -21.0
    corners = [
        (middle[0] + k * half * along[0] + in_x * off, middle[1] + k * half * along[1] + in_y * off)
        for k, off in ((-1, near), (1, near), (1, far), (-1, far))
    ]
    ring = (middle[0] + in_x * (near + far) / 2, middle[1] + in_y * (near + far) / 2)
    circle = f"M{ring[0] - 4.5:.2f} {ring[1]:.2f} a4.5 4.5 0 1 0 9 0 a4.5 4.5 0 1 0 -9 0 Z"
    return [
        path(polyline(corners, closed=True), stroke=palette.accent_text, fill=palette.paper, line=1.8),
        path(circle, stroke=palette.accent_text, line=1.4),
    ]


def _front_mark(room: PlanRoom, frame: Frame, palette: Palette) -> str:
    """Mark the front side of a room that is turned, by a small triangle inside it."""
    (x1, y1), (x2, y2), (in_x, in_y) = _side_ends(room, "front", frame)
    # Off the middle, where the name stands.
    x, y = x1 + 0.2 * (x2 - x1) + in_x * 4, y1 + 0.2 * (y2 - y1) + in_y * 4
    across = (in_y, in_x)
    points = [
        (x, y),
        (x + in_x * 6 + across[0] * 4.5, y + in_y * 6 + across[1] * 4.5),
        (x + in_x * 6 - across[0] * 4.5, y + in_y * 6 - across[1] * 4.5),
    ]
    return path(polyline(points, closed=True), stroke=palette.quiet, fill=palette.quiet, line=0.8)


def _words(
    room: PlanRoom,
    found: RoomAssessment | None,
    things: Sequence[PlacedThing],
    frame: Frame,
    palette: Palette,
    key: list[str],
) -> tuple[list[str], Box]:
    """Write a room's name, size and loss into it, as much as it has room for; a name that has none gets a number and its line in ``key``; return the box round it as well."""
    wide, deep = room.width_m * frame.scale - 12, room.height_m * frame.scale - 12
    size = f"{amount(room.width_m, 1)} × {amount(room.height_m, 1)} m"
    lines = [(room.name, 12.0, 600), (size, 10.5, 400)]
    if found is not None and found.total_w is not None:
        lines.insert(1, (f"{amount(found.total_w)} W{'' if not found.so_far else ' so far'}", 11.5, 400))
        count = len([item for item in found.emitters if item.counts])
        gives = "output not known" if found.output_w is None else f"{amount(found.output_w)} W"
        words = "no emitter" if count == 0 else f"{count} emitter{'' if count == 1 else 's'}, {gives}"
        lines.append((words, 10.5, 400))
    if any(thing.kind == "cylinder" for thing in things):
        lines.append(("cylinder", 10.5, 600))
    x, y = frame.at(room.x_m + room.width_m / 2, room.y_m + room.height_m / 2)
    if text_width(room.name, 12) * 1.06 > wide:
        key.append(" · ".join(words for words, _, _ in lines))
        lines = [(str(len(key)), 12.0, 600)]
    fit = max(1, int(deep / _LINE))
    shown = [line for line in lines[:fit] if text_width(line[0], line[1]) <= wide or line is lines[0]]
    first = y - (len(shown) - 1) * _LINE / 2 + 4
    box = words_box(x, first, _LINE, [(words, points) for words, points, _ in shown])
    written = [
        text(
            x,
            first + place * _LINE,
            fitted(words, points, max(wide, 14)),
            fill=palette.ink if weight == 600 else palette.quiet,
            size=points,
            anchor="middle",
            weight=weight,
        )
        for place, (words, points, weight) in enumerate(shown)
    ]
    return written, box


def words_box(x: float, first: float, line: float, lines: Sequence[tuple[str, float]]) -> Box:
    """Return left, top, right and bottom of words in the middle of x, the first line standing at ``first``; each with the size of its letters."""
    half = max(text_width(words, points) for words, points in lines) / 2 + 1
    return x - half, first - lines[0][1] * 0.8, x + half, first + (len(lines) - 1) * line + 3


def _north(x: float, y: float, degrees: float, palette: Palette) -> list[str]:
    """Draw an arrow to the north, and the letter at its point."""
    way = (sin(radians(degrees)), -cos(radians(degrees)))
    tip, tail = (x + 11 * way[0], y + 11 * way[1]), (x - 11 * way[0], y - 11 * way[1])
    side = (-way[1], way[0])
    head = [
        tip,
        (tip[0] - 8 * way[0] + 4 * side[0], tip[1] - 8 * way[1] + 4 * side[1]),
        (tip[0] - 8 * way[0] - 4 * side[0], tip[1] - 8 * way[1] - 4 * side[1]),
    ]
    return [
        path(polyline([tail, tip]), stroke=palette.ink, line=1.6),
        path(polyline(head, closed=True), stroke=palette.ink, fill=palette.ink, line=0.8),
        text(x - 30, y + 4, "north", fill=palette.ink, size=11, anchor="middle"),
    ]


def _below(
    plan: StoreyPlan, key: Sequence[str], things: Sequence[PlacedThing], foot: float, width: float, palette: Palette
) -> tuple[list[str], float]:
    """Return what stands under the drawing: numbered rooms, and what each kind of line means; and where it ends."""
    parts = []
    for number, words in enumerate(key, 1):
        foot += 15
        parts.append(text(0, foot, fitted(f"{number}  {words}", 11.5, width), fill=palette.ink, size=11.5))
    if key:
        foot += 4
    kinds = list(dict.fromkeys(line.beyond for room in plan.rooms for line in room.lines))
    shown = [kind for kind in WALLS if kind in kinds and not (kind == "nothing" and "room" in kinds)]
    items: list[tuple[str, str]] = [(kind, WALLS[kind][3]) for kind in shown]
    if any(room.faces != "front" for room in plan.rooms):
        items.append(("front", "front side of a turned room"))
    if any(thing.kind == "emitter" and thing.side is not None for thing in things):
        items.append(("emitter", "emitter"))
    if any(thing.kind == "unit" for thing in things):
        items.append(("unit", "outdoor unit"))
    x, foot = 0.0, foot + 16
    for kind, words in items:
        wide = 32 + text_width(words, 11) * 1.1
        if x and x + wide > width:
            x, foot = 0.0, foot + 17
        parts += _sample(kind, x, foot - 4, palette)
        parts.append(text(x + 26, foot, words, fill=palette.quiet, size=11))
        x += wide + 10
    return parts, foot


def _sample(kind: str, x: float, y: float, palette: Palette) -> list[str]:
    if kind == "front":
        points = [(x + 10, y - 3), (x + 14.5, y + 3), (x + 5.5, y + 3)]
        return [path(polyline(points, closed=True), stroke=palette.quiet, fill=palette.quiet, line=0.8)]
    if kind == "unit":
        return [rect(x + 2, y - 5, 18, 10, fill=palette.paper, stroke=palette.accent_text, line=1.6)]
    if kind == "emitter":
        return [path(polyline([(x + 1, y), (x + 19, y)]), stroke=palette.accent, line=5)]
    colour, wide, dash, _ = WALLS[kind]
    return [path(polyline([(x, y), (x + 20, y)]), stroke=getattr(palette, colour), line=wide, dash=dash)]


def _said(plan: StoreyPlan, losses: Mapping[str, RoomAssessment]) -> str:
    """Return the plan in words, for those who cannot see it."""
    said = [plan.words]
    for room in plan.rooms:
        found = losses.get(room.id)
        loss = (
            ""
            if found is None or found.total_w is None
            else f", loses {amount(found.total_w)} W{' so far' if found.so_far else ''}"
        )
        windows = len([item for item in room.openings if item.element == "window"])
        more = "" if not windows else f", {windows} window{'' if windows == 1 else 's'}"
        said.append(f"{room.name} {amount(room.width_m, 1)} by {amount(room.height_m, 1)} m{loss}{more}.")
    if plan.north_deg is not None:
        said.append(f"North is {amount(plan.north_deg)} degrees clockwise from the top.")
    return " ".join(said)
