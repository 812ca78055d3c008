"""The shapes of what the engine answers: typed, rounded, each figure with what it was made from.

Units are in the names: ``_w`` watt, ``_c`` degree Celsius, ``_k`` kelvin, ``_m2`` square metre,
``_w_m2k`` watt per square metre and kelvin, ``_mm`` millimetre.  ``None`` means: this cannot be said
with what is known; ``missing`` or a finding then says why, in plain words.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from .plant_results import PlantAssessment
from .site_results import SiteAssessment


class Severity(StrEnum):
    """How serious a finding is."""

    STOP = "stop"
    CHECK = "check"
    NOTE = "note"


class Verdict(StrEnum):
    """What can be said of a room's emitters at the flow temperature looked at."""

    ENOUGH = "enough"
    SHORT = "short"
    NO_EMITTER = "no_emitter"
    NOT_KNOWN = "not_known"


@dataclass(frozen=True)
class Source:
    """Where a formula or a figure comes from.

    ``confidence`` is one of ``published``, ``second-hand``, ``from memory``, ``common practice``.
    """

    key: str
    title: str
    edition: str
    clause: str
    confidence: str


@dataclass(frozen=True)
class Finding:
    """Something a person must know, with a remedy and the record it points at."""

    severity: Severity
    code: str
    record: str
    field: str | None
    message: str
    remedy: str
    source: str


@dataclass(frozen=True)
class Step:
    """One line of working: a formula with its numbers and its result, as the working pages print it."""

    what: str
    formula: str
    numbers: str
    result: float
    unit: str
    source: str


@dataclass(frozen=True)
class Month:
    """One month outside: its mean, and its degree days to a base of 15.5 °C."""

    name: str
    mean_c: float
    degree_days_kd: float


@dataclass(frozen=True)
class Climate:
    """The design outside temperature and the annual mean, and where they come from.

    ``percentiles_c`` has the station's design cold at 99 % and 99.6 %, carried up to the house, when a station rules.
    ``degree_days_kd`` are those of the region's monthly means, ``long_term_degree_days_kd`` an older mean of 20 years.
    """

    outside_c: float
    annual_mean_c: float
    words: str
    steps: tuple[Step, ...]
    region: int = 0
    region_name: str = ""
    percentiles_c: tuple[float, float] | None = None
    months: tuple[Month, ...] = ()
    degree_days_kd: float | None = None
    long_term_degree_days_kd: float | None = None


@dataclass(frozen=True)
class ConstructionValue:
    """The U-value of one construction and how it is known."""

    id: str
    name: str
    element: str
    u_value_w_m2k: float | None
    words: str
    source: str
    steps: tuple[Step, ...]


@dataclass(frozen=True)
class SurfaceLoss:
    """Heat that one surface carries out of a room (negative: into it) at design.

    ``loss_w = net_area_m2 × (u_value_w_m2k + bridge_w_m2k) × factor × temperature_difference_k``.
    """

    id: str
    room: str
    words: str
    element: str
    other_side: str
    construction: str
    gross_area_m2: float
    openings_m2: float
    net_area_m2: float
    u_value_w_m2k: float
    bridge_w_m2k: float
    factor: float
    temperature_difference_k: float
    loss_w: float
    source: str


@dataclass(frozen=True)
class BridgeLoss:
    """Heat in W along a line: ``loss_w = length_m × psi_w_mk × temperature_difference_k``."""

    words: str
    length_m: float
    psi_w_mk: float
    temperature_difference_k: float
    loss_w: float
    source: str


@dataclass(frozen=True)
class SpaceBalance:
    """An unheated space: its temperature at design, and its conductances to the rooms and to outside in W/K."""

    id: str
    name: str
    temperature_c: float | None
    inside_w_k: float
    outside_w_k: float | None
    missing: tuple[str, ...]
    steps: tuple[Step, ...]
    source: str


@dataclass(frozen=True)
class ColdFace:
    """The inside face of a surface in a room that is damp or kept cool: a caution, not a verdict.

    The two limits are the room's relative humidity in % at which mould can grow on it and water settles on it.
    """

    room: str
    surface: str
    words: str
    factor: float
    face_c: float
    mould_limit_pct: float
    condensation_limit_pct: float
    step: Step


@dataclass(frozen=True)
class VentilationLoss:
    """Heat carried out of a room by air: ``loss_w = heat_wh_m3k × air_changes_h × volume_m3 × difference``."""

    air_changes_h: float
    volume_m3: float
    heat_wh_m3k: float
    temperature_difference_k: float
    loss_w: float
    words: str
    source: str


