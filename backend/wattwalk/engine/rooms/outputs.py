"""What every room's emitters give at the design flow: results, verdicts, and what would make a short room warm."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import fsum

from wattwalk.survey.building import Emitter
from wattwalk.survey.circuit import MixedCircuit
from wattwalk.survey.document import Survey
from wattwalk.survey.known import known

from ..answers import Climate, Finding, Replacement, RoomAssessment, Severity, Verdict
from ..answers.citing import COMMON_PRACTICE, EN_442
from ..answers.rounding import AREA, TEMPERATURE, WATTS, figure, rounded, rounded_if_any, serving
from ..emitters.compiled import FloorWater, compile_emitter, emitter_findings, emitter_result
from ..emitters.loops import loop_findings
from ..emitters.replacement import replacements, to_replace
from ..emitters.work import EmitterWork
from ..fabric.room_loss import RoomWork
from ..fluids.glycol import WATER, Fluid
from .heated import HIGHEST_C, HeatedRoom


def compiled_emitters(survey: Survey, rooms: Iterable[tuple[str, float | None, bool]]) -> dict[str, list[EmitterWork]]:
    """Return the emitters of each room ready to be asked, by its id; ``rooms`` are id, temperature in °C and whether it is a bathroom."""
    mixed = {
        item.id: (item.flow_temperature_c, item.effective("flow_return_difference_k"))
        for item in survey.of_kind(MixedCircuit)
        if item.flow_temperature_c is not None
    }
    by_room: dict[str | None, list[Emitter]] = {}
    for emitter in survey.of_kind(Emitter):
        by_room.setdefault(emitter.room, []).append(emitter)
    return {
        room: [
            compile_emitter(item, inside_c, is_bath, mixed.get(item.mixed_circuit or "") if mixed else None)
            for item in by_room.get(room, [])
        ]
        for room, inside_c, is_bath in rooms
    }


def heated_rooms(survey: Survey, works: Sequence[RoomWork], difference_k: float) -> list[HeatedRoom]:
    """Return each room with its emitters, ready to be asked at any flow; `difference_k` is flow less return, K."""
    emitters = compiled_emitters(survey, [(work.room.id, work.inside_c, work.room.use == "bathroom") for work in works])
    return [HeatedRoom(work, emitters[work.room.id], difference_k) for work in works]


def room_results(
    rooms: Sequence[HeatedRoom], flow_c: float, climate: Climate | None, fluid: Fluid | None = WATER
) -> tuple[tuple[RoomAssessment, ...], list[Finding]]:
    """Return the result of each room at the design flow in °C, and the findings on its emitters.

    While the fluid is not known, heated floors are counted with water.
    """
    results = tuple(_room_result(room, flow_c, climate, fluid or WATER) for room in rooms)
    findings: list[Finding] = []
    for room, result in zip(rooms, results, strict=True):
        findings += _room_findings(room, flow_c, result.replacements)
        for emitter, output in zip(room.emitters, result.emitters, strict=True):
            findings += emitter_findings(emitter, room.work.name, flow_c, flow_c - room.difference_k)
            if climate is not None and emitter.counts:
                findings += loop_findings(emitter, output.floor, room.work.name, climate.outside_c)
    return results, findings


def _room_result(room: HeatedRoom, flow_c: float, climate: Climate | None, fluid: Fluid) -> RoomAssessment:
    work = room.work
    total, output = work.total_w, room.output_w(flow_c)
    missing = list(work.missing)
    water = None if climate is None else FloorWater(climate, min(1.0, room.needed_share(flow_c)), fluid)
    for emitter in room.emitters:
        if emitter.counts:
            missing += [f"{emitter.words}: {words}" for words in emitter.missing]
    return RoomAssessment(
        id=work.room.id,
        name=work.name,
        storey=work.room.effective("storey"),
        inside_c=rounded_if_any(work.inside_c, TEMPERATURE),
        inside_words=work.inside_words,
        floor_area_m2=rounded_if_any(work.floor_area_m2, AREA),
        volume_m3=rounded_if_any(work.volume_m3, AREA),
        surfaces=tuple(loss for loss, _ in work.surfaces),
        ventilation=work.ventilation,
        fabric_w=rounded(work.fabric_w, WATTS) if not work.missing else None,
        total_w=rounded_if_any(total, WATTS),
        emitters=tuple(emitter_result(item, flow_c, flow_c - room.difference_k, water) for item in room.emitters),
        output_w=rounded_if_any(output, WATTS),
        margin_w=None if output is None or total is None or work.holes else rounded(output - total, WATTS),
        verdict=room.verdict(flow_c),
        lowest_flow_c=None if work.holes else room.lowest_flow_c,
        missing=tuple(dict.fromkeys(missing)),
        bridges=tuple(loss for loss, _ in work.bridges),
        replacements=_replacements(room, flow_c),
        holes=work.holes,
        so_far=work.so_far,
        size_steps=work.size.steps,
    )


def _replacements(room: HeatedRoom, flow_c: float) -> tuple[Replacement, ...]:
    """Return the panels that would make a short room warm in the place of its biggest radiator."""
    if room.verdict(flow_c) is not Verdict.SHORT:
        return ()
    return_c = flow_c - room.difference_k
    outputs = [(item.emitter, item.output_w(flow_c, return_c)) for item in room.emitters if item.counts]
    leaving = to_replace(outputs)
    if leaving is None:
        return ()
    staying = fsum(output for emitter, output in outputs if emitter is not leaving and output is not None)
    return replacements(leaving, known(room.total_w) - staying, flow_c, return_c, known(room.work.inside_c))


def _room_findings(room: HeatedRoom, flow_c: float, replacements: Sequence[Replacement] = ()) -> list[Finding]:
    """Return the findings on one room's warmth at the design flow, with the smallest radiator that would do."""
    verdict = room.verdict(flow_c)
    if verdict is Verdict.NO_EMITTER:
        return [
            Finding(
                Severity.CHECK,
                "no_emitter",
                room.work.room.key(),
                None,
                f"{room.work.name} loses {figure(known(room.total_w), 0)} W and has no emitter.",
                "Give it an emitter, or agree with the household that it stays unheated.",
                COMMON_PRACTICE,
            )
        ]
    if verdict is not Verdict.SHORT:
        return []
    output = room.output_w(flow_c)
    lowest = room.lowest_flow_c
    needs = (
        f"it would be warm at {serving(lowest)} °C"
        if lowest is not None
        else f"no flow up to {HIGHEST_C} °C makes it warm"
    )
    would_do = f" {replacements[0].words} would do ({replacements[0].place})." if replacements else ""
    return [
        Finding(
            Severity.CHECK,
            "room_short",
            room.work.room.key(),
            None,
            f"{room.work.name} loses {figure(known(room.total_w), 0)} W, and at {figure(flow_c, 1)} °C its emitters give {figure(known(output), 0)} W; {needs}.",
            f"Fit a bigger or another emitter, lower the loss, or choose a hotter flow.{would_do}",
            EN_442,
        )
    ]
