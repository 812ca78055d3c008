"""The shape of a room that is no plain box: parts added to its floor or missing from it, and ceilings that slope.

The box is always said first, by the longest length and width and the full height; this is what differs from it.  The phone has a twin
(``pwa/src/domain/shape.ts``); ``tests/golden/shapes.json`` holds both to the same answers.

Notes
-----
A part of the floor lies at a side (another rectangle, a bay) or is a corner that is missing. The walls of a rectangle face left and right,
or front and back, and lengthen those sides; the walls of a bay all belong to the side that it is on; a missing corner moves walls and leaves
every side as long as it was.

A slope falls over the ``run`` from the full height to the low wall under it.  With the drop ``d`` at the wall, the volume under it lacks the
prism ``½ × run × d × span``.  Where two slopes meet at a corner both prisms count what lies in both, the least of two planes over
``run₁ × run₂``: ``run₁ × run₂ × (m/2 − m²/6M)``, with the smaller drop ``m`` and the larger ``M``; of equal drops that is the pyramid, a third.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import sqrt
from typing import Any

Values = Mapping[str, Any]
Sizes = dict[str, float | None]

PARTS, SLOPES, VOLUME, AREA = "floor_parts", "slopes", "volume_m3", "floor_area_m2"
#: Of each wall, the size of the room along it and the one that goes away from it.
WALLS = {
    "front": ("length_m", "width_m"),
    "right": ("width_m", "length_m"),
    "back": ("length_m", "width_m"),
    "left": ("width_m", "length_m"),
}
#: The walls that each wall meets at its two ends.
BESIDE = {"front": ("left", "right"), "right": ("front", "back"), "back": ("left", "right"), "left": ("front", "back")}
CORNERS = ("front_left", "front_right", "back_right", "back_left")
RECTANGLE, BAY, CORNER = "rectangle", "bay", "corner"
#: What the sizes do not settle: the room's own figures are asked for instead of being worked out.
OPEN_TROUBLES = ("slopes_and_parts", "slopes_and_area")
#: Less than this, in m, is no rest of a length.
DUST = 1e-6


@dataclass(frozen=True)
class Part:
    """A part of the floor, lengths in m: ``outer_m`` is the front of a bay."""

    what: str
    where: str
    along_m: float
    depth_m: float
    outer_m: float

    @property
    def area_m2(self) -> float:
        """Area that the part adds to the box's floor, m²; a missing corner takes it away."""
        if self.what == CORNER:
            return -(self.along_m * self.depth_m)
        return (self.along_m + self.outer_m) / 2 * self.depth_m

    @property
    def cheek_m(self) -> float:
        """Length of each of the two walls of a bay between the room and its front, m."""
        aside = (self.along_m - self.outer_m) / 2
        return sqrt(self.depth_m * self.depth_m + aside * aside)


@dataclass(frozen=True)
class Slope:
    """A slope over one wall, lengths in m: the wall's length, the drop from the full height, how far it reaches into the room, its length upwards, its area in m²."""

    side: str
    span_m: float
    low_m: float
    drop_m: float
    run_m: float
    length_m: float
    area_m2: float


@dataclass(frozen=True)
class Shape:
    """A room's figures: floor in m², volume in m³, the sizes of each whole side, and why something is not known."""

    floor_m2: float | None
    volume_m3: float | None
    sides: Mapping[str, Sizes]
    troubles: tuple[str, ...] = ()
    parts: tuple[Part, ...] = ()
    slopes: tuple[Slope, ...] = ()
    corners_m3: float = 0.0
    meetings: tuple[tuple[Slope, Slope], ...] = field(default=())


def shape_of(room: Values) -> Shape | None:
    """Return the shape of a room with parts or slopes, or None where the room is a plain box or given by its area alone.

    Parameters
    ----------
    room : mapping
        Values of the room as they are stored; what is not known is missing or None.
    """
    parts, slopes = room.get(PARTS) or (), room.get(SLOPES) or ()
    if not parts and not slopes:
        return None
    if not slopes:
        return _with_parts(room, parts)
    if parts or room.get(AREA) is not None:
        return _not_settled(room, parts)
    return _with_slopes(room, slopes)


