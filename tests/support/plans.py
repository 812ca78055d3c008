"""Houses drawn as plans: rectangles on each storey, from which every wall, floor and ceiling follows as it lies.

A plan closes by itself: what touches another room is a partition to it, what touches nothing faces outside, and what lies over a room
is the floor of the one above.  So a house made of a plan is sound, and what a check says of it is a false alarm.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

Document = dict[str, Any]
Fields = dict[str, Any]

STOREYS = ("basement", "ground", "first", "second", "loft")
#: Windows of a room as a share of its floor, in its first outside wall and in every other.
GLASS_SHARE, MORE_GLASS_SHARE = 0.17, 0.07
NEIGHBOUR, OUTSIDE, UNHEATED = "neighbour", "outside", "unheated"


@dataclass(frozen=True)
class Box:
    """A room or an unheated space as a rectangle: left, front, along the street and away from it, m."""

    name: str
    use: str
    x: float
    y: float
    along: float
    deep: float
    more: Mapping[str, Any] = field(default_factory=dict)

    @property
    def area_m2(self) -> float:
        return self.along * self.deep

    def over(self, other: Box) -> float:
        """Return the area in m² on which two rectangles lie over each other."""
        x = min(self.x + self.along, other.x + other.along) - max(self.x, other.x)
        y = min(self.y + self.deep, other.y + other.deep) - max(self.y, other.y)
        return max(0.0, x) * max(0.0, y)


@dataclass(frozen=True)
class Plan:
    """A house: rooms by storey, heights, unheated spaces by storey, and sides of the whole that a neighbour stands at."""

    name: str
    heights: Mapping[str, float]
    rooms: Mapping[str, Sequence[Box]]
    unheated: Mapping[str, Sequence[Box]] = field(default_factory=dict)
    neighbours: Sequence[str] = ()
    flat_between: Sequence[str] = ()
    survey: Mapping[str, Any] = field(default_factory=dict)
    constructions: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    #: What a plan of storeys does not show, by the wall that it would make: a wall above a lower part of the next room.
    instead: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)


def room(name: str, use: str, x: float, y: float, along: float, deep: float, **more: Any) -> Box:
    """Return a room of a plan."""
    return Box(name, use, x, y, along, deep, more)


USUAL: dict[str, Fields] = {
    "wall": {"element": "wall", "known_by": "look", "look": "wall_cavity_filled"},
    "party": {"element": "wall", "known_by": "look", "look": "party_brick"},
    "inner": {"element": "partition", "known_by": "look", "look": "partition_brick"},
    "window": {"element": "window", "known_by": "look", "look": "window_double_new"},
    "door": {"element": "door", "known_by": "look", "look": "door_solid"},
    "ground": {"element": "ground_floor", "known_by": "look", "look": "floor_solid"},
    "between": {"element": "floor", "known_by": "look", "look": "floor_between"},
    "over-air": {"element": "floor", "known_by": "look", "look": "floor_exposed"},
    "top": {"element": "ceiling", "known_by": "look", "look": "roof_loft", "insulation_mm": 150},
    "slope": {"element": "roof", "known_by": "look", "look": "roof_rafters", "insulation_mm": 100},
}


def _r(value: float) -> float:
    return round(value, 2)


class Drawn:
    """Turns a plan into a survey document."""

    def __init__(self, plan: Plan):
        self.plan = plan
        self.surfaces: list[Fields] = []
        self.edge_m = 0.0
        self.lit: set[str] = set()

    def document(self) -> Document:
        """Return the house as a document."""
        plan = self.plan
        rooms, emitters = [], []
        for storey in STOREYS:
            for box in plan.rooms.get(storey, ()):
                height = box.more.get("height_m", plan.heights.get(storey))
                record = {
                    "id": box.name,
                    "name": box.name.replace("-", " ").capitalize(),
                    "storey": storey,
                    "use": box.use,
                    "length_m": box.along,
                    "width_m": box.deep,
                    "height_m": height,
                    **box.more,
                }
                rooms.append(record)
                self._walls(storey, box)
                self._floor(storey, box)
                self._ceiling(storey, box)
                emitters.append(
                    {
                        "id": f"{box.name}-panel",
                        "room": box.name,
                        "type": "panel_22",
                        "height_mm": 600,
                        "length_mm": min(2000, max(400, 100 * round(box.area_m2))),
                    }
                )
        self.surfaces = [
            item | dict(plan.instead.get(item["id"], {}))
            for item in self.surfaces
            if item.get("opening_in") not in plan.instead
        ]
        lowest = plan.rooms.get("ground", ()) or plan.rooms.get("first", ())
        footprint = sum(box.area_m2 for box in lowest)
        record = {
            "id": "survey",
            "household_name": "Test household",
            "postcode": "LS40 0VK",
            "visit_date": "2026-03-12",
            "age_band": "C",
            "bedrooms": 3,
            "occupants": 3,
            "outside_design_temperature_c": -3,
            **(
                {}
                if plan.flat_between
                else {"ground_floor_area_m2": round(footprint, 1), "exposed_perimeter_m": round(self.edge_m, 1)}
            ),
            **plan.survey,
        }
        constructions = {name: fields | dict(plan.constructions.get(name, {})) for name, fields in USUAL.items()}
        return {
            "format": "wattwalk-survey",
            "version": 3,
            "id": plan.name,
            "records": {
                "survey": [record],
                "construction": [
                    {"id": name, "name": name.capitalize(), **fields} for name, fields in constructions.items()
                ],
                "room": rooms,
                "surface": self.surfaces,
                "emitter": emitters,
            },
        }

    def _add(self, box: Box, name: str, **fields: Any) -> str:
        found = f"{box.name}-{name}"
        self.surfaces.append({"id": found, "room": box.name, **fields})
        return found

    def _walls(self, storey: str, box: Box) -> None:
        others = [other for other in self.plan.rooms.get(storey, ()) if other is not box]
        cold = self.plan.unheated.get(storey, ())
        everything = [*self.plan.rooms.get(storey, ()), *cold]
        left, right = min(item.x for item in everything), max(item.x + item.along for item in everything)
        for side in ("front", "right", "back", "left"):
            length = box.along if side in ("front", "back") else box.deep
            taken = 0.0
            for other in (*others, *cold):
                touch = _touch(box, other, side)
                if touch <= 0.01:
                    continue
                taken += touch
                size = {} if abs(touch - length) < 0.005 else {"width_m": _r(touch)}
                if other in cold:
                    self._add(
                        box,
                        f"{side}-{other.name}",
                        element="wall",
                        side=side,
                        construction="wall",
                        other_side=UNHEATED,
                        unheated_space="two_outside_walls_door",
                        **size,
                    )
                    self.edge_m += touch if storey == "ground" else 0.0
                elif box.name < other.name:
                    # One record for both: told from the first of them.
                    self._add(
                        box,
                        f"{side}-{other.name}",
                        element="partition",
                        side=side,
                        construction="inner",
                        other_side="room",
                        other_room=other.name,
                        **size,
                    )
            rest = length - taken
            if rest <= 0.01:
                continue
            size = {} if taken <= 0.01 else {"width_m": _r(rest)}
            at_edge = (side == "left" and abs(box.x - left) < 0.005) or (
                side == "right" and abs(box.x + box.along - right) < 0.005
            )
            if storey == "basement":
                self._add(
                    box,
                    f"{side}-deep",
                    element="wall",
                    side=side,
                    construction="wall",
                    other_side="ground",
                    depth_below_ground_m=2.0,
                    **size,
                )
            elif at_edge and side in self.plan.neighbours:
                self._add(
                    box, f"{side}-party", element="wall", side=side, construction="party", other_side=NEIGHBOUR, **size
                )
            else:
                wall = self._add(
                    box, f"{side}-out", element="wall", side=side, construction="wall", other_side=OUTSIDE, **size
                )
                self.edge_m += rest if storey == "ground" else 0.0
                self._window(box, wall, rest, self.plan.heights.get(storey, 2.4))

    def _window(self, box: Box, wall: str, length_m: float, height_m: float) -> None:
        """Add a window to an outside wall that is long enough for one."""
        if length_m < 0.9 or box.use == "store":
            return
        share = MORE_GLASS_SHARE if box.name in self.lit else GLASS_SHARE
        self.lit.add(box.name)
        height = min(1.4, height_m - 1.0)
        width = max(0.4, min(length_m - 0.4, share * box.area_m2 / height))
        self._add(
            box,
            f"{wall.removeprefix(box.name + '-')}-pane",
            element="window",
            construction="window",
            opening_in=wall,
            width_m=_r(width),
            height_m=_r(height),
        )

    def _below(self, storey: str) -> str | None:
        place = STOREYS.index(storey)
        return next((name for name in reversed(STOREYS[:place]) if self.plan.rooms.get(name)), None)

    def _above(self, storey: str) -> str | None:
        place = STOREYS.index(storey)
        return next((name for name in STOREYS[place + 1 :] if self.plan.rooms.get(name)), None)

    def _floor(self, storey: str, box: Box) -> None:
        if storey in self.plan.flat_between:
            self._add(box, "floor", element="floor", side="floor", construction="between", other_side=NEIGHBOUR)
            return
        below = self._below(storey)
        left = box.area_m2
        for other in self.plan.rooms.get(below or "", ()):
            # What lies between two rooms is told as the floor of the upper one.
            over = box.over(other)
            if over > 0.01:
                left -= over
                size = {} if abs(over - box.area_m2) < 0.01 else {"area_m2": _r(over)}
                self._add(
                    box,
                    f"floor-{other.name}",
                    element="floor",
                    side="floor",
                    construction="between",
                    other_side="room",
                    other_room=other.name,
                    **size,
                )
        for space in self.plan.unheated.get(below or "", ()):
            over = box.over(space)
            if over > 0.01:
                left -= over
                self._add(
                    box,
                    f"floor-{space.name}",
                    element="floor",
                    side="floor",
                    construction="between",
                    other_side=UNHEATED,
                    unheated_space="two_outside_walls_door",
                    area_m2=_r(over),
                )
        if left <= 0.05:
            return
        size = {} if abs(left - box.area_m2) < 0.01 else {"area_m2": _r(left)}
        if storey in ("basement", "ground"):
            self._add(
                box, "floor", element="ground_floor", side="floor", construction="ground", other_side="ground", **size
            )
        else:
            self._add(box, "floor", element="floor", side="floor", construction="over-air", other_side=OUTSIDE, **size)

    def _ceiling(self, storey: str, box: Box) -> None:
        if storey in self.plan.flat_between:
            self._add(box, "top", element="ceiling", side="ceiling", construction="between", other_side=NEIGHBOUR)
            return
        above = self.plan.rooms.get(self._above(storey) or "", ())
        left = box.area_m2 - sum(box.over(other) for other in above)
        if left <= 0.05:
            return
        size = {} if abs(left - box.area_m2) < 0.01 else {"area_m2": _r(left)}
        if storey == "loft":
            self._add(
                box,
                "top",
                element="roof",
                side="ceiling",
                construction="slope",
                other_side=OUTSIDE,
                area_m2=_r(1.3 * left),
            )
        else:
            self._add(
                box,
                "top",
                element="ceiling",
                side="ceiling",
                construction="top",
                other_side=UNHEATED,
                unheated_space="loft_felted",
                **size,
            )


def _touch(box: Box, other: Box, side: str) -> float:
    """Return along how many metres of one side another rectangle touches."""
    if side in ("front", "back"):
        at = box.y if side == "front" else box.y + box.deep
        meets = other.y + other.deep if side == "front" else other.y
        reach = min(box.x + box.along, other.x + other.along) - max(box.x, other.x)
    else:
        at = box.x if side == "left" else box.x + box.along
        meets = other.x + other.along if side == "left" else other.x
        reach = min(box.y + box.deep, other.y + other.deep) - max(box.y, other.y)
    return reach if abs(at - meets) < 0.005 else 0.0


def drawn(plan: Plan) -> Document:
    """Return the survey document of a plan."""
    return Drawn(plan).document()
