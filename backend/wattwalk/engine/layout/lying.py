"""One layout out of the many within the bounds of a search: the one that a person would draw."""

from __future__ import annotations

from .bounds import Bounds
from .forms import DOWN, LEFT, RIGHT, UP
from .state import LOOSE, SETTLED, Lying, State
from .told import Wall

#: A wall where nothing says how thick they are, m.
USUAL_M = 0.1


def lay(search: State) -> dict[str, Lying]:
    """Return one layout within the bounds of a search: walls as thick as fits best, ends in line where they may be."""
    thick = (search.allowed.thin_m + search.allowed.thick_m) / 2 if search.allowed is not LOOSE else USUAL_M
    return _laid(search, thick)


def _between(axis: Bounds, number: int, fixed: dict[int, float]) -> tuple[float, float]:
    """Return between which values a place can lie; since all bounds are as tight as can be, any of them leaves room for the others."""
    low = max(value + axis.least(other, number) for other, value in fixed.items())
    return low, min(value + axis.most(other, number) for other, value in fixed.items())


def _laid(search: State, thick: float) -> dict[str, Lying]:
    axes = (search.x, search.y)
    fixed: tuple[dict[int, float], dict[int, float]] = ({}, {})
    for room in search.order:
        number, form = search.at[room], search.places[room].form(search.turns[room])
        lying = {search.order[0]} if not fixed[0] else set()
        wishes = [] if lying else [_wish(search, link, room, fixed, thick) for link in search.beside[room]]
        for place, axis in enumerate(axes):
            if lying:
                fixed[place][number] = 0.0
                continue
            low, high = _between(axis, number, fixed[place])
            asked = [value for wish in wishes if wish is not None for value in wish[place]]
            kept = [(abs(min(max(value, low), high) - value), min(max(value, low), high)) for value in asked]
            _, value = min(kept, default=(0.0, min(max(0.0, low), high)), key=lambda item: item[0])
            fixed[place][number] = value
        for block in form.blocks:
            if block.part is not None:
                own, place = search.part_at[room, block.part], 0 if block.is_along_x else 1
                low, high = _between(axes[place], own, fixed[place])
                # Where nothing settles it, in the middle of what is left to it.
                fixed[place][own] = low if high - low < SETTLED else (low + high) / 2
    found = {}
    for room in search.order:
        at = [values[search.at[room]] for values in fixed]
        parts = []
        for block in search.places[room].form(search.turns[room]).blocks:
            if block.part is not None:
                place = 0 if block.is_along_x else 1
                parts.append(fixed[place][search.part_at[room, block.part]] - at[place])
        found[room] = Lying(at[0], at[1], search.turns[room], tuple(parts))
    return found


def _wish(
    search: State, link: Wall, room: str, fixed: tuple[dict[int, float], dict[int, float]], thick: float
) -> tuple[list[float], list[float]] | None:
    """Return where a wall to a room that lies would have the new one: x and y in m, the best first."""
    other = search._beyond(link, room) or ""
    number = search.at[other]
    if number not in fixed[0]:
        return None
    way = (link.side + search.turns[link.room]) % 4
    if link.room == room:
        way = (way + 2) % 4
    x, y = fixed[0][number], fixed[1][number]
    form, own = search.places[other].form(search.turns[other]), search.places[room].form(search.turns[room])
    across = {
        UP: y - own.height - thick,
        DOWN: y + form.height + thick,
        LEFT: x - own.width - thick,
        RIGHT: x + form.width + thick,
    }[way]
    edge, beyond, low, high = search.ways[link.id]
    upright = way in (LEFT, RIGHT)
    size, own_size, at = (form.height, own.height, y) if upright else (form.width, own.width, x)
    along = [at, at + size - own_size]
    if edge.part is None and beyond.part is None and (low is not None or high is not None):
        shift = edge.start - beyond.start + (low if low is not None else (high or 0.0) - beyond.length)
        along.insert(0, at + shift if link.room == other else at - shift)
    return ([across], along) if upright else (along, [across])
