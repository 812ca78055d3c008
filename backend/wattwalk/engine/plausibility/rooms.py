"""One room: whether its sizes, walls, floors, air and warmth can be of one room."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from math import fsum

from wattwalk.catalogue import CatalogueError, table
from wattwalk.survey.box import area_of, whole
from wattwalk.survey.building import Surface
from wattwalk.survey.known import known

from ..air.ventilation import usual_air_changes, with_open_chimney
from ..answers import Finding
from ..answers.citing import COMMON_PRACTICE
from ..answers.rounding import figure
from ..fabric.envelope import title_of
from ..fabric.room_loss import TEMPERATURES
from ..rooms.heated import by_age
from .limits import (
    AIR_CHANGES,
    CEILINGS,
    FLOORS,
    LOFT_HEIGHT,
    OVER_SIDE,
    ROOM_AREA,
    ROOM_HEIGHT,
    ROOM_LOSS,
    ROOM_SIDE,
    ROUND_OF_AREA,
    SAME_SIZE,
    TEMPERATURE,
    TWIN_TOO_MUCH,
    WALL_HEIGHT,
    WALLS,
)
from .said import metres, say, square_metres
from .taken import Part, RoomTaken, Taken

MEASURE_AGAIN = "Measure again: look where the point stands."
#: The usual air changes of a house before 2000, the highest of the table; of a room that has no use yet, 1/h.
OLD_HOUSE, WITHOUT_USE_H = 1999, 3.0


def size_findings(room: RoomTaken) -> list[Finding]:
    """Return what can hardly be so of a room's own sizes, and mark the room where there is anything."""
    found = [*_sizes(room), *_area(room)]
    room.is_doubtful = bool(found)
    return found


def room_findings(room: RoomTaken, temperatures: str) -> Iterator[Finding]:
    """Yield what can hardly be so in one room once its surfaces are taken; its sums are left alone where its own sizes are doubtful."""
    if not room.is_doubtful:
        found = [*_twice(room), *_walls(room), *_flat(room)]
        room.is_doubtful = bool(found)
        yield from found
    yield from _warmth(room, temperatures)
    yield from _air(room)
    total, floor = room.work.total_w, room.work.floor_area_m2
    if not room.is_doubtful and total is not None and floor and total > ROOM_LOSS.high * floor:
        room.is_doubtful = True
        yield say(
            "loss_odd",
            room.key,
            None,
            f"{room.name} loses {figure(total, 0)} W, {figure(total / floor, 0)} W for each m²; hardly a room loses more than {figure(ROOM_LOSS.high, 0)}.",
            "Look at its largest losses: a size, a U-value or its air is likely wrong.",
            ROOM_LOSS,
        )


def twin_findings(taken: Taken) -> Iterator[Finding]:
    """Yield the walls and floors between two rooms that are written down from both."""
    for here, there, last, first in taken.twins:
        room, other, part, told = here, there, last, first
        if by_age(first.surface.id) > by_age(last.surface.id):
            # The one that was written down later is asked for, however the records lie.
            room, other, part, told = there, here, first, last
        yield say(
            "partition_twice",
            part.surface.key(),
            "other_room",
            f"The wall or floor between {room.name} and {other.name} seems to be written down from both: {square_metres(told.area_m2)} from {other.name}, {square_metres(part.area_m2)} from {room.name}.",
            "Keep one of the two: one record counts in both rooms.",
            COMMON_PRACTICE,
        )


def _sizes(room: RoomTaken) -> Iterator[Finding]:
    record = room.room
    for field, value, words in (("length_m", record.length_m, "long"), ("width_m", record.width_m, "wide")):
        if value is not None and not ROOM_SIDE.holds(value):
            usual = (
                f"longer than {metres(ROOM_SIDE.high)}"
                if value > ROOM_SIDE.high
                else f"narrower than {metres(ROOM_SIDE.low)}"
            )
            yield say(
                "room_size_odd",
                room.key,
                field,
                f"{room.name} is {metres(value)} {words}; hardly a room is {usual}.",
                MEASURE_AGAIN,
                ROOM_SIDE,
                about=field,
            )
    limit = LOFT_HEIGHT if room.storey == "loft" else ROOM_HEIGHT
    if record.height_m is not None and not limit.holds(record.height_m):
        usual = (
            f"higher than {metres(limit.high)}" if record.height_m > limit.high else f"lower than {metres(limit.low)}"
        )
        yield say(
            "room_height_odd",
            room.key,
            "height_m",
            f"{room.name} is {metres(record.height_m)} high; hardly a room is {usual}.",
            MEASURE_AGAIN,
            limit,
        )


