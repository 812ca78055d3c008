"""The working pages: every figure with its formula, its numbers and where it comes from."""

from __future__ import annotations

from typing import Any

from wattwalk.engine.answers import Assessment, ConstructionValue

from .figures import bare, beside, degrees, quantity, watts
from .plant_chapters import plant_working
from .report_inputs import ReportInputs
from .room_working import construction_numbers, room_rows
from .site_chapters import site_working
from .source_marks import SourceMarks, source_groups, step_row


def _spaces(assessment: Assessment, marks: SourceMarks) -> list[dict[str, Any]]:
    return [
        {
            "name": item.name,
            "temperature": degrees(item.temperature_c),
            "missing": ", ".join(item.missing),
            "steps": [step_row(step, marks) for step in item.steps],
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


def _uses(item: ConstructionValue) -> str:
    """Return the U-values that the surfaces of a construction count with; which is whose where they differ."""
    if len({use.u_value_w_m2k for use in item.uses}) < 2:
        value = quantity(item.u_value_w_m2k, "W/m²K", 2)
        return value if item.uses or item.u_value_w_m2k is None else f"{value}, used by no surface"
    return "; ".join(f"{quantity(use.u_value_w_m2k, 'W/m²K', 2)} ({use.words})" for use in item.uses)


def _constructions(assessment: Assessment, marks: SourceMarks) -> list[dict[str, Any]]:
    numbers = construction_numbers(assessment)
    return [
        {
            "number": numbers[item.id],
            "name": item.name,
            "words": item.words,
            "uses": _uses(item),
            "source": marks.mark(item.source),
            "steps": [step_row(step, marks) for step in item.steps],
        }
        for item in assessment.constructions
    ]


def _season(assessment: Assessment, marks: SourceMarks) -> list[tuple[str, list[dict[str, Any]]]]:
    """Return the working of the air, of the year and of the plant under their headings."""
    found = [
        (f"Air: {item.label.lower()}{beside(item.so_far)}", [step_row(step, marks) for step in item.steps])
        for item in assessment.ventilation
        if item.steps
    ]
    if assessment.compensation is not None:
        found.append(
            (
                f"Weather-compensation line{beside(assessment.compensation.so_far)}",
                [step_row(step, marks) for step in assessment.compensation.steps],
            )
        )
    if assessment.energy is not None:
        found.append(
            (
                f"A year of heating{beside(assessment.energy.so_far)}",
                [step_row(step, marks) for step in assessment.energy.steps],
            )
        )
    found += [(heading, [step_row(step, marks) for step in steps]) for heading, steps in plant_working(assessment)]
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
    climate = assessment.climate
    return {
        "climate": None
        if climate is None
        else {
            "outside": degrees(climate.outside_c),
            "mean": degrees(climate.annual_mean_c),
            "words": climate.words,
            "steps": [step_row(step, marks) for step in climate.steps],
        },
        "constructions": _constructions(assessment, marks),
        "rooms": room_rows(inputs.survey, assessment, marks),
        "spaces": _spaces(assessment, marks),
        "cold_faces": _cold_faces(assessment, marks),
        "between_rooms": watts(assessment.building.between_rooms_w),
        "bases": [
            {"name": base.name or "Base", "steps": [step_row(step, marks) for step in base.steps]}
            for base in assessment.bases
            if base.steps
        ],
        "season": _season(assessment, marks),
        "bins": _bins(assessment),
        "site": [
            {
                "name": heading,
                "things": [
                    {"name": name, "steps": [step_row(step, marks) for step in steps]} for name, steps in groups
                ],
            }
            for heading, groups in site_working(inputs)
        ],
        "methods": list(assessment.methods),
        "sources": source_groups(assessment.sources),
        "engine": assessment.engine,
    }
