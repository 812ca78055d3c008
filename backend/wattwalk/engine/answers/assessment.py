"""The one answer: everything the engine says of one survey."""

from __future__ import annotations

from dataclasses import dataclass, field

from .circuit import CircuitAssessment, RunFlow, RunHeat
from .cost import RunningCost
from .electric import CableAssessment, SupplyAssessment
from .hot_water import HotWaterResult
from .losses import Climate, ColdFace, ConstructionValue, PartOfHouse, SpaceBalance, VentilationMethod
from .place import BaseAssessment, BaseStanding, NoiseAssessment, ZonePlan
from .rooms import BuildingLoss, RoomAssessment
from .said import Finding, Source, Step
from .season import Compensation, EnergyEstimate, FlowTemperature, HeatOfYear, Improvements
from .unit import DayPart, LoadTerm, UnitResult, chosen_of


@dataclass(frozen=True)
class SiteAssessment:
    """Everything that is said of the site and of the water between unit and house."""

    zones: tuple[ZonePlan, ...]
    noise: tuple[NoiseAssessment, ...]
    circuit: CircuitAssessment | None
    runs: tuple[RunFlow, ...]
    heat: tuple[RunHeat, ...]
    bases: tuple[BaseStanding, ...]
    supply: SupplyAssessment | None


@dataclass(frozen=True)
class PlantAssessment:
    """The unit, the hot water and the running cost of one house.

    ``scop_words`` say where the table does not cover the outlet that makers declare for.  ``load_terms`` are what the unit's load is made of, ``BuildingLoss.unit_size_w`` their sum; ``year`` is the same through a year, with the hot water.  ``units`` are those in question, the best first; ``day_parts`` and ``steps`` are those of the chosen one.
    ``so_far`` stands beside these while a room of the house does not close; hot water, cost and year have their own.
    """

    load_kw: float | None
    units: tuple[UnitResult, ...]
    day_parts: tuple[DayPart, ...]
    scop_35: float | None
    scop_55: float | None
    steps: tuple[Step, ...]
    hot_water: HotWaterResult | None
    cost: RunningCost | None
    load_terms: tuple[LoadTerm, ...] = ()
    year: HeatOfYear | None = None
    scop_words: str = ""
    so_far: str = ""

    @property
    def chosen(self) -> UnitResult | None:
        """The unit that the design names, if it is one of those in question."""
        return chosen_of(self.units)


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
    site: SiteAssessment
    ventilation: tuple[VentilationMethod, ...] = ()
    spaces: tuple[SpaceBalance, ...] = ()
    cold_faces: tuple[ColdFace, ...] = ()
    compensation: Compensation | None = None
    energy: EnergyEstimate | None = None
    improvements: Improvements | None = None
    #: The parts of a house that has several; none where all of it has one age.
    parts: tuple[PartOfHouse, ...] = ()
    plant: PlantAssessment = field(kw_only=True)
