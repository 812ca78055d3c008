"""What is to be said of the hot water: its coil, its place, its mains water, scald and legionella."""

from __future__ import annotations

from math import hypot, pi

from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.services import HotWater
from wattwalk.survey.works import Design

from .citing import COMMON_PRACTICE, cite
from .cylinder import Charge, heat_kwh
from .plant_results import HotWaterNeed
from .results import Finding, Severity
from .rounding import figure

#: Common practice, no source: room left about a cylinder for lifting in and for its valves, mm.
SIDE_GAP_MM, TOP_GAP_MM = 25.0, 150.0
#: Common practice, no source: an unvented cylinder wants at least this much, bar and l/min; above that pressure it needs a reducer.
LEAST_BAR, LEAST_L_MIN, HIGH_BAR = 1.5, 20.0, 3.5
#: Load that a floor of a home is designed for, kN/m² (EN 1991-1-1, from memory).
FLOOR_KN_M2 = 1.5
#: Common practice, no source: a coil that leaves less than this share of the unit's output at the end of a charge is small; hours a day that are many.
SMALL_COIL_SHARE, MANY_HOURS = 0.7, 6.0
#: Common practice, no source: a store that holds this share of a day's hot water is only noted.
NEARLY_A_DAY = 0.7
#: Temperature of the weekly cycle, °C, and how much hotter the flow has to be for the coil to get a store there, K (common practice, no source).
HYGIENE_C, LEAST_GAP_K = 60.0, 3.0

LEGIONELLA = cite("hsg274_2014", "hot water at 60 °C in the store, 50 °C at the tap within a minute")
SCALD = cite("approved_document_g_2015", "bath taps at no more than 48 °C in new work", "from memory")


def coil_findings(design: Design, found: Charge | None, power_kw: float, hottest_c: float, store_c: float, coil_m2: float) -> list[Finding]:
    """Return what is to be said of the charge: a store the unit cannot make hot, a coil that holds it back."""
    if found is None:
        return [
            Finding(
                Severity.STOP, "store_beyond_unit", design.key(), "store_c", f"The store is to be {figure(store_c, 0)} °C; the unit makes water of at most {figure(hottest_c, 1)} °C, which cannot get it there.",
                "Lower the store temperature, let an immersion heater do the last part, or choose a unit that goes hotter.", COMMON_PRACTICE,
            )
        ]
    if found.end_kw >= SMALL_COIL_SHARE * power_kw:
        return []
    return [
        Finding(
            Severity.CHECK, "coil_small", design.key(), "coil_m2",
            f"At the end of a charge the coil of {figure(coil_m2, 1)} m² takes {figure(found.end_kw, 1)} kW at {figure(found.end_flow_c, 1)} °C flow, where the unit gives {figure(power_kw, 1)} kW.",
            "Choose a cylinder with a larger coil, or a cooler store; otherwise the charge is slow and its last part costs most.", COMMON_PRACTICE,
        )
    ]


def charge_findings(
    design: Design, usable_l: float | None, need: HotWaterNeed, cold_c: float, hours: float | None, asked_kw: float | None, capacity_kw: float | None, load_kw: float | None
) -> list[Finding]:
    """Return what is to be said of the size of the store and of what it takes from the heating."""
    findings = []
    if usable_l is not None and need.heat_kwh_day is not None:
        holds = heat_kwh(usable_l, design.effective("store_c") - cold_c)
        if holds < need.heat_kwh_day - 1e-9:
            findings.append(
                Finding(
                    Severity.NOTE if holds >= NEARLY_A_DAY * need.heat_kwh_day else Severity.CHECK, "cylinder_small", design.key(), "cylinder_l",
                    f"A full store holds {figure(holds, 1)} kWh that can be used; a day needs {figure(need.heat_kwh_day, 1)} kWh ({need.words}), so it is charged more than once a day.",
                    "Agree on it with the household, or choose a larger cylinder or a hotter store.", need.source,
                )
            )
    share = f"Hot water takes {figure(hours, 1)} of the 24 hours on the coldest day" if hours is not None else ""
    if hours is not None and hours >= 24:
        findings.append(Finding(Severity.STOP, "hot_water_all_day", design.key(), "cylinder_l", f"On the coldest day the hot water alone would take {figure(hours, 1)} hours.", "Choose a larger unit or a larger coil.", COMMON_PRACTICE))
    elif asked_kw is not None and capacity_kw is not None and load_kw is not None and capacity_kw < asked_kw - 1e-9 and capacity_kw >= load_kw - 1e-9:
        findings.append(
            Finding(
                Severity.CHECK, "hot_water_priority", design.key(), "unit", f"{share}; to serve both the unit would have to give {figure(asked_kw, 1)} kW, and it gives {figure(capacity_kw, 1)} kW.",
                "Charge at night and in the mild hours, let the immersion heater help on the coldest days, or choose the next larger unit.", COMMON_PRACTICE,
            )
        )
    elif hours is not None and hours > MANY_HOURS:
        findings.append(Finding(Severity.CHECK, "hot_water_long", design.key(), "cylinder_l", f"{share}, in which the heating stands still.", "See to a larger coil or a larger unit, and charge in the mild hours.", COMMON_PRACTICE))
    return findings


