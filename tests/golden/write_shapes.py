"""Write the golden file of the shapes of rooms anew; look at the difference before you commit it.

Run it from the top folder: ``python -m tests.golden.write_shapes``.
"""

from __future__ import annotations

import itertools
import json
from pathlib import Path
from typing import Any

from wattwalk.survey.box import sides_of
from wattwalk.survey.shape import shape_of

PATH = Path(__file__).parent / "shapes.json"

BOX = {"length_m": 5.2, "width_m": 3.9, "height_m": 2.4}
CORNER = {"what": "corner", "where": "front_left", "along_m": 1.4, "depth_m": 2.0}
RECTANGLE = {"what": "rectangle", "where": "right", "along_m": 1.7, "depth_m": 1.1}
BAY = {"what": "bay", "where": "front", "along_m": 2.2, "depth_m": 0.65, "outer_m": 1.3}
LEFT = {"side": "left", "low_m": 1.05, "run_m": 1.6}
RIGHT = {"side": "right", "low_m": 0.0, "slope_m": 3.3}
FRONT = {"side": "front", "low_m": 1.3, "run_m": 1.25}
BACK = {"side": "back", "low_m": 1.05, "run_m": 1.25}

PARTS: tuple[list[dict[str, Any]], ...] = (
    [CORNER],
    [RECTANGLE],
    [BAY],
    [{key: value for key, value in BAY.items() if key != "outer_m"}],
    [CORNER, RECTANGLE, BAY],
    [CORNER, {**CORNER, "where": "front_right"}],
    [CORNER, {**CORNER, "where": "front_right", "along_m": 4.0}],
    [CORNER, {**CORNER, "where": "back_right", "along_m": 4.0, "depth_m": 2.5}],
    [CORNER, CORNER],
    [{**CORNER, "along_m": 5.2}],
    [{**CORNER, "where": "front"}],
    [{**RECTANGLE, "along_m": 4.0}],
    [{**BAY, "where": "back_left"}],
    [{"what": "bay", "where": "front", "along_m": 2.2}],
    [{}],
)
SLOPES: tuple[list[dict[str, Any]], ...] = (
    [LEFT],
    [RIGHT],
    [LEFT, RIGHT],
    [LEFT, FRONT],
    [FRONT, BACK],
    [LEFT, RIGHT, FRONT, BACK],
    [{**LEFT, "run_m": 2.6}, {**LEFT, "side": "right", "run_m": 2.6}],
    [{**LEFT, "low_m": 2.4}],
    [{**LEFT, "low_m": 2.4}, {**FRONT, "low_m": 2.4}],
    [{**LEFT, "low_m": 2.5}],
    [{"side": "left", "low_m": 1.0}],
    [{"side": "left", "low_m": 1.0, "slope_m": 1.2}],
    [LEFT, LEFT],
    [{**LEFT, "run_m": 4.0}, RIGHT],
    [{}],
)


def rooms() -> list[dict[str, Any]]:
    """Return rooms that are no plain box, whole ones and such as cannot be."""
    found: list[dict[str, Any]] = [BOX, {**BOX, "floor_area_m2": 18.5}, {**BOX, "floor_parts": [], "slopes": []}]
    found += [{**BOX, "floor_parts": parts} for parts in PARTS]
    found += [{**BOX, "slopes": slopes} for slopes in SLOPES]
    for less, more in itertools.product(
        ("length_m", "width_m", "height_m"), ({"floor_parts": [CORNER, BAY]}, {"slopes": [LEFT]})
    ):
        found.append({**{name: size for name, size in BOX.items() if name != less}, **more})
    found += [
        {"height_m": 2.4, "floor_area_m2": 18.5, "floor_parts": [BAY, RECTANGLE]},
        {**BOX, "floor_area_m2": 18.5, "floor_parts": [BAY]},
        {**BOX, "floor_parts": [BAY], "slopes": [LEFT]},
        {**BOX, "floor_area_m2": 18.5, "slopes": [LEFT]},
    ]
    return found


def cases() -> list[dict[str, Any]]:
    """Return each room with what its shape says."""
    found = []
    for room in rooms():
        shape = shape_of(room)
        told = shape and {
            "floor": shape.floor_m2,
            "volume": shape.volume_m3,
            "sides": shape.sides,
            "troubles": list(shape.troubles),
        }
        found.append({"room": room, "sides": sorted(sides_of(room)), "shape": told})
    return found


def text() -> str:
    """Return the file's text, a case on each line."""
    lines = ",\n".join(json.dumps(case, separators=(",", ":")) for case in cases())
    return f"[\n{lines}\n]\n"


if __name__ == "__main__":
    PATH.write_text(text(), encoding="utf-8")