def _with_parts(room: Values, rows: Any) -> Shape:
    parts, troubles = _read_parts(room, rows)
    length, width, height = room.get("length_m"), room.get("width_m"), room.get("height_m")
    own = room.get(AREA)
    area = own
    if own is None and length is not None and width is not None and not troubles:
        area = length * width
        for part in parts:
            area += part.area_m2
    sides: dict[str, Sizes] = {}
    for side, (along, _) in WALLS.items():
        span = room.get(along)
        if span is not None:
            for part in parts:
                if part.what == RECTANGLE and part.where in BESIDE[side]:
                    span += part.depth_m
                elif part.what == BAY and part.where == side:
                    span += part.outer_m - part.along_m + 2 * part.cheek_m
        sides[side] = {"width_m": None if troubles else span, "height_m": height}
        if own is not None and room.get(along) is None:
            del sides[side]["width_m"]
    sides |= {"floor": {"area_m2": area}, "ceiling": {"area_m2": area}, "slope": {}}
    volume = area * height if area is not None and height is not None else None
    return Shape(area, volume, sides, troubles, parts)


def _read_parts(room: Values, rows: Any) -> tuple[tuple[Part, ...], tuple[str, ...]]:
    parts: list[Part] = []
    troubles: list[str] = []
    for row in rows:
        what, where = row.get("what"), row.get("where")
        along, depth, outer = row.get("along_m"), row.get("depth_m"), row.get("outer_m")
        if along is None or depth is None:
            troubles.append("part_size")
            continue
        if where not in (CORNERS if what == CORNER else WALLS):
            troubles.append("part_where")
            continue
        part = Part(what, where, along, depth, outer if what == BAY and outer is not None else along)
        if what == CORNER:
            length, width = room.get("length_m"), room.get("width_m")
            if (length is not None and along >= length) or (width is not None and depth >= width):
                troubles.append("corner_too_large")
        else:
            span = room.get(WALLS[where][0])
            if span is not None and along > span + DUST:
                troubles.append("part_too_wide")
        parts.append(part)
    if not troubles and _corners_overlap(room, [part for part in parts if part.what == CORNER]):
        troubles.append("corners_overlap")
    return tuple(parts), tuple(dict.fromkeys(troubles))


def _corners_overlap(room: Values, corners: list[Part]) -> bool:
    length, width = room.get("length_m"), room.get("width_m")
    for place, one in enumerate(corners):
        for other in corners[place + 1 :]:
            (back_or_front, left_or_right), (theirs, sideways) = one.where.split("_"), other.where.split("_")
            apart_along = left_or_right != sideways and (length is None or one.along_m + other.along_m <= length + DUST)
            apart_deep = back_or_front != theirs and (width is None or one.depth_m + other.depth_m <= width + DUST)
            if not apart_along and not apart_deep:
                return True
    return False


def _not_settled(room: Values, rows: Any) -> Shape:
    """Return the shape of a room with slopes whose floor is no plain rectangle: its walls and ceilings are asked for one by one."""
    flat = _with_parts(room, rows)
    trouble = "slopes_and_parts" if rows else "slopes_and_area"
    sides: dict[str, Sizes] = {side: {} for side in (*WALLS, "ceiling", "slope")}
    sides["floor"] = flat.sides["floor"]
    return Shape(flat.floor_m2, None, sides, (*flat.troubles, trouble), flat.parts)


