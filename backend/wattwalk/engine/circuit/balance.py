"""The water balance: what each emitter's water must carry, how cold it returns, and what its valve has to take.

A radiator larger than its room needs is throttled until it gives just that, so its water returns colder than the design difference
says; rooms with several emitters ask each for the same share of its output.  Every emitter of a branch is taken to hang at its end.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import fsum

from wattwalk.survey.circuit import MixedCircuit
from wattwalk.survey.document import Survey
from wattwalk.survey.known import known

from ..answers import EmitterOutput, EmitterWater, Finding, MixedWater, RoomAssessment, Severity, Step, WaterBalance
from ..answers.balance import WaterState
from ..answers.citing import COMMON_PRACTICE, DECLARED, EN_442, cite, finding
from ..answers.rounding import TEMPERATURE, WATTS, figure, listed, rounded, rounded_if_any
from ..emitters.throttled import return_for
from ..emitters.work import EmitterWork
from ..fluids.glycol import Fluid, in_range
from ..fluids.pipe_flow import balancing_kv, flow_l_min
from ..rooms import HeatedRoom
from ..season import HeatCurve, circuit_curve
from .flow import Plant, RunWork
from .mixed import mixed_return, mixed_water
from .ways import Valve, Ways, circuit_of, find_ways, valves_of

KV_OF_VALVE = cite("vdi_vde_2173_2007", "Kv: m³/h at 1 bar", "from memory")
#: Said where the sum of the unit's water is not that of the lines.
COUNTED_IN_PART = " A mixed circuit counts with what it takes of the unit’s water."
#: A share of an output this near to all of it is all of it.
WHOLE_SHARE = 1e-6
#: More water than at this difference is not counted on to make a short room warm: common practice, no source, K.
LEAST_DROP_K = 2.0


@dataclass(frozen=True, eq=False)
class Drawn:
    """The water that one emitter draws, unrounded but for a floor's; kept, so that it is the same one as long as nothing changes."""

    id: str
    words: str
    state: WaterState
    heat_w: float | None = None
    flow_l_min: float | None = None
    loops: int = 1
    return_c: float | None = None
    mean_c: float | None = None
    verdict_mean_c: float | None = None
    says: str = ""
    missing: tuple[str, ...] = ()
    steps: tuple[Step, ...] = ()
    circuit: str = ""


def water_balance(
    survey: Survey, plant: Plant, works: Sequence[RunWork], rooms: Sequence[tuple[HeatedRoom, RoomAssessment]]
) -> tuple[WaterBalance | None, list[Finding]]:
    """Return the balance of every emitter that stays or comes, and the findings; None while there is none.

    Parameters
    ----------
    survey, plant
        The survey, and what its circuit is worked out from.
    works : sequence of RunWork
        The runs of heating water.
    rooms : sequence of (HeatedRoom, RoomAssessment)
        Each room with its emitters, and what they give at the design flow.
    """
    drawn = [(result, item) for room, result in rooms for item in _draws(room, result, plant)]
    if not drawn:
        return None, []
    ways = find_ways(works, rooms)
    valves = valves_of(survey, plant.circuit, rooms)
    rows = tuple(
        _kept_row(item, room.id, ways.left_kpa(item.id, item.circuit), valves.get(item.id)) for room, item in drawn
    )
    mixed, found = _mixed(survey, plant, [item for _, item in drawn], ways, rooms)
    direct = [(item.heat_w, item.flow_l_min, item.return_c) for _, item in drawn if not item.circuit]
    parts = direct + [(item.heat_w, item.primary_l_min, item.return_c) for item in mixed if item.emitters]
    is_whole = all(flow is not None for _, flow, _ in parts)
    flow = fsum(known(flow) for _, flow, _ in parts) if is_whole else None
    back = mixed_return((known(flow), back) for _, flow, back in parts) if is_whole else None
    balance = WaterBalance(
        rows=rows,
        flow_c=rounded(plant.flow_c, TEMPERATURE),
        flow_l_min=rounded_if_any(flow, 2),
        return_c=rounded_if_any(back, TEMPERATURE),
        heat_w=rounded(fsum(known(heat) for heat, _, _ in parts), WATTS) if is_whole else None,
        words=_words(plant, flow, back, ways) + (COUNTED_IN_PART if any(item.emitters for item in mixed) else ""),
        mixed=mixed,
    )
    return balance, [*_valve_findings(drawn, rows, valves), *_least_flow(plant, flow), *found]


