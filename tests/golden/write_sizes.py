"""Write the golden file of the sizes of sides anew; look at the difference before you commit it.

Run it from the top folder: ``python -m tests.golden.write_sizes``.
"""

from __future__ import annotations

import itertools
import json
from pathlib import Path
from typing import Any

from wattwalk.survey.box import followed, said_again, size_of

PATH = Path(__file__).parent / "sizes.json"

ROOMS: tuple[dict[str, Any] | None, ...] = (
    None,
    {},
    {"length_m": 4.2, "width_m": 3.6, "height_m": 2.4},
    {"length_m": 3.3, "width_m": 3.3, "height_m": 2.4},
    {"width_m": 3.6, "height_m": 2.4},
    {"height_m": 2.4, "floor_area_m2": 13.5},
    {"length_m": 4.2, "width_m": 3.6, "height_m": 2.4, "floor_area_m2": 13.5},
    {"length_m": 4.2, "height_m": 2.4, "floor_area_m2": 13.5},
    {
        "length_m": 4.2,
        "width_m": 3.6,
        "height_m": 2.4,
        "floor_parts": [{"what": "bay", "where": "front", "along_m": 2.1, "depth_m": 0.7, "outer_m": 1.3}],
    },
    {"length_m": 4.2, "width_m": 3.6, "height_m": 2.4, "slopes": [{"side": "left", "low_m": 1.0, "run_m": 1.5}]},
    {"length_m": 4.2, "width_m": 3.6, "height_m": 2.4, "slopes": [{"side": "left", "low_m": 1.0}]},
)
SIDES = ("front", "right", "back", "left", "floor", "ceiling", "slope", "under", None)
OWN: tuple[dict[str, Any], ...] = (
    {},
    {"width_m": 3.1},
    {"height_m": 2.4},
    {"width_m": 4.2, "height_m": 2.4},
    {"width_m": 3.6, "height_m": 4.2},
    {"width_m": 4.2, "height_m": 3.6},
    {"width_m": 3.6, "height_m": 2.0},
    {"area_m2": 13.5},
    {"area_m2": 9, "width_m": 3.6},
)
ELEMENTS = ("wall", "window")


def cases() -> list[dict[str, Any]]:
    """Return surfaces in rooms, each with its size, what it follows, and what it says again."""
    found = []
    for room, side, own, element in itertools.product(ROOMS, SIDES, OWN, ELEMENTS):
        surface = {
            name: value for name, value in {"element": element, "side": side, **own}.items() if value is not None
        }
        found.append(
            {
                "surface": surface,
                "room": room,
                "size": size_of(surface, room),
                "followed": followed(surface, room) if room is not None else {},
                "said_again": list(said_again(surface, room)) if room is not None else [],
            }
        )
    return found


def text() -> str:
    """Return the file's text, a case on each line."""
    lines = ",\n".join(json.dumps(case, separators=(",", ":")) for case in cases())
    return f"[\n{lines}\n]\n"


if __name__ == "__main__":
    PATH.write_text(text(), encoding="utf-8")