def hygiene_findings(record: SurveyRecord, design: Design, hottest_c: float | None) -> list[Finding]:
    """Return what is to be said of legionella and scald; ``hottest_c`` is the hottest flow of the chosen unit's table."""
    findings = []
    hygiene, store = design.effective("hygiene"), design.effective("store_c")
    if hygiene == "none":
        kept = f"The store is kept at {figure(store, 0)} °C with no weekly cycle against legionella." if store < HYGIENE_C else "No weekly cycle against legionella is planned; the store's own temperature has to hold."
        worse = " Somebody here is at risk." if record.vulnerable else ""
        findings.append(
            Finding(
                Severity.CHECK, "no_hygiene_cycle", design.key(), "hygiene", f"{kept}{worse}",
                "Heat all of the store to 60 °C once a week and hold it there for an hour, by the immersion heater where the unit cannot. Homes that are let have duties of their own.", LEGIONELLA,
            )
        )
    if hygiene == "unit" and hottest_c is not None and hottest_c < HYGIENE_C + LEAST_GAP_K:
        findings.append(
            Finding(
                Severity.CHECK, "hygiene_beyond_unit", design.key(), "hygiene", f"The weekly cycle at 60 °C is left to the unit, whose table ends at {figure(hottest_c, 1)} °C of flow: too little above it to get the whole store there.",
                "Let an immersion heater do it.", LEGIONELLA,
            )
        )
    if record.vulnerable:
        findings.append(
            Finding(
                Severity.CHECK, "scald_risk", design.key(), "store_c", "Somebody in this home is at risk from hot water.",
                "Fit thermostatic mixing valves at bath, basin and shower, set by a competent person, and test the temperature at the tap at handing over.", SCALD,
            )
        )
    return findings


def place_findings(water: HotWater, design: Design, content_l: float | None) -> list[Finding]:
    """Return whether the cylinder goes through the door, into its place, upright under its ceiling, and on its floor."""
    findings: list[Finding] = []
    key, across, tall = water.key(), design.cylinder_diameter_mm, design.cylinder_height_mm

    def say(severity: Severity, code: str, field: str, message: str, remedy: str) -> None:
        findings.append(Finding(severity, code, key, field, message, remedy, COMMON_PRACTICE))

    other = "Choose another cylinder or another place."
    if across is not None:
        for field, label in (("place_width_mm", "wide"), ("place_depth_mm", "deep")):
            clear = getattr(water, field)
            if clear is not None and clear < across:
                say(Severity.STOP, "cylinder_too_wide", field, f"The cylinder is {figure(across, 0)} mm across; its place is {figure(clear, 0)} mm {label}.", other)
            elif clear is not None and clear < across + 2 * SIDE_GAP_MM:
                say(Severity.CHECK, "cylinder_tight", field, f"The cylinder of {figure(across, 0)} mm leaves {figure(clear - across, 0)} mm in a place {figure(clear, 0)} mm {label}.", "See that it can be lifted in, and that valves and heaters can be reached and drawn.")
        if water.door_width_mm is not None and water.door_width_mm < across:
            say(Severity.STOP, "cylinder_door", "door_width_mm", f"The cylinder is {figure(across, 0)} mm across; the narrowest door on the way is {figure(water.door_width_mm, 0)} mm.", "Choose a slimmer cylinder, or find another way in. Take door leaf and stops into account.")
        elif water.door_width_mm is not None and water.door_width_mm < across + 2 * SIDE_GAP_MM:
            say(Severity.CHECK, "cylinder_door_tight", "door_width_mm", f"The cylinder of {figure(across, 0)} mm passes a door of {figure(water.door_width_mm, 0)} mm with {figure(water.door_width_mm - across, 0)} mm to spare.", "Measure again with the door leaf open, and the turn on the stairs.")
    clear = water.place_height_mm
    if tall is not None and clear is not None:
        if clear < tall:
            say(Severity.STOP, "cylinder_too_tall", "place_height_mm", f"The cylinder is {figure(tall, 0)} mm tall; its place is {figure(clear, 0)} mm high.", other)
        elif clear < tall + TOP_GAP_MM:
            say(Severity.CHECK, "cylinder_top", "place_height_mm", f"Above the cylinder {figure(clear - tall, 0)} mm are left for valves and pipes.", "See from the maker's drawing that the valves on its top can be fitted and drawn.")
        if across is not None and tall <= clear < hypot(tall, across):
            say(
                Severity.CHECK, "cylinder_tilt", "place_height_mm", f"Tilted up from lying, the cylinder reaches {figure(hypot(tall, across), 0)} mm, more than the {figure(clear, 0)} mm of its place.",
                "Bring it in upright, or stand it up outside of the place, where the ceiling lets it.",
            )
    return findings + _floor_findings(water, design, content_l)


