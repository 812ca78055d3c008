"""The site sheets: one page for each place, for a wet pocket: large figures, one drawing, few facts, a line to sign."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from wattwalk import pictures
from wattwalk.engine.answers import BaseAssessment
from wattwalk.engine.answers.words import FIT_WORDS, PLACE_VIEW, inside_a_sentence
from wattwalk.survey.building import Emitter
from wattwalk.survey.circuit import Circuit
from wattwalk.survey.services import CableRun, HotWater, PipeRun, Supply
from wattwalk.survey.site import Base, NearbyObject, OutdoorPosition
from wattwalk.survey.standing import unit_at, unit_on
from wattwalk.survey.wording import long_date
from wattwalk.survey.works import Design, ScopeItem

from .chapters import done_about, insulation_words, said
from .figures import NBSP, bare, degrees, lower_first, quantity, upper_first
from .quotation import letterhead
from .report_inputs import ReportInputs
from .site_chapters import circuit_block, power_block
from .typeset import ACROSS

#: So many of each, so that a sheet stays one page.
MOST_ROWS = 14


@dataclass(frozen=True)
class Table:
    """Heads, those of figures told apart, and rows of a sheet."""

    heads: tuple[str, ...]
    figures: tuple[int, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class Sheet:
    """One page: for whom, from where it is seen, its drawing by name with what it shows, its facts, its table."""

    title: str
    whose: str
    facts: tuple[tuple[str, str], ...]
    view: str = ""
    drawing: str = ""
    alt: str = ""
    table: Table | None = None
    before: tuple[str, ...] = ()


def _base_sheet(inputs: ReportInputs, place: OutdoorPosition, base: BaseAssessment) -> Sheet:
    found = next((item for item in inputs.assessment.site.bases if item.id == base.id), None)
    unit = unit_at(inputs.survey, place)
    facts = [
        ("Slab", f"{bare(base.length_mm)} × {bare(base.width_mm)}{NBSP}mm"),
        (
            "Falls",
            f"{quantity(base.fall_across_base_mm, 'mm', 1)} in all"
            + (f", towards the {base.falls_toward}" if base.falls_toward else ""),
        ),
        (
            "Carries the unit from",
            long_date(found.earliest_day) if found is not None and found.earliest_day else "not known",
        ),
        ("Feet to the slab’s edge", quantity(found.edge_mm if found is not None else None, "mm")),
        ("The unit weighs", quantity(unit.mass_kg, "kg")),
    ]
    feet = tuple((upper_first(foot.name), bare(foot.packing_mm)) for foot in base.feet)
    return Sheet(
        title=f"Base: {base.name or 'not named yet'}",
        whose="Whoever sets the unit",
        view=f"{PLACE_VIEW}. The feet are named so.",
        drawing=f"base/{base.id}" if base.points else "",
        alt="The slab from above with the packing under each foot; the table has the same figures.",
        facts=tuple(facts),
        table=Table(("Foot", "Packing mm"), (1,), feet) if feet else None,
        before=tuple(f"Missing: {words}." for words in base.missing),
    )


def _zone_sheet(inputs: ReportInputs, place: OutdoorPosition) -> Sheet | None:
    plan = next((item for item in inputs.assessment.site.zones if item.id == place.id), None)
    if plan is None:
        return None
    unit = unit_at(inputs.survey, place)
    room = [
        f"{inside_a_sentence(side)} {bare(item.has_mm)} of {bare(item.needs_mm)}{NBSP}mm"
        for item in plan.clearances
        if item.has_mm is not None
        for side in [{"back": "behind", "above": "above", "front": "in front"}.get(item.side, item.side)]
    ]
    facts = [
        ("Unit", unit.title if unit.id else "none chosen yet"),
        ("Refrigerant", said(unit, "refrigerant") or "not known"),
        ("Zone", plan.shape or "not known"),
        ("Room there, of needed", "; ".join(room) or "not measured"),
    ]
    near = tuple(
        (
            item.name or said(item, "type"),
            said(item, "remedy") or "–",
            done_about(item),
        )
        for item in inputs.survey.children(NearbyObject, place.id)
    )
    return Sheet(
        title=f"Unit and its zone: {place.name or 'place not named yet'}",
        whose="Whoever sets the unit, builder, electrician",
        view=f"{PLACE_VIEW}." + ("" if plan.is_makers else " A planning shape: the unit maker’s drawing decides."),
        drawing=f"zone/{place.id}" if plan.objects or plan.corners else "",
        alt="Plan of the place with the unit, its zone and everything near it by number.",
        facts=tuple(facts),
        table=Table(("What is near", "What is done about it", "State"), (), near[:12]) if near else None,
    )


def _circuit_sheets(inputs: ReportInputs) -> list[Sheet]:
    block = circuit_block(inputs)
    if not block["facts"]:
        return []
    wanted = {
        "Fluid",
        "Flow",
        "Volumiser to add",
        "Expansion vessel at least",
        "Fill to, when cold",
        "The unit’s pump has left",
    }
    length = {
        run.id: sum(float(row.get("length_m") or 0.0) for row in run.stretches or [])
        for run in inputs.survey.of_kind(PipeRun)
    }
    wrap = {run.id: insulation_words(run) for run in inputs.survey.of_kind(PipeRun)}
    rows = tuple(
        (
            item.name,
            item.pipe or "–",
            bare(length.get(item.id), 1) if length.get(item.id) else "–",
            wrap.get(item.id) or "–",
            bare(item.flow_l_min, 1),
        )
        for item in inputs.assessment.site.runs
    )
    scheme = Sheet(
        title="Heating water",
        whose="Plumber",
        view="Scheme, not to scale: flow drawn through, return dashed.",
        drawing="circuit" if inputs.assessment.site.runs else "",
        alt="Scheme of the heating water; the next sheet has sizes, lengths and flows.",
        facts=tuple((label, words) for label, words in block["facts"] if label in wanted),
        before=(f"Missing: {block['missing']}.",) if block["missing"] else (),
    )
    heads = ("Run", "Pipe", "Length m", "Insulation", "Flow l/min")
    pipes = Sheet(title="Pipes", whose="Plumber", facts=(), table=Table(heads, (2, 4), rows[:MOST_ROWS]))
    return [scheme, pipes] if rows else [scheme]


def _cable_sheet(inputs: ReportInputs) -> Sheet | None:
    runs = inputs.survey.of_kind(CableRun)
    power = power_block(inputs)
    if not runs and not power["facts"]:
        return None
    found = {item.id: item for item in inputs.assessment.cables}
    by_who: dict[str, list[tuple[str, ...]]] = {}
    for run in runs:
        who = said(run, "run_by") or "Nobody yet"
        parts = [
            f"{run.cores} cores" if run.cores else "",
            said(run, "size_mm2"),
            "screened" if run.is_screened else "",
        ]
        there = found.get(run.id)
        by_who.setdefault(who, []).append(
            (
                who,
                run.name or said(run, "purpose"),
                ", ".join(part for part in parts if part) or "–",
                bare(there.length_m, 1) if there is not None else "–",
                said(run, "end") or "–",
            )
        )
    rows = tuple(row for group in by_who.values() for row in group)
    wanted = ("Main fuse", "Together", "The unit, at most", "Network operator")
    supply = inputs.survey.single(Supply)
    facts = [(label, words) for label, words in power["facts"] if label.startswith(wanted)]
    if supply is not None and supply.earthing:
        facts.append(("Earthing", said(supply, "earthing")))
    return Sheet(
        title="Cables",
        whose="Electrician; each cable by whom it is run",
        view="Drawn through: mains; dashed: signals. A qualified electrician designs, tests and certifies.",
        drawing="cables" if inputs.assessment.cables else "",
        alt="Every cable as a line; the table has the same.",
        facts=tuple(facts),
        table=Table(("Run by", "Cable", "Kind", "Length m", "To"), (3,), rows[:MOST_ROWS]) if rows else None,
    )


def _cupboard_mm(inputs: ReportInputs) -> tuple[float, float, float] | None:
    """Return the width and the depth of the cylinder's place and the diameter of the cylinder, mm; None while one of them is missing."""
    water, design = inputs.survey.single(HotWater), inputs.survey.single(Design)
    if water is None or design is None:
        return None
    width, depth, across = water.place_width_mm, water.place_depth_mm, design.cylinder_diameter_mm
    return (width, depth, across) if width and depth and across else None


