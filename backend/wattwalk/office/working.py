"""The working pages: every figure with its formula, its numbers and where it comes from."""

from __future__ import annotations

from typing import Any

from wattwalk.engine.results import Assessment, RoomAssessment, Source, Step

from .figures import bare, degrees, plain_result, quantity, watts
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


def _surfaces(room: RoomAssessment, marks: SourceMarks) -> list[dict[str, str]]:
    return [
        {
            "words": item.words,
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


def _room(room: RoomAssessment, marks: SourceMarks) -> dict[str, Any]:
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
        "surfaces": _surfaces(room, marks),
        "air": _air(room, marks),
        "total": bare(room.total_w),
        "emitters": emitters,
        "missing": ", ".join(room.missing),
    }


def _constructions(assessment: Assessment, marks: SourceMarks) -> list[dict[str, Any]]:
    return [
        {
            "name": item.name,
            "u_value": bare(item.u_value_w_m2k, 2),
            "words": item.words,
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


def working_chapter(inputs: ReportInputs) -> dict[str, Any]:
    """Return everything the working pages print."""
    assessment = inputs.assessment
    marks = SourceMarks(assessment.sources)
    climate = assessment.climate
    return {
        "climate": None if climate is None else {
            "outside": degrees(climate.outside_c), "mean": degrees(climate.annual_mean_c), "words": climate.words, "steps": [_step(step, marks) for step in climate.steps],
        },
        "constructions": _constructions(assessment, marks),
        "rooms": [_room(room, marks) for room in assessment.rooms],
        "between_rooms": watts(assessment.building.between_rooms_w),
        "bases": [{"name": base.name or "Base", "steps": [_step(step, marks) for step in base.steps]} for base in assessment.bases if base.steps],
        "site": [{"name": heading, "steps": [_step(step, marks) for step in steps]} for heading, steps in site_working(inputs)],
        "methods": list(assessment.methods),
        "sources": [
            {"number": place, "name": _source_name(item), "title": item.title, "clause": item.clause, "confidence": item.confidence}
            for place, item in enumerate(assessment.sources, start=1)
        ],
        "engine": assessment.engine,
    }
