"""The plant of the house in one call: the units in question, the hot water, the running cost."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from wattwalk.survey.document import Survey
from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.works import Design

from .compensation import heat_curve
from .flow import HeatedRoom
from .hot_water import assess_hot_water
from .plant_results import HotWaterResult, PlantAssessment
from .results import BuildingLoss, Climate, EnergyEstimate, Finding
from .rounding import rounded
from .running_cost import HeatYear, assess_cost
from .shortlist import Units, assess_units
from .unit_year import House


def assess_plant(
    survey: Survey, record: SurveyRecord, design: Design, climate: Climate | None, building: BuildingLoss, rooms: Sequence[HeatedRoom], energy: EnergyEstimate | None
) -> tuple[PlantAssessment, list[Finding]]:
    """Return what can be said of unit, hot water and running cost, and the findings.

    Parameters
    ----------
    survey, record, design
        The survey with its household and its design.
    climate : Climate or None
        Without one only the hot water's need and its place can be said.
    building, rooms
        The house as a whole, and its rooms with their emitters.
    energy : EnergyEstimate or None
        The year of heating with a generic heat pump, which stands in while no unit with a table is chosen.
    """
    flow_c, difference_k = design.effective("flow_temperature_c"), design.effective("flow_return_difference_k")
    house = _house(climate, building, rooms, flow_c, difference_k)
    units, findings = assess_units(survey, design, house, flow_c)
    chosen = next((unit for unit in units.results if unit.is_chosen), None)
    capacity = chosen.capacity_kw if chosen is not None else design.unit_capacity_kw
    load = None if house is None else house.load_w / 1000
    water, more = assess_hot_water(survey, record, design, climate, units.table, capacity, load, building.floor_area_m2)
    findings += more
    cost, more = assess_cost(record, _heat_year(units, water, energy))
    findings += more
    plant = PlantAssessment(
        load_kw=None if load is None else rounded(load, 2), units=units.results, day_parts=units.day_parts, scop_35=units.scop_35, scop_55=units.scop_55, steps=units.steps, hot_water=water, cost=cost
    )
    return plant, findings


def with_output(design: Design, plant: PlantAssessment) -> Design:
    """Return the design with the output of the chosen unit's table at the design cold, which knows better than a typed one."""
    chosen = plant.chosen
    return design if chosen is None or chosen.capacity_kw is None else replace(design, unit_capacity_kw=chosen.capacity_kw)


def _house(climate: Climate | None, building: BuildingLoss, rooms: Sequence[HeatedRoom], flow_c: float, difference_k: float) -> House | None:
    if climate is None or building.unit_size_w is None or building.coefficient_w_k is None:
        return None
    curve = heat_curve(rooms, flow_c, difference_k, climate.outside_c)
    if curve is None or building.unit_size_w <= 0:
        return None
    return House(building.unit_size_w, climate.outside_c, building.coefficient_w_k, curve, float(climate.region))


def _heat_year(units: Units, water: HotWaterResult | None, energy: EnergyEstimate | None) -> HeatYear | None:
    """Return heat and electricity of a year: the chosen unit's where there is one, with the hot water where it is known."""
    if units.year is not None:
        heat, electricity, words = units.year.heat_kwh, units.year.electricity_kwh, "heating by the chosen unit's table"
        if units.table is not None:
            # Standing by takes power all year; while it runs, the table counts it in.
            electricity += units.table.standby_w / 1000 * max(0.0, 8760 - units.year.heating_h)
    elif energy is not None:
        heat, electricity, words = energy.heat_kwh, energy.electricity_kwh, "heating by a generic heat pump"
    else:
        return None
    if water is not None and water.heat_kwh is not None and water.electricity_kwh is not None:
        return HeatYear(heat + water.heat_kwh, electricity + water.electricity_kwh, f"{words}, and hot water")
    return HeatYear(heat, electricity, f"{words}, hot water left out")
