"""The findings on the hot water: its coil, its mains water, scald and legionella."""

from __future__ import annotations

from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.services import HotWater
from wattwalk.survey.works import Design

from ..answers import Finding, HotWaterNeed, Severity
from ..answers.citing import COMMON_PRACTICE, cite
from ..answers.rounding import figure
from .charge import Charge, Duty, heat_kwh

#: Common practice, no source: an unvented cylinder wants at least this much, bar and l/min; above that pressure it needs a reducer.
LEAST_BAR, LEAST_L_MIN, HIGH_BAR = 1.5, 20.0, 3.5
#: Common practice, no source: a coil that leaves less than this share of the unit's output at the end of a charge is small; hours a day that are many.
SMALL_COIL_SHARE, MANY_HOURS = 0.7, 6.0
#: Common practice, no source: a store that holds this share of a day's hot water is only noted.
NEARLY_A_DAY = 0.7
#: Temperature of the weekly cycle, °C, and how much hotter the flow has to be for the coil to get a store there, K (common practice, no source).
HYGIENE_C, LEAST_GAP_K = 60.0, 3.0

LEGIONELLA = cite("hsg274_2014", "hot water at 60 °C in the store, 50 °C at the tap within a minute")
SCALD = cite("approved_document_g_2015", "bath taps at no more than 48 °C in new work", "from memory")


def coil_findings(
    design: Design, found: Charge | None, power_kw: float, hottest_c: float, store_c: float, coil_m2: float
) -> list[Finding]:
    """Return the findings on the charge: a store the unit cannot make hot, a coil that holds it back."""
    if found is None:
        return [
            Finding(
                Severity.STOP,
                "store_beyond_unit",
                design.key(),
                "store_c",
                f"The store is to be {figure(store_c, 0)} °C; the unit makes water of at most {figure(hottest_c, 1)} °C, which cannot get it there.",
                "Lower the store temperature, let an immersion heater do the last part, or choose a unit that goes hotter.",
                COMMON_PRACTICE,
            )
        ]
    if found.end_kw >= SMALL_COIL_SHARE * power_kw:
        return []
    return [
        Finding(
            Severity.CHECK,
            "coil_small",
            design.key(),
            "coil_m2",
            f"At the end of a charge the coil of {figure(coil_m2, 1)} m² takes {figure(found.end_kw, 1)} kW at {figure(found.end_flow_c, 1)} °C flow, where the unit gives {figure(power_kw, 1)} kW.",
            "Choose a cylinder with a larger coil, or a cooler store; otherwise the charge is slow and its last part costs most.",
            COMMON_PRACTICE,
        )
    ]


def charge_findings(
    design: Design,
    usable_l: float | None,
    need: HotWaterNeed,
    cold_c: float,
    hours: float | None,
    asked_kw: float | None,
    duty: Duty,
) -> list[Finding]:
    """Return the findings on the size of the store and on what it takes from the heating."""
    findings = []
    if usable_l is not None and need.heat_kwh_day is not None:
        holds = heat_kwh(usable_l, design.effective("store_c") - cold_c)
        if holds < need.heat_kwh_day - 1e-9:
            findings.append(
                Finding(
                    Severity.NOTE if holds >= NEARLY_A_DAY * need.heat_kwh_day else Severity.CHECK,
                    "cylinder_small",
                    design.key(),
                    "cylinder_l",
                    f"A full store holds {figure(holds, 1)} kWh that can be used; a day needs {figure(need.heat_kwh_day, 1)} kWh ({need.words}), so it is charged more than once a day.",
                    "Agree on it with the household, or choose a larger cylinder or a hotter store.",
                    need.source,
                )
            )
    if hours is not None:
        findings += _hours_findings(design, hours, asked_kw, duty)
    return findings


def _hours_findings(design: Design, hours: float, asked_kw: float | None, duty: Duty) -> list[Finding]:
    """Return what is to be said of the hours of hot water on the coldest day."""
    share = f"Hot water takes {figure(hours, 1)} of the 24 hours on the coldest day"
    capacity_kw, load_kw = duty.capacity_kw, duty.load_kw
    if hours >= 24:
        return [
            Finding(
                Severity.STOP,
                "hot_water_all_day",
                design.key(),
                "cylinder_l",
                f"On the coldest day the hot water alone would take {figure(hours, 1)} hours.",
                "Choose a larger unit or a larger coil.",
                COMMON_PRACTICE,
            )
        ]
    if (
        asked_kw is not None
        and capacity_kw is not None
        and load_kw is not None
        and capacity_kw < asked_kw - 1e-9
        and capacity_kw >= load_kw - 1e-9
    ):
        return [
            Finding(
                Severity.CHECK,
                "hot_water_priority",
                design.key(),
                "unit",
                f"{share}; to serve both the unit would have to give {figure(asked_kw, 1)} kW, and it gives {figure(capacity_kw, 1)} kW.",
                "Charge at night and in the mild hours, let the immersion heater help on the coldest days, or choose the next larger unit.",
                COMMON_PRACTICE,
            )
        ]
    if hours > MANY_HOURS:
        return [
            Finding(
                Severity.CHECK,
                "hot_water_long",
                design.key(),
                "cylinder_l",
                f"{share}, when the rooms are not heated.",
                "Fit a larger coil or a larger unit, and charge in the mild hours.",
                COMMON_PRACTICE,
            )
        ]
    return []


