"""One storey: its groups of joined rooms laid out, and what stands against a layout."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import zip_longest

from .proof import search
from .state import SLACK, Lying, Result
from .told import CLEAR, Place, Told, Wall

#: How many steps a search may take for a group of rooms, and another one that leaves out a statement: what keeps a house of 60 rooms in bounds.
TRIES, TRIES_WITHOUT = 3_500, 1_000
#: How many statements are left out one by one to find those that disagree.
SUSPECTS = 8


@dataclass
class Group:
    """Rooms that are joined by walls, with the layout that was found of them; ``without`` are the statements that it leaves out."""

    places: list[Place]
    links: list[Wall]
    result: Result
    without: frozenset[str] = frozenset()
    #: Statements that were left out one at a time, with what came of it.
    suspects: list[tuple[str, Result]] = field(default_factory=list)


def groups_of(told: Told) -> list[list[Place]]:
    """Return the rooms of a storey by what they are joined to, in the order of their making."""
    return joined(told.places.values(), told.links)


def joined(places: Iterable[Place], links: Iterable[Wall]) -> list[list[Place]]:
    """Return rooms by what walls join, in their order."""
    by_name = {place.id: place for place in places}
    beside: dict[str, list[str]] = {name: [] for name in by_name}
    for link in links:
        beside[link.room].append(link.other or "")
        beside[link.other or ""].append(link.room)
    seen: set[str] = set()
    found = []
    for name in by_name:
        if name in seen:
            continue
        group, stack = {name}, [name]
        while stack:
            for other in beside[stack.pop()]:
                if other not in group:
                    group.add(other)
                    stack.append(other)
        seen |= group
        found.append([place for place in by_name.values() if place.id in group])
    return found


def lay_out_group(places: list[Place], links: Iterable[Wall], without: frozenset[str]) -> Group:
    """Return the layout of rooms that are joined, or the statements that disagree.

    Parameters
    ----------
    places : list of Place
        The rooms.
    links : iterable of Wall
        Every wall between two rooms of the storey.
    without : frozenset of str
        Ids of walls that are known to contradict another one, so that nothing is built on them.
    """
    names = {place.id for place in places}
    own = [link for link in links if link.room in names]
    result = search(places, own, TRIES, without)
    group = Group(places, own, result, without)
    if result.layout is None and result.is_whole:
        # A piece no longer than walls are thick may as well be none, so nobody is told that it is wrong.
        short = {link.id for link in own if link.length_m is not None and link.length_m <= SLACK} - without
        is_joined = len(joined(places, [link for link in own if link.id not in short])) == 1
        again = search(places, own, TRIES_WITHOUT, without | short) if short and is_joined else result
        if again.layout is not None:
            group.result, group.without = again, without | short
            return group
    if result.layout is not None or not result.is_whole:
        return group
    named = _suspects(group)
    # What lies along the same sides is only asked where nothing that was named will do.
    for suspects in (named, [name for name in result.beside if name not in named][:SUSPECTS]):
        for suspect in suspects:
            again = search(places, own, TRIES_WITHOUT, without | {suspect})
            if again.layout is not None:
                group.suspects.append((suspect, again))
        if group.suspects:
            break
    # One that leaves a single layout is the likelier one.
    group.suspects.sort(key=lambda item: not item[1].is_one)
    return group


def _suspects(group: Group) -> list[str]:
    """Return the statements of which one may be wrong: those that stand against the room that finds no place, and what is told to be outside there."""
    walls = {wall.id: wall for place in group.places for wall in place.walls}
    named = [word.removeprefix("surface/") for word in group.result.against if word.startswith("surface/")]
    links = [name for name in named if name in walls]
    near = {room for name in links for room in (walls[name].room, walls[name].other)}
    near |= {room for word in group.result.against if word.startswith("apart/") for room in word.split("/")[1:]}
    clear = [wall.id for place in group.places if place.id in near for wall in place.walls if wall.beyond in CLEAR]
    mixed = [name for pair in zip_longest(links[:SUSPECTS], clear[:SUSPECTS]) for name in pair if name is not None]
    return list(dict.fromkeys(mixed))


def shared_m(link: Wall, places: dict[str, Place], layout: dict[str, Lying]) -> float:
    """Return how long the wall between two rooms is as they lie, m; 0 where they do not meet on that side."""
    one, other = layout.get(link.room), layout.get(link.other or "")
    if one is None or other is None:
        return 0.0
    ours, theirs = places[link.room].form(one.turn), places[link.other or ""].form(other.turn)
    way = (link.side + one.turn) % 4
    if way in (0, 2):
        return max(0.0, min(one.x + ours.width, other.x + theirs.width) - max(one.x, other.x))
    return max(0.0, min(one.y + ours.height, other.y + theirs.height) - max(one.y, other.y))
