"""The shapes of what is said of the flow temperature and of a year with it.

Units are in the names; ``None`` with ``missing`` means that it cannot be said.
"""

from __future__ import annotations

from dataclasses import dataclass

from .said import Step


@dataclass(frozen=True)
class FlowCandidate:
    """One flow temperature looked at, and how many rooms it leaves short."""

    flow_c: float
    rooms_short: int
    output_w: float


@dataclass(frozen=True)
class FlowTemperature:
    """The design flow temperature, and the lowest one that serves every room.

    ``lowest_c`` is None when a room cannot be served below the highest flow looked at, or is not known; while a room does not close it
    is the lowest one so far, and ``so_far`` says so.
    """

    design_c: float
    difference_k: float
    design_words: str
    lowest_c: float | None
    set_by_room: str | None
    candidates: tuple[FlowCandidate, ...]
    words: str
    source: str
    so_far: str = ""


@dataclass(frozen=True)
class CompensationPoint:
    """The flow that is needed at one outside temperature, and what a straight line through the two points set would give."""

    outside_c: float
    flow_c: float
    line_c: float


@dataclass(frozen=True)
class Compensation:
    """The weather-compensation line for the design flow, and the two points to set on a controller."""

    inside_c: float
    exponent: float
    cold_outside_c: float
    cold_flow_c: float
    mild_outside_c: float
    mild_flow_c: float
    slope: float
    points: tuple[CompensationPoint, ...]
    words: str
    steps: tuple[Step, ...]
    source: str


@dataclass(frozen=True)
class EnergyBin:
    """The hours of a year at one whole degree outside, and what the heating gives and takes in them."""

    outside_c: int
    hours: float
    heat_kwh: float
    flow_c: float
    efficiency: float
    electricity_kwh: float


@dataclass(frozen=True)
class EnergyEstimate:
    """A year of room heating at the design flow with a generic heat pump; ``cost_pounds`` is decimal text."""

    flow_c: float
    base_c: float
    coefficient_w_k: float
    heat_kwh: float
    electricity_kwh: float
    seasonal_efficiency: float
    price_p_kwh: float | None
    cost_pounds: str | None
    words: str
    bins: tuple[EnergyBin, ...]
    steps: tuple[Step, ...]
    source: str


@dataclass(frozen=True)
class Improvement:
    """One change, and what it buys against the state before it: lowest common flow, season, bill."""

    kind: str
    what: str
    record: str
    room: str | None
    lowest_flow_c: float | None
    reduction_k: float | None
    set_by_room: str | None
    loss_saved_w: float
    seasonal_efficiency: float | None
    electricity_kwh: float | None
    saved_kwh: float | None
    saved_pounds: str | None
    source: str


@dataclass(frozen=True)
class Improvements:
    """What would lower the flow temperature: each change by itself, best first, and the best ones one after the other."""

    flow_c: float | None
    set_by_room: str | None
    seasonal_efficiency: float | None
    electricity_kwh: float | None
    cost_pounds: str | None
    single: tuple[Improvement, ...]
    in_turn: tuple[Improvement, ...]
    words: str
    source: str
