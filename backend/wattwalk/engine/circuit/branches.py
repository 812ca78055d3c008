"""The heat that a branch of the heating carries, against what its rooms lose."""

from __future__ import annotations

from collections.abc import Sequence
from math import fsum

from wattwalk.survey.document import Survey
from wattwalk.survey.runs import run_title
from wattwalk.survey.services import PipeRun

from ..answers import Finding, RoomAssessment, Severity
from ..answers.citing import COMMON_PRACTICE
from ..answers.rounding import figure

#: Typed heat this far from that of its rooms is a contradiction.
APART_SHARE = 0.1


def radiator_heat_w(room: RoomAssessment) -> float | None:
    """Return the heat in W that a room gets from what is no heated floor, shared by output; None while it is not known."""
    counted = [item for item in room.emitters if item.counts]
    radiators = [item for item in counted if item.type != "underfloor"]
    if not radiators:
        return 0.0
    if room.total_w is None:
        return None
    needed = max(0.0, room.total_w)
    if len(radiators) == len(counted):
        return needed
    outputs = [item.output_w for item in counted]
    given = fsum(value for value in outputs if value is not None)
    if None in outputs or given <= 0:
        return None
    return needed * fsum(item.output_w for item in radiators if item.output_w is not None) / given


def branch_findings(survey: Survey, rooms: Sequence[RoomAssessment]) -> list[Finding]:
    """Return the branches whose typed heat is not that of the rooms whose radiators they feed, with both figures."""
    by_place: dict[str, list[PipeRun]] = {}
    for run in survey.of_kind(PipeRun):
        if run.purpose == "heating" and run.serves is not None:
            by_place.setdefault(run.serves, []).append(run)
    found = []
    for place, runs in by_place.items():
        typed = [run.carries_kw for run in runs]
        heats = [radiator_heat_w(room) for room in rooms if place in ("house", room.storey)]
        if None in typed or None in heats or not heats:
            continue
        carried = fsum(value for value in typed if value is not None)
        needed = fsum(value for value in heats if value is not None) / 1000
        if abs(carried - needed) <= APART_SHARE * max(carried, needed):
            continue
        names = " and ".join(run_title(run) for run in runs)
        found.append(
            Finding(
                Severity.CHECK,
                "branch_heat_contradicts",
                runs[0].key(),
                "carries_kw",
                f"{names}: {figure(carried, 2)} kW is typed; the rooms whose radiators it feeds lose {figure(needed, 2)} kW.",
                "Correct the heat it carries, or say which radiators it feeds: flow, pipe size and pump go by it.",
                COMMON_PRACTICE,
            )
        )
    return found
