"""The shapes of what the engine says of the unit, the hot water and the running cost.

Units are in the names as in ``results.py``; amounts of money are decimal text in pounds.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from .results import Step


@dataclass(frozen=True)
class UnitResult:
    """One unit in question against the house: at the design cold, and through a year of room heating.

    ``covers`` is output over load at the design cold, ``bivalent_c`` the outside temperature at which the two meet (None: ``bivalent_words``
    says why), ``cycling_share`` the share of the year's heat given while the unit switches on and off.  Everything is None while
    ``missing`` says what is missing.
    """

    id: str
    name: str
    is_chosen: bool
    capacity_kw: float | None
    cop: float | None
    covers: float | None
    bivalent_c: float | None
    bivalent_words: str
    seasonal_efficiency: float | None
    electricity_kwh: float | None
    heater_kwh: float | None
    cycling_share: float | None
    verdict: str
    edges: tuple[str, ...]
    missing: tuple[str, ...]
    table_from: str


@dataclass(frozen=True)
class DayPart:
    """The load and the output of the chosen unit at one outside temperature, on its compensation line."""

    outside_c: float
    flow_c: float
    load_kw: float
    capacity_kw: float
    least_kw: float
    cop: float


@dataclass(frozen=True)
class HotWaterNeed:
    """What one way of counting asks for: people, litres a day at a temperature, heat a day; None while something is missing."""

    method: str
    label: str
    is_used: bool
    people: float | None
    litres_low: float | None
    litres_high: float | None
    water_c: float | None
    heat_kwh_day: float | None
    words: str
    source: str


@dataclass(frozen=True)
class HotWaterCharge:
    """One charge of the whole store at one outside temperature."""

    outside_c: float
    from_c: float
    to_c: float
    minutes: float
    end_flow_c: float
    end_kw: float
    efficiency: float
    is_held_back: bool


@dataclass(frozen=True)
class Discharge:
    """The pipe of a relief valve below its tundish: its length with the elbows counted in, and the longest allowed."""

    pipe_mm: float
    length_m: float
    elbows: int
    equivalent_m: float
    longest_m: float | None
    is_allowed: bool
    words: str
    source: str


@dataclass(frozen=True)
class CylinderFit:
    """One opening or side of the cylinder's place: what is there, what the cylinder needs, and whether it ``fits``, is ``tight`` or ``too_small``."""

    what: str
    has_mm: float | None
    needs_mm: float | None
    state: str


@dataclass(frozen=True)
class HotWaterResult:
    """Hot water: need, store, charge, what it takes from the heating on the coldest day, a year."""

    needs: tuple[HotWaterNeed, ...]
    content_l: float | None
    content_words: str
    usable_l: float | None
    at_the_tap_l: float | None
    shower_min: float | None
    charges: tuple[HotWaterCharge, ...]
    loss_kwh_day: float | None
    hours_day: float | None
    share_of_day: float | None
    capacity_asked_kw: float | None
    heat_kwh: float | None
    electricity_kwh: float | None
    discharge: Discharge | None
    fits: tuple[CylinderFit, ...]
    cautions: tuple[str, ...]
    missing: tuple[str, ...]
    steps: tuple[Step, ...]
    source: str


@dataclass(frozen=True)
class CostLine:
    """What one way of heating takes in a year, from the lowest to the highest that can be expected."""

    key: str
    name: str
    energy_low_kwh: float
    energy_high_kwh: float
    price_p_kwh: float | None
    pounds_low: str | None
    pounds_high: str | None
    carbon: tuple[CarbonLine, ...]
    words: str


@dataclass(frozen=True)
class CarbonLine:
    """Carbon dioxide of a year in kg by one set of factors; sets are never mixed."""

    factor_set: str
    kg_low: float
    kg_high: float
    source: str


@dataclass(frozen=True)
class Grant:
    """A grant that the dated table holds for this place, fuel and day; ``pounds`` is None where it holds none."""

    pounds: str | None
    words: str
    source: str


@dataclass(frozen=True)
class RunningCost:
    """A year's running cost and carbon against the present fuel: a range, not a promise."""

    lines: tuple[CostLine, ...]
    heat_low_kwh: float | None
    heat_high_kwh: float | None
    efficiency: float | None
    break_even_low: float | None
    break_even_high: float | None
    saved_low_pounds: str | None
    saved_high_pounds: str | None
    grant: Grant | None
    words: tuple[str, ...]
    missing: tuple[str, ...]
    steps: tuple[Step, ...]
    source: str


@dataclass(frozen=True)
class PlantAssessment:
    """The unit, the hot water and the running cost of one house.

    ``units`` are those in question, the best first; ``day_parts`` and ``steps`` are those of the chosen one.
    """

    load_kw: float | None = None
    units: tuple[UnitResult, ...] = ()
    day_parts: tuple[DayPart, ...] = ()
    scop_35: float | None = None
    scop_55: float | None = None
    steps: tuple[Step, ...] = ()
    hot_water: HotWaterResult | None = None
    cost: RunningCost | None = None

    @property
    def chosen(self) -> UnitResult | None:
        """The unit that the design names, if it is one of those in question."""
        return next((unit for unit in self.units if unit.is_chosen), None)

    def sources(self) -> Iterator[str]:
        """Give the sources of everything in it."""
        yield from (step.source for step in self.steps)
        if self.hot_water is not None:
            yield self.hot_water.source
            yield from (need.source for need in self.hot_water.needs)
            yield from (step.source for step in self.hot_water.steps)
            if self.hot_water.discharge is not None:
                yield self.hot_water.discharge.source
        if self.cost is not None:
            yield self.cost.source
            yield from (step.source for step in self.cost.steps)
            yield from (item.source for line in self.cost.lines for item in line.carbon)
            if self.cost.grant is not None:
                yield self.cost.grant.source
