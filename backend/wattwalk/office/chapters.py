"""The chapters between the first page and the appendix: rooms, the unit's place, hot water, routes, works, price, photos, gaps."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from wattwalk.engine.answers import Assessment, BaseAssessment, RoomAssessment, Severity
from wattwalk.engine.answers.plan import PlanAsk
from wattwalk.engine.answers.rounding import counted, rounded_up
from wattwalk.engine.answers.words import CABLE_WORDS, SEVERITY_WORDS, inside_a_sentence
from wattwalk.offers.quote import LineGroup, Quote, QuoteLine
from wattwalk.offers.rates import RateHeld
from wattwalk.pictures.room_losses import by_storey, verdict_words
from wattwalk.survey.building import Emitter
from wattwalk.survey.document import Survey
from wattwalk.survey.gaps import Gap
from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.kinds import Record
from wattwalk.survey.services import CableRun, HotWater, PipeRun, Supply
from wattwalk.survey.site import Base, NearbyObject, OutdoorPosition
from wattwalk.survey.standing import NO_UNIT, unit_at
from wattwalk.survey.walk import STAGES
from wattwalk.survey.wording import (
    long_date,
    number_words,
    pounds,
    record_lines,
    record_titles,
    value_words,
)
from wattwalk.survey.works import Design, Photo, ScopeItem

from .figures import bare, beside, degrees, in_sum, kilowatts, lower_first, quantity, upper_first, watts
from .marks import in_words
from .report_inputs import ReportInputs
from .site_chapters import circuit_block, place_block, power_block

#: Of a unit, what its place is judged by.
UNIT_GROUPS = ("body", "zone", "sound", "water", "room")
#: Of a unit, what stands in the drawing of its zone, and in full with what was recorded.
LEFT_TO_THE_RECORD = ("zone_corners",)
#: One of what a price line is counted in.
_ONE = {"m": "metre", "h": "hour", "day": "day"}
#: The shape of each, the most serious first.
SEVERITY_SHAPES = {Severity.STOP: "■", Severity.CHECK: "▲", Severity.NOTE: "○"}


def said(record: Record, name: str, titles: dict[str, str] | None = None) -> str:
    """Return a recorded value in words, or an empty text when it is not known."""
    value = record.effective(name)
    return "" if value in (None, "", []) else value_words(record.kind.field(name), value, titles)


def done_about(item: NearbyObject) -> str:
    """Say whether the remedy for something near the unit is done; an empty text where it wants none."""
    return "" if item.remedy in (None, "none_needed") else "done" if item.remedy_done else "not done yet"


def insulation_words(run: PipeRun) -> str:
    """Return the insulation of a run, how thick and of what; an empty text while nothing is said of it."""
    return " ".join(part for part in (said(run, "insulation_mm"), said(run, "insulation").lower()) if part)


#: What the price says by the day of the quote, which a finding could say by the day of the visit only.
_SAID_BY_THE_PRICE = ("grant_by_table",)


def finding_shape(severity: Severity) -> str:
    """Return the shape that stands for a severity beside its word."""
    return SEVERITY_SHAPES[severity]


def finding_rows(inputs: ReportInputs, chapter: str) -> list[dict[str, str]]:
    """Return the findings of a chapter, the most serious first."""
    order = list(SEVERITY_SHAPES)
    chosen = sorted(
        (
            item
            for item in (*inputs.assessment.findings, *inputs.plans.findings)
            if item.chapter == chapter and item.code not in _SAID_BY_THE_PRICE
        ),
        key=lambda item: order.index(item.severity),
    )
    rows = []
    for item in chosen:
        rows.append(
            {
                "shape": SEVERITY_SHAPES[item.severity],
                "word": SEVERITY_WORDS[item.severity],
                "severity": str(item.severity),
                "message": item.message,
                "remedy": item.remedy,
                "source": item.source,
            }
        )
    return rows


def _emitter_words(survey: Survey, room: RoomAssessment) -> list[dict[str, str]]:
    rows = []
    for emitter in room.emitters:
        record = survey.find(Emitter, emitter.id)
        plan = "" if record is None else said(record, "plan").lower()
        rows.append(
            {
                "words": emitter.words,
                "plan": plan,
                "output": watts(emitter.output_w) if emitter.counts else "taken out",
                "missing": ", ".join(emitter.missing),
            }
        )
    return rows


def load_rows(assessment: Assessment) -> list[dict[str, str]]:
    """Return what the unit's load is made of, with what is left out and why."""
    return [
        {
            "label": term.label,
            "watts": in_sum(watts(term.watts), term.watts, counts=term.counts),
            "words": upper_first(term.words),
            "switch": term.switch,
            "source": term.source,
        }
        for term in assessment.plant.load_terms
    ]


