"""One pure call from a survey to everything the engine says of it: each subject is asked in turn."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from os import PathLike
from typing import Any

from wattwalk.survey.building import Room
from wattwalk.survey.circuit import Circuit
from wattwalk.survey.document import Survey, open_document
from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.parts import HouseParts
from wattwalk.survey.services import PipeRun
from wattwalk.survey.works import Design

from .answers import (
    Assessment,
    BaseAssessment,
    BuildingLoss,
    CableAssessment,
    Climate,
    ConstructionValue,
    DayPart,
    Finding,
    PlantAssessment,
    RoomAssessment,
    RunHeat,
    Severity,
    SiteAssessment,
)
from .answers.citing import sources_for
from .answers.rounding import rounded_if_any
from .answers.sources import sources_in
from .circuit import always_warm, assess_circuit, assess_pipe_heat, pipe_findings, warm_pipes
from .climate import contradictions, work_out_climate
from .codes import declared
from .cost import assess_cost, heat_of_year, heat_year
from .electric import assess_cables, assess_supply, signal_findings, supply_findings
from .fabric import Constructions, add_up, cold_faces, with_uses
from .fluids.glycol import fluid_of
from .hot_water import Duty, assess_hot_water, hot_water_day
from .options import load_switches, methods, option_words, part_answers
from .place import assess_bases, assess_places
from .plausibility import implausible
from .rooms import HeatedRoom, RoomLosses, closing_findings, heated_rooms, open_rooms, room_results, work_out_rooms
from .season import Season, find_flow, heat_curve, through_the_year
from .so_far import beside_open
from .strays import stray_findings
from .unit import House, UnitLoad, Units, assess_units, house_load, unit_load, year_parts
from .version import ENGINE_VERSION

_ORDER = {Severity.STOP: 0, Severity.CHECK: 1, Severity.NOTE: 2}


def assess(document: Survey | Mapping[str, Any] | bytes | str | PathLike[str]) -> Assessment:
    """Work out everything that can be said of a survey.

    Parameters
    ----------
    document : Survey, dict, bytes, str or path
        A survey, a survey document as parsed JSON or bytes, or the path of one. Records as they stand: unfinished ones
        and references to records that have not arrived are borne.

    Returns
    -------
    Assessment
        Every figure rounded; None where something is missing, with words that say what.

    Raises
    ------
    SurveyError, OSError
        When what was given is no survey document, or its file cannot be read.
    """
    survey = open_document(document).measured()
    record = survey.single(SurveyRecord) or SurveyRecord(id=survey.id)
    design = survey.single(Design) or Design(id=survey.id)
    flow_c, difference_k = design.effective("flow_temperature_c"), design.effective("flow_return_difference_k")
    found: list[Finding] = []
    found += contradictions(record)
    climate, more = work_out_climate(record, has_rooms=bool(survey.of_kind(Room)))
    found += more
    parts = HouseParts(survey, record)
    constructions = Constructions(survey, record, parts)
    values, losses, more = _losses(survey, record, parts, climate, constructions)
    found += [*more, *closing_findings(record, losses.rooms)]
    faces, of_faces = cold_faces(losses.rooms)
    heated = heated_rooms(survey, losses.rooms, difference_k)
    rooms, more = room_results(heated, flow_c, climate, fluid_of(survey.single(Circuit)))
    found += [*of_faces, *more]
    flow, more = find_flow(heated, flow_c, difference_k, option_words(design, "flow_temperature_c"))
    found += more
    building = replace(add_up(losses.rooms, climate), so_far=open_rooms(losses.rooms))

    pipes, of_pipes = assess_pipe_heat(survey, design, climate)
    day = hot_water_day(survey, record, design, building.floor_area_m2)
    warm = always_warm(survey, pipes)
    load, of_load = unit_load(record, building, heated, rooms, warm, day, load_switches(record))
    building = replace(building, unit_size_w=load.total_w)
    curve = None if climate is None else heat_curve(heated, flow_c, difference_k, climate.outside_c)
    terms = year_parts(load, building, losses, curve, warm_pipes(survey, warm, flow_c - difference_k / 2))
    season, more = through_the_year(
        survey, record, heated, flow_c, difference_k, climate, terms, constructions=constructions
    )
    found += [*more, *of_pipes, *of_load]
    house = house_load(climate, building, load.total_w, curve, terms)
    units, more = assess_units(survey, design, house, flow_c)
    found += more
    plant, more = _plant(survey, record, design, climate, building, season, (house, load, units))
    found += more
    bases, cables, more = _laid(survey, record)
    found += more
    laid = (bases, pipes, tuple(zip(heated, rooms, strict=True)), climate)
    site, more = _site(survey, record, units.known_to(design), building, units.day_parts, laid)
    found += [*more, *stray_findings(survey)]
    found[:0] = implausible(survey, record, parts, values, heated, building)

    answer = Assessment(
        engine=ENGINE_VERSION,
        survey=survey.id,
        climate=climate,
        constructions=values,
        rooms=rooms,
        building=building,
        flow=flow if rooms else None,
        bases=bases,
        cables=cables,
        findings=declared(sorted(found, key=lambda item: _ORDER[item.severity])),
        methods=methods(record, design, parts),
        sources=(),
        site=site,
        ventilation=losses.air,
        spaces=losses.spaces,
        cold_faces=faces,
        compensation=season.compensation,
        energy=season.energy,
        improvements=season.improvements,
        plant=plant,
        parts=part_answers(survey, record, parts),
    )
    sources = sources_for(sources_in(answer) | {room.inside_source for room in losses.rooms})
    return beside_open(replace(answer, sources=sources))


def _laid(
    survey: Survey, record: SurveyRecord
) -> tuple[tuple[BaseAssessment, ...], tuple[CableAssessment, ...], list[Finding]]:
    """Return the bases and the cables with what is found of them."""
    bases, of_bases = assess_bases(survey, record.visit_date)
    cables, of_cables = assess_cables(survey)
    return bases, cables, [*of_bases, *of_cables]


def _losses(
    survey: Survey, record: SurveyRecord, parts: HouseParts, climate: Climate | None, constructions: Constructions
) -> tuple[tuple[ConstructionValue, ...], RoomLosses, list[Finding]]:
    """Return the constructions with the U-values that they count with, what every room loses, and what is to be said of both."""
    values, found = constructions.results()
    losses, more = work_out_rooms(survey, record, parts, climate, constructions)
    return with_uses(values, losses.uses), losses, found + more


def _plant(
    survey: Survey,
    record: SurveyRecord,
    design: Design,
    climate: Climate | None,
    building: BuildingLoss,
    season: Season,
    chosen: tuple[House | None, UnitLoad, Units],
) -> tuple[PlantAssessment, list[Finding]]:
    """Return units, hot water and running cost, and what is to be said of the last two."""
    house, load, units = chosen
    load_kw = None if house is None else house.load_w / 1000
    heating_kw = None if load_kw is None else load_kw - load.counted_w("hot_water") / 1000
    duty = Duty(units.table, units.capacity_kw(design), heating_kw)
    water, found = assess_hot_water(survey, record, design, climate, duty, building.floor_area_m2)
    cost, more = assess_cost(record, heat_year(units, water, season.energy), design.effective("cost_heat"))
    plant = PlantAssessment(
        load_kw=rounded_if_any(load_kw, 2),
        units=units.results,
        day_parts=units.day_parts,
        scop_35=units.scop_35,
        scop_55=units.scop_55,
        steps=units.steps,
        hot_water=water,
        cost=cost,
        load_terms=load.terms,
        year=heat_of_year(water, season.energy),
        scop_words=units.scop_words,
    )
    return plant, found + more


def _site(
    survey: Survey,
    record: SurveyRecord,
    design: Design,
    building: BuildingLoss,
    day_parts: Sequence[DayPart],
    before: tuple[
        tuple[BaseAssessment, ...],
        tuple[RunHeat, ...],
        tuple[tuple[HeatedRoom, RoomAssessment], ...],
        Climate | None,
    ],
) -> tuple[SiteAssessment, list[Finding]]:
    """Return places, heating water and electricity, and what is to be said of them; ``before`` are bases, heat lost by pipes, rooms, and climate."""
    bases, pipes, rooms, climate = before
    found = [finding for run in survey.of_kind(PipeRun) for finding in pipe_findings(run)]
    found += supply_findings(survey)
    zones, noise, standings, more = assess_places(survey, bases, record.visit_date)
    found += more
    outside_c = None if climate is None else climate.outside_c
    circuit, runs, more = assess_circuit(survey, design, building.unit_size_w, day_parts, rooms, outside_c)
    found += more
    supply, more = assess_supply(survey)
    found += [*more, *signal_findings(survey)]
    return SiteAssessment(zones, noise, circuit, runs, pipes, standings, supply), found
