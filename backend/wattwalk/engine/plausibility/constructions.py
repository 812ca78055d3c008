"""Constructions: whether a U-value that no table gave can be of such an element in a house of that age."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from functools import cache

from wattwalk.catalogue import Row, table
from wattwalk.survey.building import Surface
from wattwalk.survey.constructions import DECLARED, LAYERS, LOOK, PARTS, TABLE, Construction
from wattwalk.survey.document import Survey

from ..answers import ConstructionValue, Finding
from ..answers.citing import cite_row
from ..answers.rounding import figure
from ..fabric.by_look import DEFAULTS
from ..fabric.constructions import element_words
from .limits import ABOVE_TABLE, INSIDE_DOOR, LOFT_QUILT, U_VALUES
from .said import say
from .taken import RoomTaken

#: Where each way of knowing a U-value is put right.
FIELDS = {DECLARED: "u_value_w_m2k", LAYERS: "layers", TABLE: "glazing", PARTS: "glass", LOOK: "look"}
#: The look of a door to outside.
OUTSIDE_DOOR = "door_solid"
#: How the looks of an element begin in the default tables, which go by age for what faces outside.
LOOKS_OF = {"wall": "wall_", "ceiling": "roof_", "roof": "roof_"}


@cache
def _worst(element: str, band: str) -> Row | None:
    """Return the row of the default tables with the highest U-value of an element in a house of this age, None where they do not go by age."""
    start = LOOKS_OF.get(element)
    if start is None:
        return None
    rows = [row for row in table(DEFAULTS).where("age_band", band) if row.word("look").startswith(start)]
    return max(rows, key=lambda row: row.number("u_value_w_m2k"), default=None)


def construction_findings(
    survey: Survey,
    values: Sequence[ConstructionValue],
    outside: Mapping[str | None, Collection[str | None]],
    bands: Mapping[str | None, str | None],
    inside_doors: Mapping[str, tuple[Surface, RoomTaken]],
) -> Iterator[Finding]:
    """Yield what can hardly be so of the constructions.

    Parameters
    ----------
    survey : Survey
        For how each is known.
    values : sequence of ConstructionValue
        In the order of the survey's constructions.
    outside : mapping
        For each construction that faces outside air or an unheated space, the parts of the house in which it does.
    bands : mapping
        The age band of each part; of several the one with the highest U-values rules.
    inside_doors : mapping
        The first door between two rooms of each construction.
    """
    u_values = {value.id: value.u_value_w_m2k for value in values}
    for item in survey.of_kind(Construction):
        if item.known_by == LOOK:
            quilt = item.insulation_mm
            if item.look == "roof_loft" and quilt and quilt < LOFT_QUILT.low:
                yield say(
                    "insulation_thin",
                    item.key(),
                    "insulation_mm",
                    f"{item.title} has a quilt of {figure(quilt, 0)} mm written down; hardly one is thinner than {figure(LOFT_QUILT.low, 0)} mm, and {figure(quilt, 0)} cm would be {figure(10 * quilt, 0)} mm.",
                    "Measure it again, in millimetres.",
                    LOFT_QUILT,
                )
            door = inside_doors.get(item.id)
            if door is not None and item.look == OUTSIDE_DOOR:
                yield _door(*door, item, u_values.get(item.id))
            continue
        u_value = u_values.get(item.id)
        if u_value is None or item.element is None:
            continue
        odd = _odd(item, u_value, [bands.get(part) for part in outside.get(item.id, ())])
        if odd is not None:
            yield odd


def _door(opening: Surface, room: RoomTaken, item: Construction, u_value: float | None) -> Finding:
    """Return what there is to say of a door between two rooms that looks like one to outside."""
    loses = "" if u_value is None else f" with a U-value of {figure(u_value)} W/m²K"
    return say(
        "inside_door_as_outside",
        opening.key(),
        "construction",
        f"{item.title} of {room.name} leads to another room and counts as an outside door{loses}; an inside door has about {figure(INSIDE_DOOR.high, 1)}.",
        "Choose an inside door as its construction.",
        INSIDE_DOOR,
    )


def _odd(item: Construction, u_value: float, bands: Sequence[str | None]) -> Finding | None:
    element = item.element or ""
    limit = U_VALUES.get(element)
    if limit is None:
        return None
    words, source = "", limit.source
    if not limit.holds(u_value):
        side = f"more than {figure(limit.high)}" if u_value > limit.high else f"less than {figure(limit.low)}"
        words = f"hardly {element_words(element)} has {side}"
    else:
        rows = [row for band in bands if band is not None and (row := _worst(element, band)) is not None]
        worst = max(rows, key=lambda row: row.number("u_value_w_m2k"), default=None)
        if worst is not None and u_value > ABOVE_TABLE.most(worst.number("u_value_w_m2k")):
            source = cite_row(worst)
            words = f"the default tables have at most {figure(worst.number('u_value_w_m2k'))} for {element_words(element)} of a house in age band {worst.word('age_band')}"
    if not words:
        return None
    return say(
        "u_value_odd",
        item.key(),
        FIELDS.get(item.known_by or "", "known_by"),
        f"{item.title} has a U-value of {figure(u_value)} W/m²K; {words}.",
        "Look where the point stands, whether it is a U-value or a resistance, and which age the house has.",
        source,
    )
