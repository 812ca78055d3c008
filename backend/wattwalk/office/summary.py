"""The first page: what a household reads in a minute."""

from __future__ import annotations

from typing import Any

from wattwalk.engine.answers import Finding, RoomAssessment, Severity, Verdict
from wattwalk.engine.answers.rounding import listed
from wattwalk.offers.quote import ROOM_OPEN, ZERO
from wattwalk.survey.building import Emitter, Room
from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.kinds import Record
from wattwalk.survey.services import HotWater, PipeRun
from wattwalk.survey.site import OutdoorPosition
from wattwalk.survey.standing import NO_UNIT, chosen_unit, unit_at, unit_words
from wattwalk.survey.validation import plain_number
from wattwalk.survey.wording import clean, long_date, pounds
from wattwalk.survey.works import Design, Note, ScopeItem

from .figures import beside, count_words, degrees, kilowatts, lower_first, sentence, served_from, shortened, watts
from .report_inputs import ReportInputs


def _label(record: Record | None, name: str) -> str:
    if record is None or (value := record.effective(name)) is None:
        return ""
    return record.kind.field(name).choice_label(value)


def rooms_with(inputs: ReportInputs, *verdicts: Verdict) -> list[RoomAssessment]:
    """Return the rooms of these verdicts in the order surveyed."""
    return [room for room in inputs.assessment.rooms if room.verdict in verdicts]


def _open_words(inputs: ReportInputs) -> str:
    """Say of a house that does not close which of its rooms are open, and how much of each is said."""
    rooms = [room for room in inputs.assessment.rooms if room.holes]
    told = [f"{room.name} ({room.so_far.removeprefix('so far: ')})" for room in rooms[:3]]
    told += [count_words(len(rooms) - 3, "more room", "more rooms")] if len(rooms) > 3 else []
    return f"sides are still missing of {listed(told)}"


def need_words(inputs: ReportInputs) -> str:
    """Say what the house needs at the design cold, or why that cannot be said."""
    building, climate = inputs.assessment.building, inputs.assessment.climate
    outside = "" if climate is None else f" when it is {degrees(climate.outside_c)} outside"
    if building.total_w is not None and building.so_far:
        return f"What your whole house needs cannot be said yet: {_open_words(inputs)}. By what is said so far it needs {kilowatts(building.total_w)} of heat{outside}."
    if building.total_w is not None:
        size = (
            f", about {plain_number(round(building.loss_w_m2))} W for each square metre of floor"
            if building.loss_w_m2
            else ""
        )
        return f"Your house needs {kilowatts(building.total_w)} of heat{outside}{size}."
    if not inputs.assessment.rooms:
        return "What your house needs cannot be said yet: no room has been surveyed."
    names = [room.name for room in inputs.assessment.rooms if room.total_w is None]
    missing = f" {listed(names[:4])}{' and others' if len(names) > 4 else ''} cannot be worked out." if names else ""
    known = (
        f" The rooms that are known need {kilowatts(building.known_so_far_w)}{outside}."
        if building.known_so_far_w
        else ""
    )
    return f"What your whole house needs cannot be said yet.{missing}{known}"


def warmth_words(inputs: ReportInputs) -> list[str]:
    """Say whether every room gets warm at the design flow temperature, and what sets the lowest one."""
    flow, rooms = inputs.assessment.flow, inputs.assessment.rooms
    if not rooms:
        return []
    at = "" if flow is None else f" with water of {degrees(flow.design_c)}"
    short = rooms_with(inputs, Verdict.SHORT)
    bare = rooms_with(inputs, Verdict.NO_EMITTER)
    unknown = rooms_with(inputs, Verdict.NOT_KNOWN)
    said = []
    if not (short or bare or unknown):
        said.append(f"Every room reaches its temperature on the coldest design day{at}.")
    else:
        enough = len(rooms) - len(short) - len(bare) - len(unknown)
        said.append(
            f"On the coldest design day{at}, {enough} of {len(rooms)} rooms {'reaches' if enough == 1 else 'reach'} the right temperature."
        )
    if short:
        names = [
            f"{room.name} ({watts(-room.margin_w)} short)" if room.margin_w is not None else room.name for room in short
        ]
        said.append(f"{listed(names)} {'needs' if len(short) == 1 else 'need'} a bigger emitter or warmer water.")
    if bare:
        said.append(f"{listed([room.name for room in bare])} {'has' if len(bare) == 1 else 'have'} no emitter.")
    if unknown:
        said.append(f"Nothing can be said about {listed([room.name for room in unknown])} yet.")
    if flow is not None and flow.lowest_c is not None:
        name = next((room.name for room in rooms if room.id == flow.set_by_room), "")
        lowest = (
            "So far the lowest water temperature"
            if flow.so_far
            else "The lowest water temperature that serves every room"
        )
        said.append(f"{lowest} is {served_from(flow.lowest_c)}" + (f"; {name} sets it." if name else "."))
    return said


