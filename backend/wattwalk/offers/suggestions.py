"""Works and price lines together, as a page asks for them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from wattwalk.engine.answers import Finding
from wattwalk.survey.document import Survey
from wattwalk.survey.options import UnderOption, as_offered

from .articles import is_of_article, pricing_of
from .lines import asked_lines, look_at_lines
from .shapes import CHARGE, ChangedLine, DrawnFrom, SuggestedLine
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
    seen = as_offered(survey)
    lines, changed = look_at_lines(seen.survey, day)
    return Suggestions(suggest_works(survey, findings), of_option(survey, seen, lines, day), changed)


def of_option(
    survey: Survey, seen: UnderOption, lines: tuple[SuggestedLine, ...], day: str | None
) -> tuple[SuggestedLine, ...]:
    """Return lines that an option suggests, those marked as its own (``only_in``) that the survey as it stands asks nothing like.

    Parameters
    ----------
    survey : Survey
        As it was found.
    seen : UnderOption
        The same as the option has it.
    lines : tuple of SuggestedLine
        What is suggested of that.
    day : str or None
        The day of the quote, ``YYYY-MM-DD``.
    """
    if seen.option is None:
        return lines
    option = seen.option.id
    found = {
        key for item in asked_lines(survey, pricing_of(survey, day)).values() for key in _keys(item.line, item.basis)
    }
    # A grant is of the house, whatever is fitted.
    return tuple(
        replace(line, only_in=option) if line.kind == CHARGE and found.isdisjoint(_keys(line, line.basis)) else line
        for line in lines
    )


def _keys(line: SuggestedLine, basis: tuple[DrawnFrom, ...]) -> Iterator[tuple[object, str]]:
    """Give what makes two asked lines the same: whose they are, or the answers that they hang on, as those of one unit and of another do."""
    yield line.drawn_from, line.drawn_as
    hangs_on = frozenset((row.record, row.field) for row in basis if not is_of_article(row))
    if hangs_on:
        yield hangs_on, line.drawn_as
