"""The household's quotation: what happens in my house, what does it cost, what must I do.  Four pages, a form to cut out, and photos."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from wattwalk import pictures
from wattwalk.engine.answers import CostLine, Finding, Severity, Verdict
from wattwalk.engine.answers.plan import PlanState, StoreyPlan
from wattwalk.engine.answers.rounding import counted, listed
from wattwalk.offers.quote import ZERO, QuoteLine
from wattwalk.offers.shapes import GRANT
from wattwalk.survey.building import Emitter, Room
from wattwalk.survey.constructions import LOOK, Construction
from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.services import HotWater, PipeRun
from wattwalk.survey.standing import chosen_unit, first_place, unit_words
from wattwalk.survey.wording import clean, long_date, pounds
from wattwalk.survey.works import Design, Note, Photo, ScopeItem

from .cautions import CANCELLATION, CANCELLATION_FORM, CANCELLATION_SOURCE
from .changes import changes, facts_of
from .chapters import finding_shape, photo_rows, price_chapter, said
from .figures import beside, degrees, lower_first, sentence, shortened, upper_first, watts
from .option_chapter import options_block
from .plant_chapters import span, whole_pounds
from .promises import lead_words, payments, said_lines, valid_until
from .report_inputs import ReportInputs
from .typeset import ACROSS, BESIDE, WIDE_BESIDE

#: Terms longer than this do not fit beside the rest of the fourth page, letters: they get pages of their own.
LONGEST_TERMS = 700
#: So many storeys lie side by side, each so tall at most, in points: what the page has left for them.
MOST_PLANS, TALLEST_PLAN = 3, 104.0
#: What a new emitter is called on a plan, where it is no radiator.
_SHORT_NAMES = {
    "towel_rail": "towel rail",
    "convector": "convector",
    "fan_convector": "convector",
    "underfloor": "warm floor",
    "other": "heating",
}
#: The most lines of each list, so that a page stays a page; the rest is counted and stands in the technical file.
MOST_STOPS, MOST_CHECKS, MOST_WORKS, MOST_ROOMS, MOST_ASSUMED, MOST_PHOTOS, MOST_CHANGES = 4, 12, 8, 12, 6, 6, 6
DONE = frozenset({"done", "checked"})


def _cut(lines: list[Any], most: int) -> tuple[list[Any], int]:
    """Return the first lines and how many are left over; one that would be left alone is not."""
    return (lines, 0) if len(lines) <= most else (lines[: most - 1], len(lines) - most + 1)


def _some(words: list[str], most: int, others: str = "others") -> str:
    """Return the first words as a list, and that there are others where there are."""
    return f"{listed(words[:most])}{f' and {others}' if len(words) > most else ''}"


def _more(count: int, one: str = "more stands", many: str = "more stand") -> str:
    """Say how many were left over; an empty text where none was."""
    return counted(count, one, many) if count else ""


def letterhead(inputs: ReportInputs) -> dict[str, Any]:
    """Return from whom a paper is, of whose house, and which version."""
    house = inputs.survey.single(SurveyRecord)
    until = valid_until(inputs)
    return {
        "firm": {name: inputs.firm.get(name) or "" for name in ("name", "address", "telephone", "email", "terms")},
        "reference": (house.reference if house is not None else None) or "",
        "version": inputs.version,
        "made_on": long_date(inputs.made_on),
        "made_on_iso": inputs.made_on,
        "valid_until": long_date(until) if until else "",
        "household": (house.household_name if house is not None else None) or "Household not named yet",
        "address": ", ".join(part for part in ((house.address, house.postcode) if house is not None else ()) if part),
    }


# The first page: the answer.


def _place_words(inputs: ReportInputs) -> str:
    survey = inputs.survey
    design, water = survey.single(Design), survey.single(HotWater)
    unit, place = unit_words(survey), first_place(survey)
    said_ = []
    if unit and place is not None:
        said_.append(f"The outdoor unit ({unit}) goes here: {lower_first(place.name or 'a place not named yet')}.")
    elif place is not None:
        said_.append(
            f"The outdoor unit goes here: {lower_first(place.name or 'a place not named yet')}. Which one is not chosen yet."
        )
    elif unit:
        said_.append(f"The outdoor unit is {lower_first(unit)}. Its place has not been chosen yet.")
    if water is not None and water.new_place:
        cylinder = (design.cylinder_name if design is not None else None) or "hot water cylinder"
        said_.append(f"The {lower_first(cylinder)} goes here: {lower_first(water.new_place)}.")
    return " ".join(said_) or "Which unit, and where it goes, has not been chosen yet."


def warm_words(inputs: ReportInputs) -> str:
    """Say whether every room will be warm at the coldest, which will not, and of which nothing can be said."""
    rooms, climate = inputs.assessment.rooms, inputs.assessment.climate
    if not rooms:
        return "Whether your rooms will be warm cannot be said yet: none has been surveyed."
    outside = "" if climate is None else f", {degrees(climate.outside_c)} outside"
    short = [room for room in rooms if room.verdict is Verdict.SHORT]
    bare = [room.name for room in rooms if room.verdict is Verdict.NO_EMITTER]
    unknown = [room.name for room in rooms if room.verdict is Verdict.NOT_KNOWN]
    if len(unknown) == len(rooms):
        return "Whether your rooms will be warm cannot be said yet: what was surveyed is not enough for any of them."
    if not (short or bare or unknown):
        return f"Every room will be warm on the coldest day we plan for{outside}."
    parts = [
        f"On the coldest day we plan for{outside}, {counted(len(rooms) - len(short) - len(bare) - len(unknown), 'room', 'rooms')} of {len(rooms)} will be warm."
    ]
    if short:
        names = [
            room.name if room.margin_w is None else f"{room.name} ({watts(-room.margin_w)} short)" for room in short
        ]
        parts.append(f"{listed(names[:6])} will stay cooler than you asked for until the heating there is made bigger.")
    if bare:
        parts.append(f"{listed(bare[:6])} {'has' if len(bare) == 1 else 'have'} no heating.")
    if unknown:
        parts.append(f"Nothing can be said of {_some(unknown, 4)} yet.")
    return " ".join(parts)


def _cost_line(inputs: ReportInputs, key: str) -> CostLine | None:
    cost = inputs.assessment.plant.cost
    return None if cost is None else next((line for line in cost.lines if line.key == key), None)


def _range(line: CostLine | None) -> str:
    if line is None or line.pounds_low is None or line.pounds_high is None:
        return ""
    return span(whole_pounds(line.pounds_low), whole_pounds(line.pounds_high))


def year_words(inputs: ReportInputs) -> str:
    """Say what a year will cost against today, as one range with what it hangs on."""
    pump, present = _range(_cost_line(inputs, "heat_pump")), _range(_cost_line(inputs, "present"))
    if not pump:
        return "What a year will cost cannot be said yet."
    pump += beside(inputs.assessment.building.so_far)
    against = f"; today you pay about {present}" if present else ""
    return (
        f"A year of heating and hot water will cost about {pump}{against}. "
        "It is a range: it hangs on the weather, on your tariff, and on how warm you keep the house."
    )


def money_words(inputs: ReportInputs) -> str:
    """Say what it costs, and after the grant if that is approved."""
    quote = inputs.quote
    if not quote.charges():
        return "The price has not been worked out yet."
    if not quote.is_complete:
        return f"The price is not complete: it stands at {pounds(quote.gross)} with VAT so far."
    if quote.granted:
        deposit = " and your deposit counted" if quote.deposit else ""
        return (
            f"It costs {pounds(quote.gross)} with VAT. If the grant of {pounds(quote.granted)} is approved, {pounds(quote.to_pay)} is left for you to pay{deposit}; "
            f"if it is not approved, {pounds(quote.to_pay + quote.granted)}."
        )
    return f"It costs {pounds(quote.gross)} with VAT; {pounds(quote.to_pay)} is left for you to pay."


def _open_words(inputs: ReportInputs) -> list[str]:
    """Say of a house that does not close that its figures are not final, and which rooms are open."""
    so_far = inputs.assessment.building.so_far
    if not so_far:
        return []
    names = [f"{room.name} ({room.so_far.removeprefix('so far: ')})" for room in inputs.assessment.rooms if room.holes]
    return [f"The figures here are not final, {so_far}: sides are still missing of {_some(names, 3)}."]


def changed(inputs: ReportInputs) -> dict[str, Any] | None:
    """Return what changed since the version before, which a later version opens with; None in the first."""
    if inputs.before is None:
        return None
    rows, more = _cut([item.as_dict() for item in changes(inputs.before, facts_of(inputs))], MOST_CHANGES)
    return {
        "since": f"version {inputs.before['number']} of {long_date(inputs.before['made_on'])}",
        "rows": [
            {
                **row,
                "before": shortened(row["before"], 90),
                "now": shortened(row["now"], 90),
                "reason": shortened(row["reason"], 120),
            }
            for row in rows
        ],
        "more": _more(more, "more change stands", "more changes stand"),
    }


def _when_words(inputs: ReportInputs) -> str:
    design = inputs.survey.single(Design)
    if design is None or design.earliest_start is None:
        return lead_words(inputs) or "We agree on the dates with you once you have said yes."
    return f"We could begin on {long_date(design.earliest_start)}."


def _figures(inputs: ReportInputs) -> list[dict[str, str]]:
    """Return the large figures of the first page: what is not known has none."""
    quote, rooms, found = inputs.quote, inputs.assessment.rooms, []
    if quote.charges() and quote.is_complete:
        words = "left for you to pay, with VAT" + (", if the grant is approved" if quote.hangs_on_grant else "")
        found.append({"figure": pounds(quote.to_pay), "words": words})
    if pump := _range(_cost_line(inputs, "heat_pump")):
        present = _range(_cost_line(inputs, "present"))
        words = "a year to run" + (f"; today about {present}" if present else "")
        found.append({"figure": pump, "words": words + beside(inputs.assessment.building.so_far)})
    known = [room for room in rooms if room.verdict is not Verdict.NOT_KNOWN]
    if known:
        warm = sum(room.verdict is Verdict.ENOUGH for room in rooms)
        found.append({"figure": f"{warm} of {len(rooms)}", "words": "rooms warm on the coldest day we plan for"})
    return found


def work_of(inputs: ReportInputs, finding: Finding) -> ScopeItem | None:
    """Return the work that a finding asked for, when somebody has written it down."""
    for item in inputs.survey.of_kind(ScopeItem):
        for row in item.asked_by or []:
            if row.get("code") == finding.code and row.get("record") == finding.record:
                return item
    return None


def _who(item: ScopeItem) -> str:
    who = said(item, "trade") or "a trade not named yet"
    by = f", by {long_date(item.needed_by)}" if item.needed_by else ""
    return f"{who}: {lower_first(item.what or 'work not described yet')}{by}"


def titled(inputs: ReportInputs, finding: Finding) -> str:
    """Return a finding's title with the record that it is about, where there may be several of its kind."""
    kind, _, record_id = finding.record.partition("/")
    record = inputs.survey.record_named(kind, record_id)
    title = finding.title.strip()
    if record is None or record.kind.single:
        return title
    return f"{clean(record.title)}: {lower_first(title)}"


