"""The ways in which a wall between two rooms can lie, and the bounds of each."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from math import fsum

from .forms import DOWN, RIGHT, UP, Edge
from .state import END, MOST_PARTS, OVER, SLACK, Bound, Option, State
from .told import Place, Wall


class Walls(State):
    """A search as far as it lays rooms along their walls."""

    def _options(self, link: Wall) -> Iterator[Option]:
        """Give each way in which a wall can lie."""
        teller, other = self.places[link.room], self.places[link.other or ""]
        way = (link.side + self.turns[teller.id]) % 4
        facing = (way + 2 - self.turns[other.id]) % 4
        if facing in other.without or not self._has_room(link, other, facing):
            return
        theirs = other.form(self.turns[other.id]).edges[(way + 2) % 4]
        ours = teller.form(self.turns[teller.id]).edges[way]
        for edge in ours:
            for beyond in theirs:
                for low, high in self._spans(link, teller, way, (edge, beyond), len(ours) > 1):
                    yield edge, beyond, low, high

    def _spans(
        self, link: Wall, teller: Place, way: int, edges: tuple[Edge, Edge], has_steps: bool
    ) -> Iterator[tuple[float | None, float | None]]:
        edge, beyond = edges
        length = link.length_m
        if length is None:
            yield None, None
            return
        if has_steps or beyond.part is not None:
            length = min(length, edge.length, beyond.length)
        if length > beyond.length + SLACK or length > edge.length + SLACK:
            return
        starts = None
        if link.from_left_m is not None:
            starts = [from_low(link.from_left_m, length, edge, way)]
        elif not has_steps:
            others = [wall.length_m for wall in teller.along(link.side) if wall.id != link.id]
            starts = starts_of(link, teller.sides[link.side], others)
        if starts is not None:
            yield from ends_of(starts, length, edge, beyond)
            return
        if length >= min(edge.length, beyond.length) - SLACK:
            # The shorter of the two lies somewhere along the longer.
            yield None, None
            return
        yield None, length
        yield edge.length - length, None

    def _has_room(self, link: Wall, other: Place, side: int) -> bool:
        """Say whether a side of the room beyond has so much left for the wall; an inside wall that is not counted may be it."""
        key = (link.id, side)
        if key not in self._allowed:
            taken = [
                wall.length_m or 0.0
                for wall in other.along(side)
                if wall.id not in self.without and wall.beyond != "nothing" and wall.other != link.room
            ]
            left = other.sides[side] - fsum(taken)
            self._allowed[key] = left >= (link.length_m or 0.0) - SLACK and left > 0.0
        return self._allowed[key]

    def _apply(self, link: Wall, option: Option) -> set[str] | None:
        """Add the bounds of one way of a wall; return None where they hold, or what stands against them."""
        return self._hold(self._bounds_of(link, option), f"surface/{link.id}")

    def _bounds_of(self, link: Wall, option: Option) -> list[Bound]:
        """Return the bounds of one way of a wall."""
        edge, beyond, low, high = option
        way = (link.side + self.turns[link.room]) % 4
        other = link.other or ""
        across = self.y if way in (UP, DOWN) else self.x
        one, one_m = self._line(link.room, edge)
        two, two_m = self._line(other, beyond)
        # How far the other room's line lies beyond ours: up to the thickness of a wall.
        far = (one, two, one_m - two_m) if way in (RIGHT, DOWN) else (two, one, two_m - one_m)
        bounds = [
            (across, far[0], far[1], far[2] + self.allowed.thick_m),
            (across, far[1], far[0], -self.allowed.thin_m - far[2]),
        ]
        return bounds + self._shared(link, (link.room, edge), (other, beyond), (low, high))

    def _shared(
        self, link: Wall, ours: tuple[str, Edge], theirs: tuple[str, Edge], ends: tuple[float | None, float | None]
    ) -> list[Bound]:
        """Return the bounds along a wall: where the other room's edge begins and ends along ours."""
        (room, edge), (other, beyond), (low, high) = ours, theirs, ends
        way = (link.side + self.turns[link.room]) % 4
        axis = self.x if way in (UP, DOWN) else self.y
        slack, end_m = self.allowed.slack_m, self.allowed.end_m
        begin, begin_m = self._start(room, edge)
        start, start_m = self._start(other, beyond)
        shift = start_m - begin_m
        end = shift + beyond.length
        length = min(link.length_m or 0.0, edge.length, beyond.length)
        bounds: list[Bound] = []
        if low is not None:
            bounds += [(axis, begin, start, low + end_m - shift), (axis, start, begin, end_m - low + shift)]
        if high is not None:
            bounds += [(axis, begin, start, high + end_m - end), (axis, start, begin, end_m - high + end)]
        if low is not None or high is not None:
            if low is None:
                bounds.append((axis, begin, start, slack - shift))
            elif high is None:
                bounds.append((axis, start, begin, slack - low - length + end))
        elif link.length_m is None:
            bounds += [(axis, begin, start, edge.length - shift - OVER), (axis, start, begin, end - OVER)]
        elif beyond.length >= edge.length:
            bounds += [(axis, begin, start, slack - shift), (axis, start, begin, slack - edge.length + end)]
        else:
            bounds += [(axis, start, begin, slack + shift), (axis, begin, start, edge.length + slack - end)]
        return bounds

    def _others(self, link: Wall, place: Place, side: int) -> list[float | None]:
        """Return the lengths of all else along a side of a room: what it tells itself, and what is told from the rooms beyond."""
        found = [
            wall.length_m
            for wall in place.along(side)
            if wall.beyond != "nothing" and wall.other != link.room and wall.id not in self.without
        ]
        for wall in self.beside[place.id]:
            if wall.other == place.id and wall.id != link.id:
                facing = (wall.side + self.turns[wall.room] + 2 - self.turns[place.id]) % 4
                is_told = any(own.other == wall.room for own in place.along(side))
                if facing == side and not is_told:
                    found.append(wall.length_m)
        return found

    def _is_refined(self, link: Wall) -> bool:
        ends = self.refined.get(link.id)
        if ends is None:
            return True
        edge, beyond, *_ = self.ways[link.id]
        bounds = self._shared(link, (link.other or "", beyond), (link.room, edge), ends)
        return self._hold(bounds, "") is None


def starts_of(link: Wall, side_m: float, others: list[float | None]) -> list[float] | None:
    """Return where along a side a wall can begin, m from its lower end on the page, or None where the side's other parts do not settle it.

    Every wall is one piece: on a side of which all is told, what lies before it is some of the others, whole.
    """
    if link.length_m is None:
        return None
    known = [other for other in others if other is not None]
    left = side_m - link.length_m - fsum(known)
    if len(known) < len(others) or left > SLACK or len(known) > MOST_PARTS:
        return None
    sums = [0.0]
    for other in known:
        sums += [before + other for before in sums]
    sums.sort()
    return [sums[0], *(after for before, after in pairwise(sums) if after - before > END)]


def ends_of(
    starts: list[float], length: float, edge: Edge, beyond: Edge
) -> Iterator[tuple[float | None, float | None]]:
    """Give where the ends of what two edges share lie along the first, None where that is the first one's own end."""
    for start in starts:
        low = start if start > SLACK else None
        high = start + length if start + length < edge.length - SLACK else None
        if low is None or high is None or beyond.length <= length + SLACK:
            yield low, high


def from_low(from_left_m: float, length_m: float, edge: Edge, way: int) -> float:
    """Return where a wall begins from the lower end of its side on the page, which is the left one of who looks up or to the right; m."""
    return from_left_m if way in (UP, RIGHT) else edge.length - from_left_m - length_m
