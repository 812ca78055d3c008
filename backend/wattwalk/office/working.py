"""The working pages: every figure with its formula, its numbers and where it comes from."""

from __future__ import annotations

from typing import Any

from wattwalk.engine.answers import Assessment, ConstructionValue, RoomAssessment, Source, Step
from wattwalk.survey.box import SIZES
from wattwalk.survey.building import Surface
from wattwalk.survey.document import Survey

from .figures import bare, beside, degrees, plain_result, quantity, watts
from .plant_chapters import plant_working
from .report_inputs import ReportInputs
from .site_chapters import site_working


class SourceMarks:
    """The numbers by which the working pages point at their sources."""

    def __init__(self, sources: tuple[Source, ...]) -> None:
        self._numbers = {source.key: place for place, source in enumerate(sources, start=1)}

    def mark(self, key: str) -> str:
        """Return the number of a source; words that are no key stand as they are."""
        number = self._numbers.get(key)
        return key if number is None else str(number)

    def number(self, key: str) -> int | None:
        """Return the number of a source, None when the key is not one of the sources."""
        return self._numbers.get(key)


def _step(step: Step, marks: SourceMarks) -> dict[str, Any]:
    return {
        "what": step.what,
        "formula": step.formula,
        "numbers": step.numbers,
        "result": f"{plain_result(step.result)}\N{NO-BREAK SPACE}{step.unit}".strip(),
        "source": marks.mark(step.source),
        "is_number": marks.number(step.source) is not None,
    }


def _sizes(survey: Survey) -> dict[str, str]:
    """Return the size of each surface as it is reckoned with, and of which sizes the room's own were taken."""
    stored = {item.id: item for item in survey.of_kind(Surface)}
    found = {}
    for item in survey.measured().of_kind(Surface):
        if item.area_m2 is not None:
            found[item.id] = f"{bare(item.area_m2, 2)} m²"
        elif item.width_m is not None and item.height_m is not None:
            found[item.id] = f"{bare(item.width_m, 2)} × {bare(item.height_m, 2)} m"
        else:
            continue
        if any(getattr(item, name) is not None and getattr(stored[item.id], name) is None for name in SIZES):
            found[item.id] += " (as the room)"
    return found


def _surfaces(room: RoomAssessment, marks: SourceMarks, sizes: dict[str, str]) -> list[dict[str, str]]:
    return [
        {
            "words": item.words,
            "size": sizes.get(item.id, "")
            + (f" less {bare(item.openings_m2, 2)} m² of openings" if item.openings_m2 else ""),
            "area": bare(item.net_area_m2, 2),
            "u_value": bare(item.u_value_w_m2k, 2),
            "bridge": bare(item.bridge_w_m2k, 2),
            "factor": bare(item.factor, 2),
            "difference": bare(item.temperature_difference_k, 1),
            "loss": bare(item.loss_w, 0),
            "source": marks.mark(item.source),
        }
        for item in room.surfaces
    ]


def _bridges(room: RoomAssessment, marks: SourceMarks) -> list[dict[str, str]]:
    return [
        {
            "words": item.words,
            "numbers": f"{bare(item.length_m, 2)} m × Ψ {bare(item.psi_w_mk, 3)} W/mK × {bare(item.temperature_difference_k, 1)} K",
            "loss": bare(item.loss_w, 0),
            "source": marks.mark(item.source),
        }
        for item in room.bridges
    ]


def _spaces(assessment: Assessment, marks: SourceMarks) -> list[dict[str, Any]]:
    return [
        {
            "name": item.name,
            "temperature": degrees(item.temperature_c),
            "missing": ", ".join(item.missing),
            "steps": [_step(step, marks) for step in item.steps],
        }
        for item in assessment.spaces
    ]


def _cold_faces(assessment: Assessment, marks: SourceMarks) -> list[dict[str, Any]]:
    names = {room.id: room.name for room in assessment.rooms}
    return [
        {
            "room": names[item.room],
            "words": item.words,
            "factor": bare(item.factor, 2),
            "face": bare(item.face_c, 1),
            "mould": bare(item.mould_limit_pct, 0),
            "condensation": bare(item.condensation_limit_pct, 0),
            "source": marks.mark(item.step.source),
        }
        for item in assessment.cold_faces
    ]


def _air(room: RoomAssessment, marks: SourceMarks) -> dict[str, str] | None:
    air = room.ventilation
    if air is None:
        return None
    return {
        "words": air.words,
        "numbers": f"{bare(air.heat_wh_m3k, 2)} Wh/m³K × {bare(air.air_changes_h, 2)} per hour × {bare(air.volume_m3, 1)} m³ × {bare(air.temperature_difference_k, 1)} K",
        "loss": bare(air.loss_w, 0),
        "source": marks.mark(air.source),
    }


