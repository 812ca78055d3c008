"""Storeys made from a plan and told room by room, each room faced from its own side, as a surveyor does who turns where the doors are.

A plan is rectangles on a page, y downwards.  Its rooms are told in any order: sizes from inside, what lies beyond each side piece by piece, and
each wall between two rooms from one of them.
"""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

Document = dict[str, Any]
SIDES = ("front", "right", "back", "left")
FACES = ("front", "right", "back", "left")


@dataclass(frozen=True)
class Rect:
    """A room on the page: left, top, to the right, downwards, m."""

    x: float
    y: float
    w: float
    h: float


@dataclass
class Storey:
    """The rooms of one storey by name; ``beyond`` says what lies outside of the whole by way (0 up, clockwise), outside air otherwise."""

    rooms: Mapping[str, Rect]
    beyond: Mapping[int, str] = field(default_factory=dict)
    name: str = "ground"


def pieces(storey: Storey, name: str, way: int) -> list[tuple[float, str | None]]:
    """Return what lies along one side of a room from its lower end on the page: lengths with the room beyond, None outside."""
    room = storey.rooms[name]
    begin, end = (room.x, room.x + room.w) if way in (0, 2) else (room.y, room.y + room.h)
    met = []
    for other, rect in storey.rooms.items():
        if other == name:
            continue
        line, theirs = {
            0: (room.y, rect.y + rect.h),
            1: (room.x + room.w, rect.x),
            2: (room.y + room.h, rect.y),
            3: (room.x, rect.x + rect.w),
        }[way]
        low, high = (rect.x, rect.x + rect.w) if way in (0, 2) else (rect.y, rect.y + rect.h)
        low, high = max(low, begin), min(high, end)
        if abs(line - theirs) < 0.005 and high - low > 0.02:
            met.append((low, high, other))
    found: list[tuple[float, str | None]] = []
    at = begin
    for low, high, other in sorted(met):
        if low - at > 0.02:
            found.append((low - at, None))
        found.append((high - low, other))
        at = high
    if end - at > 0.02:
        found.append((end - at, None))
    return found


def told(
    storey: Storey, seed: int, *, turns: Mapping[str, int] | None = None, wall_m: float = 0.0
) -> tuple[Document, dict[str, int]]:
    """Return the survey of a storey, its rooms in random order and faced from random sides, and the turn of each room.

    Parameters
    ----------
    storey : Storey
        The plan.
    seed : int
        What the order, the turns and the tellers are drawn by.
    turns : mapping, optional
        The turn of each room instead of a random one.
    wall_m : float
        How thick the walls are: rooms are measured between them, so that sizes along one line add up to less than the house.
    """
    chance = random.Random(seed)
    names = list(storey.rooms)
    chance.shuffle(names)
    turned = dict(turns) if turns else {name: chance.randrange(4) for name in names}
    rooms, surfaces, done = [], [], set()
    for name in names:
        rect, turn = storey.rooms[name], turned[name]
        w, h = round(rect.w - wall_m, 2), round(rect.h - wall_m, 2)
        length, width = (h, w) if turn % 2 else (w, h)
        rooms.append(
            {
                "id": name,
                "name": name.replace("-", " ").capitalize(),
                "storey": storey.name,
                "use": "living",
                "length_m": length,
                "width_m": width,
                "height_m": 2.4,
            }
        )
        for way in range(4):
            side = SIDES[(way - turn) % 4]
            along = pieces(storey, name, way)
            for number, (long, other) in enumerate(along):
                if other is not None and frozenset((name, other)) in done:
                    continue
                # Either of two rooms may tell their wall: the first to be walked, or else the other one.
                if other is not None and names.index(other) > names.index(name) and chance.random() < 0.3:
                    continue
                beyond = "room" if other else storey.beyond.get(way, "outside")
                at_end = len(along) == 1 or number in (0, len(along) - 1)
                size = (
                    {}
                    if len(along) == 1
                    else {
                        "width_m": round(long - wall_m * (0.5 if at_end else 0.0), 2) if long > 0.2 else round(long, 2)
                    }
                )
                surfaces.append(
                    {
                        "id": f"{name}-{side}-{number}",
                        "room": name,
                        "element": "partition" if other else "wall",
                        "side": side,
                        "other_side": beyond,
                        **({"other_room": other} if other else {}),
                        **size,
                    }
                )
                if other is not None:
                    done.add(frozenset((name, other)))
        surfaces += [
            {"id": f"{name}-floor", "room": name, "element": "ground_floor", "side": "floor", "other_side": "ground"},
            {"id": f"{name}-top", "room": name, "element": "ceiling", "side": "ceiling", "other_side": "unheated"},
        ]
    return {
        "format": "wattwalk-survey",
        "version": 3,
        "id": f"told-{seed}",
        "records": {"survey": [{"id": "survey"}], "room": rooms, "surface": surfaces},
    }, turned


def random_storey(seed: int, rooms: int) -> Storey:
    """Return a storey of so many rooms: a rectangle cut again and again, with a wing taken off it now and then."""
    chance = random.Random(seed)
    cut = [Rect(0.0, 0.0, round(chance.uniform(6, 12), 1), round(chance.uniform(6, 11), 1))]
    while len(cut) < rooms + 1:
        cut.sort(key=lambda rect: rect.w * rect.h)
        rect = cut.pop()
        if rect.w >= rect.h:
            at = round(rect.w * chance.uniform(0.33, 0.67), 1)
            cut += [
                Rect(rect.x, rect.y, at, rect.h),
                Rect(round(rect.x + at, 2), rect.y, round(rect.w - at, 2), rect.h),
            ]
        else:
            at = round(rect.h * chance.uniform(0.33, 0.67), 1)
            cut += [
                Rect(rect.x, rect.y, rect.w, at),
                Rect(rect.x, round(rect.y + at, 2), rect.w, round(rect.h - at, 2)),
            ]
    chance.shuffle(cut)
    names = [f"room-{number}" for number in range(len(cut))]
    whole = Storey(dict(zip(names, cut, strict=True)))
    for name in names:
        # A storey without one of its rooms is still one piece where every other room is joined.
        less = Storey({other: rect for other, rect in whole.rooms.items() if other != name})
        if _is_joined(less):
            return less
    return whole


def _is_joined(storey: Storey) -> bool:
    names = list(storey.rooms)
    seen, stack = {names[0]}, [names[0]]
    while stack:
        name = stack.pop()
        for way in range(4):
            for _, other in pieces(storey, name, way):
                if other is not None and other not in seen:
                    seen.add(other)
                    stack.append(other)
    return len(seen) == len(names)
