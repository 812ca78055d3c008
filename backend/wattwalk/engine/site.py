"""The site and the water between unit and house: one call that puts its parts together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from wattwalk.survey.document import Survey
from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.works import Design

from .circuit import HEATED_RUNS, Plant, RunWork, assess_run, index_circuit, plant_of, vessel_drops
from .circuit_findings import circuit_findings, mixing_words
from .circuit_water import work_out_water
from .citing import COMMON_PRACTICE
from .footing import assess_standing
from .noise import assess_noise
from .pipe_heat import run_heat
from .plant_results import DayPart
from .results import BaseAssessment, BuildingLoss, Climate, Finding, Severity
from .rounding import rounded
from .routes import run_title
from .site_results import CircuitAssessment, RunFlow, RunHeat, SiteAssessment
from .siting import assess_place
from .supply import assess_supply


def assess_site(
    survey: Survey, record: SurveyRecord, design: Design, climate: Climate | None, building: BuildingLoss, bases: Sequence[BaseAssessment], day_parts: Sequence[DayPart] = ()
) -> tuple[SiteAssessment, list[Finding]]:
    """Return everything that is said of the site, and its findings.

    Parameters
    ----------
    survey : Survey
        The survey as it stands.
    record, design : SurveyRecord, Design
        The household's record and the office's choices.
    climate : Climate or None
        Air and ground outdoors at the design cold.
    building : BuildingLoss
        What the house needs.
    bases : sequence of BaseAssessment
        Levels of the bases, worked out before.
    day_parts : sequence of DayPart
        The chosen unit from cold to mild; empty while none with a table is chosen.
    """
    findings: list[Finding] = []
    zones, noise = [], []
    for position in survey.of_kind("outdoor_position"):
        plan, found = assess_place(survey, position)
        zones.append(plan)
        findings += found
        sound, found = assess_noise(position, record.visit_date)
        noise.append(sound)
        findings += found
    levels = {item.id: item for item in bases}
    standings = []
    for base in survey.of_kind("base"):
        if base.id in levels:
            standing, found = assess_standing(survey, base, levels[base.id], record.visit_date)
            standings.append(standing)
            findings += found
    findings += _further_places(survey)
    plant = plant_of(survey, design, building.unit_size_w, day_parts)
    circuit, runs, found = _circuit(survey, plant)
    findings += found
    heat, found = _heat(survey, plant, climate)
    findings += found
    supply, found = assess_supply(survey)
    findings += found + _signals(survey)
    return SiteAssessment(tuple(zones), tuple(noise), circuit, runs, heat, tuple(standings), supply), findings


def site_sources(site: SiteAssessment) -> Iterator[str]:
    """Return the source of every figure of the site (findings bring their own)."""
    for plan in site.zones:
        yield plan.source
    for sound in site.noise:
        yield sound.source
    parts = [*site.noise, *site.runs, *site.heat, *site.bases]
    if site.circuit is not None:
        parts.append(site.circuit)
    if site.supply is not None:
        parts += [site.supply, *site.supply.cables]
    for part in parts:
        for step in part.steps:
            yield step.source


def _further_places(survey: Survey) -> list[Finding]:
    """Return what is to be said when several places are written down: heating water and electricity are worked out for the first."""
    first, *others = survey.of_kind("outdoor_position") or (None,)
    is_planned = bool(survey.of_kind("pipe_run") or survey.of_kind("cable_run") or survey.single("design") is not None)
    if not others or not is_planned:
        return []
    name = first.name or first.kind.title_of(first.values())
    return [
        Finding(
            Severity.CHECK, "first_place_counted", item.key(), None,
            f"Heating water, electricity and the unit's own figures are worked out for the first place written down, {name}; {item.name or item.kind.title_of(item.values())} is counted for its zone, its base and its noise only.",
            "Take away the place that is not used. If both get a unit, a competent designer works the second one's pipes and supply out beside the first.", COMMON_PRACTICE,
        )
        for item in others
    ]


def _circuit(survey: Survey, plant: Plant) -> tuple[CircuitAssessment | None, tuple[RunFlow, ...], list[Finding]]:
    works: list[RunWork] = [assess_run(run, plant) for run in survey.of_kind("pipe_run") if run.purpose in HEATED_RUNS]
    findings = [finding for work in works for finding in work.findings]
    is_planned = survey.single("design") is not None or survey.single("circuit") is not None or bool(survey.of_kind("vessel"))
    if not works and not is_planned:
        return None, (), findings
    vessels = vessel_drops(plant)
    index = index_circuit(works, vessels)
    water = work_out_water(survey, plant)
    outdoors = any(row.get("place") == "outdoors" for run in survey.of_kind("pipe_run") if run.purpose == "primary" for row in run.stretches or [])
    mixing, found = mixing_words(plant)
    if is_planned:
        findings += [*circuit_findings(survey, plant, index, water, outdoors), *found, *_places(plant)]
    runs = tuple(_balanced(work.flow, index.surplus) for work in works)
    flow = plant.flow_l_min(plant.load_kw)
    missing = [*([] if plant.load_kw is not None else ["the heat the house needs, or what the unit gives"]), *([] if plant.fluid is not None else ["the share of glycol"]), *index.missing, *water.missing]

    def kept(value: float | None, decimals: int) -> float | None:
        return None if value is None else rounded(value, decimals)

    kind = plant.circuit.kind.field("fluid").choice_label(plant.circuit.effective("fluid"))
    share = plant.circuit.glycol_percent if plant.circuit.effective("fluid") != "water" else None
    residual = None if plant.position is None else plant.position.residual_head_kpa
    result = CircuitAssessment(
        fluid=kind if share is None else f"{kind}, {share:g} % by mass", mean_c=rounded(plant.mean_c, 1), load_kw=kept(plant.load_kw, 2), load_words=plant.load_words, flow_l_min=kept(flow, 2),
        difference_k=rounded(plant.difference_k, 1), vessels=vessels, index_words=index.words, index_kpa=kept(index.kpa, 2), residual_kpa=kept(residual, 1), content_l=kept(water.content_l, 1),
        content_parts=tuple(water.parts), open_l=kept(water.open_l, 1), needed_l=kept(water.needed_l, 1), needed_words=water.needed_words, volumiser_l=water.volumiser_l, expansion_l=kept(water.expansion_l, 2),
        expansion_has_l=kept(water.has_l, 1), fill_bar=kept(water.fill_bar, 2), mixing_words=mixing, missing=tuple(dict.fromkeys(missing)), steps=(*index.steps, *water.steps),
    )
    return result, runs, findings


def _balanced(flow: RunFlow, surplus: dict[str, tuple[float, float | None]]) -> RunFlow:
    if flow.id not in surplus:
        return flow
    over, valve = surplus[flow.id]
    return replace(flow, surplus_kpa=over, balancing_kv_m3_h=valve)


def _places(plant: Plant) -> list[Finding]:
    """Return the vessels that do not fit where they are to stand."""
    findings = []
    for item in plant.vessels:
        tight = [
            words for words, has, needs in (("width", item.clear_width_mm, item.width_mm), ("depth", item.clear_depth_mm, item.depth_mm), ("height", item.clear_height_mm, item.height_mm))
            if has is not None and needs is not None and needs > has
        ]
        if tight:
            name = item.name or item.kind.field("type").choice_label(item.type)
            findings.append(
                Finding(Severity.STOP, "vessel_does_not_fit", item.key(), f"clear_{tight[0]}_mm", f"{name} is larger in {' and '.join(tight)} than its place.", "Another place or another vessel; leave room for pipes, insulation and hands.", COMMON_PRACTICE)
            )
    return findings


def _heat(survey: Survey, plant: Plant, climate: Climate | None) -> tuple[tuple[RunHeat, ...], list[Finding]]:
    findings, results = [], []
    may_freeze = plant.fluid is not None and plant.fluid.is_water
    for run in survey.of_kind("pipe_run"):
        if run.purpose not in HEATED_RUNS:
            continue
        result, found = run_heat(run, run_title(run), plant.flow_c, plant.difference_k, climate, plant.circuit.effective("outdoor_low_c"), may_freeze)
        results.append(result)
        findings += found
    return tuple(results), findings


def _signals(survey: Survey) -> list[Finding]:
    """Return what is to be said when the plant is designed and a signal cable is not written down."""
    design = survey.single("design")
    if design is None or not survey.of_kind("outdoor_position"):
        return []
    there = {run.purpose for run in survey.of_kind("cable_run")}
    wanted = (("sensor", "temperature sensor", "the cylinder or the buffer cannot be read"), ("interlock", "interlock or switching", "valves, pumps and the immersion heater cannot be switched"))
    return [
        Finding(
            Severity.NOTE, f"no_{purpose}_cable", design.key(), None, f"No {words} cable is written down: without it {why}.", "Look in the maker's wiring diagram which ones the plant needs, and put each in somebody's scope.", COMMON_PRACTICE,
        )
        for purpose, words, why in wanted
        if purpose not in there
    ]
