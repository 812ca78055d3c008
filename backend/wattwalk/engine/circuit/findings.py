"""The findings on the heating water as a whole: pump, least water, expansion, frost, and what must not be forgotten."""

from __future__ import annotations

from wattwalk.survey.circuit import Vessel
from wattwalk.survey.document import Survey
from wattwalk.survey.known import known
from wattwalk.survey.standing import NO_UNIT

from ..answers import Finding, Severity
from ..answers.citing import DECLARED, cite, finding
from ..answers.rounding import figure
from ..place.refrigerants import burns, short_name
from .content import LEAST_RUN_S, Water
from .flow import IndexWork, Plant
from .volumes import DEFROST, EXPANSION, mixed_flow_c, mixed_return_c

FROST = cite("common_practice", "antifreeze valves open at 3 °C", "common practice")
#: Common practice, no source: below this share of glycol many inhibitors do not work, % by mass.
LEAST_GLYCOL = 25


def circuit_findings(survey: Survey, plant: Plant, index: IndexWork, water: Water, outdoors: bool) -> list[Finding]:
    """Return every finding on the heating water as a whole; ``outdoors`` when a run from the unit lies outdoors."""
    return [
        *_pump(plant, index),
        *_volume(plant, water),
        *_expansion(plant, water),
        *_frost(survey, plant, outdoors),
        *_prompts(plant, outdoors),
    ]


def _pump(plant: Plant, index: IndexWork) -> list[Finding]:
    unit = plant.unit
    findings: list[Finding] = []
    # What is said of the unit's own figures is said at its place, where it is set against the house.
    key = (plant.position or unit).key()
    has = unit.residual_head_kpa
    if has is not None and index.kpa is not None and index.kpa > has + 1e-9:
        findings.append(
            finding(
                Severity.STOP,
                "pump_too_weak",
                key,
                None,
                f"The index circuit needs {figure(index.kpa, 1)} kPa{' so far' if index.missing else ''}; the unit's pump has {figure(has, 1)} kPa left for the house at this flow. {index.words}",
                "Larger pipes, a larger difference between flow and return, or a buffer with four connections and a pump of its own behind it.",
                DECLARED,
            )
        )
    flow = plant.flow_l_min(plant.load_kw)
    if unit.minimum_flow_l_min is not None and flow is not None and flow < unit.minimum_flow_l_min - 1e-9:
        findings.append(
            finding(
                Severity.CHECK,
                "flow_below_least",
                key,
                None,
                f"The design flow is {figure(flow, 1)} l/min; the unit asks for {figure(unit.minimum_flow_l_min, 1)} l/min at least.",
                "Work at a smaller difference between flow and return, or keep emitters open that let the least flow through at all times.",
                DECLARED,
            )
        )
    return findings


def _volume(plant: Plant, water: Water) -> list[Finding]:
    findings = _runs(plant, water)
    if not water.volumiser_l or (plant.position is None and plant.unit is NO_UNIT):
        return findings
    said = f"{figure(known(water.open_l), 0)} l of water cannot be shut off from the unit; {water.needed_words} {'are' if not water.is_declared else 'is'} needed."
    return [
        *findings,
        finding(
            Severity.CHECK,
            "too_little_water",
            (plant.position or plant.unit).key(),
            None,
            said,
            f"{figure(water.volumiser_l, 1)} l are short: a volumiser of {figure(known(water.volumiser_sold_l), 0)} l, the next size sold, in the return, or emitters that no valve can shut, written down with their water.",
            DECLARED if water.is_declared else DEFROST,
        ),
    ]


def _runs(plant: Plant, water: Water) -> list[Finding]:
    """Return the findings when the unit runs in short bursts in mild weather."""
    mild = plant.mild
    if mild is None or water.run_min is None or water.run_min >= LEAST_RUN_S / 60 - 1e-6:
        return []
    return [
        finding(
            Severity.CHECK,
            "short_runs",
            plant.circuit.key(),
            None,
            f"At {figure(mild.outside_c, 1)} °C outside the unit gives at least {figure(mild.least_kw, 1)} kW and the house takes {figure(mild.load_kw, 1)}: with {figure(known(water.open_l), 0)} l that cannot be shut off it runs for about {figure(water.run_min, 0)} minutes at a time.",
            f"More water that no valve can shut off, or a unit with a lower least output; runs of {figure(LEAST_RUN_S / 60, 0)} minutes and more are kinder to it.",
        )
    ]


