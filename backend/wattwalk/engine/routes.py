"""Pipe and cable runs: what must be there, what must keep its distance, what nobody has taken on."""

from __future__ import annotations

from math import fsum

from wattwalk.catalogue import Row, table
from wattwalk.survey.document import Survey
from wattwalk.survey.services import CableRun, PipeRun

from .citing import COMMON_PRACTICE, cite_row
from .results import CableAssessment, Finding, Severity
from .rounding import figure, rounded

SEPARATION = "cable_separation_en_50174_2_2000"

#: Cables that carry signals; only the bus stops the job.
SIGNALS = ("bus", "sensor", "interlock")


def run_length(stretches: list | None) -> float | None:
    """Return the length of a run in m, or None while a stretch has no length."""
    lengths = [row.get("length_m") for row in stretches or []]
    if not lengths or None in lengths:
        return None
    return fsum(lengths)


def separation(is_screened: bool) -> Row:
    """Return the table's row for a signal cable beside unscreened mains."""
    return table(SEPARATION).get(mains_screened="no", signal_screened="yes" if is_screened else "no")


def run_title(record: CableRun | PipeRun) -> str:
    """Return what a run is called: its name, else what it is for."""
    if record.name:
        return record.name
    return record.kind.field("purpose").choice_label(record.purpose) if record.purpose else record.kind.label


def cable_findings(run: CableRun) -> tuple[list[Finding], list[str]]:
    """Return what is to be said of one cable run, and what is missing to say more."""
    title, key = run_title(run), run.key()
    findings: list[Finding] = []
    missing: list[str] = []

    def say(severity: Severity, code: str, field: str, message: str, remedy: str, source: str = COMMON_PRACTICE) -> None:
        findings.append(Finding(severity, code, key, field, message, remedy, source))

    if run.purpose in ("supply", "bus") and not run.is_there:
        if run.run_by == "nobody":
            say(Severity.STOP, "nobody_runs_it", "run_by", f"{title}: nobody runs it.", "Name who runs it, put it in that trade's scope in writing, and have it confirmed.")
        elif run.run_by is None:
            missing.append("who runs it")
    if run_length(run.stretches) is None:
        missing.append("its stretches with their lengths")
    if run.purpose not in SIGNALS:
        if run.purpose == "supply" and run.size_mm2 is None:
            missing.append("its core size (the electrician decides)")
        return findings, missing
    worse = Severity.STOP if run.purpose == "bus" else Severity.CHECK
    if run.is_screened is False and run.purpose == "bus":
        say(Severity.STOP, "bus_not_screened", "is_screened", f"{title} is not screened.", "Use a screened twisted pair as the unit maker asks, its screen earthed at one end.")
    elif run.is_screened is None:
        missing.append("whether it is screened")
    if run.purpose == "bus" and run.cores is not None and run.cores < 2:
        say(Severity.CHECK, "bus_too_few_cores", "cores", f"{title} has {run.cores} core; a bus needs a pair.", "Use a screened twisted pair as the unit maker asks.")
    if run.shares_conduit_with_mains:
        say(worse, "shares_conduit", "shares_conduit_with_mains", f"{title} lies in the same conduit as mains.", "Give it a conduit of its own, at its distance from mains; the electrician confirms.")
    _gap(run, title, worse, say, missing)
    return findings, missing


def _gap(run: CableRun, title: str, worse: Severity, say, missing: list[str]) -> None:
    if run.parallel_to_mains_m == 0:
        return
    if run.gap_to_mains_mm is None or run.parallel_to_mains_m is None:
        missing.append("over what length and at what gap it runs beside mains")
        return
    row = separation(bool(run.is_screened))
    needed = row.number("no_divider_mm")
    if run.gap_to_mains_mm >= needed - 1e-9:
        return
    kind = "screened" if run.is_screened else "unscreened"
    say(
        worse, "too_near_mains", "gap_to_mains_mm",
        f"{title} runs {figure(run.parallel_to_mains_m, 1)} m beside mains at {figure(run.gap_to_mains_mm, 0)} mm; a {kind} signal cable keeps {figure(needed, 0)} mm from unscreened mains.",
        f"Move it to {figure(needed, 0)} mm or more, or put a steel divider between ({figure(row.number('steel_divider_mm'), 0)} mm then); cross mains at a right angle.", cite_row(row),
    )