def _mixed(
    survey: Survey,
    plant: Plant,
    drawn: Sequence[Drawn],
    ways: Ways,
    rooms: Sequence[tuple[HeatedRoom, RoomAssessment]],
) -> tuple[tuple[MixedWater, ...], list[Finding]]:
    """Return each mixed circuit with its emitters' water, and the findings."""
    made, found = [], []
    for record in survey.of_kind(MixedCircuit):
        own = [(item.heat_w, item.flow_l_min, item.return_c) for item in drawn if item.circuit == record.id]
        line = _line(record.id, plant, [room for room, _ in rooms])
        result, more = mixed_water(record, plant, own, ways.hardest_kpa.get(record.id), line)
        made.append(result)
        found += more
    return tuple(made), found


def _line(circuit: str, plant: Plant, rooms: Sequence[HeatedRoom]) -> HeatCurve | None:
    """Return the compensation line of a mixed circuit by the emitters that it feeds; None while it is not known, or leaves one of its rooms cold."""
    fed = [(room, work) for room in rooms for work in room.counted if circuit_of(work) == circuit]
    if plant.outside_c is None or not fed or not all(room.serves(plant.flow_c) for room, _ in fed):
        return None
    flow_c, return_c = fed[0][1].temperatures(plant.flow_c, plant.flow_c - plant.difference_k)
    return circuit_curve([work for _, work in fed], flow_c, flow_c - return_c, plant.outside_c)


def _draws(room: HeatedRoom, result: RoomAssessment, plant: Plant) -> Iterator[Drawn]:
    share = room.needed_share(plant.flow_c)
    for work, output in zip(room.emitters, result.emitters, strict=True):
        if not work.counts:
            continue
        if room.total_w is None or work.missing or output.output_w is None or plant.fluid is None:
            missing = [*work.missing, *(["what its room loses"] if room.total_w is None else [])]
            yield Drawn(
                work.emitter.id,
                work.words,
                "not_known",
                circuit=circuit_of(work),
                missing=tuple(missing or ["what the emitters of its room give"]),
            )
        elif work.is_floor:
            yield _floor_water(work, output, share, plant)
        else:
            flow_c, return_c = work.temperatures(plant.flow_c, plant.flow_c - plant.difference_k)
            yield _radiator_water(work, share, flow_c, flow_c - return_c, plant.fluid)


@lru_cache(maxsize=2048)
def _radiator_water(work: EmitterWork, share: float, flow_c: float, difference_k: float, fluid: Fluid) -> Drawn:
    """Return the water of an emitter that is asked for this share of what it gives at the design difference."""
    whole, return_c = known(work.output_w(flow_c, flow_c - difference_k)), flow_c - difference_k
    made = Drawn(
        work.emitter.id, work.words, "as_designed", verdict_mean_c=flow_c - difference_k / 2, circuit=circuit_of(work)
    )
    if whole <= 0:
        return replace(
            made,
            state="not_known",
            missing=(f"a flow temperature at which it gives heat ({figure(flow_c, 1)} °C does not)",),
        )
    heat = whole * min(share, 1.0)
    if heat <= 0:
        return replace(made, state="idle", heat_w=0.0, flow_l_min=0.0, says="Its room needs no heat.")
    state: WaterState = "as_designed"
    says = ""
    if share < 1 - WHOLE_SHARE:
        state, return_c = "throttled", known(return_for(work, heat, flow_c))
    elif share > 1 + WHOLE_SHARE:
        state, says = "short", _more_water(work, whole * share, flow_c, fluid)
    flow = _flow(heat, flow_c, return_c, fluid)
    numbers = f"{figure(known(work.rated_w), 1)} W at ΔT 50 K, n {figure(known(work.exponent), 3)}, {figure(heat, 1)} W, {figure(flow_c, 1)} °C flow"
    steps = (
        Step(
            f"{work.words}: return",
            "Φ50 · (ΔT/50)^n = Φ, solved for θr" if state == "throttled" else "θf − Δθ",
            numbers,
            rounded(return_c, TEMPERATURE),
            "°C",
            EN_442,
        ),
        Step(
            f"{work.words}: flow",
            "Φ/(c·(θf − θr)·ρ)",
            f"{figure(heat, 1)} W over {figure(flow_c - return_c, 2)} K",
            rounded(flow, 2),
            "l/min",
            fluid.source,
        ),
    )
    return replace(
        made,
        state=state,
        heat_w=heat,
        flow_l_min=flow,
        return_c=return_c,
        mean_c=(flow_c + return_c) / 2,
        says=says,
        steps=steps,
    )


