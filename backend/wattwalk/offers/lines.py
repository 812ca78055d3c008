"""Price lines that a survey itself asks for: work that a record calls for, whether a line is drawn from it yet or not."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass, replace

from wattwalk.survey.building import Emitter, Room
from wattwalk.survey.document import Survey
from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.kinds import Record
from wattwalk.survey.runs import run_length
from wattwalk.survey.services import CableRun, HotWater, PipeRun
from wattwalk.survey.site import Base, NearbyObject
from wattwalk.survey.standing import chosen_unit
from wattwalk.survey.validation import plain_number
from wattwalk.survey.wording import own_titles
from wattwalk.survey.works import Design, PriceLine

from .drawn import CHARGE, GRANT, ChangedLine, DrawnFrom, basis_of, changed_lines, covered, grant_basis


@dataclass(frozen=True)
class SuggestedLine:
    """A line someone may want: what, how much of it, and why the survey thinks so; a price only where a table sets it.

    A price line made from it is drawn from ``drawn_from`` and keeps ``basis``, what it hangs on (``drawn.py``).
    """

    record: str
    drawn_from: str
    what: str
    part_of: str
    quantity: str
    unit: str
    why: str
    kind: str = CHARGE
    unit_price: str | None = None
    basis: tuple[DrawnFrom, ...] = ()


def _line(record: Record, what: str, part_of: str, quantity: str, unit: str, why: str) -> SuggestedLine:
    return SuggestedLine(record.key(), record.id, what, part_of, quantity, unit, why)


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


def _grant(survey: Survey, day: str | None) -> Iterator[SuggestedLine]:
    """Suggest the grant that the dated table holds on the day of the quote, while no line takes one off."""
    house, held = survey.single(SurveyRecord), grant_basis(survey, day)
    if house is None or not held or any(line.is_credit == GRANT for line in survey.of_kind(PriceLine)):
        return
    line = _line(
        house, "Grant for the heat pump, if it is approved", "other", "1", "sum", "The table of grants holds it today."
    )
    yield replace(line, kind=GRANT, unit_price=json.loads(held[0].value), basis=held)


def asked_lines(survey: Survey) -> dict[str, SuggestedLine]:
    """Return every line that the survey asks for by the id of the record that it is drawn from, whether it is there already or not."""
    found = [*_plant(survey), *_emitters(survey), *_outside(survey), *_routes(survey)]
    return {item.drawn_from: item for item in found}


def look_at_lines(survey: Survey, day: str | None = None) -> tuple[tuple[SuggestedLine, ...], tuple[ChangedLine, ...]]:
    """Return the lines that the survey suggests, without those that are drawn already, and the lines whose source has changed.

    Parameters
    ----------
    survey : Survey
        As it is worked out.
    day : str or None
        The day of the quote, ``YYYY-MM-DD``; without one nothing is said of grants.
    """
    asked = asked_lines(survey)
    changed = changed_lines(survey, asked, day)
    drawn = {line.drawn_from for line in survey.of_kind(PriceLine) if line.drawn_from} | {*covered(changed)}
    titles = own_titles(survey)
    by_id = {record.id: record for record in survey}
    suggested = (
        replace(item, basis=basis_of(survey, by_id[item.drawn_from], titles))
        for item in asked.values()
        if item.drawn_from not in drawn
    )
    return (*suggested, *_grant(survey, day)), changed
