"""What the surfaces of a survey add up to in each room, taken in one pass: every check of sizes asks this."""

from __future__ import annotations

from collections.abc import Sequence
from math import fsum

from wattwalk.survey.box import OPENINGS
from wattwalk.survey.building import Surface
from wattwalk.survey.document import Survey
from wattwalk.survey.shape import WALLS as UPRIGHT
from wattwalk.survey.sides import area_of_one

from ..fabric.room_loss import RoomWork
from .limits import ROUND_OF_AREA, SAME_PARTITION
from .limits import WALLS as WALLS_LIMIT

WALLS = ("wall", "partition")
BELOW, ABOVE = ("ground_floor", "floor"), ("ceiling", "roof")
FREE = ("outside", "unheated")


class Part:
    """A wall, floor, ceiling or roof as large as it is; ``length_m`` of a wall along its room, None of what lies flat."""

    __slots__ = ("area_m2", "length_m", "surface")

    def __init__(self, surface: Surface, area_m2: float, length_m: float | None):
        self.surface, self.area_m2, self.length_m = surface, area_m2, length_m


class RoomTaken:
    """A room with what its surfaces add up to; lengths in m, areas in m². ``round_m`` is the way round it as its size says, None while not known."""

    __slots__ = (
        "above_m2",
        "below_m2",
        "free_m",
        "height_m",
        "is_doubtful",
        "longest_m",
        "longest_wall_m",
        "open_above_m2",
        "open_below_m2",
        "own",
        "parts",
        "room",
        "round_m",
        "storey",
        "walls_m",
        "windows_m2",
        "work",
    )

    def __init__(self, work: RoomWork):
        room = work.room
        self.work, self.room, self.storey, self.height_m = work, room, room.storey or "ground", room.height_m
        length, width, area = room.length_m, room.width_m, work.floor_area_m2
        self.longest_m = None if length is None or width is None else max(length, width)
        self.round_m = None
        shape = work.size.shape
        walls = [shape.sides[side].get("width_m") for side in UPRIGHT] if shape is not None and shape.parts else [None]
        known_walls = [wall for wall in walls if wall is not None]
        if len(known_walls) == len(walls):
            # A bay or another rectangle makes the way round longer, and its side.
            self.longest_m, self.round_m = max(known_walls), fsum(known_walls)
        elif length is not None and width is not None:
            # A U or a T is longer all round than its box.
            self.round_m = max(2 * (length + width), room.perimeter_m or 0.0)
        elif room.perimeter_m:
            self.round_m = room.perimeter_m
        elif area is not None:
            self.round_m = 4 * area**0.5 * ROUND_OF_AREA.high
        #: No single wall of the room is longer.
        self.longest_wall_m = WALLS_LIMIT.high if self.longest_m is None else WALLS_LIMIT.most(self.longest_m)
        #: Sums of all that the room meets, told from it or from the room beyond.
        self.walls_m = self.free_m = self.below_m2 = self.above_m2 = self.open_below_m2 = self.open_above_m2 = 0.0
        self.windows_m2 = 0.0
        #: The room's own surfaces by side.
        self.parts: dict[str | None, list[Part]] = {}
        #: True once one of its sizes can hardly be so: no sum of the house is then made with it.
        self.is_doubtful = False

    @property
    def key(self) -> str:
        """Return the room as a finding points at it."""
        return self.room.key()

    @property
    def name(self) -> str:
        """Return what a person calls the room."""
        return self.work.name


class Taken:
    """All rooms with their sums, the walls by id, the openings by the surface that they sit in."""

    def __init__(self, works: Sequence[RoomWork]):
        self.rooms = {work.room.id: RoomTaken(work) for work in works}
        self.hosts: dict[str, Part] = {}
        self.openings: dict[str, list[Surface]] = {}
        #: Area of the ground floors by their construction, m²; the parts of the house in which each construction faces outside.
        self.grounds: dict[str | None, list[tuple[RoomTaken, float]]] = {}
        self.outside: dict[str | None, set[str | None]] = {}
        #: What lies between two rooms, told from the first of them, and the pairs that seem to be one.
        self.between: dict[tuple[str, str], list[Part]] = {}
        self.twins: list[tuple[RoomTaken, RoomTaken, Part, Part]] = []
        #: The first door between two rooms of each construction, with the room that it was told from.
        self.inside_doors: dict[str, tuple[Surface, RoomTaken]] = {}

    def take(self, survey: Survey) -> None:
        """Go through the surfaces once; a room that is doubtful by now adds nothing to the rooms beyond it."""
        rooms = self.rooms
        for surface in survey.of_kind(Surface):
            element = surface.element
            if element in OPENINGS:
                if surface.opening_in is not None:
                    self.openings.setdefault(surface.opening_in, []).append(surface)
                continue
            room = rooms.get(surface.room or "")
            if room is not None and element is not None:
                self._take(room, surface, element)

    def _take(self, room: RoomTaken, surface: Surface, element: str) -> None:
        area, beyond = area_of_one(surface), surface.other_side
        if area is None:
            return
        is_wall = element in WALLS
        part = Part(surface, area, _length(area, surface.width_m, room.height_m) if is_wall else None)
        self.hosts[surface.id] = part
        if beyond in FREE:
            self.outside.setdefault(surface.construction, set()).add(room.room.extension)
        other = None
        if beyond == "room":
            other = self.rooms.get(surface.other_room or "")
            if other is not None and self._is_told_twice(room, other, part):
                return
        room.parts.setdefault(surface.side, []).append(part)
        if is_wall:
            _stand(room, other, part, beyond)
        elif beyond != "nothing":
            _lie(room, other, element, area)
            if element == "ground_floor" and beyond == "ground":
                self.grounds.setdefault(surface.construction, []).append((room, area))

    def _is_told_twice(self, room: RoomTaken, other: RoomTaken, part: Part) -> bool:
        """Say whether what lies between two rooms was told from the other one already, as large; keep it for the next."""
        here, there = room.room.id, other.room.id
        for told in self.between.get((there, here), ()):
            if abs(told.area_m2 - part.area_m2) <= SAME_PARTITION.share * part.area_m2:
                self.twins.append((room, other, part, told))
                return True
        self.between.setdefault((here, there), []).append(part)
        return False


def _stand(room: RoomTaken, other: RoomTaken | None, part: Part, beyond: str | None) -> None:
    """Count a wall in its room and in the room beyond."""
    length = part.length_m
    if length is None or beyond == "nothing":
        return
    room.walls_m += length
    if beyond in FREE:
        room.free_m += length
    elif other is not None and not room.is_doubtful and length <= room.longest_wall_m:
        by_height = _length(part.area_m2, part.surface.width_m, other.height_m)
        other.walls_m += length if by_height is None else by_height


def _lie(room: RoomTaken, other: RoomTaken | None, element: str, area_m2: float) -> None:
    """Count what lies flat in its room and in the room beyond."""
    if element in BELOW:
        room.below_m2 += area_m2
        if other is not None:
            other.above_m2 += 0.0 if room.is_doubtful else area_m2
        elif element == "floor":
            room.open_below_m2 += area_m2
    elif element in ABOVE:
        room.above_m2 += area_m2
        if other is not None:
            other.below_m2 += 0.0 if room.is_doubtful else area_m2
        else:
            room.open_above_m2 += area_m2


def _length(area_m2: float, width_m: float | None, height_m: float | None) -> float | None:
    """Return how much of the way round a room a wall takes, m: a low one, or one known by its area, by its area over the room's height."""
    if height_m is None:
        return width_m
    by_area = area_m2 / height_m
    return by_area if width_m is None else min(width_m, by_area)
