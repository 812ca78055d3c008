"""How sure the figures are, as the report prints it: ranges, what they hang on, and what the bill says."""

from __future__ import annotations

from typing import Any

from wattwalk.engine.answers import FactSpan, Span, Witness
from wattwalk.engine.answers.words import AGREEMENT_WORDS, SURELY_WORDS
from wattwalk.engine.ranges import work_out_ranges

from .figures import bare, quantity, upper_first
from .report_inputs import ReportInputs


def _span(span: Span | None, unit: str, decimals: int) -> str:
    if span is None or span.low is None:
        return "not known"
    if span.high is None:
        return f"{quantity(span.low, unit, decimals)} or more"
    return f"{bare(span.low, decimals)} to {quantity(span.high, unit, decimals)}"


def _kilowatts(span: Span | None) -> str:
    if span is None:
        return "not known"
    low, high = (None if watts is None else watts / 1000 for watts in (span.low, span.high))
    return _span(Span(low, span.middle / 1000, high), "kW", 1)


def _fact(fact: FactSpan, names: dict[str, str]) -> dict[str, str]:
    changes = ["the unit"] if fact.changes_unit else []
    changes += [names[room] for room in fact.rooms if room in names]
    return {
        "title": fact.title,
        "advice": fact.advice,
        "known": upper_first(fact.how_words),
        "spread": quantity(fact.spread_pct, "K" if fact.code == "neighbour_k" else "%", 0),
        "load": bare(fact.load_w),
        "flow": bare(fact.flow_k, 1),
        "changes": ", ".join(changes) or "–",
        "source": fact.source,
    }


def _witness(witness: Witness | None) -> dict[str, Any] | None:
    if witness is None:
        return None
    return {
        "verdict": AGREEMENT_WORDS[witness.agreement],
        "bill": _span(witness.bill_kwh, "kWh", 0),
        "worked": _span(witness.worked_kwh, "kWh", 0),
        "load": _kilowatts(witness.load_by_bill_w),
        "brings": [bring.words for bring in witness.brings] if witness.agreement != "agree" else [],
        "is_likely": any(bring.is_within for bring in witness.brings),
        "words": witness.words,
        "source": witness.source,
    }


def sure_block(inputs: ReportInputs) -> dict[str, Any]:
    """Return what the report prints of how sure the figures are; without a load only the words that say why."""
    ranges = work_out_ranges(inputs.survey, inputs.assessment)
    names = {room.id: room.name for room in inputs.assessment.rooms}
    either = [names[room.room] for room in ranges.rooms if room.surely == "either"]
    facts = []
    if ranges.load_w is not None:
        facts = [
            ("Unit must carry, in 90 of 100 cases", _kilowatts(ranges.load_w)),
            ("Lowest flow temperature", _span(ranges.flow_c, "°C", 1)),
            (SURELY_WORDS["either"], ", ".join(either) or "no room"),
        ]
        if ranges.unit_is_open:
            facts.append(("Unit", "another one may be right at one end of the range"))
    return {
        "facts": facts,
        "rows": [_fact(fact, names) for fact in ranges.facts],
        "words": ranges.words,
        "witness": _witness(ranges.witness),
    }
