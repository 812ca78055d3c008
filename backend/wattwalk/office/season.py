"""The chapter on the water temperature through the year: the line to set, a year's heating, what would lower it, how the air was counted."""

from __future__ import annotations

from typing import Any

from wattwalk.engine.answers import Assessment, Improvement
from wattwalk.engine.answers.rounding import rounded_up
from wattwalk.pictures.svg import amount

from .figures import bare, beside, degrees, in_sum, quantity, upper_first
from .report_inputs import ReportInputs


def _whole_pounds(text: str | None) -> str:
    return "–" if text is None else f"£{amount(round(float(text)))}"


def _change(item: Improvement) -> dict[str, str]:
    return {
        "what": item.what,
        "limits": item.limits,
        "flow": "none serves" if item.lowest_flow_c is None else bare(rounded_up(item.lowest_flow_c, 1), 1),
        "lower": "–" if item.reduction_k is None else bare(item.reduction_k, 1),
        "efficiency": bare(item.seasonal_efficiency, 2),
        "saved": bare(item.saved_kwh),
        "pounds": _whole_pounds(item.saved_pounds),
    }


def _floors(assessment: Assessment) -> list[dict[str, str]]:
    return [
        {
            "room": room.name + beside(room.so_far),
            "loops": str(emitter.floor.loops),
            "length": bare(emitter.floor.loop_m),
            "flow": bare(emitter.floor.flow_l_min, 1),
            "pressure": bare(emitter.floor.pressure_kpa, 1),
            "surface": bare(emitter.floor.surface_c, 1),
            "limit": bare(emitter.floor.limit_c, 0),
        }
        for room in assessment.rooms
        for emitter in room.emitters
        if emitter.counts and emitter.floor is not None
    ]


def _replacements(assessment: Assessment) -> list[dict[str, str]]:
    return [
        {"room": room.name, "words": item.words, "output": bare(item.output_w), "place": item.place}
        for room in assessment.rooms
        for item in room.replacements
    ]


def _year_terms(assessment: Assessment) -> dict[str, Any] | None:
    """Return a year's heat as a sum with its terms, and what is left out of it."""
    year = assessment.plant.year
    if year is None:
        return None
    rows = [
        {
            "label": term.label,
            "heat": in_sum(bare(term.heat_kwh), term.heat_kwh, counts=term.counts),
            "words": upper_first(term.words),
            "source": term.source,
        }
        for term in year.terms
    ]
    return {"rows": rows, "heat": bare(year.heat_kwh), "so_far": beside(year.so_far)}


def season_chapter(inputs: ReportInputs) -> dict[str, Any]:
    """Return what the chapter prints; parts that cannot be said yet are empty."""
    assessment = inputs.assessment
    line, energy, changes = assessment.compensation, assessment.energy, assessment.improvements
    year = []
    if energy is not None:
        year = [
            ("Heat for heating in a year", quantity(energy.heat_kwh, "kWh")),
            ("Electricity for it", quantity(energy.electricity_kwh, "kWh")),
            ("Heat for each unit of electricity", bare(energy.seasonal_efficiency, 2)),
        ]
    return {
        "line": None
        if line is None
        else {
            "words": f"{line.words} ({line.so_far})" if line.so_far else line.words,
            "points": [
                {"outside": degrees(item.outside_c), "flow": degrees(item.flow_c), "line": degrees(item.line_c)}
                for item in line.points
            ],
        },
        "year": year,
        "year_terms": _year_terms(assessment),
        "year_so_far": "" if energy is None else beside(energy.so_far),
        "year_flow": "" if energy is None else degrees(energy.flow_c),
        "year_words": "" if energy is None else energy.words,
        "changes_so_far": "" if changes is None else beside(changes.so_far),
        "changes_words": "" if changes is None else changes.words,
        "single": [] if changes is None else [_change(item) for item in changes.single],
        "in_turn": [] if changes is None else [_change(item) for item in changes.in_turn],
        "floors": _floors(assessment),
        "replacements": _replacements(assessment),
        "air_so_far": beside(next((item.so_far for item in assessment.ventilation), "")),
        "air": [
            {
                "label": item.label,
                "used": "used here" if item.is_used else "",
                "rate": bare(item.air_changes_h, 2),
                "watts": bare(item.house_w),
                "words": upper_first(item.words)
                if not item.missing
                else f"{upper_first(item.words)}; missing: {', '.join(item.missing)}",
                "at_once": "" if item.at_once_w is None else f"at the same time {bare(item.at_once_w)} W",
            }
            for item in assessment.ventilation
        ],
    }
