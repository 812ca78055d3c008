"""How much water the circuit holds, how much of it is always open to the unit, and what the expansion vessel must take."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import fsum

from wattwalk.catalogue import CatalogueError, interpolate, table
from wattwalk.survey.building import Emitter
from wattwalk.survey.document import Survey
from wattwalk.survey.known import known
from wattwalk.survey.runs import run_length, run_title
from wattwalk.survey.services import PipeRun

from ..answers import Step
from ..answers.citing import COMMON_PRACTICE, DECLARED
from ..answers.rounding import figure, rounded
from ..emitters.loops import lay_out_loops
from ..fluids.glycol import growth
from ..fluids.pipe_flow import pipe_row
from .flow import HEATED_RUNS, Plant
from .volumes import (
    BUFFER_SIZES_L,
    DEFROST,
    EXPANSION,
    content_l_m,
    defrost_volume_l,
    end_pressure_bar,
    expansion_vessel_l,
    fill_pressure_bar,
    reserve_l,
    reserve_words,
    run_volume_l,
    sold_size_l,
)

PANELS = "panel_content_2026"
#: Water in other emitters, l (from memory): a section of a column radiator, a towel rail, a convector.
SECTION_L, TOWEL_RAIL_L, CONVECTOR_L = 1.0, 5.0, 1.5
#: Common practice, no source: a run shorter than this wears the compressor, s, with the water warming by so much in it, K.
LEAST_RUN_S, RUN_SWING_K = 600.0, 5.0
HOLDING = ("buffer", "buffer_two_port", "volumiser", "dirt_separator", "air_separator")


def emitter_content_l(emitter: Emitter) -> float | None:
    """Return the water in one emitter, l, or None when it cannot be told."""
    kind = emitter.type
    if kind == "underfloor":
        if emitter.heated_area_m2 is None:
            return None
        bore = emitter.effective("pipe_outer_mm") - 2 * emitter.effective("pipe_wall_mm")
        return (
            None
            if bore <= 0
            else emitter.heated_area_m2 / (emitter.effective("pipe_spacing_mm") / 1000) * content_l_m(bore)
        )
    if kind == "column":
        return None if emitter.sections is None else emitter.sections * SECTION_L
    if kind == "towel_rail":
        return TOWEL_RAIL_L
    if kind in ("convector", "fan_convector"):
        return CONVECTOR_L
    rows = table(PANELS).where("type", kind or "")
    if not rows or emitter.height_mm is None or emitter.length_mm is None:
        return None
    points = [(row.number("height_mm"), row.number("content_l_m")) for row in rows]
    height = min(max(emitter.height_mm, points[0][0]), points[-1][0])
    # Beyond the table's heights the content grows with the height.
    return interpolate(points, height) * emitter.height_mm / height * emitter.length_mm / 1000


def tails_content_l(emitter: Emitter) -> float:
    """Return the water in the pipes between manifold and room of a heated floor's loops, l; nothing for any other emitter.

    Each loop has two of them.  Where the loops are not counted, there are as few as a loop's length allows.
    """
    if emitter.type != "underfloor" or emitter.heated_area_m2 is None:
        return 0.0
    bore = emitter.effective("pipe_outer_mm") - 2 * emitter.effective("pipe_wall_mm")
    tail = emitter.effective("manifold_distance_m")
    loops = lay_out_loops(
        emitter.heated_area_m2,
        emitter.effective("pipe_spacing_mm") / 1000,
        emitter.effective("pipe_outer_mm"),
        tail,
        emitter.loops,
    )
    return 0.0 if loops is None or bore <= 0 else loops.number * 2 * tail * content_l_m(bore)


@dataclass
class Water:
    """The circuit's water: content by parts, what is always open, what is needed, the expansion vessel."""

    parts: list[tuple[str, float]] = field(default_factory=list)
    missing: list[str] = field(default_factory=list)
    steps: list[Step] = field(default_factory=list)
    content_l: float | None = None
    open_l: float | None = None
    needed_l: float | None = None
    needed_words: str = "Not known yet."
    is_declared: bool = False
    volumiser_l: float | None = None
    volumiser_sold_l: float | None = None
    run_min: float | None = None
    expansion_l: float | None = None
    expansion_sold_l: float | None = None
    has_l: float | None = None
    fill_bar: float | None = None


def work_out_water(survey: Survey, plant: Plant) -> Water:
    """Return the circuit's water."""
    water = Water()
    opened = _content(survey, plant, water)
    _least(plant, water, opened)
    _expansion(plant, water)
    return water


