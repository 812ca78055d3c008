"""A room as it lies on the page: its blocks and the edges of its sides, turned by quarter-turns.

The convention, once for the whole program: a room is seen from above, and the wall that one faces first, its front side, is at the top.  Left
and right are those of somebody who stands in the room and faces that wall.  A room can be turned, never mirrored.  A turn counts quarter-turns
clockwise, and the page's ways are counted like the sides: 0 up, 1 to the right, 2 down, 3 to the left.  So side ``s`` of a room with the turn
``r`` looks the way ``(s + r) % 4``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from wattwalk.survey.shape import BAY, CORNER, CORNERS, RECTANGLE, Part, shape_of

#: The sides in the order of their ways in a room that is not turned.
SIDES = ("front", "right", "back", "left")
UP, RIGHT, DOWN, LEFT = range(4)
#: Shorter than this, in m, is no edge.
DUST = 1e-6


@dataclass(frozen=True)
class Block:
    """A rectangle of a room, in m from its corner: of a part whose place along its side is not known, along that side from the part's own place."""

    x: float
    y: float
    width: float
    height: float
    #: The part of the floor that it is, or None where it is of the room's box, and whether it can be moved along x or y.
    part: int | None = None
    is_along_x: bool = False
    #: Its number among the parts of the room that can be moved.
    order: int = 0


@dataclass(frozen=True)
class Edge:
    """A straight piece of a side that looks one way: its line across that way, where it begins along it, and how long it is, in m as of a block."""

    line: float
    start: float
    length: float
    part: int | None = None
    #: The part's own place is along the edge (True) or across it.
    is_along: bool = True


@dataclass(frozen=True)
class Form:
    """A room at one turn: its size on the page, its blocks, and the edges by the way that they look."""

    width: float
    height: float
    blocks: tuple[Block, ...]
    edges: tuple[tuple[Edge, ...], ...]


@dataclass(frozen=True)
class _Straight:
    """One edge of a room that is not turned: two ends, the side that it belongs to, its part."""

    side: int
    ends: tuple[float, float, float, float]
    part: int | None = None


def turned_point(x: float, y: float, box: tuple[float, float], turn: int) -> tuple[float, float]:
    """Return where a point of a room's box comes to lie when the box is turned clockwise, from its new top left corner.

    Parameters
    ----------
    x, y : float
        The point, m from the box's front left corner.
    box : tuple
        Length and width of the box, m.
    turn : int
        Quarter-turns clockwise, 0 to 3.
    """
    length, width = box
    return ((x, y), (width - y, x), (length - x, width - y), (y, length - x))[turn]


def parts_of(room: Mapping[str, Any]) -> tuple[Part, ...]:
    """Return the parts of a room's floor as far as they can be."""
    shape = shape_of(room)
    return () if shape is None or shape.troubles else shape.parts


def form_of(box: tuple[float, float], parts: tuple[Part, ...], turn: int) -> Form:
    """Return a room at one turn.

    Parameters
    ----------
    box : tuple
        Length and width, m.
    parts : tuple of Part
        What is added to the box's floor or missing from it; bays reach outdoors and take no room's place.
    turn : int
        Quarter-turns clockwise, 0 to 3.
    """
    corners = {part.where: (part.along_m, part.depth_m) for part in parts if part.what == CORNER}
    straights = _edges_of_box(box, corners)
    rects: list[tuple[float, float, float, float, int | None, bool]] = [
        (*rect, None, False) for rect in _slices(box, corners)
    ]
    for place, part in enumerate(parts):
        if part.what == RECTANGLE:
            rect, more = _rectangle(box, part, place)
            rects.append((*rect, place, part.where in ("front", "back")))
            straights += more
    length, width = box
    blocks: list[Block] = []
    for left, top, right, bottom, owner, is_along_x in rects:
        one, other = turned_point(left, top, box, turn), turned_point(right, bottom, box, turn)
        x, y = min(one[0], other[0]), min(one[1], other[1])
        along_x = is_along_x != bool(turn % 2)
        if owner is not None:
            x, y = (0.0, y) if along_x else (x, 0.0)
        order = len([block for block in blocks if block.part is not None])
        blocks.append(Block(x, y, abs(one[0] - other[0]), abs(one[1] - other[1]), owner, along_x, order))
    edges: tuple[list[Edge], ...] = ([], [], [], [])
    for item in straights:
        way = (item.side + turn) % 4
        one, other = turned_point(*item.ends[:2], box, turn), turned_point(*item.ends[2:], box, turn)
        owner_block = next((block for block in blocks if block.part == item.part and item.part is not None), None)
        across, along = (1, 0) if way in (UP, DOWN) else (0, 1)
        line, start = one[across], min(one[along], other[along])
        is_along = True
        if owner_block is not None:
            is_along = owner_block.is_along_x == (way in (UP, DOWN))
            if is_along:
                start = 0.0
            else:
                line = 0.0 if way in (UP, LEFT) else (owner_block.height if across else owner_block.width)
        edges[way].append(Edge(line, start, abs(one[along] - other[along]), item.part, is_along))
    size = (width, length) if turn % 2 else (length, width)
    return Form(size[0], size[1], tuple(blocks), tuple(tuple(found) for found in edges))