#: Answers that a plan on paper asks for; the page of the rooms has them all.
_MOST_ASKED = 3


def _asked(asks: Sequence[PlanAsk]) -> list[str]:
    """Return the first answers that would settle a plan, and how many more there are."""
    more = len(asks) - _MOST_ASKED
    return [ask.words for ask in asks[:_MOST_ASKED]] + (
        [f"{counted(more, 'more answer is', 'more answers are')} wanted."] if more > 0 else []
    )


def rooms_chapter(inputs: ReportInputs) -> dict[str, Any]:
    """Return the table of rooms and emitters, storey by storey."""
    assessment = inputs.assessment
    groups = []
    for storey, rooms in by_storey(assessment.rooms):
        rows = [
            {
                "name": room.name,
                "inside": bare(room.inside_c, 0),
                "area": bare(room.floor_area_m2, 1),
                "loss": bare(room.total_w),
                "output": bare(room.output_w),
                "lowest": "–" if room.lowest_flow_c is None else bare(rounded_up(room.lowest_flow_c, 1), 1),
                "verdict": verdict_words(room),
                "state": str(room.verdict),
                "emitters": _emitter_words(inputs.survey, room),
                "missing": ", ".join(room.missing),
                "holes": "; ".join(hole.words for hole in room.holes),
            }
            for room in rooms
        ]
        groups.append({"storey": storey, "rooms": rows})
    building = assessment.building
    parts = [
        ("through walls, roof, windows and doors to the outside", building.outside_w),
        ("into the ground", building.ground_w),
        ("into unheated spaces", building.unheated_w),
        ("to neighbours", building.neighbour_w),
        ("with the air", building.ventilation_w),
    ]
    names = {room.id: room.name for room in assessment.rooms}
    return {
        "groups": groups,
        "ages": [
            {
                "name": part.name,
                "words": part.words,
                "rooms": ", ".join(names[room] for room in part.rooms) or "no room yet",
            }
            for part in assessment.parts
        ],
        "outside": degrees(assessment.climate.outside_c) if assessment.climate else "",
        "flow": degrees(assessment.flow.design_c) if assessment.flow else "",
        "flow_words": assessment.flow.words if assessment.flow else "",
        "total": watts(building.total_w),
        "known": "" if building.total_w is not None else watts(building.known_so_far_w),
        "unit_size": kilowatts(building.unit_size_w),
        "so_far": building.so_far,
        "load": load_rows(assessment),
        "parts": [(label, watts(value)) for label, value in parts if round(value) != 0],
        "findings": finding_rows(inputs, "rooms"),
        "plans": [
            {
                "drawing": f"plan/{plan.storey}",
                "label": plan.label,
                "words": plan.words,
                "asks": _asked(plan.asks),
            }
            for plan in inputs.plans.storeys
            if plan.rooms
        ],
    }


def base_block(base: BaseAssessment) -> dict[str, Any]:
    """Return one base: its figures, its packing table and what is missing."""
    figures = [
        ("Fall", quantity(base.fall_mm_m, "mm in each metre", 1)),
        ("Fall across the base", quantity(base.fall_across_base_mm, "mm", 1)),
        ("Falls toward", base.falls_toward or "–"),
        ("Furthest reading from the plane", quantity(base.worst_residual_mm, "mm", 1)),
    ]
    return {
        "name": base.name or "Base",
        "figures": figures if base.fall_mm_m is not None else [],
        "feet": [
            {"name": foot.name, "height": bare(foot.height_mm, 1), "packing": bare(foot.packing_mm)}
            for foot in base.feet
        ],
        "missing": list(base.missing),
        "drawing": f"base/{base.id}" if base.points else "",
        "id": base.id,
    }