def _content(survey: Survey, plant: Plant, water: Water) -> list[float]:
    """Fill in the content and return the parts that no valve shuts off from the unit, l."""
    pipes, opened = [], []
    for run in survey.of_kind(PipeRun):
        if run.purpose not in HEATED_RUNS:
            continue
        row, length = pipe_row(run.material, run.size_mm), run_length(run.stretches)
        if row is None or length is None:
            water.missing.append(f"the water in {run_title(run)}")
            continue
        litres = content_l_m(row.number("bore_mm")) * 2 * length
        pipes.append(litres)
        if run.purpose == "primary":
            opened.append(litres)
    emitters, tails = [], []
    for emitter in survey.of_kind(Emitter):
        if emitter.effective("plan") == "replace":
            continue
        held = emitter_content_l(emitter)
        if held is None:
            water.missing.append("the water in an emitter whose type or size is not known")
        else:
            emitters.append(held)
            tails.append(tails_content_l(emitter))
    vessels = []
    for vessel in plant.vessels:
        if vessel.type not in HOLDING:
            continue
        if vessel.litres is None:
            if vessel.type in ("buffer", "buffer_two_port", "volumiser"):
                water.missing.append(
                    f"the content of {vessel.name or vessel.kind.field('type').choice_label(vessel.type)}"
                )
            continue
        vessels.append(vessel.litres * vessel.effective("count"))
        opened.append(vessels[-1])
    unit = plant.unit.content_l
    if unit is not None:
        opened.append(unit)
    if plant.circuit.radiators_always_open_l is not None:
        opened.append(plant.circuit.radiators_always_open_l)
    listed = (
        ("pipes", fsum(pipes)),
        ("emitters", fsum(emitters)),
        ("heated floors’ pipes to their manifold", fsum(tails)),
        ("vessels", fsum(vessels)),
        ("the unit", unit or 0.0),
        ("other, as written down", plant.circuit.other_content_l or 0.0),
    )
    water.parts = [(words, rounded(litres, 1)) for words, litres in listed if litres > 0]
    if water.parts:
        water.content_l = fsum(litres for _, litres in listed)
        water.steps.append(
            Step(
                "Water in the circuit",
                "pipes, emitters, vessels, unit",
                " + ".join(f"{figure(litres, 1)} ({words})" for words, litres in water.parts),
                rounded(water.content_l, 1),
                "l",
                COMMON_PRACTICE,
            )
        )
    water.missing = list(dict.fromkeys(water.missing))
    return opened


def _least(plant: Plant, water: Water, opened: list[float]) -> None:
    water.open_l = fsum(opened) if opened else None
    if water.open_l is not None:
        water.steps.append(
            Step(
                "Water no valve shuts off from the unit",
                "pipes from the unit, vessels in line, unit, emitters always open",
                " + ".join(figure(item, 1) for item in opened),
                rounded(water.open_l, 1),
                "l",
                COMMON_PRACTICE,
            )
        )
    declared = plant.unit.minimum_volume_l
    circuit = plant.circuit
    if declared is not None:
        water.needed_l, water.needed_words, water.is_declared = (
            declared,
            f"{figure(declared, 0)} l, as the unit's maker asks",
            True,
        )
        water.steps.append(
            Step("Least water open to the unit", "as the maker declares", "", rounded(declared, 1), "l", DECLARED)
        )
    elif plant.load_kw is not None and plant.fluid is not None:
        seconds, drop = circuit.effective("defrost_s"), circuit.effective("defrost_drop_k")
        heat = plant.fluid.specific_heat(plant.mean_c)
        water.needed_l = defrost_volume_l(plant.load_kw, seconds, drop, plant.density, heat)
        water.needed_words = f"{figure(water.needed_l, 0)} l for a defrost of {figure(seconds, 0)} s at {figure(plant.load_kw, 1)} kW that may cool the water by {figure(drop, 0)} K; the maker's figure is not known and wins"
        water.steps.append(
            Step(
                "Least water for a defrost",
                "P·t/(ρ·c·ΔT)",
                f"{figure(plant.load_kw, 2)} kW × {figure(seconds, 0)} s/({figure(plant.density, 1)} × {figure(heat, 0)} × {figure(drop, 1)})",
                rounded(water.needed_l, 1),
                "l",
                DEFROST,
            )
        )
    else:
        water.missing.append("the least water the unit's maker asks for, or the load and the fluid")
    _run(plant, water)
    if water.needed_l is not None and water.open_l is not None:
        short = water.needed_l - water.open_l
        water.volumiser_l = short if short > 1e-6 else 0.0
        water.volumiser_sold_l = sold_size_l(short, BUFFER_SIZES_L) if water.volumiser_l else None


