"""The search for the layouts of one storey: turns, places along shared walls, and what may not lie on what.

One room after another is laid beside those that lie already, in each turn and in each way along its walls that the bounds allow (``bounds.py``).
A layout is found when all lie.  Whether another one fits as well is the next question (``proof.py``).
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterator

from .apart import Apart
from .bounds import Bounds
from .forms import DOWN, UP
from .lying import lay
from .state import (
    LOOSE,
    OVER,
    SETTLED,
    SLACK,
    TIGHT,
    TRIES_OF_LAYOUT,
    Allowed,
    Bound,
    Ends,
    Enough,
    Lying,
    Option,
    Result,
)
from .told import Place, Wall
from .walls import ends_of, from_low, starts_of


class Search(Apart):
    """One search over rooms that are joined by walls."""

    def run(self) -> Result:
        """Return what the search comes to."""
        budget = self.left
        with contextlib.suppress(Enough):
            self._next()
        self.result.tries = budget - self.left
        return self.result

    def _next(self) -> None:
        if len(self.order) == len(self.places):
            self._refine(0)
            return
        room = self._choose()
        place = self.places[room]
        links = [link for link in self.beside[room] if self._beyond(link, room) in self.turns]
        for turn in self._turns(place, links):
            self.turns[room] = turn
            self.order.append(room)
            marks = self._mark()
            if self._begin(place, turn):
                self._link(room, links, 0)
            self._back_to(marks)
            self.order.pop()
            del self.turns[room]

    def _choose(self) -> str:
        """Return the room to lay next: the one with the most walls to those that lie, and the longest."""
        best, room = (-1, -1.0), ""
        for name, links in self.beside.items():
            if name in self.turns:
                continue
            lying = [link for link in links if self._beyond(link, name) in self.turns]
            counted = lying if self.order else links
            rank = (len(counted), max((link.length_m or 0.0 for link in counted), default=0.0))
            if rank > best:
                best, room = rank, name
        return room

    def _turns(self, place: Place, links: list[Wall]) -> list[int]:
        if place.turn is not None:
            return [place.turn]
        if not self.order:
            is_said = any(other.turn is not None for other in self.places.values())
            return [0, 1, 2, 3] if is_said else [0]
        # The turn of the room beside it comes first: most people go through a house without turning.
        first = self.turns[self._beyond(links[0], place.id) or ""] if links else 0
        return [(first + more) % 4 for more in (0, 2, 1, 3)]

    def _link(self, room: str, links: list[Wall], number: int) -> None:
        if number == len(links):
            if self._keep_apart(room):
                self._next()
            return
        link = links[number]
        words: set[str] = set()
        for option, bounds in self._tries(link):
            self._count()
            marks = self._mark()
            failed = self._hold(bounds, f"surface/{link.id}")
            if failed is None:
                self.ways[link.id] = option
                self._link(room, links, number + 1)
            else:
                words |= failed
            self._back_to(marks)
        self._note(words | {f"surface/{link.id}"})
        if self._is_asked():
            self._note_beside(link)

    def _note_beside(self, link: Wall) -> None:
        """Remember what lies along the same sides as a wall that finds no place: from there it follows where a wall can begin, and whether it has room."""
        facing = (link.side + self.turns[link.room] + 2 - self.turns[link.other or ""]) % 4
        for room, side in ((link.room, link.side), (link.other or "", facing)):
            for wall in [*self.places[room].along(side), *self.beside[room]]:
                is_there = wall.room == room and wall.side == side
                if wall.other == room and wall.room in self.turns:
                    is_there = (wall.side + self.turns[wall.room] + 2 - self.turns[room]) % 4 == side
                if is_there and wall.id != link.id and wall.beyond != "nothing":
                    self.result.beside.setdefault(wall.id)

    def _tries(self, link: Wall) -> Iterator[tuple[Option, list[Bound]]]:
        """Give the ways in which a wall can lie, each with its bounds."""
        for option in self._options(link):
            yield option, self._bounds_of(link, option)

    def _refine(self, number: int) -> None:
        """Try where each wall lies along the side of the room that it was not told from: only now all is known that lies along it."""
        if number == len(self.links):
            self._take()
            return
        link = self.links[number]
        edge, beyond, *_ = self.ways[link.id]
        other = self.places[link.other or ""]
        side = (link.side + self.turns[link.room] + 2 - self.turns[other.id]) % 4
        starts = None
        if link.beyond_from_left_m is not None and link.length_m is not None:
            way = (link.side + self.turns[link.room] + 2) % 4
            starts = [from_low(link.beyond_from_left_m, link.length_m, beyond, way)]
        elif link.length_m is not None and len(other.form(0).edges[side]) == 1 and edge.part is None:
            starts = starts_of(link, other.sides[side], self._others(link, other, side))
        if starts is None:
            self.refined.pop(link.id, None)
            self._refine(number + 1)
            return
        words: set[str] = set()
        for ends, bounds in self._tries_beyond(link, list(ends_of(starts, link.length_m or 0.0, beyond, edge))):
            self._count()
            marks = self._mark()
            failed = self._hold(bounds, f"surface/{link.id}")
            if failed is None:
                self.refined[link.id] = ends
                self._refine(number + 1)
            else:
                words |= failed
            self._back_to(marks)
        self._note(words | {f"surface/{link.id}"})

    def _tries_beyond(self, link: Wall, ends: list[Ends]) -> Iterator[tuple[Ends, list[Bound]]]:
        """Give where a wall can lie along the side of the room beyond, each with its bounds."""
        for each in ends:
            yield each, self._bounds_beyond(link, each)

    def _bounds_beyond(self, link: Wall, ends: Ends) -> list[Bound]:
        edge, beyond, *_ = self.ways[link.id]
        return self._shared(link, (link.other or "", beyond), (link.room, edge), ends)

    def _take(self) -> None:
        """Take the layout where nothing can move in it any more; else try first how the rooms lie that may still lie on each other."""
        drawn = None
        if self.open:
            drawn = layout, sliding = self._drawn()
            if sliding or not all(self._lie_apart(layout, one, other) for one, other in self.open):
                self._settle(0)
                return
        self._found(drawn)

    def _settle(self, number: int) -> None:
        """Try each way in which rooms that may still lie on each other are apart, then take the layout."""
        if number == len(self.open):
            self._found()
            return
        one, other = self.open[number]
        for pair in self._together(one, other):
            ways = self._ways_apart(*pair[:4])
            if ways is None:
                continue
            self._count()
            for axis, first, second, most in ways:
                marks = self._mark()
                self.kept.append((axis is self.x, first, second, most))
                if axis.add(first, second, most, pair[4]):
                    self._settle(number)
                self._back_to(marks)
            self._note({pair[4]})
            return
        self._settle(number + 1)

    def _found(self, drawn: tuple[dict[str, Lying], list[Wall]] | None = None) -> None:
        """Keep a layout, the one that was drawn out of the present bounds where there is one already, and search no more."""
        self._count(TRIES_OF_LAYOUT)
        layout, sliding = drawn or self._drawn()
        self.result.layout, self.result.slide_of = layout, asked_first(sliding)
        raise Enough

    def _drawn(self) -> tuple[dict[str, Lying], list[Wall]]:
        """Return the layout that the present bounds are drawn out to, and the walls along which it could still move."""
        loose = self.x, self.y
        self._tighten()
        layout, sliding = lay(self), [link for link in self.links if self._slides(link)]
        self.x, self.y, self.allowed = *loose, LOOSE
        return layout, sliding

    def _tighten(self) -> None:
        """Take the bounds of the layout anew with as little allowed as it holds with."""
        loose = self.x, self.y
        for allowed in TIGHT:
            if self._stands_room_by_room(allowed) and self._stands(allowed):
                return
        self.x, self.y, self.allowed = *loose, LOOSE

    def _begin_anew(self, allowed: Allowed) -> None:
        count = len(self.at) + len(self.part_at)
        self.x, self.y, self.allowed = Bounds(count), Bounds(count), allowed

    def _stands_room_by_room(self, allowed: Allowed) -> bool:
        """Say whether the layout can hold with no more than is allowed: the fewer places are in use, the cheaper a bound is."""
        self._begin_anew(allowed)
        lying: set[str] = set()
        for room in self.order:
            if not self._begin(self.places[room], self.turns[room]):
                return False
            lying.add(room)
            links = [link for link in self.beside[room] if self._beyond(link, room) in lying]
            if not all(self._apply(link, self.ways[link.id]) is None and self._is_refined(link) for link in links):
                return False
        return self._is_kept_apart()

    def _stands(self, allowed: Allowed) -> bool:
        """Take the bounds of the layout anew, all places in use before the first of them: then no place hangs on the order of rooms."""
        self._begin_anew(allowed)
        return (
            all(self._begin(self.places[room], self.turns[room]) for room in self.order)
            and all(self._apply(link, self.ways[link.id]) is None for link in self.links)
            and all(self._is_refined(link) for link in self.links)
            and self._is_kept_apart()
        )

    def _is_kept_apart(self) -> bool:
        return all((self.x if is_x else self.y).add(first, second, most, "") for is_x, first, second, most in self.kept)

    def _slides(self, link: Wall) -> bool:
        way = (link.side + self.turns[link.room]) % 4
        along = self.x if way in (UP, DOWN) else self.y
        one, other = self.at[link.room], self.at[link.other or ""]
        # Two walls of one length may lie off each other by what is allowed, one way and the other: that is no slide.
        edge, beyond, *_ = self.ways[link.id]
        settled = max(SETTLED, 2 * self.allowed.slack_m + min(SLACK, abs(edge.length - beyond.length)) + OVER)
        return along.most(one, other) - along.least(one, other) > settled


def asked_first(walls: list[Wall]) -> Wall | None:
    """Return the wall to ask the place of; one whose place was said already is no question any more."""
    fresh = [link for link in walls if link.from_left_m is None and link.beyond_from_left_m is None]
    return next(iter(fresh or walls), None)
