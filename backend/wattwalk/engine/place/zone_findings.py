"""The place of the outdoor unit: what lies inside the protective zone of a unit with a flammable refrigerant."""

from __future__ import annotations

from collections.abc import Sequence

from wattwalk.survey.document import Survey
from wattwalk.survey.site import NearbyObject, OutdoorPosition
from wattwalk.survey.standing import NO_UNIT, NOT_CHOSEN, unit_at
from wattwalk.survey.unit import A2L, Unit
from wattwalk.survey.works import Design

from ..answers import Finding, Severity
from ..answers.citing import COMMON_PRACTICE, PLANNING_ZONE
from ..answers.rounding import figure, listed
from .refrigerants import burns, hazard_source, hazard_words, is_class_known, safety_class, short_name
from .zone import Zone, has_makers_drawing, surroundings_of, zone_of

#: What must not lie inside the zone, and what it is there: a way for gas into the house, a place where it gathers, or a spark.
DANGERS = {
    "air_brick": "opening",
    "window": "opening",
    "door": "opening",
    "light_well": "opening",
    "cellar_hatch": "opening",
    "drain": "hollow",
    "gully": "hollow",
    "pit": "hollow",
    "socket": "spark",
    "switch": "spark",
    "isolator": "spark",
    "charging_point": "spark",
    "flue": "spark",
    "boundary": "boundary",
}
#: Why it must not lie there.
DANGER_WORDS = {
    "opening": "leaked gas could flow through it into the house",
    "hollow": "leaked gas could gather in it",
    "spark": "it could set light to leaked gas",
    "boundary": "the zone must not reach over the neighbour's land or a public way",
}

#: What can be done about it while nobody has decided (common practice, no source).
_WAYS = {
    "opening": "Close it off for good or move it, or move the unit.",
    "hollow": "Seal its cover gas-tight or move it, or move the unit.",
    "spark": "Move it, or move the unit.",
    "boundary": "Move the unit.",
}
#: The same by what it is.
WAY_WORDS = {kind: _WAYS[danger] for kind, danger in DANGERS.items()} | {
    "air_brick": "Close it off or move it, or move the unit; an air brick that is closed off needs another one elsewhere."
}

PLANNING_WORDS = "the planning shape, not a maker's"


def danger_of(kind: str | None) -> str | None:
    """Return what a kind of thing is in the zone: ``opening``, ``hollow``, ``spark``, ``boundary``, or None when it may lie there."""
    return DANGERS.get(kind or "")


def position_findings(survey: Survey, position: OutdoorPosition) -> list[Finding]:
    """Return the findings on one place for the unit."""
    name = position.title
    findings = []
    if position.condensate_route == "none":
        findings.append(
            Finding(
                Severity.CHECK,
                "no_condensate_route",
                position.key(),
                "condensate_route",
                f"{name}: the condensate has nowhere to go yet.",
                "Agree on a gravel pit below the frost line, or a trapped gully outside the protective zone; never across a path, where it freezes.",
                COMMON_PRACTICE,
            )
        )
    unit = unit_at(survey, position)
    if not burns(unit):
        findings.append(
            Finding(
                Severity.NOTE,
                "zone_not_checked",
                position.key(),
                None,
                f"{name}: the unit's refrigerant is of class A1 and does not burn, so no protective zone is kept around it.",
                "Follow the unit maker's siting drawing.",
                COMMON_PRACTICE,
            )
        )
        return findings
    zone, missing = zone_of(position, unit)
    findings += _class_findings(position, unit, zone)
    if has_makers_drawing(unit) and not zone.is_makers:
        findings.append(
            Finding(
                Severity.CHECK,
                "zone_not_known",
                position.key(),
                None,
                f"{name}: the maker's zone needs at least three corners that do not lie on one line, each with both distances; until then things near it are judged by a planning shape, not a maker's.",
                "Enter the unit's corners in order from its maker's drawing.",
                COMMON_PRACTICE,
            )
        )
    if missing:
        findings.append(
            Finding(
                Severity.CHECK,
                "zone_incomplete",
                position.key(),
                _wanted_field(position, unit),
                f"{name}: {_not_known(missing)}; the planning shape takes the strictest for what stands around it and nothing for a missing size, so it may be drawn too small.",
                "Fill them in; things just beyond it may turn out to be inside.",
                COMMON_PRACTICE,
            )
        )
    objects = survey.children(NearbyObject, position.id)
    findings += [found for item in objects if (found := _object_finding(item, name, zone, unit)) is not None]
    if not zone.is_makers:
        findings += _planning_findings(survey, position, name, zone, objects)
    return findings


def _class_findings(position: OutdoorPosition, unit: Unit, zone: Zone) -> list[Finding]:
    """Return by which rules a place is judged where they are not plainly those of propane."""
    name = position.title
    if not is_class_known(unit):
        return [
            Finding(
                Severity.CHECK,
                "refrigerant_class_unknown",
                position.key(),
                None,
                f"{name}: the safety class of the unit's refrigerant is not known, so the rules of propane hold, the strictest.",
                "Read the class from the unit's plate or papers: A1, A2L or A3.",
                COMMON_PRACTICE,
            )
        ]
    if safety_class(unit) == A2L and not zone.is_makers:
        return [
            Finding(
                Severity.NOTE,
                "zone_of_a2l",
                position.key(),
                None,
                f"{name}: for {short_name(unit)}, a refrigerant of class A2L, no published size of a zone outdoors is held. The stricter planning shape, that of a propane unit, stands in.",
                "Openings and hollows inside it are looked at by a competent person against the maker's siting drawing; enter the maker's corners where it has some.",
                COMMON_PRACTICE,
            )
        ]
    return []


