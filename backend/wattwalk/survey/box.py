"""How large a side of a room is: as its room's box, until somebody says otherwise.

The phone shows the same sizes before the engine is there (``pwa/src/domain/sizes.ts``); ``tests/golden/sizes.json`` holds both to
the same answers. The tables reach it with the survey model.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from .shape import PARTS, SLOPES, Shape, shape_of

Values = Mapping[str, Any]

#: Which size of its room each size of a side follows.
FOLLOWS: dict[str, dict[str, str]] = {
    "front": {"width_m": "length_m", "height_m": "height_m"},
    "right": {"width_m": "width_m", "height_m": "height_m"},
    "back": {"width_m": "length_m", "height_m": "height_m"},
    "left": {"width_m": "width_m", "height_m": "height_m"},
    "floor": {"width_m": "width_m", "height_m": "length_m"},
    "ceiling": {"width_m": "width_m", "height_m": "length_m"},
    # There is one where the room has slopes, and then its shape says how large it is.
    "slope": {},
}
FLAT = ("floor", "ceiling")
#: A room that is no box has this field, and its flat sides follow it with that one.
ROOM_AREA, SIDE_AREA = "floor_area_m2", "area_m2"
#: What sits in a wall or roof has a size of its own, whatever side it is on.
OPENINGS = ("window", "door", "rooflight")
SIZES = ("width_m", "height_m", "area_m2")
EDGES = ("width_m", "height_m")
#: Of a room, what the sizes of its sides follow.
BOX = ("length_m", "width_m", "height_m", ROOM_AREA, PARTS, SLOPES)
#: Far less than anybody measures, in m or m².
DUST = 1e-6


def side_of(surface: Values) -> str | None:
    """Return the side of the box that a surface follows where it says no size of its own, or None when it follows none."""
    side = surface.get("side")
    return side if side in FOLLOWS and surface.get("element") not in OPENINGS else None


def whole(side: str, room: Values) -> dict[str, float | None]:
    """Return the sizes of a whole side of a room, None where the room does not say them.

    Parameters
    ----------
    side : str
        One of ``FOLLOWS``.
    room : mapping
        Values of the room as they are stored.

    Returns
    -------
    dict
        Width and height in m, or the area in m² of a side that has one instead; what is not among them is no matter of the room's, and is asked of the side.
    """
    return _whole(side, room, shape_of(room))


def _whole(side: str, room: Values, shape: Shape | None) -> dict[str, float | None]:
    if shape is not None:
        return dict(shape.sides[side])
    edges = {name: room.get(source) for name, source in FOLLOWS[side].items()}
    area = room.get(ROOM_AREA)
    if area is None:
        return edges
    if side in FLAT:
        return {SIDE_AREA: area}
    # A room given by its area may have walls as long as it was measured; where it was not, they ask for themselves.
    return {name: size for name, size in edges.items() if name != "width_m" or size is not None}


def whole_sides(room: Values) -> dict[str, dict[str, float | None]]:
    """Return the sizes of each side that a room has, as ``whole`` says them, round it and then floor, ceiling and slope.

    A slope takes the place of a wall that it comes down to the floor at, and two that meet leave no flat ceiling.
    """
    # Asked once for all of them: a shape is a good deal of arithmetic.
    shape = shape_of(room)
    sizes = {side: _whole(side, room, shape) for side in FOLLOWS if side != "slope" or room.get(SLOPES)}
    return {side: size for side, size in sizes.items() if shape is None or size.get(SIDE_AREA) != 0}


def sides_of(room: Values) -> tuple[str, ...]:
    """Return the sides that a room has, in the order of ``whole_sides``."""
    return tuple(whole_sides(room))


def area_of(size: Mapping[str, float | None]) -> float | None:
    """Return the area in m² that the sizes of a side come to, or None while they are not all known."""
    if size.get(SIDE_AREA) is not None:
        return size[SIDE_AREA]
    width, height = (size.get(name) for name in EDGES)
    return None if width is None or height is None else width * height


def followed(surface: Values, room: Values) -> dict[str, float | None]:
    """Return the sizes of a surface that follow its room now, None where the room does not say them.

    Parameters
    ----------
    surface, room : mapping
        Values of the records as they are stored; what is not known is missing or None.

    Returns
    -------
    dict
        Nothing for an opening, for a surface without a side and for one with an area of its own.
    """
    side = side_of(surface)
    if side is None or surface.get(SIDE_AREA) is not None:
        return {}
    sizes = whole(side, room)
    if SIDE_AREA in sizes and any(surface.get(name) is not None for name in EDGES):
        # A part said by its own edges. Of a floor that says one, the other is the room's as far as that was measured.
        edges = FOLLOWS[side] if side in FLAT else {}
        sizes = {name: room.get(source) for name, source in edges.items() if room.get(source) is not None}
    return {name: size for name, size in sizes.items() if surface.get(name) is None}


def size_of(surface: Values, room: Values | None) -> dict[str, float]:
    """Return the width, height and area in m and m² that a surface has, its own before its room's, as far as they are known."""
    size = {name: surface[name] for name in SIZES if surface.get(name) is not None}
    if room is not None:
        size |= {name: value for name, value in followed(surface, room).items() if value is not None}
    return size


def is_followed(name: str, surface: Values, room: Values) -> bool:
    """Say whether a size of a surface follows its room: where it is not known, the gap is the room's."""
    sizes = followed(surface, room)
    return name in sizes or (name in EDGES and SIDE_AREA in sizes)


def size_without(name: str, surface: Values, room: Values) -> float | None:
    """Return how large the room would make a size of a surface that did not say it, or None when it would not."""
    return followed({**surface, name: None}, room).get(name)


def is_same(one: Any, other: Any) -> bool:
    """Say whether two sizes are one, but for the dust of adding up; what is not known, or is no number, is never the same."""
    return type(one) in (int, float) and type(other) in (int, float) and abs(one - other) < DUST


def said_again(surface: Values, room: Values) -> tuple[str, ...]:
    """Return the sizes of a surface that say no more than its room's box: without them it is as large, and follows the box.

    A floor's or ceiling's two sizes are looked at together too, since they may be written down either way round.
    """
    found = tuple(name for name in SIZES if is_same(surface.get(name), size_without(name, surface, room)))
    side = side_of(surface)
    if side in FLAT and len(found) == len(EDGES) and SIDE_AREA in whole(side, room):
        # Each goes without saying beside the other; without both it would be the whole floor, which is no box.
        return ()
    if side in FLAT and not found and surface.get(SIDE_AREA) is None:
        turned = dict(zip(EDGES, map(whole(side, room).get, reversed(EDGES)), strict=True))
        if all(is_same(surface.get(name), value) for name, value in turned.items()):
            return EDGES
    return found
