"""The heating water: flow from load, pipe by pipe, the index circuit against the unit's pump, and what balances the rest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import fsum

from wattwalk.catalogue import Row
from wattwalk.survey.circuit import Circuit, Vessel
from wattwalk.survey.document import Survey
from wattwalk.survey.known import known
from wattwalk.survey.runs import run_length, run_title
from wattwalk.survey.services import PipeRun
from wattwalk.survey.site import OutdoorPosition
from wattwalk.survey.standing import first_place, unit_at
from wattwalk.survey.unit import Unit
from wattwalk.survey.works import Design

from ..answers import CircuitVessel, DayPart, Finding, RoomAssessment, RunFlow, Severity, Step
from ..answers.citing import COMMON_PRACTICE, cite_row
from ..answers.rounding import figure, rounded, rounded_if_any
from ..fluids.glycol import WATER, Fluid, fluid_of, in_range
from ..fluids.pipe_flow import (
    COLEBROOK,
    FLOW,
    KV,
    balancing_kv,
    fitting_drop,
    flow_l_min,
    gradient,
    kv_drop,
    limits,
    pipe_row,
    velocity,
)
from ..rooms import HeatedRoom

#: Runs that carry the heating water.
HEATED_RUNS = ("primary", "heating", "cylinder")
#: Vessels and fittings that the whole flow goes through.
IN_LINE = ("buffer", "buffer_two_port", "volumiser", "dirt_separator", "strainer", "air_separator", "isolation_valve")
#: Of these a Kv is wanted, since they take a share that matters.
KV_WANTED = ("dirt_separator", "strainer")


@dataclass(frozen=True)
class Plant:
    """What the circuit is worked out from: the unit and its place, the design, the fluid, the load."""

    circuit: Circuit
    unit: Unit
    position: OutdoorPosition | None
    fluid: Fluid | None
    flow_c: float
    difference_k: float
    load_kw: float | None
    load_words: str
    vessels: tuple[Vessel, ...]
    #: The chosen unit at the mildest temperature at which the house takes less than its least output.
    mild: DayPart | None = None
    #: Outside at the design cold, °C.
    outside_c: float | None = None

    @property
    def mean_c(self) -> float:
        """Mean temperature of the water at the design cold, held within the range of its properties, °C."""
        return in_range(self.flow_c - self.difference_k / 2)

    @property
    def density(self) -> float:
        """Density of what flows, kg/m³; water's while the glycol is not known."""
        return (self.fluid or WATER).density(self.mean_c)

    def flow_l_min(self, load_kw: float | None) -> float | None:
        """Return the flow that carries a load, l/min, or None while load or fluid is not known."""
        return (
            None
            if load_kw is None or self.fluid is None
            else flow_l_min(load_kw, self.difference_k, self.fluid, self.mean_c)
        )


def plant_of(
    survey: Survey,
    design: Design,
    unit_size_w: float | None,
    day_parts: Sequence[DayPart] = (),
    outside_c: float | None = None,
) -> Plant:
    """Return what the circuit is worked out from.

    The load is the greater of what the house needs and what the unit gives at the design cold: the pipes carry the unit's output.
    """
    circuit = survey.single(Circuit) or Circuit(id="circuit")
    house = None if unit_size_w is None else unit_size_w / 1000
    unit = design.unit_capacity_kw
    given = [item for item in (house, unit) if item is not None and item > 0]
    load = max(given) if given else None
    words = "not known yet"
    if load is not None:
        words = (
            "what the unit gives at the design cold"
            if unit is not None and load == unit
            else "what the house needs at the design cold"
        )
    position = first_place(survey)
    vessels = tuple(
        item for item in survey.of_kind(Vessel) if item.effective("plan") != "remove" and item.type is not None
    )
    return Plant(
        circuit=circuit,
        unit=unit_at(survey, position),
        position=position,
        fluid=fluid_of(circuit),
        flow_c=design.effective("flow_temperature_c"),
        difference_k=design.effective("flow_return_difference_k"),
        load_kw=load,
        load_words=words,
        vessels=vessels,
        mild=next((part for part in reversed(day_parts) if 0 < part.load_kw < part.least_kw - 1e-9), None),
        outside_c=outside_c,
    )


