"""Where a search for a layout stands: rooms that lie, their turns, the bounds between them, and what is allowed."""

from __future__ import annotations

from dataclasses import dataclass, field

from .bounds import Bounds
from .forms import Block, Edge
from .told import Place, Wall

#: How far two tellings of one length may be apart, m: the thickness of a wall that ends there, and the measuring. Ours, no source.
SLACK = 0.25
#: How far an end of a wall may lie from where the parts beside it put it, m. Ours, no source.
END = 0.2
#: The thickest wall between two rooms, m: brick on both sides of a cavity is thinner. Ours, no source.
THICKEST = 0.4
#: How much two rooms may seem to lie on each other, m.
OVER = 0.05
#: A place that can move along a wall by more than this, m, is not settled. Ours, no source.
SETTLED = 0.4
#: What it costs to draw a layout out, in tries.
TRIES_OF_LAYOUT = 50
#: Two layouts that differ by less than this, m, are one.
CLOSE = 0.2
#: Of a side in more parts than this the order is not tried.
MOST_PARTS = 6


@dataclass(frozen=True)
class Allowed:
    """What is allowed while a layout is drawn out, m: between which values the thickness of a wall lies, and how far lengths and ends may be off."""

    thin_m: float
    thick_m: float
    slack_m: float
    end_m: float


LOOSE = Allowed(-OVER, THICKEST, SLACK, END)
#: What a layout is drawn out with: the first of these with which it still holds. Houses are told by sizes with their walls in them and without.
TIGHT = tuple(
    Allowed(max(-OVER, thick - 0.1 * share), thick + 0.1 * share, SLACK * share, END * share)
    for share in (0.1, 0.4, 0.7)
    for thick in (0.0, 0.1, 0.2)
)

#: In front of a wall that is told to be outside, no room is nearer than this, m.
CLEAR_DEPTH = 0.8

#: The edges of both rooms, and where the lower and the upper end of what they share lie along the teller's edge, m (None where they are free).
Option = tuple[Edge, Edge, float | None, float | None]

#: The axis, two places along it, and the most that the second can lie beyond the first, m.
Bound = tuple[Bounds, int, int, float]
#: Where the lower and the upper end of what two edges share lie along the first, m (None where they are free).
Ends = tuple[float | None, float | None]

_Marks = tuple[tuple[int, int, int], tuple[int, int, int], int, int]


@dataclass(frozen=True)
class Lying:
    """Where a room's box lies, m, its turn, and where each part that can be moved begins on the page along its side."""

    x: float
    y: float
    turn: int
    parts: tuple[float, ...] = ()


@dataclass
class Result:
    """What a search came to: the first layout, what differs in a second one, and whether everything was tried."""

    layout: dict[str, Lying] | None = None
    #: A room whose turn differs, or None; and a wall along which a room's place differs, or None.
    turn_of: str | None = None
    slide_of: Wall | None = None
    is_whole: bool = True
    #: Where no layout was found: how many rooms lay at most, and what stood against the next one.
    depth: int = 0
    against: list[str] = field(default_factory=list)
    #: Ids of the walls along the same sides as those that found no place, in order.
    beside: dict[str, None] = field(default_factory=dict)
    tries: int = 0

    @property
    def is_one(self) -> bool:
        """Exactly one layout fits, and all were tried."""
        return self.layout is not None and self.turn_of is None and self.slide_of is None and self.is_whole


class Enough(Exception):
    """A second layout was found, or the tries are used up."""