def _expansion(plant: Plant, water: Water) -> list[Finding]:
    circuit = plant.circuit
    findings = []
    charge, height = circuit.effective("precharge_bar"), circuit.static_height_m
    if height is not None and charge < height / 10 + 0.3 - 1e-9:
        findings.append(
            finding(
                Severity.CHECK,
                "charge_too_low",
                circuit.key(),
                "precharge_bar",
                f"The vessel's charge of {figure(charge, 1)} bar is too low for the water above it: {figure(height, 1)} m need {figure(height / 10 + 0.3, 1)} bar.",
                "Charge it to a higher pressure, or fit it higher in the house.",
                EXPANSION,
            )
        )
    if water.expansion_l is not None and water.has_l is not None and water.has_l < water.expansion_l - 1e-6:
        findings.append(
            finding(
                Severity.CHECK,
                "expansion_too_small",
                circuit.key(),
                None,
                f"The expansion vessel holds {figure(water.has_l, 0)} l; {figure(known(water.content_l), 0)} l of water need {figure(water.expansion_l, 1)} l.",
                f"Take {figure(known(water.expansion_sold_l), 0)} l, the next size sold.",
                EXPANSION,
            )
        )
    return findings


def _frost(survey: Survey, plant: Plant, outdoors: bool) -> list[Finding]:
    circuit, findings = plant.circuit, []
    valves = [item for item in plant.vessels if item.type == "antifreeze_valve"]
    if valves and circuit.effective("fluid") != "water":
        findings.append(
            finding(
                Severity.STOP,
                "valves_with_glycol",
                valves[0].key(),
                "type",
                "Antifreeze valves stand in a circuit filled with glycol: the first frost would drain it onto the ground.",
                "Choose one of the two: valves with plain water, or glycol without valves.",
                FROST,
            )
        )
    if not outdoors:
        return findings
    return [*findings, *_measure_findings(plant, valves), *_glycol_findings(plant)]


def _measure_findings(plant: Plant, valves: list[Vessel]) -> list[Finding]:
    """Return what is to be said of the measure against frost, or that there is none."""
    circuit = plant.circuit
    findings: list[Finding] = []
    measure = circuit.frost_measure
    if measure is None:
        findings.append(
            finding(
                Severity.CHECK,
                "no_frost_measure",
                circuit.key(),
                "frost_measure",
                "Water runs outdoors, and nothing is written down against frost in a power cut.",
                "Antifreeze valves on flow and return at the lowest point outdoors, or glycol as the unit's maker asks.",
            )
        )
    elif measure == "unit_only":
        findings.append(
            finding(
                Severity.CHECK,
                "frost_needs_power",
                circuit.key(),
                "frost_measure",
                "Only the unit's own logic guards against frost: in a power cut it guards nothing.",
                "Antifreeze valves on flow and return, or glycol as the unit's maker asks.",
            )
        )
    elif measure == "antifreeze_valves":
        count = len([None for item in valves for _ in range(item.effective("count"))])
        if count < 2:
            findings.append(
                finding(
                    Severity.CHECK,
                    "too_few_antifreeze_valves",
                    circuit.key(),
                    "frost_measure",
                    f"{count or 'No'} antifreeze valve{' is' if count < 2 else 's are'} written down; flow and return need one each.",
                    "Fit both at the lowest points outdoors, with a fall to them and gravel below; one that opened must be refilled behind.",
                    FROST,
                )
            )
        elif any(item.where not in (None, "outdoors") for item in valves):
            findings.append(
                finding(
                    Severity.CHECK,
                    "antifreeze_valves_indoors",
                    circuit.key(),
                    "frost_measure",
                    "An antifreeze valve stands indoors: it opens only when its own water freezes, and then floods the room.",
                    "Fit both outdoors by the unit.",
                    FROST,
                )
            )
    elif measure == "glycol" and circuit.effective("fluid") == "water":
        findings.append(
            finding(
                Severity.CHECK,
                "glycol_not_in",
                circuit.key(),
                "fluid",
                "Glycol is the measure against frost, but the fluid written down is water.",
                "Choose the glycol and its share.",
            )
        )
    return findings


