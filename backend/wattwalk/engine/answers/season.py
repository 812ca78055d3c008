"""The shapes of what is said of the flow temperature and of a year with it.

Units are in the names; ``None`` with ``missing`` means that it cannot be said.  ``so_far`` is what stands beside their figures while a
room of the house does not close (``engine/so_far.py``); it is empty once all do.
"""

from __future__ import annotations

from dataclasses import dataclass

from .said import Step
from .unit import LoadCode


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
    so_far: str = ""


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
class HeatTerm:
    """One term of a year's heat in kWh; None while it is not known.

    A term that does not count is shown all the same, and ``words`` says why it counts or not and how it goes through the year.
    """

    code: LoadCode
    label: str
    heat_kwh: float | None
    counts: bool
    words: str
    source: str


@dataclass(frozen=True)
class EnergyEstimate:
    """A year of heating at the design flow with a generic heat pump; ``cost_pounds`` is decimal text.

    ``heat_kwh`` is the sum of those of its ``terms`` that count; ``coefficient_w_k`` is what of it goes with the outside temperature.
    """

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
    terms: tuple[HeatTerm, ...] = ()
    so_far: str = ""


@dataclass(frozen=True)
class HeatOfYear:
    """A year's heat as a sum: heating by its terms, and hot water where it is known; ``heat_kwh`` is all that counts."""

    terms: tuple[HeatTerm, ...]
    heat_kwh: float
    so_far: str = ""


@dataclass(frozen=True)
class Improvement:
    """One change, and what it buys against the state before it: lowest common flow, season, bill; ``limits`` says what it costs the rooms."""

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
    limits: str = ""


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
    so_far: str = ""
