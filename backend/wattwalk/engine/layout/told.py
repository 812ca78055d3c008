"""What was said of the rooms of one storey, as far as a plan hangs on it: boxes, and what lies along each side."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import lru_cache
from math import fsum

from wattwalk.survey.box import OPENINGS, sides_of, whole
from wattwalk.survey.building import STOREYS, Room, Surface
from wattwalk.survey.document import Survey
from wattwalk.survey.shape import Part
from wattwalk.survey.sides import TURNS

from .forms import SIDES, Form, form_of, parts_of

#: Storeys from the lowest up.
ORDER = tuple(name for name, _ in STOREYS)
#: What lies beyond a wall when no room of the home does.
CLEAR = ("outside", "neighbour", "ground", "unheated")


@dataclass(frozen=True)
class Wall:
    """One wall as it was told: the side of its room, how long it is in m (None where that is not known), what is beyond, and which room."""

    id: str
    room: str
    side: int
    length_m: float | None
    beyond: str | None
    other: str | None = None
    #: From the left end of the side, seen from inside the room, m.
    from_left_m: float | None = None
    #: The same in the room beyond, seen from inside that one, m.
    beyond_from_left_m: float | None = None


@dataclass
class Place:
    """A room of the storey as it is to be laid out."""

    id: str
    name: str
    box: tuple[float, float]
    parts: tuple[Part, ...]
    #: How long each side is, m.
    sides: tuple[float, ...]
    #: The turn that somebody said.
    turn: int | None
    #: Sides that are no wall, since a slope comes down to the floor there.
    without: frozenset[int]
    walls: list[Wall] = field(default_factory=list)
    #: The room at each turn that was asked for: to look up a box with its parts takes longer than to look up a turn.
    _forms: dict[int, Form] = field(default_factory=dict)

    def form(self, turn: int) -> Form:
        """Return the room at one turn."""
        found = self._forms.get(turn)
        if found is None:
            found = self._forms[turn] = _form(self.box, self.parts, turn)
        return found

    def along(self, side: int) -> list[Wall]:
        """Return the walls told along one side."""
        return [wall for wall in self.walls if wall.side == side]

    def told_m(self, side: int) -> float:
        """Return how much of a side is told, m; a wall without a size counts as nothing."""
        return fsum(wall.length_m or 0.0 for wall in self.along(side))


@lru_cache(maxsize=1024)
def _form(box: tuple[float, float], parts: tuple[Part, ...], turn: int) -> Form:
    """Keep a room at one turn from one edit of a survey to the next."""
    return form_of(box, parts, turn)


@dataclass
class Told:
    """A storey: the rooms that can be laid out by id, and the names of those that lack a size."""

    storey: str
    places: dict[str, Place]
    unmeasured: list[Room]

    @property
    def links(self) -> list[Wall]:
        """The walls between two rooms that can both be laid out."""
        return [
            wall
            for place in self.places.values()
            for wall in place.walls
            if wall.other in self.places and wall.other != wall.room
        ]


def storey_of(room: Room) -> str:
    """Return the storey that a room is on."""
    found = room.effective("storey")
    return found if found in ORDER else "ground"


def read_storeys(survey: Survey) -> list[Told]:
    """Return what is told of each storey that has rooms, from the lowest up.

    Parameters
    ----------
    survey : Survey
        As it is stored, so that a whole wall is told from one that says its own size.
    """
    by_storey: dict[str, Told] = {}
    rooms: dict[str, tuple[Room, Place]] = {}
    for room in survey.of_kind(Room):
        told = by_storey.setdefault(storey_of(room), Told(storey_of(room), {}, []))
        place = _place(room)
        if place is None:
            told.unmeasured.append(room)
        else:
            told.places[room.id] = place
            rooms[room.id] = (room, place)
    for wall in _walls(survey.of_kind(Surface), rooms):
        rooms[wall.room][1].walls.append(wall)
    return [by_storey[name] for name in ORDER if name in by_storey]


def _place(room: Room) -> Place | None:
    length, width = room.length_m, room.width_m
    if length is None or width is None:
        return None
    values = room.values()
    has = sides_of(values)
    spans = (length, width, length, width)
    sides = tuple(whole(side, values).get("width_m") or span for side, span in zip(SIDES, spans, strict=True))
    return Place(
        room.id,
        room.name or "Room",
        (length, width),
        parts_of(values),
        sides,
        TURNS.get(room.turn or ""),
        frozenset(place for place, side in enumerate(SIDES) if side not in has),
    )


def _walls(surfaces: Iterable[Surface], rooms: dict[str, tuple[Room, Place]]) -> Iterable[Wall]:
    for item in surfaces:
        if item.element in OPENINGS or item.side not in SIDES or item.room not in rooms:
            continue
        room, place = rooms[item.room]
        side = SIDES.index(item.side)
        is_whole = item.width_m is None and item.area_m2 is None
        length = place.sides[side] if is_whole else item.width_m
        if length is None and item.area_m2 is not None and room.height_m:
            length = item.area_m2 / room.height_m
        other = item.other_room if item.other_side == "room" else None
        yield Wall(
            id=item.id,
            room=item.room,
            side=side,
            length_m=length,
            beyond=item.other_side,
            other=other,
            from_left_m=item.from_left_m,
            beyond_from_left_m=item.beyond_from_left_m,
        )
