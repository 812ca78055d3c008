"""The outdoor places of a survey, one after the other: zone, sound, base."""

from __future__ import annotations

from collections.abc import Sequence

from wattwalk.survey.document import Survey
from wattwalk.survey.services import CableRun, PipeRun
from wattwalk.survey.site import Base, OutdoorPosition
from wattwalk.survey.standing import chosen_unit, first_place
from wattwalk.survey.unit import Unit
from wattwalk.survey.works import Design

from ..answers import BaseAssessment, BaseStanding, Finding, NoiseAssessment, Severity, ZonePlan
from ..answers.citing import COMMON_PRACTICE
from .base import assess_base
from .footing import assess_standing
from .noise import assess_noise
from .plan import assess_place
from .zone_findings import position_findings


def assess_bases(survey: Survey, day: str | None) -> tuple[tuple[BaseAssessment, ...], list[Finding]]:
    """Return the level of each base, and the findings on the bases and on what is near the places; `day` is the visit's."""
    findings: list[Finding] = []
    for position in survey.of_kind(OutdoorPosition):
        findings += position_findings(survey, position)
    bases = []
    for base in survey.of_kind(Base):
        result, more = assess_base(survey, base, day)
        bases.append(result)
        findings += more
    return tuple(bases), findings


def assess_places(
    survey: Survey, bases: Sequence[BaseAssessment], day: str | None
) -> tuple[tuple[ZonePlan, ...], tuple[NoiseAssessment, ...], tuple[BaseStanding, ...], list[Finding]]:
    """Return zone and sound of each place, whether each base carries its unit, and the findings.

    Parameters
    ----------
    survey : Survey
        The survey as it stands.
    bases : sequence of BaseAssessment
        Levels of the bases, worked out before.
    day : str or None
        The day of the visit, ISO: the rules of that day hold.
    """
    findings: list[Finding] = []
    zones, noise, standings = [], [], []
    for position in survey.of_kind(OutdoorPosition):
        plan, found = assess_place(survey, position)
        zones.append(plan)
        findings += found
        sound, found = assess_noise(survey, position, day)
        noise.append(sound)
        findings += found
    levels = {item.id: item for item in bases}
    for base in survey.of_kind(Base):
        if base.id in levels:
            standing, found = assess_standing(survey, base, levels[base.id], day)
            standings.append(standing)
            findings += found
    return tuple(zones), tuple(noise), tuple(standings), [*findings, *_other_unit(survey), *_further_places(survey)]


def _other_unit(survey: Survey) -> list[Finding]:
    """Return that the first place names a unit and the design has chosen another, which every check takes."""
    place, chosen = first_place(survey), chosen_unit(survey)
    named = None if place is None else survey.find(Unit, place.unit)
    if place is None or chosen is None or named is None or named.id == chosen.id:
        return []
    return [
        Finding(
            Severity.CHECK,
            "place_names_other_unit",
            place.key(),
            "unit",
            f"{place.title}: {named.name or 'another unit'} was named for this place; the design has chosen {chosen.name or 'this one'}, and every check takes that one.",
            "Take the place's own unit away, or choose it in the design.",
            COMMON_PRACTICE,
        )
    ]


def _further_places(survey: Survey) -> list[Finding]:
    """Return the findings when several places are written down: heating water and electricity are worked out for the first."""
    positions = survey.of_kind(OutdoorPosition)
    is_planned = bool(survey.of_kind(PipeRun) or survey.of_kind(CableRun) or survey.single(Design) is not None)
    if len(positions) < 2 or not is_planned:
        return []
    first, *others = positions
    name = first.title
    return [
        Finding(
            Severity.CHECK,
            "first_place_counted",
            item.key(),
            None,
            f"Heating water, electricity and the unit's own figures are worked out for the first place written down, {name}; {item.title} is counted for its zone, its base and its noise only.",
            "Take away the place that is not used. If both get a unit, a competent designer works the second one's pipes and supply out beside the first.",
            COMMON_PRACTICE,
        )
        for item in others
    ]