def house_words(inputs: ReportInputs) -> list[str]:
    """Say what happens to the house: unit, cylinder, emitters, routes."""
    survey, said = inputs.survey, []
    design, water, chosen = survey.single(Design), survey.single(HotWater), chosen_unit(survey)
    for place in survey.of_kind(OutdoorPosition):
        stands = unit_at(survey, place)
        unit = (unit_words(survey) if stands is chosen or stands is NO_UNIT else stands.name) or "The outdoor unit"
        said.append(f"{unit} stands here: {lower_first(place.name or 'place not named yet')}.")
    if water is not None and water.new_place:
        name = (design.cylinder_name if design is not None else None) or "The hot water cylinder"
        said.append(f"{name} goes into this place: {lower_first(water.new_place)}.")
    for plan, one, many, verb in (
        ("new", "new emitter", "new emitters", "fitted"),
        ("replace", "old emitter", "old emitters", "taken out"),
    ):
        planned = [item for item in survey.of_kind(Emitter) if item.plan == plan]
        if planned:
            rooms = [survey.find(Room, item.room) for item in planned]
            names = list(dict.fromkeys(room.name for room in rooms if room is not None and room.name))
            where = f" ({listed(names)})" if names else ""
            said.append(
                sentence(f"{count_words(len(planned), one, many)} {'is' if len(planned) == 1 else 'are'} {verb}{where}")
            )
    for run in survey.of_kind(PipeRun):
        if run.other_route_agreed:
            reason = lower_first(_label(run, "constraint"))
            said.append(
                f"Pipes, {lower_first(run.name or _label(run, 'purpose'))}: {lower_first(run.other_route_agreed.rstrip(' .'))} ({reason})."
            )
    return said


def price_rows(inputs: ReportInputs) -> list[tuple[str, str]]:
    """Return the price in at most five rows of label and amount."""
    quote = inputs.quote
    if not quote.charges():
        return []
    if not quote.is_complete:
        rooms = len([problem for problem in quote.problems if problem.code == ROOM_OPEN])
        lines = len(quote.problems) - rooms
        said = [("So far, with VAT", pounds(quote.gross))]
        said += [("Not all lines are settled yet", f"{lines} open")] if lines else []
        return said + ([("Rooms that are not whole yet may change it", f"{rooms} open")] if rooms else [])
    rows = [("Price with VAT", pounds(quote.gross))]
    rows += [(line.what or line.kind_label, pounds(-line.amount)) for line in quote.credit_lines()[:2] if line.amount]
    rest = [line.amount for line in quote.credit_lines()[2:] if line.amount]
    if rest:
        rows.append(("Other credits", pounds(-sum(rest, ZERO))))
    if quote.deposit:
        rows.append(("Deposit already paid", pounds(-quote.deposit)))
    return [*rows, (quote.left_words, pounds(quote.to_pay))]


def _in_short(inputs: ReportInputs, finding: Finding) -> str:
    """Return a finding's title as a sentence, with the record that it is about where there may be several of its kind."""
    kind, _, record_id = finding.record.partition("/")
    record = inputs.survey.record_named(kind, record_id)
    if record is None or record.kind.single:
        return sentence(finding.title)
    return sentence(f"{clean(record.title)}: {lower_first(finding.title)}")


