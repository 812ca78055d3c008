"""Write the golden files of gaps anew; look at the difference before you commit it.

Run it from the top folder: ``python -m tests.golden.write_gaps``.
"""

from __future__ import annotations

import dataclasses
import json
from pathlib import Path
from typing import Any

from tests.support.houses import changed, not_counted, small_house
from wattwalk.demo.house import house
from wattwalk.survey.box import sides_of
from wattwalk.survey.document import read_document
from wattwalk.survey.gaps import find_gaps

FOLDER = Path(__file__).parent / "gaps"


def _survey(name: str, **records: list[dict[str, Any]]) -> dict[str, Any]:
    return {"format": "wattwalk-survey", "version": 1, "id": name, "records": records}


def _holes() -> dict[str, Any]:
    """Return rooms that close and rooms that do not, in every way that decides it, for both languages."""
    size = {"length_m": 3, "width_m": 2.5, "height_m": 2.4}
    area = {"floor_area_m2": 7.5, "height_m": 2.4}
    boxes = ("closed", "bare", "parts", "told", "taken", "loose", "idle", "unmeasured")
    odd = {"edge": {}, "round": {"perimeter_m": 11}, "short": {"perimeter_m": 11}, "roof": {"perimeter_m": 0}}
    rooms = [{"id": name, "name": name.capitalize(), **size} for name in boxes]
    rooms += [{"id": name, "name": name.capitalize(), **area, **more} for name, more in odd.items()]
    # Two that were faced from different sides: what is right of the one is in front of the other.
    rooms += [{"id": f"turned-{turn}", "name": f"Turned {turn}", **size, "turn": turn} for turn in ("front", "left")]
    rooms += [{"id": "corner", "name": "Corner", **size, "floor_area_m2": 6, "perimeter_m": 3}, {"id": "new"}]
    rooms += [{"id": name, "name": name.capitalize(), **size, **more} for name, more in _shapes().items()]
    box = sides_of({})

    def wall(of: str, number: int, **fields: Any) -> dict[str, Any]:
        return {"id": f"{of}-{number}", "room": of, "element": "wall", "other_side": "outside", **fields}

    to_taken = {"element": "partition", "other_side": "room", "other_room": "taken", "side": "front"}
    return _survey(
        "holes",
        room=rooms,
        surface=[
            *not_counted("closed", *box),
            *not_counted("parts", "front", "right"),
            wall("parts", 1, side="back", width_m=2.96),
            wall("parts", 2, side="left", width_m=2.46),
            wall("parts", 3, side="ceiling", element="roof", area_m2=7.4),
            wall("parts", 4, side="floor", element="floor", width_m=1, height_m=2.5),
            *not_counted("told", "front", "right", "left", "floor"),
            wall("told", 1, element="partition", side="back", other_side="room", other_room="closed"),
            *not_counted("taken", "back", "left", "floor", "ceiling"),
            wall("told", 2, **to_taken),
            wall("told", 3, **to_taken, width_m=1.5),
            *not_counted("loose", "front", "floor", "ceiling"),
            wall("loose", 1, width_m=3, height_m=2.4),
            wall("loose", 2, area_m2=9),
            wall("loose", 3, element="partition", other_side="room", other_room="told"),
            *not_counted("idle", *box[1:]),
            {"id": "idle-0", "room": "idle", "element": "partition", "other_side": "nothing"},
            *not_counted("unmeasured", *box[1:]),
            wall("unmeasured", 1, side="front", width_m=3),
            *(item for name in (*odd, "corner") for item in not_counted(name, "floor", "ceiling")),
            *(wall("round", place, width_m=width) for place, width in enumerate((5, 3.5, 2.5))),
            wall("short", 1, side="front", width_m=5),
            wall("short", 2, area_m2=8.4),
            wall("short", 3, side="left", element="partition", other_side="room", other_room="edge", width_m=2),
            *not_counted("corner", "front", "right", "back"),
            *not_counted("turned-front", "front", "back", "left", "floor", "ceiling"),
            wall("turned-front", 9, element="partition", side="right", other_side="room", other_room="turned-left"),
            *not_counted("turned-left", "right", "back", "left", "floor", "ceiling"),
            # Under slopes: whole, without the slope, in parts, without the wall and the ceiling that are not there.
            *not_counted("roof-whole", *box, "slope"),
            *not_counted("roof-open", *box),
            *not_counted("roof-parts", *box[1:5]),
            wall("roof-parts", 1, side="front", area_m2=2),
            wall("roof-parts", 2, side="slope", element="roof", area_m2=2.5),
            *not_counted("tent", "front", "back", "floor"),
            wall("tent", 1, side="slope", element="roof"),
            # A bay and another rectangle: what follows is as long as they make it, what is said is too short for them.
            *not_counted("bay", *box),
            *not_counted("bay-short", *box[1:]),
            wall("bay-short", 1, side="front", width_m=3),
            *not_counted("wing", *box[:5]),
            wall("wing", 1, side="ceiling", element="roof", area_m2=7.5),
            *not_counted("unsettled", "floor", "front"),
        ],
    )