@dataclass
class RunWork:
    """One run on its way to its result."""

    run: PipeRun
    flow: RunFlow
    findings: list[Finding]


def assess_run(run: PipeRun, plant: Plant) -> RunWork:
    """Return the flow through one run of heating water, and the findings on it."""
    title = run_title(run)
    missing: list[str] = []
    load = run.carries_kw if run.carries_kw is not None or run.purpose == "heating" else plant.load_kw
    if load is None:
        missing.append("the heat it carries")
    if plant.fluid is None:
        missing.append("the share of glycol")
    row = pipe_row(run.material, run.size_mm)
    findings: list[Finding] = []
    if run.material is None or run.size_mm is None:
        missing.append("its pipe and size")
    elif row is None:
        missing.append("a size that is in the table")
        findings.append(
            Finding(
                Severity.CHECK,
                "pipe_size_unknown",
                run.key(),
                "size_mm",
                f"{title}: the table of {run.kind.field('material').choice_label(run.material).lower()} pipes has no {figure(run.size_mm, 1)} mm, so nothing is worked out for it.",
                "Correct the size (outside diameter), or have a designer work it through with the real bore.",
                COMMON_PRACTICE,
            )
        )
    length = run_length(run.stretches)
    if length is None:
        missing.append("its length")
    pipe = (
        ""
        if row is None
        else f"{figure(row.number('size_mm'), 1)} × {figure(row.number('wall_mm'), 2)} mm {run.kind.field('material').choice_label(run.material).lower()}"
    )
    empty = RunFlow(
        id=run.id,
        name=title,
        purpose=run.purpose or "",
        pipe=pipe,
        carries_kw=rounded_if_any(load, 2),
        flow_l_min=rounded_if_any(plant.flow_l_min(load), 2),
        velocity_m_s=None,
        velocity_limit_m_s=None,
        gradient_pa_m=None,
        gradient_limit_pa_m=None,
        length_m=rounded_if_any(length, 1),
        drop_kpa=None,
        surplus_kpa=None,
        balancing_kv_m3_h=None,
        verdict="not_known",
        missing=tuple(missing),
        steps=(),
    )
    if row is None or load is None or plant.fluid is None:
        return RunWork(run, empty, findings)
    stream = _stream(run, row, plant, plant.fluid, load)
    verdict, found = _limit_findings(run, f"{title}: {figure(load, 1)} kW", pipe, plant, stream)
    allowed = limits(row.number("bore_mm"))
    flow = replace(
        empty,
        velocity_m_s=rounded(stream.speed_m_s, 3),
        velocity_limit_m_s=allowed["velocity_m_s"].number("value"),
        gradient_pa_m=rounded(stream.gradient_pa_m, 1),
        gradient_limit_pa_m=allowed["gradient_pa_m"].number("value"),
        drop_kpa=rounded_if_any(stream.drop_kpa, 2),
        verdict=verdict,
        steps=tuple(stream.steps),
    )
    return RunWork(run, flow, findings + found)


@dataclass(frozen=True)
class Stream:
    """What flows in one run, unrounded: velocity, gradient, the drop of both legs where its length is known; and the working."""

    bore_mm: float
    speed_m_s: float
    gradient_pa_m: float
    drop_kpa: float | None
    steps: tuple[Step, ...]