def _area(room: RoomTaken) -> Iterator[Finding]:
    record = room.room
    area, length, width = record.floor_area_m2, record.length_m, record.width_m
    if area is None:
        return
    if record.perimeter_m is not None and record.perimeter_m > WALLS.most(4 * area**0.5 * ROUND_OF_AREA.high):
        yield say(
            "room_area_odd",
            room.key,
            "perimeter_m",
            f"The walls of {room.name} are {metres(record.perimeter_m)} long all round; {_round_words(area)}.",
            MEASURE_AGAIN,
            ROUND_OF_AREA,
            about="perimeter_m",
        )
    if length is None or width is None:
        return
    box = length * width
    if not ROOM_AREA.low * box <= area <= ROOM_AREA.most(box):
        yield say(
            "room_area_odd",
            room.key,
            "floor_area_m2",
            f"The floor area of {room.name} is {square_metres(area)}; {figure(length)} × {figure(width)} m is {square_metres(box)}.",
            "Measure again, or correct the one that is wrong.",
            ROOM_AREA,
            about="floor_area_m2",
        )


def _round_words(area_m2: float) -> str:
    return f"a room of {square_metres(area_m2)} has about {figure(4 * area_m2**0.5, 0)} m round it"


def _box_words(room: RoomTaken) -> str:
    record = room.room
    if record.perimeter_m:
        return f"the room has {metres(record.perimeter_m)} round it"
    if record.length_m is not None and record.width_m is not None:
        size = (
            f"{figure(record.length_m)} × {figure(record.width_m)} m{' with its parts' if record.floor_parts else ''}"
        )
        return f"a room of {size} has {metres(known(room.round_m))} round it"
    return _round_words(known(room.work.floor_area_m2))


def _walls(room: RoomTaken) -> Iterator[Finding]:
    height, longest, longest_wall = room.room.height_m, room.longest_m, room.longest_wall_m
    highest_wall = WALL_HEIGHT.high if height is None else WALL_HEIGHT.most(height)
    is_found = False
    for parts in room.parts.values():
        for part in parts:
            surface, length = part.surface, part.length_m
            if length is None:
                continue
            if length > longest_wall:
                is_found = True
                yield say(
                    "walls_too_long",
                    surface.key(),
                    "width_m" if surface.area_m2 is None else "area_m2",
                    f"{title_of(surface)} of {room.name} is {metres(length)} long; the longest side of the room is {metres(known(longest))}.",
                    "Measure again, or correct length and width of the room.",
                    WALLS,
                )
            elif height is not None and surface.height_m is not None and surface.height_m > highest_wall:
                yield say(
                    "wall_higher_than_room",
                    surface.key(),
                    "height_m",
                    f"{title_of(surface)} of {room.name} is {metres(surface.height_m)} high; the room is {metres(height)} high.",
                    MEASURE_AGAIN,
                    WALL_HEIGHT,
                )
    if not is_found and room.round_m is not None and room.walls_m > WALLS.most(room.round_m):
        yield say(
            "walls_too_long",
            room.key,
            "length_m" if room.longest_m is not None else "floor_area_m2",
            f"Walls of {room.name} add up to {metres(room.walls_m)}; {_box_words(room)}.",
            "Measure again or take one away.",
            WALLS,
        )