def _flow(heat_w: float, flow_c: float, return_c: float, fluid: Fluid) -> float:
    return flow_l_min(heat_w / 1000, flow_c - return_c, fluid, in_range((flow_c + return_c) / 2))


def _more_water(work: EmitterWork, needed_w: float, flow_c: float, fluid: Fluid) -> str:
    """Return whether more water would make a short emitter give its share, in words."""
    return_c = return_for(work, needed_w, flow_c)
    if return_c is None:
        return (
            f"Its room stays short: no flow of water at {figure(flow_c, 1)} °C makes it give {figure(needed_w, 0)} W."
        )
    if flow_c - return_c < LEAST_DROP_K:
        return f"Its room stays short: more water helps only below {figure(LEAST_DROP_K, 0)} K."
    return f"Its room is short at this difference; {figure(_flow(needed_w, flow_c, return_c, fluid), 1)} l/min, {figure(flow_c - return_c, 1)} K colder in return, would just do."


def _floor_water(work: EmitterWork, output: EmitterOutput, share: float, plant: Plant) -> Drawn:
    """Return the water of a heated floor, as its loops were laid out."""
    flow_c, return_c = work.temperatures(plant.flow_c, plant.flow_c - plant.difference_k)
    made = Drawn(
        work.emitter.id, work.words, "as_designed", verdict_mean_c=(flow_c + return_c) / 2, circuit=circuit_of(work)
    )
    floor = output.floor
    if floor is None or floor.return_c is None:
        return replace(made, state="not_known", missing=("its loops",))
    if floor.heat_w <= 0:
        return replace(
            made, state="idle", heat_w=0.0, flow_l_min=0.0, loops=floor.loops, says="Its room needs no heat."
        )
    state: WaterState = "as_designed"
    says = ""
    if share > 1 + WHOLE_SHARE:
        state = "short"
        says = (
            "Its room stays short: the floor is held at the limit of its surface."
            if floor.is_limited
            else "Its room stays short at this difference."
        )
    elif share < 1 - WHOLE_SHARE:
        state = "throttled"
    return replace(
        made,
        state=state,
        heat_w=floor.heat_w,
        flow_l_min=floor.flow_l_min * floor.loops,
        loops=floor.loops,
        return_c=floor.return_c,
        mean_c=(flow_c + floor.return_c) / 2,
        says=says,
    )


