"""Everything a report is made of; the same inputs make the same bytes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from wattwalk.engine.answers import Assessment
from wattwalk.engine.answers.plan import Plans
from wattwalk.offers.options import OptionRow, lines_open, option_row
from wattwalk.offers.quote import Quote, work_out
from wattwalk.offers.shapes import SuggestedLine
from wattwalk.survey.document import Survey
from wattwalk.survey.errors import Problem, WattwalkError
from wattwalk.survey.gaps import Gap
from wattwalk.survey.options import Option, as_offered, offered, under
from wattwalk.survey.works import Design


class ReportError(WattwalkError, RuntimeError):
    """A report cannot be made; the message says why."""


@dataclass(frozen=True)
class ReportInputs:
    """What a report says, and to whom.

    Parameters
    ----------
    survey, assessment, gaps, quote
        The survey as it is offered, and what was worked out from it.
    firm : mapping
        ``name``, ``address``, ``telephone``, ``email``, ``terms`` and what it promises (``promises.py``); missing ones are left out of the report.
    photos : mapping
        Bytes, or the path of the file, by SHA-256; a photo whose bytes have not arrived is simply not there.
    version : int
        Number of this version of the report, from 1.
    made_on : str
        The day of the report, ``YYYY-MM-DD``; there is no clock in a report.
    checks : tuple
        Each kind of proof of the check book, how many cases it has and how many of them are met, when the last page is to say so.
    plans : Plans
        The storeys as they are laid out.
    before : mapping, optional
        What of the version before is held against this one (``office/changes.py``); None for the first.
    """

    survey: Survey
    assessment: Assessment
    gaps: tuple[Gap, ...]
    quote: Quote
    firm: Mapping[str, Any]
    version: int
    made_on: str
    photos: Mapping[str, bytes | Path] = field(default_factory=dict)
    checks: tuple[tuple[str, int, int], ...] = ()
    plans: Plans = field(default_factory=lambda: Plans((), ()))
    #: The offered option and the one that is printed beside it, when there is one.
    side_by_side: tuple[OptionRow, ...] = ()
    #: What is wrong with the offered option, and with the others.
    option_problems: tuple[Problem, ...] = ()
    others_problems: tuple[Problem, ...] = ()
    #: What the offered option alone asks for and no price line says.
    lines_open: tuple[SuggestedLine, ...] = ()
    before: Mapping[str, Any] | None = None


def gather(
    survey: Survey,
    *,
    firm: Mapping[str, Any],
    version: int,
    made_on: str,
    photos: Mapping[str, bytes | Path] | None = None,
    with_checks: bool = False,
    before: Mapping[str, Any] | None = None,
) -> ReportInputs:
    """Assess a survey as it is offered, find its gaps, work out its quote, and return what a report of it is made of.

    ``with_checks`` works the check book out as well, for the summary on the last page.
    """
    from wattwalk.checks import by_kind, check_all
    from wattwalk.engine import assess, draw_up
    from wattwalk.engine.gaps import every_gap

    found = survey
    seen = as_offered(found)
    survey = seen.survey
    assessment = assess(survey)
    others = [option.id for option in found.of_kind(Option) if option.id != offered(found)]
    return ReportInputs(
        survey=survey,
        assessment=assessment,
        gaps=every_gap(survey, assessment),
        quote=work_out(survey, assessment.rooms, made_on),
        firm=dict(firm),
        version=version,
        made_on=made_on,
        photos=dict(photos or {}),
        checks=tuple(by_kind(check_all())) if with_checks else (),
        plans=draw_up(survey),
        side_by_side=_side_by_side(found, made_on),
        option_problems=seen.problems,
        others_problems=tuple(problem for name in others for problem in under(found, name).problems),
        lines_open=lines_open(found, seen, made_on),
        before=before,
    )


def _side_by_side(survey: Survey, day: str) -> tuple[OptionRow, ...]:
    """Return the offered option and the one beside it, or nothing where none is to be printed beside it."""
    design, present = survey.single(Design), offered(survey)
    if design is None or design.beside is None or design.beside == present:
        return ()
    if survey.find(Option, design.beside) is None:
        return ()
    return (option_row(survey, present, day), option_row(survey, design.beside, day))