def against(inputs: ReportInputs) -> dict[str, Any]:
    """Return what stands against it: every stop with who puts it right, and every check, each of them once."""
    stops, checks = [], []
    for finding in inputs.assessment.findings:
        if finding.severity is Severity.NOTE:
            continue
        work = work_of(inputs, finding)
        is_done = work is not None and work.effective("state") in DONE
        if finding.severity is Severity.STOP:
            right = _who(work) if work is not None else f"we put it right first: {lower_first(finding.remedy)}"
            stops.append(
                {
                    "shape": finding_shape(finding.severity),
                    "what": titled(inputs, finding),
                    "right": sentence(right) + (" Said to be done." if is_done else ""),
                }
            )
        else:
            checks.append(titled(inputs, finding) + (f" ({_who(work)})" if work is not None else ""))
    stops, more_stops = _cut(stops, MOST_STOPS)
    # Two findings that say the same of the same thing are one line to whoever reads it.
    checks, more_checks = _cut(list(dict.fromkeys(checks)), MOST_CHECKS)
    return {
        "stops": stops,
        "checks": [sentence(words) for words in checks],
        "more": _more(more_stops + more_checks),
    }


def _answers(inputs: ReportInputs) -> dict[str, str]:
    """Return how to say yes and how to ask; a quotation that is not whole is none to say yes to."""
    email, telephone = inputs.firm.get("email") or "", inputs.firm.get("telephone") or ""
    ways = [part for part in (f"write to {email}" if email else "", f"call {telephone}" if telephone else "") if part]
    reach = " or ".join(ways) or "get in touch with us"
    is_whole = inputs.quote.is_complete and inputs.assessment.building.total_w is not None
    return {
        "yes": f"To say yes, {reach}. You have 14 days to change your mind; the form for that is with this quotation."
        if is_whole
        else "This is not an offer to say yes to yet: something is still missing. We tell you when it is there.",
        "ask": f"To ask, or to say no: {reach}. A no needs no reason.",
    }


