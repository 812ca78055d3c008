"""Where all that places said of their units lies now, as a golden file that the phone is held to as well.

Run `python -m tests.golden.write_moved` after a change that is meant, and look at the difference.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from tests.golden.write_old_units import old_documents
from wattwalk.survey.moved import Held, moves_of

FILE = Path(__file__).with_name("moved.json")
_GONE = {"unit_mass_kg": 80, "deleted": True}


def cases() -> dict[str, list[dict[str, Any]]]:
    """Return the records that are looked at, by the case's name: those of the old documents, and some that no document holds."""
    made = {
        name: [
            {"kind": kind, "id": item["id"], "values": {key: value for key, value in item.items() if key != "id"}}
            for kind in ("outdoor_position", "unit", "design")
            for item in document["records"].get(kind, [])
        ]
        for name, document in old_documents().items()
    }
    place = {"kind": "outdoor_position", "id": "p", "values": {"unit_mass_kg": 90, "name": "x" * 200}}
    made["a place was taken away"] = [
        {"kind": "outdoor_position", "id": "gone", "values": _GONE},
        place,
        {"kind": "unit", "id": "u", "values": {}},
        {"kind": "design", "id": "d", "values": {"unit": "u"}},
    ]
    made["the chosen unit was taken away"] = [
        place,
        {"kind": "unit", "id": "u", "values": {"deleted": True}},
        {"kind": "design", "id": "d", "values": {"unit": "u", "unit_name": "Ours"}},
    ]
    made["the design was taken away"] = [
        place,
        {"kind": "unit", "id": "u", "values": {}},
        {"kind": "design", "id": "d", "values": {"unit": "u", "deleted": True}},
    ]
    made["nothing but a shape, and a long id"] = [
        {"kind": "outdoor_position", "id": "q" * 64, "values": {"zone_shape": "corners", "second_sound_power_dba": 50}}
    ]
    return made


def moved(records: list[dict[str, Any]]) -> dict[str, Any]:
    """Return what Python says of these records."""
    moves = moves_of(
        Held(item["kind"], item["id"], item["values"], item["values"].get("deleted") is True) for item in records
    )
    return {
        "to": [[*path, *to] for path, to in moves.to.items()],
        "said": [[said.kind, said.id, said.field, said.value, said.place] for said in moves.said],
    }


def written() -> str:
    """Return the golden file."""
    lines = [
        json.dumps({"name": name, "records": records, "moved": moved(records)}, ensure_ascii=False)
        for name, records in cases().items()
    ]
    return "[\n" + ",\n".join(lines) + "\n]\n"


if __name__ == "__main__":
    FILE.write_text(written(), encoding="utf-8")