@dataclass(frozen=True)
class VentilationMethod:
    """What one way of counting the air gives for the whole house, so that the choice between them is seen.

    ``house_w`` adds up the rooms; ``at_once_w`` is what they lose at the same time, where the method tells it apart.
    Both are None while something is missing.
    """

    method: str
    label: str
    is_used: bool
    house_w: float | None
    at_once_w: float | None
    air_changes_h: float | None
    words: str
    missing: tuple[str, ...]
    steps: tuple[Step, ...]
    source: str


@dataclass(frozen=True)
class FloorHeating:
    """A heated floor at the design flow: its surface, what it loses downward, its loops.

    ``downward_w_m2`` only sizes the water: the room's own floor surface already counts the loss.  The flow and the
    pressure are those of one loop, for the ``needed_w_m2`` of its output that the room asks for.
    """

    coefficient_w_m2k: float
    output_w_m2: float
    needed_w_m2: float
    surface_c: float
    limit_c: float
    limit_w_m2: float
    is_limited: bool
    downward_w_m2: float
    loops: int
    loop_m: float
    flow_l_min: float
    pressure_kpa: float
    is_laminar: bool
    words: str


@dataclass(frozen=True)
class EmitterOutput:
    """What one emitter gives at the design flow temperature, and how that was worked out.

    ``counts`` is False for an emitter that is to be taken out.
    """

    id: str
    type: str
    words: str
    counts: bool
    rated_w: float | None
    exponent: float | None
    driving_k: float | None
    output_w: float | None
    missing: tuple[str, ...]
    steps: tuple[Step, ...]
    source: str
    floor: FloorHeating | None = None


@dataclass(frozen=True)
class Replacement:
    """A panel radiator that would make a short room warm at the design flow, in the place of one of its emitters."""

    emitter: str
    type: str
    words: str
    height_mm: float
    length_mm: float
    rated_w: float
    output_w: float
    place: str
    source: str


@dataclass(frozen=True)
class RoomAssessment:
    """One room: what it loses, what its emitters give, the lowest flow temperature that serves it."""

    id: str
    name: str
    storey: str
    inside_c: float | None
    inside_words: str
    floor_area_m2: float | None
    volume_m3: float | None
    surfaces: tuple[SurfaceLoss, ...]
    ventilation: VentilationLoss | None
    fabric_w: float | None
    total_w: float | None
    emitters: tuple[EmitterOutput, ...]
    output_w: float | None
    margin_w: float | None
    verdict: Verdict
    lowest_flow_c: float | None
    missing: tuple[str, ...]
    replacements: tuple[Replacement, ...] = ()
    bridges: tuple[BridgeLoss, ...] = ()


@dataclass(frozen=True)
class BuildingLoss:
    """The house as a whole.  Inter-room flows cancel: ``between_rooms_w`` shows that they do.

    ``total_w`` is None while any room cannot be worked out; ``known_so_far_w`` then adds up the rest.
    ``unit_size_w`` is the load the unit is sized for: without the flows to heated neighbours.
    """

    total_w: float | None
    known_so_far_w: float
    outside_w: float
    ground_w: float
    unheated_w: float
    neighbour_w: float
    between_rooms_w: float
    ventilation_w: float
    unit_size_w: float | None
    floor_area_m2: float
    loss_w_m2: float | None
    coefficient_w_k: float | None
    rooms_missing: tuple[str, ...]


@dataclass(frozen=True)
class FlowCandidate:
    """One flow temperature looked at, and how many rooms it leaves short."""

    flow_c: float
    rooms_short: int
    output_w: float


@dataclass(frozen=True)
class FlowTemperature:
    """The design flow temperature, and the lowest one that serves every room.

    ``lowest_c`` is None when a room cannot be served below the highest flow looked at, or is not known.
    """

    design_c: float
    difference_k: float
    design_words: str
    lowest_c: float | None
    set_by_room: str | None
    candidates: tuple[FlowCandidate, ...]
    words: str
    source: str


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
class Assessment:
    """Everything the engine says of one survey."""

    engine: str
    survey: str
    climate: Climate | None
    constructions: tuple[ConstructionValue, ...]
    rooms: tuple[RoomAssessment, ...]
    building: BuildingLoss
    flow: FlowTemperature | None
    bases: tuple[BaseAssessment, ...]
    cables: tuple[CableAssessment, ...]
    findings: tuple[Finding, ...]
    methods: tuple[str, ...]
    sources: tuple[Source, ...]
    site: SiteAssessment = field(default_factory=SiteAssessment)
    ventilation: tuple[VentilationMethod, ...] = ()
    spaces: tuple[SpaceBalance, ...] = ()
    cold_faces: tuple[ColdFace, ...] = ()
    compensation: Compensation | None = None
    energy: EnergyEstimate | None = None
    improvements: Improvements | None = None
    plant: PlantAssessment = field(default_factory=PlantAssessment)
