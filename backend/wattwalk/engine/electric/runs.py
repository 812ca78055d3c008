"""Cable runs: what must be there, what must keep its distance, what nobody has taken on."""

from __future__ import annotations

from collections.abc import Callable

from wattwalk.catalogue import Row, table
from wattwalk.survey.document import Survey
from wattwalk.survey.runs import run_length, run_title
from wattwalk.survey.services import CableRun
from wattwalk.survey.site import OutdoorPosition
from wattwalk.survey.works import Design

from ..answers import CableAssessment, Finding, Severity
from ..answers.citing import COMMON_PRACTICE, cite_row
from ..answers.rounding import figure, rounded_if_any

SEPARATION = "cable_separation_en_50174_2_2000"

#: Cables that carry signals; only the bus stops the job.
SIGNALS = ("bus", "sensor", "interlock")


def separation(is_screened: bool) -> Row:
    """Return the table's row for a signal cable beside unscreened mains."""
    return table(SEPARATION).get(mains_screened="no", signal_screened="yes" if is_screened else "no")


def cable_findings(run: CableRun) -> tuple[list[Finding], list[str]]:
    """Return the findings on one cable run, and what is missing to say more."""
    title, key = run_title(run), run.key()
    findings: list[Finding] = []
    missing: list[str] = []

    def say(
        severity: Severity, code: str, field: str, message: str, remedy: str, source: str = COMMON_PRACTICE
    ) -> None:
        findings.append(Finding(severity, code, key, field, message, remedy, source))

    if run.purpose in ("supply", "bus") and not run.is_there:
        if run.run_by == "nobody":
            say(
                Severity.STOP,
                "nobody_runs_it",
                "run_by",
                f"{title}: nobody runs it.",
                "Name who runs it, put it in that trade's scope in writing, and have it confirmed.",
            )
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
        say(
            Severity.STOP,
            "bus_not_screened",
            "is_screened",
            f"{title} is not screened.",
            "Use a screened twisted pair as the unit maker asks, its screen earthed at one end.",
        )
    elif run.is_screened is None:
        missing.append("whether it is screened")
    if run.purpose == "bus" and run.cores is not None and run.cores < 2:
        say(
            Severity.CHECK,
            "bus_too_few_cores",
            "cores",
            f"{title} has {run.cores} core; a bus needs a pair.",
            "Use a screened twisted pair as the unit maker asks.",
        )
    if run.shares_conduit_with_mains:
        say(
            worse,
            "shares_conduit",
            "shares_conduit_with_mains",
            f"{title} lies in the same conduit as mains.",
            "Give it a conduit of its own, at its distance from mains; the electrician confirms.",
        )
    _gap(run, title, worse, say, missing)
    return findings, missing


def _gap(run: CableRun, title: str, worse: Severity, say: Callable[..., None], missing: list[str]) -> None:
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
        worse,
        "too_near_mains",
        "gap_to_mains_mm",
        f"{title} runs {figure(run.parallel_to_mains_m, 1)} m beside mains at {figure(run.gap_to_mains_mm, 0)} mm; a {kind} signal cable keeps {figure(needed, 0)} mm from unscreened mains.",
        f"Move it to {figure(needed, 0)} mm or more, or put a steel divider between ({figure(row.number('steel_divider_mm'), 0)} mm then); cross mains at a right angle.",
        cite_row(row),
    )


def assess_cables(survey: Survey) -> tuple[tuple[CableAssessment, ...], list[Finding]]:
    """Return every cable run with its verdict (``stop``, ``check``, ``fine``, ``not_known``), and all findings on cables."""
    findings: list[Finding] = []
    results = []
    for run in survey.of_kind(CableRun):
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
        results.append(
            CableAssessment(
                run.id,
                run.purpose or "",
                run_title(run),
                rounded_if_any(length, 1),
                run_by,
                verdict,
                tuple(missing),
            )
        )
    findings += _expected_cables(survey)
    return tuple(results), findings


def _expected_cables(survey: Survey) -> list[Finding]:
    findings: list[Finding] = []
    positions = survey.of_kind(OutdoorPosition)
    if not positions:
        return findings
    place = positions[0]
    for purpose, words, why in (
        ("bus", "bus cable", "the unit and its controller cannot talk"),
        ("supply", "supply cable", "the unit has no power on the day"),
    ):
        count = len([run for run in survey.of_kind(CableRun) if run.purpose == purpose])
        if count == 0:
            findings.append(
                Finding(
                    Severity.STOP,
                    f"no_{purpose}_cable",
                    place.key(),
                    None,
                    f"There is no {words} to the outdoor unit in this survey: {why}.",
                    "Write down its route and who runs it, and put it in that trade's scope.",
                    COMMON_PRACTICE,
                )
            )
        elif count < len(positions):
            findings.append(
                Finding(
                    Severity.NOTE,
                    f"fewer_{purpose}_cables",
                    place.key(),
                    None,
                    f"{len(positions)} places for a unit, {count} {words}{'s' if count > 1 else ''}.",
                    "If more than one unit is to be set, each needs its own.",
                    COMMON_PRACTICE,
                )
            )
    return findings


def signal_findings(survey: Survey) -> list[Finding]:
    """Return the findings when the plant is designed and a signal cable is not written down."""
    design = survey.single(Design)
    if design is None or not survey.of_kind(OutdoorPosition):
        return []
    there = {run.purpose for run in survey.of_kind(CableRun)}
    wanted = (
        ("sensor", "temperature sensor", "the cylinder or the buffer cannot be read"),
        ("interlock", "interlock or switching", "valves, pumps and the immersion heater cannot be switched"),
    )
    return [
        Finding(
            Severity.NOTE,
            f"no_{purpose}_cable",
            design.key(),
            None,
            f"No {words} cable is written down: without it {why}.",
            "Look in the maker's wiring diagram which ones the plant needs, and put each in somebody's scope.",
            COMMON_PRACTICE,
        )
        for purpose, words, why in wanted
        if purpose not in there
    ]