@lru_cache(maxsize=2048)
def _kept_row(drawn: Drawn, room: str, left_kpa: float | None, valve: Valve | None) -> EmitterWater:
    """Return one line of the balance: the water drawn, and the valve that lets just that through."""
    each = None if drawn.flow_l_min is None else drawn.flow_l_min / drawn.loops
    kv = None if not each or left_kpa is None else balancing_kv(each, left_kpa)
    says, steps, setting = [drawn.says] if drawn.says else [], drawn.steps, ""
    if each and left_kpa is not None:
        if kv is None:
            says.append("On the hardest way: its valve stays fully open.")
        else:
            steps += (
                Step(
                    f"{drawn.words}: Kv of its valve",
                    "q/√Δp",
                    f"{figure(each, 2)} l/min, {figure(left_kpa, 2)} kPa left against the hardest way",
                    rounded(kv, 3),
                    "m³/h",
                    KV_OF_VALVE,
                ),
            )
            if valve is not None:
                setting = valve.setting_for(kv) or valve.settings[-1][1]
    return EmitterWater(
        id=drawn.id,
        room=room,
        words=drawn.words,
        state=drawn.state,
        heat_w=rounded_if_any(drawn.heat_w, WATTS),
        flow_l_min=rounded_if_any(drawn.flow_l_min, 2),
        loops=drawn.loops,
        return_c=rounded_if_any(drawn.return_c, TEMPERATURE),
        mean_c=rounded_if_any(drawn.mean_c, TEMPERATURE),
        verdict_mean_c=rounded_if_any(drawn.verdict_mean_c, TEMPERATURE),
        left_kpa=left_kpa,
        kv_m3_h=rounded_if_any(kv, 3),
        valve="" if valve is None else valve.name,
        setting=setting,
        says=" ".join(says),
        missing=drawn.missing,
        steps=steps,
        circuit=drawn.circuit,
    )


def _words(plant: Plant, flow: float | None, mixed: float | None, ways: Ways) -> str:
    if flow is None:
        words = "What all emitters take together is not known yet."
    elif mixed is None:
        words = "No emitter takes water at the design cold."
    else:
        words = f"Together the emitters take {figure(flow, 1)} l/min and return at {figure(mixed, 1)} °C."
        whole = plant.flow_l_min(plant.load_kw)
        if whole is not None:
            words += f" Pipes and pump are counted with {figure(whole, 1)} l/min, {plant.load_words} at {figure(plant.difference_k, 1)} K."
    return words + (f" No Kv yet; missing: {listed(ways.missing)}." if ways.missing else "")


def _valve_findings(
    drawn: Sequence[tuple[RoomAssessment, Drawn]], rows: Sequence[EmitterWater], valves: dict[str, Valve]
) -> list[Finding]:
    """Return the emitters whose valve has no setting for them."""
    found = []
    for (room, _), row in zip(drawn, rows, strict=True):
        valve = valves.get(row.id)
        if valve is None or row.kv_m3_h is None:
            continue
        least, most = valve.settings[0], valve.settings[-1]
        said = f"{row.words} in {room.name} wants a Kv of {figure(row.kv_m3_h, 3)} m³/h"
        if row.kv_m3_h > most[0] + 1e-9:
            found.append(
                finding(
                    Severity.CHECK,
                    "valve_too_small",
                    f"emitter/{row.id}",
                    "preset_valve",
                    f"{said}; {valve.name} has {figure(most[0], 3)} at most, at setting {most[1]}.",
                    "A larger valve, or less resistance on the way to it.",
                    DECLARED,
                )
            )
        elif row.kv_m3_h < least[0] / 2:
            found.append(
                finding(
                    Severity.NOTE,
                    "valve_too_large",
                    f"emitter/{row.id}",
                    "preset_valve",
                    f"{said}; {valve.name} lets through {figure(least[0], 3)} at its smallest setting, {least[1]}.",
                    "Throttle the other valve of this emitter as well, or fit a valve with smaller settings.",
                    DECLARED,
                )
            )
    return found


def _least_flow(plant: Plant, flow: float | None) -> list[Finding]:
    """Return a finding where the emitters, balanced, take less than the unit's least flow, while the design flow is enough."""
    least, whole = plant.unit.minimum_flow_l_min, plant.flow_l_min(plant.load_kw)
    if least is None or flow is None or whole is None or whole < least - 1e-9 or flow >= least - 0.005:
        return []
    return [
        finding(
            Severity.CHECK,
            "balanced_below_least",
            (plant.position or plant.unit).key(),
            None,
            f"Balanced to what their rooms need, the emitters take {figure(flow, 1)} l/min together; the unit asks for {figure(least, 1)} l/min at least.",
            "A lower flow temperature, emitters that stay open, or a buffer with four connections.",
            COMMON_PRACTICE,
        )
    ]
