"""What the phone needs to say where a house stands before the engine is there, from the catalogue: written beside the answers' types by `answer_types.py`."""

from __future__ import annotations

import json
from typing import Any

from wattwalk.catalogue import table
from wattwalk.engine.climate.agreement import NATIONS, PLACES
from wattwalk.engine.climate.design_cold import BY_REGION, POSTCODES
from wattwalk.survey.household import SurveyRecord

#: Boxes of the map that lie in one nation without doubt; between them a position says nothing of it.
SURE_NATIONS = "sure_nations_2026"


def tables() -> dict[str, Any]:
    """Return the tables by their names: of stations, of postcodes, of nations."""
    stations = [choice.value for choice in SurveyRecord.kind.field("design_location").choices]
    nations: dict[str, list[str]] = {}
    for row in table(NATIONS).rows:
        nations.setdefault(row.word("area"), []).append(row.word("nation"))
    regions: dict[str, list[list[float | None]]] = {}
    for row in table(POSTCODES).rows:
        line = [row.number_if_any("from_district"), row.number_if_any("to_district"), row.number("region")]
        regions.setdefault(row.word("area"), []).append(line)
    return {
        "STATION_PLACES": {
            row.word("place"): [row.number("latitude"), row.number("longitude")]
            for row in table(PLACES).rows
            if row.word("place") in stations
        },
        "STATION_OF_REGION": {int(row.number("region")): row.word("location") for row in table(BY_REGION).rows},
        "REGIONS_OF_AREA": regions,
        "NATIONS_OF_AREA": nations,
        "SURE_NATIONS": [
            [row.word("nation"), *(row.number(edge) for edge in ("south", "north", "west", "east"))]
            for row in table(SURE_NATIONS).rows
        ],
    }


def write_tables() -> str:
    """Return the whole file."""
    head = "/** Derived from `backend/wattwalk/catalogue/climate/` by `backend/tools/place_tables.py`; not to be edited. */\n"
    return head + "".join(
        f"\nexport const {name} = {json.dumps(content, ensure_ascii=False)} as const;\n"
        for name, content in tables().items()
    )
