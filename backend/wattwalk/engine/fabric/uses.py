"""The U-values that a construction really has in a house: one for each way that its surfaces use it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from wattwalk.survey.box import OPENINGS
from wattwalk.survey.building import Surface
from wattwalk.survey.constructions import PARTS, Construction
from wattwalk.survey.parts import HousePart

from ..answers import ConstructionUse, ConstructionValue
from ..answers.rounding import U_VALUE, figure, rounded
from ..answers.values import Value

#: The values of each construction by the words for its use, by the construction's id.
Uses = Mapping[str, Mapping[str, Value]]

_FLOWS = {"up": "heat upward", "down": "heat downward", "horizontal": "heat level"}


def in_part(part: HousePart | None, words: str) -> str:
    """Return the words for a use with the part of the house that it is met in; without it where the house has only one."""
    return words if part is None else f"{part.name}, {words}"


def use_words(surface: Surface, host: Surface, construction: Construction, value: Value, direction: str) -> str:
    """Return the words for one use: which way heat flows in it and what lies beyond; in the ground, where it lies.

    Parameters
    ----------
    surface, host : Surface
        The surface, and the wall or roof that it sits in (itself where it sits in none).
    construction, value
        What it is made of, and its value there.
    direction : str
        ``up``, ``down`` or ``horizontal``.
    """
    if surface.element == "ground_floor":
        return "over a void or a cellar" if value.ground == "suspended" else "on the ground"
    if host.other_side == "ground":
        depth = host.depth_below_ground_m
        return "in the ground" if depth is None else f"{figure(depth)} m into the ground"
    words = _FLOWS[direction]
    if surface.element in OPENINGS and construction.known_by == PARTS and surface.area_m2 is None:
        words = f"{figure(surface.width_m or 0.0)} × {figure(surface.height_m or 0.0)} m"
    return f"{words}, {'still air' if host.other_side in ('room', 'unheated', 'neighbour') else 'outside'} beyond"


def with_uses(values: Sequence[ConstructionValue], uses: Uses) -> tuple[ConstructionValue, ...]:
    """Return the constructions with the values that their surfaces count with, in the place of their most usual one."""
    return tuple(_with_uses(value, uses.get(value.id, {})) for value in values)


def _with_uses(value: ConstructionValue, uses: Mapping[str, Value]) -> ConstructionValue:
    if not uses:
        return value
    found = tuple(ConstructionUse(words, rounded(uses[words].u_value, U_VALUE)) for words in sorted(uses))
    steps = {rounded(uses[words].u_value, U_VALUE): (words, uses[words].step) for words in sorted(uses, reverse=True)}
    several = len(steps) > 1
    shown = [steps[number] for number in sorted(steps, reverse=True)]
    return replace(
        value,
        u_value_w_m2k=max(steps),
        source=shown[0][1].source,
        steps=tuple(replace(step, what=f"{step.what}, {words}") if several else step for words, step in shown),
        uses=found,
    )
