"""One pure call from a survey to everything the engine says of it."""

from __future__ import annotations

from collections.abc import Iterable
from math import fsum

from wattwalk.survey.document import Survey
from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.works import Design

from .base import assess_base
from .bridges import add_bridges
from .citing import COMMON_PRACTICE, sources_for
from .climate import work_out_climate
from .constructions import Constructions
from .emitters import compile_emitter, emitter_findings, emitter_result
from .floor_loops import loop_findings
from .flow import HeatedRoom, find_flow, room_findings
from .moisture import cold_faces
from .options import methods, option_words
from .outside import position_findings
from .plant import assess_plant, with_output
from .replacement import replacements, to_replace
from .results import (
    Assessment,
    BaseAssessment,
    Climate,
    Finding,
    FlowTemperature,
    Replacement,
    RoomAssessment,
    Severity,
    SpaceBalance,
    VentilationMethod,
    Verdict,
)
from .rooms import RoomWork, add_up, start_room
from .rounding import AREA, TEMPERATURE, WATTS, rounded
from .routes import assess_cables, pipe_findings, supply_findings
from .season import through_the_year
from .site import assess_site, site_sources
from .strays import stray_findings
from .surfaces import SurfaceWork
from .ventilation import AirRoom, HouseAir, damp_findings, method_finding
from .version import ENGINE_VERSION

_ORDER = {Severity.STOP: 0, Severity.CHECK: 1, Severity.NOTE: 2}


def assess(survey: Survey) -> Assessment:
    """Work out everything that can be said of a survey.

    Parameters
    ----------
    survey : Survey
        Records as they stand; unfinished ones and references to records that have not arrived are borne.

    Returns
    -------
    Assessment
        Every figure rounded; None where something is missing, with words that say what.
    """
    survey = survey.measured()
    record = survey.single("survey") or SurveyRecord(id=survey.id)
    design = survey.single("design") or Design(id=survey.id)
    climate, findings, _used = work_out_climate(record)
    if climate is None and survey.of_kind("room"):
        findings.append(
            Finding(
                Severity.CHECK, "no_design_temperature", record.key(), "design_location", "There is no design outside temperature, so no room's loss can be worked out.",
                "Choose the nearest weather station, or set the temperature by hand.", COMMON_PRACTICE,
            )
        )
    constructions = Constructions(survey, record)
    values, more = constructions.results()
    findings += more
    works, air_methods, spaces = _rooms(survey, record, climate, constructions, findings)
    faces, more = cold_faces(works)
    findings += more
    flow_c, difference_k = design.effective("flow_temperature_c"), design.effective("flow_return_difference_k")
    heated = _heated(survey, works, difference_k)
    flow, more = find_flow(heated, flow_c, difference_k, option_words(design, "flow_temperature_c"))
    rooms = tuple(_room_result(room, flow_c, climate) for room in heated)
    for room, result in zip(heated, rooms, strict=True):
        findings += room_findings(room, flow_c, result.replacements)
        for emitter, output in zip(room.emitters, result.emitters, strict=True):
            findings += emitter_findings(emitter, room.work.name, flow_c, flow_c - difference_k)
            if climate is not None and emitter.counts:
                findings += loop_findings(emitter, output.floor, room.work.name, climate.outside_c)
    findings += more
    building = add_up(works, climate)
    season = through_the_year(survey, record, heated, flow_c, difference_k, climate, building)
    findings += season.findings
    plant, more = assess_plant(survey, record, design, climate, building, heated, season.energy)
    findings += more
    bases, more = _outside(survey, record)
    findings += more
    cables, more = assess_cables(survey)
    findings += more
    for run in survey.of_kind("pipe_run"):
        findings += pipe_findings(run)
    findings += supply_findings(survey)
    site, more = assess_site(survey, record, with_output(design, plant), climate, building, bases, plant.day_parts)
    findings += more
    findings += stray_findings(survey)
    findings.sort(key=lambda item: _ORDER[item.severity])
    return Assessment(
        engine=ENGINE_VERSION,
        survey=survey.id,
        climate=climate,
        constructions=values,
        rooms=rooms,
        building=building,
        flow=flow if works else None,
        bases=bases,
        cables=cables,
        findings=tuple(findings),
        methods=methods(record, design),
        compensation=season.compensation,
        energy=season.energy,
        improvements=season.improvements,
        sources=sources_for([*season.sources(), *plant.sources(), *site_sources(site), *_sources(climate, values, works, rooms, flow, bases, findings), *(step.source for item in spaces for step in item.steps), *(face.step.source for face in faces), *(source for item in air_methods for source in (item.source, *(step.source for step in item.steps)))]),
        site=site,
        ventilation=air_methods,
        spaces=spaces,
        cold_faces=faces,
        plant=plant,
    )


