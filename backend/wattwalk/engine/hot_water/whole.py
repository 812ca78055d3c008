"""Hot water of the house: need, store, charge, and what it takes from the heating on the coldest day."""

from __future__ import annotations

from dataclasses import dataclass

from wattwalk.catalogue import Row, table
from wattwalk.survey.document import Survey
from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.known import known
from wattwalk.survey.services import HotWater
from wattwalk.survey.works import Design

from ..answers import Climate, Finding, HotWaterCharge, HotWaterResult, Step
from ..answers.citing import COMMON_PRACTICE, DECLARED
from ..answers.rounding import figure, rounded, rounded_if_any
from ..fluids.water import HEAT_J_KGK
from ..season.heating_year import GENERIC_UNIT, generic_efficiency
from ..unit import HotWaterDay
from ..unit.table import UnitTable
from .charge import (
    COIL,
    HEAT_BALANCE,
    LOSS_LIMIT,
    Charge,
    Charger,
    Duty,
    at_the_tap_l,
    charge,
    heat_kwh,
    largest_loss_kwh,
)
from .discharge import assess_discharge
from .findings import HYGIENE_C, charge_findings, coil_findings, hygiene_findings, store_cautions, water_findings
from .need import hot_water_needs
from .place import cylinder_fits, place_findings, tried_sizes

FIGURES = "cylinder_figures_2026"
#: Cold water, °C; room about the store, °C; difference at which a store's loss is declared, K.
COLD_C, AROUND_C, DECLARED_K = 10.0, 20.0, 45.0
#: A store is mostly topped up over its last so many kelvin, which is when it is least efficient, K (common practice, no source).
TOP_UP_K = 10.0
#: Hottest flow taken for a unit of which only the output was typed, °C (common practice, no source).
TYPED_HOTTEST_C = 60.0


@dataclass(frozen=True)
class HeatSource:
    """What charges the store: the chosen unit's table, or the output that was typed; and the flow of water in kg/s."""

    unit: UnitTable | None
    typed_kw: float | None
    flow_kg_s: float

    def charger(self, outside_c: float, conductance_w_k: float) -> Charger:
        """Return it as it is at one outside temperature in °C, with a coil's conductance in W/K."""
        if self.unit is not None:
            unit = self.unit
            return Charger(
                lambda flow: unit.at(outside_c, flow).capacity_kw,
                lambda flow: unit.at(outside_c, flow).cop,
                unit.hottest_c,
                conductance_w_k,
                self.flow_kg_s,
            )
        kw = self.typed_kw or 0.0
        return Charger(
            lambda flow: kw,
            lambda flow: generic_efficiency(outside_c, flow),
            TYPED_HOTTEST_C,
            conductance_w_k,
            self.flow_kg_s,
        )


def _figure(name: str) -> Row:
    return table(FIGURES).get(name=name)


def hot_water_day(survey: Survey, record: SurveyRecord, design: Design, floor_area_m2: float) -> HotWaterDay:
    """Return the mean heat in W that hot water and its store take over the coldest day; floor area of the rooms in m²."""
    if survey.single(HotWater) is None:
        return HotWaterDay(None, "hot water has not been looked at")
    used = next(need for need in hot_water_needs(record, design, floor_area_m2) if need.is_used)
    if used.heat_kwh_day is None:
        return HotWaterDay(None, used.words)
    content, _ = _content(design, [], [])
    loss = _loss(design, content, design.effective("store_c"), [])
    words = f"({figure(used.heat_kwh_day)} + {figure(loss or 0.0)}) kWh a day / 24 h" + (
        "" if loss is not None else ", the store's loss not known yet"
    )
    return HotWaterDay((used.heat_kwh_day + (loss or 0.0)) * 1000 / 24, words)


