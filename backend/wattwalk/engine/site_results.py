"""The shapes of what is said of the site: zone, noise, water circuit, pipes, base, electricity.

Units are in the names, as in ``results.py``; ``None`` with ``missing`` means that it cannot be said.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from .results import Step


@dataclass(frozen=True)
class ZoneObject:
    """Something near a unit where it truly is; ``state`` is ``inside``, ``dealt_with``, ``outside``, ``above``, ``undecided``, ``harmless`` or ``not_known``.

    ``undecided``: not inside a planning shape, which no more says than that the maker's own drawing decides.
    """

    id: str
    type: str
    words: str
    along_m: float | None
    out_m: float | None
    up_m: float | None
    state: str


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

    ``is_makers`` is False while ``corners`` are a planning shape, not a maker's; ``corners`` is empty for a refrigerant whose zone is not worked out here.  ``unit`` is left, right, back, front in m.
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
class RunFlow:
    """One pipe run with water in it: velocity and gradient against their limits; ``drop_kpa`` is both legs, fittings and end."""

    id: str
    name: str
    purpose: str
    pipe: str
    carries_kw: float | None
    flow_l_min: float | None
    velocity_m_s: float | None
    velocity_limit_m_s: float | None
    gradient_pa_m: float | None
    gradient_limit_pa_m: float | None
    length_m: float | None
    drop_kpa: float | None
    surplus_kpa: float | None
    balancing_kv_m3_h: float | None
    verdict: str
    missing: tuple[str, ...]
    steps: tuple[Step, ...]


@dataclass(frozen=True)
class StretchHeat:
    """Heat lost by flow and return in one stretch at the design cold, and what the next thickness would save."""

    place: str
    length_m: float
    around_c: float
    loss_w: float
    thicker_mm: float | None
    saves_w: float | None
    to_freezing_h: float | None
    quarter_ice_h: float | None


@dataclass(frozen=True)
class RunHeat:
    """Heat lost by one pipe run; without insulation written down it is counted bare."""

    id: str
    name: str
    stretches: tuple[StretchHeat, ...]
    loss_w: float | None
    outside_loss_w: float | None
    saves_w: float | None
    missing: tuple[str, ...]
    steps: tuple[Step, ...]


@dataclass(frozen=True)
class CircuitVessel:
    """A vessel or fitting in the circuit with its pressure drop at the design flow, where its Kv is known."""

    id: str
    type: str
    words: str
    litres: float | None
    drop_kpa: float | None


@dataclass(frozen=True)
class CircuitAssessment:
    """The heating water as a whole: flow, index circuit, content, least volume, expansion, mixing."""

    fluid: str
    mean_c: float | None
    load_kw: float | None
    load_words: str
    flow_l_min: float | None
    difference_k: float
    vessels: tuple[CircuitVessel, ...]
    index_words: str
    index_kpa: float | None
    residual_kpa: float | None
    content_l: float | None
    content_parts: tuple[tuple[str, float], ...]
    open_l: float | None
    needed_l: float | None
    needed_words: str
    volumiser_l: float | None
    expansion_l: float | None
    expansion_has_l: float | None
    fill_bar: float | None
    mixing_words: str
    missing: tuple[str, ...]
    steps: tuple[Step, ...]


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


@dataclass(frozen=True)
class CableSizing:
    """One power cable: design current against what it carries, its drop, and the longest it may be."""

    id: str
    name: str
    cable: str
    current_a: float | None
    device_a: float | None
    carries_a: float | None
    length_m: float | None
    drop_v: float | None
    drop_share: float | None
    longest_m: float | None
    missing: tuple[str, ...]
    steps: tuple[Step, ...]


@dataclass(frozen=True)
class SupplyAssessment:
    """The highest demand with the unit against the main fuse, and what is to be asked of the network operator (``notify`` or ``apply``)."""

    house_a: float | None
    unit_a: float | None
    demand_a: float | None
    fuse_a: float | None
    ask: str | None
    words: str
    cables: tuple[CableSizing, ...]
    missing: tuple[str, ...]
    steps: tuple[Step, ...]


@dataclass(frozen=True)
class SiteAssessment:
    """Everything that is said of the site and of the water between unit and house."""

    zones: tuple[ZonePlan, ...] = ()
    noise: tuple[NoiseAssessment, ...] = ()
    circuit: CircuitAssessment | None = None
    runs: tuple[RunFlow, ...] = ()
    heat: tuple[RunHeat, ...] = ()
    bases: tuple[BaseStanding, ...] = ()
    supply: SupplyAssessment | None = None
