"""All checks of plausibility, asked once of a survey that has been worked out."""

from __future__ import annotations

from collections.abc import Sequence

from wattwalk.survey.document import Survey
from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.parts import HouseParts

from ..answers import BuildingLoss, ConstructionValue, Finding
from ..rooms import HeatedRoom
from .constructions import construction_findings
from .emitters import emitter_findings
from .house import house_findings
from .openings import opening_findings
from .rooms import room_findings, size_findings, twin_findings
from .taken import Taken


def implausible(
    survey: Survey,
    record: SurveyRecord,
    parts: HouseParts,
    values: Sequence[ConstructionValue],
    heated: Sequence[HeatedRoom],
    building: BuildingLoss,
) -> list[Finding]:
    """Return what can hardly be so, each with both numbers and a remedy: it stands before what follows from it.

    Parameters
    ----------
    survey : Survey
        With every surface as large as it is (``measured``).
    record : SurveyRecord
        Its household record.
    parts : HouseParts
        The main house and its extensions.
    values : sequence of ConstructionValue
        The usual value of each construction.
    heated : sequence of HeatedRoom
        The rooms as worked out, with their emitters.
    building : BuildingLoss
        What they add up to.

    Notes
    -----
    One slip is said once: what a room's own size throws out of joint is not said of the house as well.
    """
    taken = Taken([room.work for room in heated])
    temperatures = record.effective("room_temperatures")
    found = [finding for room in taken.rooms.values() for finding in size_findings(room)]
    taken.take(survey)
    found += twin_findings(taken)
    for each in heated:
        room = taken.rooms[each.work.room.id]
        found += room_findings(room, temperatures)
        found += emitter_findings(each, room)
    found += opening_findings(taken)
    bands = {part.id: part.age_band for part in parts.every}
    found += construction_findings(survey, values, taken.outside, bands, taken.inside_doors)
    found += house_findings(survey, record, taken, building)
    return found
