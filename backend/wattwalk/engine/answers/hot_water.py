"""The shapes of what the engine says of the hot water.  Units are in the names."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from .said import Step


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
    state: Literal["fits", "tight", "too_small", "not_known"]


@dataclass(frozen=True)
class CylinderTrial:
    """An ordinary size of cylinder tried in the place that was measured, standing on its floor.

    ``state`` is the worst of its openings and sides (``fits``); ``not_known`` while one of them was not measured and none is too small.
    ``words`` say what keeps it out, or what is little; empty where it goes in with room.
    """

    nominal_l: float
    across_mm: float
    tall_mm: float
    full_kg: float
    state: Literal["fits", "tight", "too_small", "not_known"]
    fits: tuple[CylinderFit, ...]
    words: str
    source: str


@dataclass(frozen=True)
class HotWaterResult:
    """Hot water: need, store, charge, what it takes from the heating on the coldest day, a year.

    ``so_far`` stands beside ``capacity_asked_kw`` alone: the others hang on the store and on what the unit gives, not on the house's load.
    """

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
    sizes: tuple[CylinderTrial, ...] = ()
    so_far: str = ""
