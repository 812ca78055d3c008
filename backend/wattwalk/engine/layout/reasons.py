"""Why no plan can be right: which statements disagree, with both their figures, and what to look at again."""

from __future__ import annotations

from collections.abc import Iterator
from math import fsum

from wattwalk.survey.building import STOREYS, Room, Surface
from wattwalk.survey.document import Survey
from wattwalk.survey.sides import LIES

from ..answers import Finding, Severity
from ..answers.citing import COMMON_PRACTICE
from ..answers.rounding import figure
from .forms import SIDES
from .state import OVER, SLACK, THICKEST, Lying
from .storey import Group, shared_m
from .told import CLEAR, ORDER, Place, Told, Wall, storey_of

LABELS = dict(STOREYS)
_BEYOND = {
    "outside": "outside",
    "neighbour": "a neighbour's home",
    "ground": "the ground",
    "unheated": "an unheated space",
}


def metres(value: float) -> str:
    """Write a length as it was measured."""
    return f"{figure(value, 2)} m"


def side_of(wall: Wall) -> str:
    """Return what the side of a wall is called."""
    return f"{SIDES[wall.side]} side"


def finding(code: str, record: str, message: str, remedy: str, about: str = "") -> Finding:
    """Return a finding that a person must look at; figures that cannot both be right need no other source."""
    return Finding(Severity.CHECK, code, record, None, message, remedy, COMMON_PRACTICE, about)


def say(code: str, record: str, message: str, remedy: str, about: str = "") -> Finding:
    """Return a finding that only says how things stand."""
    return Finding(Severity.NOTE, code, record, None, message, remedy, COMMON_PRACTICE, about)


def wrong_ways(survey: Survey) -> Iterator[Finding]:
    """Give what no plan is needed for: rooms beyond themselves, walls to other storeys, floors and ceilings that lead the wrong way."""
    rooms = {room.id: room for room in survey.of_kind(Room)}
    for item in survey.of_kind(Surface):
        room, other = rooms.get(item.room or ""), rooms.get(item.other_room or "")
        if item.other_side != "room" or room is None or other is None:
            continue
        name, beyond = room.name or "A room", other.name or "a room"
        if room is other:
            yield finding(
                "plan_room_beyond_itself",
                item.key(),
                f"{name} is told to lie beyond one of its own sides.",
                "Say which room lies there.",
            )
            continue
        side = item.side if item.side is not None else LIES.get(item.element or "")
        step = ORDER.index(storey_of(other)) - ORDER.index(storey_of(room))
        if side in SIDES and step:
            # A room may be as high as two storeys; else one of the two is told wrong.
            yield say(
                "plan_wall_other_storey",
                item.key(),
                f"A wall of {name} ({LABELS[storey_of(room)].lower()}) leads to {beyond}, which is on another storey ({LABELS[storey_of(other)].lower()}).",
                "Where that room is as high as two storeys, this is as it is. Else set the storey of one of the two, or say which room lies there.",
            )
        elif (side == "ceiling" and step <= 0) or (side == "floor" and step >= 0):
            way, where = ("above", "not higher") if side == "ceiling" else ("below", "not lower")
            yield finding(
                "plan_floor_wrong_way",
                item.key(),
                f"{beyond} is told to lie {way} {name}, and its storey is {where}: {LABELS[storey_of(other)].lower()} and {LABELS[storey_of(room)].lower()}.",
                "Set the storey of one of the two rooms, or say which room lies there.",
            )


def contradictions(told: Told) -> tuple[list[Finding], frozenset[str]]:
    """Return what is told of the sides of a storey's rooms and cannot be, whichever way they are turned, and the walls that nothing is built on."""
    found: list[Finding] = []
    without: set[str] = set()
    for place in told.places.values():
        found += _too_long(told, place)
    pairs: dict[tuple[str, str], list[Wall]] = {}
    for link in told.links:
        pairs.setdefault((link.room, link.other or ""), []).append(link)
    for (room, other), walls in pairs.items():
        back = pairs.get((other, room), [])
        one = walls[0]
        if len(walls) == 1 and len(back) == 1 and room < other:
            lengths = one.length_m, back[0].length_m
            if lengths[0] is not None and lengths[1] is not None and abs(lengths[0] - lengths[1]) > SLACK:
                found.append(_two_lengths(told, one, lengths[1], back[0]))
                without |= {one.id, back[0].id}
                continue
        longest = max(told.places[other].sides)
        for wall in walls:
            if wall.length_m is not None and wall.length_m > longest + SLACK and wall.id not in without:
                found.append(_two_lengths(told, wall, longest, None))
                without.add(wall.id)
    return found, frozenset(without)


