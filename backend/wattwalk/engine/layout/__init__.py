"""The plan of each storey, as it follows from the boxes of the rooms and from what is said to lie beyond each side."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from wattwalk.survey.box import OPENINGS
from wattwalk.survey.building import Surface
from wattwalk.survey.document import Survey
from wattwalk.survey.household import SurveyRecord

from ..answers import Finding
from ..answers.plan import PlanAsk, PlanState, StoreyPlan
from ..answers.rounding import listed, rounded
from .forms import SIDES
from .reasons import (
    LABELS,
    contradictions,
    disagreeing,
    outside_that_faces_rooms,
    say,
    side_of,
    wrong_ways,
)
from .shown import Page
from .state import SLACK
from .storey import Group, groups_of, lay_out_group
from .storeys import against_each_other
from .told import Place, Told, read_storeys

#: Between two groups of rooms that are joined by no wall, m on the page.
APART = 1.5
#: Of the front of the house, degrees clockwise from north.
_LOOKS = {
    "north": 0,
    "north_east": 45,
    "east": 90,
    "south_east": 135,
    "south": 180,
    "south_west": 225,
    "west": 270,
    "north_west": 315,
}


def lay_out(survey: Survey) -> tuple[tuple[StoreyPlan, ...], list[Finding]]:
    """Lay each storey of a survey out, and say what cannot be.

    Parameters
    ----------
    survey : Survey
        As it is stored: a whole side says no size of its own.

    Returns
    -------
    tuple
        The storeys from the lowest up, and what was found.
    """
    found = list(wrong_ways(survey))
    openings: dict[str, list[Surface]] = {}
    for item in survey.of_kind(Surface):
        if item.element in OPENINGS and item.opening_in is not None:
            openings.setdefault(item.opening_in, []).append(item)
    record = survey.single(SurveyRecord)
    looks = _LOOKS.get((record.front_looks if record is not None else None) or "")
    storeys = []
    for told in read_storeys(survey):
        plan, more = _storey(told, openings, looks)
        storeys.append(plan)
        found += more
    found += against_each_other(survey, storeys)
    return tuple(storeys), found


def _storey(told: Told, openings: dict[str, list[Surface]], looks: int | None) -> tuple[StoreyPlan, list[Finding]]:
    found, without = contradictions(told)
    groups = [lay_out_group(places, told.links, without) for places in groups_of(told)]
    for group in groups:
        if group.result.layout is not None and group.result.is_one:
            found += outside_that_faces_rooms(told, group)
        elif group.result.layout is None and group.result.is_whole:
            found += disagreeing(told, group)
    is_none = any(item.severity == "check" for item in found)
    pages = _pages(told, groups)
    asks = _asks(told, groups, looks)
    state = _state(told, groups, asks, is_none)
    found += _notes(told, groups, state)
    rooms = [room for page in pages for room in page.rooms(openings)]
    is_turned = looks is not None and any(place.turn is not None for place in told.places.values())
    plan = StoreyPlan(
        storey=told.storey,
        label=LABELS[told.storey],
        state=state,
        words=_words(state, told, groups),
        rooms=tuple(rooms),
        unmeasured=tuple(room.id for room in told.unmeasured),
        asks=tuple(asks),
        north_deg=rounded((360 - (looks or 0)) % 360, 0) if is_turned and len(groups) == 1 else None,
    )
    return plan, found


def _state(told: Told, groups: list[Group], asks: Sequence[PlanAsk], is_none: bool) -> PlanState:
    if is_none:
        return PlanState.NONE
    if told.unmeasured or len(groups) != 1 or any(_unsaid(told, place, groups[0]) for place in groups[0].places):
        return PlanState.NOT_ENOUGH
    result = groups[0].result
    if result.turn_of is not None or result.slide_of is not None:
        return PlanState.SEVERAL
    return PlanState.ONE if result.is_one else PlanState.NOT_SOLVED


def _pages(told: Told, groups: list[Group]) -> list[Page]:
    """Return the groups of rooms one beside the other, with as many front sides up as can be where nobody said how the house lies."""
    pages, right = [], 0.0
    for number, group in enumerate(groups):
        layout = group.result.layout or next((again.layout for _, again in group.suspects if again.layout), None)
        if layout is None:
            continue
        turn = 0
        if all(place.turn is None for place in group.places):
            counts = [0, 0, 0, 0]
            for lying in layout.values():
                counts[lying.turn] += 1
            turn = (4 - counts.index(max(counts))) % 4
        page = Page(told.places, layout, number, turn)
        left, top, far, _ = page.bounds()
        page.move(right - left, -top)
        right += far - left + APART
        pages.append(page)
    return pages


def _unsaid(told: Told, place: Place, group: Group) -> list[int]:
    """Return the sides of a room of which not all is told, from it or from the rooms beyond."""
    layout = group.result.layout
    if layout is None:
        return []
    found = []
    for side in range(4):
        if side in place.without:
            continue
        walls = place.along(side)
        if any(wall.length_m is None for wall in walls):
            continue
        total = place.told_m(side)
        for link in group.links:
            if link.other == place.id and link.room in layout:
                facing = (link.side + layout[link.room].turn + 2 - layout[place.id].turn) % 4
                if facing == side and not any(wall.other == link.room for wall in walls):
                    total += link.length_m or place.sides[side]
        if total < place.sides[side] - SLACK:
            found.append(side)
    return found


def _asks(told: Told, groups: list[Group], looks: int | None) -> list[PlanAsk]:
    """Return what to answer, in turn, so that the plan is settled."""
    asks = [PlanAsk(room.key(), "length_m", f"Measure {room.name or 'the room'}.") for room in told.unmeasured]
    for group in groups:
        for place in group.places:
            sides = [f"{SIDES[side]} side" for side in _unsaid(told, place, group)]
            if sides:
                words = f"Say what is beyond the {listed(sides)} of {place.name}."
                asks.append(PlanAsk(f"room/{place.id}", None, words))
    largest = max(groups, key=lambda group: len(group.places), default=None)
    for group in groups:
        if group is not largest:
            names = listed([place.name for place in group.places[:3]])
            words = f"Say which room lies beyond a side of {names}: no wall joins it to the rest."
            asks.append(PlanAsk(f"room/{group.places[0].id}", None, words))
    for group in groups:
        asks += _unsettled(told, group)
    if looks is not None and groups and all(place.turn is None for place in told.places.values()):
        place = groups[0].places[0]
        words = f"Which way does the front side of {place.name} look? It puts north on this plan."
        asks.append(PlanAsk(f"room/{place.id}", "turn", words))
    return asks


def _unsettled(told: Told, group: Group) -> list[PlanAsk]:
    result = group.result
    if result.turn_of is not None:
        place = told.places[result.turn_of]
        beside = next(
            (
                link.other if link.room == place.id else link.room
                for link in group.links
                if place.id in (link.room, link.other)
            ),
            None,
        )
        words = f"Which way does the front side of {place.name} look?"
        return [PlanAsk(f"room/{place.id}", "turn", words, beside)]
    if result.slide_of is not None:
        wall = result.slide_of
        one, other = told.places[wall.room], told.places[wall.other or ""]
        layout = result.layout or {}
        is_whole = (wall.length_m or 0.0) > one.sides[wall.side] - SLACK
        if is_whole and one.id in layout and other.id in layout:
            # All of its own side: where it begins is a question to the other room's.
            side = (wall.side + layout[one.id].turn + 2 - layout[other.id].turn) % 4
            words = f"How far from the left end of the {SIDES[side]} side of {other.name} does the wall to {one.name} begin?"
            return [PlanAsk(f"surface/{wall.id}", "beyond_from_left_m", words)]
        words = f"How far from the left end of the {side_of(wall)} of {one.name} does the wall to {other.name} begin?"
        return [PlanAsk(f"surface/{wall.id}", "from_left_m", words)]
    return [] if result.is_whole else _too_many(told, group)


def _too_many(told: Told, group: Group) -> list[PlanAsk]:
    """Return the answers that leave a search that was cut the fewest ways to try: how rooms with many walls are turned, two of them first, or where a wall begins."""
    walls = Counter(name for link in group.links for name in (link.room, link.other))
    unturned = sorted((place for place in group.places if place.turn is None), key=lambda place: -walls[place.id])
    if unturned:
        # How one room is turned says nothing before another one says it too.
        count = 2 if len(unturned) == len(group.places) else 1
        words = "Which way does the front side of {} look? Without it there are too many ways to try."
        return [PlanAsk(f"room/{place.id}", "turn", words.format(place.name)) for place in unturned[:count]]
    for wall in sorted(group.links, key=lambda link: -walls[link.room]):
        one, other = told.places[wall.room], told.places[wall.other or ""]
        if wall.from_left_m is None and (wall.length_m or one.sides[wall.side]) < one.sides[wall.side] - SLACK:
            words = (
                f"How far from the left end of the {side_of(wall)} of {one.name} does the wall to {other.name} begin?"
            )
            return [PlanAsk(f"surface/{wall.id}", "from_left_m", words)]
    return []


def _notes(told: Told, groups: list[Group], state: PlanState) -> list[Finding]:
    label = LABELS[told.storey]
    found = []
    if len(groups) > 1:
        least = min(groups, key=lambda group: len(group.places))
        names = listed([place.name for place in least.places[:3]])
        found.append(
            say(
                "plan_part_apart",
                f"room/{least.places[0].id}",
                f"{label}: no wall joins {names} to the other rooms.",
                "Say which room lies beyond one of its sides.",
            )
        )
    if state is PlanState.SEVERAL:
        asks = _unsettled(told, groups[0])
        found.append(
            say(
                "plan_several",
                asks[0].record,
                f"{label}: several layouts fit what is said, so the drawing is one of them and no proof.",
                asks[0].words,
                about=told.storey,
            )
        )
    return found


def _words(state: PlanState, told: Told, groups: list[Group]) -> str:
    """Return in a sentence what the drawing of a storey is worth."""
    if state is PlanState.ONE:
        return "One layout fits: all rooms and walls are told, and they close."
    if state is PlanState.SEVERAL:
        return "Several layouts fit. The drawing shows one of them."
    if state is PlanState.NONE:
        return "No layout fits. The drawing leaves out what disagrees."
    if state is PlanState.NOT_SOLVED:
        return "Not solved: there are too many ways to try."
    return "Not enough is said yet. The drawing shows what is known."
