"""What older surveys said of a unit at the place where it stands: it lies on the unit now.

One rule for documents (``document.py``), logs (``sync/old_units.py``) and what a phone holds (``pwa/src/store/old_units.ts``, held by
``tests/golden/old_units``). At the first place the data goes onto the unit that the design has chosen, since every check took both
together; anywhere else, and while none is chosen, a unit is made of it, so that each check goes on with what it took.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

PLACE, UNIT, DESIGN = "outdoor_position", "unit", "design"
#: Fields of a place that are fields of its unit now.
MOVED = {
    "refrigerant": "refrigerant",
    "zone_corners": "zone_corners",
    "unit_width_mm": "width_mm",
    "unit_depth_mm": "depth_mm",
    "unit_height_mm": "height_mm",
    "unit_mass_kg": "mass_kg",
    "heavy_side": "heavy_side",
    "feet_across_mm": "feet_across_mm",
    "feet_deep_mm": "feet_deep_mm",
    "foot_pad_cm2": "foot_pad_cm2",
    "feet_mount": "feet_mount",
    "level_tolerance_mm_m": "level_tolerance_mm_m",
    "sound_power_dba": "sound_power_dba",
    "maximum_current_a": "maximum_current_a",
    "backup_heater_kw": "backup_heater_kw",
    "residual_head_kpa": "residual_head_kpa",
    "minimum_flow_l_min": "minimum_flow_l_min",
    "minimum_volume_l": "minimum_volume_l",
    "unit_content_l": "content_l",
    "need_back_mm": "need_back_mm",
    "need_left_mm": "need_left_mm",
    "need_right_mm": "need_right_mm",
    "need_front_mm": "need_front_mm",
    "need_above_mm": "need_above_mm",
}
#: Of a second unit a place said this one thing.
SECOND, SECOND_BECOMES = "second_sound_power_dba", "sound_power_dba"
#: A place whose zone had the maker's corners said so by its shape.
SHAPE, BY_CORNERS, DRAWING = "zone_shape", "corners", "zone_drawing"
#: The longest name that a unit takes.
LONGEST_NAME = 120


@dataclass(frozen=True)
class Held:
    """One record as it is stored, the reserved field ``deleted`` apart."""

    kind: str
    id: str
    values: Mapping[str, Any]
    is_deleted: bool = False


@dataclass(frozen=True)
class Said:
    """One thing that has to be said because a unit's data moved, and the place it is said for."""

    kind: str
    id: str
    field: str
    value: Any
    place: str


@dataclass
class Moves:
    """Where each moved field of a place lies now, ``{(place, field): (unit, field)}``, and what has to be said beside it, in order."""

    to: dict[tuple[str, str], tuple[str, str]] = field(default_factory=dict)
    said: list[Said] = field(default_factory=list)


def own_unit_of(place: str) -> str:
    """Return the id of the unit made of what a place said."""
    return f"unit-of-{place[-56:]}"


def second_unit_of(place: str) -> str:
    """Return the id of the unit made of what a place said of a second one."""
    return f"second-of-{place[-54:]}"


def moves_of(records: Iterable[Held]) -> Moves:
    """Return where all that places said of their units lies now.

    Parameters
    ----------
    records : iterable of Held
        The records of a survey in the order in which they were made; only places, units and the design are looked at.
    """
    held = [item for item in records if item.kind in (PLACE, UNIT, DESIGN)]
    units = {item.id for item in held if item.kind == UNIT and not item.is_deleted}
    design = next((item for item in held if item.kind == DESIGN and not item.is_deleted), None)
    places = [item for item in held if item.kind == PLACE]
    first = next((item for item in places if not item.is_deleted), None)
    moves = Moves()
    for place in places:
        _move_unit(moves, place, design if place is first else None, units)
        if place.values.get(SECOND) is not None:
            unit = second_unit_of(place.id)
            moves.to[place.id, SECOND] = (unit, SECOND_BECOMES)
            moves.said += _made(unit, _name("Second unit", place), place)
            moves.said.append(Said(PLACE, place.id, "second_unit", unit, place.id))
    return moves


