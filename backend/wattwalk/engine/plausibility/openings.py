"""Windows and doors: whether each fits into its wall, and is as large as one of its kind."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import fsum

from wattwalk.survey.building import Surface
from wattwalk.survey.sides import area_of_one

from ..answers import Finding
from ..answers.rounding import figure
from ..fabric.envelope import AREA_TOLERANCE_M2, title_of
from .limits import DOOR_AREA, OPENING_AREA, OPENING_IN_WALL
from .said import metres, say, square_metres
from .taken import FREE, WALLS, RoomTaken, Taken


def opening_findings(taken: Taken) -> Iterator[Finding]:
    """Yield what can hardly be so of the openings, and count the windows of each room that look outside.

    Openings that are larger together than their wall are refused where losses are worked out, and said there once.
    """
    for host_id, openings in taken.openings.items():
        host = taken.hosts.get(host_id)
        room = None if host is None else taken.rooms.get(host.surface.room or "")
        if room is not None and room.is_doubtful:
            continue
        sized = [(item, area) for item in openings if (area := area_of_one(item)) is not None]
        if host is None or room is None:
            yield from (odd for item, area in sized if (odd := _size(item, area, room)) is not None)
            continue
        if len(sized) == 1 and not sized[0][0].count:
            total = sized[0][1]
        else:
            total = fsum(area * (item.count or 1) for item, area in sized)
        if total > host.area_m2 + AREA_TOLERANCE_M2:
            continue
        wall = host.surface
        looks_outside = wall.other_side in FREE
        if wall.other_side == "room":
            _keep_doors(taken, room, openings)
        for item, area in sized:
            odd = _beyond_wall(item, wall, room) or _size(item, area, room)
            if odd is not None:
                yield odd
            elif looks_outside and item.element != "door":
                room.windows_m2 += area * (item.count or 1)


def _keep_doors(taken: Taken, room: RoomTaken, openings: Sequence[Surface]) -> None:
    for item in openings:
        if item.element == "door" and item.construction is not None:
            taken.inside_doors.setdefault(item.construction, (item, room))


def _beyond_wall(opening: Surface, wall: Surface, room: RoomTaken) -> Finding | None:
    if wall.element not in WALLS or opening.area_m2 is not None or wall.area_m2 is not None:
        return None
    return _reaches(opening, "width_m", "wide", wall, room) or _reaches(opening, "height_m", "high", wall, room)


def _reaches(opening: Surface, field: str, words: str, wall: Surface, room: RoomTaken) -> Finding | None:
    """Return what there is to say of one size of an opening that is larger than that of its wall."""
    value, whole = getattr(opening, field), getattr(wall, field)
    if value is None or whole is None or value <= whole or value <= OPENING_IN_WALL.most(whole):
        return None
    return say(
        "opening_beyond_wall",
        opening.key(),
        field,
        f"{title_of(opening)} of {room.name} is {metres(value)} {words}; the wall that it sits in is {metres(whole)} {words}.",
        "Measure both again, or choose the wall that it sits in.",
        OPENING_IN_WALL,
    )


def _size(opening: Surface, area_m2: float, room: RoomTaken | None) -> Finding | None:
    limit = DOOR_AREA if opening.element == "door" else OPENING_AREA
    if limit.low < area_m2 < limit.high or limit.holds(area_m2):
        return None
    of_room = "" if room is None else f" of {room.name}"
    usual = (
        f"hardly one is larger than {square_metres(limit.high)}"
        if area_m2 > limit.high
        else f"hardly one is smaller than {figure(limit.low)} m²"
    )
    size = (
        f"{figure(opening.width_m)} × {figure(opening.height_m)} m, "
        if opening.width_m is not None and opening.height_m is not None
        else ""
    )
    return say(
        "opening_size_odd",
        opening.key(),
        "width_m" if opening.area_m2 is None else "area_m2",
        f"{title_of(opening)}{of_room} measures {size}{figure(area_m2, 3)} m²; {usual}.",
        "Measure again; sizes are in metres.",
        limit,
    )
