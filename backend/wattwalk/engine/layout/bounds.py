"""How far places can lie from each other along one axis: every bound that follows from the bounds that were said, at any moment.

Notes
-----
A bound says that ``b − a`` is at most so much.  Kept are the tightest bounds between every two places that are in use, so a bound that cannot
hold is seen at once (a circle of bounds that adds up to less than nothing), and the places left to one are an interval.  This is the simple
temporal problem of scheduling with full path consistency, here in metres.

References
----------
R. Dechter, I. Meiri, J. Pearl: Temporal constraint networks, Artificial Intelligence 49 (1991), 61-95, from memory.
"""

from __future__ import annotations

from math import inf

#: Differences below this decide nothing.
DUST = 1e-6


class Bounds:
    """The bounds along one axis; ``at[a][b]`` is the most that ``b − a`` can be, m."""

    def __init__(self, count: int):
        self.at = [[inf] * count for _ in range(count)]
        for place in range(count):
            self.at[place][place] = 0.0
        self.used: list[int] = []
        #: Rows as they were before they were changed, so that a try can be taken back, and every bound as it was said.
        self._before: list[tuple[int, list[float]]] = []
        self._said: list[tuple[int, int, float, str]] = []

    def use(self, place: int) -> None:
        """Take a place into use; before that no bound may name it."""
        self.used.append(place)

    def mark(self) -> tuple[int, int, int]:
        """Return where things stand, for ``back_to``."""
        return len(self._before), len(self.used), len(self._said)

    def back_to(self, mark: tuple[int, int, int]) -> None:
        """Take back every bound and place since a mark."""
        changes, used, said = mark
        del self._said[said:]
        while len(self._before) > changes:
            first, row = self._before.pop()
            self.at[first] = row
        del self.used[used:]

    def add(self, one: int, other: int, most: float, word: str) -> bool:
        """Bound ``other − one`` by ``most`` metres; return whether that can still hold. ``word`` is what said so."""
        at = self.at
        if most >= at[one][other] - DUST:
            return True
        if at[other][one] + most < -DUST:
            return False
        if one == other:
            return most >= -DUST
        self._said.append((one, other, most, word))
        before, last, near = self._before, at[other], at[one]
        # What the bound brings no nearer to its own first place, it brings no nearer to any other.
        behind = [(place, last[place]) for place in self.used if most + last[place] < near[place] - DUST]
        for first in self.used:
            row = at[first]
            reach = row[one] + most
            if reach >= row[other] - DUST:
                continue
            before.append((first, row))
            row = at[first] = row.copy()
            for place, beyond in behind:
                value = reach + beyond
                if value < row[place] - DUST:
                    row[place] = value
        return True

    def why(self, one: int, other: int) -> set[str]:
        """Return what said the bounds that together make ``other − one`` no more than it is."""
        reach = {one: (0.0, frozenset[str]())}
        for _ in self.used:
            is_news = False
            for first, second, most, word in self._said:
                if first in reach:
                    far = reach[first][0] + most
                    if second not in reach or far < reach[second][0] - DUST:
                        reach[second] = (far, reach[first][1] | {word})
                        is_news = True
            if not is_news:
                break
        return set(reach[other][1]) if other in reach else set()

    def least(self, one: int, other: int) -> float:
        """Return the least that ``other − one`` can be, m."""
        return -self.at[other][one]

    def most(self, one: int, other: int) -> float:
        """Return the most that ``other − one`` can be, m."""
        return self.at[one][other]