# The second page: what happens in your house.


def _pipe_words(inputs: ReportInputs) -> dict[str, list[str]]:
    """Return what pipes do to each named place."""
    found: dict[str, list[str]] = {}
    for run in inputs.survey.of_kind(PipeRun):
        if run.other_route_agreed:
            name = run.name or said(run, "purpose")
            found.setdefault(f"Pipes: {lower_first(name)}", []).append(sentence(run.other_route_agreed))
    return found


def rooms_that_change(inputs: ReportInputs) -> dict[str, Any]:
    """Return a line for each room that changes, in plain words, and say what stays."""
    survey = inputs.survey
    changes: dict[str, list[str]] = {}
    for item in survey.of_kind(Emitter):
        room = survey.find(Room, item.room) if item.room else None
        name = (room.name if room is not None else None) or "A room not named yet"
        size = (
            f" ({said(item, 'height_mm')} high, {said(item, 'length_mm')} long)"
            if item.length_mm and item.height_mm
            else ""
        )
        what = lower_first(said(item, "type") or "radiator")
        if item.plan == "new":
            changes.setdefault(name, []).append(f"New: {what}{size}.")
        elif item.plan == "replace":
            changes.setdefault(name, []).append(f"Taken out: {what}{size}.")
    water = survey.single(HotWater)
    if water is not None and water.new_place:
        changes.setdefault(upper_first(water.new_place), []).append("The hot water cylinder goes in.")
    for name, words in _pipe_words(inputs).items():
        changes.setdefault(name, []).extend(words)
    rows, more = _cut([{"where": name, "what": " ".join(words)} for name, words in changes.items()], MOST_ROOMS)
    every = [room.name for room in survey.of_kind(Room) if room.name]
    kept = [name for name in every if name not in changes]
    untouched = [
        f"{run.name or said(run, 'purpose')}: {lower_first(said(run, 'constraint'))}"
        for run in survey.of_kind(PipeRun)
        if run.constraint not in (None, "none")
    ]
    return {
        "rows": rows,
        "more": _more(more, "more line stands", "more lines stand"),
        "kept": f"Nothing changes in {_some(kept, 10)}, but for pipes and cables where they pass." if kept else "",
        "untouched": [sentence(words) for words in dict.fromkeys(untouched)],
    }


