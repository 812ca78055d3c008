"""Works that a survey itself calls for: remedies of findings that press, and cables that somebody else runs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from wattwalk.engine.answers import Finding, Severity
from wattwalk.survey.document import Survey
from wattwalk.survey.kinds import KINDS, Record
from wattwalk.survey.runs import run_title
from wattwalk.survey.services import CableRun
from wattwalk.survey.wording import record_lines
from wattwalk.survey.works import ScopeItem

#: The code of a work that no finding asks for: a cable that the survey gives to somebody else.
CABLE_TO_RUN = "cable_to_run"
#: Who runs a cable, and whose work it then is.
_TRADE_OF = {"electrician": "electrician", "household": "household"}
_CABLE_GROUPS = ("cable", "route", "mains")


@dataclass(frozen=True)
class Asked:
    """What asks for a work: the code of a finding, the record it is about (``kind/id``), and what else tells two of one code apart."""

    code: str
    record: str
    about: str


@dataclass(frozen=True)
class SuggestedWork:
    """A work that nobody has taken yet: the values it would carry, and why.

    ``written`` are the works that somebody wrote by hand for the same record: one of them may be this very work.
    """

    asked: Asked
    severity: Severity | None
    why: str
    what: str
    specification: str
    trade: str | None
    drawn_from: str | None
    written: tuple[str, ...]


def clipped(text: str, most: int) -> str:
    """Cut a text to what a field can hold, between words where it can."""
    if len(text) <= most:
        return text
    cut = text[: most - 1]
    space = cut.rfind(" ")
    return f"{cut[:space] if space > most / 2 else cut}…"


def _room_for(name: str) -> int:
    return ScopeItem.kind.field(name).max_length


def suggest_works(survey: Survey, findings: tuple[Finding, ...]) -> tuple[SuggestedWork, ...]:
    """Return the works that nobody has taken yet, those of findings first, in their order.

    A work is taken when one of the works in the survey says that it was asked for by the same code, record and subject; no words
    are compared, so a figure that moves in a finding's message changes nothing.
    """
    works = survey.of_kind(ScopeItem)
    taken = {
        Asked(row.get("code") or "", row.get("record") or "", row.get("about") or "")
        for work in works
        for row in work.asked_by or []
    }
    by_hand: dict[str, tuple[str, ...]] = {}
    for work in works:
        if work.drawn_from is not None and not work.asked_by:
            by_hand[work.drawn_from] = (*by_hand.get(work.drawn_from, ()), work.id)
    wanted = [*_of_findings(survey, findings, by_hand), *_of_cables(survey, by_hand)]
    return tuple(item for item in wanted if item.asked not in taken)


def _of_findings(
    survey: Survey, findings: tuple[Finding, ...], by_hand: dict[str, tuple[str, ...]]
) -> Iterator[SuggestedWork]:
    may_be_drawn_from = ScopeItem.kind.field("drawn_from").refers_to
    for finding in findings:
        kind, _, record_id = finding.record.partition("/")
        # An answer that is missing is a gap to fill, not work for a trade.
        if (
            finding.severity is Severity.NOTE
            or not finding.remedy
            or kind not in KINDS
            or survey.record_named(kind, record_id) is None
        ):
            continue
        yield SuggestedWork(
            Asked(finding.code, finding.record, finding.about),
            finding.severity,
            finding.message,
            clipped(finding.remedy, _room_for("what")),
            finding.remedy,
            None,
            record_id if kind in may_be_drawn_from else None,
            by_hand.get(record_id, ()),
        )


def _of_cables(survey: Survey, by_hand: dict[str, tuple[str, ...]]) -> Iterator[SuggestedWork]:
    for run in survey.of_kind(CableRun):
        trade = _TRADE_OF.get(run.run_by or "")
        if trade is None or run.is_there:
            continue
        yield SuggestedWork(
            Asked(CABLE_TO_RUN, run.key(), ""),
            None,
            "The survey gives them this cable to run.",
            clipped(f"Run the cable: {run_title(run)}", _room_for("what")),
            _specification(run),
            trade,
            run.id,
            by_hand.get(run.id, ()),
        )


def _specification(run: CableRun | Record) -> str:
    """Return what is known of a cable as lines of a specification."""
    return "\n".join(f"{label}: {words}" for label, words in record_lines(run, {}, _CABLE_GROUPS))