def _with_slopes(room: Values, rows: Any) -> Shape:
    length, width, height = room.get("length_m"), room.get("width_m"), room.get("height_m")
    floor: Sizes = {"width_m": width, "height_m": length}
    if length is None or width is None or height is None:
        # What is missing is the room's own gap.
        return Shape(None if length is None or width is None else length * width, None, _unknown(floor))
    raw, troubles = _read_slopes(room, rows, height)
    runs = {slope.side: slope.run_m for slope in raw}
    rest_length = length - runs.get("left", 0.0) - runs.get("right", 0.0)
    rest_width = width - runs.get("front", 0.0) - runs.get("back", 0.0)
    if not troubles and (rest_length < -DUST or rest_width < -DUST):
        troubles = ("slopes_too_far",)
    if troubles:
        return Shape(length * width, None, _unknown(floor), troubles)
    by_side = {slope.side: slope for slope in raw}
    meetings = tuple(
        (by_side[one], by_side[other])
        for one in ("front", "back")
        for other in ("left", "right")
        if one in by_side and other in by_side
    )
    slopes = tuple(_with_area(slope, meetings) for slope in raw)
    corners = 0.0
    for one, other in meetings:
        small, large = min(one.drop_m, other.drop_m), max(one.drop_m, other.drop_m)
        if large > 0:
            corners += one.run_m * other.run_m * (small / 2 - small * small / (6 * large))
    volume = length * width * height
    for slope in slopes:
        volume -= slope.run_m * slope.drop_m / 2 * slope.span_m
    volume += corners
    sides = {side: _wall_under(room, side, by_side, height) for side in WALLS}
    sides["floor"] = floor
    is_flat_left = rest_length > DUST and rest_width > DUST
    sides["ceiling"] = {"width_m": rest_width, "height_m": rest_length} if is_flat_left else {"area_m2": 0.0}
    if len(slopes) == 1:
        sides["slope"] = {"width_m": slopes[0].span_m, "height_m": slopes[0].length_m}
    else:
        area = 0.0
        for slope in slopes:
            area += slope.area_m2
        sides["slope"] = {"area_m2": area}
    return Shape(length * width, volume, sides, (), (), slopes, corners, meetings)


def _unknown(floor: Sizes) -> dict[str, Sizes]:
    return {
        **{side: {"width_m": None, "height_m": None} for side in WALLS},
        "floor": floor,
        "ceiling": {"width_m": None, "height_m": None},
        "slope": {"area_m2": None},
    }


def _read_slopes(room: Values, rows: Any, height: float) -> tuple[tuple[Slope, ...], tuple[str, ...]]:
    slopes: list[Slope] = []
    troubles: list[str] = []
    for row in rows:
        side, low, run, length = row.get("side"), row.get("low_m"), row.get("run_m"), row.get("slope_m")
        if side not in WALLS or low is None or (run is None and length is None):
            troubles.append("slope_part_missing")
            continue
        if side in [slope.side for slope in slopes]:
            troubles.append("slope_twice")
            continue
        drop = height - low
        if drop < -DUST:
            troubles.append("low_too_high")
            continue
        drop = max(drop, 0.0)
        if run is None:
            if length * length - drop * drop <= DUST:
                troubles.append("slope_too_short")
                continue
            run = sqrt(length * length - drop * drop)
        slopes.append(Slope(side, room[WALLS[side][0]], low, drop, run, sqrt(run * run + drop * drop), 0.0))
    return tuple(slopes), tuple(dict.fromkeys(troubles))


def _with_area(slope: Slope, meetings: tuple[tuple[Slope, Slope], ...]) -> Slope:
    """Return the slope with its area: of a corner that two slopes share, each has what lies lower in it."""
    plan = slope.span_m * slope.run_m
    for one, other in meetings:
        if slope not in (one, other):
            continue
        across = other if slope == one else one
        if slope.drop_m <= across.drop_m:
            share = slope.drop_m / across.drop_m / 2 if across.drop_m > 0 else 0.5
        else:
            share = 1 - across.drop_m / slope.drop_m / 2
        plan -= slope.run_m * across.run_m * (1 - share)
    area = plan * slope.length_m / slope.run_m
    return Slope(slope.side, slope.span_m, slope.low_m, slope.drop_m, slope.run_m, slope.length_m, area)


def cut_off(drop: float, across: Slope) -> float:
    """Return the area in m² of the corner that the slope across its end takes off a wall with this drop, m."""
    over = across.drop_m - drop
    return over * over * across.run_m / across.drop_m / 2 if over > DUST else 0.0


def _wall_under(room: Values, side: str, slopes: Mapping[str, Slope], height: float) -> Sizes:
    span = room[WALLS[side][0]]
    own = slopes.get(side)
    drop = own.drop_m if own else 0.0
    low = own.low_m if own else height
    cut = 0.0
    for beside in BESIDE[side]:
        if beside in slopes:
            cut += cut_off(drop, slopes[beside])
    if low <= DUST:
        return {"area_m2": 0.0}
    if cut > 0:
        return {"area_m2": span * low - cut}
    return {"width_m": span, "height_m": low}