def assess_hot_water(
    survey: Survey,
    record: SurveyRecord,
    design: Design,
    climate: Climate | None,
    duty: Duty,
    floor_area_m2: float,
) -> tuple[HotWaterResult | None, list[Finding]]:
    """Return the hot water of the house and the findings on it, or None while no hot water was surveyed.

    Parameters
    ----------
    survey, record, design
        The survey with its household and design.
    climate : Climate or None
        Design cold and yearly mean.
    duty : Duty
        The chosen unit and the load of the house without hot water at the design cold.
    floor_area_m2 : float
        Floor area of the rooms surveyed, m².
    """
    water = survey.single(HotWater)
    if water is None:
        return None, []
    needs = hot_water_needs(record, design, floor_area_m2)
    used = next(need for need in needs if need.is_used)
    missing = [] if used.heat_kwh_day is not None else [f"hot water a day: {used.words}"]
    steps: list[Step] = []
    store = design.effective("store_c")
    content, content_words = _content(design, missing, steps)
    usable = None if content is None else content * _figure("usable_share").number("typical")
    tap = None if content is None or usable is None else _at_the_tap(content, usable, store, steps)
    loss = _loss(design, content, store, steps)
    charges, findings = _charges(design, climate, duty, content, store, missing, steps)
    day = None if used.heat_kwh_day is None or loss is None else used.heat_kwh_day + loss
    hours = asked = None
    if day is not None and loss is not None and content is not None and charges and charges[0].minutes > 0:
        hours = _coldest_day(content, known(used.heat_kwh_day), loss, charges[0], steps)
        asked = _serves_both(duty.load_kw, hours, steps)
    heat, electricity = _year(design, day, content, store, charges, duty.unit is not None, steps)
    discharge, more, unsaid = (
        assess_discharge(survey, water) if design.effective("cylinder_kind") == "unvented" else (None, [], [])
    )
    missing += unsaid
    findings += [
        *more,
        *charge_findings(design, usable, used, COLD_C, hours, asked, duty),
        *hygiene_findings(record, design, duty.unit.hottest_c if duty.unit is not None else None),
        *place_findings(water, design, content),
        *water_findings(water, design),
    ]
    shower = water.shower_flow_l_min or _figure("shower_l_min").number("typical")
    result = HotWaterResult(
        needs=needs,
        content_l=rounded_if_any(content, 0),
        content_words=content_words,
        usable_l=rounded_if_any(usable, 0),
        at_the_tap_l=rounded_if_any(tap, 0),
        shower_min=None if tap is None else rounded(tap / shower, 0),
        charges=charges,
        loss_kwh_day=rounded_if_any(loss, 2),
        hours_day=rounded_if_any(hours, 2),
        share_of_day=None if hours is None else rounded(hours / 24, 3),
        capacity_asked_kw=rounded_if_any(asked, 2),
        heat_kwh=rounded_if_any(heat, 0),
        electricity_kwh=rounded_if_any(electricity, 0),
        discharge=discharge,
        fits=cylinder_fits(water, design),
        cautions=store_cautions(record, design),
        missing=tuple(dict.fromkeys(missing)),
        steps=tuple(steps),
        source=HEAT_BALANCE,
        sizes=tried_sizes(water),
    )
    return result, findings


def _at_the_tap(content: float, usable: float, store: float, steps: list[Step]) -> float:
    """Return the litres at 40 °C that a full store gives."""
    tap = at_the_tap_l(usable, store, COLD_C)
    steps.append(
        Step(
            "Water at 40 °C from a full store",
            "V · 0.9 · (θs − 10) / (40 − 10)",
            f"{figure(content, 0)} l at {figure(store, 0)} °C",
            rounded(tap, 0),
            "l",
            HEAT_BALANCE,
        )
    )
    return tap


def _coldest_day(content: float, need: float, loss: float, first: HotWaterCharge, steps: list[Step]) -> float:
    """Return the hours that hot water takes on the coldest day; need and loss in kWh."""
    mean_kw = heat_kwh(content, first.to_c - first.from_c) / (first.minutes / 60)
    hours = (need + loss) / mean_kw
    steps.append(
        Step(
            "Hours of hot water on the coldest day",
            "(need + loss) / mean output of the charge",
            f"({figure(need)} + {figure(loss)}) kWh / {figure(mean_kw)} kW; the mean is {figure(heat_kwh(content, first.to_c - first.from_c))} kWh for {figure(content, 0)} l from {figure(first.from_c, 0)} to {figure(first.to_c, 0)} °C, in {figure(first.minutes, 1)} minutes",
            rounded(hours, 2),
            "h",
            HEAT_BALANCE,
        )
    )
    return hours


def _serves_both(load_kw: float | None, hours: float, steps: list[Step]) -> float | None:
    """Return the output in kW that heats the house in the hours that hot water leaves."""
    if load_kw is None or hours >= 24:
        return None
    asked = load_kw * 24 / (24 - hours)
    steps.append(
        Step(
            "Output that serves both",
            "load · 24 / (24 − hours)",
            f"{figure(load_kw)} kW · 24 / (24 − {figure(hours)})",
            rounded(asked, 2),
            "kW",
            HEAT_BALANCE,
        )
    )
    return asked


def _content(design: Design, missing: list[str], steps: list[Step]) -> tuple[float | None, str]:
    """Return the content of the store in litres and how it is known."""
    if design.cylinder_l is not None:
        sold = f"; sold as {figure(design.cylinder_nominal_l, 0)} l" if design.cylinder_nominal_l is not None else ""
        return design.cylinder_l, f"its real content{sold}"
    if design.cylinder_nominal_l is not None:
        share = _figure("content_share").number("low")
        content = design.cylinder_nominal_l * share
        steps.append(
            Step(
                "Content of the cylinder",
                "size it is sold by · 0.917",
                f"{figure(design.cylinder_nominal_l, 0)} l",
                rounded(content, 0),
                "l",
                COMMON_PRACTICE,
            )
        )
        return (
            content,
            f"reckoned from the {figure(design.cylinder_nominal_l, 0)} l it is sold by: coil and heaters take room; the maker's real content governs",
        )
    missing.append("the content of the new cylinder")
    return None, "not known yet"


