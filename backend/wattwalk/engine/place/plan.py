"""The place of the unit as a plan, the room it needs, its isolator, and the way of its condensate."""

from __future__ import annotations

from math import hypot

from wattwalk.catalogue import table
from wattwalk.survey.document import Survey
from wattwalk.survey.known import known
from wattwalk.survey.site import NearbyObject, OutdoorPosition
from wattwalk.survey.standing import unit_at
from wattwalk.survey.unit import Unit

from ..answers import Clearance, Finding, Severity, ZoneObject, ZonePlan
from ..answers.citing import COMMON_PRACTICE, DECLARED, cite_row
from ..answers.place import ZoneState
from ..answers.rounding import figure, listed, rounded, rounded_if_any
from .refrigerants import burns, hazard_words, safety_class
from .zone import EDGE_TOLERANCE_M, Zone, holds, largest, surroundings_of, zone_of
from .zone_findings import danger_of

ROOM = "unit_clearances_2026"
SIDES = ("back", "left", "right", "front", "above")
#: Common practice, no source: an isolator further than this from the unit, or higher, is out of reach, m.
REACH_M, HIGHEST_REACH_M, LOWEST_REACH_M = 3.0, 1.9, 0.3
#: Common practice, no source: gravel below this depth does not freeze in most winters, mm.
FROST_DEPTH_MM = 600


def state_of(item: NearbyObject, zone: Zone | None, most: Zone | None) -> ZoneState:
    """Return where something stands: ``inside``, ``dealt_with``, ``outside``, ``above``, ``undecided``, ``harmless`` or ``not_known``.

    Parameters
    ----------
    item : NearbyObject
        One measure alone can decide that it is not inside.
    zone : Zone or None
        The zone as it is drawn; None for a refrigerant that does not burn.
    most : Zone or None
        The zone as large as it can be: only beyond this one something is not inside.

    Notes
    -----
    Only the maker's own corners say ``outside`` or ``above``; beyond a planning shape it is ``undecided``.
    """
    if danger_of(item.type) is None:
        return "harmless" if item.type is not None else "not_known"
    if zone is None or most is None:
        return "not_known"
    along, out, up = item.along_m, item.out_m, item.up_m
    if along is not None and out is not None and up is not None and zone.holds(along, out, up):
        return "dealt_with" if item.remedy in ("close_off", "move") and item.remedy_done else "inside"
    beyond: ZoneState
    if up is not None and zone.is_above(up):
        beyond = "above" if along is not None and out is not None and holds(zone.corners, along, out) else "outside"
    elif _is_beyond(most, along, out):
        beyond = "outside"
    else:
        return "not_known"
    return beyond if zone.is_makers else "undecided"


def _is_beyond(zone: Zone, along: float | None, out: float | None) -> bool:
    """Say whether a place is outside a zone whatever its other measures are."""
    if along is not None and out is not None:
        return not holds(zone.corners, along, out)
    alongs, outs = [x for x, _ in zone.corners], [y for _, y in zone.corners]
    if along is not None and not min(alongs) - EDGE_TOLERANCE_M <= along <= max(alongs) + EDGE_TOLERANCE_M:
        return True
    return out is not None and not min(outs) - EDGE_TOLERANCE_M <= out <= max(outs) + EDGE_TOLERANCE_M


def _clearances(position: OutdoorPosition, unit: Unit) -> tuple[Clearance, ...]:
    found = []
    for side in SIDES:
        has, declared = getattr(position, f"clear_{side}_mm"), getattr(unit, f"need_{side}_mm")
        needs = declared if declared is not None else table(ROOM).get(side=side).number("room_mm")
        found.append(Clearance(side, rounded_if_any(has, 0), rounded(needs, 0), declared is not None))
    return tuple(found)


def _shape_words(position: OutdoorPosition, zone: Zone | None) -> str:
    if zone is None:
        return "none: the refrigerant does not burn"
    if zone.is_makers:
        return "The maker's own shape, by its corners"
    around = surroundings_of(position)
    where = {"free": "standing free", "wall": "before a wall", "corner": "in a corner"}[around.kind]
    return f"Planning shape, not a maker's: {where}{f', second wall on the {around.side}' if around.side else ''}; reach {figure(position.effective('zone_reach_m'), 2)} m over open ground"


def assess_place(survey: Survey, position: OutdoorPosition) -> tuple[ZonePlan, list[Finding]]:
    """Return one place of a unit as a plan, and the findings on the room around it."""
    name = position.title
    stands = unit_at(survey, position)
    zone, missing = zone_of(position, stands) if burns(stands) else (None, [])
    most = None if zone is None else largest(position, stands, zone)
    objects = tuple(
        ZoneObject(
            id=item.id,
            type=item.type or "",
            words=item.name or (item.kind.field("type").choice_label(item.type) if item.type else item.kind.label),
            along_m=rounded_if_any(item.along_m, 2),
            out_m=rounded_if_any(item.out_m, 2),
            up_m=rounded_if_any(item.up_m, 2),
            state=state_of(item, zone, most),
        )
        for item in survey.children(NearbyObject, position.id)
    )
    unit = None
    wide, deep, behind = stands.width_mm, stands.depth_mm, position.clear_back_mm
    if wide is not None and deep is not None and behind is not None:
        half, back = wide / 2000, behind / 1000
        unit = (rounded(-half, 3), rounded(half, 3), rounded(back, 3), rounded(back + deep / 1000, 3))
    clearances = _clearances(position, stands)
    plan = ZonePlan(
        id=position.id,
        name=name,
        shape=_shape_words(position, zone),
        is_makers=zone is not None and zone.is_makers,
        corners=() if zone is None else tuple((rounded(x, 3), rounded(y, 3)) for x, y in zone.corners),
        top_m=None if zone is None or zone.top_m is None else rounded(zone.top_m, 2),
        unit=unit,
        objects=objects,
        clearances=clearances,
        missing=tuple(missing),
        source="" if zone is None else zone.source,
        safety_class=safety_class(stands),
        hazard=hazard_words(stands) if burns(stands) else "",
    )
    return plan, [
        *_room_findings(position, name, clearances),
        *_isolator_findings(survey, position, name, unit),
        *_condensate_findings(position, name),
    ]