def _glycol_findings(plant: Plant) -> list[Finding]:
    circuit, fluid = plant.circuit, plant.fluid
    if fluid is None or fluid.mass_percent is None:
        return []
    share = fluid.mass_percent
    findings = []
    freezes, night = fluid.freezing_c(), circuit.effective("outdoor_low_c")
    if freezes > night + 1e-9:
        findings.append(
            finding(
                Severity.CHECK,
                "glycol_too_thin",
                circuit.key(),
                "glycol_percent",
                f"{figure(share, 0)} % of glycol begins to freeze at {figure(freezes, 1)} °C; the coldest night it must withstand has {figure(night, 0)} °C.",
                "Take a higher share; it costs flow and pump.",
                fluid.source,
            )
        )
    if share < LEAST_GLYCOL:
        findings.append(
            finding(
                Severity.NOTE,
                "glycol_inhibitor",
                circuit.key(),
                "glycol_percent",
                f"Below about {LEAST_GLYCOL} % many glycols no longer keep rust and growth down.",
                "Keep to the least share that the glycol's maker gives.",
            )
        )
    if circuit.effective("fluid") == "ethylene_glycol":
        findings.append(
            finding(
                Severity.CHECK,
                "glycol_poisonous",
                circuit.key(),
                "fluid",
                "Ethylene glycol is poisonous: a leaking coil would bring it into the hot water.",
                "Use propylene glycol where a single wall parts it from drinking water.",
            )
        )
    return findings


def _prompts(plant: Plant, outdoors: bool) -> list[Finding]:
    """Return what is forgotten most: dirt separator, strainer, isolation, expansion vessel, where the valve blows off."""
    there = {item.type for item in plant.vessels}
    key, findings = plant.circuit.key(), []
    if "dirt_separator" not in there:
        findings.append(
            finding(
                Severity.CHECK,
                "no_dirt_separator",
                key,
                None,
                "No dirt separator is written down; magnetite from old radiators blocks the unit's heat exchanger first.",
                "A magnetic dirt separator in the return to the unit, where it can be cleaned.",
            )
        )
    elif not any(item.is_magnetic for item in plant.vessels if item.type == "dirt_separator"):
        findings.append(
            finding(
                Severity.NOTE,
                "dirt_separator_without_magnet",
                key,
                None,
                "The dirt separator is not said to have a magnet.",
                "Use one with a magnet; most of the dirt is magnetite.",
            )
        )
    if "strainer" not in there:
        findings.append(
            finding(
                Severity.CHECK,
                "no_strainer",
                key,
                None,
                "No strainer is written down; most makers want one in the return by the unit.",
                "A strainer in the return by the unit, between isolation valves, so that it can be cleaned.",
            )
        )
    if outdoors and "isolation_valve" not in there:
        findings.append(
            finding(
                Severity.CHECK,
                "no_isolation_valves",
                key,
                None,
                "No isolation valves are written down by the unit.",
                "One on flow and one on return outdoors by the unit, insulated; antifreeze valves stay on the unit's side.",
            )
        )
    if "expansion" not in there:
        findings.append(
            finding(
                Severity.CHECK,
                "no_expansion_vessel",
                key,
                None,
                "No expansion vessel is written down.",
                "An expansion vessel on the suction side of the pump, sized as worked out here.",
            )
        )
    is_known = plant.position is not None or plant.unit is not NO_UNIT
    if is_known and burns(plant.unit):
        findings.append(
            finding(
                Severity.NOTE,
                "safety_valve_outdoors",
                key,
                "safety_valve_bar",
                f"A heat exchanger that fails can put {short_name(plant.unit)}, which burns, into the heating water.",
                "Lead the safety valve and the air vents of the unit's circuit to a safe place as the maker says, outdoors if the maker asks for that, and never to a drain.",
            )
        )
    return findings


def mixing_words(plant: Plant) -> tuple[str, list[Finding]]:
    """Return what a buffer with four connections does to the temperatures, in words, with a finding when it costs something."""
    buffers = [item for item in plant.vessels if item.type == "buffer"]
    unit = plant.flow_l_min(plant.load_kw)
    house = plant.circuit.house_flow_l_min
    if not buffers:
        return "", []
    if unit is None or not house:
        return (
            "A buffer with four connections separates the flows; the flow of the house side is not known, so what it mixes cannot be said.",
            [],
        )
    hot, cold = plant.flow_c, plant.flow_c - plant.difference_k
    if house > unit + 1e-9:
        reached = mixed_flow_c(unit, house, hot, cold)
        words = f"The house draws {figure(house, 1)} l/min and the unit gives {figure(unit, 1)}: return water mixes in, and {figure(reached, 1)} °C of {figure(hot, 1)} °C reach the emitters."
        return words, [
            finding(
                Severity.CHECK,
                "buffer_mixes",
                buffers[0].key(),
                None,
                words,
                f"Bring the house's flow down to the unit's, or count on {figure(hot - reached, 1)} K more from the unit, which costs about {figure((hot - reached) * 2.1, 0)} % of its efficiency.",
            )
        ]
    back = mixed_return_c(unit, house, hot, cold)
    return (
        f"The unit gives {figure(unit, 1)} l/min and the house draws {figure(house, 1)}: {figure(back, 1)} °C go back to the unit instead of {figure(cold, 1)} °C.",
        [],
    )