def site_chapter(inputs: ReportInputs) -> dict[str, Any]:
    """Return the places of the unit: what is recorded of each, what is near, the bases."""
    survey, titles = inputs.survey, record_titles(inputs.survey)
    building = inputs.assessment.building
    by_base = {base.id: base for base in inputs.assessment.bases}
    places = []
    for place in survey.of_kind(OutdoorPosition):
        near = []
        for item in survey.children(NearbyObject, place.id):
            near.append(
                {
                    "what": f"{item.name} ({lower_first(said(item, 'type'))})" if item.name else said(item, "type"),
                    "along": said(item, "along_m"),
                    "out": said(item, "out_m"),
                    "up": said(item, "up_m"),
                    "remedy": said(item, "remedy"),
                    "state": done_about(item),
                }
            )
        bases = [base_block(by_base[base.id]) for base in survey.children(Base, place.id) if base.id in by_base]
        facts = list(record_lines(place, titles, without=("name",)))
        stands = unit_at(survey, place)
        if stands is not NO_UNIT:
            lines = record_lines(stands, titles, UNIT_GROUPS, without=LEFT_TO_THE_RECORD)
            facts += [("The unit", stands.title), *lines]
        places.append(
            {
                "name": place.name or "Place not named yet",
                "facts": facts,
                "near": near,
                "bases": bases,
                "more": place_block(inputs, place.id),
            }
        )
    design = survey.single(Design)
    unit = (
        []
        if design is None
        else [
            (label, words)
            for label, words in record_lines(design, titles)
            if label != design.kind.field("remarks").label
        ]
    )
    return {
        "unit": unit,
        "needs": kilowatts(building.unit_size_w) + beside(building.so_far),
        "places": places,
        "findings": finding_rows(inputs, "site"),
    }


def water_chapter(inputs: ReportInputs) -> dict[str, Any]:
    """Return what was found and planned for hot water."""
    record = inputs.survey.single(HotWater)
    titles = record_titles(inputs.survey)
    return {
        "facts": [] if record is None else list(record_lines(record, titles)),
        "findings": finding_rows(inputs, "water"),
    }


def routes_chapter(inputs: ReportInputs) -> dict[str, Any]:
    """Return pipe runs and cable runs as tables."""
    survey = inputs.survey
    assessed = {item.id: item for item in inputs.assessment.cables}
    pipes = []
    for run in survey.of_kind(PipeRun):
        pipe = " ".join(part for part in (said(run, "size_mm"), said(run, "material").lower()) if part)
        limit = said(run, "constraint") if run.constraint not in (None, "none") else ""
        agreed = f"Agreed instead: {run.other_route_agreed}" if run.other_route_agreed else ""
        pipes.append(
            {
                "name": run.name or said(run, "purpose"),
                "ends": " to ".join(
                    lower_first(part) if place else part for place, part in enumerate((run.start, run.end)) if part
                ),
                "route": said(run, "stretches"),
                "pipe": pipe,
                "wrap": insulation_words(run),
                "limit": limit,
                "agreed": agreed,
            }
        )
    cables = []
    for line in survey.of_kind(CableRun):
        found = assessed.get(line.id)
        cable = ", ".join(
            part
            for part in (
                f"{line.cores} cores" if line.cores else "",
                said(line, "size_mm2"),
                "" if line.is_screened is None else "screened" if line.is_screened else "not screened",
            )
            if part
        )
        length = quantity(found.length_m, "m", 1) if found is not None else said(line, "stretches")
        cables.append(
            {
                "name": line.name or said(line, "purpose"),
                "purpose": said(line, "purpose") if line.name else "",
                "cable": cable,
                "length": length,
                "by": said(line, "run_by") or "nobody yet",
                "verdict": "" if found is None else inside_a_sentence(CABLE_WORDS[found.verdict]),
                "missing": "" if found is None else ", ".join(found.missing),
            }
        )
    supply = survey.single(Supply)
    facts = [] if supply is None else list(record_lines(supply, {}))
    return {
        "pipes": pipes,
        "cables": cables,
        "supply": facts,
        "water": circuit_block(inputs),
        "power": power_block(inputs),
        "findings": finding_rows(inputs, "routes"),
    }


def works_chapter(inputs: ReportInputs) -> list[dict[str, Any]]:
    """Return what is asked of each trade."""
    titles = record_titles(inputs.survey)
    trades: dict[str, list[dict[str, str]]] = {}
    for item in inputs.survey.of_kind(ScopeItem):
        row = {
            "what": item.what or "Not described yet",
            "specification": item.specification or "",
            "why": item.why or "",
            "by": long_date(item.needed_by) if item.needed_by else "",
            "state": said(item, "state"),
            "about": titles.get(item.drawn_from or "", ""),
        }
        trades.setdefault(said(item, "trade") or "Trade not named yet", []).append(row)
    return [{"trade": trade, "works": rows} for trade, rows in trades.items()]


def _rate(rate: Any) -> str:
    return "" if rate is None else f"{rate.normalize():f}\N{NO-BREAK SPACE}%"


def unit_words(line: QuoteLine) -> str:
    """Return what a line is counted in, in the singular where it is one; nothing for pieces and sums."""
    if line.unit in {"each", "sum"}:
        return ""
    return _ONE[line.unit] if line.quantity == 1 else line.unit_label