def _shapes() -> dict[str, dict[str, Any]]:
    """Return rooms of 3 × 2.5 × 2.4 m that are no plain box."""
    slopes = {"slopes": [{"side": "left", "low_m": 1, "run_m": 1}]}
    tent = {"slopes": [{"side": side, "low_m": 0, "run_m": 1.5} for side in ("left", "right")]}
    bay = {"floor_parts": [{"what": "bay", "where": "front", "along_m": 2, "depth_m": 0.5}]}
    wing = {"floor_parts": [{"what": "rectangle", "where": "left", "along_m": 1, "depth_m": 1}]}
    return {
        "roof-whole": slopes,
        "roof-open": slopes,
        "roof-parts": slopes,
        "tent": tent,
        "bay": bay,
        "bay-short": bay,
        "wing": wing,
        "unsettled": {**bay, **slopes},
    }


def documents() -> dict[str, dict[str, Any]]:
    """Return the documents by the name of their golden file."""
    return {
        "empty": _survey("empty"),
        "small_house": small_house(),
        "half_entered": changed(
            changed(
                changed(small_house(), "room", "hall", use=None, length_m=None, width_m=None, floor_area_m2=8.0),
                "surface",
                "between",
                other_room=None,
            ),
            "surface",
            "pane",
            opening_in=None,
            width_m=None,
            height_m=None,
            area_m2=1.8,
        ),
        "emitters": _survey(
            "emitters",
            room=[{"id": "den", "name": "Den"}, {"id": "cellar"}],
            surface=[
                {"id": "idle", "room": "den", "element": "partition", "other_side": "nothing"},
                {"id": "shared", "room": "den", "element": "partition", "other_side": "room", "other_room": "cellar"},
            ],
            emitter=[
                {"id": "a", "room": "den", "type": "panel_11", "rated_output_w": 700},
                {"id": "b", "room": "den", "type": "panel_22", "height_mm": 600},
                {"id": "c", "room": "cellar", "type": "underfloor"},
                {"id": "d", "room": "cellar", "type": "underfloor", "heated_area_m2": 4, "declared_w_m2k": 3.0},
                {"id": "e", "room": "cellar", "type": "fan_convector"},
                {"id": "f"},
            ],
        ),
        "outside": _survey(
            "outside",
            survey=[{"id": "s", "outside_design_temperature_c": -3}],
            outdoor_position=[
                {"id": "bare"},
                {
                    "id": "full",
                    "name": "Yard",
                    "wall_faced": "free",
                    "reflecting_surfaces": "one",
                    "condensate_route": "gravel",
                    "neighbour_distance_m": 9,
                },
            ],
            nearby_object=[{"id": "near", "position": "full", "type": "drain", "along_m": 0, "out_m": 0.5}],
            base=[
                {"id": "slab", "position": "bare", "made_of": "concrete", "length_mm": 1000, "width_mm": 700},
                {"id": "frame", "position": "full", "made_of": "frame"},
                {"id": "blank"},
            ],
            level_reading=[
                {"id": "one", "base": "slab", "x_mm": 0, "y_mm": 0, "reading_mm": 1},
                {"id": "two", "base": "slab", "x_mm": 900, "y_mm": 0},
            ],
        ),
        "routes": _survey(
            "routes",
            pipe_run=[
                {"id": "floor", "purpose": "primary", "constraint": "finished_floor", "stretches": []},
                {"id": "free", "name": "Tap", "purpose": "hot_water", "constraint": "none"},
            ],
            cable_run=[
                {"id": "bus", "purpose": "bus", "parallel_to_mains_m": 0},
                {"id": "oven", "purpose": "immersion", "cores": 3},
                {"id": "blank", "is_there": False},
            ],
            photo=[{"id": "meter", "category": "meter"}, {"id": "odd", "caption": "What is this"}],
            hazard=[{"id": "height", "type": "height"}],
            price_line=[{"id": "line"}],
            design=[{"id": "design"}],
        ),
        "footprint": _survey(
            "footprint",
            survey=[{"id": "s", "household_name": "Quince", "exposed_perimeter_m": 20}],
            construction=[
                {
                    "id": "known",
                    "name": "Declared",
                    "element": "ground_floor",
                    "known_by": "declared",
                    "u_value_w_m2k": 0.2,
                },
                {
                    "id": "own",
                    "name": "Extension",
                    "element": "ground_floor",
                    "known_by": "look",
                    "look": "floor_solid",
                    "own_area_m2": 12,
                    "own_edge_m": 9,
                },
                {
                    "id": "look",
                    "name": "Boards",
                    "element": "ground_floor",
                    "known_by": "look",
                    "look": "floor_suspended",
                },
            ],
        ),
        "floors": _survey(
            "floors",
            survey=[{"id": "s", "ground_floor_area_m2": 50}],
            construction=[
                {"id": "boards", "name": "Boards", "element": "ground_floor", "known_by": "layers"},
                {
                    "id": "papers",
                    "name": "Papers",
                    "element": "ground_floor",
                    "known_by": "declared",
                    "declared_for": "alone",
                    "u_value_w_m2k": 0.6,
                },
                {"id": "seen", "name": "Seen", "element": "ground_floor", "known_by": "look", "look": "floor_solid"},
            ],
            surface=[
                {"id": f"of-{made}", "element": "ground_floor", "other_side": "ground", "construction": made}
                for made in ("boards", "papers", "seen")
            ]
            + [
                {
                    "id": "said",
                    "element": "ground_floor",
                    "other_side": "ground",
                    "construction": "boards",
                    "below": "void",
                },
                {"id": "upper", "element": "floor", "other_side": "outside", "construction": "boards"},
                {"id": "lost", "element": "ground_floor", "other_side": "ground"},
            ],
        ),
        # What only the office can answer is a gap of the office's, whatever record it belongs to; what the firm's list leaves out is none.
        "office": _survey(
            "office",
            survey=[{"id": "s", "household_name": "Quince", "ventilation_method": "mechanical"}],
            unit=[{"id": "own"}, {"id": "firm", "firm_list": "there"}],
            scope_item=[{"id": "work", "trade": "builder", "what": "Lay the base"}],
        ),
        "holes": _holes(),
        "demo_house": house(),
    }


def golden(document: dict[str, Any]) -> dict[str, Any]:
    """Return a document beside its gaps, the form of a golden file."""
    return {"document": document, "gaps": [dataclasses.asdict(gap) for gap in find_gaps(read_document(document))]}


if __name__ == "__main__":
    FOLDER.mkdir(exist_ok=True)
    for name, document in documents().items():
        (FOLDER / f"{name}.json").write_text(
            json.dumps(golden(document), ensure_ascii=False, indent=1) + "\n", encoding="utf-8"
        )