def _move_unit(moves: Moves, place: Held, design: Held | None, units: set[str]) -> None:
    """Move what one place says of its unit; `design` is given for the first place only, which the chosen unit stands at."""
    named = [name for name in MOVED if place.values.get(name) is not None]
    by_corners = place.values.get(SHAPE) == BY_CORNERS
    if not named and not by_corners:
        return
    chosen = None if design is None else design.values.get("unit")
    unit = chosen if isinstance(chosen, str) and chosen in units else own_unit_of(place.id)
    moves.to |= {(place.id, name): (unit, MOVED[name]) for name in named}
    if unit != chosen:
        words = None if design is None else design.values.get("unit_name")
        moves.said += _made(unit, words if isinstance(words, str) else _name("Unit", place), place)
        # What the design called by its name only is the unit that it has chosen.
        if design is not None and chosen is None and words is not None:
            moves.said.append(Said(DESIGN, design.id, "unit", unit, place.id))
        else:
            moves.said.append(Said(PLACE, place.id, "unit", unit, place.id))
    if by_corners:
        moves.said.append(Said(UNIT, unit, DRAWING, BY_CORNERS, place.id))
        moves.said.append(Said(PLACE, place.id, SHAPE, None, place.id))


def _name(what: str, place: Held) -> str:
    name = place.values.get("name")
    return (
        f"{what} at: {name}"[:LONGEST_NAME] if isinstance(name, str) and name else f"{what} of a place without a name"
    )


def _made(unit: str, name: str, place: Held) -> list[Said]:
    said = [Said(UNIT, unit, "name", name, place.id)]
    # It goes with a place that was taken away.
    return [*said, Said(UNIT, unit, "deleted", True, place.id)] if place.is_deleted else said


def taken_over(records: Mapping[str, Any]) -> Mapping[str, Any]:
    """Return the part ``records`` of an older document (kind to list of objects with an id) with each unit's data on the unit.

    What has not the form of a record is left for the reader to refuse.
    """
    listed = {
        kind: items for kind, items in records.items() if kind in (PLACE, UNIT, DESIGN) and isinstance(items, list)
    }
    moves = moves_of(
        Held(kind, item["id"], item)
        for kind in (PLACE, UNIT, DESIGN)
        for item in listed.get(kind, [])
        if isinstance(item, Mapping) and isinstance(item.get("id"), str)
    )
    made: dict[tuple[str, str], dict[str, Any]] = {
        (kind, item["id"]): dict(item) for kind, items in listed.items() for item in items if _is_record(item)
    }
    for (place, name), (unit, becomes) in moves.to.items():
        value = made[PLACE, place].pop(name)
        made.setdefault((UNIT, unit), {"id": unit})[becomes] = value
    for said in moves.said:
        made.setdefault((said.kind, said.id), {"id": said.id})[said.field] = said.value
        if said.value is None:
            del made[said.kind, said.id][said.field]
    for (kind, _), item in made.items():
        for name in (*MOVED, SECOND) if kind == PLACE else ():
            # Written down as not known.
            if name in item and item[name] is None:
                del item[name]
    result = dict(records)
    for kind in dict.fromkeys([*listed, *(kind for kind, _ in made)]):
        known = [item["id"] for item in listed.get(kind, []) if _is_record(item)]
        result[kind] = [
            *(made[kind, item["id"]] if _is_record(item) else item for item in listed.get(kind, [])),
            *(item for (of, id), item in made.items() if of == kind and id not in known),
        ]
    return result


def taken_over_records(records: Iterable[tuple[str, str, Mapping[str, Any]]]) -> list[tuple[str, str, dict[str, Any]]]:
    """Return records as an older program stored them, each as kind, id and values, with each unit's data on the unit."""
    by_kind: dict[str, list[dict[str, Any]]] = {}
    for kind, id, values in records:
        by_kind.setdefault(kind, []).append({"id": id, **values})
    return [
        (kind, item["id"], {name: value for name, value in item.items() if name != "id"})
        for kind, items in taken_over(by_kind).items()
        for item in items
    ]


def _is_record(item: Any) -> bool:
    return isinstance(item, Mapping) and isinstance(item.get("id"), str)