def proved_plans(inputs: ReportInputs) -> list[StoreyPlan]:
    """Return the storeys of which exactly one layout fits: a household is shown no drawing that may be wrong."""
    return [plan for plan in inputs.plans.storeys if plan.state is PlanState.ONE]


def _changes_on_plan(inputs: ReportInputs) -> dict[str, list[str]]:
    """Return in a few words what changes in each room, by its id."""
    found: dict[str, list[str]] = {}
    for item in inputs.survey.of_kind(Emitter):
        if item.room and item.plan in ("new", "replace"):
            found.setdefault(item.room, []).append(
                f"new {_SHORT_NAMES.get(item.type or '', 'radiator')}" if item.plan == "new" else ""
            )
    # What is taken out is only said where nothing new comes in its stead.
    found = {room: [words for words in said_ if words] or ["radiator taken out"] for room, said_ in found.items()}
    for thing in pictures.placed_things(inputs.survey):
        if thing.kind == "cylinder":
            found.setdefault(thing.room, []).append("cylinder")
    return {room: list(dict.fromkeys(said_)) for room, said_ in found.items()}


def _house_plans(inputs: ReportInputs) -> dict[str, str]:
    shown = proved_plans(inputs)[:MOST_PLANS]
    wide = BESIDE if len(shown) < 3 else (ACROSS - 2 * (ACROSS - 2 * BESIDE)) / 3
    things = pictures.placed_things(inputs.survey)
    return pictures.house_plans(shown, _changes_on_plan(inputs), things, width=wide, tallest=TALLEST_PLAN)


