"""The shapes of what is said of the outdoor place: zone, clearances, sound, base.

Units are in the names; ``None`` with ``missing`` means that it cannot be said.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from .said import Step

#: How something near a unit lies to its zone.
ZoneState = Literal["inside", "dealt_with", "outside", "above", "undecided", "harmless", "not_known"]


@dataclass(frozen=True)
class ZoneObject:
    """Something near a unit where it truly is; ``state`` says how it lies to the zone.

    ``undecided``: not inside a planning shape, which no more says than that the maker's own drawing decides.
    """

    id: str
    type: str
    words: str
    along_m: float | None
    out_m: float | None
    up_m: float | None
    state: ZoneState


@dataclass(frozen=True)
class Clearance:
    """Room on one side of a unit against what it needs, mm; ``is_declared`` when the maker's figure is used."""

    side: str
    has_mm: float | None
    needs_mm: float
    is_declared: bool


@dataclass(frozen=True)
class ZonePlan:
    """One place of a unit seen from above: zone as corners in m (along, out), the unit's outline, everything near.

    ``is_makers`` is False while ``corners`` are a planning shape, not a maker's; ``corners`` is empty for a refrigerant that
    does not burn.  ``safety_class`` is the one that the place is judged by, ``hazard`` how the refrigerant spreads and burns.  ``unit`` is left, right, back, front in m.
    """

    id: str
    name: str
    shape: str
    is_makers: bool
    corners: tuple[tuple[float, float], ...]
    top_m: float | None
    unit: tuple[float, float, float, float] | None
    objects: tuple[ZoneObject, ...]
    clearances: tuple[Clearance, ...]
    missing: tuple[str, ...]
    source: str
    safety_class: str = "a3"
    hazard: str = ""


@dataclass(frozen=True)
class NoiseAssessment:
    """Sound at the neighbour's window against the planning limit.

    ``level_dba`` is that of the units alone, ``compared_dba`` what the edition compares (with its background when it asks for one).
    ``just_does_m`` is the distance of the first unit at which the limit would just be met.
    """

    id: str
    name: str
    level_dba: float | None
    compared_dba: float | None
    limit_dba: float | None
    margin_db: float | None
    just_does_m: float | None
    edition: str
    words: str
    missing: tuple[str, ...]
    steps: tuple[Step, ...]
    source: str


@dataclass(frozen=True)
class BasePoint:
    """One reading turned into a height above the lowest point, and its distance from the fitted plane."""

    id: str
    x_mm: float
    y_mm: float
    height_mm: float
    residual_mm: float


@dataclass(frozen=True)
class BaseFoot:
    """One foot of the unit: where it stands and the packing it needs to bring the unit level."""

    name: str
    x_mm: float
    y_mm: float
    height_mm: float
    packing_mm: float


@dataclass(frozen=True)
class BaseAssessment:
    """Level of one base: least-squares plane through the readings, fall, flatness, packing per foot."""

    id: str
    name: str
    length_mm: float | None
    width_mm: float | None
    points: tuple[BasePoint, ...]
    slope_x_mm_m: float | None
    slope_y_mm_m: float | None
    fall_mm_m: float | None
    fall_across_base_mm: float | None
    falls_toward: str | None
    worst_residual_mm: float | None
    feet: tuple[BaseFoot, ...]
    missing: tuple[str, ...]
    steps: tuple[Step, ...]
    source: str


@dataclass(frozen=True)
class BaseStanding:
    """Whether a base can carry the unit: its edges, the ground under it, its age."""

    id: str
    name: str
    edge_mm: float | None
    bearing_kpa: float | None
    foot_kpa: float | None
    earliest_day: str | None
    age_days: float | None
    share_at_visit: float | None
    missing: tuple[str, ...]
    steps: tuple[Step, ...]