def _too_long(told: Told, place: Place) -> Iterator[Finding]:
    for side in range(4):
        total = place.told_m(side)
        if total > place.sides[side] + SLACK:
            walls = [wall for wall in place.along(side) if wall.length_m is not None]
            parts = ", ".join(f"{_beyond(told, wall)} {metres(wall.length_m or 0.0)}" for wall in walls)
            yield finding(
                "plan_side_too_long",
                f"room/{place.id}",
                f"{place.name}: the {SIDES[side]} side is {metres(place.sides[side])} long, and {metres(total)} is told to lie along it: {parts}.",
                "Measure the parts of this side again.",
                about=SIDES[side],
            )


def _beyond(told: Told, wall: Wall) -> str:
    other = told.places.get(wall.other or "")
    return other.name if other is not None else _BEYOND.get(wall.beyond or "", "an inside wall")


def _two_lengths(told: Told, wall: Wall, length: float, back: Wall | None) -> Finding:
    one, other = told.places[wall.room], told.places[wall.other or ""]
    told_by = (
        f"{metres(length)} from {other.name}" if back else f"no side of {other.name} is longer than {metres(length)}"
    )
    return finding(
        "plan_wall_two_lengths",
        f"surface/{wall.id}",
        f"The wall between {one.name} and {other.name} is {metres(wall.length_m or 0.0)} as told from {one.name}{', and ' if back else '; '}{told_by}.",
        "Measure it from both rooms.",
        about=f"surface/{back.id}" if back else f"room/{other.id}",
    )


def disagreeing(told: Told, group: Group) -> list[Finding]:
    """Return which statements disagree in a group of rooms that no layout fits."""
    walls = {wall.id: wall for place in group.places for wall in place.walls}
    suspects = [(walls[name], again.layout or {}) for name, again in group.suspects if name in walls]
    named = [word.removeprefix("surface/") for word in group.result.against if word.startswith("surface/")]
    links = [walls[name] for name in [*named, *group.result.beside] if name in walls and walls[name].other is not None]
    links = list(dict.fromkeys(links))
    if suspects:
        return [_one_of(told, suspects) if len(suspects) > 1 else _suspect(told, *suspects[0], links)]
    over = next((word.split("/")[1:] for word in group.result.against if word.startswith("apart/")), None)
    if over is not None:
        one, other = (told.places[name] for name in over)
        return [
            finding(
                "plan_rooms_overlap",
                f"room/{one.id}",
                f"{one.name} would lie on {other.name}, as the walls beside them are told{_told_as(told, links)}.",
                "Measure these walls again, and look which room lies beyond them.",
                about=f"room/{other.id}",
            )
        ]
    if not links:
        return []
    return [
        finding(
            "plan_does_not_close",
            f"surface/{links[0].id}",
            f"These walls cannot all be as they are told{_told_as(told, links)}.",
            "Measure them again, and look which room lies beyond each.",
            about=f"surface/{links[1].id}" if len(links) > 1 else "",
        )
    ]


def _told_as(told: Told, links: list[Wall]) -> str:
    words = [wall_words(told, link) for link in links]
    return f": {'; '.join(words)}" if words else ""


def wall_words(told: Told, wall: Wall) -> str:
    """Return a wall as it was told, with its figure."""
    place = told.places[wall.room]
    size = "" if wall.length_m is None else f" {metres(wall.length_m)}"
    return f"{place.name}, {side_of(wall)}{size} to {_beyond(told, wall)}"


