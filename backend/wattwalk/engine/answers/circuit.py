"""The shapes of what is said of the heating water: runs, heat they lose, vessels, the circuit as a whole.

Units are in the names; ``None`` with ``missing`` means that it cannot be said.  ``so_far`` is what stands beside the figures while a room
of the house does not close: water and pipes are sized by its load.
"""

from __future__ import annotations

from dataclasses import dataclass

from .balance import WaterBalance
from .said import Step


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
    so_far: str = ""


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
    """The heating water as a whole: flow, index circuit, content, least volume, expansion, mixing.

    ``volumiser_l`` and ``expansion_l`` are worked out, ``volumiser_sold_l`` and ``expansion_sold_l`` the next sizes sold; None where
    the survey has enough, whose own size stands before the table's.
    """

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
    balance: WaterBalance | None = None
    volumiser_sold_l: float | None = None
    expansion_sold_l: float | None = None
    so_far: str = ""