def _room_findings(position: OutdoorPosition, name: str, clearances: tuple[Clearance, ...]) -> list[Finding]:
    tight = [item for item in clearances if item.has_mm is not None and item.has_mm < item.needs_mm - 0.5]
    if not tight:
        return []
    words = {"back": "behind", "left": "on the left", "right": "on the right", "front": "in front", "above": "above"}
    parts = [f"{figure(known(item.has_mm), 0)} of {figure(item.needs_mm, 0)} mm {words[item.side]}" for item in tight]
    declared = all(item.is_declared for item in tight)
    return [
        Finding(
            Severity.STOP if declared else Severity.CHECK,
            "too_little_room",
            position.key(),
            f"clear_{tight[0].side}_mm",
            f"{name}: too little room for air and hands: {listed(parts)}{' (as the maker asks)' if declared else ''}. The unit then draws its own cold air in again, gives less heat and gets louder.",
            "Move the unit, or what stands in its way; the maker's drawing governs.",
            DECLARED if declared else cite_row(table(ROOM).get(side=tight[0].side)),
        )
    ]


def _isolator_findings(
    survey: Survey, position: OutdoorPosition, name: str, unit: tuple[float, float, float, float] | None
) -> list[Finding]:
    isolators = [item for item in survey.children(NearbyObject, position.id) if item.type == "isolator"]
    if not isolators:
        # Asked for only once the unit is chosen: before that nobody can place it.
        if unit_at(survey, position).maximum_current_a is None:
            return []
        return [
            Finding(
                Severity.CHECK,
                "no_isolator_place",
                position.key(),
                None,
                f"{name}: no place for the local isolator is written down.",
                "Choose one within reach of the unit and outside its protective zone, and put it among the things nearby; the electrician confirms.",
                COMMON_PRACTICE,
            )
        ]
    findings = []
    for item in isolators:
        along, out, up = item.along_m, item.out_m, item.up_m
        if along is None or out is None or up is None or unit is None:
            continue
        left, right, back, front = unit
        away = hypot(max(left - along, 0, along - right), max(back - out, 0, out - front))
        if away > REACH_M + 1e-9 or not LOWEST_REACH_M - 1e-9 <= up <= HIGHEST_REACH_M + 1e-9:
            findings.append(
                Finding(
                    Severity.CHECK,
                    "isolator_out_of_reach",
                    item.key(),
                    "up_m" if away <= REACH_M else "along_m",
                    f"{item.name or 'The isolator'} at {name} is {figure(away, 1)} m from the unit and {figure(up, 1)} m up: whoever works on the unit cannot reach or see it.",
                    f"Within {figure(REACH_M, 0)} m and sight of the unit, {figure(LOWEST_REACH_M, 1)} to {figure(HIGHEST_REACH_M, 1)} m up, lockable, outside the protective zone; the electrician confirms.",
                    COMMON_PRACTICE,
                )
            )
    return findings


def _condensate_findings(position: OutdoorPosition, name: str) -> list[Finding]:
    findings = []
    depth = position.condensate_depth_mm
    if position.condensate_route in ("gravel", "soakaway") and depth is not None and depth < FROST_DEPTH_MM:
        findings.append(
            Finding(
                Severity.CHECK,
                "condensate_freezes",
                position.key(),
                "condensate_depth_mm",
                f"{name}: the condensate seeps away {figure(depth, 0)} mm down, where the ground freezes; then it backs up into the unit as ice.",
                f"Gravel down to {FROST_DEPTH_MM} mm or deeper, below the depth that freezes there; a unit drips up to 70 l in a day.",
                COMMON_PRACTICE,
            )
        )
    if position.condensate_crosses_path:
        findings.append(
            Finding(
                Severity.CHECK,
                "condensate_on_path",
                position.key(),
                "condensate_crosses_path",
                f"{name}: the condensate crosses a path; in winter it is a sheet of ice.",
                "Lead it away under the ground or to the other side.",
                COMMON_PRACTICE,
            )
        )
    if position.condensate_route == "gully" and position.condensate_is_heated is False:
        findings.append(
            Finding(
                Severity.CHECK,
                "condensate_pipe_bare",
                position.key(),
                "condensate_is_heated",
                f"{name}: the condensate is piped to a gully and the pipe is neither insulated nor heated.",
                "A short fall straight into gravel, or an insulated pipe with trace heating; a trap keeps leaked gas out of the drain.",
                COMMON_PRACTICE,
            )
        )
    return findings