def _room(room: RoomAssessment, marks: SourceMarks, sizes: dict[str, str]) -> dict[str, Any]:
    emitters = [
        {
            "words": item.words + ("" if item.counts else " (taken out, not counted)"),
            "output": watts(item.output_w),
            "steps": [_step(step, marks) for step in item.steps],
            "missing": ", ".join(item.missing),
        }
        for item in room.emitters
    ]
    return {
        "name": room.name,
        "inside": degrees(room.inside_c),
        "inside_words": room.inside_words,
        "volume": quantity(room.volume_m3, "m³", 1),
        "sizes": [_step(step, marks) for step in room.size_steps],
        "surfaces": _surfaces(room, marks, sizes),
        "bridges": _bridges(room, marks),
        "air": _air(room, marks),
        "total": bare(room.total_w),
        "emitters": emitters,
        "missing": ", ".join(room.missing),
        "so_far": room.so_far,
    }


def _uses(item: ConstructionValue) -> str:
    """Return the U-values that the surfaces of a construction count with; which is whose where they differ."""
    if len({use.u_value_w_m2k for use in item.uses}) < 2:
        value = quantity(item.u_value_w_m2k, "W/m²K", 2)
        return value if item.uses or item.u_value_w_m2k is None else f"{value}, used by no surface"
    return "; ".join(f"{quantity(use.u_value_w_m2k, 'W/m²K', 2)} ({use.words})" for use in item.uses)


def _constructions(assessment: Assessment, marks: SourceMarks) -> list[dict[str, Any]]:
    return [
        {
            "name": item.name,
            "words": item.words,
            "uses": _uses(item),
            "source": marks.mark(item.source),
            "steps": [_step(step, marks) for step in item.steps],
        }
        for item in assessment.constructions
    ]


def _source_name(source: Source) -> str:
    """Return the standard's own short name with its edition."""
    # The engine's keys end in the clause and the confidence, which have columns of their own.
    name = source.key.removesuffix(f", {source.confidence}").removesuffix(f", {source.clause}")
    return name if not source.edition or source.edition in name else f"{name}, {source.edition}"


def _season(assessment: Assessment, marks: SourceMarks) -> list[tuple[str, list[dict[str, Any]]]]:
    """Return the working of the air, of the year and of the plant under their headings."""
    found = [
        (f"Air: {item.label.lower()}{beside(item.so_far)}", [_step(step, marks) for step in item.steps])
        for item in assessment.ventilation
        if item.steps
    ]
    if assessment.compensation is not None:
        found.append(
            (
                f"Weather-compensation line{beside(assessment.compensation.so_far)}",
                [_step(step, marks) for step in assessment.compensation.steps],
            )
        )
    if assessment.energy is not None:
        found.append(
            (
                f"A year of heating{beside(assessment.energy.so_far)}",
                [_step(step, marks) for step in assessment.energy.steps],
            )
        )
    found += [(heading, [_step(step, marks) for step in steps]) for heading, steps in plant_working(assessment)]
    return found


def _bins(assessment: Assessment) -> list[dict[str, str]]:
    if assessment.energy is None:
        return []
    return [
        {
            "outside": bare(item.outside_c),
            "hours": bare(item.hours),
            "flow": bare(item.flow_c, 1),
            "heat": bare(item.heat_kwh),
            "efficiency": bare(item.efficiency, 2),
            "electricity": bare(item.electricity_kwh),
        }
        for item in assessment.energy.bins
    ]


def working_chapter(inputs: ReportInputs) -> dict[str, Any]:
    """Return everything the working pages print."""
    assessment = inputs.assessment
    marks = SourceMarks(assessment.sources)
    climate, sizes = assessment.climate, _sizes(inputs.survey)
    return {
        "climate": None
        if climate is None
        else {
            "outside": degrees(climate.outside_c),
            "mean": degrees(climate.annual_mean_c),
            "words": climate.words,
            "steps": [_step(step, marks) for step in climate.steps],
        },
        "constructions": _constructions(assessment, marks),
        "rooms": [_room(room, marks, sizes) for room in assessment.rooms],
        "spaces": _spaces(assessment, marks),
        "cold_faces": _cold_faces(assessment, marks),
        "between_rooms": watts(assessment.building.between_rooms_w),
        "bases": [
            {"name": base.name or "Base", "steps": [_step(step, marks) for step in base.steps]}
            for base in assessment.bases
            if base.steps
        ],
        "season": _season(assessment, marks),
        "bins": _bins(assessment),
        "site": [
            {"name": heading, "steps": [_step(step, marks) for step in steps]}
            for heading, steps in site_working(inputs)
        ],
        "methods": list(assessment.methods),
        "sources": [
            {
                "number": place,
                "name": _source_name(item),
                "title": item.title,
                "clause": item.clause,
                "confidence": item.confidence,
            }
            for place, item in enumerate(assessment.sources, start=1)
        ],
        "engine": assessment.engine,
    }
