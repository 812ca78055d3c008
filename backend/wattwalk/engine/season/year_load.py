"""What the heating has to give through a year: the rooms, and what the water loses on its way to them, at each outside temperature."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import fsum
from typing import Literal

from ..answers.unit import LoadCode
from ..climate.weather import BASE_C
from .compensation import HeatCurve

#: Where a warm pipe runs: its surroundings are as cold as outside, as the ground, or as an unheated space.
Around = Literal["outdoors", "buried", "unheated"]


@dataclass(frozen=True)
class WarmPipe:
    """Warm pipes with the same surroundings: what they lose for each kelvin above them, W/K, and how warm those are at the design cold, °C."""

    loss_w_k: float
    around: Around
    around_c: float

    def watts(self, outside_c: float, water_c: float) -> float:
        """Return what they lose at an outside temperature with water of this mean temperature, °C.

        The ground stays at its yearly mean; an unheated space is never colder than outside.

        Examples
        --------
        >>> WarmPipe(2.0, "outdoors", -3.0).watts(7.0, 37.0)
        60.0
        >>> WarmPipe(2.0, "unheated", 8.0).watts(12.0, 37.0)
        50.0
        """
        around = outside_c if self.around == "outdoors" else self.around_c
        if self.around == "unheated":
            around = max(around, outside_c)
        return max(0.0, self.loss_w_k * (water_c - around))


@dataclass(frozen=True)
class YearLoad:
    """What has to be given through a year: ``line_w_k`` falls to nothing at the base temperature of degree days, ``floors_w_k`` goes with the mean water above the rooms, both W/K."""

    line_w_k: float = 0.0
    pipes: tuple[WarmPipe, ...] = ()
    floors_w_k: float = 0.0

    def watts(self, outside_c: float, curve: HeatCurve) -> float:
        """Return what has to be given at an outside temperature below 15.5 °C, with the water of a compensation line.

        Notes
        -----
        ``H (15.5 − θo) + Σ k (θw − θa) + k (θw − θi)``: the loss that the unit's load counts for rooms and neighbours, carried along the
        house's line; pipes outside heated rooms by the water in them; heat down from heated floors by the water above the rooms.

        Examples
        --------
        >>> YearLoad(200.0).watts(5.5, HeatCurve(21, 1.3, -3, 45, 5))
        2000.0
        """
        given = self.line_w_k * (BASE_C - outside_c)
        if self.pipes or self.floors_w_k:
            water = curve.mean_at(outside_c)
            given += self.floors_w_k * max(0.0, water - curve.inside_c)
            given += fsum(pipe.watts(outside_c, water) for pipe in self.pipes)
        return given

    def less(self, saved_w_k: float) -> YearLoad:
        """Return the load of a house that loses so much less for each kelvin."""
        return replace(self, line_w_k=self.line_w_k - saved_w_k)


@dataclass(frozen=True)
class YearPart:
    """One term of a year's heat: what of the load it is, how it goes through the year in words, and whether it counts; without a load it is not known."""

    code: LoadCode
    label: str
    load: YearLoad | None
    counts: bool
    words: str
    source: str


def together(parts: Sequence[YearPart]) -> YearLoad:
    """Return the terms that count as one load."""
    loads = [part.load for part in parts if part.counts and part.load is not None]
    return YearLoad(
        fsum(load.line_w_k for load in loads),
        tuple(pipe for load in loads for pipe in load.pipes),
        fsum(load.floors_w_k for load in loads),
    )