def _rooms(
    survey: Survey, record: SurveyRecord, climate: Climate | None, constructions: Constructions, findings: list[Finding]
) -> tuple[list[RoomWork], tuple[VentilationMethod, ...], tuple[SpaceBalance, ...]]:
    works = [start_room(room, record.effective("room_temperatures")) for room in survey.of_kind("room")]
    if climate is None:
        for work in works:
            work.missing.append("the design outside temperature")
        return works, (), ()
    names = {work.room.id: work.name for work in works}
    losses = SurfaceWork(survey, record, climate, constructions, {work.room.id: work.inside_c for work in works}, names).work_out()
    findings += losses.findings
    with_surface = {item.room for item in survey.of_kind("surface")} | {item.other_room for item in survey.of_kind("surface")}
    for work in works:
        work.surfaces = losses.by_room.get(work.room.id, [])
        work.missing += losses.missing.get(work.room.id, [])
        if not work.surfaces and work.room.id not in with_surface:
            work.missing.append("at least one surface of the room")
        findings += add_bridges(work, record.effective("thermal_bridges"), climate.outside_c)
    rooms = [
        AirRoom(work.room, work.name, work.volume_m3, work.inside_c, work.envelope_m2, work.floor_area_m2)
        for work in works
        if work.volume_m3 is not None and work.inside_c is not None
    ]
    air = HouseAir(survey, record, rooms, climate.outside_c)
    found, more, missing = air.losses()
    for work in works:
        work.ventilation, work.ventilation_w = found.get(work.room.id, (None, 0.0))
        work.missing += missing.get(work.room.id, [])
    methods = air.methods()
    findings += [*more, *damp_findings(rooms), *method_finding(record, methods)]
    return works, methods, losses.spaces


def _heated(survey: Survey, works: list[RoomWork], difference_k: float) -> list[HeatedRoom]:
    by_room: dict[str, list] = {}
    for emitter in survey.of_kind("emitter"):
        by_room.setdefault(emitter.room, []).append(emitter)
    return [
        HeatedRoom(work, [compile_emitter(item, work.inside_c, work.room.use == "bathroom") for item in by_room.get(work.room.id, [])], difference_k)
        for work in works
    ]


def _room_result(room: HeatedRoom, flow_c: float, climate: Climate | None) -> RoomAssessment:
    work = room.work
    total, output = work.total_w, room.output_w(flow_c)
    missing = list(work.missing)
    needed_share = min(1.0, max(0.0, total / output)) if total is not None and output else 1.0
    for emitter in room.emitters:
        if emitter.counts:
            missing += [f"{emitter.words}: {words}" for words in emitter.missing]
    return RoomAssessment(
        id=work.room.id,
        name=work.name,
        storey=work.room.effective("storey"),
        inside_c=None if work.inside_c is None else rounded(work.inside_c, TEMPERATURE),
        inside_words=work.inside_words,
        floor_area_m2=None if work.floor_area_m2 is None else rounded(work.floor_area_m2, AREA),
        volume_m3=None if work.volume_m3 is None else rounded(work.volume_m3, AREA),
        surfaces=tuple(loss for loss, _ in work.surfaces),
        ventilation=work.ventilation,
        fabric_w=rounded(work.fabric_w, WATTS) if not work.missing else None,
        total_w=None if total is None else rounded(total, WATTS),
        emitters=tuple(emitter_result(item, flow_c, flow_c - room.difference_k, climate, needed_share) for item in room.emitters),
        output_w=None if output is None else rounded(output, WATTS),
        margin_w=None if output is None or total is None else rounded(output - total, WATTS),
        verdict=room.verdict(flow_c),
        lowest_flow_c=room.lowest_flow_c,
        missing=tuple(dict.fromkeys(missing)),
        bridges=tuple(loss for loss, _ in work.bridges),
        replacements=_replacements(room, flow_c),
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
    return replacements(leaving, room.total_w - staying, flow_c, return_c, room.work.inside_c)


def _outside(survey: Survey, record: SurveyRecord) -> tuple[tuple[BaseAssessment, ...], list[Finding]]:
    findings: list[Finding] = []
    for position in survey.of_kind("outdoor_position"):
        findings += position_findings(survey, position)
    bases = []
    for base in survey.of_kind("base"):
        result, more = assess_base(survey, base, record.visit_date)
        bases.append(result)
        findings += more
    return tuple(bases), findings


def _sources(climate, values, works, rooms, flow: FlowTemperature, bases, findings: Iterable[Finding]) -> list[str]:
    found = [step.source for step in climate.steps] if climate else []
    found += [value.source for value in values]
    found += [work.inside_source for work in works]
    for room in rooms:
        found += [loss.source for loss in (*room.surfaces, *room.bridges)]
        if room.ventilation:
            found.append(room.ventilation.source)
        for emitter in room.emitters:
            found += [emitter.source, *(step.source for step in emitter.steps)]
        found += [item.source for item in room.replacements]
    if rooms:
        found.append(flow.source)
    found += [base.source for base in bases]
    found += [finding.source for finding in findings]
    return found
