"""Which station and nations postcodes have, as a golden file that the phone is held to as well.

Run `python -m tests.golden.write_places` after a change that is meant, and look at the difference.
"""

from __future__ import annotations

import json
from pathlib import Path

from wattwalk.catalogue import table
from wattwalk.engine.climate.agreement import NATIONS, nations_of
from wattwalk.engine.climate.design_cold import BY_REGION, POSTCODES, region_of

FILE = Path(__file__).with_name("places.json")
#: Written as people write them, and some that are none.
_BESIDE = (
    "ls40 0vk",
    "LS400VK",
    " S18 0VK",
    "S1 0VK",
    "EC1A 0VK",
    "W1A",
    "ZZ1 0VK",
    "1AA",
    "",
    "not a postcode",
    "TD15 0VK",
)


def cases() -> dict[str, list[str | list[str] | None]]:
    """Return, by postcode, its region's station and the nations of its area; null where there is none."""
    areas = sorted({row.word("area") for row in (*table(POSTCODES).rows, *table(NATIONS).rows)})
    codes = [f"{area}{district}" for area in areas for district in (1, 8, 18, 55)] + list(_BESIDE)
    said: dict[str, list[str | list[str] | None]] = {}
    for code in codes:
        region = region_of(code)
        station = table(BY_REGION).find(region=region.number("region")) if region is not None else None
        nations = [row.word("nation") for row in nations_of(code)]
        said[code] = [station.word("location") if station is not None else None, nations]
    return said


def written() -> str:
    """Return the whole file: a line for each postcode."""
    lines = [f"{json.dumps(code)}: {json.dumps(said)}" for code, said in cases().items()]
    return "{\n" + ",\n".join(lines) + "\n}\n"


if __name__ == "__main__":
    FILE.write_text(written(), encoding="utf-8")
