"""What holds of every quote: groups and told lines add up to the penny, VAT is of discounted sums, what is optional changes nothing."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wattwalk.offers.quote import Quote, pence, work_out
from wattwalk.office.promises import split
from wattwalk.survey.document import read_document
from wattwalk.survey.errors import SurveyError

DAY = "2026-04-02"
MONEY = st.integers(0, 2_000_000).map(lambda amount: f"{amount / 100:.2f}")
LINE = st.fixed_dictionaries(
    {
        "what": st.just("Something"),
        "quantity": st.integers(0, 40_000).map(lambda count: count / 100),
        "unit_price": MONEY,
        "vat_rate": st.sampled_from(["0", "5", "20"]),
        "part_of": st.sampled_from(["unit", "pipes", "labour"]),
    },
    optional={
        "group": st.sampled_from(["Heating system", "Extras"]),
        "is_hidden": st.booleans(),
        "is_optional": st.booleans(),
        "order": st.integers(0, 20).map(float),
        "discount_percent": st.integers(0, 10_000).map(lambda share: share / 100),
    },
)
LINES = st.lists(LINE, min_size=1, max_size=12)


def quote_of(lines: list[dict[str, Any]]) -> Quote:
    records = {"price_line": [{"id": f"p{place}", **line} for place, line in enumerate(lines)]}
    survey = read_document({"format": "wattwalk-survey", "version": 3, "id": "s", "records": records})
    return work_out(survey, (), DAY)


@given(LINES)
def test_groups_and_told_lines_add_up_to_the_penny(lines):
    quote = quote_of(lines)
    groups = quote.groups()
    assert sum((group.amount for group in groups), Decimal(0)) == quote.net
    for group in groups:
        told = sum((line.amount or 0 for line in group.lines if not line.is_hidden), Decimal(0))
        assert told == group.told
        assert told + group.hidden == group.amount
    assert sorted(line.record for group in groups for line in group.lines) == sorted(
        line.record for line in quote.charges()
    )


@given(LINES)
def test_vat_is_of_the_discounted_sums(lines):
    quote = quote_of(lines)
    for rate in ("0", "5", "20"):
        own = [line for line in lines if line["vat_rate"] == rate and not line.get("is_optional")]
        net = Decimal(0)
        for line in own:
            full = pence(Decimal(str(line["quantity"])) * Decimal(line["unit_price"]))
            net += full - pence(full * Decimal(str(line.get("discount_percent", 0))) / 100)
        found = [group for group in quote.by_vat if group.rate == Decimal(rate)]
        assert [(group.net, group.vat) for group in found] == ([(net, pence(net * Decimal(rate) / 100))] if own else [])


@given(LINES, LINES)
def test_what_the_household_may_choose_changes_nothing_in_the_total(lines, more):
    chosen = [{**line, "is_optional": True} for line in more]
    alone, beside = quote_of(lines), quote_of([*lines, *chosen])
    assert (alone.net, alone.vat, alone.gross, alone.to_pay, alone.by_vat) == (
        beside.net,
        beside.vat,
        beside.gross,
        beside.to_pay,
        beside.by_vat,
    )
    assert alone.groups() == beside.groups()
    assert len(beside.optional()) == len(alone.optional()) + len(more)
    for line in beside.optional():
        assert line.with_vat == line.amount + pence(line.amount * line.vat_rate / 100)


@given(LINES, st.lists(st.integers(1, 100), min_size=1, max_size=6))
def test_payments_still_add_up(lines, weights):
    quote = quote_of(lines)
    shares = [Decimal(weight * 100) / sum(weights) for weight in weights]
    shares[-1] += 100 - sum(shares)
    parts = list(split(quote.gross, shares))
    assert sum(parts) == quote.gross


@given(LINES)
def test_order_moves_lines_and_no_amount(lines):
    quote = quote_of(lines)
    plain = quote_of([{name: value for name, value in line.items() if name != "order"} for line in lines])
    assert (quote.net, quote.vat) == (plain.net, plain.vat)
    places = {f"price_line/p{place}": line.get("order") for place, line in enumerate(lines)}
    told = [places[line.record] for line in quote.lines]
    given_first = [place for place in told if place is not None]
    assert told == given_first + [None] * (len(told) - len(given_first))
    assert given_first == sorted(given_first)


@pytest.mark.parametrize(
    ("field", "value"),
    [("quantity", -1), ("unit_price", "-5.00"), ("discount_percent", -1), ("discount_percent", 101), ("vat_rate", "7")],
)
def test_what_is_negative_or_unknown_is_refused(field, value):
    line = {"what": "Something", "quantity": 1, "unit_price": "5.00", "vat_rate": "20", field: value}
    with pytest.raises(SurveyError):
        quote_of([line])


LINE_OF_100 = {"what": "Something", "quantity": 1, "unit_price": "100.00", "vat_rate": "20"}


@pytest.mark.parametrize(
    ("more", "amount", "codes"),
    [
        ({"discount_percent": 10}, "90.00", []),
        ({"discount_pounds": "12.50"}, "87.50", []),
        ({"discount_pounds": "100.00"}, "0.00", []),
        ({"discount_pounds": "100.01"}, None, ["discount_too_large"]),
        ({"discount_pounds": "5.00", "discount_percent": 5}, None, ["two_discounts"]),
    ],
)
def test_a_discount_on_a_line_lowers_what_is_taxed(more, amount, codes):
    quote = quote_of([{**LINE_OF_100, **more}])
    (line,) = quote.lines
    assert line.amount == (None if amount is None else Decimal(amount))
    assert [problem.code for problem in quote.problems] == codes
    assert quote.vat == pence(Decimal(amount or 0) / 5)


def test_a_discount_is_rounded_by_itself_and_half_up():
    # 0.5 % of 101.00 is 0.505: 51 p off.
    assert quote_of([{**LINE_OF_100, "unit_price": "101.00", "discount_percent": 0.5}]).net == Decimal("100.49")


@pytest.mark.parametrize("more", [{"discount_percent": 5}, {"is_optional": True}])
def test_what_is_taken_off_after_vat_has_neither_discount_nor_choice(more):
    grant = {"what": "Grant", "quantity": 1, "unit_price": "50.00", "is_credit": "grant", **more}
    quote = quote_of([LINE_OF_100, grant])
    assert [problem.code for problem in quote.problems] == ["only_for_charges"]
    assert quote.credits == 0


def test_only_what_may_be_chosen_is_no_price():
    assert "no_price" in {problem.code for problem in quote_of([{**LINE_OF_100, "is_optional": True}]).problems}
