"""Everything a report is made of; the same inputs make the same bytes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from wattwalk.engine.answers import Assessment
from wattwalk.survey.document import Survey
from wattwalk.survey.errors import WattwalkError
from wattwalk.survey.gaps import Gap

from .quote import Quote, work_out


class ReportError(WattwalkError, RuntimeError):
    """A report cannot be made; the message says why."""


@dataclass(frozen=True)
class ReportInputs:
    """What a report says, and to whom.

    Parameters
    ----------
    survey, assessment, gaps, quote
        The survey and what was worked out from it.
    firm : mapping
        ``name``, ``address``, ``telephone``, ``email``, ``terms``; missing ones are left out of the report.
    photos : mapping
        Bytes, or the path of the file, by SHA-256; a photo whose bytes have not arrived is simply not there.
    version : int
        Number of this version of the report, from 1.
    made_on : str
        The day of the report, ``YYYY-MM-DD``; there is no clock in a report.
    checks : tuple
        Each kind of proof of the check book, how many cases it has and how many of them are met, when the last page is to say so.
    before : mapping, optional
        What of the version before is held against this one (``office/changes.py``); None for the first.
    """

    survey: Survey
    assessment: Assessment
    gaps: tuple[Gap, ...]
    quote: Quote
    firm: Mapping[str, str]
    version: int
    made_on: str
    photos: Mapping[str, bytes | Path] = field(default_factory=dict)
    checks: tuple[tuple[str, int, int], ...] = ()
    before: Mapping[str, Any] | None = None


def gather(
    survey: Survey,
    *,
    firm: Mapping[str, str],
    version: int,
    made_on: str,
    photos: Mapping[str, bytes | Path] | None = None,
    with_checks: bool = False,
    before: Mapping[str, Any] | None = None,
) -> ReportInputs:
    """Assess a survey, find its gaps, work out its quote, and return what a report of it is made of.

    ``with_checks`` works the check book out as well, for the summary on the last page.
    """
    from wattwalk.checks import by_kind, check_all
    from wattwalk.engine import assess
    from wattwalk.engine.gaps import every_gap

    assessment = assess(survey)
    return ReportInputs(
        survey=survey,
        assessment=assessment,
        gaps=every_gap(survey, assessment),
        quote=work_out(survey, assessment.rooms),
        firm=dict(firm),
        version=version,
        made_on=made_on,
        photos=dict(photos or {}),
        checks=tuple(by_kind(check_all())) if with_checks else (),
        before=before,
    )