def _floor_findings(water: HotWater, design: Design, content_l: float | None) -> list[Finding]:
    if content_l is None or design.cylinder_empty_kg is None:
        full = "A full cylinder is heavy" if content_l is None else f"Its water alone weighs {figure(content_l, 0)} kg"
        if water.floor_can_carry is not False:
            return []
        words = f"{full}, and the floor does not look able to carry it."
    else:
        mass = content_l + design.cylinder_empty_kg
        words = f"Full, the cylinder weighs about {figure(mass, 0)} kg"
        if design.cylinder_diameter_mm is not None:
            pressure = mass * 9.81 / 1000 / (pi * (design.cylinder_diameter_mm / 2000) ** 2)
            words += f", {figure(pressure, 1)} kN/m² on the floor under it, where a floor of a home is designed for about {figure(FLOOR_KN_M2, 1)} kN/m² over all"
        words += "."
    if water.floor_can_carry is False:
        return [Finding(Severity.STOP, "floor_cannot_carry", water.key(), "floor_can_carry", words, "Choose another place, or have a structural engineer say how the floor is made to carry it.", COMMON_PRACTICE)]
    severity = Severity.NOTE if water.floor_can_carry else Severity.CHECK
    return [
        Finding(
            severity, "floor_load", water.key(), "floor_can_carry", words,
            "On timber, stand it across the joists near a wall that carries, on a board that spreads it; in doubt a structural engineer decides. Move it with two people or a stair climber.", COMMON_PRACTICE,
        )
    ]


def water_findings(water: HotWater, design: Design) -> list[Finding]:
    """Return what is to be said of the mains water for an unvented cylinder."""
    if design.effective("cylinder_kind") != "unvented":
        return []
    findings: list[Finding] = []

    def say(severity: Severity, code: str, field: str, message: str, remedy: str) -> None:
        findings.append(Finding(severity, code, water.key(), field, message, remedy, COMMON_PRACTICE))

    bar, flow = water.mains_pressure_bar, water.mains_flow_l_min
    if bar is not None and bar < LEAST_BAR:
        say(Severity.CHECK, "mains_pressure_low", "mains_pressure_bar", f"The mains stand at {figure(bar, 1)} bar; an unvented cylinder wants {figure(LEAST_BAR, 1)} bar or more.", "Measure again at a busy hour, ask the water company, or plan an accumulator or a vented store.")
    if bar is not None and bar > HIGH_BAR:
        say(Severity.NOTE, "mains_pressure_high", "mains_pressure_bar", f"The mains stand at {figure(bar, 1)} bar, above the 3 to {figure(HIGH_BAR, 1)} bar that cylinders are usually set to.", "The set of inlet valves brings it down; feed the cold taps of mixers from the same side, so that both press alike.")
    if flow is not None and flow < LEAST_L_MIN:
        say(Severity.CHECK, "mains_flow_low", "mains_flow_l_min", f"The mains give {figure(flow, 0)} l/min; below about {figure(LEAST_L_MIN, 0)} l/min two taps at once are weak.", "Look for a shut stop valve or an old service pipe, or plan an accumulator; say it to the household.")
    showers = water.showers or 0
    if flow is not None and water.shower_flow_l_min is not None and showers * water.shower_flow_l_min > flow:
        say(Severity.NOTE, "showers_share_mains", "mains_flow_l_min", f"{showers} showers of {figure(water.shower_flow_l_min, 1)} l/min ask for more than the {figure(flow, 0)} l/min of the mains.", "Say to the household that they share.")
    return findings


def store_cautions(record: SurveyRecord, design: Design) -> tuple[str, ...]:
    """Return the words about scald, legionella and unvented stores that go with every hot water store."""
    by = {"immersion": "by the immersion heater", "unit": "by the unit alone, which has to reach it with its coil", "none": "which is not planned yet"}[design.effective("hygiene")]
    found = [
        f"Once a week the whole store is brought to {figure(HYGIENE_C, 0)} °C and held there for an hour, {by}. Guidance for hot water asks for 60 °C in the store and 50 °C at the tap within a minute; no cooler store is called safe here. After long absence run every tap.",
        "Water of 60 °C scalds skin within seconds, of 50 °C within minutes (from memory): mixing valves at bath and shower, in new work a bath tap of at most 48 °C.",
    ]
    if design.effective("cylinder_kind") == "unvented":
        found.append("An unvented cylinder of more than 15 l is fitted, and every year looked after, by a person qualified for it: thermostat, energy cut-out, relief valve for temperature and pressure, discharge to a safe and visible place.")
    return tuple(found)
