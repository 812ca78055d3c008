"""What may not lie on what: rooms on each other, and rooms on what is told to be outside."""

from __future__ import annotations

from collections.abc import Iterator
from math import fsum

from .bounds import Bounds
from .forms import DOWN, LEFT, UP, Block, Edge
from .state import CLEAR_DEPTH, OVER, SLACK, Lying
from .told import CLEAR
from .walls import Walls


class Apart(Walls):
    """A search as far as it keeps rooms apart."""

    def _keep_apart(self, room: str) -> bool:
        return all(self._pair(room, other) for other in self.order[:-1])

    def _pair(self, one: str, other: str) -> bool:
        """Keep two rooms off each other, and off what is told to be outside of them; what is still open is left for later."""
        is_open = False
        for pair in self._together(one, other):
            self._count()
            ways = self._ways_apart(*pair[:4])
            if ways is None:
                continue
            if not ways:
                if self._is_asked():
                    words = {pair[4]}
                    for axis, first, second in self._closest(*pair[:4]):
                        words |= axis.why(first, second)
                    self._note(words)
                return False
            if len(ways) > 1:
                is_open = True
                continue
            axis, first, second, most = ways[0]
            self.kept.append((axis is self.x, first, second, most))
            if not axis.add(first, second, most, pair[4]):
                if self._is_asked():
                    self._note(axis.why(second, first) | {pair[4]})
                return False
        if is_open:
            self.open.append((one, other))
        return True

    def _together(self, one: str, other: str) -> Iterator[tuple[str, Block, str, Block, str]]:
        ours = self.places[one].form(self.turns[one]).blocks
        theirs = self.places[other].form(self.turns[other]).blocks
        for block in ours:
            for beyond in theirs:
                yield one, block, other, beyond, f"apart/{one}/{other}"
        for word, strip in self._clear(one):
            for beyond in theirs:
                yield one, strip, other, beyond, word
        for word, strip in self._clear(other):
            for block in ours:
                yield one, block, other, strip, word

    def _ways_apart(
        self, one: str, block: Block, other: str, beyond: Block
    ) -> list[tuple[Bounds, int, int, float]] | None:
        """Return the bounds of which one keeps two blocks apart, or None where they are."""
        (x1, y1), (x2, y2) = self._corner(one, block), self._corner(other, beyond)
        ways = []
        for axis, first, second, most in (
            (self.x, x2, x1, beyond.x - block.x - block.width + OVER),
            (self.x, x1, x2, block.x - beyond.x - beyond.width + OVER),
            (self.y, y2, y1, beyond.y - block.y - block.height + OVER),
            (self.y, y1, y2, block.y - beyond.y - beyond.height + OVER),
        ):
            if axis.at[first][second] <= most + 1e-9:
                return None
            if axis.at[second][first] + most >= -1e-9:
                ways.append((axis, first, second, most))
        return ways

    def _closest(self, one: str, block: Block, other: str, beyond: Block) -> Iterator[tuple[Bounds, int, int]]:
        (x1, y1), (x2, y2) = self._corner(one, block), self._corner(other, beyond)
        yield from ((self.x, x1, x2), (self.x, x2, x1), (self.y, y1, y2), (self.y, y2, y1))

    def _clear(self, room: str) -> list[tuple[str, Block]]:
        """Return what lies before each side of a room that is told to be outside all along: no room may lie there."""
        turn = self.turns[room]
        key = (room, turn)
        if key not in self._strips:
            place, found = self.places[room], []
            form = place.form(turn)
            for side in range(4):
                edges = form.edges[(side + turn) % 4]
                told = place.along(side)
                clear = [
                    wall
                    for wall in told
                    if wall.beyond in CLEAR and wall.length_m is not None and wall.id not in self.without
                ]
                length = place.sides[side] - fsum(wall.length_m or 0.0 for wall in clear)
                is_plain = len(edges) == 1 and edges[0].part is None and edges[0].length > 2 * SLACK + OVER
                if clear and length <= SLACK and is_plain:
                    found.append((f"surface/{clear[0].id}", _strip(edges[0], (side + turn) % 4)))
            self._strips[key] = found
        return self._strips[key]

    def _lie_apart(self, layout: dict[str, Lying], one: str, other: str) -> bool:
        """Say whether two rooms of a layout lie apart, and clear of what is told to be outside of them."""
        for room, block, beside, beyond, _ in self._together(one, other):
            ours, theirs = _rect_of(layout[room], block), _rect_of(layout[beside], beyond)
            x = min(ours[2], theirs[2]) - max(ours[0], theirs[0])
            y = min(ours[3], theirs[3]) - max(ours[1], theirs[1])
            if x > OVER and y > OVER:
                return False
        return True


def _strip(edge: Edge, way: int) -> Block:
    begin, long = edge.start + SLACK, edge.length - 2 * SLACK
    if way in (UP, DOWN):
        return Block(begin, edge.line - (CLEAR_DEPTH if way == UP else 0.0), long, CLEAR_DEPTH)
    return Block(edge.line - (CLEAR_DEPTH if way == LEFT else 0.0), begin, CLEAR_DEPTH, long)


def _rect_of(lying: Lying, block: Block) -> tuple[float, float, float, float]:
    """Return left, top, right and bottom of a block of a room that lies, m."""
    x, y = lying.x + block.x, lying.y + block.y
    if block.part is not None:
        moved = lying.parts[block.order]
        x, y = (lying.x + moved, y) if block.is_along_x else (x, lying.y + moved)
    return x, y, x + block.width, y + block.height