def _loss(design: Design, content: float | None, store: float, steps: list[Step]) -> float | None:
    """Return what the store loses in kWh a day at its own temperature."""
    if design.cylinder_loss_kwh is not None:
        at_45, words, source = design.cylinder_loss_kwh, "declared at 45 K", DECLARED
    elif content is not None:
        at_45, words, source = (
            largest_loss_kwh(content),
            "the largest that is allowed, as nothing is declared",
            LOSS_LIMIT,
        )
    else:
        return None
    loss = at_45 * max(0.0, store - AROUND_C) / DECLARED_K
    steps.append(
        Step(
            "Loss of the store in a day",
            "loss at 45 K · (θs − 20) / 45",
            f"{figure(at_45)} kWh ({words}), {figure(store, 0)} °C",
            rounded(loss, 2),
            "kWh",
            source,
        )
    )
    return loss


def _charges(
    design: Design,
    climate: Climate | None,
    duty: Duty,
    content: float | None,
    store: float,
    missing: list[str],
    steps: list[Step],
) -> tuple[tuple[HotWaterCharge, ...], list[Finding]]:
    power = duty.capacity_kw if duty.capacity_kw is not None else design.unit_capacity_kw
    if climate is None or power is None or content is None:
        if power is None:
            missing.append("the output of the unit, from its table or typed")
        return (), []
    coil = design.coil_m2
    if coil is None:
        coil = _figure("coil_m2_kw").number("typical") * power
        missing.append(f"the area of the coil (reckoned with {figure(coil, 1)} m², 0.25 m² for each kW)")
    conductance = _figure("coil_u").number("typical") * coil
    difference = design.effective("flow_return_difference_k")
    source = HeatSource(duty.unit, design.unit_capacity_kw, power * 1000 / (HEAT_J_KGK * difference))
    cold = COLD_C
    made: list[tuple[float, float, Charge]] = []
    for outside, begins in (
        (climate.outside_c, cold),
        (climate.annual_mean_c, cold),
        (climate.annual_mean_c, max(cold, store - TOP_UP_K)),
    ):
        found = charge(content, begins, store, source.charger(outside, conductance))
        if found is None:
            hottest = source.charger(outside, conductance).hottest_c
            return (), coil_findings(design, None, power, hottest, store, coil)
        made.append((outside, begins, found))
    first = made[0][2]
    steps += [
        Step(
            "Reheat on the coldest day",
            "V ρ c Δθ / P, P the lesser of unit and coil",
            f"{figure(content, 0)} l, {figure(cold, 0)} to {figure(store, 0)} °C; coil {figure(coil, 1)} m² at 350 W/m²K, {figure(source.flow_kg_s, 3)} kg/s",
            rounded(first.minutes, 0),
            "min",
            COIL,
        ),
        Step(
            "Flow temperature at its end",
            "θs + P / ((1 − exp(−UA/(ṁ c))) ṁ c)",
            f"{figure(first.end_kw)} kW into {figure(store, 0)} °C",
            rounded(first.end_flow_c, 1),
            "°C",
            COIL,
        ),
    ]
    hottest = source.charger(climate.outside_c, conductance).hottest_c
    charges = tuple(_charge_shown(outside, begins, store, item) for outside, begins, item in made)
    return charges, coil_findings(design, first, power, hottest, store, coil)


def _charge_shown(outside_c: float, from_c: float, to_c: float, item: Charge) -> HotWaterCharge:
    return HotWaterCharge(
        rounded(outside_c, 1),
        rounded(from_c, 1),
        rounded(to_c, 1),
        rounded(item.minutes, 0),
        rounded(item.end_flow_c, 1),
        rounded(item.end_kw, 2),
        rounded(item.efficiency, 2),
        item.is_held_back,
    )


def _year(
    design: Design,
    day_kwh: float | None,
    content: float | None,
    store: float,
    charges: tuple[HotWaterCharge, ...],
    has_table: bool,
    steps: list[Step],
) -> tuple[float | None, float | None]:
    """Return heat and electricity of a year's hot water in kWh, the weekly cycle counted in."""
    if day_kwh is None or content is None or not charges:
        return None, None
    weekly = heat_kwh(content, max(0.0, HYGIENE_C - store)) if design.effective("hygiene") != "none" else 0.0
    heat = 365 * day_kwh + 52 * weekly
    by_unit = charges[2].efficiency
    weekly_by = by_unit if design.effective("hygiene") == "unit" else 1.0
    electricity = 365 * day_kwh / by_unit + 52 * weekly / weekly_by
    steps.append(
        Step(
            "Heat of a year's hot water",
            "365 · (need + loss) + 52 · weekly cycle",
            f"365 · {figure(day_kwh)} + 52 · {figure(weekly)} kWh",
            rounded(heat, 0),
            "kWh",
            HEAT_BALANCE,
        )
    )
    steps.append(
        Step(
            "Its electricity",
            "365 · day / COP + 52 · cycle / its efficiency",
            f"COP {figure(by_unit)} of topping up at the yearly mean outside, cycle at {figure(weekly_by)}",
            rounded(electricity, 0),
            "kWh",
            COIL if has_table else GENERIC_UNIT,
        )
    )
    return heat, electricity