def assess_cables(survey: Survey) -> tuple[tuple[CableAssessment, ...], list[Finding]]:
    """Return every cable run with its verdict (``stop``, ``check``, ``fine``, ``not_known``), and all findings on cables."""
    findings: list[Finding] = []
    results = []
    for run in survey.of_kind("cable_run"):
        found, missing = cable_findings(run)
        findings += found
        length = run_length(run.stretches)
        if any(item.severity is Severity.STOP for item in found):
            verdict = "stop"
        elif found:
            verdict = "check"
        else:
            verdict = "not_known" if missing else "fine"
        run_by = run.kind.field("run_by").choice_label(run.run_by) if run.run_by else None
        results.append(CableAssessment(run.id, run.purpose or "", run_title(run), None if length is None else rounded(length, 1), run_by, verdict, tuple(missing)))
    findings += _expected_cables(survey)
    return tuple(results), findings


def _expected_cables(survey: Survey) -> list[Finding]:
    findings = []
    positions = survey.of_kind("outdoor_position")
    if not positions:
        return findings
    place = positions[0]
    for purpose, words, why in (
        ("bus", "bus cable", "the unit and its controller cannot talk"),
        ("supply", "supply cable", "the unit has no power on the day"),
    ):
        count = len([run for run in survey.of_kind("cable_run") if run.purpose == purpose])
        if count == 0:
            findings.append(
                Finding(
                    Severity.STOP, f"no_{purpose}_cable", place.key(), None, f"There is no {words} to the outdoor unit in this survey: {why}.",
                    "Write down its route and who runs it, and put it in that trade's scope.", COMMON_PRACTICE,
                )
            )
        elif count < len(positions):
            findings.append(
                Finding(
                    Severity.NOTE, f"fewer_{purpose}_cables", place.key(), None, f"{len(positions)} places for a unit, {count} {words}{'s' if count > 1 else ''}.",
                    "If more than one unit is to be set, each needs its own.", COMMON_PRACTICE,
                )
            )
    return findings


def pipe_findings(run: PipeRun) -> list[Finding]:
    """Return what is to be said of one pipe run."""
    title, key = run_title(run), run.key()
    findings = []
    blocked = {
        "finished_floor": (Severity.STOP, "runs under a finished floor that must not be lifted", "Agree on another route with the household, in writing, before the day."),
        "asbestos": (Severity.STOP, "crosses suspected asbestos", "Leave it alone; have it tested, and agree on another route or on licensed removal."),
        "listed": (Severity.CHECK, "crosses listed or protected fabric", "Agree on another route, or on consent from the authority."),
    }
    if run.constraint in blocked and not (run.other_route_agreed or "").strip():
        severity, words, remedy = blocked[run.constraint]
        findings.append(Finding(severity, f"pipe_{run.constraint}", key, "other_route_agreed", f"{title} {words}, and no other route is agreed.", remedy, COMMON_PRACTICE))
    outdoors = any(row.get("place") in ("outdoors", "buried") for row in run.stretches or [])
    if run.purpose == "primary" and outdoors:
        if run.insulation == "none" or (run.insulation is None and run.insulation_mm is None):
            findings.append(
                Finding(
                    Severity.CHECK, "pipe_not_insulated", key, "insulation", f"{title} runs outdoors without insulation written down.",
                    "Closed-cell foam with sealed joints, and a cover that stands sun and birds; the frost measure is chosen with it.", COMMON_PRACTICE,
                )
            )
        elif run.uv_proof is False:
            findings.append(
                Finding(Severity.CHECK, "pipe_not_uv_proof", key, "uv_proof", f"{title} runs outdoors and its insulation has no UV-proof cover.", "Cover it; bare foam crumbles in the sun.", COMMON_PRACTICE)
            )
    return findings


def supply_findings(survey: Survey) -> list[Finding]:
    """Return what is to be said of the electricity supply from what was seen."""
    supply = survey.single("supply")
    if supply is None:
        return []
    findings = []
    if supply.cut_out_condition == "unsafe":
        findings.append(Finding(Severity.STOP, "supply_unsafe", supply.key(), "cut_out_condition", "The cut-out or meter looks unsafe.", "Touch nothing; report it to the network operator today.", COMMON_PRACTICE))
    elif supply.cut_out_condition == "old":
        findings.append(Finding(Severity.CHECK, "supply_old", supply.key(), "cut_out_condition", "The cut-out or meter is old or shows heat marks.", "Ask the network operator to look at it before the unit is connected.", COMMON_PRACTICE))
    if supply.looped:
        findings.append(Finding(Severity.CHECK, "supply_looped", supply.key(), "looped", "The supply is looped with a neighbour's.", "Apply to the network operator before connecting; unlooping takes weeks.", COMMON_PRACTICE))
    return findings
