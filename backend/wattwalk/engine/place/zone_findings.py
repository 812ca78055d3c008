"""The place of the outdoor unit: what lies inside the protective zone of a unit with a flammable refrigerant."""

from __future__ import annotations

from dataclasses import dataclass

from wattwalk.survey.document import Survey
from wattwalk.survey.site import NearbyObject, OutdoorPosition

from ..answers import Finding, Severity
from ..answers.citing import COMMON_PRACTICE, PROPANE
from ..answers.rounding import figure
from .zone import EDGE_TOLERANCE_M, Corner, holds, shape_of

#: What must not lie inside the zone, and what it is there: a way for gas into the house, a place where it gathers, or a spark.
OPENINGS = ("air_brick", "window", "door", "light_well", "cellar_hatch")
HOLLOWS = ("drain", "gully", "pit")
SPARKS = ("socket", "switch", "isolator", "charging_point", "flue")

_WHY = {
    "opening": "leaked propane could flow through it into the house",
    "hollow": "leaked propane could gather in it",
    "spark": "it could set light to leaked propane",
    "boundary": "the zone must not reach over the neighbour's land or a public way",
}


@dataclass(frozen=True)
class Zone:
    """The protective zone on the ground: half its width along the wall and how far out it reaches, m, or its ``corners``.

    ``corners`` is None for the rectangle, and empty when the maker's shape cannot be told.
    """

    half_along_m: float
    out_m: float
    top_m: float | None
    corners: tuple[Corner, ...] | None = None
    source: str = PROPANE

    @property
    def is_known(self) -> bool:
        """Say whether the zone has a shape."""
        return self.corners is None or bool(self.corners)

    def outline(self) -> tuple[Corner, ...]:
        """Return the corners of the zone, m along and out; the wall bounds the rectangle."""
        if self.corners is not None:
            return self.corners
        return ((-self.half_along_m, 0.0), (self.half_along_m, 0.0), (self.half_along_m, self.out_m), (-self.half_along_m, self.out_m))

    def holds(self, along_m: float, out_m: float, up_m: float) -> bool:
        """Say whether a point lies in the zone; it runs from the unit's top down to the ground and below."""
        if self.top_m is not None and up_m > self.top_m + EDGE_TOLERANCE_M:
            return False
        if self.corners is not None:
            return holds(self.corners, along_m, out_m)
        return abs(along_m) <= self.half_along_m + EDGE_TOLERANCE_M and out_m <= self.out_m + EDGE_TOLERANCE_M


def zone_of(position: OutdoorPosition) -> tuple[Zone, list[str]]:
    """Return the zone of a position and the measures that are missing for its full size (taken as nothing)."""
    missing = [
        position.kind.field(name).label.lower() for name in ("unit_width_mm", "unit_depth_mm", "clear_back_mm") if getattr(position, name) is None
    ]
    half = (position.unit_width_mm or 0.0) / 2000 + position.effective("zone_side_m")
    out = ((position.clear_back_mm or 0.0) + (position.unit_depth_mm or 0.0)) / 1000 + position.effective("zone_front_m")
    top = None if position.unit_height_mm is None else position.unit_height_mm / 1000
    corners, source, more = shape_of(position)
    return Zone(half, out, top, corners, source or PROPANE), missing + more


def danger_of(kind: str | None) -> str | None:
    """Return what a kind of thing is in the zone: ``opening``, ``hollow``, ``spark``, ``boundary``, or None when it may lie there."""
    if kind in OPENINGS:
        return "opening"
    if kind in HOLLOWS:
        return "hollow"
    if kind in SPARKS:
        return "spark"
    return "boundary" if kind == "boundary" else None


def position_findings(survey: Survey, position: OutdoorPosition) -> list[Finding]:
    """Return what is to be said about one place for the unit."""
    name = position.name or position.kind.title_of(position.values())
    findings = []
    if position.condensate_route == "none":
        findings.append(
            Finding(
                Severity.CHECK, "no_condensate_route", position.key(), "condensate_route", f"{name}: the condensate has nowhere to go yet.",
                "Agree on a gravel pit below the frost line, or a trapped gully outside the protective zone; never across a path, where it freezes.", COMMON_PRACTICE,
            )
        )
    if position.effective("refrigerant") != "r290":
        findings.append(
            Finding(
                Severity.NOTE, "zone_not_checked", position.key(), "refrigerant", f"{name}: the protective zone is worked out for R290 only.",
                "Follow the unit maker's siting drawing.", COMMON_PRACTICE,
            )
        )
        return findings
    zone, missing = zone_of(position)
    if not zone.is_known:
        findings.append(
            Finding(
                Severity.CHECK, "zone_not_known", position.key(), "zone_corners", f"{name}: the maker's zone needs {', '.join(missing)}; until then nothing near it can be judged.",
                "Enter its corners in order from the maker's drawing, or choose a usual shape.", COMMON_PRACTICE,
            )
        )
        return findings
    if missing:
        findings.append(
            Finding(
                Severity.CHECK, "zone_incomplete", position.key(), "unit_width_mm", f"{name}: {', '.join(missing)} not known, so the protective zone is drawn too small.",
                "Fill them in from the maker's drawing; things just outside may turn out to be inside.", COMMON_PRACTICE,
            )
        )
    for item in survey.children("nearby_object", position.id):
        found = _object_finding(item, name, zone)
        if found is not None:
            findings.append(found)
    return findings


def _object_finding(item: NearbyObject, place: str, zone: Zone) -> Finding | None:
    danger = danger_of(item.type)
    if danger is None or None in (item.along_m, item.out_m, item.up_m) or not zone.holds(item.along_m, item.out_m, item.up_m):
        return None
    if item.remedy in ("close_off", "move") and item.remedy_done:
        return None
    label = item.name or item.kind.field("type").choice_label(item.type)
    side = "right" if item.along_m > 0 else "left"
    where = f"{figure(abs(item.along_m))} m to the {side}, {figure(item.out_m)} m out and {figure(item.up_m)} m up"
    message = (
        f"{label} at {place} lies inside the protective zone ({where}): {_WHY[danger]}. "
        "Propane (R290) is about one and a half times as heavy as air, sinks and spreads, and burns from 2.1 % by volume."
    )
    if item.remedy == "other":
        return Finding(Severity.CHECK, "in_zone_other_remedy", item.key(), "remedy", message, "A competent person judges the remedy in the notes against the unit maker's drawing.", PROPANE)
    remedies = {"close_off": "Close it off, see that it is done, and take a photo.", "move": "Move it out of the zone, see that it is done, and take a photo."}
    remedy = remedies.get(item.remedy or "", "Close it off or move it, or move the unit; an air brick that is closed off needs another one elsewhere. The unit maker's drawing governs.")
    return Finding(Severity.STOP, "in_protective_zone", item.key(), "remedy_done" if item.remedy in remedies else "remedy", message, remedy, PROPANE)
