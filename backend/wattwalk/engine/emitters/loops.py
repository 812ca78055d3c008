"""The loops of a heated floor: what it loses downward, how many, how long, their flow and their pressure drop."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from wattwalk.catalogue import table
from wattwalk.survey.known import known

from ..answers import Climate, Finding, FloorHeating, Severity, Step
from ..answers.citing import COMMON_PRACTICE, cite, cite_row
from ..answers.rounding import TEMPERATURE, WATTS, figure, rounded
from ..fluids.glycol import WATER, Fluid, in_range
from ..fluids.pipe_flow import flow_l_min, gradient
from ..fluids.water import COLEBROOK, LAMINAR_BELOW, PLASTIC_ROUGHNESS_M, velocity
from .limits import surface_temperature
from .throttled import return_for
from .work import EmitterWork

LOOPS, INSULATION = "underfloor_loops_2026", "floor_insulation_en_1264_4_2021"

#: Resistance of the air below a floor, m²K/W.
AIR_BELOW_M2K_W = 0.17
#: Highest pressure drop of a loop and its usual flows: usual practice, kPa and l/min.
MOST_KPA, LEAST_L_MIN, MOST_L_MIN = 25.0, 1.0, 2.5
#: A loop may be so much longer than the limit before it is said, m.
LENGTH_TOLERANCE_M = 0.05

EN_1264_DOWNWARD = cite("en_1264_2_2021", "heat downward")
EN_1264_FLOW = cite("en_1264_3_2021", "design water flow", "from memory")
EN_1264_SPREAD = cite("en_1264_3_2021", "difference of a loop at the common flow temperature", "from memory")
LOOP_LENGTH = cite("common_practice", "longest loops", "second-hand")

_BELOW_WORDS = {
    "heated": "a room as warm",
    "unheated": "half way to the outside",
    "ground": "the yearly mean outside",
    "outside": "outside air",
}


@dataclass(frozen=True)
class Loops:
    """How a floor is laid out: number of loops and the length of each, m, and the longest allowed, m."""

    number: int
    length_m: float
    longest_m: float


def downward_w_m2(
    output_w_m2: float, upward_m2k_w: float, below_m2k_w: float, inside_c: float, below_c: float
) -> float:
    """Return the heat that a heated floor loses downward, W/m².

    Parameters
    ----------
    output_w_m2 : float
        Output upward, W/m².
    upward_m2k_w, below_m2k_w : float
        Resistance from the pipes up to the room and down to what is below, m²K/W.
    inside_c, below_c : float
        Temperatures of the room and below, °C.

    References
    ----------
    EN 1264-2:2021, ``q_u = (R_o q + θi − θu) / R_u``.

    Examples
    --------
    >>> round(downward_w_m2(50, 0.15, 1.5, 20, 10), 1)
    11.7
    """
    return max(0.0, (upward_m2k_w * output_w_m2 + inside_c - below_c) / below_m2k_w)


def longest_loop(pipe_mm: float) -> float:
    """Return the longest loop in m for a pipe's outside diameter in mm, tails included.

    Parameters
    ----------
    pipe_mm : float
        Outside diameter, mm.

    Examples
    --------
    >>> longest_loop(16)
    100.0
    """
    rows = table(LOOPS).rows
    return next((row for row in rows if pipe_mm <= row.number("up_to_pipe_mm")), rows[-1]).number("longest_loop_m")


def lay_out_loops(
    area_m2: float, spacing_m: float, pipe_mm: float, tail_m: float, number: int | None = None
) -> Loops | None:
    """Return the loops of a floor: as many as counted, or as few as its length allows.

    Parameters
    ----------
    area_m2, spacing_m : float
        Heated area and pipe spacing.
    pipe_mm : float
        Outside diameter of the pipe, mm.
    tail_m : float
        Pipe from the manifold to the floor one way, m.
    number : int or None
        Loops counted at the manifold.

    Returns
    -------
    Loops or None
        None when the tails alone are as long as a loop may be.

    Examples
    --------
    >>> lay_out_loops(18, 0.15, 16, 5)
    Loops(number=2, length_m=70.0, longest_m=100.0)
    """
    longest = longest_loop(pipe_mm)
    if number is None:
        if 2 * tail_m >= longest:
            return None
        number = max(1, ceil(area_m2 / spacing_m / (longest - 2 * tail_m) - 1e-9))
    return Loops(number, area_m2 / spacing_m / number + 2 * tail_m, longest)


def least_insulation(below: str, outside_c: float) -> tuple[float, str]:
    """Return EN 1264-4's least insulation below a heated floor in m²K/W, and its source.

    Parameters
    ----------
    below : str
        What lies below the floor, by the table.
    outside_c : float
        Design temperature outside, °C.

    Examples
    --------
    >>> least_insulation('outside', -3)[0]
    1.5
    """
    rows = [
        row
        for row in table(INSULATION).where("below", below)
        if row.cells["at_least_outside_c"] is None or outside_c >= row.number("at_least_outside_c")
    ]
    row = rows[0] if rows else table(INSULATION).where("below", below)[-1]
    return row.number("least_m2k_w"), cite_row(row)


def floor_heating(
    work: EmitterWork, flow_c: float, return_c: float, climate: Climate, needed_share: float = 1.0, fluid: Fluid = WATER
) -> tuple[FloorHeating | None, list[Step]]:
    """Return a heated floor at the design flow with its loops, and the working; None while its output is not known or is nothing.

    ``needed_share`` is the share of its output that the room needs: its valves let through no more water than that asks for, so
    the water returns as cold as the floor then makes it.
    """
    output, emitter, inside = work.output_w(flow_c, return_c), work.emitter, work.inside_c
    if not output or not work.is_floor or inside is None or not flow_c > return_c:
        return None, []
    per_m2 = output / work.area_m2
    needed = per_m2 * needed_share
    downward, step = _downward(work, inside, needed, climate)
    spacing, pipe_mm, wall_mm = (
        emitter.effective("pipe_spacing_mm") / 1000,
        emitter.effective("pipe_outer_mm"),
        emitter.effective("pipe_wall_mm"),
    )
    loops = lay_out_loops(work.area_m2, spacing, pipe_mm, emitter.effective("manifold_distance_m"), emitter.loops)
    bore = (pipe_mm - 2 * wall_mm) / 1000
    if loops is None or bore <= 0:
        return None, []
    steps = [step]
    returning = return_c
    if needed_share < 1 or work.is_limited(flow_c, return_c):
        returning = known(return_for(work, output * needed_share, flow_c)) if needed > 0 else inside
        steps.append(_return_step(work, needed, flow_c, returning))
    heat_w = work.area_m2 * (needed + downward) if needed > 0 else 0.0
    flow = _loop_flow(heat_w / loops.number, flow_c, returning, bore, loops.length_m, fluid)
    heat = f"{figure(work.area_m2, 1)} × ({figure(needed, 1)} needed + {figure(downward, 1)}) over {figure(flow_c - returning, 1)} K"
    counted = "as counted at the manifold" if emitter.loops is not None else "as few as a loop's length allows"
    words = f"{loops.number} {'loop' if loops.number == 1 else 'loops'} of {figure(loops.length_m, 0)} m ({counted})"
    result = FloorHeating(
        coefficient_w_m2k=rounded(known(work.coefficient_w_m2k), 4),
        output_w_m2=rounded(per_m2, 1),
        needed_w_m2=rounded(needed, 1),
        surface_c=rounded(surface_temperature(per_m2, inside), 1),
        limit_c=rounded(work.limit_c, 1),
        limit_w_m2=rounded(work.limit_w_m2, 1),
        is_limited=work.is_limited(flow_c, return_c),
        downward_w_m2=rounded(downward, 1),
        loops=loops.number,
        loop_m=rounded(loops.length_m, 1),
        flow_l_min=rounded(flow.l_min, 2),
        pressure_kpa=rounded(flow.pressure_kpa, 2),
        is_laminar=flow.is_laminar,
        words=words,
        heat_w=rounded(heat_w, WATTS),
        return_c=rounded(returning, TEMPERATURE),
    )
    return result, [*steps, *_loop_steps(work, loops, flow, heat)]


@dataclass(frozen=True)
class _LoopFlow:
    """The water of one loop: its flow, its bore, its drop of pressure, and whether it flows in layers."""

    l_min: float
    bore_m: float
    pressure_kpa: float
    is_laminar: bool


def _loop_flow(
    heat_w: float, flow_c: float, return_c: float, bore_m: float, length_m: float, fluid: Fluid
) -> _LoopFlow:
    """Return the water of one loop that carries ``heat_w`` in W between these temperatures in °C."""
    mean_c = in_range((flow_c + return_c) / 2)
    each = flow_l_min(heat_w / 1000, flow_c - return_c, fluid, mean_c)
    return _LoopFlow(
        l_min=each,
        bore_m=bore_m,
        pressure_kpa=gradient(each, bore_m * 1000, PLASTIC_ROUGHNESS_M * 1000, fluid, mean_c) * length_m / 1000,
        is_laminar=fluid.reynolds(velocity(each, bore_m), bore_m, mean_c) < LAMINAR_BELOW,
    )


def _return_step(work: EmitterWork, needed_w_m2: float, flow_c: float, return_c: float) -> Step:
    """Return how the return of a floor was found that is throttled to what its room needs."""
    return Step(
        "Return at which it gives what the room needs",
        "K · ΔθH = q, solved for θr",
        f"{figure(known(work.coefficient_w_m2k), 4)} W/m²K, {figure(needed_w_m2, 1)} W/m², {figure(flow_c, 1)} °C flow",
        rounded(return_c, TEMPERATURE),
        "°C",
        EN_1264_SPREAD,
    )


def _downward(work: EmitterWork, inside_c: float, needed_w_m2: float, climate: Climate) -> tuple[float, Step]:
    """Return the heat that a heated floor loses downward in W/m², and its working."""
    below, given = work.emitter.effective("below"), work.emitter.insulation_below_m2k_w
    below_c = {
        "heated": inside_c,
        "unheated": (inside_c + climate.outside_c) / 2,
        "ground": climate.annual_mean_c,
        "outside": climate.outside_c,
    }[below]
    least, least_source = least_insulation(below, climate.outside_c)
    below_m2k_w = (least if given is None else given) + AIR_BELOW_M2K_W
    downward = downward_w_m2(needed_w_m2, work.upward_m2k_w, below_m2k_w, inside_c, below_c)
    taken = "" if given is not None else ", the least of EN 1264-4 taken"
    step = Step(
        "Heat downward, for the water only",
        "qu = (Ro · q + θi − θu) / Ru",
        f"({figure(work.upward_m2k_w, 3)} × {figure(needed_w_m2, 1)} + {figure(inside_c, 1)} − {figure(below_c, 1)}) / {figure(below_m2k_w)}; below: {_BELOW_WORDS[below]}{taken}",
        rounded(downward, TEMPERATURE),
        "W/m²",
        EN_1264_DOWNWARD if not taken else least_source,
    )
    return downward, step


def _loop_steps(work: EmitterWork, loops: Loops, flow: _LoopFlow, heat: str) -> list[Step]:
    spacing = work.emitter.effective("pipe_spacing_mm") / 1000
    tail = figure(work.emitter.effective("manifold_distance_m"), 1)
    return [
        Step(
            "Pipe in each loop",
            "A / (T · loops) + 2 · tail",
            f"{figure(work.area_m2, 1)} / ({figure(spacing, 3)} × {loops.number}) + 2 × {tail}",
            rounded(loops.length_m, 1),
            "m",
            LOOP_LENGTH,
        ),
        Step(
            "Flow of each loop",
            "A (q + qu) / (c · Δθ · loops)",
            heat,
            rounded(flow.l_min, 2),
            "l/min",
            EN_1264_FLOW,
        ),
        Step(
            "Pressure drop of each loop",
            "f ρ v² / (2 d) · length",
            f"bore {figure(flow.bore_m * 1000, 1)} mm, {figure(velocity(flow.l_min, flow.bore_m), 3)} m/s{', in layers' if flow.is_laminar else ''}",
            rounded(flow.pressure_kpa, 2),
            "kPa",
            COLEBROOK,
        ),
    ]


def loop_findings(work: EmitterWork, floor: FloorHeating | None, room_name: str, outside_c: float) -> list[Finding]:
    """Return the findings on a heated floor's loops and on what lies below it."""
    emitter, found = work.emitter, []

    def say(code: str, field: str, message: str, remedy: str, source: str, severity: Severity = Severity.CHECK) -> None:
        found.append(Finding(severity, code, emitter.key(), field, message, remedy, source))

    if emitter.insulation_below_m2k_w is not None:
        least, source = least_insulation(emitter.effective("below"), outside_c)
        if emitter.insulation_below_m2k_w < least - 1e-9:
            say(
                "floor_insulation_low",
                "insulation_below_m2k_w",
                f"Below the heated floor in {room_name} lies insulation of R {figure(emitter.insulation_below_m2k_w)} m²K/W; EN 1264-4 asks for at least {figure(least)}.",
                "Insulate below it if the floor is opened; the building rules of the nation usually ask for more.",
                source,
            )
    if floor is None:
        if (
            work.is_floor
            and not work.missing
            and 2 * emitter.effective("manifold_distance_m") >= longest_loop(emitter.effective("pipe_outer_mm"))
        ):
            say(
                "loop_too_long",
                "manifold_distance_m",
                f"The manifold of {room_name} is so far away that the tails alone are as long as a loop may be.",
                "Move the manifold or use a bigger pipe.",
                LOOP_LENGTH,
            )
        return found
    longest = longest_loop(emitter.effective("pipe_outer_mm"))
    if floor.loop_m > longest + LENGTH_TOLERANCE_M:
        say(
            "loop_too_long",
            "loops",
            f"Each loop of the floor in {room_name} is about {figure(floor.loop_m, 0)} m long; at most {figure(longest, 0)} m suits this pipe.",
            "Count the loops again, or divide them at the manifold.",
            LOOP_LENGTH,
        )
    if floor.pressure_kpa > MOST_KPA:
        say(
            "loop_pressure",
            "loops",
            f"Each loop of the floor in {room_name} needs {figure(floor.pressure_kpa, 0)} kPa at {figure(floor.flow_l_min, 1)} l/min; more than {figure(MOST_KPA, 0)} kPa is beyond most pumps.",
            "More and shorter loops, or a greater difference between flow and return.",
            COMMON_PRACTICE,
        )
    elif floor.flow_l_min > MOST_L_MIN:
        say(
            "loop_flow",
            "loops",
            f"Each loop of the floor in {room_name} takes {figure(floor.flow_l_min, 1)} l/min; {figure(LEAST_L_MIN, 0)} to {figure(MOST_L_MIN, 1)} l/min is usual.",
            "More loops, or a greater difference between flow and return.",
            COMMON_PRACTICE,
            Severity.NOTE,
        )
    return found
