"""The protective zone as a polygon: the maker's own corners, or a planning shape by a rule of this program's own.

The planning shape stands in until the maker's drawing is there.  It is nobody's drawing: every side follows from one reach over
open ground, from the casing.

- Leaked propane is heavier than air and lies on the ground.  Over open ground it spreads to every side alike: the reach.
- A wall behind the unit gives back what would have gone through it, as though a second unit stood mirrored behind it.  The same
  floor area then lies on one side only: the square root of two of the reach, away from the wall.
- Along a wall gas has one way to go and no width to thin out in: twice the amount goes twice as far, two reaches.
- In a corner it runs along both walls, so two reaches along each; the far corner between them counts too.

The outline is the plain rectangle around all of it, so that it can be measured with a tape and holds more than the rounded shape.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import fsum, sqrt
from typing import Any, TypeVar

from wattwalk.survey.kinds import Record
from wattwalk.survey.site import NearbyObject, OutdoorPosition
from wattwalk.survey.standing import missing_of
from wattwalk.survey.unit import Unit

from ..answers.citing import DECLARED, PLANNING_ZONE

#: How many reaches the planning shape goes along a wall, and away from one.
ALONG_WALL, OFF_WALL = 2.0, sqrt(2.0)
EDGE_TOLERANCE_M = 1e-9
#: A polygon smaller than this is a line, m².
SMALLEST_M2 = 1e-6

_R = TypeVar("_R", bound=Record)

#: Of a unit, what the planning shape is drawn around.
UNIT_SIZES = ("width_mm", "depth_mm")

Corner = tuple[float, float]


def area_m2(corners: Sequence[Corner]) -> float:
    """Return the area inside a polygon, m².

    Parameters
    ----------
    corners : sequence of (float, float)
        Corners in turn, m.

    References
    ----------
    The surveyor's formula: half the sum of cross products.

    Examples
    --------
    >>> area_m2([(0.0, 0.0), (3.0, 0.0), (3.0, 2.0), (0.0, 2.0)])
    6.0
    """
    return abs(fsum(corners[place - 1][0] * y - x * corners[place - 1][1] for place, (x, y) in enumerate(corners))) / 2


def holds(corners: Sequence[Corner], along_m: float, out_m: float) -> bool:
    """Say whether a point lies in a polygon; its edges belong to it.

    Parameters
    ----------
    corners : sequence of (float, float)
        Corners in turn, m.
    along_m, out_m : float
        The point, m.

    Examples
    --------
    >>> holds([(0.0, 0.0), (3.0, 0.0), (3.0, 2.0), (0.0, 2.0)], 1.0, 2.5)
    False
    """
    inside = False
    for place, (x2, y2) in enumerate(corners):
        x1, y1 = corners[place - 1]
        across = (x2 - x1) * (out_m - y1) - (y2 - y1) * (along_m - x1)
        length = max(abs(x2 - x1), abs(y2 - y1), EDGE_TOLERANCE_M)
        within = (
            min(x1, x2) - EDGE_TOLERANCE_M <= along_m <= max(x1, x2) + EDGE_TOLERANCE_M
            and min(y1, y2) - EDGE_TOLERANCE_M <= out_m <= max(y1, y2) + EDGE_TOLERANCE_M
        )
        if within and abs(across) <= EDGE_TOLERANCE_M * length:
            return True
        if (y1 > out_m) != (y2 > out_m) and along_m < x1 + (out_m - y1) * (x2 - x1) / (y2 - y1):
            inside = not inside
    return inside


@dataclass(frozen=True)
class Surroundings:
    """What holds gas around a unit: ``kind`` is ``free``, ``wall`` or ``corner``; ``side`` is where a second wall stands, ``left``, ``right`` or not known."""

    kind: str
    side: str | None
    missing: tuple[str, ...]


def surroundings_of(position: OutdoorPosition) -> Surroundings:
    """Return what stands around a unit by all that is said of it; where two answers differ the stricter holds, and so it does where none is given."""
    shape = position.effective("zone_shape")
    if shape in ("corner_left", "corner_right"):
        return Surroundings("corner", shape.removeprefix("corner_"), ())
    if position.reflecting_surfaces == "three":
        return Surroundings("corner", None, ("on which side the second wall stands",))
    has_wall = position.wall_faced not in (None, "free") or position.reflecting_surfaces == "two" or shape == "wall"
    if not has_wall and (position.wall_faced == "free" or shape == "free"):
        return Surroundings("free", None, ())
    return Surroundings("wall", None, () if has_wall else (position.kind.field("wall_faced").label.lower(),))


def planning_shape(position: OutdoorPosition, unit: Unit) -> tuple[tuple[Corner, ...], list[str]]:
    """Return the corners of the planning shape, m along and out, and what is missing for it (a missing size is taken as nothing).

    Notes
    -----
    With the reach r from the casing: standing free r to every side; before a wall 2 r along it and r·√2 to the front; in a corner
    2 r along both walls, cut off where the second one stands.  Distances that are typed widen it and never narrow it.
    """
    around = surroundings_of(position)
    reach = position.effective("zone_reach_m")
    half, back = (unit.width_mm or 0.0) / 2000, (position.clear_back_mm or 0.0) / 1000
    front = back + (unit.depth_mm or 0.0) / 1000
    along, ahead = {"free": (1.0, 1.0), "wall": (ALONG_WALL, OFF_WALL), "corner": (ALONG_WALL, ALONG_WALL)}[around.kind]
    side = half + max(along * reach, position.zone_side_m or 0.0)
    left, right = -side, side
    missing = list(around.missing)
    if around.side is not None:
        name = f"clear_{around.side}_mm"
        clear = getattr(position, name)
        if clear is None:
            missing.append(position.kind.field(name).label.lower())
        elif around.side == "left":
            left = max(left, -half - clear / 1000)
        else:
            right = min(right, half + clear / 1000)
    near = back - reach if around.kind == "free" else 0.0
    far = front + max(ahead * reach, position.zone_front_m or 0.0)
    return ((left, min(near, 0.0)), (right, min(near, 0.0)), (right, far), (left, far)), missing


def makers_shape(unit: Unit) -> tuple[Corner, ...]:
    """Return the corners typed from the maker's drawing; none when they make no area."""
    rows = unit.zone_corners or []
    corners = tuple(
        (along, out)
        for row in rows
        if (along := row.get("along_m")) is not None and (out := row.get("out_m")) is not None
    )
    if len(rows) < 3 or len(corners) < len(rows) or area_m2(corners) < SMALLEST_M2:
        return ()
    return corners


