"""Whether a room closes: each of its sides said, and as large as the room is there.

The phone lists the same holes before the engine is there (``pwa/src/domain/sides.ts``); the golden files of gaps hold both to the
same answers. What a hole is, is decided here alone: gaps, engine, quote and report show it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from math import fsum
from typing import NamedTuple

from .box import FOLLOWS, OPENINGS, ROOM_AREA, Values, area_of, whole_sides
from .building import Room, Surface
from .document import Survey
from .shape import WALLS

#: A side as the room beyond it has it.
OPPOSITE = {
    "front": "back",
    "back": "front",
    "left": "right",
    "right": "left",
    "floor": "ceiling",
    "ceiling": "floor",
    "slope": "floor",
}
#: The walls of a room in the order of their turn, and the quarter-turns of one by where its front side looks.
ROUND = ("front", "right", "back", "left")
TURNS = {"front": 0, "right": 1, "back": 2, "left": 3}
#: What lies flat says by what it is on which side it is, where nobody said the side.
LIES = {"ground_floor": "floor", "floor": "floor", "ceiling": "ceiling", "roof": "ceiling"}
#: Less than this is the measuring, not another part: m² of a side, m of the walls of a room that is no box.
LEAST_LEFT_M2, LEAST_LEFT_M = 0.1, 0.05
#: Differences that no measure has decide nothing, in neither language.
TOLERANCE = 1e-6

SIDE_NOT_SAID, SIDE_LEFT, EDGE_NOT_SAID, WALLS_LEFT = "side_not_said", "side_left", "edge_not_said", "walls_left"
#: A surface that is there and cannot be worked out; what it lacks is a gap of its own, and only the engine knows all of them.
PART_NOT_KNOWN = "part_not_known"
#: The field that says how long the walls of a room that is no box are together.
EDGE = "perimeter_m"


@dataclass(frozen=True)
class Hole:
    """One place where a room does not close.

    ``side`` is None where it is about the walls as a whole, in a room that is no box. ``left`` is what is not said: m² of a side, m of such walls.
    """

    code: str
    side: str | None
    left: float | None = None


class Met(NamedTuple):
    """A surface as a room meets it; ``side`` is None for a wall of which nobody said where it is, ``is_own`` False for one told from the room beyond."""

    surface: Surface
    side: str | None
    is_own: bool


def side_beyond(side: str | None, turn: str | None, beyond: str | None) -> str | None:
    """Return a side as the room beyond it has it, where both rooms say which way their front sides look; else as if neither were turned.

    Parameters
    ----------
    side : str or None
        The side as it was told.
    turn, beyond : str or None
        Where the front sides of the two rooms look, as ``Room.turn`` says it.
    """
    if side not in ROUND or turn not in TURNS or beyond not in TURNS:
        return OPPOSITE.get(side or "")
    return ROUND[(ROUND.index(side) + TURNS[turn] + 2 - TURNS[beyond]) % 4]


def met_by_room(survey: Survey) -> dict[str, list[Met]]:
    """Return what each room of a survey meets, openings apart: its own surfaces, and those that were told from the room beyond."""
    met: dict[str, list[Met]] = {room.id: [] for room in survey.of_kind(Room)}
    turns = {room.id: room.turn for room in survey.of_kind(Room)}
    for surface in survey.of_kind(Surface):
        if surface.element in OPENINGS:
            continue
        side = surface.side if surface.side in FOLLOWS else LIES.get(surface.element or "")
        if surface.room in met:
            met[surface.room].append(Met(surface, side, True))
        if surface.other_side == "room" and surface.other_room in met and surface.other_room != surface.room:
            beyond = side_beyond(side, turns.get(surface.room or ""), turns[surface.other_room])
            met[surface.other_room].append(Met(surface, beyond, False))
    return met


def holes_in(room: Room, met: list[Met]) -> tuple[Hole, ...]:
    """Return where a room does not close, side by side.

    Parameters
    ----------
    room : Room
        A box, or a floor area with the length of its walls all round.
    met : list of Met
        What the room meets, each surface as large as it is (``Survey.measured``).

    Notes
    -----
    A part whose size is not known leaves no hole: it is a gap itself. A wall without a side, and one told from the room beyond whose
    place here is taken, stand for any side that is not said and no larger.
    """
    is_box, totals = (
        _sides(room.values())
        if room.floor_parts or room.slopes
        else _plain(room.length_m, room.width_m, room.height_m, room.floor_area_m2)
    )
    own: dict[str | None, list[float | None]] = {}
    told: dict[str | None, list[float | None]] = {}
    for surface, side, is_own in met:
        (own if is_own else told).setdefault(side, []).append(area_of_one(surface))
    loose = own.pop(None, []) + told.pop(None, [])
    still_open: list[tuple[str, float | None, bool]] = []
    for side, total in totals.items():
        parts, others = own.get(side, []), told.get(side, [])
        if others:
            if parts and side in WALLS and is_box and not _is_left(_left(total, parts)):
                loose += others
            else:
                parts = parts + others
        left = _left(total, parts)
        if not parts or _is_left(left):
            still_open.append((side, left, bool(parts)))
    if is_box and not still_open:
        return ()
    spare = fsum(area for area in loose if area is not None)
    found = []
    for side, left, is_part in still_open:
        if left is not None and side in WALLS and spare > left - LEAST_LEFT_M2 + TOLERANCE:
            spare -= left
            continue
        found.append(Hole(SIDE_LEFT if is_part else SIDE_NOT_SAID, side, left if is_part else None))
    return tuple(found) if is_box else (*_walls_left(room, met), *found)


def _walls_left(room: Room, met: list[Met]) -> tuple[Hole, ...]:
    """Return what is not said of the walls of a room that is no box: they are as long together as the room is all round."""
    if room.perimeter_m is None:
        return (Hole(EDGE_NOT_SAID, None),)
    lengths = [_length(item.surface, room) for item in met if item.side is None or item.side in WALLS]
    told = [length for length in lengths if length is not None]
    left = room.perimeter_m - fsum(told)
    return (Hole(WALLS_LEFT, None, left),) if len(told) == len(lengths) and left > LEAST_LEFT_M - TOLERANCE else ()


@lru_cache(maxsize=512)
def _plain(
    length_m: float | None, width_m: float | None, height_m: float | None, floor_area_m2: float | None
) -> tuple[bool, Mapping[str, float | None]]:
    """Return the sides of a room without parts and slopes, as ``_sides`` does; most rooms are as they were at the look before."""
    return _sides({"length_m": length_m, "width_m": width_m, "height_m": height_m, ROOM_AREA: floor_area_m2})


def _sides(room: Values) -> tuple[bool, Mapping[str, float | None]]:
    """Return whether a room's walls follow a box, and how large each side that is there is in m², None where that is not known; of one that is no box all but its walls."""
    sizes = whole_sides(room)
    is_box = room.get(ROOM_AREA) is None or all("width_m" in sizes[side] for side in WALLS)
    return is_box, {side: area_of(size) for side, size in sizes.items() if is_box or side not in WALLS}


def _left(total: float | None, areas: list[float | None]) -> float | None:
    """Return what parts leave of a side in m², or None where it cannot be known."""
    if total is None:
        return None
    known = [area for area in areas if area is not None]
    return total - fsum(known) if len(known) == len(areas) else None


def _is_left(left: float | None) -> bool:
    return left is not None and left > LEAST_LEFT_M2 - TOLERANCE


def area_of_one(surface: Surface) -> float | None:
    """Return the area of a surface in m², of several openings alike that of one, or None while it is not known."""
    if surface.area_m2 is not None:
        return surface.area_m2
    if surface.width_m is None or surface.height_m is None:
        return None
    return surface.width_m * surface.height_m


def _length(surface: Surface, room: Room) -> float | None:
    """Return how long a wall is in m: its width, or what its area makes of the room's height."""
    if surface.width_m is not None:
        return surface.width_m
    return None if surface.area_m2 is None or not room.height_m else surface.area_m2 / room.height_m
