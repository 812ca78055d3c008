"""The technical file: for the designer who signs, the scheme's auditor, the next engineer in ten years."""

from __future__ import annotations

from typing import Any

from wattwalk import pictures
from wattwalk.engine.answers.plan import StoreyPlan
from wattwalk.engine.answers.words import SEVERITY_WORDS
from wattwalk.survey.chapters import CHAPTERS
from wattwalk.survey.site import Base
from wattwalk.survey.standing import unit_on
from wattwalk.survey.wording import long_date
from wattwalk.survey.works import Hazard, ScopeItem

from . import chapters
from .cautions import CAUTIONS
from .changes import changes, facts_of
from .figures import beside, lower_first
from .option_chapter import options_block
from .plant_chapters import cost_block, unit_block, unit_table, water_block
from .printed_before import printed_before
from .quotation import letterhead, titled, work_of
from .recorded import recorded
from .report_inputs import ReportInputs
from .season import season_chapter
from .site_chapters import circuit_block, power_block
from .sure import sure_block
from .typeset import ACROSS, SCHEME
from .working import working_chapter

#: How wide a storey's plan is drawn beside another, at least and at most, and how deep, points: no plan takes half a page.
_NARROWEST, _BESIDE, _DEEPEST = 170.0, 240.0, 300.0
#: How wide a base and the charts are drawn, points; the site sheets have them across the page.
_CHART = 380.0


def plan_width(storey: StoreyPlan) -> float:
    """Return how wide a storey's plan is drawn, points: half a page at most, or wider where it is long and low."""
    points = [point for room in storey.rooms for point in room.outline]
    wide, deep = (max(axis) - min(axis) for axis in zip(*points, strict=True))
    most = _BESIDE if wide <= 1.25 * deep else ACROSS
    return round(max(_NARROWEST, min(most, _DEEPEST * wide / deep)), 1)


def drawings(inputs: ReportInputs) -> dict[str, str]:
    """Return every drawing of the file by its name."""
    assessment = inputs.assessment
    drawn = {
        "flow": pictures.flow_search(assessment, width=ACROSS),
        "cost": pictures.cost_bars(assessment, width=_CHART),
        "compensation": pictures.compensation(assessment, width=_CHART),
        "improvements": pictures.improvements(assessment, width=ACROSS),
    }
    losses, things = {room.id: room for room in assessment.rooms}, pictures.placed_things(inputs.survey)
    for storey in inputs.plans.storeys:
        width = plan_width(storey) if storey.rooms else ACROSS
        plan = pictures.storey_plan(storey, losses, things, pictures.PAPER, width)
        if plan is not None:
            drawn[f"plan/{storey.storey}"] = plan
    heavy = {base.id: unit_on(inputs.survey, base).heavy_side for base in inputs.survey.of_kind(Base)}
    for base in assessment.bases:
        drawn[f"base/{base.id}"] = pictures.base_plan(base, heavy.get(base.id), width=_CHART, tallest=120)
    site = assessment.site
    drawn |= {
        f"zone/{plan.id}": pictures.zone_plan(
            plan, width=ACROSS, tallest=120, feet=pictures.feet_at(inputs.survey, assessment, plan.id)
        )
        for plan in site.zones
    }
    return drawn


