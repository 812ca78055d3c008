"""Houses for tests: one small and plain, one as long as asked for, and a way to change a document in a line."""

from __future__ import annotations

import base64
import copy
import hashlib
import io
from collections.abc import Iterator
from math import ceil
from typing import Any

from PIL import Image, ImageDraw

Document = dict[str, Any]


def not_counted(room: str, *sides: str) -> list[dict[str, Any]]:
    """Return what says of sides of a room that nothing worth counting is beyond them."""
    elements = {"floor": "floor", "ceiling": "ceiling"}
    return [
        {
            "id": f"{room}-{side}",
            "room": room,
            "side": side,
            "element": elements.get(side, "partition"),
            "other_side": "nothing",
        }
        for side in sides
    ]


def small_house() -> Document:
    """Return two rooms side by side that close: a living room and a hall, every figure known and plain."""
    return {
        "format": "wattwalk-survey",
        "version": 1,
        "id": "small-house",
        "records": {
            "survey": [
                {
                    "id": "s",
                    "household_name": "Test household",
                    "postcode": "LS40 0VK",
                    "visit_date": "2026-03-12",
                    "age_band": "C",
                    "outside_design_temperature_c": -3,
                    "ground_floor_area_m2": 56,
                    "exposed_perimeter_m": 22,
                }
            ],
            "construction": [
                {
                    "id": "wall",
                    "name": "Wall",
                    "element": "wall",
                    "known_by": "declared",
                    "u_value_w_m2k": 0.57,
                    "thickness_mm": 300,
                },
                {"id": "window", "name": "Window", "element": "window", "known_by": "declared", "u_value_w_m2k": 2.0},
                {
                    "id": "inner",
                    "name": "Inner wall",
                    "element": "partition",
                    "known_by": "declared",
                    "u_value_w_m2k": 2.03,
                },
                {
                    "id": "slab",
                    "name": "Slab",
                    "element": "ground_floor",
                    "known_by": "look",
                    "look": "floor_solid",
                    "insulation_mm": 0,
                },
                {
                    "id": "loft",
                    "name": "Loft",
                    "element": "ceiling",
                    "known_by": "look",
                    "look": "roof_loft",
                    "insulation_mm": 100,
                },
            ],
            "room": [
                {"id": "living", "name": "Living room", "use": "living", "length_m": 5, "width_m": 4, "height_m": 2.4},
                {"id": "hall", "name": "Hall", "use": "hall", "length_m": 4, "width_m": 2, "height_m": 2.4},
            ],
            "surface": [
                {
                    "id": "front",
                    "room": "living",
                    "element": "wall",
                    "construction": "wall",
                    "width_m": 5,
                    "height_m": 2.4,
                    "other_side": "outside",
                },
                {
                    "id": "pane",
                    "room": "living",
                    "element": "window",
                    "construction": "window",
                    "opening_in": "front",
                    "width_m": 1.5,
                    "height_m": 1.2,
                },
                {
                    "id": "between",
                    "room": "living",
                    "element": "partition",
                    "construction": "inner",
                    "width_m": 4,
                    "height_m": 2.4,
                    "other_side": "room",
                    "other_room": "hall",
                },
                {
                    "id": "floor",
                    "room": "living",
                    "element": "ground_floor",
                    "construction": "slab",
                    "width_m": 5,
                    "height_m": 4,
                    "other_side": "ground",
                },
                {
                    "id": "top",
                    "room": "hall",
                    "element": "ceiling",
                    "construction": "loft",
                    "width_m": 4,
                    "height_m": 2,
                    "other_side": "outside",
                },
                *not_counted("living", "back", "left", "ceiling"),
                *not_counted("hall", "back", "left", "right", "floor"),
            ],
            "emitter": [
                {"id": "radiator", "room": "living", "type": "panel_22", "rated_output_w": 3000, "exponent": 1.3},
                {"id": "small", "room": "hall", "type": "panel_11", "height_mm": 600, "length_mm": 1000},
            ],
        },
    }


