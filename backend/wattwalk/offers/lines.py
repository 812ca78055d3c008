"""Price lines that a survey itself asks for: work that a record calls for, whether a line is drawn from it yet or not."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal

from wattwalk.survey.building import Emitter, Room
from wattwalk.survey.circuit import Vessel
from wattwalk.survey.document import Survey
from wattwalk.survey.firm import LABOUR_TRADES
from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.kinds import Record
from wattwalk.survey.runs import run_length
from wattwalk.survey.services import CableRun, HotWater, PipeRun
from wattwalk.survey.site import Base, NearbyObject
from wattwalk.survey.standing import chosen_unit
from wattwalk.survey.validation import plain_number
from wattwalk.survey.wording import own_titles
from wattwalk.survey.works import Design, PriceLine

from .articles import Pricing, hours_basis, hours_of, priced, pricing_of
from .drawn import basis_of, changed_lines, covered, field_basis, grant_basis
from .shapes import GRANT, Asked, ChangedLine, LineKey, SuggestedLine, Wants

#: What has flow and return side by side along its run: two pipes of its length are bought.
_PAIRS = ("primary", "heating", "cylinder")
#: Vessels that are bought by what they hold; a fitting is not.
_OF_A_SIZE = ("buffer", "buffer_two_port", "volumiser", "expansion")
#: What the line of a pipe's insulation hangs on.
_WRAP = ("stretches", "size_mm", "insulation", "insulation_mm")
_PENNY = Decimal("0.01")


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


def _emitters(survey: Survey) -> Iterator[Asked]:
    for emitter in survey.of_kind(Emitter):
        room = survey.find(Room, emitter.room)
        where = f" in {room.name}" if room is not None and room.name else ""
        kind = _label(emitter, "type") or "emitter"
        if emitter.plan == "new":
            what = f"New {kind}{_size(emitter)}{where}"
            why = "The survey plans this emitter as new."
            yield Asked(_line(emitter, what, "emitters", "1", "each", why), _radiator(emitter), where)
        elif emitter.plan == "replace":
            why = "The survey plans to take this emitter out."
            yield Asked(
                _line(emitter, f"Take out the {kind}{where}", "emitters", "1", "each", why),
                Wants("enabling_work", {"for_enabling": "take_out"}),
                where,
            )


def _radiator(emitter: Emitter) -> Wants:
    if emitter.type == "underfloor":
        return Wants("floor_heating")
    size = {"for_height_mm": emitter.height_mm, "for_length_mm": emitter.length_mm}
    return Wants("radiator", {"for_emitter": emitter.type, **size})


def _outside(survey: Survey) -> Iterator[Asked]:
    for base in survey.of_kind(Base):
        if base.made_of == "not_yet":
            why = "The base has not been made yet."
            yield Asked(_line(base, "Make the base for the outdoor unit", "base", "1", "sum", why), Wants("base"))
    for near in survey.of_kind(NearbyObject):
        if near.remedy not in {"close_off", "move"} or near.remedy_done:
            continue
        act = "Close off" if near.remedy == "close_off" else "Move"
        name = near.name or _label(near, "type")
        line = _line(near, f"{act} the {name} near the outdoor unit", "base", "1", "sum", "Its remedy is not done yet.")
        yield Asked(line, Wants("enabling_work", {"for_enabling": near.remedy}), f": {name}" if name else "")


def _routes(survey: Survey) -> Iterator[Asked]:
    for cable in survey.of_kind(CableRun):
        if not cable.is_there and cable.run_by != "household":
            wants = Wants(
                "cable", {"for_cable": cable.purpose}, {"for_cores": cable.cores, "for_size_mm2": cable.size_mm2}
            )
            yield _route(cable, "electrical", "Cable", wants)
    for pipe in survey.of_kind(PipeRun):
        wants = Wants("pipe", {"for_pipe_mm": pipe.size_mm}, {"for_material": pipe.material})
        yield _route(pipe, "pipes", "Pipe", wants)


def _route(run: CableRun | PipeRun, part: str, noun: str, wants: Wants) -> Asked:
    length = run_length(run.stretches)
    name = run.name or _label(run, "purpose")
    quantity, unit = ("1", "sum") if length is None else (_plain(length), "m")
    what = f"{noun}: {name}" if name else noun
    line = _line(run, what, part, quantity, unit, "The survey holds this run.")
    pairs = length is not None and isinstance(run, PipeRun) and run.purpose in _PAIRS
    return Asked(line, wants, f": {name}" if name else "", metres=_plain(2 * length) if pairs and length else None)


def _plain(length: float) -> str:
    return plain_number(round(length, 2)).replace(",", "")


def _plant(survey: Survey) -> Iterator[Asked]:
    design, unit = survey.single(Design), chosen_unit(survey)
    why = "The design has chosen this unit."
    # A line drawn from the design, as earlier programs drew it, is the unit's too.
    if (
        unit is not None
        and design is not None
        and not any(line.drawn_from == design.id for line in survey.of_kind(PriceLine))
    ):
        yield Asked(_line(unit, unit.title, "unit", "1", "each", why), Wants("unit", {"for_unit": unit.name}))
    elif design is not None and design.unit_name:
        line = _line(design, design.unit_name, "unit", "1", "each", why)
        yield Asked(line, Wants("unit", {"for_unit": design.unit_name}))
    water = survey.single(HotWater)
    if design is not None and water is not None and design.cylinder_name:
        line = _line(water, design.cylinder_name, "hot_water", "1", "each", "The design has chosen this cylinder.")
        litres = design.cylinder_l if design.cylinder_nominal_l is None else design.cylinder_nominal_l
        yield Asked(line, Wants("cylinder", {"for_litres": litres}))


def _beside(survey: Survey) -> Iterator[Asked]:
    """Return what goes with the lines of records: only a firm with a price book draws it, since nothing of it stands in the survey by itself."""
    for emitter in survey.of_kind(Emitter):
        if emitter.plan == "new" and emitter.type != "underfloor":
            room = survey.find(Room, emitter.room)
            where = f" in {room.name}" if room is not None and room.name else ""
            line = _line(emitter, f"Valves of the new radiator{where}", "emitters", "1", "each", "It is new.")
            yield _also(line, "valve", Wants("valve"), where)
    yield from _vessels(survey)
    for pipe in survey.of_kind(PipeRun):
        if pipe.insulation in (None, "none"):
            continue
        own = _route(pipe, "pipes", "Insulation", Wants("pipe_insulation"))
        wants = Wants("pipe_insulation", {"for_pipe_mm": pipe.size_mm}, {"for_wall_mm": pipe.insulation_mm})
        found = _also(replace(own.line, why="The survey has this run insulated."), "pipe_insulation", wants, own.where)
        yield replace(found, metres=own.metres, basis=field_basis(survey, pipe, _WRAP))


def _vessels(survey: Survey) -> Iterator[Asked]:
    for vessel in survey.of_kind(Vessel):
        if vessel.effective("plan") != "new" or vessel.type is None:
            continue
        exact: dict[str, object] = {"for_vessel": vessel.type}
        if vessel.type in _OF_A_SIZE:
            exact["for_litres"] = vessel.litres
        size = "" if vessel.litres is None else f" {plain_number(vessel.litres)} l"
        kind = vessel.kind.field("type").choice_label(vessel.type)
        name = f": {vessel.name}" if vessel.name else ""
        count = str(vessel.effective("count"))
        line = _line(vessel, f"{kind}{size}{name}", "unit", count, "each", "The survey plans it as new.")
        yield Asked(line, Wants("vessel", exact), name, basis_of(survey, vessel))


def _also(line: SuggestedLine, drawn_as: str, wants: Wants, where: str = "") -> Asked:
    return Asked(replace(line, drawn_as=drawn_as), wants, where)


def _of_the_job(survey: Survey, before: list[Asked], pricing: Pricing) -> Iterator[Asked]:
    """Return what is of the job as a whole: hours of each trade as the articles of its lines say them, commissioning, waste."""
    house, design, water = survey.single(SurveyRecord), survey.single(Design), survey.single(HotWater)
    if house is None:
        return
    hours: dict[str, Decimal] = {}
    for asked in before:
        for trade, more in hours_of(asked, pricing).items():
            hours[trade] = hours.get(trade, Decimal(0)) + more
    for trade, label in LABOUR_TRADES:
        amount = hours.get(trade, Decimal(0)).quantize(_PENNY)
        if amount > 0:
            line = _line(
                house,
                f"Labour: {label.lower()}",
                "labour",
                f"{amount.normalize():f}",
                "h",
                "The articles say these hours.",
            )
            found = _also(line, f"labour_{trade}", Wants("labour", {"for_trade": trade}))
            yield replace(found, basis=hours_basis(house, trade, amount))
    if design is not None and (design.unit_name or chosen_unit(survey) is not None):
        line = _line(house, "Commissioning and handover", "labour", "1", "sum", "A unit has been chosen.")
        yield _also(line, "commissioning", Wants("commissioning"))
    old = water is not None and bool(water.present_cylinder_l) and design is not None and bool(design.cylinder_name)
    if old or any(emitter.plan == "replace" for emitter in survey.of_kind(Emitter)):
        line = _line(house, "Take away what comes out", "other", "1", "sum", "Something is taken out of the house.")
        yield _also(line, "waste", Wants("waste"))


def _grant(survey: Survey, day: str | None) -> Iterator[SuggestedLine]:
    """Suggest the grant that the dated table holds on the day of the quote, while no line takes one off."""
    house, held = survey.single(SurveyRecord), grant_basis(survey, day)
    if house is None or not held or any(line.is_credit == GRANT for line in survey.of_kind(PriceLine)):
        return
    line = _line(
        house, "Grant for the heat pump, if it is approved", "other", "1", "sum", "The table of grants holds it today."
    )
    yield replace(line, kind=GRANT, unit_price=json.loads(held[0].value), basis=held)


def asked_lines(survey: Survey, pricing: Pricing) -> dict[LineKey, Asked]:
    """Return every line that the survey asks for by whose it is, each with what it hangs on, whether it is there already or not."""
    titles = own_titles(survey)
    by_id = {record.id: record for record in survey}
    found = [
        replace(item, basis=basis_of(survey, by_id[item.line.drawn_from], titles))
        for item in (*_plant(survey), *_emitters(survey), *_outside(survey), *_routes(survey))
    ]
    if pricing.is_open:
        found += _beside(survey)
        found += _of_the_job(survey, found, pricing)
    return {(item.line.drawn_from, item.line.drawn_as): item for item in found}


def look_at_lines(survey: Survey, day: str | None = None) -> tuple[tuple[SuggestedLine, ...], tuple[ChangedLine, ...]]:
    """Return the lines that the survey suggests, without those that are drawn already, and the lines whose source or price has changed.

    Parameters
    ----------
    survey : Survey
        As it is worked out, with the firm's articles that price it (``Survey.prices``).
    day : str or None
        The day of the quote, ``YYYY-MM-DD``; without one nothing is said of grants and prices.
    """
    pricing = pricing_of(survey, day)
    asked = asked_lines(survey, pricing)
    changed = changed_lines(survey, asked, day)
    lines = survey.of_kind(PriceLine)
    drawn = {(line.drawn_from, line.drawn_as or "") for line in lines if line.drawn_from} | {*covered(changed)}
    suggested = (_suggested(item, pricing) for key, item in asked.items() if key not in drawn)
    return (*suggested, *_grant(survey, day)), changed


def _suggested(asked: Asked, pricing: Pricing) -> SuggestedLine:
    line = priced(asked, pricing)
    return replace(line, basis=(*asked.basis, *line.basis))
