"""The offered option and the one beside it, as the quotation prints both."""

from __future__ import annotations

from typing import Any

from wattwalk.engine.answers.rounding import listed
from wattwalk.engine.answers.words import inside_a_sentence
from wattwalk.offers.options import OptionRow
from wattwalk.survey.wording import pounds
from wattwalk.survey.works import PriceLine

from .figures import bare, degrees, quantity
from .plant_chapters import span, whole_pounds
from .report_inputs import ReportInputs

#: What of a price line tells what it costs.
_AMOUNTS = frozenset({"quantity", "unit_price", "discount_percent", "discount_pounds"})
_NOT_SAID = "cannot be said yet"


def options_block(inputs: ReportInputs) -> dict[str, Any] | None:
    """Return both options' figures row by row, which rows differ, and what the second changes; None where one alone is printed."""
    if not inputs.side_by_side:
        return None
    one, two = inputs.side_by_side
    rows = [
        {"label": label, "one": mine, "two": other, "differs": mine != other}
        for (label, mine), (_label, other) in zip(_figures(one), _figures(two), strict=True)
    ]
    return {
        "one": f"{one.name} (offered)",
        "two": two.name,
        "rows": rows,
        "changes": _changes(inputs, two),
        "offered_changes": _changes(inputs, one),
    }


def _changes(inputs: ReportInputs, row: OptionRow) -> list[str]:
    """Return what an option has otherwise, but for amounts of lines that are told only in the sum of their group."""
    hidden = {line.key() for line in inputs.survey.of_kind(PriceLine) if line.is_hidden}
    return [
        _change(item.title, item.label, item.was, item.now)
        for item in row.differences
        if not (item.record in hidden and item.field in _AMOUNTS)
    ]


def _figures(row: OptionRow) -> list[tuple[str, str]]:
    cold = f"{len(row.rooms_cold)} of {row.rooms}: {listed(row.rooms_cold)}" if row.rooms_cold else "none"
    return [
        ("Outdoor unit", row.unit or _NOT_SAID),
        ("Water temperature", _NOT_SAID if row.flow_c is None else degrees(row.flow_c)),
        ("Rooms left cold", cold),
        ("Lowest water temperature that serves all", _NOT_SAID if row.lowest_c is None else degrees(row.lowest_c)),
        ("Seasonal efficiency of heating", _NOT_SAID if row.efficiency is None else bare(row.efficiency, 2)),
        ("Running cost of a year", _cost(row)),
        ("Sound at the neighbour", _NOT_SAID if row.noise_dba is None else quantity(row.noise_dba, "dB(A)", 1)),
        ("Hot water at the tap", _NOT_SAID if row.at_the_tap_l is None else quantity(row.at_the_tap_l, "l", 0)),
        ("Price with VAT", _price(row, row.gross)),
        (row.left_words, _price(row, row.left)),
    ]


def _cost(row: OptionRow) -> str:
    if row.cost_low is None or row.cost_high is None:
        return _NOT_SAID
    return span(whole_pounds(row.cost_low), whole_pounds(row.cost_high))


def _price(row: OptionRow, amount: str) -> str:
    if not row.has_price:
        return _NOT_SAID
    return f"{pounds(amount)} so far, {row.price_open} open" if row.price_open else pounds(amount)


def _change(title: str, label: str, was: str, now: str) -> str:
    of = f"{title}, {inside_a_sentence(label)}" if label else title
    return f"{of}: {now}, instead of {was}" if was and label else f"{of}: {now}"
