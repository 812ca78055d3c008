"""Changes to a survey document whose effect on the figures a designer knows beforehand."""

from __future__ import annotations

import copy
from typing import Any

from hypothesis import strategies as st

from wattwalk.survey.box import OPENINGS
from wattwalk.survey.building import Surface
from wattwalk.survey.document import read_document
from wattwalk.survey.fields import FieldType
from wattwalk.survey.kinds import KINDS

from .houses import Document, Draw, Fields, between, one

_OPPOSITE = {
    "front": "back",
    "back": "front",
    "left": "right",
    "right": "left",
    "floor": "ceiling",
    "ceiling": "floor",
}
_MIRRORED = {"floor": "ceiling", "ceiling": "floor"}
#: What insulates, as the drawn houses have it, W/mK.
_INSULATES_W_MK = 0.05
#: Looks whose table takes in insulation that was seen.
_TAKES_INSULATION = (
    "wall_solid_brick",
    "wall_stone_sandstone",
    "wall_cavity",
    "floor_solid",
    "floor_suspended",
    "floor_exposed",
    "roof_loft",
    "roof_rafters",
)


def records(document: Document, kind: str) -> list[Fields]:
    """Return the records of a kind, none when there are none."""
    return document["records"].get(kind, [])


def record(document: Document, kind: str, record_id: str) -> Fields:
    """Return one record by its id."""
    return next(item for item in records(document, kind) if item["id"] == record_id)


def copied(document: Document) -> Document:
    """Return a copy to change."""
    return copy.deepcopy(document)


def of_survey(document: Document, **fields: Any) -> Document:
    """Return a copy with these fields of the household's record; None takes one away."""
    changed = copied(document)
    household = records(changed, "survey")[0]
    for name, value in fields.items():
        household.pop(name, None)
        if value is not None:
            household[name] = value
    return changed


def sizes(document: Document) -> dict[str, tuple[float | None, float | None, float]]:
    """Return width and height in m and area in m² of every surface as it is measured, one alike of an opening."""
    found = {}
    for surface in read_document(document).measured().of_kind(Surface):
        area = surface.area_m2 if surface.area_m2 is not None else surface.width_m * surface.height_m
        found[surface.id] = (surface.width_m, surface.height_m, area)
    return found


def better_insulated(draw: Draw, construction: Fields) -> Fields | None:
    """Return a construction with more insulation than this one, or None where nothing tells how much it has."""
    better = copy.deepcopy(construction)
    known_by = construction.get("known_by")
    if known_by == "declared":
        better["u_value_w_m2k"] = max(0.05, round(construction["u_value_w_m2k"] * draw(one(0.5, 0.9)), 2))
        return better
    if known_by == "look" and construction["look"] in _TAKES_INSULATION and "insulation_mm" in construction:
        better["insulation_mm"] = min(600, construction["insulation_mm"] + draw(between(1, 200, 0)))
        return better
    if known_by == "layers":
        insulating = [row for row in better["layers"] if row.get("conductivity_w_mk", 1) <= _INSULATES_W_MK]
        if insulating and draw(st.booleans()):
            insulating[0]["thickness_mm"] += draw(between(1, 100, 0))
        else:
            better["layers"].insert(
                draw(st.integers(0, len(better["layers"]))),
                {"material": "New wool", "thickness_mm": draw(between(1, 200, 0)), "conductivity_w_mk": 0.038},
            )
        return better
    return None


def twice_as_large(document: Document) -> Document:
    """Return the house with every surface, bridge and unheated space twice as large, its rooms and its ground floor's U-value kept."""
    measured = sizes(document)
    changed = copied(document)
    for surface in records(changed, "surface"):
        if surface["element"] in OPENINGS:
            surface["count"] = 2 * surface.get("count", 1)
        else:
            for name in ("width_m", "height_m"):
                surface.pop(name, None)
            surface["area_m2"] = 2 * measured[surface["id"]][2]
    for room in records(changed, "room"):
        for bridge in room.get("bridges", []):
            bridge["length_m"] *= 2
    for space in records(changed, "unheated_space"):
        space["volume_m3"] *= 2
        for face in space["faces"]:
            face["area_m2"] *= 2
    return changed


