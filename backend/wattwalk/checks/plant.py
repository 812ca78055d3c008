"""What the check book asks of the modules of unit, hot water and running cost, by the name in its rows."""

from __future__ import annotations

from collections.abc import Callable
from math import fsum
from typing import Any

from wattwalk.catalogue import table
from wattwalk.engine.cost import running_cost
from wattwalk.engine.hot_water import charge, discharge, need
from wattwalk.engine.unit import scop
from wattwalk.engine.unit import table as unit_table
from wattwalk.engine.unit import year as unit_year


def _rating(points: list[list[float]], **given: Any) -> scop.Rating:
    return scop.seasonal_rating([scop.Declared(*point) for point in points], **given)


def _full_load_hours(climate: str) -> float:
    design_c = table(scop.CLIMATES).get(climate=climate).number("design_c")
    return fsum(
        row.number("hours_h") * scop.part_load(row.number("outside_c"), design_c)
        for row in table(scop.BINS).where("climate", climate)
    )


def _cop(points: list[list[float]], outside_c: float, flow_c: float) -> float:
    return unit_table.build_table("case", [unit_table.TablePoint(*point) for point in points]).at(outside_c, flow_c).cop


def _bivalent(load_w: float, inside_c: float, at_c: float, points: list[list[float]]) -> tuple[float, float]:
    (cold, cold_kw), (mild, mild_kw) = points
    found = unit_year.bivalent_point(
        lambda outside: load_w / 1000 * (inside_c - outside) / (inside_c - at_c),
        lambda outside: cold_kw + (mild_kw - cold_kw) * (outside - cold) / (mild - cold),
    )
    if found is None:
        raise ValueError("output and load of a case do not meet")
    return found


def _carbon(fuel: str, factor_set: str, efficiency: float) -> float:
    return table(running_cost.FACTORS).get(fuel=fuel, factor_set=factor_set).number("carbon_kg_kwh") / efficiency


def _smallest_pipe(**given: Any) -> float:
    found = discharge.smallest_pipe(**given)
    if found is None:
        raise ValueError("no pipe of the table may be so long")
    return found


PLANT_FUNCTIONS: dict[str, Callable[..., float]] = {
    "carnot": unit_table.carnot,
    "table_cop": _cop,
    "part_load": scop.part_load,
    "cycling_factor": scop.cycling_factor,
    "scop": lambda **given: _rating(**given).scop,
    "season_heat_kwh": lambda **given: _rating(**given).heat_kwh,
    "season_heater_kwh": lambda **given: _rating(**given).heater_kwh,
    "full_load_h": _full_load_hours,
    "bivalent_c": lambda **given: _bivalent(**given)[0],
    "bivalent_kw": lambda **given: _bivalent(**given)[1],
    "water_heat_kwh": charge.heat_kwh,
    "reheat_min": charge.reheat_minutes,
    "coil_kw": charge.coil_power_kw,
    "coil_effectiveness": charge.coil_effectiveness,
    "coil_flow_c": charge.coil_flow_c,
    "largest_loss_kwh": charge.largest_loss_kwh,
    "at_the_tap_l": charge.at_the_tap_l,
    "people": need.people_by_area,
    "sap_litres": lambda floor_area_m2: need.sap_litres(need.people_by_area(floor_area_m2)),
    "sap_hot_water_kwh": need.sap_heat_kwh,
    "discharge_m": discharge.equivalent_length,
    "discharge_mm": _smallest_pipe,
    "cost_p_kwh": running_cost.cost_of_heat,
    "break_even": running_cost.break_even,
    "carbon_kg_kwh": _carbon,
}