def _stream(run: PipeRun, row: Row, plant: Plant, fluid: Fluid, load_kw: float) -> Stream:
    title, mean, bore, length = run_title(run), plant.mean_c, row.number("bore_mm"), run_length(run.stretches)
    flow = flow_l_min(load_kw, plant.difference_k, fluid, mean)
    speed, steep = velocity(flow, bore), gradient(flow, bore, row.number("roughness_mm"), fluid, mean)
    steps = [
        Step(
            f"{title}: flow",
            "Φ/(c·ΔT·ρ)",
            f"{figure(load_kw, 2)} kW, {figure(fluid.specific_heat(mean), 0)} J/kgK, {figure(plant.difference_k, 1)} K, {figure(fluid.density(mean), 1)} kg/m³ at {figure(mean, 1)} °C",
            rounded(flow, 2),
            "l/min",
            fluid.source,
        ),
        Step(
            f"{title}: velocity",
            "V/(π·d²/4)",
            f"{figure(flow, 2)} l/min through {figure(bore, 1)} mm",
            rounded(speed, 3),
            "m/s",
            FLOW,
        ),
        Step(
            f"{title}: pressure drop of straight pipe",
            "f·ρ·v²/(2·d), f by Colebrook",
            f"roughness {figure(row.number('roughness_mm'), 4)} mm, viscosity {figure(fluid.viscosity(mean) * 1000, 3)} mPa·s",
            rounded(steep, 1),
            "Pa/m",
            COLEBROOK,
        ),
    ]
    drop = None
    if length is not None:
        fittings = fitting_drop(run.fittings, row.number("size_mm"), speed, fluid.density(mean))
        end = (run.end_drop_kpa or 0.0) * 1000
        drop = (steep * 2 * length + fittings + end) / 1000
        steps.append(
            Step(
                f"{title}: both legs",
                "R·2·L + Z + end",
                f"{figure(steep, 1)} Pa/m × 2 × {figure(length, 1)} m + {figure(fittings / 1000, 2)} kPa of fittings + {figure(end / 1000, 2)} kPa at its end",
                rounded(drop, 2),
                "kPa",
                FLOW,
            )
        )
    return Stream(bore, speed, steep, drop, tuple(steps))


def _over(value: float, limit: Row) -> str:
    usual = limit.number("value")
    part = abs(value / usual - 1) * 100
    return f"{figure(part, 0)} % {'over' if value > usual else 'below'} the usual {figure(usual, 1)}"


def _limit_findings(run: PipeRun, carried: str, pipe: str, plant: Plant, stream: Stream) -> tuple[str, list[Finding]]:
    allowed = limits(stream.bore_mm)
    fast, hard, slow = (allowed[name] for name in ("velocity_m_s", "gradient_pa_m", "lowest_velocity_m_s"))
    speed, steep = stream.speed_m_s, stream.gradient_pa_m
    carried = f"{carried} at {figure(plant.difference_k, 1)} K through {pipe}"
    if speed > fast.number("value") + 1e-9 or steep > hard.number("value") + 1e-9:
        return "over", [
            Finding(
                Severity.CHECK,
                "pipe_at_its_limit",
                run.key(),
                "size_mm",
                f"{carried} runs at {figure(speed, 2)} m/s ({_over(speed, fast)} m/s) and {figure(steep, 0)} Pa/m ({_over(steep, hard)} Pa/m). It is done in practice where the pump has the head and nobody hears it, but it is at the limit.",
                "Take the next size, let the unit work at a larger difference between flow and return, or show that the pump's head is enough and the run lies where nobody hears it.",
                cite_row(hard),
            )
        ]
    if speed < slow.number("value") - 1e-9:
        return "slow", [
            Finding(
                Severity.NOTE,
                "pipe_slow",
                run.key(),
                "size_mm",
                f"{carried} runs at {figure(speed, 2)} m/s: below {figure(slow.number('value'), 1)} m/s air is not carried along.",
                "Give it vents at its high points, or a smaller pipe.",
                cite_row(slow),
            )
        ]
    return "within", []