def _not_known(missing: Sequence[str]) -> str:
    """Return what is missing in words: that no unit is chosen says so by itself."""
    rest = [words for words in missing if words != NOT_CHOSEN]
    none = [NOT_CHOSEN] if len(rest) < len(missing) else []
    return listed([*none, *([f"{listed(rest)} not known"] if rest else [])])


def _wanted_field(position: OutdoorPosition, unit: Unit) -> str | None:
    """Return the first field of the place that the planning shape still wants, or None while it wants one of the unit."""
    if None in (unit.width_mm, unit.depth_mm):
        return "unit" if unit is NO_UNIT else None
    side = surroundings_of(position).side
    last = f"clear_{side}_mm" if side is not None else "wall_faced" if position.wall_faced is None else "zone_shape"
    return "clear_back_mm" if position.clear_back_mm is None else last


def is_unit_chosen(survey: Survey, position: OutdoorPosition) -> bool:
    """Say whether the unit is chosen, so that its maker's drawing can be asked for: by the office, or by what its papers say."""
    design = survey.single(Design)
    return unit_at(survey, position).maximum_current_a is not None or (
        design is not None and (design.unit is not None or design.unit_name is not None)
    )


def _planning_findings(
    survey: Survey, position: OutdoorPosition, name: str, zone: Zone, objects: Sequence[NearbyObject]
) -> list[Finding]:
    """Return that a planning shape is no maker's: what lies beyond it is not called clear, and once the unit is chosen its own corners are asked for."""
    beyond = [item for item in objects if danger_of(item.type) is not None and zone.has_inside(item) is False]
    chosen = is_unit_chosen(survey, position)
    if not beyond and not chosen:
        return []
    words = (
        f" {listed([_label(item) for item in beyond])}: not inside the planning shape, which does not say clear; the maker's own drawing decides."
        if beyond
        else ""
    )
    return [
        Finding(
            Severity.CHECK,
            "zone_is_planning",
            position.key(),
            None,
            f"{name}: the protective zone is a planning shape, not a maker's.{words}",
            "Choose 'The maker's own, by its corners' for the unit and enter them from its drawing."
            if chosen
            else "Once the unit is chosen, enter its corners from its maker's drawing.",
            PLANNING_ZONE,
        )
    ]


def _label(item: NearbyObject) -> str:
    return item.name or item.kind.field("type").choice_label(item.type)


def _object_finding(item: NearbyObject, place: str, zone: Zone, unit: Unit) -> Finding | None:
    danger = danger_of(item.type)
    along, out, up = item.along_m, item.out_m, item.up_m
    if danger is None or along is None or out is None or up is None or not zone.holds(along, out, up):
        return None
    if item.remedy in ("close_off", "move") and item.remedy_done:
        return None
    label = _label(item)
    side = "right" if along > 0 else "left"
    where = f"{figure(abs(along))} m to the {side}, {figure(out)} m out and {figure(up)} m up"
    message = (
        f"{label} at {place} lies inside {'the protective zone' if zone.is_makers else PLANNING_WORDS} ({where}): {DANGER_WORDS[danger]}. "
        f"{hazard_words(unit)}"
    )
    if item.remedy == "other":
        return Finding(
            Severity.CHECK,
            "in_zone_other_remedy",
            item.key(),
            "remedy",
            message,
            "A competent person judges the remedy in the notes against the unit maker's drawing.",
            hazard_source(unit),
        )
    remedies = {
        "close_off": "Close it off, see that it is done, and take a photo.",
        "move": "Move it out of the zone, see that it is done, and take a photo.",
    }
    remedy = remedies.get(item.remedy or "", f"{WAY_WORDS[item.type or '']} The unit maker's drawing governs.")
    field = "remedy_done" if item.remedy in remedies else "remedy"
    if not _stops(danger, zone, unit):
        return Finding(
            Severity.CHECK,
            "in_zone_of_a2l",
            item.key(),
            field,
            message,
            f"A competent person judges it against the unit maker's siting drawing before anything is installed. {remedy}",
            hazard_source(unit),
        )
    if not zone.is_makers:
        remedy += " Do not install here until then, or until the maker's own drawing shows it clear."
    return Finding(Severity.STOP, "in_protective_zone", item.key(), field, message, remedy, hazard_source(unit))


def _stops(danger: str, zone: Zone, unit: Unit) -> bool:
    """Say whether what lies in the zone stops the job; common practice, no source.

    Of a class A2L a way into the house or a hollow does so inside the maker's own corners. Whether a spark lights it, and how far a
    planning shape made for propane has to hold, is not known here: a person looks.
    """
    return safety_class(unit) != A2L or (zone.is_makers and danger in ("opening", "hollow"))