def _cylinder_sheet(inputs: ReportInputs) -> Sheet | None:
    water, design = inputs.survey.single(HotWater), inputs.survey.single(Design)
    if water is None:
        return None
    found = inputs.assessment.plant.hot_water
    facts = [
        ("Cylinder", (design.cylinder_name if design is not None else None) or "not chosen yet"),
        ("Goes here", water.new_place or "not said yet"),
    ]
    if found is not None and found.content_l is not None:
        facts.append(("Content", quantity(found.content_l, "l")))
    if design is not None:
        facts.append(("Store temperature", said(design, "store_c")))
        facts.append(("Weekly cycle", said(design, "hygiene")))
    if found is not None and found.discharge is not None:
        facts.append(("Discharge pipe", found.discharge.words))
    fits = tuple(
        (upper_first(fit.what), bare(fit.has_mm), bare(fit.needs_mm), inside_a_sentence(FIT_WORDS[fit.state]))
        for fit in (found.fits if found is not None else ())
    )
    is_drawn = _cupboard_mm(inputs) is not None
    return Sheet(
        title="Cylinder and its cupboard",
        whose="Plumber",
        view="Seen from above, you stand at the cupboard’s open side." if is_drawn else "",
        drawing="cylinder" if is_drawn else "",
        alt="The cupboard from above with the cylinder in it; the table has the same figures.",
        facts=tuple((label, words or "not known") for label, words in facts),
        table=Table(("Way in and place", "There mm", "Needed mm", "Verdict"), (1, 2), fits) if fits else None,
    )