def hygiene_findings(record: SurveyRecord, design: Design, hottest_c: float | None) -> list[Finding]:
    """Return the findings on legionella and scald; ``hottest_c`` is the hottest flow of the chosen unit's table."""
    findings = []
    hygiene, store = design.effective("hygiene"), design.effective("store_c")
    if hygiene == "none":
        kept = (
            f"The store is kept at {figure(store, 0)} °C with no weekly cycle against legionella."
            if store < HYGIENE_C
            else "No weekly cycle against legionella is planned; the store's own temperature has to hold."
        )
        worse = " Somebody here is at risk." if record.vulnerable else ""
        findings.append(
            Finding(
                Severity.CHECK,
                "no_hygiene_cycle",
                design.key(),
                "hygiene",
                f"{kept}{worse}",
                "Heat all of the store to 60 °C once a week and hold it there for an hour, by the immersion heater where the unit cannot. Homes that are let have duties of their own.",
                LEGIONELLA,
            )
        )
    if hygiene == "unit" and hottest_c is not None and hottest_c < HYGIENE_C + LEAST_GAP_K:
        findings.append(
            Finding(
                Severity.CHECK,
                "hygiene_beyond_unit",
                design.key(),
                "hygiene",
                f"The weekly cycle at 60 °C is left to the unit, whose table ends at {figure(hottest_c, 1)} °C of flow: too little above it to get the whole store there.",
                "Let an immersion heater do it.",
                LEGIONELLA,
            )
        )
    if record.vulnerable:
        findings.append(
            Finding(
                Severity.CHECK,
                "scald_risk",
                design.key(),
                "store_c",
                "Somebody in this home is at risk from hot water.",
                "Fit thermostatic mixing valves at bath, basin and shower, set by a competent person, and test the temperature at the tap at handing over.",
                SCALD,
            )
        )
    return findings


def water_findings(water: HotWater, design: Design) -> list[Finding]:
    """Return the findings on the mains water for an unvented cylinder."""
    if design.effective("cylinder_kind") != "unvented":
        return []
    findings: list[Finding] = []

    def say(severity: Severity, code: str, field: str, message: str, remedy: str) -> None:
        findings.append(Finding(severity, code, water.key(), field, message, remedy, COMMON_PRACTICE))

    bar, flow = water.mains_pressure_bar, water.mains_flow_l_min
    if bar is not None and bar < LEAST_BAR:
        say(
            Severity.CHECK,
            "mains_pressure_low",
            "mains_pressure_bar",
            f"The mains stand at {figure(bar, 1)} bar; an unvented cylinder wants {figure(LEAST_BAR, 1)} bar or more.",
            "Measure again at a busy hour, ask the water company, or plan an accumulator or a vented store.",
        )
    if bar is not None and bar > HIGH_BAR:
        say(
            Severity.NOTE,
            "mains_pressure_high",
            "mains_pressure_bar",
            f"The mains stand at {figure(bar, 1)} bar, above the 3 to {figure(HIGH_BAR, 1)} bar that cylinders are usually set to.",
            "The inlet valve set brings it down; feed the cold side of mixers from behind it, so that both pressures are equal.",
        )
    if flow is not None and flow < LEAST_L_MIN:
        say(
            Severity.CHECK,
            "mains_flow_low",
            "mains_flow_l_min",
            f"The mains give {figure(flow, 0)} l/min; below about {figure(LEAST_L_MIN, 0)} l/min two taps at once are weak.",
            "Look for a shut stop valve or an old service pipe, or plan an accumulator, and tell the household.",
        )
    showers = water.showers or 0
    if flow is not None and water.shower_flow_l_min is not None and showers * water.shower_flow_l_min > flow:
        say(
            Severity.NOTE,
            "showers_share_mains",
            "mains_flow_l_min",
            f"{showers} showers of {figure(water.shower_flow_l_min, 1)} l/min ask for more than the {figure(flow, 0)} l/min of the mains.",
            "Say to the household that they share.",
        )
    return findings


def store_cautions(record: SurveyRecord, design: Design) -> tuple[str, ...]:
    """Return the words about scald, legionella and unvented stores that go with every hot water store."""
    by = {
        "immersion": "by the immersion heater",
        "unit": "by the unit alone, which has to reach it with its coil",
        "none": "which is not planned yet",
    }[design.effective("hygiene")]
    found = [
        f"Once a week the whole store is brought to {figure(HYGIENE_C, 0)} °C and held there for an hour, {by}. Guidance for hot water asks for 60 °C in the store and 50 °C at the tap within a minute; no cooler store is called safe here. After long absence run every tap.",
        "Water of 60 °C scalds skin within seconds, of 50 °C within minutes (from memory): mixing valves at bath and shower, in new work a bath tap of at most 48 °C.",
    ]
    if design.effective("cylinder_kind") == "unvented":
        found.append(
            "An unvented cylinder of more than 15 l is fitted, and every year looked after, by a person qualified for it: thermostat, energy cut-out, relief valve for temperature and pressure, discharge to a safe and visible place."
        )
    return tuple(found)