def told_from_the_other_side(document: Document) -> Document:
    """Return the house with every partition and floor between rooms told from the room beyond it, as large as it was."""
    measured = sizes(document)
    changed = copied(document)
    turned = {}
    for surface in records(changed, "surface"):
        if surface.get("other_side") == "room" and surface["element"] not in OPENINGS:
            width, height, area = measured[surface["id"]]
            surface["room"], surface["other_room"] = surface["other_room"], surface["room"]
            surface["element"] = _MIRRORED.get(surface["element"], surface["element"])
            surface.pop("area_m2", None)
            surface |= {"width_m": width, "height_m": height} if width and height else {"area_m2": area}
            if "side" in surface:
                surface["side"] = _OPPOSITE[surface["side"]]
            turned[surface["id"]] = surface["room"]
    for surface in records(changed, "surface"):
        if surface.get("opening_in") in turned:
            surface["room"] = turned[surface["opening_in"]]
    return changed


def seen_in_a_mirror(document: Document) -> Document:
    """Return the house with left and right, front and back changed over."""
    changed = copied(document)
    for surface in records(changed, "surface"):
        if surface.get("side") in ("left", "right", "front", "back"):
            surface["side"] = _OPPOSITE[surface["side"]]
    return changed


def in_another_order(draw: Draw, document: Document) -> Document:
    """Return the house with the records of each kind, and the kinds, in another order."""
    shuffled = {}
    for kind in draw(st.permutations(sorted(document["records"]))):
        shuffled[kind] = list(draw(st.permutations(range(len(records(document, kind))))))
    return {
        **document,
        "records": {kind: [records(document, kind)[place] for place in places] for kind, places in shuffled.items()},
    }


def with_one_wall_in_two(draw: Draw, document: Document) -> Document | None:
    """Return the house with one side that has no opening told as two parts, or None where every side has one."""
    measured = sizes(document)
    holed = {surface.get("opening_in") for surface in records(document, "surface")}
    whole = [
        surface
        for surface in records(document, "surface")
        if surface["element"] not in OPENINGS
        and surface["id"] not in holed
        and measured[surface["id"]][0]
        and measured[surface["id"]][0] > 0.4
        and surface.get("other_side") != "nothing"
    ]
    if not whole:
        return None
    chosen = draw(st.sampled_from(whole))
    width, height, _ = measured[chosen["id"]]
    first = draw(between(0.1, width - 0.1))
    parts = [
        {**chosen, "id": f"{chosen['id']}-part-{number}", "width_m": part, "height_m": height}
        for number, part in enumerate((first, round(width - first, 2)))
    ]
    changed = copied(document)
    changed["records"]["surface"] = [item for item in records(changed, "surface") if item["id"] != chosen["id"]] + parts
    return changed


def with_constructions_of_their_own(document: Document) -> Document:
    """Return the house with a copy of its construction for every surface."""
    changed = copied(document)
    copies = []
    for surface in records(changed, "surface"):
        if "construction" in surface:
            own = copy.deepcopy(record(document, "construction", surface["construction"]))
            surface["construction"] = own["id"] = f"{surface['id']}-own"
            copies.append(own)
    changed["records"]["construction"] = records(changed, "construction") + copies
    return changed


def with_other_names(document: Document) -> Document:
    """Return the house with another id and another name for every record, and every reference kept."""
    every = [item for kind in document["records"].values() for item in kind]
    names = {item["id"]: f"z{number}" for number, item in enumerate(every)}
    changed = copied(document)
    for kind, items in changed["records"].items():
        references = ["id", *(spec.name for spec in KINDS[kind].fields if spec.type is FieldType.REFERENCE)]
        for item in items:
            item |= {field: names[item[field]] for field in references if field in item}
            if "name" in item:
                item["name"] = f"Other {item['name']}"
    return changed
