"""The shapes of what the engine answers: typed, rounded, each figure with what it was made from.

Every shape is had from here; they lie in a module for each subject.

Units are in the names: ``_w`` watt, ``_c`` degree Celsius, ``_k`` kelvin, ``_m2`` square metre,
``_w_m2k`` watt per square metre and kelvin, ``_mm`` millimetre.  ``None`` means: this cannot be said
with what is known; ``missing`` or a finding then says why, in plain words.
"""

from .assessment import Assessment, PlantAssessment, SiteAssessment
from .balance import ControlPoint, EmitterWater, MixedWater, WaterBalance
from .circuit import CircuitAssessment, CircuitVessel, RunFlow, RunHeat, StretchHeat
from .cost import CarbonLine, CostLine, Grant, RunningCost
from .electric import CableAssessment, CableSizing, PhaseDemand, SupplyAssessment
from .hot_water import CylinderFit, CylinderTrial, Discharge, HotWaterCharge, HotWaterNeed, HotWaterResult
from .losses import (
    BridgeLoss,
    Climate,
    ColdFace,
    ConstructionUse,
    ConstructionValue,
    Month,
    PartOfHouse,
    SpaceBalance,
    SurfaceLoss,
    VentilationLoss,
    VentilationMethod,
)
from .place import (
    BaseAssessment,
    BaseFoot,
    BasePoint,
    BaseStanding,
    Clearance,
    NoiseAssessment,
    ZoneObject,
    ZonePlan,
)
from .ranges import Bring, FactSpan, Ranges, RoomSpan, Span, Witness
from .rooms import BuildingLoss, EmitterOutput, FloorHeating, Replacement, RoomAssessment, RoomHole
from .said import Finding, Severity, Source, Step, Verdict
from .season import (
    Compensation,
    CompensationPoint,
    EnergyBin,
    EnergyEstimate,
    FlowCandidate,
    FlowTemperature,
    HeatOfYear,
    HeatTerm,
    Improvement,
    Improvements,
)
from .unit import DayPart, LoadTerm, UnitResult

__all__ = [
    "Assessment",
    "BaseAssessment",
    "BaseFoot",
    "BasePoint",
    "BaseStanding",
    "BridgeLoss",
    "Bring",
    "BuildingLoss",
    "CableAssessment",
    "CableSizing",
    "CarbonLine",
    "CircuitAssessment",
    "CircuitVessel",
    "Clearance",
    "Climate",
    "ColdFace",
    "Compensation",
    "CompensationPoint",
    "ControlPoint",
    "ConstructionUse",
    "ConstructionValue",
    "CostLine",
    "CylinderFit",
    "CylinderTrial",
    "DayPart",
    "Discharge",
    "EmitterOutput",
    "EmitterWater",
    "EnergyBin",
    "EnergyEstimate",
    "FactSpan",
    "Finding",
    "FloorHeating",
    "FlowCandidate",
    "FlowTemperature",
    "HeatOfYear",
    "HeatTerm",
    "Grant",
    "HotWaterCharge",
    "HotWaterNeed",
    "HotWaterResult",
    "Improvement",
    "Improvements",
    "LoadTerm",
    "MixedWater",
    "Month",
    "NoiseAssessment",
    "PartOfHouse",
    "PhaseDemand",
    "PlantAssessment",
    "Ranges",
    "Replacement",
    "RoomAssessment",
    "RoomHole",
    "RoomSpan",
    "RunFlow",
    "RunHeat",
    "RunningCost",
    "Severity",
    "SiteAssessment",
    "Source",
    "SpaceBalance",
    "Span",
    "Step",
    "StretchHeat",
    "SupplyAssessment",
    "SurfaceLoss",
    "UnitResult",
    "VentilationLoss",
    "VentilationMethod",
    "Verdict",
    "WaterBalance",
    "Witness",
    "ZoneObject",
    "ZonePlan",
]
