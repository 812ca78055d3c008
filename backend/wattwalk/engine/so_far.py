"""What stands beside the figures of a house that does not close: the same words wherever the load of the house has a part in them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any, ClassVar, Protocol, TypeVar

from .answers import Assessment, PlantAssessment, SiteAssessment


class _HasSoFar(Protocol):
    """A shape of the answer beside whose figures the words stand."""

    __dataclass_fields__: ClassVar[dict[str, Any]]

    @property
    def so_far(self) -> str: ...


_Part = TypeVar("_Part", bound=_HasSoFar)


def beside_open(answer: Assessment) -> Assessment:
    """Return an answer in which every part that hangs on the house's load says how much of the house is said so far.

    Parameters
    ----------
    answer : Assessment
        With ``building.so_far``, which is empty once every room closes; it is then returned as it is.

    Notes
    -----
    Rooms, building and flow temperature say it where they are worked out. What a bill decides alone, and what of the hot water hangs on
    the store and the unit, is whole however the rooms stand.
    """
    words = answer.building.so_far
    if not words:
        return answer
    return replace(
        answer,
        ventilation=_each(answer.ventilation, words),
        compensation=_told(answer.compensation, words),
        energy=_told(answer.energy, words),
        improvements=_told(answer.improvements, words),
        plant=_plant(answer.plant, words),
        site=_site(answer.site, words),
    )


def _told(part: _Part | None, words: str) -> _Part | None:
    return None if part is None else replace(part, so_far=words)


def _each(parts: Iterable[_Part], words: str) -> tuple[_Part, ...]:
    return tuple(replace(part, so_far=words) for part in parts)


def _plant(plant: PlantAssessment, words: str) -> PlantAssessment:
    water, cost = plant.hot_water, plant.cost
    return replace(
        plant,
        hot_water=water if water is None or water.capacity_asked_kw is None else _told(water, words),
        cost=cost if cost is None or cost.efficiency is None else _told(cost, words),
        year=_told(plant.year, words),
        so_far=words,
    )


def _site(site: SiteAssessment, words: str) -> SiteAssessment:
    return replace(site, circuit=_told(site.circuit, words), runs=_each(site.runs, words))
