"""The shapes of what is said of the supply and the cables.

Units are in the names; ``None`` with ``missing`` means that it cannot be said.
"""

from __future__ import annotations

from dataclasses import dataclass

from .said import Step


@dataclass(frozen=True)
class CableAssessment:
    """One cable run: its length and what was found."""

    id: str
    purpose: str
    words: str
    length_m: float | None
    run_by: str | None
    verdict: str
    missing: tuple[str, ...]


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
class PhaseDemand:
    """One phase of a supply of three: what house and unit draw from it at most, A."""

    phase: str
    house_a: float
    unit_a: float | None
    demand_a: float | None


@dataclass(frozen=True)
class SupplyAssessment:
    """The highest demand with the unit against the main fuse, and what is to be asked of the network operator (``notify`` or ``apply``).

    ``house_a`` and ``demand_a`` are those of the fullest phase, ``unit_a`` what the unit draws from each phase that it is on;
    ``phases`` has all three where there are three.
    """

    house_a: float | None
    unit_a: float | None
    demand_a: float | None
    fuse_a: float | None
    ask: str | None
    words: str
    cables: tuple[CableSizing, ...]
    missing: tuple[str, ...]
    steps: tuple[Step, ...]
    phases: tuple[PhaseDemand, ...] = ()
