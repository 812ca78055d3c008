"""How large a room is inside: its floor and its volume, with the sums behind those of a room that is no plain box."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from wattwalk.survey.box import FOLLOWS
from wattwalk.survey.building import WALL_SIDES, Room
from wattwalk.survey.known import known
from wattwalk.survey.shape import (
    BAY,
    BESIDE,
    CORNER,
    OPEN_TROUBLES,
    RECTANGLE,
    WALLS,
    Part,
    Shape,
    Slope,
    cut_off,
    shape_of,
)

from ..answers import Finding, Severity, Step
from ..answers.citing import COMMON_PRACTICE, SURVEYOR, cite
from ..answers.rounding import AREA, figure, rounded

SIDE_LABELS = dict(WALL_SIDES)
GEOMETRY = cite("geometry", "", "published")

#: Why a shape does not give its figures: the field to look at, what is wrong, what to do.
TROUBLES = {
    "part_size": ("floor_parts", "a part of its floor has no size", "Say how long and how deep the part is."),
    "part_where": (
        "floor_parts",
        "it is not said where a part of its floor lies",
        "A rectangle or a bay lies at a side, a missing corner at a corner.",
    ),
    "corner_too_large": (
        "floor_parts",
        "the missing corner is as long or as wide as the room",
        "The box is the longest length and width; the corner is what is missing from it.",
    ),
    "part_too_wide": (
        "floor_parts",
        "a part of its floor is wider than the side it lies at",
        "Measure the part along that side again, or the room.",
    ),
    "corners_overlap": ("floor_parts", "two missing corners lie on each other", "Measure the corners again."),
    "slope_part_missing": (
        "slopes",
        "a slope lacks the wall below it, or how far it reaches into the room",
        "Say the height of the low wall, and how far the slope reaches in or its length upwards.",
    ),
    "slope_twice": ("slopes", "two slopes lie over the same wall", "Keep one of them."),
    "low_too_high": (
        "slopes",
        "the low wall under a slope is higher than the room",
        "The room's height is where it is highest.",
    ),
    "slope_too_short": (
        "slopes",
        "a slope is shorter than it rises",
        "Measure the slope along the plaster, from the low wall to where it ends.",
    ),
    "slopes_too_far": (
        "slopes",
        "its slopes reach farther than the room is wide",
        "The slopes and the flat part between them are together the room's width. Measure how far they reach, on the floor.",
    ),
    "slopes_and_parts": (
        "volume_m3",
        "it has slopes and a floor that is no plain rectangle, and how they meet is not known",
        "Say its volume, and the sizes of its walls and ceilings one by one; or enter it as two rooms with nothing between them.",
    ),
    "slopes_and_area": (
        "volume_m3",
        "it has slopes and a floor known only by its area, and how they meet is not known",
        "Say its length and width in place of the area; or its volume, and the sizes of its walls and ceilings one by one.",
    ),
}


@dataclass(frozen=True)
class RoomSize:
    """A room's floor in m² and volume in m³, None while they are not known, with the steps of the sum, what is missing and the findings."""

    floor_m2: float | None
    volume_m3: float | None
    missing: tuple[str, ...] = ()
    steps: tuple[Step, ...] = ()
    findings: tuple[Finding, ...] = ()
    shape: Shape | None = None


def size_of_room(room: Room) -> RoomSize:
    """Return how large a room is.

    Parameters
    ----------
    room : Room
        As it was said; what is not known is None.

    Notes
    -----
    The volume that somebody said wins. A plain box is length × width × height; parts of the floor add to it or are missing from it, at the full height;
    under a slope the prism is missing that lies between it and the full height (``wattwalk.survey.shape``).
    A shape that does not fit, or does not settle the volume, gives none: a finding says why and what to do.
    """
    own, height = room.volume_m3, room.height_m
    shape = shape_of(room.values()) if room.floor_parts or room.slopes else None
    if shape is None:
        area = room.floor_area_m2
        if area is None and room.length_m is not None and room.width_m is not None:
            area = room.length_m * room.width_m
        volume = area * height if area is not None and height is not None else None
        steps: tuple[Step, ...] = ()
    else:
        area, volume = shape.floor_m2, shape.volume_m3
        steps = _steps(room.values(), shape)
    missing = []
    if area is None and (shape is None or not shape.troubles):
        missing.append("length and width of the room, or its floor area")
    if height is None:
        missing.append("height of the room")
    findings = tuple(
        _finding(room, trouble)
        for trouble in (shape.troubles if shape else ())
        if own is None or trouble not in OPEN_TROUBLES
    )
    missing += [finding.message.rstrip(".") for finding in findings]
    if own is not None:
        said = Step("Volume", "as said", figure(own), rounded(own, AREA), "m³", SURVEYOR)
        volume, steps = own, (*(step for step in steps if step.unit != "m³"), said)
    return RoomSize(area, volume, tuple(missing), steps, findings, shape)


def _finding(room: Room, trouble: str) -> Finding:
    field, words, remedy = TROUBLES[trouble]
    message = f"The volume of {room.title} is not known: {words}."
    return Finding(
        Severity.CHECK, "room_shape_not_known", room.key(), field, message, remedy, COMMON_PRACTICE, about=trouble
    )


def _m(value: float) -> str:
    return figure(value, 2)


def _side_words(side: str) -> str:
    return side.replace("_", " ")


def _steps(room: dict[str, Any], shape: Shape) -> tuple[Step, ...]:
    if shape.troubles or shape.floor_m2 is None:
        return ()
    if shape.slopes:
        return tuple(_slope_steps(room, shape))
    return tuple(_part_steps(room, shape))


