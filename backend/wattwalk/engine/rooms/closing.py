"""Which rooms close: what is missing of each by code and record, and the words that stand beside its figures until then."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from wattwalk.survey.box import sides_of
from wattwalk.survey.building import Room, Surface
from wattwalk.survey.document import Survey
from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.sides import (
    EDGE_NOT_SAID,
    PART_NOT_KNOWN,
    Hole,
    Met,
    holes_in,
    met_by_room,
)

from ..answers import Finding, RoomHole, Severity
from ..answers.citing import COMMON_PRACTICE
from ..answers.rounding import AREA, figure, listed, rounded
from ..fabric.envelope import title_of
from ..fabric.room_loss import RoomWork
from .heated import by_age

_SIDE_LABELS = {item.value: item.label.lower() for item in Surface.kind.field("side").choices}


def close_rooms(survey: Survey, works: Sequence[RoomWork], lacking: Mapping[str, set[str]]) -> None:
    """Say of every room where it does not close.

    Parameters
    ----------
    survey : Survey
        With every surface as large as it is (``Survey.measured``).
    works : sequence of RoomWork
        The rooms; each is told its holes and what stands beside its figures.
    lacking : mapping
        By room, the surfaces that it meets and that could not be worked out.
    """
    met = met_by_room(survey)
    for work in works:
        room, parts = work.room, met[work.room.id]
        holes = holes_in(room, parts)
        lacks = lacking.get(room.id, ())
        unknown = [item for item in parts if item.surface.id in lacks] if lacks else []
        if holes or unknown:
            unknown.sort(key=lambda item: by_age(item.surface.id))
            work.holes = (*(_hole(hole) for hole in holes), *(_part(item) for item in unknown))
            work.so_far = _so_far(room, work.holes)


def _hole(hole: Hole) -> RoomHole:
    side = "its walls" if hole.side is None else _SIDE_LABELS[hole.side]
    if hole.code == EDGE_NOT_SAID:
        words = "the length of its walls all round"
    elif hole.left is None:
        words = side
    else:
        words = f"{figure(hole.left, 1)} {'m' if hole.side is None else 'm²'} of {side if hole.side is None else f'the {side}'}"
    return RoomHole(hole.code, hole.side, None, None if hole.left is None else rounded(hole.left, AREA), words)


def _part(item: Met) -> RoomHole:
    return RoomHole(PART_NOT_KNOWN, item.side, item.surface.id, None, title_of(item.surface))


def _so_far(room: Room, holes: Sequence[RoomHole]) -> str:
    """Return how much of a room is said, in a few words."""
    if any(hole.side is None and hole.surface is None for hole in holes) or room.floor_area_m2 is not None:
        return f"so far: without {listed([hole.words for hole in holes])}"
    open_sides = {hole.side for hole in holes if hole.side is not None}
    if not open_sides:
        return f"so far: without {listed([hole.words for hole in holes])}"
    sides = len(sides_of(room.values()))
    return f"so far: {sides - len(open_sides)} of {sides} sides"


def open_rooms(works: Sequence[RoomWork]) -> str:
    """Return what stands beside the figures of a house while a room of it does not close, or nothing."""
    still = [work for work in works if work.holes]
    return f"so far: {len(works) - len(still)} of {len(works)} rooms" if still else ""


def closing_findings(record: SurveyRecord, works: Sequence[RoomWork]) -> list[Finding]:
    """Say that what is sized for the house is sized for a part of it."""
    # In the order of their making, whatever order the records come in.
    still = sorted((work for work in works if work.holes), key=lambda work: by_age(work.room.id))
    if not still:
        return []
    told = [f"{work.name} ({work.so_far.removeprefix('so far: ')})" for work in still[:4]]
    more = [f"{len(still) - 4} more rooms"] if len(still) > 4 else []
    return [
        Finding(
            # Each hole is a gap that somebody has to look at; this says what they do to the rest.
            Severity.NOTE,
            "house_not_closed",
            record.key(),
            None,
            f"The house does not close yet: {listed([*told, *more])}. Its load, its flow temperature and all that is sized by them are figures so far.",
            "Say what is beyond each side, how large it is and what it is made of.",
            COMMON_PRACTICE,
        )
    ]
