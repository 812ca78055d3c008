"""What each emitter is worth: compiled once per survey, then asked for its output at any flow temperature."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from wattwalk.survey.building import Emitter
from wattwalk.survey.known import known

from ..answers import Climate, EmitterOutput, Finding, Severity, Step
from ..answers.citing import DECLARED, EN_442, EN_442_LOG, EN_1264, EN_1264_SURFACE
from ..answers.rounding import TEMPERATURE, WATTS, figure, rounded, rounded_if_any
from ..fluids.glycol import WATER, Fluid
from .heated_floors import compile_floor
from .limits import surface_temperature
from .loops import floor_heating
from .radiators import RatingError, corrections, driving_ratio, exponent_of, logarithmic_mean, rated_output
from .work import EmitterWork


@lru_cache(maxsize=2048)
def compile_emitter(
    emitter: Emitter, inside_c: float | None, is_bath: bool, mixed: tuple[float, float] | None = None
) -> EmitterWork:
    """Read an emitter's rating or build-up, whichever its type has; one that is as before is not read anew.

    ``mixed`` are flow temperature in °C and difference in K of the mixed circuit that feeds it, None where it gets the unit's water.
    """
    stays = emitter.effective("plan") != "replace"
    work = EmitterWork(emitter, _words(emitter), stays, inside_c, is_bath=is_bath, mixed=mixed)
    if emitter.type is None:
        work.missing.append("its type")
    elif emitter.type == "underfloor":
        compile_floor(work)
    else:
        _rated(work)
    return work


def _words(emitter: Emitter) -> str:
    words = emitter.title
    if emitter.height_mm is not None and emitter.length_mm is not None:
        words += f", {figure(emitter.height_mm, 0)} × {figure(emitter.length_mm, 0)} mm"
    elif emitter.type == "underfloor" and emitter.heated_area_m2 is not None:
        words += f", {figure(emitter.heated_area_m2, 1)} m²"
    return words


def _rated(work: EmitterWork) -> None:
    try:
        rating = rated_output(work.emitter)
    except RatingError as error:
        work.missing.append(str(error))
        return
    work.rated_w, work.source = rating.output_w, EN_442
    work.exponent, exponent_source = exponent_of(work.emitter)
    basis = (
        "as written in the survey"
        if exponent_source == DECLARED
        else work.emitter.kind.field("type").choice_label(work.emitter.type)
    )
    work.steps += [
        Step("Output at ΔT 50 K", rating.formula, rating.numbers, rounded(work.rated_w, WATTS), "W", rating.source),
        *_corrected(work),
        Step(
            "Exponent n",
            "declared" if exponent_source == DECLARED else "usual for the type",
            basis,
            rounded(work.exponent, 3),
            "",
            exponent_source,
        ),
    ]


def _corrected(work: EmitterWork) -> list[Step]:
    """Take off what the emitter gives less as it stands, and return how."""
    steps = []
    for item in corrections(work.emitter):
        before = known(work.rated_w)
        work.rated_w = before * item.factor
        steps.append(
            Step(
                "Taken off",
                item.words,
                f"{figure(before, 1)} × {figure(item.factor)}",
                rounded(work.rated_w, WATTS),
                "W",
                item.source,
            )
        )
    return steps


@dataclass(frozen=True)
class FloorWater:
    """What a heated floor's loops hang on besides its temperatures: the climate, the share of its output that the room asks for, the fluid."""

    climate: Climate
    needed_share: float = 1.0
    fluid: Fluid = WATER


def emitter_result(work: EmitterWork, flow_c: float, return_c: float, water: FloorWater | None = None) -> EmitterOutput:
    """Return an emitter's output at the design temperatures with its working.

    A heated floor has no loops without ``water``; any other emitter needs none, and its result is kept for the next assessment.
    """
    flow_c, return_c = work.temperatures(flow_c, return_c)
    return _result(work, flow_c, return_c, water) if work.is_floor else _kept_result(work, flow_c, return_c)


@lru_cache(maxsize=2048)
def _kept_result(work: EmitterWork, flow_c: float, return_c: float) -> EmitterOutput:
    return _result(work, flow_c, return_c, None)


