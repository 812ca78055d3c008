"""Works and price lines together, as a page asks for them."""

from __future__ import annotations

from dataclasses import dataclass

from wattwalk.engine.answers import Finding
from wattwalk.survey.document import Survey
from wattwalk.survey.options import as_offered

from .lines import look_at_lines
from .shapes import ChangedLine, SuggestedLine
from .works import SuggestedWork, suggest_works


@dataclass(frozen=True)
class Suggestions:
    """What a survey asks for and nobody has written down yet, and the price lines whose source has changed since."""

    works: tuple[SuggestedWork, ...]
    lines: tuple[SuggestedLine, ...]
    changed: tuple[ChangedLine, ...] = ()


def suggestions(survey: Survey, findings: tuple[Finding, ...], day: str | None = None) -> Suggestions:
    """Return the works and the price lines that a survey with these findings asks for on a day (``YYYY-MM-DD``)."""
    # Lines are of what is offered, as the quote is; works are of what was found.
    lines, changed = look_at_lines(as_offered(survey).survey, day)
    return Suggestions(suggest_works(survey, findings), lines, changed)