def before_the_day(inputs: ReportInputs) -> list[str]:
    """Say what must be done before the day of the installation: what stops the job first, then dated works of others."""
    said = [
        f"{_in_short(inputs, finding)} {sentence(finding.remedy)}".strip()
        for finding in inputs.assessment.findings
        if finding.severity is Severity.STOP
    ]
    for item in inputs.survey.of_kind(ScopeItem):
        if item.effective("state") in {"done", "checked"} or item.trade == "us":
            continue
        by = f", by {long_date(item.needed_by)}" if item.needed_by else ""
        said.append(
            f"{_label(item, 'trade') or 'Trade not named yet'}: {lower_first(item.what or 'work not described yet')}{by}."
        )
    return said


def next_step(inputs: ReportInputs) -> str:
    """Say what the household does next."""
    stops = [item for item in inputs.assessment.findings if item.severity is Severity.STOP]
    firm = inputs.firm
    ways = [
        f"write to {firm['email']}" if firm.get("email") else "",
        f"call {firm['telephone']}" if firm.get("telephone") else "",
    ]
    reach = " or ".join(way for way in ways if way) or "get in touch with us"
    if not inputs.quote.is_complete or inputs.assessment.building.total_w is None:
        return f"This is not the final offer yet: something is still missing (see “What is still missing”). With questions, {reach}."
    open_points = " The points above are settled first; nothing is ordered before." if stops else ""
    return f"Read it through, ask whatever is not clear, and to go ahead {reach}.{open_points}"


def key_figures(inputs: ReportInputs) -> list[dict[str, str]]:
    """Return the three or four large figures of the first page: figure and what it is."""
    building, flow, quote = inputs.assessment.building, inputs.assessment.flow, inputs.quote
    climate = inputs.assessment.climate
    figures = []
    if building.total_w is not None and climate is not None:
        figures.append(
            {
                "figure": kilowatts(building.total_w),
                "words": f"is what your house needs at {degrees(climate.outside_c)}{beside(building.so_far)}",
            }
        )
    if flow is not None and inputs.assessment.rooms:
        rooms = inputs.assessment.rooms
        enough = len(rooms_with(inputs, Verdict.ENOUGH))
        figures.append(
            {
                "figure": f"{enough} of {len(rooms)}",
                "words": f"rooms warm enough with water of {degrees(flow.design_c)}",
            }
        )
    if flow is not None and flow.lowest_c is not None:
        lowest = "is the lowest water temperature" + (beside(flow.so_far) or " that serves every room")
        figures.append({"figure": served_from(flow.lowest_c), "words": lowest})
    if quote.charges() and quote.is_complete:
        figures.append(
            {
                "figure": pounds(quote.to_pay),
                "words": f"{lower_first(quote.left_words)}; with VAT, credits and deposit counted",
            }
        )
    return figures


def _at_most(lines: list[str], most: int, where: str) -> list[str]:
    """Return the first lines, and in how many more words the rest stands."""
    if len(lines) <= most:
        return lines
    rest = len(lines) - most + 1
    return [*lines[: most - 1], f"{rest} more points stand under “{where}”."]


def summary(inputs: ReportInputs) -> dict[str, Any]:
    """Return everything the first page prints."""
    house, design = inputs.survey.single(SurveyRecord), inputs.survey.single(Design)
    notes = [note for note in inputs.survey.of_kind(Note) if note.audience == "household" and note.words]
    return {
        "household": (house.household_name if house is not None else None) or "Household not named yet",
        "address": ", ".join(part for part in ((house.address, house.postcode) if house is not None else ()) if part),
        "visited": long_date(house.visit_date) if house is not None and house.visit_date else "",
        "surveyor": (house.surveyor if house is not None else None) or "",
        "aims": (house.aims if house is not None else None) or "",
        "key_figures": key_figures(inputs),
        "need": need_words(inputs),
        "warmth": warmth_words(inputs),
        "house": _at_most([shortened(words, 230) for words in house_words(inputs)], 6, "What was recorded"),
        "price": price_rows(inputs),
        "before": _at_most([shortened(words, 230) for words in before_the_day(inputs)], 6, "Works by trade"),
        "next": next_step(inputs),
        "remarks": shortened((design.remarks if design is not None else None) or "", 420),
        "notes": _at_most([shortened(note.words or "", 180) for note in notes], 3, "What was recorded"),
    }