def _result(work: EmitterWork, flow_c: float, return_c: float, water: FloorWater | None) -> EmitterOutput:
    output = work.output_w(flow_c, return_c)
    driving = floor = None
    steps = list(work.steps)
    if output is not None and (inside := work.inside_c) is not None:
        temperatures = f"{figure(flow_c, 1)}/{figure(return_c, 1)}/{figure(inside, 1)} °C"
        if work.coefficient_w_m2k is not None:
            driving = logarithmic_mean(flow_c, return_c, inside)
            steps.append(
                Step(
                    "Driving difference",
                    "(θf − θr) / ln((θf − θi)/(θr − θi))",
                    temperatures,
                    rounded(driving, TEMPERATURE),
                    "K",
                    EN_1264,
                )
            )
            numbers = f"{figure(work.coefficient_w_m2k, 4)} × {figure(driving)} × {figure(work.area_m2, 1)}"
            if work.is_limited(flow_c, return_c):
                numbers += (
                    f", held at {figure(work.limit_w_m2, 1)} W/m² by the surface limit of {figure(work.limit_c, 1)} °C"
                )
            elif work.area_m2:
                numbers += f", surface {figure(surface_temperature(output / work.area_m2, inside), 1)} °C"
            steps.append(Step("Output", "Φ = K · ΔθH · A", numbers, rounded(output, WATTS), "W", EN_1264_SURFACE))
            if water is not None:
                floor, more = floor_heating(work, flow_c, return_c, water.climate, water.needed_share, water.fluid)
                steps += more
        else:
            driving, _ratio, is_log = driving_ratio(flow_c, return_c, inside)
            formula = "(θf − θr) / ln((θf − θi)/(θr − θi))" if is_log else "(θf + θr)/2 − θi"
            source = EN_442_LOG if is_log else EN_442
            steps.append(Step("Driving difference", formula, temperatures, rounded(driving, TEMPERATURE), "K", source))
            numbers = f"{figure(known(work.rated_w), 1)} × ({figure(driving)} / {'49.83' if is_log else '50'})^{figure(known(work.exponent), 3)}"
            steps.append(Step("Output", "Φ = Φ50 · (ΔT/50)^n", numbers, rounded(output, WATTS), "W", source))
    return EmitterOutput(
        id=work.emitter.id,
        type=work.emitter.type or "",
        words=work.words,
        counts=work.counts,
        rated_w=rounded_if_any(work.rated_w, WATTS),
        exponent=rounded_if_any(work.exponent, 3),
        driving_k=rounded_if_any(driving, TEMPERATURE),
        output_w=rounded_if_any(output, WATTS),
        missing=tuple(work.missing),
        steps=tuple(steps),
        source=work.source,
        floor=floor,
    )


def emitter_findings(work: EmitterWork, room_name: str, flow_c: float, return_c: float) -> list[Finding]:
    """Return the findings on one emitter at the design temperatures."""
    emitter = work.emitter
    findings: list[Finding] = []
    if not work.counts:
        return findings
    if emitter.type == "towel_rail" and emitter.effective("towels") == "bare":
        findings.append(
            Finding(
                Severity.NOTE,
                "towel_rail",
                emitter.key(),
                "type",
                f"The towel rail in {room_name} is counted bare; hung towels take off 30 to 50 %.",
                "Do not make it the only emitter of a bathroom.",
                work.steps[0].source if work.steps else EN_442,
            )
        )
    if emitter.condition in ("rust", "cold_spots"):
        findings.append(
            Finding(
                Severity.CHECK,
                "emitter_condition",
                emitter.key(),
                "condition",
                f"{work.words} in {room_name} shows {'rust or leak marks' if emitter.condition == 'rust' else 'cold patches'}; it is counted at its full output.",
                "Clean or replace it before the heat pump runs.",
                EN_442,
            )
        )
    if emitter.covering == "thick_carpet" and emitter.type == "underfloor":
        findings.append(
            Finding(
                Severity.CHECK,
                "covering_too_thick",
                emitter.key(),
                "covering",
                f"The heated floor in {room_name} lies under thick carpet, which does not suit a heated floor.",
                "Agree on another covering with a resistance of at most 0.15 m²K/W.",
                EN_1264,
            )
        )
    if work.is_limited(flow_c, return_c):
        limit = figure(work.limit_c, 0)
        flow_c, _ = work.temperatures(flow_c, return_c)
        findings.append(
            Finding(
                Severity.CHECK,
                "floor_too_warm",
                emitter.key(),
                "type",
                f"At a flow of {figure(flow_c, 1)} °C the heated floor in {room_name} would be hotter than {limit} °C at its surface; its output is counted at that limit.",
                "Give the floor a mixing valve of its own, or choose a lower flow temperature.",
                EN_1264_SURFACE,
            )
        )
    return findings