def terrace(rooms: int, storeys: int = 1) -> Document:
    """Return a house with so many rooms in a row on each of its storeys, each with eight surfaces and two emitters, for the benchmark."""
    document = small_house()
    records = document["records"]
    records["room"], records["surface"], records["emitter"] = [], [], []
    # Many rooms in a row are deep ones: no house is eighty metres long and three and a half deep.
    row = ceil(rooms / storeys)
    deep_m = max(3.5, ceil(3.1 * row) / 10)
    records["survey"][0].update(ground_floor_area_m2=round(4 * deep_m * row, 1), exposed_perimeter_m=8 * row)
    if storeys > 1:
        between = {"id": "between", "name": "Floor between", "element": "floor", "known_by": "declared"}
        records["construction"].append({**between, "u_value_w_m2k": 1.5})
    for place in range(rooms):
        name = f"room-{place}"
        up, along = divmod(place, row)
        records["room"].append(
            {
                "id": name,
                "name": f"Room {place}",
                "use": "living" if place % 2 else "bedroom",
                "length_m": 4,
                "width_m": deep_m,
                "height_m": 2.4,
                **({"storey": ("ground", "first", "second")[up]} if storeys > 1 else {}),
            }
        )
        for side in ("front", "back"):
            wall = f"{side}-{place}"
            records["surface"] += [
                {
                    "id": wall,
                    "room": name,
                    "element": "wall",
                    "side": side,
                    "construction": "wall",
                    "width_m": 4,
                    "height_m": 2.4,
                    "other_side": "outside",
                },
                {
                    "id": f"{wall}-window",
                    "room": name,
                    "element": "window",
                    "construction": "window",
                    "opening_in": wall,
                    "width_m": 1.2,
                    "height_m": 1.2,
                },
            ]
        flat = {"room": name, "width_m": 4, "height_m": deep_m}
        if up == 0:
            below = {"element": "ground_floor", "construction": "slab", "other_side": "ground"}
        else:
            below = {"element": "floor", "construction": "between", "other_side": "room"}
            below["other_room"] = f"room-{place - row}"
        records["surface"].append({"id": f"floor-{place}", **flat, **below})
        if place + row >= rooms:
            above = {"element": "ceiling", "construction": "loft", "other_side": "outside"}
            records["surface"].append({"id": f"top-{place}", **flat, **above})
        if along:
            records["surface"].append(
                {
                    "id": f"between-{place}",
                    "room": name,
                    "element": "partition",
                    "construction": "inner",
                    "width_m": deep_m,
                    "height_m": 2.4,
                    "other_side": "room",
                    "other_room": f"room-{place - 1}",
                }
            )
        for is_end, side in ((along == 0, "left"), (along == row - 1 or place == rooms - 1, "right")):
            records["surface"] += not_counted(name, side) if is_end else []
        for number in (1, 2):
            records["emitter"].append(
                {
                    "id": f"emitter-{place}-{number}",
                    "room": name,
                    "type": "panel_22",
                    "height_mm": 600,
                    "length_mm": 900,
                }
            )
    return document


def changed(document: Document, kind: str, record_id: str, **fields: Any) -> Document:
    """Return a copy of a document with some fields of one record changed (``None`` takes a field away)."""
    copied = copy.deepcopy(document)
    record = next(item for item in copied["records"][kind] if item["id"] == record_id)
    record.update(fields)
    for name in [name for name, value in fields.items() if value is None]:
        del record[name]
    return copied


def with_records(document: Document, kind: str, *records: dict[str, Any]) -> Document:
    """Return a copy of a document with more records of one kind."""
    copied = copy.deepcopy(document)
    copied["records"].setdefault(kind, []).extend(copy.deepcopy(list(records)))
    return copied


def without(document: Document, kind: str, record_id: str) -> Document:
    """Return a copy of a document without one record."""
    copied = copy.deepcopy(document)
    copied["records"][kind] = [item for item in copied["records"][kind] if item["id"] != record_id]
    return copied


def large_house(rooms: int = 60, surfaces: int = 600) -> Document:
    """Return a terrace of three storeys as large as surveys are promised to be: floors in two parts and more windows until it has so many surfaces."""
    document = terrace(rooms, 3)
    document["id"] = "large-house"
    found = document["records"]["surface"]
    known = {item["id"]: item for item in found}
    for number in range(surfaces - len(found)):
        turn, place = divmod(number, rooms)
        if turn == 0:
            half = known[f"floor-{place}"]
            half["width_m"] = 2
            found.append({**half, "id": f"{half['id']}-more"})
        else:
            found.append(
                {
                    "id": f"pane-{number}",
                    "room": f"room-{place}",
                    "element": "window",
                    "construction": "window",
                    "opening_in": f"front-{place}",
                    "width_m": 0.5,
                    "height_m": 0.9,
                }
            )
    return document


def with_photos(document: Document, pictures: list[bytes]) -> Document:
    """Return a copy of a document with these JPEGs as its photos, by turns of its rooms and of nothing in particular, their bytes inlined."""
    rooms = [record["id"] for record in document["records"]["room"]]
    records, inlined = [], {}
    for number, data in enumerate(pictures):
        sha256 = hashlib.sha256(data).hexdigest()
        of = {"of": rooms[number // 2 % len(rooms)], "category": "room"} if number % 2 else {"category": "other"}
        records.append(
            {
                "id": f"photo-{number}",
                **of,
                "caption": f"Picture {number + 1}",
                "sha256": sha256,
                "media_type": "image/jpeg",
                "size_bytes": len(data),
            }
        )
        inlined[sha256] = {"media_type": "image/jpeg", "base64": base64.b64encode(data).decode()}
    return {**with_records(document, "photo", *records), "photos": inlined}


def camera_pictures(count: int, width: int = 1600, height: int = 1200) -> Iterator[bytes]:
    """Yield JPEGs of a camera's shape, no two alike."""
    for number in range(count):
        image = Image.linear_gradient("L").resize((width, height)).convert("RGB")
        ImageDraw.Draw(image).rectangle(
            (number * 4 % width, height // 4, number * 4 % width + 300, height * 3 // 4),
            fill=(number % 256, 90, number // 256 * 80),
        )
        written = io.BytesIO()
        image.save(written, "JPEG", quality=75)
        yield written.getvalue()
