"""The findings on a ground floor: what lies below it, and how deep it lies."""

from __future__ import annotations

from wattwalk.survey.building import Surface
from wattwalk.survey.constructions import LOOK, Construction

from ..answers import Finding, Severity
from ..answers.citing import EN_ISO_13370_BASEMENT, EN_ISO_13370_SUSPENDED
from .by_look import BELOW_OF_LOOK
from .envelope import title_of


def contradicts_look(surface: Surface, construction: Construction) -> str | None:
    """Say how a floor's look tells of something else below it than its surface does, or return None."""
    if surface.below is None or construction.known_by != LOOK:
        return None
    if BELOW_OF_LOOK.get(construction.look or "", surface.below) == surface.below:
        return None
    said = surface.kind.field("below").choice_label(surface.below).lower()
    look = construction.kind.field("look").choice_label(construction.look).lower()
    return f"{said} is said to lie below it, but {construction.name or 'its construction'} is known as '{look}'"


def floor_findings(surface: Surface, construction: Construction, room: str, storey: str | None) -> list[Finding]:
    """Return the findings on a ground floor that was worked out.

    Parameters
    ----------
    surface, construction
        The floor and what it is made of.
    room : str
        The room's name.
    storey : str or None
        The room's storey.
    """
    found = []
    if storey == "basement" and not construction.depth_m:
        found.append(
            Finding(
                Severity.NOTE,
                "basement_without_depth",
                construction.key(),
                "depth_m",
                f"{title_of(surface)} of {room} lies in a basement, but is worked out as a floor at ground level, which loses more.",
                "Write down how deep the floor lies below the ground outside.",
                EN_ISO_13370_BASEMENT,
            )
        )
    if surface.below is None and construction.known_by != LOOK:
        found.append(
            Finding(
                Severity.CHECK,
                "floor_below_not_said",
                surface.key(),
                "below",
                f"{title_of(surface)} of {room}: what lies below it is not said. It is counted as a slab on the ground; over a void it loses more.",
                "Look for air bricks outside, and say what lies below the floor.",
                EN_ISO_13370_SUSPENDED,
            )
        )
    return found