class State:
    """Where a search stands over rooms that are joined by walls."""

    def __init__(self, places: list[Place], links: list[Wall], tries: int, without: frozenset[str] = frozenset()):
        self.places = {place.id: place for place in places}
        self.at = {place.id: number for number, place in enumerate(places)}
        self.links = [link for link in links if link.id not in without]
        self.without = without
        self.beside: dict[str, list[Wall]] = {place.id: [] for place in places}
        for link in self.links:
            self.beside[link.room].append(link)
            if link.other is not None:
                self.beside[link.other].append(link)
        self.part_at: dict[tuple[str, int], int] = {}
        for place in places:
            for number, part in enumerate(place.parts):
                if part.what == "rectangle":
                    self.part_at[place.id, number] = len(self.at) + len(self.part_at)
        count = len(self.at) + len(self.part_at)
        self.x, self.y = Bounds(count), Bounds(count)
        self.turns: dict[str, int] = {}
        self.order: list[str] = []
        self.open: list[tuple[str, str]] = []
        #: What keeps rooms apart where that was chosen: along x or not, and the bound.
        self.kept: list[tuple[bool, int, int, float]] = []
        self.allowed = LOOSE
        #: Where each wall lies along the side of the room that it was not told from.
        self.refined: dict[str, tuple[float | None, float | None]] = {}
        self.left = tries
        self.result = Result()
        self._strips: dict[tuple[str, int], list[tuple[str, Block]]] = {}
        self._allowed: dict[tuple[str, int], bool] = {}
        #: The way in which each wall lies at the moment.
        self.ways: dict[str, Option] = {}

    def _beyond(self, link: Wall, room: str) -> str | None:
        return link.other if link.room == room else link.room

    def _begin(self, place: Place, turn: int) -> bool:
        number = self.at[place.id]
        self.x.use(number)
        self.y.use(number)
        form = place.form(turn)
        for block in form.blocks:
            if block.part is None:
                continue
            own = self.part_at[place.id, block.part]
            self.x.use(own)
            self.y.use(own)
            axis, room_m, part_m = (
                (self.x, form.width, block.width) if block.is_along_x else (self.y, form.height, block.height)
            )
            word = f"room/{place.id}"
            if not (axis.add(own, number, 0.0, word) and axis.add(number, own, room_m - part_m, word)):
                return False
        return True

    def _mark(self) -> _Marks:
        return self.x.mark(), self.y.mark(), len(self.open), len(self.kept)

    def _back_to(self, marks: _Marks) -> None:
        self.x.back_to(marks[0])
        self.y.back_to(marks[1])
        del self.open[marks[2] :]
        del self.kept[marks[3] :]

    def _count(self, tries: int = 1) -> None:
        self.left -= tries
        if self.left < 0:
            self.result.is_whole = False
            raise Enough

    def _is_asked(self) -> bool:
        """Say whether anybody wants to know what stands against what is tried now: only where no layout is known and no rooms lay deeper before."""
        return self.result.layout is None and self.allowed is LOOSE and len(self.order) >= self.result.depth

    def _note(self, words: set[str]) -> None:
        """Remember what stands against the room that comes last, where none lay deeper before."""
        depth, result = len(self.order), self.result
        if depth > result.depth:
            result.depth, result.against, result.beside = depth, [], {}
        if depth == result.depth:
            result.against += sorted(words - set(result.against))

    def _hold(self, bounds: list[Bound], word: str) -> set[str] | None:
        """Add bounds; return None where they hold, or what stands against them as far as anybody wants to know."""
        for axis, first, second, most in bounds:
            if not axis.add(first, second, most, word):
                return axis.why(second, first) | {word} if self._is_asked() else set()
        return None

    def _line(self, room: str, edge: Edge) -> tuple[int, float]:
        own = edge.part is not None and not edge.is_along
        return (self.part_at[room, edge.part or 0] if own else self.at[room]), edge.line

    def _start(self, room: str, edge: Edge) -> tuple[int, float]:
        own = edge.part is not None and edge.is_along
        return (self.part_at[room, edge.part or 0] if own else self.at[room]), edge.start

    def _corner(self, room: str, block: Block) -> tuple[int, int]:
        """Return the places that a block's left and top are counted from."""
        if block.part is None:
            return self.at[room], self.at[room]
        own = self.part_at[room, block.part]
        return (own, self.at[room]) if block.is_along_x else (self.at[room], own)