def _radiator_sheets(inputs: ReportInputs) -> list[Sheet]:
    circuit = inputs.assessment.site.circuit
    balance = circuit.balance if circuit is not None else None
    water = {item.id: item for item in balance.rows} if balance is not None else {}
    rows = []
    for room in inputs.assessment.rooms:
        for emitter in room.emitters:
            record, found = inputs.survey.find(Emitter, emitter.id), water.get(emitter.id)
            rows.append(
                (
                    room.name,
                    emitter.words,
                    said(record, "plan").lower() if record is not None else "",
                    bare(found.flow_l_min, 2) if found is not None else "–",
                    bare(found.return_c, 1) if found is not None else "–",
                    (found.setting or (f"Kv{NBSP}{bare(found.kv_m3_h, 3)}" if found.kv_m3_h is not None else "–"))
                    if found is not None
                    else "–",
                )
            )
    flow = inputs.assessment.flow
    facts = (
        ("Water from the unit on the coldest day", degrees(flow.design_c) if flow is not None else "not known"),
        ("Together they take", quantity(balance.flow_l_min if balance is not None else None, "l/min", 1)),
    )
    heads = ("Room", "Radiator or floor", "Plan", "Flow l/min", "Return °C", "Setting")
    parts = [rows[start : start + MOST_ROWS] for start in range(0, len(rows), MOST_ROWS)]
    return [
        Sheet(
            title="Radiators and floors by room" + (f", part {number} of {len(parts)}" if len(parts) > 1 else ""),
            whose="Heating engineer",
            facts=facts,
            table=Table(heads, (3, 4), tuple(part)),
        )
        for number, part in enumerate(parts, start=1)
    ]


