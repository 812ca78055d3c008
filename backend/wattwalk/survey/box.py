"""How large a side of a room is: as its room's box, until somebody says otherwise.

The phone shows the same sizes before the engine is there (``pwa/src/domain/sizes.ts``); ``tests/golden/sizes.json`` holds both to
the same answers. The tables reach it with the survey model.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

Values = Mapping[str, Any]

#: Which size of its room each size of a side follows.
FOLLOWS: dict[str, dict[str, str]] = {
    "front": {"width_m": "length_m", "height_m": "height_m"},
    "right": {"width_m": "width_m", "height_m": "height_m"},
    "back": {"width_m": "length_m", "height_m": "height_m"},
    "left": {"width_m": "width_m", "height_m": "height_m"},
    "floor": {"width_m": "width_m", "height_m": "length_m"},
    "ceiling": {"width_m": "width_m", "height_m": "length_m"},
}
FLAT = ("floor", "ceiling")
#: A room that is no box has this field, and its flat sides follow it with that one.
ROOM_AREA, SIDE_AREA = "floor_area_m2", "area_m2"
#: What sits in a wall or roof has a size of its own, whatever side it is on.
OPENINGS = ("window", "door", "rooflight")
SIZES = ("width_m", "height_m", "area_m2")
EDGES = ("width_m", "height_m")
#: Of a room, what the sizes of its sides follow.
BOX = ("length_m", "width_m", "height_m", ROOM_AREA)


def side_of(surface: Values) -> str | None:
    """Return the side of the box that a surface follows where it says no size of its own, or None when it follows none."""
    side = surface.get("side")
    return side if side in FOLLOWS and surface.get("element") not in OPENINGS else None


def _sources(surface: Values, room: Values) -> dict[str, str]:
    """Return, for each size of a surface that may follow its room, the field of the room that it follows."""
    side = side_of(surface)
    if side is None:
        return {}
    if room.get(ROOM_AREA) is None:
        return FOLLOWS[side]
    if side in FLAT:
        return {SIDE_AREA: ROOM_AREA}
    # The walls of a room that is no box have no known length.
    return {"height_m": FOLLOWS[side]["height_m"]}


def followed(surface: Values, room: Values) -> dict[str, str]:
    """Return which sizes of a surface follow its room now, each with the field of the room that it follows.

    Parameters
    ----------
    surface, room : mapping
        Values of the records as they are stored; what is not known is missing or None.

    Returns
    -------
    dict
        Nothing for an opening, for a surface without a side and for one with an area of its own.
    """
    sources = _sources(surface, room)
    if surface.get(SIDE_AREA) is not None:
        return {}
    if SIDE_AREA in sources and any(surface.get(name) is not None for name in EDGES):
        # A part of a floor, said by its own edges.
        return {}
    return {name: source for name, source in sources.items() if surface.get(name) is None}


def size_of(surface: Values, room: Values | None) -> dict[str, float]:
    """Return the width, height and area in m and m² that a surface has, its own before its room's, as far as they are known."""
    size = {name: surface[name] for name in SIZES if surface.get(name) is not None}
    if room is not None:
        size |= {name: room[source] for name, source in followed(surface, room).items() if room.get(source) is not None}
    return size


def source_of(name: str, surface: Values, room: Values) -> str | None:
    """Return the field of the room that a size of a surface would follow if the surface did not say it, or None when it would follow none."""
    return followed({**surface, name: None}, room).get(name)


def said_again(surface: Values, room: Values) -> tuple[str, ...]:
    """Return the sizes of a surface that say no more than its room's box: without them it is as large, and follows the box.

    A floor's or ceiling's two sizes are looked at together too, since they may be written down either way round.
    """
    found = tuple(
        name
        for name in SIZES
        if surface.get(name) is not None
        and (source := source_of(name, surface, room)) is not None
        and room.get(source) == surface[name]
    )
    if side_of(surface) in FLAT and not found and surface.get(SIDE_AREA) is None and room.get(ROOM_AREA) is None:
        turned = {"width_m": room.get("length_m"), "height_m": room.get("width_m")}
        if None not in turned.values() and all(surface.get(name) == value for name, value in turned.items()):
            return EDGES
    return found