def outside_words(inputs: ReportInputs) -> list[tuple[str, str]]:
    """Return what the household wants to know of the unit outside."""
    survey = inputs.survey
    place = first_place(survey)
    if place is None:
        return []
    facts = [("Where", place.name or "Not named yet")]
    unit = chosen_unit(survey)
    if unit is not None and unit.width_mm and unit.height_mm and unit.depth_mm:
        facts.append(
            (
                "How large",
                f"{said(unit, 'width_mm')} wide, {said(unit, 'height_mm')} high, {said(unit, 'depth_mm')} deep",
            )
        )
    sound = next((item for item in inputs.assessment.site.noise if item.id == place.id), None)
    if sound is not None:
        words = sound.words if not sound.missing else f"not known yet; missing: {', '.join(sound.missing)}"
        facts.append(("Sound at the neighbour’s window", upper_first(words)))
    plan = next((item for item in inputs.assessment.site.zones if item.id == place.id), None)
    if plan is not None and plan.corners:
        facts.append(
            (
                "To keep clear",
                "No opening, drain, socket or flame inside the dashed line of the drawing, now or later",
            )
        )
    return facts


#: What a household should be ready for. Common practice, no source.
DISTURBANCE = (
    ("Loud", "Drilling through the outside wall and taking out the old plant: some hours, in working hours."),
    ("Dusty", "Where walls and floors are opened. We cover what stands there and sweep every evening."),
    (
        "Off",
        "Heating and hot water while the old plant is taken out and the new one filled: mostly a day, at times two. Ask us for heaters if it is cold.",
    ),
)


def _days_words(inputs: ReportInputs) -> str:
    """Say how long the work takes by the days in the price."""
    days = sum((line.quantity for line in inputs.quote.charges() if line.unit == "day" and line.quantity), ZERO)
    return (
        f"By the price we count with {counted(float(days), 'working day', 'working days')} in your house."
        if days
        else ""
    )


# The third page: the price.


#: What a part of the price is called where its own name is a word of the trade.
_PLAIN_PARTS = {"emitters": "Radiators and heated floors"}


