"""The report's parts on the unit, the hot water and the running cost, in plain words."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from wattwalk.engine.answers import Assessment, CostLine, HotWaterResult, Step, UnitResult
from wattwalk.engine.answers.words import FACTOR_SETS, FIT_WORDS, UNIT_WORDS, inside_a_sentence
from wattwalk.pictures.svg import MINUS, amount
from wattwalk.survey.document import Survey
from wattwalk.survey.standing import chosen_unit

from .figures import NBSP, bare, beside, degrees, quantity
from .report_inputs import ReportInputs


def _percent(share: float | None) -> str:
    return "–" if share is None else f"{amount(100 * share)}{NBSP}%"


def whole_pounds(text: str) -> str:
    """Write an amount in whole pounds."""
    value = round(float(text))
    return f"{MINUS if value < 0 else ''}£{amount(abs(value))}"


def span(low: str, high: str) -> str:
    """Write a range; one figure where both ends are the same."""
    return low if low == high else f"{low} to {high}"


def _unit(unit: UnitResult) -> dict[str, str]:
    return {
        "name": unit.name,
        "is_chosen": "chosen" if unit.is_chosen else "",
        "from": unit.table_from,
        "capacity": bare(unit.capacity_kw, 1),
        "cop": bare(unit.cop, 2),
        "covers": _percent(unit.covers),
        "bivalent": unit.bivalent_words,
        "season": bare(unit.seasonal_efficiency, 2),
        "electricity": bare(unit.electricity_kwh),
        "cycling": _percent(unit.cycling_share),
        "verdict": inside_a_sentence(UNIT_WORDS[unit.verdict]),
        "state": "enough"
        if unit.verdict in ("covers", "large")
        else "short"
        if unit.verdict in ("short", "too_cool")
        else "not_known",
        "missing": ", ".join(unit.missing),
        "edges": "; ".join(unit.edges),
    }


def unit_table(survey: Survey) -> dict[str, Any] | None:
    """Return the table of the chosen unit that everything of it is worked out from; None while it has none."""
    unit = chosen_unit(survey)
    if unit is None or not unit.points:
        return None
    points = sorted(unit.points, key=lambda row: (row.get("flow_c") or 0.0, row.get("outside_c") or 0.0))
    return {
        "name": unit.title,
        "rows": [
            {
                "flow": bare(row.get("flow_c"), 0),
                "outside": bare(row.get("outside_c"), 0),
                "capacity": bare(row.get("capacity_kw"), 2),
                "cop": bare(row.get("cop"), 2),
                "least": bare(row.get("least_kw"), 2),
            }
            for row in points
        ],
    }


def unit_block(assessment: Assessment) -> dict[str, Any]:
    """Return the units in question, best first, and the chosen one through the temperatures."""
    plant, chosen = assessment.plant, assessment.plant.chosen
    outside = degrees(assessment.climate.outside_c) if assessment.climate is not None else ""
    words = ""
    if chosen is not None and chosen.capacity_kw is not None and plant.load_kw is not None:
        open_words = f" ({plant.so_far})" if plant.so_far else ""
        words = f"The house needs {quantity(plant.load_kw, 'kW', 1)} at {outside}{open_words}. {chosen.name} gives {quantity(chosen.capacity_kw, 'kW', 1)} there; output and load meet {chosen.bivalent_words}."
        if plant.scop_35 is not None and plant.scop_55 is not None:
            words += f" By EN 14825, average climate, its table comes to a seasonal efficiency of {bare(plant.scop_35, 2)} at 35{NBSP}°C and {bare(plant.scop_55, 2)} at 55{NBSP}°C, to compare with what its maker declares."
            if plant.scop_words:
                words += f" Makers declare for water that gets cooler as it gets milder; this table has not all of it, so a declared value may well be higher ({plant.scop_words})."
    return {
        "words": words,
        "so_far": beside(plant.so_far),
        "units": [_unit(unit) for unit in plant.units],
        "parts": [
            {
                "outside": bare(item.outside_c, 1),
                "flow": bare(item.flow_c, 1),
                "load": bare(item.load_kw, 1),
                "capacity": bare(item.capacity_kw, 1),
                "least": bare(item.least_kw, 1),
                "cop": bare(item.cop, 2),
            }
            for item in plant.day_parts
        ],
    }


def _water_facts(water: HotWaterResult) -> list[tuple[str, str]]:
    facts = [
        (
            "Content of the cylinder",
            f"{quantity(water.content_l, 'l')}, {water.content_words}"
            if water.content_l is not None
            else water.content_words,
        )
    ]
    if water.usable_l is not None:
        facts.append(("Of that, usable", quantity(water.usable_l, "l")))
    if water.at_the_tap_l is not None:
        facts.append(
            (
                "At the tap, mixed to 40 °C",
                f"{quantity(water.at_the_tap_l, 'l')}, about {bare(water.shower_min)} minutes of shower",
            )
        )
    for item in water.charges:
        facts.append(
            (
                f"Warming from {degrees(item.from_c)} to {degrees(item.to_c)} at {degrees(item.outside_c)} outside",
                f"{quantity(item.minutes, 'minutes')}, ending at {degrees(item.end_flow_c)} flow and {quantity(item.end_kw, 'kW', 1)}; efficiency {bare(item.efficiency, 2)}",
            )
        )
    if water.hours_day is not None:
        facts.append(
            (
                "On the coldest day hot water takes",
                f"{quantity(water.hours_day, 'hours', 1)} ({_percent(water.share_of_day)} of the day), when the rooms are not heated",
            )
        )
    if water.capacity_asked_kw is not None:
        facts.append(
            (
                "Output that serves heating and hot water",
                quantity(water.capacity_asked_kw, "kW", 1) + beside(water.so_far),
            )
        )
    if water.loss_kwh_day is not None:
        facts.append(("The cylinder loses in a day", quantity(water.loss_kwh_day, "kWh", 2)))
    if water.heat_kwh is not None:
        facts.append(
            (
                "A year of hot water",
                f"{quantity(water.heat_kwh, 'kWh')} of heat from {quantity(water.electricity_kwh, 'kWh')} of electricity",
            )
        )
    for fit in water.fits:
        if fit.state != "not_known":
            facts.append(
                (
                    fit.what.capitalize(),
                    f"{quantity(fit.has_mm, 'mm')} for {quantity(fit.needs_mm, 'mm')} of the cylinder: {inside_a_sentence(FIT_WORDS[fit.state])}",
                )
            )
    if water.discharge is not None:
        facts.append(("Discharge pipe", water.discharge.words + ("" if water.discharge.is_allowed else ": too long")))
    return facts


def water_block(assessment: Assessment) -> dict[str, Any] | None:
    """Return the need by each method, what the store does, and the cautions; None while no hot water was surveyed."""
    water = assessment.plant.hot_water
    if water is None:
        return None
    needs = [
        {
            "label": need.label,
            "is_used": "used" if need.is_used else "",
            "words": need.words,
            "people": bare(need.people, 1),
            "litres": "–" if need.litres_low is None else span(bare(need.litres_low), bare(need.litres_high)),
            "heat": bare(need.heat_kwh_day, 1),
        }
        for need in water.needs
    ]
    return {
        "needs": needs,
        "facts": _water_facts(water),
        "cautions": list(water.cautions),
        "missing": ", ".join(water.missing),
    }


def _cost_line(line: CostLine) -> dict[str, str]:
    return {
        "name": line.name,
        "words": line.words,
        "energy": span(bare(line.energy_low_kwh), bare(line.energy_high_kwh)),
        "pounds": "not known"
        if line.pounds_low is None or line.pounds_high is None
        else span(whole_pounds(line.pounds_low), whole_pounds(line.pounds_high)),
    }


def _carbon_rows(lines: tuple[CostLine, ...]) -> list[dict[str, Any]]:
    """Return carbon by each set of factors that every way of heating has one of; sets are never mixed."""
    sets = [{item.factor_set for item in line.carbon} for line in lines]
    common = [name for name in FACTOR_SETS if sets and all(name in found for found in sets)]
    return [
        {
            "factor_set": FACTOR_SETS[name],
            "kg": [
                span(bare(item.kg_low), bare(item.kg_high))
                for line in lines
                for item in line.carbon
                if item.factor_set == name
            ],
        }
        for name in common
    ]


def cost_block(inputs: ReportInputs) -> dict[str, Any] | None:
    """Return the running cost and carbon of a year; None while neither a bill nor the heat is known."""
    cost = inputs.assessment.plant.cost
    if cost is None:
        return None
    facts = []
    if cost.efficiency is not None:
        facts.append(("Efficiency of the year, heating and hot water", bare(cost.efficiency, 2)))
    if cost.break_even_low is not None:
        facts.append(
            (
                "The heat pump costs no more from an efficiency of",
                span(bare(cost.break_even_low, 2), bare(cost.break_even_high, 2)),
            )
        )
    if cost.saved_low_pounds is not None and cost.saved_high_pounds is not None:
        facts.append(
            (
                "A year costs less by",
                span(whole_pounds(cost.saved_low_pounds), whole_pounds(cost.saved_high_pounds))
                + (" (minus: more)" if cost.saved_low_pounds.startswith("-") else ""),
            )
        )
    # The grant of the day of the quote, as the price takes it; the day of the visit is past.
    if inputs.quote.grant is not None:
        facts.append(("Grant", inputs.quote.grant.words))
    return {
        "lines": [_cost_line(line) for line in cost.lines],
        "names": [line.name for line in cost.lines],
        "facts": facts,
        "carbon": _carbon_rows(cost.lines),
        "so_far": beside(cost.so_far),
        "words": list(cost.words),
        "missing": ", ".join(cost.missing),
    }


def plant_working(assessment: Assessment) -> Iterator[tuple[str, tuple[Step, ...]]]:
    """Give the working of unit, hot water and running cost under their headings."""
    plant = assessment.plant
    if plant.steps and plant.chosen is not None:
        yield f"Outdoor unit: {plant.chosen.name}{beside(plant.so_far)}", plant.steps
    if plant.hot_water is not None and plant.hot_water.steps:
        yield f"Hot water{beside(plant.hot_water.so_far)}", plant.hot_water.steps
    if plant.cost is not None and plant.cost.steps:
        yield f"Running cost and carbon{beside(plant.cost.so_far)}", plant.cost.steps