def _run(plant: Plant, water: Water) -> None:
    """Fill in how long the unit runs in mild weather, and let the least water grow to a run of its usual length where the maker says nothing."""
    mild = plant.mild
    if mild is None or plant.fluid is None:
        return
    heat = plant.fluid.specific_heat(plant.mean_c)
    least = run_volume_l(mild.least_kw, mild.load_kw, LEAST_RUN_S, RUN_SWING_K, plant.density, heat)
    water.steps.append(
        Step(
            f"Water for a run of {figure(LEAST_RUN_S / 60, 0)} minutes at {figure(mild.outside_c, 1)} °C outside",
            "(P least − load)·t/(ρ·c·ΔT)",
            f"({figure(mild.least_kw, 2)} − {figure(mild.load_kw, 2)}) kW × {figure(LEAST_RUN_S, 0)} s/({figure(plant.density, 1)} × {figure(heat, 0)} × {figure(RUN_SWING_K, 0)})",
            rounded(least, 1),
            "l",
            COMMON_PRACTICE,
        )
    )
    if water.open_l is not None:
        water.run_min = LEAST_RUN_S / 60 * water.open_l / least
    if not water.is_declared and water.needed_l is not None and least > water.needed_l:
        water.needed_l = least
        water.needed_words = f"{figure(least, 0)} l, so that the unit runs for {figure(LEAST_RUN_S / 60, 0)} minutes at its least output at {figure(mild.outside_c, 1)} °C outside; the maker's figure is not known and wins"


def _expansion(plant: Plant, water: Water) -> None:
    if water.content_l is None or plant.fluid is None:
        return
    circuit = plant.circuit
    cold, hot = circuit.effective("fill_temperature_c"), max(circuit.effective("highest_c"), plant.flow_c)
    charge, valve = circuit.effective("precharge_bar"), circuit.effective("safety_valve_bar")
    try:
        share = growth(plant.fluid, cold, min(hot, 80.0) if not plant.fluid.is_water else hot)
    except CatalogueError as error:
        water.missing.append(f"temperatures the expansion can be worked out at ({error})")
        return
    least = expansion_vessel_l(water.content_l, share, charge, valve)
    if least is None:
        water.missing.append(
            f"a safety valve well above the vessel's charge ({figure(valve, 1)} bar against {figure(charge, 1)} bar)"
        )
        return
    water.steps.append(
        Step(
            "Growth of the water",
            "ρ cold/ρ hot − 1",
            f"from {figure(cold, 0)} to {figure(hot, 0)} °C",
            rounded(share * 100, 3),
            "%",
            plant.fluid.source,
        )
    )
    water.steps.append(
        Step(
            "Least expansion vessel",
            "(Ve + Vwr)·(pe + 1)/(pe − p0)",
            f"grows by {figure(water.content_l, 1)} l × {figure(share * 100, 3)} %, reserve {reserve_words(water.content_l)}: ({figure(water.content_l * share, 2)} + {figure(reserve_l(water.content_l), 2)}) × ({figure(end_pressure_bar(valve), 2)} + 1)/({figure(end_pressure_bar(valve), 2)} − {figure(charge, 2)})",
            rounded(least, 2),
            "l",
            EXPANSION,
        )
    )
    water.expansion_l = least
    there = [
        item.litres * item.effective("count")
        for item in plant.vessels
        if item.type == "expansion" and item.litres is not None
    ]
    water.has_l = fsum(there) if there else None
    is_there = water.has_l is not None and water.has_l >= least - 1e-6
    # What the survey has, or plans, stands before any size of the table as long as it holds enough.
    water.expansion_sold_l = None if is_there else sold_size_l(least)
    chosen = known(water.has_l if water.has_l is not None else water.expansion_sold_l)
    filled = fill_pressure_bar(chosen, water.content_l, charge)
    if filled is not None:
        water.fill_bar = filled
        water.steps.append(
            Step(
                "Fill to, when cold",
                "VN·(p0 + 1)/(VN − Vwr) − 1",
                f"vessel of {figure(chosen, 0)} l, reserve {figure(reserve_l(water.content_l), 2)} l: {figure(chosen, 0)} × ({figure(charge, 2)} + 1)/({figure(chosen, 0)} − {figure(reserve_l(water.content_l), 2)}) − 1",
                rounded(filled, 2),
                "bar",
                EXPANSION,
            )
        )