def has_makers_drawing(unit: Unit) -> bool:
    """Say whether the zone is to be drawn by the corners of the maker's drawing."""
    return bool(unit.effective("zone_drawing") == "corners")


@dataclass(frozen=True)
class Zone:
    """The protective zone on the ground by its ``corners``, m along and out; ``is_makers`` when they are those of the maker's drawing."""

    corners: tuple[Corner, ...]
    top_m: float | None
    is_makers: bool
    source: str

    def holds(self, along_m: float, out_m: float, up_m: float) -> bool:
        """Say whether a point lies in the zone; it runs from the unit's top down to the ground and below."""
        if self.is_above(up_m):
            return False
        return holds(self.corners, along_m, out_m)

    def has_inside(self, item: NearbyObject) -> bool | None:
        """Say whether something near lies in the zone, or None while it is not known where it is."""
        if item.along_m is None or item.out_m is None or item.up_m is None:
            return None
        return self.holds(item.along_m, item.out_m, item.up_m)

    def is_above(self, up_m: float) -> bool:
        """Say whether a height is over the unit's top; nothing is while that is not known."""
        return self.top_m is not None and up_m > self.top_m + EDGE_TOLERANCE_M


def zone_of(position: OutdoorPosition, unit: Unit) -> tuple[Zone, list[str]]:
    """Return the zone of a unit at a place and what is missing for its full size."""
    top = None if unit.height_mm is None else unit.height_mm / 1000
    if has_makers_drawing(unit):
        corners = makers_shape(unit)
        if corners:
            return Zone(corners, top, True, DECLARED), []
    corners, more = planning_shape(position, unit)
    missing = missing_of(unit, *UNIT_SIZES)
    if position.clear_back_mm is None:
        missing.append(position.kind.field("clear_back_mm").label.lower())
    return Zone(corners, top, False, PLANNING_ZONE), missing + more


def _at_most(record: _R, *names: str) -> _R:
    """Return a record with these measures at their largest where they are missing."""
    ends: dict[str, Any] = {name: record.kind.field(name).high for name in names if getattr(record, name) is None}
    return replace(record, **ends) if ends else record


def largest(position: OutdoorPosition, unit: Unit, zone: Zone) -> Zone:
    """Return the zone with every missing measure at its largest: what lies beyond this one lies beyond it whatever they turn out to be."""
    if zone.is_makers:
        return zone
    ends = planning_shape(_at_most(position, "clear_back_mm"), _at_most(unit, *UNIT_SIZES))[0]
    (left, near), (_, _), (right, far), _ = ends
    (small_left, small_near), (small_right, _), *_ = zone.corners
    left, near, right = min(left, small_left), min(near, small_near), max(right, small_right)
    return Zone(((left, near), (right, near), (right, far), (left, far)), zone.top_m, False, zone.source)
