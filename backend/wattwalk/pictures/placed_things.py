"""What is told to stand in a room or outside of its wall, for the plans."""

from __future__ import annotations

from dataclasses import dataclass

from wattwalk.survey.building import Emitter
from wattwalk.survey.document import Survey
from wattwalk.survey.services import HotWater
from wattwalk.survey.site import OutdoorPosition


@dataclass(frozen=True)
class PlacedThing:
    """What stands in a room or outside of its wall: an emitter along a side, a unit outside, or a cylinder; ``side`` is None where only the room is known."""

    kind: str
    room: str
    side: str | None
    length_m: float | None = None
    is_new: bool = False


def placed_things(survey: Survey) -> list[PlacedThing]:
    """Return what is told to stand in a room or outside of its wall."""
    found = [
        PlacedThing(
            "emitter",
            item.room,
            item.side,
            None if item.length_mm is None else item.length_mm / 1000,
            item.effective("plan") == "new",
        )
        for item in survey.of_kind(Emitter)
        if item.room is not None and item.side is not None and item.effective("plan") != "replace"
    ]
    found += [
        PlacedThing("unit", item.room_behind, item.side_behind)
        for item in survey.of_kind(OutdoorPosition)
        if item.room_behind is not None and item.side_behind is not None
    ]
    water = survey.single(HotWater)
    if water is not None and water.cylinder_room is not None:
        found.append(PlacedThing("cylinder", water.cylinder_room, None))
    return found
