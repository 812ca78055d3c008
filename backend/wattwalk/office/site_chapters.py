"""What the report says of the site: zone, room, noise and footing of each place; heating water, its heat and power cables."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from wattwalk.engine.answers import RoomAssessment, RunHeat, Step, WaterBalance
from wattwalk.engine.answers.rounding import listed
from wattwalk.engine.answers.words import WATER_WORDS, inside_a_sentence
from wattwalk.survey.site import Base
from wattwalk.survey.wording import long_date

from .figures import NBSP, bare, beside, degrees, lower_first, quantity, watts
from .report_inputs import ReportInputs

_SIDES = {"back": "behind", "left": "on the left", "right": "on the right", "front": "in front", "above": "above"}
_VERDICTS = {
    "within": "within the usual limits",
    "over": "over the usual limits",
    "slow": "slow",
    "not_known": "not known",
}


def place_block(inputs: ReportInputs, place_id: str) -> dict[str, Any]:
    """Return what was worked out of one place: the drawing of its zone, room around it, noise, what the bases bear."""
    site = inputs.assessment.site
    plan = next((item for item in site.zones if item.id == place_id), None)
    sound = next((item for item in site.noise if item.id == place_id), None)
    facts: list[tuple[str, str]] = []
    if plan is not None:
        if plan.corners:
            facts.append(
                (
                    "Protective zone",
                    f"{plan.shape}. The chosen unit’s own drawing decides" if not plan.is_makers else plan.shape,
                )
            )
        room = [
            f"{bare(item.has_mm)} of {bare(item.needs_mm)}{NBSP}mm {_SIDES[item.side]}"
            for item in plan.clearances
            if item.has_mm is not None
        ]
        if room:
            facts.append(("Room around it, there of needed", "; ".join(room)))
    if sound is not None:
        facts.append(
            (
                "Sound at the neighbour’s window",
                sound.words if not sound.missing else f"not known; missing: {', '.join(sound.missing)}",
            )
        )
        if sound.just_does_m is not None:
            facts.append(("Distance that would just do", quantity(sound.just_does_m, "m", 1)))
    for base in site.bases:
        record = inputs.survey.find(Base, base.id)
        if record is None or record.position != place_id:
            continue
        if base.edge_mm is not None:
            facts.append((f"{base.name}: feet to its edge", quantity(base.edge_mm, "mm")))
        if base.bearing_kpa is not None:
            facts.append((f"{base.name}: presses on the ground with", quantity(base.bearing_kpa, "kPa", 1)))
        if base.earliest_day is not None:
            facts.append((f"{base.name}: carries the unit from", long_date(base.earliest_day)))
    return {
        "facts": facts,
        "drawing": f"zone/{place_id}" if plan is not None and (plan.objects or plan.corners) else "",
        "is_planning": plan is not None and bool(plan.corners) and not plan.is_makers,
    }


def circuit_block(inputs: ReportInputs) -> dict[str, Any]:
    """Return the heating water: its figures, its runs, the heat they lose, the drawing."""
    site = inputs.assessment.site
    circuit = site.circuit
    if circuit is None:
        return {"facts": [], "runs": [], "heat": [], "missing": "", "drawing": "", "balance": None}
    facts = [
        ("Fluid", circuit.fluid),
        (
            "Heat carried",
            f"{quantity(circuit.load_kw, 'kW', 1)}, {circuit.load_words}"
            if circuit.load_kw is not None
            else "not known",
        ),
        (
            "Flow",
            f"{quantity(circuit.flow_l_min, 'l/min', 1)} at {quantity(circuit.difference_k, 'K', 0)} between flow and return",
        ),
        ("Index circuit", circuit.index_words),
        ("The unit’s pump has left", quantity(circuit.residual_kpa, "kPa", 1)),
        ("Water in all", quantity(circuit.content_l, "l")),
        ("Always open to the unit", quantity(circuit.open_l, "l")),
        ("Needed at least", circuit.needed_words),
        (
            "Volumiser to add",
            "none" if circuit.volumiser_l == 0 else _sold(circuit.volumiser_l, circuit.volumiser_sold_l),
        ),
        ("Expansion vessel at least", _sold(circuit.expansion_l, circuit.expansion_sold_l, circuit.expansion_has_l)),
        ("Fill to, when cold", quantity(circuit.fill_bar, "bar", 1)),
    ]
    if circuit.mixing_words:
        facts.append(("In the buffer", circuit.mixing_words))
    runs = [
        {
            "name": item.name,
            "pipe": item.pipe or "–",
            "flow": bare(item.flow_l_min, 1),
            "velocity": bare(item.velocity_m_s, 2),
            "gradient": bare(item.gradient_pa_m),
            "drop": bare(item.drop_kpa, 1),
            "balance": ""
            if not item.surplus_kpa
            else f"balance {bare(item.surplus_kpa, 1)}{NBSP}kPa, Kv {bare(item.balancing_kv_m3_h, 2)}",
            "verdict": _VERDICTS[item.verdict],
            "missing": ", ".join(item.missing),
        }
        for item in site.runs
    ]
    return {
        "facts": facts,
        "runs": runs,
        "heat": _pipe_heat(site.heat),
        "missing": ", ".join(circuit.missing),
        "so_far": beside(circuit.so_far),
        "drawing": "circuit" if site.runs else "",
        "balance": _balance(circuit.balance, inputs.assessment.rooms),
    }


def _sold(least_l: float | None, sold_l: float | None, has_l: float | None = None) -> str:
    """Return a content as it was worked out, and what is there or else the next size that is sold."""
    words = quantity(least_l, "l", 1)
    if sold_l is not None:
        return f"{words}; next size sold {quantity(sold_l, 'l')}"
    return words if has_l is None else f"{words}; {quantity(has_l, 'l')} written down"


def _pipe_heat(runs: tuple[RunHeat, ...]) -> list[dict[str, str]]:
    """Return what each run of heating water loses, stretch by stretch."""
    return [
        {
            "name": item.name,
            "stretches": "; ".join(
                f"{lower_first(part.place)} {bare(part.length_m, 1)}{NBSP}m: {watts(part.loss_w)}"
                for part in item.stretches
            ),
            "loss": bare(item.loss_w),
            "outside": bare(item.outside_loss_w),
            "saves": bare(item.saves_w),
            "missing": ", ".join(item.missing),
            "freezes": next(
                (
                    f"still water freezes after {bare(part.to_freezing_h, 1)}{NBSP}h"
                    for part in item.stretches
                    if part.to_freezing_h is not None
                ),
                "",
            ),
        }
        for item in runs
    ]


def _balance(balance: WaterBalance | None, rooms: tuple[RoomAssessment, ...]) -> dict[str, Any] | None:
    """Return the water of every emitter by room, and what they take together; None while there is no emitter."""
    if balance is None:
        return None
    names = {room.id: room.name + beside(room.so_far) for room in rooms}
    circuits = {item.id: f"mixed circuit {item.name}" for item in balance.mixed}
    rows = [
        {
            "room": names[item.room],
            "emitter": item.words,
            "state": inside_a_sentence(WATER_WORDS[item.state]),
            "says": item.says,
            "missing": ", ".join(item.missing),
            "heat": bare(item.heat_w),
            "flow": bare(item.flow_l_min, 2),
            "each": "" if item.loops == 1 else f"{item.loops} loops",
            "circuit": circuits.get(item.circuit, ""),
            "return": bare(item.return_c, 1),
            "means": f"{bare(item.mean_c, 1)} / {bare(item.verdict_mean_c, 1)}",
            "left": bare(item.left_kpa, 1),
            "kv": bare(item.kv_m3_h, 3),
            "setting": item.setting or "–",
        }
        for item in balance.rows
    ]
    valves = sorted({item.valve for item in balance.rows if item.valve})
    return {
        "rows": rows,
        "flow_c": degrees(balance.flow_c),
        "heat": bare(balance.heat_w),
        "flow": bare(balance.flow_l_min, 2),
        "return": bare(balance.return_c, 1),
        "words": balance.words,
        "mixed": [
            {
                "name": item.name,
                "words": item.words,
                "missing": ", ".join(item.missing),
                "temperatures": f"{bare(item.flow_c, 1)} / {bare(item.return_c, 1)}",
                "heat": bare(item.heat_w),
                "flow": bare(item.flow_l_min, 2),
                "primary": bare(item.primary_l_min, 2),
                "kvs": bare(item.kvs_m3_h, 2),
                "authority": bare(item.authority, 2),
                "pump": bare(item.pump_kpa, 1),
            }
            for item in balance.mixed
        ],
        "valves": listed(valves),
    }


def power_block(inputs: ReportInputs) -> dict[str, Any]:
    """Return the power cables and the highest demand."""
    supply = inputs.assessment.site.supply
    drawing = "cables" if inputs.assessment.cables else ""
    if supply is None:
        return {"facts": [], "cables": [], "missing": "", "drawing": drawing}
    where = ", on the fullest phase" if supply.phases else ""
    facts = [
        (f"The house as it is, at most{where}", quantity(supply.house_a, "A", 1)),
        ("The unit, at most", quantity(supply.unit_a, "A", 1)),
        (f"Together{where}", quantity(supply.demand_a, "A", 1)),
        *(
            (
                f"Phase {item.phase}",
                f"house {quantity(item.house_a, 'A', 1)}, unit {quantity(item.unit_a, 'A', 1)}, together {quantity(item.demand_a, 'A', 1)}",
            )
            for item in supply.phases
        ),
        ("Main fuse", quantity(supply.fuse_a, "A")),
        ("Network operator", supply.words),
    ]
    cables = [
        {
            "name": item.name,
            "cable": item.cable or "–",
            "current": bare(item.current_a, 1),
            "carries": bare(item.carries_a, 1),
            "drop": "–"
            if item.drop_v is None or item.drop_share is None
            else f"{bare(item.drop_v, 1)} ({bare(item.drop_share * 100, 1)}{NBSP}%)",
            "longest": bare(item.longest_m),
            "missing": ", ".join(item.missing),
        }
        for item in supply.cables
    ]
    return {"facts": facts, "cables": cables, "missing": ", ".join(supply.missing), "drawing": drawing}


#: A heading of the working, and under it each thing with its own steps; a name of nothing is the part as a whole.
WorkedPart = tuple[str, tuple[tuple[str, tuple[Step, ...]], ...]]


def _worked(name: str, steps: tuple[Step, ...], words: str = "") -> tuple[str, tuple[Step, ...]]:
    """Return a thing's steps under its name, which need not begin each of them once more."""
    return name, tuple(replace(step, what=step.what.removeprefix(f"{words or name}: ")) for step in steps)