def _suspect(told: Told, wall: Wall, layout: dict[str, Lying], against: list[Wall]) -> Finding:
    """Return the finding of the one statement without which the rooms fit, with what they say instead and the walls that it does not go with."""
    others = [other for other in against if other is not wall]
    code = "plan_does_not_close" if wall.other is not None else "plan_outside_faces_room"
    remedy = "Measure this wall again, and look which room lies beyond it."
    against_it = f" These stand against it{_told_as(told, others)}." if others else ""
    message = f"{wall_words(told, wall)}, does not go with the rest: {_instead(told, wall, layout)}.{against_it}"
    return finding(code, f"surface/{wall.id}", message, remedy)


def _one_of(told: Told, suspects: list[tuple[Wall, dict[str, Lying]]]) -> Finding:
    """Return the finding of statements without any of which the rooms fit, with what each would be if it is that one."""
    walls = [wall for wall, _ in suspects]
    said = "; ".join(f"{wall_words(told, wall)} ({_instead(told, wall, layout)})" for wall, layout in suspects)
    code = "plan_does_not_close" if walls[0].other is not None else "plan_outside_faces_room"
    message = f"Without any one of these the rest fits, and nothing says which: {said}."
    remedy = "Measure these walls again, and look which room lies beyond each."
    return finding(code, f"surface/{walls[0].id}", message, remedy, about=f"surface/{walls[1].id}")


def _instead(told: Told, wall: Wall, layout: dict[str, Lying]) -> str:
    """Return what a wall would be as the other rooms lie."""
    if wall.other is None:
        facing = facing_rooms(told, told.places[wall.room], wall.side, layout)
        names = " and ".join(told.places[name].name for name, _ in facing)
        return f"as the other rooms lie it faces {names}" if names else "as the other rooms lie it is shorter"
    shared = shared_m(wall, told.places, layout)
    if shared <= OVER:
        return "as the other rooms lie the two do not meet there"
    if abs(shared - (wall.length_m or 0.0)) <= SLACK:
        return "as the other rooms lie it has another place along that side"
    return f"as the other rooms lie it would be {metres(shared)}"


def facing_rooms(told: Told, place: Place, side: int, layout: dict[str, Lying]) -> list[tuple[str, float]]:
    """Return the rooms that lie right beyond a side in a layout, with how long they face it, m."""
    own = layout.get(place.id)
    if own is None:
        return []
    form, way = place.form(own.turn), (side + own.turn) % 4
    found = []
    for name, lying in layout.items():
        if name == place.id:
            continue
        theirs = told.places[name].form(lying.turn)
        if way in (0, 2):
            gap = own.y - lying.y - theirs.height if way == 0 else lying.y - own.y - form.height
            shared = min(own.x + form.width, lying.x + theirs.width) - max(own.x, lying.x)
        else:
            gap = lying.x - own.x - form.width if way == 1 else own.x - lying.x - theirs.width
            shared = min(own.y + form.height, lying.y + theirs.height) - max(own.y, lying.y)
        if abs(gap) <= THICKEST + 0.1 and shared > SLACK:
            found.append((name, shared))
    return found


def outside_that_faces_rooms(told: Told, group: Group) -> Iterator[Finding]:
    """Give the sides that are told to be outside for longer than the rooms beyond them leave."""
    layout = group.result.layout or {}
    for place in group.places:
        if place.parts:
            continue
        for side in range(4):
            clear = [wall for wall in place.along(side) if wall.beyond in CLEAR and wall.length_m is not None]
            facing = facing_rooms(told, place, side, layout) if clear else []
            if not facing:
                continue
            total, faced = fsum(wall.length_m or 0.0 for wall in clear), fsum(shared for _, shared in facing)
            if total + faced > place.sides[side] + 2 * SLACK:
                names = " and ".join(told.places[name].name for name, _ in facing)
                beyond = {name for name, _ in facing}
                links = [
                    link
                    for link in group.links
                    if beyond & {link.room, link.other}
                    and (link.room == place.id or place.id == link.other or link.room in beyond)
                ]
                yield finding(
                    "plan_outside_faces_room",
                    f"surface/{clear[0].id}",
                    f"{place.name}: {metres(total)} of the {SIDES[side]} side, which is {metres(place.sides[side])} long, is told to be {_beyond(told, clear[0])}; as the rooms lie {names} face {metres(faced)} of it{_told_as(told, links)}.",
                    "Look what is beyond this wall, and measure its parts and the walls beside it again.",
                    about=f"room/{facing[0][0]}",
                )
