"""Emitters: whether a heated floor fits its room, and a radiator its wall and its rating."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache
from math import fsum

from wattwalk.survey.building import PANEL_TYPES, Emitter
from wattwalk.survey.known import known

from ..answers import Finding
from ..answers.rounding import figure
from ..emitters.radiators import RatingError, rated_output
from ..rooms import HeatedRoom
from .limits import EMITTER_LENGTH, FRONT_OUTPUT, HEATED_FLOOR, PANEL_HEIGHT, PANEL_LENGTH, RATING
from .said import metres, say, square_metres
from .taken import RoomTaken

TABLED_TYPES = (*PANEL_TYPES, "column", "towel_rail")


def emitter_findings(heated: HeatedRoom, room: RoomTaken) -> Iterator[Finding]:
    """Yield what can hardly be so of the emitters that stay in a room or come into it."""
    floors = []
    for work in heated.counted:
        emitter = work.emitter
        if emitter.type == "underfloor":
            if emitter.heated_area_m2 is not None:
                floors.append((emitter.heated_area_m2, emitter))
            continue
        odd = _size(emitter, work.words, room)
        if odd is None and emitter.rated_output_w is not None:
            odd = _rating(emitter, emitter.rated_output_w, work.words, room.name)
        if odd is not None:
            yield odd
    floor = room.work.floor_area_m2
    if not floors or floor is None or room.is_doubtful:
        return
    total = fsum(area for area, _ in floors)
    if total > HEATED_FLOOR.most(floor):
        largest = max(floors, key=lambda item: (item[0], item[1].id))[1]
        words = "The heated floor" if len(floors) == 1 else f"The {len(floors)} heated floors"
        verb = "is" if len(floors) == 1 else "are together"
        yield say(
            "heated_floor_over_room",
            largest.key(),
            "heated_area_m2",
            f"{words} in {room.name} {verb} {square_metres(total)}; the floor of the room is {square_metres(floor)}.",
            "Measure again; what stands fixed on the floor is not heated.",
            HEATED_FLOOR,
        )


def _size(emitter: Emitter, words: str, room: RoomTaken) -> Finding | None:
    height, length = emitter.height_mm, emitter.length_mm
    longest = room.longest_m
    is_measured = length is not None and longest is not None and not room.is_doubtful
    if is_measured and known(length) / 1000 > EMITTER_LENGTH.most(known(longest)):
        return say(
            "emitter_size_odd",
            emitter.key(),
            "length_mm",
            f"{words} in {room.name} is {metres(known(length) / 1000)} long; the longest wall there is {metres(known(longest))}.",
            "Measure it again.",
            EMITTER_LENGTH,
        )
    if emitter.type not in PANEL_TYPES:
        return None
    for field, value, limit, side in (
        ("height_mm", height, PANEL_HEIGHT, "high"),
        ("length_mm", length, PANEL_LENGTH, "long"),
    ):
        if value is not None and value < limit.low:
            return say(
                "emitter_size_odd",
                emitter.key(),
                field,
                f"{words} in {room.name} is {figure(value, 0)} mm {side}; none is sold below about {figure(limit.low, 0)} mm.",
                "Measure it again; sizes are in millimetres.",
                limit,
            )
    return None


@lru_cache(maxsize=1024)
def _by_size(emitter: Emitter) -> float | None:
    """Return what the tables give for an emitter without its declared output at 50 K, W, or None where they do not tell."""
    try:
        return rated_output(replace(emitter, rated_output_w=None)).output_w
    except RatingError:
        return None


def _rating(emitter: Emitter, rated_w: float, words: str, room_name: str) -> Finding | None:
    by_size = _by_size(emitter) if emitter.type in TABLED_TYPES else None
    if by_size is not None:
        if RATING.holds(rated_w / by_size):
            return None
        usual, limit = f"one of its size gives about {figure(by_size, 0)} W", RATING
    else:
        if emitter.height_mm is None or emitter.length_mm is None:
            return None
        front = emitter.height_mm * emitter.length_mm / 1e6
        if FRONT_OUTPUT.holds(rated_w / front):
            return None
        usual = f"{figure(rated_w / front, 0)} W for each m² of its front, where {figure(FRONT_OUTPUT.low, 0)} to {figure(FRONT_OUTPUT.high, 0)} W are met"
        limit = FRONT_OUTPUT
    return say(
        "emitter_rating_odd",
        emitter.key(),
        "rated_output_w",
        f"{words} in {room_name} has a declared output of {figure(rated_w, 0)} W; {usual}.",
        "Read the label again: the output at a difference of 50 K, and the size in millimetres.",
        limit,
    )