def _rate_words(rate: RateHeld) -> str:
    """Say until when a rate holds that does not hold for ever, or why it does not hold on one of the days."""
    if rate.words:
        return f"{rate.words} ({rate.source})"
    return f"{rate.rate} % VAT is for energy-saving materials installed in a home, until {long_date(rate.last_day)} ({rate.source})."


def _line_row(line: QuoteLine) -> dict[str, str]:
    what = line.what or "Not described yet"
    return {
        "what": f"{what}, less {pounds(line.discount)}" if line.discount and not line.is_hidden else what,
        "quantity": "–" if line.quantity is None else number_words(float(line.quantity), None),
        "unit": unit_words(line),
        "price": "in the sum" if line.is_hidden else "–" if line.unit_price is None else pounds(line.unit_price),
        "rate": _rate(line.vat_rate) or "–",
        "amount": "not complete" if line.amount is None else "in the sum" if line.is_hidden else pounds(line.amount),
    }


def _sum_words(group: LineGroup) -> str:
    return pounds(group.amount) if group.is_whole else "not complete"


def _with_vat(line: QuoteLine) -> str:
    return "not complete" if line.with_vat is None else pounds(line.with_vat)


def _only_where_there(quote: Quote) -> dict[str, Any]:
    """Return what few prices have: the sums of groups whose lines are not all told, and what the household may choose."""
    found: dict[str, Any] = {}
    sums = {group.label: _sum_words(group) for group in quote.groups() if any(line.is_hidden for line in group.lines)}
    if sums:
        found["sums"] = sums
    if quote.optional():
        found["optional"] = [
            {"what": line.what or "Not described yet", "with_vat": _with_vat(line), "rate": _rate(line.vat_rate)}
            for line in quote.optional()
        ]
    return found


def price_chapter(inputs: ReportInputs) -> dict[str, Any]:
    """Return the price lines part by part, VAT by rate, credits, deposit, balance."""
    quote = inputs.quote
    parts = [(group.label, [_line_row(line) for line in group.lines]) for group in quote.groups()]
    totals = [("Without VAT", pounds(quote.net), "")]
    totals += [(f"VAT at {_rate(group.rate)} on {pounds(group.net)}", pounds(group.vat), "") for group in quote.by_vat]
    totals.append(("With VAT", pounds(quote.gross), "strong"))
    totals += [
        (line.what or line.kind_label, "not complete" if line.amount is None else pounds(-line.amount), "")
        for line in quote.credit_lines()
    ]
    if quote.deposit:
        totals.append(("Deposit already paid", pounds(-quote.deposit), ""))
    if quote.is_complete:
        totals.append((quote.left_words, pounds(quote.to_pay), "grand"))
        if quote.hangs_on_grant:
            totals.append(("If it is not approved", pounds(quote.to_pay + quote.granted), ""))
    return {
        **_only_where_there(quote),
        "parts": parts,
        "totals": totals,
        "is_complete": quote.is_complete,
        "rates": [_rate_words(rate) for rate in quote.rates if rate.last_day],
        "grant": "" if quote.grant is None or not quote.hangs_on_grant else quote.grant.words,
        "problems": [problem.message for problem in quote.problems],
    }


def gaps_chapter(gaps: tuple[Gap, ...]) -> list[dict[str, Any]]:
    """Return what is still missing, by the stage of the walk where it is met."""
    labels = {stage.name: stage.label for stage in STAGES}
    groups: dict[str, list[dict[str, str]]] = {}
    for gap in gaps:
        groups.setdefault(labels.get(gap.stage, gap.stage), []).append({"words": gap.words, "spoils": gap.spoils})
    return [{"stage": stage, "gaps": items} for stage, items in groups.items()]


def photo_rows(inputs: ReportInputs) -> list[dict[str, Any]]:
    """Return every photo with what it shows; one whose bytes have not arrived is marked so."""
    titles = record_titles(inputs.survey)
    rows = []
    for number, photo in enumerate(inputs.survey.of_kind(Photo), start=1):
        of = titles.get(photo.of, "") if photo.of and inputs.survey.find(SurveyRecord, photo.of) is None else ""
        shows = said(photo, "category")
        marked = in_words(photo.strokes or [])
        rows.append(
            {
                "number": number,
                "caption": photo.caption or shows or "Photo",
                "shows": shows if photo.caption else "",
                "of": of,
                "sha256": photo.sha256,
                "arrived": photo.sha256 in inputs.photos,
                "id": photo.id,
                "alt": f"Photo {number}: {photo.caption or shows or 'no caption'}{f'. {marked}.' if marked else ''}",
            }
        )
    return rows