def _edges_of_box(box: tuple[float, float], corners: Mapping[str, tuple[float, float]]) -> list[_Straight]:
    length, width = box
    cut = {name: corners.get(name, (0.0, 0.0)) for name in CORNERS}
    (fl, fld), (fr, frd), (br, brd), (bl, bld) = (cut[name] for name in CORNERS)
    found = [
        _Straight(UP, (fl, 0.0, length - fr, 0.0)),
        _Straight(RIGHT, (length, frd, length, width - brd)),
        _Straight(DOWN, (bl, width, length - br, width)),
        _Straight(LEFT, (0.0, fld, 0.0, width - bld)),
        # A corner that is missing sets back a part of each of its two sides.
        _Straight(UP, (0.0, fld, fl, fld)),
        _Straight(LEFT, (fl, 0.0, fl, fld)),
        _Straight(UP, (length - fr, frd, length, frd)),
        _Straight(RIGHT, (length - fr, 0.0, length - fr, frd)),
        _Straight(DOWN, (length - br, width - brd, length, width - brd)),
        _Straight(RIGHT, (length - br, width - brd, length - br, width)),
        _Straight(DOWN, (0.0, width - bld, bl, width - bld)),
        _Straight(LEFT, (bl, width - bld, bl, width)),
    ]
    return [item for item in found if abs(item.ends[2] - item.ends[0]) + abs(item.ends[3] - item.ends[1]) > DUST]


def _slices(
    box: tuple[float, float], corners: Mapping[str, tuple[float, float]]
) -> list[tuple[float, float, float, float]]:
    """Return the box without its missing corners as rectangles, front to back."""
    length, width = box
    cuts = sorted(
        {0.0, width} | {depth if name.startswith("front") else width - depth for name, (_, depth) in corners.items()}
    )
    found = []
    for top, bottom in pairwise(cuts):
        left, right, middle = 0.0, length, (top + bottom) / 2
        for name, (along, depth) in corners.items():
            is_here = middle < depth if name.startswith("front") else middle > width - depth
            if is_here and name.endswith("left"):
                left = max(left, along)
            elif is_here:
                right = min(right, length - along)
        if right - left > DUST and bottom - top > DUST:
            found.append((left, top, right, bottom))
    return found


def _rectangle(
    box: tuple[float, float], part: Part, place: int
) -> tuple[tuple[float, float, float, float], list[_Straight]]:
    """Return a rectangle at a side, at the beginning of it, and its three edges."""
    length, width = box
    along, deep = part.along_m, part.depth_m
    rect = {
        "front": (0.0, -deep, along, 0.0),
        "back": (0.0, width, along, width + deep),
        "left": (-deep, 0.0, 0.0, along),
        "right": (length, 0.0, length + deep, along),
    }[part.where]
    left, top, right, bottom = rect
    all_four = [
        _Straight(UP, (left, top, right, top), place),
        _Straight(RIGHT, (right, top, right, bottom), place),
        _Straight(DOWN, (left, bottom, right, bottom), place),
        _Straight(LEFT, (left, top, left, bottom), place),
    ]
    inner = (SIDES.index(part.where) + 2) % 4
    return rect, [item for item in all_four if item.side != inner]


@dataclass(frozen=True)
class _Way:
    """Along a side from its first corner, and out of the room: the frame in which its parts are drawn."""

    corner: tuple[float, float]
    along: tuple[int, int]
    out: tuple[int, int]

    def at(self, along_m: float, out_m: float) -> tuple[float, float]:
        """Return the point so far along the side and out of the room, m."""
        return (
            self.corner[0] + self.along[0] * along_m + self.out[0] * out_m,
            self.corner[1] + self.along[1] * along_m + self.out[1] * out_m,
        )


#: Round a room from its front left corner: the corner that each side ends at, the way along it and the way out.
_ROUND = (
    ("front", "front_right", (1, 0), (0, -1)),
    ("right", "back_right", (0, 1), (1, 0)),
    ("back", "back_left", (-1, 0), (0, 1)),
    ("left", "front_left", (0, -1), (-1, 0)),
)


def outline_of(
    box: tuple[float, float], parts: tuple[Part, ...], starts: Mapping[int, float]
) -> list[tuple[float, float]]:
    """Return the corners of a room that is not turned, round it, in m from the front left corner of its box.

    ``starts`` says where along its side each part begins, from the end of the side that is at the left or at the front; the others are in its middle.
    """
    cut = {part.where: part for part in parts if part.what == CORNER}
    points: list[tuple[float, float]] = []
    corner, before = (0.0, 0.0), "front_left"
    for side, end, along, out in _ROUND:
        way, is_across = _Way(corner, along, out), side in ("left", "right")
        span = box[1] if is_across else box[0]
        begins, ends = (_trim(cut.get(name), is_across) for name in (before, end))
        points.append(way.at(begins[0], 0.0))
        placed = []
        for place, part in enumerate(parts):
            if part.where == side:
                start = starts.get(place, (span - part.along_m) / 2)
                is_backwards = place in starts and side in ("back", "left")
                placed.append((span - start - part.along_m if is_backwards else start, part))
        for start, part in sorted(placed, key=lambda item: item[0]):
            outer = part.outer_m if part.what == BAY else part.along_m
            aside = (part.along_m - outer) / 2
            ways = ((0.0, 0.0), (aside, part.depth_m), (aside + outer, part.depth_m), (part.along_m, 0.0))
            points += [way.at(start + along_m, out_m) for along_m, out_m in ways]
        points.append(way.at(span - ends[0], 0.0))
        if ends[0]:
            points.append(way.at(span - ends[0], -ends[1]))
        corner, before = way.at(span, 0.0), end
    found: list[tuple[float, float]] = []
    for point in points:
        if not found or abs(point[0] - found[-1][0]) + abs(point[1] - found[-1][1]) > DUST:
            found.append(point)
    if abs(found[0][0] - found[-1][0]) + abs(found[0][1] - found[-1][1]) <= DUST:
        found.pop()
    return found


def _trim(part: Part | None, is_across: bool) -> tuple[float, float]:
    """Return how much a missing corner takes off a side, and how far it goes into the room there, m."""
    if part is None:
        return 0.0, 0.0
    return (part.depth_m, part.along_m) if is_across else (part.along_m, part.depth_m)
