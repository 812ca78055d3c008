"""The proof that one layout fits, once a first one is known: the same search from its beginning, in which the ways that the first layout lies in are one way.

A short piece at the end of a wall may lie at either end of it; each such wall doubles the ways to go through, and all of them lead to the layout that is
known.  So they are left open until a layout turns up that the first does not lie in, and are only then gone through one by one.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TypeVar

from .forms import DOWN, UP, Edge
from .search import Search, asked_first
from .state import CLOSE, SETTLED, TRIES_OF_LAYOUT, Bound, Ends, Enough, Lying, Option, Result
from .told import Place, Wall

Way = TypeVar("Way")
#: By the id of a wall, the ways that are left open, each with its bounds.
_Open = dict[str, list[tuple[Way, list[Bound]]]]


@dataclass(frozen=True)
class _Known:
    """A layout that is known: the turn of each room, and where each place lies along x and y, m."""

    turns: dict[str, int]
    x: list[float]
    y: list[float]


class Proof(Search):
    """A search for a layout that differs from the one that was found first."""

    def __init__(
        self, places: list[Place], links: list[Wall], tries: int, without: frozenset[str], first: dict[str, Lying]
    ):
        super().__init__(places, links, tries, without)
        self.result.layout = first
        #: The first layout, and those that differ from it by less than counts.
        self.known = [self._known(first)]
        #: Walls of which more than one way is left open, in the room that tells of them or in the one beyond, with those ways.
        self._open_ways: _Open[Option] = {}
        self._open_ends: _Open[Ends] = {}

    def _known(self, layout: dict[str, Lying]) -> _Known:
        known = _Known({}, [0.0] * len(self.x.at), [0.0] * len(self.y.at))
        for room, lying in layout.items():
            known.turns[room] = lying.turn
            known.x[self.at[room]], known.y[self.at[room]] = lying.x, lying.y
            for block in self.places[room].form(lying.turn).blocks:
                if block.part is not None:
                    along, at = (known.x, lying.x) if block.is_along_x else (known.y, lying.y)
                    along[self.part_at[room, block.part]] = at + lying.parts[block.order]
        return known

    def _tries(self, link: Wall) -> Iterator[tuple[Option, list[Bound]]]:
        by_edges: dict[tuple[Edge, Edge], list[tuple[Option, list[Bound]]]] = {}
        for option, bounds in super()._tries(link):
            by_edges.setdefault(option[:2], []).append((option, bounds))
        for each in by_edges.values():
            yield from self._joined(link, each, self._open_ways)

    def _tries_beyond(self, link: Wall, ends: list[Ends]) -> Iterator[tuple[Ends, list[Bound]]]:
        yield from self._joined(link, list(super()._tries_beyond(link, ends)), self._open_ends)

    def _joined(
        self, link: Wall, ways: list[tuple[Way, list[Bound]]], left_open: _Open[Way]
    ) -> Iterator[tuple[Way, list[Bound]]]:
        """Give the ways that the first layout lies in as one, with what they have in common, and then the others."""
        first = self.known[0]
        is_turned = any(self.turns[room] != first.turns[room] for room in (link.room, link.other or ""))
        own: list[tuple[Way, list[Bound]]] = []
        others: list[tuple[Way, list[Bound]]] = []
        for way in ways:
            (others if is_turned or not self._has(first, way[1]) else own).append(way)
        if len(own) > 1:
            left_open[link.id] = own
            yield own[0][0], _common([bounds for _, bounds in own])
            del left_open[link.id]
        else:
            yield from own
        yield from others

    def _has(self, known: _Known, bounds: Iterable[Bound]) -> bool:
        """Say whether a layout holds bounds, but for what makes two layouts one."""
        for axis, one, other, most in bounds:
            at = known.x if axis is self.x else known.y
            if at[other] - at[one] > most + CLOSE:
                return False
        return True

    def _take(self) -> None:
        """Go through the ways that were left open one by one, as far as no layout that is known lies in all of them, and take what they lead to."""
        if any(self._lies_within(layout) for layout in self.known):
            return
        ways = next(iter(self._open_ways), None)
        ends = next(iter(self._open_ends), None)
        if ways is not None:
            self._part(ways, self._open_ways, self.ways)
        elif ends is not None:
            self._part(ends, self._open_ends, self.refined)
        else:
            super()._take()

    def _part(self, name: str, left_open: _Open[Way], keep: dict[str, Way]) -> None:
        was, tried = keep[name], left_open.pop(name)
        for way, bounds in tried:
            self._count()
            marks = self._mark()
            if self._hold(bounds, f"surface/{name}") is None:
                keep[name] = way
                self._take()
            self._back_to(marks)
        left_open[name], keep[name] = tried, was

    def _lies_within(self, known: _Known) -> bool:
        """Say whether a layout lies within the present bounds and in all ways that were left open, all rooms turned as in it."""
        if any(known.turns[room] != self.turns[room] for room in self.order):
            return False
        in_ways = (self._has(known, bounds) for ways in self._open_ways.values() for _, bounds in ways)
        in_ends = (self._has(known, bounds) for ends in self._open_ends.values() for _, bounds in ends)
        if not (all(in_ways) and all(in_ends)):
            return False
        rooms = [self.at[room] for room in self.order]
        for axis, at in ((self.x, known.x), (self.y, known.y)):
            for one in rooms:
                row, here = axis.at[one], at[one]
                if any(at[other] - here > row[other] + CLOSE for other in rooms):
                    return False
        return True

    def _found(self, drawn: tuple[dict[str, Lying], list[Wall]] | None = None) -> None:
        """Hold a layout against the first one; the search ends where they differ."""
        self._count(TRIES_OF_LAYOUT)
        layout, _ = drawn or self._drawn()
        self._compare(layout)
        if self.result.turn_of is not None or self.result.slide_of is not None:
            raise Enough
        self.known.append(self._known(layout))

    def _compare(self, layout: dict[str, Lying]) -> None:
        """Remember what differs between the first layout and another."""
        first = self.result.layout or {}
        root = self.order[0]
        for room in self.order:
            was, now = first[room].turn - first[root].turn, layout[room].turn - layout[root].turn
            if (was - now) % 4:
                self.result.turn_of = room
                return
        if layout[root].turn != first[root].turn:
            return
        self.result.slide_of = asked_first([link for link in self.links if self._has_moved(link, layout)])

    def _has_moved(self, link: Wall, layout: dict[str, Lying]) -> bool:
        """Say whether the two rooms of a wall lie otherwise along it than in the first layout."""
        first, (one, other) = self.result.layout or {}, (link.room, link.other or "")
        way = (link.side + layout[one].turn) % 4
        if way in (UP, DOWN):
            off = (layout[other].x - layout[one].x) - (first[other].x - first[one].x)
        else:
            off = (layout[other].y - layout[one].y) - (first[other].y - first[one].y)
        return abs(off) > SETTLED


def search(places: list[Place], links: list[Wall], tries: int, without: frozenset[str]) -> Result:
    """Return the first layout of rooms that are joined by walls, and what differs in another one, with at most so many tries for each of the two."""
    result = Search(places, links, tries, without).run()
    if result.layout is None or result.slide_of is not None:
        return result
    again = Proof(places, links, tries, without, result.layout).run()
    again.tries += result.tries
    return again


def _common(ways: list[list[Bound]]) -> list[Bound]:
    """Return the bounds that hold whichever of several ways it is."""
    each = []
    for bounds in ways:
        tight: dict[tuple[bool, int, int], Bound] = {}
        for bound in bounds:
            key = (bound[0] is ways[0][0][0], bound[1], bound[2])
            if key not in tight or bound[3] < tight[key][3]:
                tight[key] = bound
        each.append(tight)
    return [
        (*bound[:3], max(tight[key][3] for tight in each))
        for key, bound in each[0].items()
        if all(key in tight for tight in each)
    ]
