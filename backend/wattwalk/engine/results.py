"""The shapes of what the engine answers: typed, rounded, each figure with what it was made from.

Every shape is had from here; they lie in a module for each subject.

Units are in the names: ``_w`` watt, ``_c`` degree Celsius, ``_k`` kelvin, ``_m2`` square metre,
``_w_m2k`` watt per square metre and kelvin, ``_mm`` millimetre.  ``None`` means: this cannot be said
with what is known; ``missing`` or a finding then says why, in plain words.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from .loss_results import BridgeLoss, Climate, ColdFace, ConstructionValue, Month, SpaceBalance, SurfaceLoss, VentilationLoss, VentilationMethod
from .plant_results import PlantAssessment
from .room_results import BuildingLoss, EmitterOutput, FloorHeating, Replacement, RoomAssessment
from .said_results import Finding, Severity, Source, Step, Verdict
from .season_results import Compensation, CompensationPoint, EnergyBin, EnergyEstimate, FlowCandidate, FlowTemperature, Improvement, Improvements
from .site_results import SiteAssessment

__all__ = [
    "Assessment",
    "BaseAssessment",
    "BaseFoot",
    "BasePoint",
    "BridgeLoss",
    "BuildingLoss",
    "CableAssessment",
    "Climate",
    "ColdFace",
    "Compensation",
    "CompensationPoint",
    "ConstructionValue",
    "EmitterOutput",
    "EnergyBin",
    "EnergyEstimate",
    "Finding",
    "FloorHeating",
    "FlowCandidate",
    "FlowTemperature",
    "Improvement",
    "Improvements",
    "Month",
    "PlantAssessment",
    "Replacement",
    "RoomAssessment",
    "Severity",
    "SiteAssessment",
    "Source",
    "SpaceBalance",
    "Step",
    "SurfaceLoss",
    "VentilationLoss",
    "VentilationMethod",
    "Verdict",
]


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
