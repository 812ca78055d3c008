"""Price lines that a survey itself suggests: work that a record calls for and that no line is drawn from yet."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict, dataclass
from typing import Any

from wattwalk.survey.document import Survey
from wattwalk.survey.kinds import Record
from wattwalk.survey.validation import plain_number


@dataclass(frozen=True)
class Suggestion:
    """A line someone may want: what, how much of it, and why the survey thinks so; never a price."""

    record: str
    what: str
    part_of: str
    quantity: str
    unit: str
    why: str

    def as_dict(self) -> dict[str, Any]:
        """Return the JSON form; ``drawn_from`` is the id a price line made from it would carry."""
        return {**asdict(self), "drawn_from": self.record.split("/", 1)[1]}


def _label(record: Record, name: str) -> str:
    """Return a choice as words inside a sentence."""
    value = record.effective(name)
    label = record.kind.field(name).choice_label(value) if value is not None else ""
    return label[:1].lower() + label[1:]


def _run_length(record: Record) -> float | None:
    stretches = record.stretches or []
    lengths = [row.get("length_m") for row in stretches]
    return None if not lengths or None in lengths else float(sum(lengths))


def _size(record: Record) -> str:
    if record.height_mm is None or record.length_mm is None:
        return ""
    return f", {plain_number(record.height_mm)} × {plain_number(record.length_mm)} mm"


def _emitters(survey: Survey) -> Iterator[Suggestion]:
    for emitter in survey.of_kind("emitter"):
        room = survey.find("room", emitter.room)
        where = f" in {room.name}" if room is not None and room.name else ""
        kind = _label(emitter, "type") or "emitter"
        if emitter.plan == "new":
            what = f"New {kind}{_size(emitter)}{where}"
            yield Suggestion(emitter.key(), what, "emitters", "1", "each", "The survey plans this emitter as new.")
        elif emitter.plan == "replace":
            yield Suggestion(emitter.key(), f"Take out the {kind}{where}", "emitters", "1", "each", "The survey plans to take this emitter out.")


def _outside(survey: Survey) -> Iterator[Suggestion]:
    for base in survey.of_kind("base"):
        if base.made_of == "not_yet":
            yield Suggestion(base.key(), "Make the base for the outdoor unit", "base", "1", "sum", "The base has not been made yet.")
    for near in survey.of_kind("nearby_object"):
        if near.remedy not in {"close_off", "move"} or near.remedy_done:
            continue
        act = "Close off" if near.remedy == "close_off" else "Move"
        what = f"{act} the {near.name or _label(near, 'type')} near the outdoor unit"
        yield Suggestion(near.key(), what, "base", "1", "sum", "Its remedy is not done yet.")


def _routes(survey: Survey) -> Iterator[Suggestion]:
    for kind, part, noun in (("cable_run", "electrical", "Cable"), ("pipe_run", "pipes", "Pipe")):
        for run in survey.of_kind(kind):
            if kind == "cable_run" and (run.is_there or run.run_by == "household"):
                continue
            length = _run_length(run)
            name = run.name or _label(run, "purpose")
            quantity, unit = ("1", "sum") if length is None else (plain_number(round(length, 2)).replace(",", ""), "m")
            what = f"{noun}: {name}" if name else noun
            yield Suggestion(run.key(), what, part, quantity, unit, "The survey holds this run.")


def _plant(survey: Survey) -> Iterator[Suggestion]:
    design = survey.single("design")
    if design is not None and design.unit_name:
        yield Suggestion(design.key(), design.unit_name, "unit", "1", "each", "The design has chosen this unit.")
    water = survey.single("hot_water")
    if design is not None and water is not None and design.cylinder_name:
        yield Suggestion(water.key(), design.cylinder_name, "hot_water", "1", "each", "The design has chosen this cylinder.")


def suggest_lines(survey: Survey) -> tuple[Suggestion, ...]:
    """Return the lines the survey suggests, without those a price line is already drawn from."""
    drawn = {line.drawn_from for line in survey.of_kind("price_line") if line.drawn_from}
    found = [*_plant(survey), *_emitters(survey), *_outside(survey), *_routes(survey)]
    return tuple(item for item in found if item.record.split("/", 1)[1] not in drawn)
