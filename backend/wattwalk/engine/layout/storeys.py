"""One storey held against the one below it: how far it stands out, and what of the lower one has neither a room nor a roof above it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import fsum

from wattwalk.survey.building import Surface
from wattwalk.survey.document import Survey
from wattwalk.survey.sides import LIES

from ..answers import Finding
from ..answers.plan import PlanRoom, PlanState, StoreyPlan
from ..answers.rounding import figure
from .reasons import metres, say
from .told import CLEAR, ORDER

#: How much longer a storey may be than the one below it, m: thinner walls above, and the measuring of every room across. Ours, no source.
STANDS_OUT_M = 0.8
#: How much less floor there may be above than below with no roof said over the rest: at least so many m², and this share. Ours, no source.
LEFT_OVER_M2, LEFT_OVER_SHARE = 4.0, 0.12
#: Of how much of the floor of a storey it must be said what is above, so that the rest is a statement and no gap.
SAID_SHARE = 0.9


def against_each_other(survey: Survey, storeys: Sequence[StoreyPlan]) -> Iterator[Finding]:
    """Give what cannot be of two storeys that lie on each other, where both plans are solved.

    Parameters
    ----------
    survey : Survey
        What lies above and below each room.
    storeys : sequence of StoreyPlan
        From the lowest up.
    """
    flat = [item for item in survey.of_kind(Surface) if _side(item) in ("floor", "ceiling")]
    by_name = {plan.storey: plan for plan in storeys if plan.state is PlanState.ONE}
    for below, above in pairwise(ORDER):
        if below in by_name and above in by_name:
            lower, upper = by_name[below], by_name[above]
            yield from _stands_out(lower, upper, flat)
            yield from _no_roof(lower, upper, flat)


def _stands_out(lower: StoreyPlan, upper: StoreyPlan, flat: Sequence[Surface]) -> Iterator[Finding]:
    rooms = {room.id for room in upper.rooms}
    if any(item.room in rooms and _side(item) == "floor" and item.other_side in CLEAR for item in flat):
        # It stands over a passage, a porch or a garage, and says so.
        return
    below, above = _spans(lower.rooms), _spans(upper.rooms)
    # How the two plans are turned to each other is not known, so that long side is held against long side.
    for name, ours, theirs in zip(("longer", "shorter"), above, below, strict=True):
        if ours > theirs + STANDS_OUT_M:
            yield say(
                "plan_storey_stands_out",
                f"room/{_largest(upper.rooms).id}",
                f"{upper.label}: it is {metres(ours)} along its {name} way, and the {lower.label.lower()} below it only {metres(theirs)}, so {metres(ours - theirs)} of it would stand out over nothing.",
                "Measure both storeys along that way, or say what is below the floor of the room that stands out.",
                about=f"{upper.storey}/{name}",
            )
            return


def _no_roof(lower: StoreyPlan, upper: StoreyPlan, flat: Sequence[Surface]) -> Iterator[Finding]:
    below, above = (fsum(_area(room) for room in plan.rooms) for plan in (lower, upper))
    areas = {room.id: _area(room) for room in (*lower.rooms, *upper.rooms)}
    # A ceiling may be told from below, from above, or from both.
    from_below: dict[str, list[float]] = {room.id: [] for room in lower.rooms}
    from_above: dict[str, list[float]] = {room.id: [] for room in lower.rooms}
    open_m2: list[float] = []
    for item in flat:
        side, room, other = _side(item), item.room or "", item.other_room or ""
        if side == "ceiling" and room in from_below:
            from_below[room].append(_size(item, areas[room]))
            if item.other_side != "room":
                open_m2.append(_size(item, areas[room]))
        elif side == "floor" and room in areas and other in from_above:
            from_above[other].append(_size(item, areas[room]))
    said = [min(areas[room], max(fsum(from_below[room]), fsum(from_above[room]))) for room in from_below]
    over = fsum(open_m2)
    left = below - above - over
    if fsum(said) >= SAID_SHARE * below and left > max(LEFT_OVER_M2, LEFT_OVER_SHARE * below):
        yield say(
            "plan_roof_not_said",
            f"room/{_largest(lower.rooms).id}",
            f"{lower.label}: its rooms have {_m2(below)} of floor, those of the {upper.label.lower()} above {_m2(above)}, and a roof or a loft is said over {_m2(over)} of it. Nothing lies over the other {_m2(left)}.",
            "Say which rooms have a roof or a loft above them, or look for a room above that was left out.",
            about=lower.storey,
        )


def _side(item: Surface) -> str | None:
    """Return whether something lies above or below; a roof is above whichever way it slopes."""
    return "ceiling" if item.element == "roof" else item.side or LIES.get(item.element or "")


def _size(item: Surface, whole_m2: float) -> float:
    """Return how much of a floor or ceiling is told, m²: all of it where no size is said."""
    if item.area_m2 is not None:
        return item.area_m2
    return item.width_m * item.height_m if item.width_m is not None and item.height_m is not None else whole_m2


def _m2(value: float) -> str:
    return f"{figure(value, 1)} m²"


def _spans(rooms: Sequence[PlanRoom]) -> tuple[float, float]:
    """Return how far the boxes of a storey's rooms go, the longer way and the shorter, m; bays reach out of them."""
    across = max(room.x_m + room.width_m for room in rooms) - min(room.x_m for room in rooms)
    down = max(room.y_m + room.height_m for room in rooms) - min(room.y_m for room in rooms)
    return max(across, down), min(across, down)


def _area(room: PlanRoom) -> float:
    """Return the floor of a room by its outline, m²."""
    corners = zip(room.outline, [*room.outline[1:], room.outline[0]], strict=True)
    return abs(fsum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in corners)) / 2


def _largest(rooms: Sequence[PlanRoom]) -> PlanRoom:
    return max(rooms, key=_area)
