"""What every room loses: its faces, its edges and its air, put together."""

from __future__ import annotations

from dataclasses import dataclass, field

from wattwalk.survey.building import Room, Surface
from wattwalk.survey.document import Survey
from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.parts import HousePart, HouseParts

from ..air.ventilation import AirRoom, HouseAir, damp_findings, method_finding
from ..answers import Climate, Finding, Severity, SpaceBalance, VentilationMethod
from ..answers.citing import COMMON_PRACTICE
from ..fabric.bridges import add_bridges
from ..fabric.constructions import Constructions
from ..fabric.room_loss import RoomWork, start_room
from ..fabric.surfaces import SurfaceWork
from ..fabric.uses import Uses
from .closing import close_rooms


@dataclass(frozen=True)
class RoomLosses:
    """Every room with what it loses, the ways of counting air beside each other, and the unheated spaces."""

    rooms: tuple[RoomWork, ...]
    air: tuple[VentilationMethod, ...] = ()
    spaces: tuple[SpaceBalance, ...] = ()
    uses: Uses = field(default_factory=dict)


def work_out_rooms(
    survey: Survey, record: SurveyRecord, parts: HouseParts, climate: Climate | None, constructions: Constructions
) -> tuple[RoomLosses, list[Finding]]:
    """Return what every room loses at the design cold, and the findings.

    Parameters
    ----------
    survey, record
        The survey and its household record.
    parts : HouseParts
        The parts of the house that the rooms are in.
    climate : Climate or None
        Without one no loss can be worked out, and each room says so.
    constructions : Constructions
        What the surfaces are made of.
    """
    works = tuple(start_room(room, record.effective("room_temperatures")) for room in survey.of_kind(Room))
    findings = [finding for work in works for finding in work.size.findings]
    lost = [work for work in works if parts.of_room(work.room.id) is None]
    for work in lost:
        work.missing.append("the part of the house it is in (the one chosen is not in this survey)")
    findings += [_part_unknown(work) for work in lost]
    met = {part.key for work in works if (part := parts.of_room(work.room.id)) is not None}
    findings += [_without_rooms(part) for part in parts.extensions if works and part.key not in met]
    if climate is None:
        for work in works:
            work.missing.append("the design outside temperature")
        close_rooms(survey, works, {})
        return RoomLosses(works), findings
    names = {work.room.id: work.name for work in works}
    losses = SurfaceWork(
        survey, record, climate, constructions, {work.room.id: work.inside_c for work in works}, names, parts=parts
    ).work_out()
    findings += losses.findings
    with_surface = {item.room for item in survey.of_kind(Surface)} | {
        item.other_room for item in survey.of_kind(Surface)
    }
    for work in works:
        work.surfaces = losses.by_room.get(work.room.id, [])
        work.missing += losses.missing.get(work.room.id, [])
        if not work.surfaces and work.room.id not in with_surface:
            work.missing.append("at least one surface of the room")
        if (part := parts.of_room(work.room.id)) is not None:
            findings += add_bridges(work, part.thermal_bridges, climate.outside_c)
    close_rooms(survey, works, losses.lacking)
    methods, more = _count_air(survey, record, parts, climate, works)
    return RoomLosses(works, methods, losses.spaces, losses.uses), findings + more


def _part_unknown(work: RoomWork) -> Finding:
    return Finding(
        Severity.CHECK,
        "part_unknown",
        work.room.key(),
        "extension",
        f"{work.name} is in a part of the house that is not in this survey, so its age is not known and it is not worked out.",
        "Choose the part it is in, or the main house.",
        COMMON_PRACTICE,
    )


def _without_rooms(part: HousePart) -> Finding:
    return Finding(
        Severity.CHECK,
        "part_without_rooms",
        part.key,
        None,
        f"No room is in {part.name}: every room counts with the age of another part.",
        "Say in each of its rooms that it is in this part, or take the part away.",
        COMMON_PRACTICE,
    )


def _count_air(
    survey: Survey, record: SurveyRecord, parts: HouseParts, climate: Climate, works: tuple[RoomWork, ...]
) -> tuple[tuple[VentilationMethod, ...], list[Finding]]:
    rooms = [
        AirRoom(work.room, work.name, work.volume_m3, work.inside_c, work.envelope_m2, work.floor_area_m2, part)
        for work in works
        if work.volume_m3 is not None
        and work.floor_area_m2 is not None
        and work.inside_c is not None
        and (part := parts.of_room(work.room.id)) is not None
    ]
    air = HouseAir(survey, record, parts, rooms, climate.outside_c)
    found, findings, missing = air.losses()
    for work in works:
        work.ventilation, work.ventilation_w = found.get(work.room.id, (None, 0.0))
        work.missing += missing.get(work.room.id, [])
    methods = air.methods()
    return methods, [*findings, *damp_findings(rooms), *method_finding(record, methods)]
