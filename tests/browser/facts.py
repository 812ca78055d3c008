"""The facts of an invented house, fixed in `facts_of_a_house.csv`: read from the file, and found again in what a phone holds.

A fact is what somebody has to look at, measure or ask, and then say. What the program fills in by itself is none: a default, a name
made from a room's use, a usual construction, the other face of a partition, the place of a reading on the grid; nor is a copy of what
was said before, such as the height of the next room on a storey.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path
from typing import Any

#: A side of a room as the room beyond it has it.
OPPOSITE = {"front": "back", "back": "front", "left": "right", "right": "left", "floor": "ceiling", "ceiling": "floor"}
OPENINGS = ("window", "door", "rooflight")


@dataclass(frozen=True)
class Fact:
    """One line of the file: `record` says in words which record, such as `side: Hall right 2`, the second part of that side."""

    stage: str
    record: str
    field: str
    value: str

    def __str__(self) -> str:
        return f"{self.record}: {self.field} = {self.value}"


def facts() -> list[Fact]:
    """Return all facts of the house, in the order in which they are met."""
    with Path(__file__).with_name("facts_of_a_house.csv").open(newline="") as file:
        return [Fact(**row) for row in csv.DictReader(file)]


def is_same(said: str, held: Any) -> bool:
    """Whether a phone holds what the file says."""
    if isinstance(held, bool):
        return said == ("yes" if held else "no")
    if isinstance(held, (int, float)):
        return abs(float(said) - held) < 1e-9
    return said == held


class Held:
    """What a phone holds of a survey, asked by the words of the facts."""

    def __init__(self, records: dict[str, dict[str, Any]]) -> None:
        self.kinds: dict[str, list[dict[str, Any]]] = {}
        # Ids are made on the phone in the order of time, so that a sorted key is the order of entering.
        for key, values in sorted(records.items()):
            kind, record = key.split("/", 1)
            self.kinds.setdefault(kind, []).append({"id": record, **values})

    def of(self, kind: str) -> list[dict[str, Any]]:
        return self.kinds.get(kind, [])

    def lacks(self, fact: Fact) -> str | None:
        """Say what is wrong where a fact is not held, and None where it is."""
        record = self.find(fact.record)
        if record is None:
            return f"{fact}: no such record"
        found = self.value(record, fact)
        return None if is_same(fact.value, found) else f"{fact}: found {found!r}"

    def find(self, words: str) -> dict[str, Any] | None:
        what, _, name = words.partition(": ")
        singles = {
            "household": "survey",
            "supply": "supply",
            "hot water": "hot_water",
            "place": "outdoor_position",
            "base": "base",
        }
        if what in singles:
            found = self.of(singles[what])
            return found[0] if len(found) == 1 else None
        if what == "construction":
            return self._only("construction", name=name) or self._only("construction", element=name, is_usual=True)
        if what == "room":
            return self._only("room", name=name)
        if what in ("near", "reading"):
            found = self.of({"near": "nearby_object", "reading": "level_reading"}[what])
            return found[int(name) - 1] if len(found) >= int(name) else None
        if what in ("cable", "pipe"):
            return self._only(f"{what}_run", purpose=name)
        if what == "emitter":
            room, number = self._numbered(name)
            there = self._only("room", name=room)
            found = [item for item in self.of("emitter") if there and item["room"] == there["id"]]
            return found[number - 1] if len(found) >= number else None
        room, side, number = self._side(name)
        found = self._surfaces(room, side)
        if what in OPENINGS:
            parts = found[number - 1 : number]
            found = [
                item
                for item in self.of("surface")
                if item.get("element") == what and any(item.get("opening_in") == part["id"] for part in parts)
            ]
            number = 1
        return found[number - 1] if len(found) >= number else None

    def value(self, record: dict[str, Any], fact: Fact) -> Any:
        name = fact.field
        if name == "beyond":
            if record["other_side"] != "room":
                return record["other_side"]
            seen_from = self._side(fact.record.partition(": ")[2])[0]
            rooms = {item["id"]: item["name"] for item in self.of("room")}
            names = {rooms.get(record["room"]), rooms.get(record.get("other_room", ""))}
            return next(iter(names - {seen_from}), None)
        if name == "construction":
            return next((item.get("name") for item in self.of("construction") if item["id"] == record.get(name)), None)
        rows, _, place = name.partition(" ")
        if place:
            number, _, part = place.partition(" ")
            held = record.get(rows, [])
            return held[int(number) - 1].get(part) if len(held) >= int(number) else None
        return record.get(name)

    def _only(self, kind: str, **wanted: Any) -> dict[str, Any] | None:
        found = [item for item in self.of(kind) if all(item.get(name) == value for name, value in wanted.items())]
        return found[0] if len(found) == 1 else None

    def _numbered(self, name: str) -> tuple[str, int]:
        """`Bedroom 2` is a room where there is one of that name, else the second of `Bedroom`."""
        stem, _, last = name.rpartition(" ")
        if last.isdigit() and self._only("room", name=name) is None:
            return stem, int(last)
        return name, 1

    def _side(self, name: str) -> tuple[str, str, int]:
        stem, _, last = name.rpartition(" ")
        if last.isdigit():
            room, _, side = stem.rpartition(" ")
            return room, side, int(last)
        return stem, last, 1

    def _surfaces(self, room: str, side: str) -> list[dict[str, Any]]:
        there = self._only("room", name=room)
        if there is None:
            return []
        return [
            item
            for item in self.of("surface")
            if item.get("element") not in OPENINGS
            and (
                (item.get("room") == there["id"] and item.get("side") == side)
                or (item.get("other_room") == there["id"] and item.get("side") == OPPOSITE.get(side))
            )
        ]