def sums(inputs: ReportInputs) -> list[tuple[str, str]]:
    """Return the sums of the first page: load with each term, flow, unit, water, hot water, sound, electricity."""
    assessment, rooms = inputs.assessment, chapters.rooms_chapter(inputs)
    found: list[tuple[str, str]] = []
    counted_terms = [f"{lower_first(term['label'])} {term['watts']}" for term in rooms["load"]]
    if assessment.building.total_w is not None:
        found.append(
            (
                "Heat load",
                f"{rooms['unit_size']}{beside(rooms['so_far'])}: {'; '.join(counted_terms) or 'rooms ' + rooms['total']}",
            )
        )
    if assessment.flow is not None:
        found.append(("Flow temperature", f"{rooms['flow']} at the design cold. {rooms['flow_words']}"))
    if words := unit_block(assessment)["words"]:
        found.append(("Unit", words))
    wanted = ("Flow", "Volumiser to add", "Expansion vessel at least", "Fill to, when cold")
    if water := [f"{lower_first(label)} {words}" for label, words in circuit_block(inputs)["facts"] if label in wanted]:
        found.append(("Heating water", "; ".join(water)))
    hot = water_block(assessment)
    if hot is not None:
        found += [
            (label, words)
            for label, words in hot["facts"]
            if label in ("Content of the cylinder", "At the tap, mixed to 40 °C")
        ]
    found += [
        (f"Sound, {item.name}", item.words if not item.missing else f"not known; missing: {', '.join(item.missing)}")
        for item in assessment.site.noise
    ]
    found += [
        (label, words) for label, words in power_block(inputs)["facts"] if label.startswith(("Together", "Network"))
    ]
    return found


def handled(inputs: ReportInputs) -> list[dict[str, str]]:
    """Return every finding with what was done about it."""
    rows = []
    state_of = ScopeItem.kind.field("state").choice_label
    for finding in inputs.assessment.findings:
        work = work_of(inputs, finding)
        done = (
            ""
            if work is None
            else f"{work.what or 'Work not described yet'}: {state_of(work.effective('state')).lower()}"
        )
        by = f", by {long_date(work.needed_by)}" if work is not None and work.needed_by else ""
        rows.append(
            {
                "word": f"{chapters.finding_shape(finding.severity)} {SEVERITY_WORDS[finding.severity]}",
                "what": titled(inputs, finding),
                "done": f"{done}{by}" or "nothing written down",
                "chapter": finding.chapter,
                "order": str(list(chapters.SEVERITY_SHAPES).index(finding.severity)),
            }
        )
    return sorted(rows, key=lambda row: row["order"])


def context(inputs: ReportInputs) -> dict[str, Any]:
    """Return everything that the file prints."""
    season = season_chapter(inputs)
    cost = cost_block(inputs)
    cost_findings = chapters.finding_rows(inputs, "cost")
    return {
        **letterhead(inputs),
        "contents": [(item.name, item.label) for item in CHAPTERS],
        "changed": [item.as_dict() for item in changes(inputs.before, facts_of(inputs))]
        if inputs.before is not None
        else None,
        "since": inputs.before["number"] if inputs.before is not None else 0,
        "sums": sums(inputs),
        "handled": handled(inputs),
        "rooms": chapters.rooms_chapter(inputs),
        "base_width": _CHART,
        "plan_widths": {f"plan/{item.storey}": plan_width(item) for item in inputs.plans.storeys if item.rooms},
        "flow_drawing": f"{SCHEME}drawing/flow" if inputs.assessment.flow is not None else None,
        "season": season,
        "sure": sure_block(inputs),
        "checks": [{"words": words, "every": every, "met": met} for words, every, met in inputs.checks],
        "plant_unit": unit_block(inputs.assessment),
        "unit_table": unit_table(inputs.survey),
        "plant_water": water_block(inputs.assessment),
        "plant_cost": cost,
        "plant_cost_findings": cost_findings,
        "site": chapters.site_chapter(inputs),
        "water": chapters.water_chapter(inputs),
        "routes": chapters.routes_chapter(inputs),
        "works": chapters.works_chapter(inputs),
        "price": chapters.price_chapter(inputs),
        "options": options_block(inputs),
        "hazards": [
            {"what": chapters.said(item, "type"), "where": item.where or "", "do": item.what_to_do or ""}
            for item in inputs.survey.of_kind(Hazard)
        ],
        "photos": chapters.photo_rows(inputs),
        "gaps": chapters.gaps_chapter(inputs.gaps),
        "recorded": recorded(inputs.survey, printed_before(inputs)),
        "working": working_chapter(inputs),
        "cautions": CAUTIONS,
    }
