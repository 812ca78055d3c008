"""Write the golden files of gaps anew; look at the difference before you commit it.

Run it from the top folder: ``python -m tests.golden.write_gaps``.
"""

from __future__ import annotations

import dataclasses
import json
from pathlib import Path
from typing import Any

from tests.support.houses import changed, small_house
from wattwalk.demo.house import house
from wattwalk.survey.document import read_document
from wattwalk.survey.gaps import find_gaps

FOLDER = Path(__file__).parent / "gaps"


def _survey(name: str, **records: list[dict[str, Any]]) -> dict[str, Any]:
    return {"format": "wattwalk-survey", "version": 1, "id": name, "records": records}


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