def vessel_drops(plant: Plant) -> tuple[CircuitVessel, ...]:
    """Return every vessel and fitting with its drop at the design flow, kPa, where the whole flow goes through it and its Kv is known."""
    flow = plant.flow_l_min(plant.load_kw)
    made = []
    for item in plant.vessels:
        words = item.name or item.kind.field("type").choice_label(item.type)
        drop = None
        if item.type in IN_LINE and item.kv_m3_h is not None and flow is not None:
            drop = rounded(kv_drop(flow, item.kv_m3_h, plant.density) * item.effective("count"), 2)
        made.append(
            CircuitVessel(
                item.id,
                known(item.type),
                words,
                None if item.litres is None else rounded(item.litres * item.effective("count"), 1),
                drop,
            )
        )
    return tuple(made)


@dataclass
class IndexWork:
    """The index circuit: its drop in kPa, in words, what is not in it, and the runs with what balances them."""

    kpa: float | None
    words: str
    missing: list[str]
    steps: list[Step]
    surplus: dict[str, tuple[float, float | None]]


def floor_loops(rooms: Sequence[tuple[HeatedRoom, RoomAssessment]]) -> tuple[tuple[str, float], ...]:
    """Return each heated floor's hardest loop: in words, and its drop in kPa.  A mixed circuit has a pump of its own, so its loops are none of them."""
    return tuple(
        (f"a loop of the heated floor in {room.name}", item.floor.pressure_kpa)
        for heated, room in rooms
        for work, item in zip(heated.emitters, room.emitters, strict=True)
        if item.counts and item.floor is not None and work.mixed is None
    )


def index_circuit(
    works: list[RunWork], vessels: tuple[CircuitVessel, ...], loops: Sequence[tuple[str, float]] = ()
) -> IndexWork:
    """Return the circuit that asks most of the pump: the run from the unit, what stands in line, and the hardest branch or loop behind it.

    ``loops`` are the hardest loops of heated floors, in words and kPa; what lies between them and the run is not in them.
    """
    trunk = [item.flow for item in works if item.flow.purpose == "primary"]
    branches = [item.flow for item in works if item.flow.purpose in ("heating", "cylinder")]
    parted = any(item.type == "buffer" for item in vessels)
    missing = [f"{item.name}: {words}" for item in (*trunk, *([] if parted else branches)) for words in item.missing]
    missing += [f"the Kv of {item.words}" for item in vessels if item.type in KV_WANTED and item.drop_kpa is None]
    if not trunk:
        missing.append("the run from the unit to the house")
    if not parted and not any(item.purpose == "heating" for item in branches):
        missing.append("the heating runs behind it, with the heat each carries")
    first = fsum(item.drop_kpa for item in trunk if item.drop_kpa is not None)
    in_line = fsum(item.drop_kpa for item in vessels if item.drop_kpa is not None)
    told = [(item.drop_kpa, item) for item in branches if item.drop_kpa is not None]
    behind = [(kpa, item.id, item.name) for kpa, item in told] + [(kpa, "", words) for words, kpa in loops]
    hardest_kpa, _, hardest = (0.0, "", "") if parted else max(behind, default=(0.0, "", ""))
    if not any(item.drop_kpa is not None for item in trunk):
        return IndexWork(None, "Not known yet.", missing, [], {})
    total = first + in_line + hardest_kpa
    parts = [f"{figure(first, 2)} kPa from the unit to the house"]
    if in_line:
        parts.append(f"{figure(in_line, 2)} kPa in what stands in line")
    if hardest:
        parts.append(f"{figure(hardest_kpa, 2)} kPa in {hardest}")
    words = f"{'Up to the buffer: ' if parted else ''}{', '.join(parts)}; {figure(total, 1)} kPa{' so far' if missing else ''}."
    steps = [
        Step(
            "Index circuit",
            "the run from the unit + what stands in line + the hardest branch",
            "; ".join(parts),
            rounded(total, 2),
            "kPa",
            KV,
        )
    ]
    surplus: dict[str, tuple[float, float | None]] = {}
    if hardest:
        for drop, item in told:
            over = hardest_kpa - drop
            valve = balancing_kv(known(item.flow_l_min), over)
            surplus[item.id] = (rounded(over, 2), rounded_if_any(valve, 2))
    return IndexWork(total, words, missing, steps, surplus)
