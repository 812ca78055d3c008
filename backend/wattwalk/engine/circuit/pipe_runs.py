"""Pipe runs on their way through the house: what blocks them, what must cover them."""

from __future__ import annotations

from wattwalk.survey.runs import run_title
from wattwalk.survey.services import PipeRun

from ..answers import Finding, Severity
from ..answers.citing import COMMON_PRACTICE


def pipe_findings(run: PipeRun) -> list[Finding]:
    """Return the findings on one pipe run."""
    title, key = run_title(run), run.key()
    findings = []
    blocked = {
        "finished_floor": (
            Severity.STOP,
            "runs under a finished floor that must not be lifted",
            "Agree on another route with the household, in writing, before the day.",
        ),
        "asbestos": (
            Severity.STOP,
            "crosses suspected asbestos",
            "Leave it alone; have it tested, and agree on another route or on licensed removal.",
        ),
        "listed": (
            Severity.CHECK,
            "crosses listed or protected fabric",
            "Agree on another route, or on consent from the authority.",
        ),
    }
    if run.constraint in blocked and not (run.other_route_agreed or "").strip():
        severity, words, remedy = blocked[run.constraint]
        findings.append(
            Finding(
                severity,
                f"pipe_{run.constraint}",
                key,
                "other_route_agreed",
                f"{title} {words}, and no other route is agreed.",
                remedy,
                COMMON_PRACTICE,
            )
        )
    outdoors = any(row.get("place") in ("outdoors", "buried") for row in run.stretches or [])
    if run.purpose == "primary" and outdoors:
        if run.insulation == "none" or (run.insulation is None and run.insulation_mm is None):
            findings.append(
                Finding(
                    Severity.CHECK,
                    "pipe_not_insulated",
                    key,
                    "insulation",
                    f"{title} runs outdoors without insulation written down.",
                    "Closed-cell foam with sealed joints, and a cover that withstands sun and birds; the frost measure is chosen with it.",
                    COMMON_PRACTICE,
                )
            )
        elif run.uv_proof is False:
            findings.append(
                Finding(
                    Severity.CHECK,
                    "pipe_not_uv_proof",
                    key,
                    "uv_proof",
                    f"{title} runs outdoors and its insulation has no UV-proof cover.",
                    "Cover it; bare foam crumbles in the sun.",
                    COMMON_PRACTICE,
                )
            )
    return findings