def price_page(inputs: ReportInputs) -> dict[str, Any]:
    """Return the groups of the price with their sums, what is taken off, what is not in it and what was assumed."""
    quote, whole = inputs.quote, price_chapter(inputs)
    groups: dict[str, dict[str, Any]] = {}
    for line in quote.charges():
        label = line.group or _PLAIN_PARTS.get(line.part_of, line.part_label)
        group = groups.setdefault(label, {"lines": [], "sum": ZERO, "is_whole": True, "most": 150})
        group["lines"].append(_line_words(line))
        if line.group:
            # What the office has put together itself is told line by line.
            group["most"] = 600
        if line.amount is None:
            group["is_whole"] = False
        else:
            group["sum"] += line.amount
    rows = [
        {
            "label": label,
            "words": shortened("; ".join(group["lines"]), group["most"]),
            "sum": pounds(group["sum"]) if group["is_whole"] else "not complete",
        }
        for label, group in groups.items()
    ]
    others = [
        _who(item)
        for item in inputs.survey.of_kind(ScopeItem)
        if item.trade != "us" and item.effective("state") not in DONE
    ]
    assumed, more = _cut(_assumed(inputs), MOST_ASSUMED)
    return {
        "groups": rows,
        **({"optional": whole["optional"]} if "optional" in whole else {}),
        "totals": whole["totals"],
        "is_complete": whole["is_complete"],
        "rates": whole["rates"],
        "problems": whole["problems"][:6],
        "grant": _grant_words(inputs, whole["grant"]),
        "others": [sentence(words) for words in _cut(others, MOST_WORKS)[0]],
        "assumed": assumed,
        "payments": payments(inputs),
        **{name: [sentence(words) for words in said_lines(inputs, name)] for name in ("exclusions", "assumptions")},
        "more_assumed": _more(more),
    }


def _line_words(line: QuoteLine) -> str:
    """Return what a charge is, with its amount where the office tells that of its group line by line, and what was taken off it."""
    what = line.what or "not described yet"
    if line.is_hidden or line.amount is None:
        return what
    told = f", {pounds(line.amount)}" if line.group else ""
    off = f" ({pounds(line.discount)} taken off)" if line.discount else ""
    return f"{what}{told}{off}"


def _grant_words(inputs: ReportInputs, held: str | None) -> str:
    """Say of a grant that it is not approved yet, and what the table holds on the days that count."""
    has_grant = any(line.kind == GRANT for line in inputs.quote.credit_lines())
    return f"The grant is not approved yet; the scheme decides. {upper_first(held or '')}".strip() if has_grant else ""


def _assumed(inputs: ReportInputs) -> list[str]:
    """Return what was taken as given: what was judged by look or age, prices of fuel, and what is still missing."""
    survey, house = inputs.survey, inputs.survey.single(SurveyRecord)
    looked = [item.name for item in survey.of_kind(Construction) if item.known_by == LOOK and item.name]
    found = []
    if looked:
        found.append(
            f"How well these keep heat was judged by their look and age: {_some([lower_first(name) for name in looked], 6)}."
        )
    if house is not None and house.present_use_kwh:
        found.append(
            f"You use {said(house, 'present_use_kwh')} of {lower_first(said(house, 'present_fuel') or 'fuel')} a year."
        )
    for key, name in (("heat_pump", "Electricity"), ("present", "Your present fuel")):
        line = _cost_line(inputs, key)
        if line is not None and line.price_p_kwh is not None:
            found.append(f"{name}: {line.words}.")
    if inputs.gaps:
        found.append(
            f"{counted(len(inputs.gaps), 'question is', 'questions are')} still open: {_some([gap.words for gap in inputs.gaps], 3, 'more')}."
        )
    return found


# The fourth page: what we need from you, what you can expect.