def _start_sheet(inputs: ReportInputs) -> Sheet | None:
    line, circuit = inputs.assessment.compensation, inputs.assessment.site.circuit
    if line is None and circuit is None:
        return None
    survey = inputs.survey
    record, design = survey.single(Circuit), survey.single(Design)
    facts: list[tuple[str, str]] = []
    if line is not None:
        facts += [("Compensation line", line.words)]
    if circuit is not None:
        facts += [
            ("Flow", f"{quantity(circuit.flow_l_min, 'l/min', 1)} at {quantity(circuit.difference_k, 'K')}"),
            ("Fill to, when cold", quantity(circuit.fill_bar, "bar", 1)),
        ]
    if record is not None:
        facts += [
            ("Charge of the expansion vessel", said(record, "precharge_bar") or "not known"),
            ("Safety valve", said(record, "safety_valve_bar") or "not known"),
        ]
    if design is not None:
        facts += [("Store", f"{said(design, 'store_c')}; weekly cycle: {lower_first(said(design, 'hygiene'))}")]
    return Sheet(
        title="Start-up values",
        whose="Whoever commissions",
        drawing="compensation" if line is not None else "",
        alt="The compensation line with the two points to set.",
        facts=tuple(facts),
        table=Table(
            ("Read on the day", "Should be", "Is"),
            (),
            (
                ("Flow through the unit, l/min", bare(circuit.flow_l_min, 1) if circuit is not None else "–", ""),
                ("Flow and return of the unit, °C", "", ""),
                ("Pressure, cold, bar", bare(circuit.fill_bar, 1) if circuit is not None else "–", ""),
                ("Hot water at the tap, °C", "", ""),
            ),
        ),
    )


def _works_sheet(inputs: ReportInputs) -> Sheet | None:
    rows = tuple(
        (
            said(item, "trade") or "Not named yet",
            item.what or "Not described yet",
            item.specification or "Not written yet",
            long_date(item.needed_by) if item.needed_by else "no date",
        )
        for item in inputs.survey.of_kind(ScopeItem)
    )
    if not rows:
        return None
    return Sheet(
        title="Works that others do first",
        whose="Site lead",
        facts=(),
        table=Table(("Trade", "What", "To what specification", "By"), (3,), rows[:10]),
    )


def sheets(inputs: ReportInputs) -> list[Sheet]:
    """Return the sheets, one page each, in the order in which the site needs them."""
    by_id = {base.id: base for base in inputs.assessment.bases}
    found: list[Sheet | None] = []
    for place in inputs.survey.of_kind(OutdoorPosition):
        found += [
            _base_sheet(inputs, place, by_id[base.id])
            for base in inputs.survey.children(Base, place.id)
            if base.id in by_id
        ]
        found.append(_zone_sheet(inputs, place))
    found += [*_circuit_sheets(inputs), _cable_sheet(inputs), _cylinder_sheet(inputs)]
    found += _radiator_sheets(inputs)
    found += [_start_sheet(inputs), _works_sheet(inputs)]
    return [sheet for sheet in found if sheet is not None]


def drawings(inputs: ReportInputs) -> dict[str, str]:
    """Return the sheets' drawings by name."""
    assessment, survey = inputs.assessment, inputs.survey
    drawn = {
        f"base/{item.id}": pictures.base_plan(item, _heavy(inputs, item.id), width=ACROSS, tallest=170)
        for item in assessment.bases
        if item.points
    }
    drawn |= {
        f"zone/{plan.id}": pictures.zone_plan(
            plan, width=ACROSS, feet=pictures.feet_at(survey, assessment, plan.id), tallest=170
        )
        for plan in assessment.site.zones
    }
    if assessment.site.circuit is not None:
        drawn["circuit"] = pictures.circuit_scheme(assessment.site.circuit, assessment.site.runs, width=ACROSS)
    if assessment.cables:
        supply = assessment.site.supply
        drawn["cables"] = pictures.cable_schedule(
            assessment.cables, supply.cables if supply is not None else (), width=ACROSS
        )
    if assessment.compensation is not None:
        drawn["compensation"] = pictures.compensation(assessment, width=ACROSS)
    if (cupboard := _cupboard_mm(inputs)) is not None:
        drawn["cylinder"] = pictures.cylinder_plan(*cupboard, width=ACROSS)
    return drawn


def _heavy(inputs: ReportInputs, base_id: str) -> str | None:
    record = inputs.survey.find(Base, base_id)
    return None if record is None else unit_on(inputs.survey, record).heavy_side


def context(inputs: ReportInputs) -> dict[str, Any]:
    """Return everything that the sheets print."""
    return {**letterhead(inputs), "sheets": sheets(inputs)}