def _part_steps(room: dict[str, Any], shape: Shape) -> list[Step]:
    steps = []
    area = known(shape.floor_m2)
    if room.get("floor_area_m2") is not None:
        steps.append(Step("Floor", "as said", _m(area), rounded(area, AREA), "m²", SURVEYOR))
    else:
        numbers = f"{_m(room['length_m'])} × {_m(room['width_m'])}" + "".join(map(_part_words, shape.parts))
        steps.append(Step("Floor", "length × width and its parts", numbers, rounded(area, AREA), "m²", GEOMETRY))
    for side, (along, _) in WALLS.items():
        terms = _longer_by(shape.parts, side)
        length = shape.sides[side].get("width_m")
        if terms and length is not None:
            numbers = _m(room[along]) + terms
            steps.append(
                Step(f"{SIDE_LABELS[side]}, length", "room and parts", numbers, rounded(length, 3), "m", GEOMETRY)
            )
    if shape.volume_m3 is not None:
        numbers = f"{_m(area)} × {_m(room['height_m'])}"
        steps.append(Step("Volume", "floor × height", numbers, rounded(shape.volume_m3, AREA), "m³", GEOMETRY))
    return steps


def _part_words(part: Part) -> str:
    size = f"{_m(part.along_m)} × {_m(part.depth_m)}"
    if part.what == CORNER:
        return f" − {size} (corner missing, {_side_words(part.where)})"
    if part.what == BAY and part.outer_m != part.along_m:
        size = f"({_m(part.along_m)} + {_m(part.outer_m)}) / 2 × {_m(part.depth_m)}"
    return f" + {size} ({'bay' if part.what == BAY else 'rectangle'}, {_side_words(part.where)})"


def _longer_by(parts: tuple[Part, ...], side: str) -> str:
    terms = ""
    for part in parts:
        if part.what == RECTANGLE and part.where in BESIDE[side]:
            terms += f" + {_m(part.depth_m)}"
        elif part.what == BAY and part.where == side:
            terms += f" − {_m(part.along_m)} + {_m(part.outer_m)} + 2 × {_m(part.cheek_m)}"
    return terms


def _slope_steps(room: dict[str, Any], shape: Shape) -> list[Step]:
    length, width, height = (_m(room[name]) for name in ("length_m", "width_m", "height_m"))
    steps = [
        Step("Floor", "length × width", f"{length} × {width}", rounded(known(shape.floor_m2), AREA), "m²", GEOMETRY)
    ]
    by_side = {slope.side: slope for slope in shape.slopes}
    for slope in shape.slopes:
        numbers = f"√({_m(slope.run_m)}² + ({height} − {_m(slope.low_m)})²)"
        name = f"Slope over the {_side_words(slope.side)} side"
        steps.append(Step(f"{name}, upwards", "√(reach² + rise²)", numbers, rounded(slope.length_m, 3), "m", GEOMETRY))
        formula, numbers = "length × upwards", f"{_m(slope.span_m)} × {_m(slope.length_m)}"
        taken = slope.span_m * slope.run_m - slope.area_m2 * slope.run_m / slope.length_m
        if taken > 0 and any(slope.side in (one.side, other.side) for one, other in shape.meetings):
            formula = "(length × reach − what the slopes at its ends take of it) × upwards / reach"
            numbers = (
                f"({_m(slope.span_m)} × {_m(slope.run_m)} − {_m(taken)}) × {_m(slope.length_m)} / {_m(slope.run_m)}"
            )
        steps.append(Step(f"{name}, area", formula, numbers, rounded(slope.area_m2, AREA), "m²", GEOMETRY))
    for side in WALLS:
        step = _wall_step(room, shape, side, by_side)
        if step is not None:
            steps.append(step)
    flat = shape.sides["ceiling"]
    if flat.get("area_m2") is None:
        a, b = (value or 0.0 for value in (flat["width_m"], flat["height_m"]))
        steps.append(
            Step("Flat ceiling", "what the slopes leave", f"{_m(b)} × {_m(a)}", rounded(a * b, AREA), "m²", GEOMETRY)
        )
    if shape.volume_m3 is not None:
        numbers = f"{length} × {width} × {height}"
        for slope in shape.slopes:
            numbers += f" − ½ × {_m(slope.run_m)} × ({height} − {_m(slope.low_m)}) × {_m(slope.span_m)}"
        formula = "box − ½ × reach × rise × length of each slope"
        if shape.meetings:
            numbers += f" + {_m(shape.corners_m3)}"
            formula += " + what two slopes share at corners"
        steps.append(Step("Volume", formula, numbers, rounded(shape.volume_m3, AREA), "m³", GEOMETRY))
    return steps


def _wall_step(room: dict[str, Any], shape: Shape, side: str, slopes: dict[str, Slope]) -> Step | None:
    """Return the sum of a wall whose top is cut by the slopes at its ends; none for a plain one."""
    area = shape.sides[side].get("area_m2")
    if not area:
        return None
    own = slopes.get(side)
    drop, top = (own.drop_m, own.low_m) if own else (0.0, room["height_m"])
    numbers = f"{_m(room[FOLLOWS[side]['width_m']])} × {_m(top)}"
    for beside in BESIDE[side]:
        if beside in slopes and cut_off(drop, slopes[beside]) > 0:
            across = slopes[beside]
            over = across.drop_m - drop
            numbers += f" − ½ × {_m(over * across.run_m / across.drop_m)} × {_m(over)}"
    return Step(
        f"{SIDE_LABELS[side]}, area",
        "length × height − triangles under the slopes",
        numbers,
        rounded(area, AREA),
        "m²",
        GEOMETRY,
    )
