"""Windows and doors: whether each fits into its wall, and is as large as one of its kind."""

from __future__ import annotations

from collections.abc import Iterator

from wattwalk.survey.building import Surface

from ..answers import Finding
from ..answers.rounding import figure
from ..fabric.envelope import AREA_TOLERANCE_M2, title_of
from .limits import DOOR_AREA, OPENING_AREA, OPENING_IN_WALL
from .said import metres, say, square_metres
from .taken import FREE, WALLS, Part, RoomTaken, Taken


def opening_findings(taken: Taken) -> Iterator[Finding]:
    """Yield what can hardly be so of the openings, and count the windows of each room that look outside.

    Openings that are larger together than their wall are refused where losses are worked out, and said there once.
    """
    for host_id, openings in taken.openings.items():
        host = taken.hosts.get(host_id)
        room = None if host is None else taken.rooms.get(host.surface.room or "")
        if room is not None and room.is_doubtful:
            continue
        areas = [_area(item) for item in openings]
        if host is not None:
            total = 0.0
            for area, item in zip(areas, openings, strict=True):
                total += (area or 0.0) * (item.count or 1)
            if total > host.area_m2 + AREA_TOLERANCE_M2:
                continue
        for area, opening in zip(areas, openings, strict=True):
            if area is None:
                continue
            odd = None if host is None or room is None else _beyond_wall(opening, host, room)
            odd = odd or _size(opening, area, "" if room is None else f" of {room.name}")
            if odd is not None:
                yield odd
            elif (
                host is not None and room is not None and opening.element != "door" and host.surface.other_side in FREE
            ):
                room.windows_m2 += area * (opening.count or 1)


def _area(opening: Surface) -> float | None:
    """Return the area of one opening of so many alike, m²."""
    if opening.area_m2 is not None:
        return opening.area_m2
    if opening.width_m is None or opening.height_m is None:
        return None
    return opening.width_m * opening.height_m


def _beyond_wall(opening: Surface, host: Part, room: RoomTaken) -> Finding | None:
    wall = host.surface
    if wall.element not in WALLS or opening.area_m2 is not None or wall.area_m2 is not None:
        return None
    for field, value, whole, words in (
        ("width_m", opening.width_m, wall.width_m, "wide"),
        ("height_m", opening.height_m, wall.height_m, "high"),
    ):
        if value is not None and whole is not None and value > OPENING_IN_WALL.most(whole):
            return say(
                "opening_beyond_wall",
                opening.key(),
                field,
                f"{title_of(opening)} of {room.name} is {metres(value)} {words}; the wall that it sits in is {metres(whole)} {words}.",
                "Measure both again, or choose the wall that it sits in.",
                OPENING_IN_WALL,
            )
    return None


def _size(opening: Surface, area_m2: float, of_room: str) -> Finding | None:
    limit = DOOR_AREA if opening.element == "door" else OPENING_AREA
    if limit.holds(area_m2):
        return None
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