def needs_page(inputs: ReportInputs) -> dict[str, Any]:
    """Return what the household and others do first, how to live with it, the firm's terms."""
    survey = inputs.survey
    yours: list[dict[str, str]] = []
    theirs: list[dict[str, str]] = []
    for item in survey.of_kind(ScopeItem):
        if item.effective("state") in DONE or item.trade == "us":
            continue
        by = long_date(item.needed_by) if item.needed_by else "no date yet"
        (yours if item.trade == "household" else theirs).append(
            {
                "who": "You" if item.trade == "household" else said(item, "trade") or "A trade not named yet",
                "what": sentence(item.what or "Work not described yet"),
                "by": by,
            }
        )
    house, flow = survey.single(SurveyRecord), inputs.assessment.flow
    rows, more = _cut(yours + theirs, MOST_WORKS)
    terms = inputs.firm.get("terms") or ""
    return {
        "works": rows,
        "more": _more(more),
        "access": shortened((house.access_notes if house is not None else None) or "", 220),
        "flow": degrees(flow.design_c) if flow is not None else "",
        "terms": terms if len(terms) <= LONGEST_TERMS else "",
        "long_terms": terms if len(terms) > LONGEST_TERMS else "",
        "cancellation": CANCELLATION,
        "form": CANCELLATION_FORM,
        "form_source": CANCELLATION_SOURCE,
    }


def telling_photos(inputs: ReportInputs) -> list[dict[str, Any]]:
    """Return only those photos that explain something: with marks, or of what a check or a work is about."""
    asked = {finding.record for finding in inputs.assessment.findings if finding.severity is not Severity.NOTE}
    about = {record.partition("/")[2] for record in asked} | {
        item.drawn_from for item in inputs.survey.of_kind(ScopeItem) if item.drawn_from
    }
    marked = {photo.id for photo in inputs.survey.of_kind(Photo) if photo.strokes}
    of = {photo.id: photo.of for photo in inputs.survey.of_kind(Photo)}
    rows = [row for row in photo_rows(inputs) if row["arrived"] and (row["id"] in marked or of[row["id"]] in about)]
    rows.sort(key=lambda row: row["id"] not in marked)
    chosen = rows[:MOST_PHOTOS]
    return sorted(chosen, key=lambda row: row["number"])


def drawings(inputs: ReportInputs) -> dict[str, str]:
    """Return the quotation's drawings by name: its storeys as far as they are proved, and the unit's place."""
    drawn = {f"house/{name}": svg for name, svg in _house_plans(inputs).items()}
    place = first_place(inputs.survey)
    plan = next((item for item in inputs.assessment.site.zones if place is not None and item.id == place.id), None)
    if plan is not None and (plan.objects or plan.corners):
        # Of all that is near only what lies in the zone is the household's matter.
        near = tuple(item for item in plan.objects if item.state in ("inside", "dealt_with", "not_known"))
        drawn["place"] = pictures.zone_plan(replace(plan, objects=near[:4]), width=WIDE_BESIDE, tallest=74)
    return drawn


def context(inputs: ReportInputs) -> dict[str, Any]:
    """Return everything that the quotation prints."""
    survey = inputs.survey
    design = survey.single(Design)
    notes = [item.words for item in survey.of_kind(Note) if item.audience == "household" and item.words]
    return {
        **letterhead(inputs),
        "changed": changed(inputs),
        "figures": _figures(inputs),
        "sentences": [
            *_open_words(inputs),
            _place_words(inputs),
            warm_words(inputs),
            year_words(inputs),
            money_words(inputs),
            _when_words(inputs),
        ],
        "against": against(inputs),
        "answers": _answers(inputs),
        "plans": [
            {
                "drawing": f"house/{plan.storey}",
                "label": plan.label,
                "alt": pictures.house_plan_words(plan, _changes_on_plan(inputs)),
            }
            for plan in proved_plans(inputs)[:MOST_PLANS]
        ],
        "more_plans": _more(len(proved_plans(inputs)[MOST_PLANS:]), "more storey stands", "more storeys stand"),
        "rooms": rooms_that_change(inputs),
        "outside": outside_words(inputs),
        "disturbance": DISTURBANCE,
        "days": _days_words(inputs),
        "remarks": shortened((design.remarks if design is not None else None) or "", 300),
        "notes": [shortened(words, 160) for words in notes[:3]],
        "price": price_page(inputs),
        "options": options_block(inputs),
        "needs": needs_page(inputs),
        "drawn": list(drawings(inputs)),
        "photos": telling_photos(inputs),
    }