def site_working(inputs: ReportInputs) -> list[WorkedPart]:
    """Return the steps of the site by heading and by the thing they are of, for the working pages."""
    site = inputs.assessment.site
    rooms = {emitter.id: room.name for room in inputs.assessment.rooms for emitter in room.emitters}
    parts: list[WorkedPart] = [(f"Sound: {item.name}", (("", item.steps),)) for item in site.noise]
    parts += [(f"What {item.name} bears", (_worked(item.name, item.steps),)) for item in site.bases]
    circuit = (("", site.circuit.steps),) if site.circuit is not None else ()
    parts += [("Heating water", (*(_worked(run.name, run.steps) for run in site.runs), *circuit))]
    if site.circuit is not None and site.circuit.balance is not None:
        balance = site.circuit.balance
        parts += [
            (
                "Water of each emitter",
                tuple(
                    _worked(f"{rooms[row.id]}, {lower_first(row.words)}", row.steps, row.words) for row in balance.rows
                ),
            ),
            ("Mixed circuits", tuple(("", item.steps) for item in balance.mixed)),
        ]
    parts += [("Heat lost by pipes", tuple(("", item.steps) for item in site.heat))]
    if site.supply is not None:
        cables = tuple(_worked(item.name, item.steps) for item in site.supply.cables)
        parts += [("Electricity", (*cables, ("", site.supply.steps)))]
    found = [(heading, tuple(group for group in groups if group[1])) for heading, groups in parts]
    return [(heading, groups) for heading, groups in found if groups]
