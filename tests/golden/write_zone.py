"""What the engine says of things near a unit, as a golden file that the phone is held to as well.

Run `python -m tests.golden.write_zone` after a change that is meant, and look at the difference.
"""

from __future__ import annotations

import itertools
import json
from pathlib import Path
from typing import Any

from wattwalk.engine.place.zone_findings import position_findings
from wattwalk.survey.document import read_document
from wattwalk.survey.site import OutdoorPosition

FILE = Path(__file__).with_name("zone.json")

_BODY = {"width_mm": 1100, "depth_mm": 450, "height_mm": 1000}
_CLEAR = {"clear_back_mm": 300}
#: Each place with the unit that stands at it; None while none is chosen.
PLACES: dict[str, tuple[dict[str, Any], dict[str, Any] | None]] = {
    "whole": (_CLEAR, _BODY),
    "free": ({**_CLEAR, "wall_faced": "free"}, _BODY),
    "wall": ({**_CLEAR, "wall_faced": "house_wall", "zone_shape": "free"}, _BODY),
    "corner": ({**_CLEAR, "reflecting_surfaces": "three"}, _BODY),
    "corner_left": ({**_CLEAR, "zone_shape": "corner_left", "clear_left_mm": 1000}, _BODY),
    "corner_right": ({**_CLEAR, "zone_shape": "corner_right", "clear_right_mm": 1000}, _BODY),
    "wider": (
        {**_CLEAR, "wall_faced": "free", "zone_reach_m": 1.0, "zone_side_m": 2.25, "zone_front_m": 0.5},
        {**_BODY, "refrigerant": "r290"},
    ),
    "older_name": ({**_CLEAR, "zone_shape": "sides", "wall_faced": "free"}, _BODY),
    "no_height": (_CLEAR, {name: value for name, value in _BODY.items() if name != "height_mm"}),
    "no_size": ({}, {"height_mm": 1000}),
    "no_unit": (_CLEAR, None),
    "mildly_flammable": (_CLEAR, {**_BODY, "refrigerant": "r32"}),
    "class_not_known": (_CLEAR, {**_BODY, "refrigerant": "other"}),
    "does_not_burn": (_CLEAR, {**_BODY, "refrigerant": "other", "safety_class": "a1"}),
}
#: Just inside, on and just outside the edges of the zones above, and far off.
_ALONG = (0.0, -1.5, 1.55, 1.56, -2.15, 2.16, 2.8, -2.81, 3.75, -3.75, 3.76)
_OUT = (0.0, 1.0, 1.75, 1.76, 2.35, 2.36, 3.0, 3.02, 3.95, 3.96)
_UP = (-0.5, 0.15, 1.0, 1.01)
_TYPES = ("air_brick", "gully", "socket", "boundary", "other")
_REMEDIES: tuple[dict[str, Any], ...] = (
    {},
    {"remedy": "close_off"},
    {"remedy": "close_off", "remedy_done": True},
    {"remedy": "move", "remedy_done": True},
    {"remedy": "other", "remedy_done": True},
    {"remedy": "none_needed", "remedy_done": True},
)


def objects() -> list[dict[str, Any]]:
    """Return the things that are judged: every edge once for an air brick, every type, every remedy, every missing measure."""
    made: list[dict[str, Any]] = [
        {"type": "air_brick", "along_m": along, "out_m": out, "up_m": up}
        for along, out, up in itertools.product(_ALONG, _OUT, _UP)
    ]
    near = {"along_m": 0.4, "out_m": 0.5, "up_m": 0.1}
    made += [{"type": kind, **near} for kind in _TYPES]
    made += [{"type": "door", **near, **remedy} for remedy in _REMEDIES]
    made += [
        {name: value for name, value in {"type": "drain", **near}.items() if name != missing}
        for missing in ("type", *near)
    ]
    return made


def said(position: dict[str, Any], unit: dict[str, Any] | None, thing: dict[str, Any]) -> str | None:
    """Return how severe the engine finds the thing's place, or None when it has nothing to say of it."""
    survey = read_document(
        {
            "format": "wattwalk-survey",
            "version": 3,
            "id": "zone",
            "records": {
                "outdoor_position": [{"id": "place", **({"unit": "u"} if unit is not None else {}), **position}],
                "unit": [] if unit is None else [{"id": "u", **unit}],
                "nearby_object": [{"id": "thing", "position": "place", **thing}],
            },
        }
    )
    found = [
        finding
        for finding in position_findings(survey, survey.of_kind(OutdoorPosition)[0])
        if finding.record == "nearby_object/thing"
    ]
    return found[0].severity.value if found else None


def golden() -> dict[str, Any]:
    """Return the whole golden file: the places with their units, and for each place what is said of each thing in turn."""
    things = objects()
    return {
        "places": {name: {"position": position, "unit": unit} for name, (position, unit) in PLACES.items()},
        "objects": things,
        "said": {name: [said(position, unit, thing) for thing in things] for name, (position, unit) in PLACES.items()},
    }


def as_text() -> str:
    """Return the golden file's text: one thing per line, so that a difference can be read."""
    content = golden()
    lines = ",\n".join(f"  {json.dumps(item)}" for item in content["objects"])
    positions = ",\n".join(f"  {json.dumps(name)}: {json.dumps(value)}" for name, value in content["places"].items())
    words = ",\n".join(f"  {json.dumps(name)}: {json.dumps(value)}" for name, value in content["said"].items())
    return f'{{\n"places": {{\n{positions}\n}},\n"objects": [\n{lines}\n],\n"said": {{\n{words}\n}}\n}}\n'


if __name__ == "__main__":
    FILE.write_text(as_text(), encoding="utf-8")
