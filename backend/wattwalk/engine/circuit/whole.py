"""The heating water as a whole: its runs, its index circuit, its content, and the heat its pipes lose."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import fsum

from wattwalk.survey.circuit import Circuit, Vessel
from wattwalk.survey.document import Survey
from wattwalk.survey.runs import run_title
from wattwalk.survey.services import PipeRun
from wattwalk.survey.works import Design

from ..answers import CircuitAssessment, Climate, DayPart, Finding, RoomAssessment, RunFlow, RunHeat, Severity
from ..answers.citing import COMMON_PRACTICE
from ..answers.rounding import rounded, rounded_if_any
from ..rooms import HeatedRoom
from ..season.year_load import Around, WarmPipe
from .balance import water_balance
from .branches import branch_findings
from .content import work_out_water
from .findings import circuit_findings, mixing_words
from .flow import HEATED_RUNS, Plant, RunWork, assess_run, floor_loops, index_circuit, plant_of, vessel_drops
from .pipe_heat import Warmth, run_heat

#: Water has to be so much warmer than what is around a pipe for its loss to be carried to other temperatures, K.
LEAST_ABOVE_K = 1.0


def assess_circuit(
    survey: Survey,
    design: Design,
    unit_size_w: float | None,
    day_parts: Sequence[DayPart],
    rooms: Sequence[tuple[HeatedRoom, RoomAssessment]] = (),
    outside_c: float | None = None,
) -> tuple[CircuitAssessment | None, tuple[RunFlow, ...], list[Finding]]:
    """Return the circuit, each run's flow, and the findings.

    Parameters
    ----------
    survey, design
        The survey and the office's choices.
    unit_size_w : float or None
        What the house needs of the unit at the design cold, W.
    day_parts : sequence of DayPart
        The chosen unit from cold to mild; empty while none with a table is chosen.
    rooms : sequence of (HeatedRoom, RoomAssessment)
        The rooms with their emitters, and what they give at the design flow: branches carry their heat, floors have loops.
    outside_c : float or None
        Design outside temperature, °C: mixed circuits have a compensation line from it.
    """
    circuit, runs, findings = _water(survey, plant_of(survey, design, unit_size_w, day_parts, outside_c), rooms)
    return circuit, runs, findings + branch_findings(survey, [result for _, result in rooms])


def assess_pipe_heat(
    survey: Survey, design: Design, climate: Climate | None
) -> tuple[tuple[RunHeat, ...], list[Finding]]:
    """Return what each run of heating water loses at the design cold and flow, and the findings.

    Parameters
    ----------
    survey, design
        The survey and the office's choices.
    climate : Climate or None
        Air and ground outdoors at the design cold.
    """
    return _heat(survey, plant_of(survey, design, None), climate)


def always_warm(survey: Survey, pipes: Sequence[RunHeat]) -> tuple[RunHeat, ...]:
    """Return the runs that stay warm as long as it is cold outside; those to the cylinder do for hours of the day, with the hot water."""
    charging = {run.id for run in survey.of_kind(PipeRun) if run.purpose == "cylinder"}
    return tuple(item for item in pipes if item.id not in charging)


def warm_pipes(survey: Survey, runs: Sequence[RunHeat], mean_c: float) -> tuple[WarmPipe, ...]:
    """Return the pipes of these runs that lie outside heated rooms, together by what is around them.

    Parameters
    ----------
    survey : Survey
        With the stretches of each run.
    runs : sequence of RunHeat
        What each run loses at the design cold.
    mean_c : float
        Mean of flow and return there, °C.
    """
    places = {run.id: [row.get("place") for row in run.stretches or []] for run in survey.of_kind(PipeRun)}
    found: dict[tuple[Around, float], list[float]] = {}
    for run in runs:
        for place, stretch in zip(places[run.id], run.stretches, strict=False):
            if place is None or place == "heated":
                continue
            around: Around = place if place in ("outdoors", "buried") else "unheated"
            if mean_c - stretch.around_c > LEAST_ABOVE_K:
                each = stretch.loss_w / (mean_c - stretch.around_c)
                found.setdefault((around, stretch.around_c), []).append(each)
    return tuple(WarmPipe(fsum(each), around, around_c) for (around, around_c), each in found.items())


def _water(
    survey: Survey, plant: Plant, rooms: Sequence[tuple[HeatedRoom, RoomAssessment]]
) -> tuple[CircuitAssessment | None, tuple[RunFlow, ...], list[Finding]]:
    works: list[RunWork] = [assess_run(run, plant) for run in survey.of_kind(PipeRun) if run.purpose in HEATED_RUNS]
    findings = [finding for work in works for finding in work.findings]
    is_planned = survey.single(Design) is not None or survey.single(Circuit) is not None or bool(survey.of_kind(Vessel))
    if not works and not is_planned:
        return None, (), findings
    vessels = vessel_drops(plant)
    index = index_circuit(works, vessels, floor_loops(rooms))
    water = work_out_water(survey, plant)
    outdoors = any(
        row.get("place") == "outdoors"
        for run in survey.of_kind(PipeRun)
        if run.purpose == "primary"
        for row in run.stretches or []
    )
    mixing, found = mixing_words(plant)
    if is_planned:
        findings += [*circuit_findings(survey, plant, index, water, outdoors), *found, *_places(plant)]
    balance, more = water_balance(survey, plant, works, rooms)
    if is_planned:
        findings += more
    runs = tuple(_balanced(work.flow, index.surplus) for work in works)
    flow = plant.flow_l_min(plant.load_kw)
    missing = [
        *([] if plant.load_kw is not None else ["the heat the house needs, or what the unit gives"]),
        *([] if plant.fluid is not None else ["the share of glycol"]),
        *index.missing,
        *water.missing,
    ]

    kind = plant.circuit.kind.field("fluid").choice_label(plant.circuit.effective("fluid"))
    share = plant.circuit.glycol_percent if plant.circuit.effective("fluid") != "water" else None
    residual = plant.unit.residual_head_kpa
    result = CircuitAssessment(
        fluid=kind if share is None else f"{kind}, {share:g} % by mass",
        mean_c=rounded(plant.mean_c, 1),
        load_kw=rounded_if_any(plant.load_kw, 2),
        load_words=plant.load_words,
        flow_l_min=rounded_if_any(flow, 2),
        difference_k=rounded(plant.difference_k, 1),
        vessels=vessels,
        index_words=index.words,
        index_kpa=rounded_if_any(index.kpa, 2),
        residual_kpa=rounded_if_any(residual, 1),
        content_l=rounded_if_any(water.content_l, 1),
        content_parts=tuple(water.parts),
        open_l=rounded_if_any(water.open_l, 1),
        needed_l=rounded_if_any(water.needed_l, 1),
        needed_words=water.needed_words,
        volumiser_l=rounded_if_any(water.volumiser_l, 1),
        expansion_l=rounded_if_any(water.expansion_l, 2),
        expansion_has_l=rounded_if_any(water.has_l, 1),
        fill_bar=rounded_if_any(water.fill_bar, 2),
        mixing_words=mixing,
        missing=tuple(dict.fromkeys(missing)),
        steps=(*index.steps, *water.steps),
        balance=balance,
        volumiser_sold_l=rounded_if_any(water.volumiser_sold_l, 0),
        expansion_sold_l=rounded_if_any(water.expansion_sold_l, 0),
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
            words
            for words, has, needs in (
                ("width", item.clear_width_mm, item.width_mm),
                ("depth", item.clear_depth_mm, item.depth_mm),
                ("height", item.clear_height_mm, item.height_mm),
            )
            if has is not None and needs is not None and needs > has
        ]
        if tight:
            name = item.name or item.kind.field("type").choice_label(item.type)
            findings.append(
                Finding(
                    Severity.STOP,
                    "vessel_does_not_fit",
                    item.key(),
                    f"clear_{tight[0]}_mm",
                    f"{name} is larger in {' and '.join(tight)} than its place.",
                    "Another place or another vessel; leave room for pipes, insulation and hands.",
                    COMMON_PRACTICE,
                )
            )
    return findings


def _heat(survey: Survey, plant: Plant, climate: Climate | None) -> tuple[tuple[RunHeat, ...], list[Finding]]:
    findings, results = [], []
    may_freeze = plant.fluid is not None and plant.fluid.is_water
    warmth = Warmth(plant.flow_c, plant.difference_k, climate, plant.circuit.effective("outdoor_low_c"))
    for run in survey.of_kind(PipeRun):
        if run.purpose not in HEATED_RUNS:
            continue
        result, found = run_heat(run, run_title(run), warmth, may_freeze)
        results.append(result)
        findings += found
    return tuple(results), findings
