"""The working of each room: a line for each surface, from its size and its construction to its watts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from wattwalk.engine.answers import Assessment, RoomAssessment, SurfaceLoss
from wattwalk.survey.box import SIZES
from wattwalk.survey.building import Surface
from wattwalk.survey.document import Survey
from wattwalk.survey.wording import own_titles, value_words

from .figures import bare, degrees, lower_first, quantity, watts
from .source_marks import SourceMarks, step_row

#: What a line of a room says of a surface besides its size.
_SAID = (
    "name",
    "element",
    "side",
    "construction",
    "opening_in",
    "other_side",
    "other_room",
    "unheated_space",
    "space",
    "below",
    "depth_below_ground_m",
)
#: What lies beyond a surface, where its name does not say it already.
_BEYOND = ("unheated_space", "space", "below", "depth_below_ground_m")


@dataclass(frozen=True)
class _Said:
    """What was recorded of a surface, as its line says it; `room` is the one that it was met in."""

    room: str | None
    host: str
    beyond: str
    size: str
    fields: frozenset[str]


def _size(item: Surface, stored: Surface) -> tuple[str, tuple[str, ...]]:
    """Return the size a surface is reckoned with, starred where it is the room's, and the fields that it is made of."""
    names: tuple[str, ...]
    if item.area_m2 is not None:
        size, names = f"{bare(item.area_m2, 2)} m²", ("area_m2",)
    elif item.width_m is not None and item.height_m is not None:
        size, names = f"{bare(item.width_m, 2)} × {bare(item.height_m, 2)} m", ("width_m", "height_m")
    else:
        return "", ()
    is_of_room = any(getattr(item, name) is not None and getattr(stored, name) is None for name in SIZES)
    return size + ("*" if is_of_room else ""), names


def _said_of_surfaces(survey: Survey) -> dict[str, _Said]:
    stored, titles = {item.id: item for item in survey.of_kind(Surface)}, own_titles(survey)
    found = {}
    for item in survey.measured().of_kind(Surface):
        size, names = _size(item, stored[item.id])
        beyond = [
            value_words(item.kind.field(name), value, titles)
            for name in ("other_side", *_BEYOND)
            for value in [getattr(item, name)]
            if value not in (None, "room")
        ]
        found[item.id] = _Said(
            room=item.room,
            host=lower_first(titles[item.opening_in]) if item.opening_in in titles else "",
            beyond=", ".join(lower_first(words) for words in beyond),
            size=size,
            fields=frozenset((*_SAID, *names)),
        )
    return found


def printed_of_surfaces(survey: Survey, assessment: Assessment) -> dict[str, frozenset[str]]:
    """Return the fields that the rooms' lines say of each surface, by its id; a surface that no room counts has none."""
    said = _said_of_surfaces(survey)
    counted = {item.id for room in assessment.rooms for item in room.surfaces}
    return {name: item.fields for name, item in said.items() if name in counted}


def construction_numbers(assessment: Assessment) -> dict[str, str]:
    """Return the number by which a room's line points at its construction."""
    return {item.id: f"C{place}" for place, item in enumerate(assessment.constructions, start=1)}


def _product(item: SurfaceLoss) -> str:
    """Return the product of a surface's line: bridges of nothing and a factor of one are left out."""
    u_value = bare(item.u_value_w_m2k, 2)
    if item.bridge_w_m2k:
        u_value = f"({u_value} + {bare(item.bridge_w_m2k, 2)})"
    factor = () if item.factor == 1.0 else (bare(item.factor, 3),)
    return " × ".join((bare(item.net_area_m2, 2), u_value, *factor, bare(item.temperature_difference_k, 1)))


def _surface(item: SurfaceLoss, said: _Said | None, marks: SourceMarks, number: str) -> dict[str, str]:
    words = item.words
    if said is not None:
        # Seen from the room beyond, the rest has been said in its own room.
        is_own = said.room == item.room
        words += f" in {said.host}" if said.host and is_own else ""
        words += f" ({said.beyond})" if said.beyond and is_own else ""
        words += f", {said.size}" if said.size else ""
    if item.openings_m2:
        words += f" less {bare(item.openings_m2, 2)} m²"
    return {
        "words": words,
        "numbers": _product(item),
        "loss": bare(item.loss_w, 0),
        "construction": number,
        "source": marks.mark(item.source),
    }


def _bridges(room: RoomAssessment, marks: SourceMarks) -> list[dict[str, str]]:
    return [
        {
            "words": item.words,
            "numbers": f"{bare(item.length_m, 2)} m × Ψ {bare(item.psi_w_mk, 3)} W/mK × {bare(item.temperature_difference_k, 1)} K",
            "loss": bare(item.loss_w, 0),
            "source": marks.mark(item.source),
        }
        for item in room.bridges
    ]


def _air(room: RoomAssessment, marks: SourceMarks) -> dict[str, str] | None:
    air = room.ventilation
    if air is None:
        return None
    return {
        "words": air.words,
        "numbers": f"{bare(air.heat_wh_m3k, 2)} Wh/m³K × {bare(air.air_changes_h, 2)} per hour × {bare(air.volume_m3, 1)} m³ × {bare(air.temperature_difference_k, 1)} K",
        "loss": bare(air.loss_w, 0),
        "source": marks.mark(air.source),
    }


def _emitters(room: RoomAssessment, marks: SourceMarks) -> list[dict[str, Any]]:
    return [
        {
            "words": item.words + ("" if item.counts else " (taken out, not counted)"),
            "output": watts(item.output_w),
            "steps": [step_row(step, marks) for step in item.steps],
            "missing": ", ".join(item.missing),
        }
        for item in room.emitters
    ]


def room_rows(survey: Survey, assessment: Assessment, marks: SourceMarks) -> list[dict[str, Any]]:
    """Return the working of each room: its surfaces, its bridges, its air, their sum, its emitters."""
    said, numbers = _said_of_surfaces(survey), construction_numbers(assessment)
    rooms = []
    for room in assessment.rooms:
        surfaces = [
            _surface(item, said.get(item.id), marks, numbers.get(item.construction, "")) for item in room.surfaces
        ]
        rooms.append(
            {
                "name": room.name,
                "inside": degrees(room.inside_c),
                "inside_words": room.inside_words,
                "volume": quantity(room.volume_m3, "m³", 1),
                "sizes": [step_row(step, marks) for step in room.size_steps],
                "surfaces": surfaces,
                "bridges": _bridges(room, marks),
                "air": _air(room, marks),
                "total": bare(room.total_w),
                "emitters": _emitters(room, marks),
                "missing": ", ".join(room.missing),
                "so_far": room.so_far,
            }
        )
    return rooms
