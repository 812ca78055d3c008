"""Price lines that a survey itself suggests: work that a record calls for and that no line is drawn from yet."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from wattwalk.survey.building import Emitter, Room
from wattwalk.survey.document import Survey
from wattwalk.survey.kinds import Record
from wattwalk.survey.runs import run_length
from wattwalk.survey.services import CableRun, HotWater, PipeRun
from wattwalk.survey.site import Base, NearbyObject
from wattwalk.survey.standing import chosen_unit
from wattwalk.survey.validation import plain_number
from wattwalk.survey.works import Design, PriceLine


@dataclass(frozen=True)
class SuggestedLine:
    """A line someone may want: what, how much of it, and why the survey thinks so; never a price.  A price line made from it is drawn from `drawn_from`."""

    record: str
    drawn_from: str
    what: str
    part_of: str
    quantity: str
    unit: str
    why: str


def _line(record: Record, *told: str) -> SuggestedLine:
    return SuggestedLine(record.key(), record.id, *told)


def _label(record: Record, name: str) -> str:
    """Return a choice as words inside a sentence."""
    value = record.effective(name)
    label = record.kind.field(name).choice_label(value) if value is not None else ""
    return label[:1].lower() + label[1:]


def _size(record: Emitter) -> str:
    if record.height_mm is None or record.length_mm is None:
        return ""
    return f", {plain_number(record.height_mm)} × {plain_number(record.length_mm)} mm"


def _emitters(survey: Survey) -> Iterator[SuggestedLine]:
    for emitter in survey.of_kind(Emitter):
        room = survey.find(Room, emitter.room)
        where = f" in {room.name}" if room is not None and room.name else ""
        kind = _label(emitter, "type") or "emitter"
        if emitter.plan == "new":
            what = f"New {kind}{_size(emitter)}{where}"
            yield _line(emitter, what, "emitters", "1", "each", "The survey plans this emitter as new.")
        elif emitter.plan == "replace":
            yield _line(
                emitter,
                f"Take out the {kind}{where}",
                "emitters",
                "1",
                "each",
                "The survey plans to take this emitter out.",
            )


def _outside(survey: Survey) -> Iterator[SuggestedLine]:
    for base in survey.of_kind(Base):
        if base.made_of == "not_yet":
            yield _line(
                base, "Make the base for the outdoor unit", "base", "1", "sum", "The base has not been made yet."
            )
    for near in survey.of_kind(NearbyObject):
        if near.remedy not in {"close_off", "move"} or near.remedy_done:
            continue
        act = "Close off" if near.remedy == "close_off" else "Move"
        what = f"{act} the {near.name or _label(near, 'type')} near the outdoor unit"
        yield _line(near, what, "base", "1", "sum", "Its remedy is not done yet.")


def _routes(survey: Survey) -> Iterator[SuggestedLine]:
    for cable in survey.of_kind(CableRun):
        if not cable.is_there and cable.run_by != "household":
            yield _route(cable, "electrical", "Cable")
    for pipe in survey.of_kind(PipeRun):
        yield _route(pipe, "pipes", "Pipe")


def _route(run: CableRun | PipeRun, part: str, noun: str) -> SuggestedLine:
    length = run_length(run.stretches)
    name = run.name or _label(run, "purpose")
    quantity, unit = ("1", "sum") if length is None else (plain_number(round(length, 2)).replace(",", ""), "m")
    what = f"{noun}: {name}" if name else noun
    return _line(run, what, part, quantity, unit, "The survey holds this run.")


def _plant(survey: Survey) -> Iterator[SuggestedLine]:
    design, unit = survey.single(Design), chosen_unit(survey)
    # A line drawn from the design, as earlier programs drew it, is the unit's too.
    if (
        unit is not None
        and design is not None
        and not any(line.drawn_from == design.id for line in survey.of_kind(PriceLine))
    ):
        yield _line(unit, unit.title, "unit", "1", "each", "The design has chosen this unit.")
    elif design is not None and design.unit_name:
        yield _line(design, design.unit_name, "unit", "1", "each", "The design has chosen this unit.")
    water = survey.single(HotWater)
    if design is not None and water is not None and design.cylinder_name:
        yield _line(water, design.cylinder_name, "hot_water", "1", "each", "The design has chosen this cylinder.")


def suggest_lines(survey: Survey) -> tuple[SuggestedLine, ...]:
    """Return the lines the survey suggests, without those a price line is already drawn from."""
    drawn = {line.drawn_from for line in survey.of_kind(PriceLine) if line.drawn_from}
    found = [*_plant(survey), *_emitters(survey), *_outside(survey), *_routes(survey)]
    return tuple(item for item in found if item.drawn_from not in drawn)