def _flat(room: RoomTaken) -> Iterator[Finding]:
    floor = room.work.floor_area_m2
    if floor is None:
        return
    remedy = "Measure again or take one away."
    if room.below_m2 > FLOORS.most(floor):
        words = (
            f"Floors of {room.name} add up to {square_metres(room.below_m2)}; the room is {square_metres(floor)} large."
        )
        yield say("floor_larger_than_room", room.key, None, words, remedy, FLOORS)
    if room.above_m2 > CEILINGS.most(floor):
        words = f"Ceilings and roofs of {room.name} add up to {square_metres(room.above_m2)}; the room is {square_metres(floor)} large."
        yield say("ceiling_larger_than_room", room.key, None, words, remedy, CEILINGS)


def _same(one: Surface, other: Surface) -> bool:
    return (one.element, one.construction, one.other_side, one.other_room) == (
        other.element,
        other.construction,
        other.other_side,
        other.other_room,
    )


def _twice(room: RoomTaken) -> Iterator[Finding]:
    """Yield the parts of one side that are alike, of one size, and too much together for that side; each is then counted once."""
    for side, parts in room.parts.items():
        if side is None or len(parts) < 2:
            continue
        side_m2 = area_of(whole(side, room.room.values()))
        total = fsum(part.area_m2 for part in parts)
        if side_m2 is None or total <= OVER_SIDE.most(side_m2):
            continue
        for one, other in combinations(sorted(parts, key=lambda part: by_age(part.surface.id)), 2):
            is_alike = abs(one.area_m2 - other.area_m2) <= SAME_SIZE.share * one.area_m2
            if not is_alike or not _same(one.surface, other.surface):
                continue
            if not TWIN_TOO_MUCH.holds((total - side_m2) / one.area_m2):
                continue
            label = other.surface.kind.field("side").choice_label(side).lower()
            yield say(
                "wall_twice",
                other.surface.key(),
                "side",
                f"{title_of(other.surface)} of {room.name} seems to be written down twice, each {square_metres(other.area_m2)}; the {label} has {square_metres(side_m2)}, its parts add up to {square_metres(total)}.",
                "Take one of the two away, or measure both again.",
                OVER_SIDE,
            )
            _count_once(room, other)
            return


def _count_once(room: RoomTaken, part: Part) -> None:
    """Take a wall or floor that is there twice out of the room's sums, so that one slip is said once."""
    if part.length_m is not None:
        room.walls_m -= part.length_m
    elif part.surface.side == "floor":
        room.below_m2 -= part.area_m2
    else:
        room.above_m2 -= part.area_m2


def _warmth(room: RoomTaken, temperatures: str) -> Iterator[Finding]:
    inside = room.room.inside_temperature_c
    if inside is None or TEMPERATURE.holds(inside):
        return
    use, usual = room.room.use, ""
    if use is not None:
        row = table(TEMPERATURES[temperatures]).get(use=use)
        usual = f"; usual for {room.room.kind.field('use').choice_label(use).lower()} is {figure(row.number('temperature_c'), 1)} °C"
    yield say(
        "room_temperature_odd",
        room.key,
        "inside_temperature_c",
        f"{room.name} is to be kept at {figure(inside, 1)} °C{usual}.",
        "Ask the household, or leave it empty for the usual one.",
        TEMPERATURE,
    )


def _air(room: RoomTaken) -> Iterator[Finding]:
    record, rate = room.room, room.room.air_changes_h
    if rate is None:
        return
    usual, words = WITHOUT_USE_H, "any room"
    if record.use is not None:
        words = record.kind.field("use").choice_label(record.use).lower()
        try:
            usual = usual_air_changes(record.use, OLD_HOUSE).number("air_changes_h")
        except CatalogueError:
            return
    if record.open_chimney and room.work.volume_m3:
        usual, words = with_open_chimney(usual, room.work.volume_m3)[0], "a room with an open chimney"
    if 0 < rate < AIR_CHANGES.low or rate > AIR_CHANGES.most(usual):
        yield say(
            "air_changes_odd",
            room.key,
            "air_changes_h",
            f"{room.name} has {figure(rate)} air changes an hour written down; usual for {words} in a draughty house are {figure(usual)}.",
            "Look where the point stands, or leave it empty for the usual rate.",
            AIR_CHANGES,
        )
