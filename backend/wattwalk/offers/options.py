"""Options side by side: what each comes to, in one row of plain figures, worked out as the survey itself is."""

from __future__ import annotations

from dataclasses import dataclass

from wattwalk.engine import assess
from wattwalk.engine.answers import Assessment, Severity, Verdict
from wattwalk.survey.document import Survey
from wattwalk.survey.options import AS_IT_STANDS, Difference, Option, UnderOption, offered, under
from wattwalk.survey.standing import unit_words

from .lines import look_at_lines
from .quote import Quote, work_out
from .shapes import ChangedLine, SuggestedLine
from .suggestions import of_option


@dataclass(frozen=True)
class OptionProblem:
    """What is wrong with an option: its code, one sentence, and the record that it is about (``kind/id``)."""

    code: str
    words: str
    record: str = ""


@dataclass(frozen=True)
class OptionRow:
    """What one option comes to; ``id`` is empty for the survey as it stands.  None where a figure cannot be said.

    ``left`` is what is left to pay with grant and credits taken off, ``gross`` the price with VAT, both decimal text in pounds; while
    ``price_open`` counts lines that are not settled or not drawn yet, they are of the rest; ``asked`` are those that the option alone asks for and
    that no line is drawn for.  ``noise_margin_db`` is the least of all places, positive where the limit is kept.
    """

    id: str
    name: str
    is_offered: bool
    so_far: str
    unit: str
    flow_c: float | None
    rooms: int
    rooms_cold: tuple[str, ...]
    lowest_c: float | None
    lowest_set_by: str
    efficiency: float | None
    cost_low: str | None
    cost_high: str | None
    noise_dba: float | None
    noise_margin_db: float | None
    at_the_tap_l: float | None
    stops: int
    checks: int
    gross: str
    left: str
    left_words: str
    hangs_on_grant: bool
    has_price: bool
    price_open: int
    changed: tuple[ChangedLine, ...]
    differences: tuple[Difference, ...]
    problems: tuple[OptionProblem, ...]
    asked: tuple[SuggestedLine, ...] = ()


def option_ids(survey: Survey) -> tuple[str | None, ...]:
    """Return what stands side by side: the survey as it stands, and then its options in the order in which they were made."""
    return (None, *(option.id for option in survey.of_kind(Option)))


def option_row(survey: Survey, option_id: str | None, day: str) -> OptionRow:
    """Work one option out.

    Parameters
    ----------
    survey : Survey
        As it was found, with what it takes from the firm's book.
    option_id : str or None
        The option; None for the survey as it stands.
    day : str
        The day of the quote, ``YYYY-MM-DD``.
    """
    seen = under(survey, option_id)
    assessed = assess(seen.survey)
    return _row(survey, seen, assessed, work_out(seen.survey, assessed.rooms, day), lines_open(survey, seen, day))


def lines_open(survey: Survey, seen: UnderOption, day: str) -> tuple[SuggestedLine, ...]:
    """Return the price lines that an option alone asks for and that are not drawn: without them its price is not that of what it would have fitted."""
    if seen.option is None:
        return ()
    lines = look_at_lines(seen.survey, day)[0]
    return tuple(line for line in of_option(survey, seen, lines, day) if line.only_in)


def _row(
    survey: Survey, seen: UnderOption, assessed: Assessment, quote: Quote, asked: tuple[SuggestedLine, ...]
) -> OptionRow:
    flow, plant = assessed.flow, assessed.plant
    pump = None if plant.cost is None else next((line for line in plant.cost.lines if line.key == "heat_pump"), None)
    judged = [place for place in assessed.site.noise if place.margin_db is not None]
    loudest = min(judged, key=lambda place: place.margin_db or 0.0, default=None)
    cold = tuple(room.name for room in assessed.rooms if room.verdict in (Verdict.SHORT, Verdict.NO_EMITTER))
    own_id = "" if seen.option is None else seen.option.id
    return OptionRow(
        id=own_id,
        name=AS_IT_STANDS if seen.option is None else seen.option.title,
        is_offered=(offered(survey) or "") == own_id,
        so_far=assessed.building.so_far,
        unit=unit_words(seen.survey) or "",
        flow_c=None if flow is None else flow.design_c,
        rooms=len(assessed.rooms),
        rooms_cold=cold,
        lowest_c=None if flow is None else flow.lowest_c,
        lowest_set_by=next(
            (room.name for room in assessed.rooms if flow is not None and room.id == flow.set_by_room), ""
        ),
        efficiency=None if plant.chosen is None else plant.chosen.seasonal_efficiency,
        cost_low=None if pump is None else pump.pounds_low,
        cost_high=None if pump is None else pump.pounds_high,
        noise_dba=None if loudest is None else loudest.compared_dba,
        noise_margin_db=None if loudest is None else loudest.margin_db,
        at_the_tap_l=None if plant.hot_water is None else plant.hot_water.at_the_tap_l,
        stops=len([item for item in assessed.findings if item.severity is Severity.STOP]),
        checks=len([item for item in assessed.findings if item.severity is Severity.CHECK]),
        gross=str(quote.gross),
        left=str(quote.to_pay),
        left_words=quote.left_words,
        hangs_on_grant=quote.hangs_on_grant,
        has_price=bool(quote.charges()),
        price_open=len(asked) + (0 if quote.is_complete else len(quote.problems)),
        changed=quote.changed,
        differences=seen.differences,
        problems=tuple(OptionProblem(problem.code, problem.message, problem.record or "") for problem in seen.problems),
        asked=asked,
    )
