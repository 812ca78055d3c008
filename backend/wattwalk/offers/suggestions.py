"""Works and price lines together, as a page asks for them."""

from __future__ import annotations

from dataclasses import dataclass

from wattwalk.engine.answers import Finding
from wattwalk.survey.document import Survey

from .lines import SuggestedLine, suggest_lines
from .works import SuggestedWork, suggest_works


@dataclass(frozen=True)
class Suggestions:
    """What a survey asks for and nobody has written down yet."""

    works: tuple[SuggestedWork, ...]
    lines: tuple[SuggestedLine, ...]


def suggestions(survey: Survey, findings: tuple[Finding, ...]) -> Suggestions:
    """Return the works and the price lines that a survey with these findings asks for."""
    return Suggestions(suggest_works(survey, findings), suggest_lines(survey))
