"""Quotes: sums done by hand, VAT per rate, credits after VAT, and what is not complete."""

from __future__ import annotations

from decimal import Decimal

import pytest

from tests.support import invented_house as house
from wattwalk.engine import assess
from wattwalk.offers.quote import pence, work_out
from wattwalk.survey.document import read_document

DAY = "2026-04-02"


def quote_of(*lines: dict, deposit: str | None = None, **others: list[dict]):
    """Return the quote of a survey with these price lines."""
    records = {"price_line": [{"id": f"p{place}", **line} for place, line in enumerate(lines)], **others}
    if deposit is not None:
        records["survey"] = [{"id": "s", "existing_deposit": deposit}]
    survey = read_document({"format": "wattwalk-survey", "version": 1, "id": "survey-1", "records": records})
    return work_out(survey, assess(survey).rooms, DAY)


def charge(price: str, rate: str = "0", quantity: float = 1, **more) -> dict:
    """One complete line."""
    return {"what": "Something", "quantity": quantity, "unit_price": price, "vat_rate": rate, **more}


def test_sums_by_hand():
    # 1 × 3150.00 + 1 × 184.35 at 0 %; 2.5 × 40.01 = 100.025, half up 100.03, at 20 %: VAT 20.006, half up 20.01.
    quote = work_out(house.survey(), house.assessment().rooms, DAY)
    assert [(group.rate, group.net, group.vat, group.gross) for group in quote.by_vat] == [
        (Decimal(0), Decimal("3334.35"), Decimal("0.00"), Decimal("3334.35")),
        (Decimal(20), Decimal("100.03"), Decimal("20.01"), Decimal("120.04")),
    ]
    assert (quote.net, quote.vat, quote.gross) == (Decimal("3434.38"), Decimal("20.01"), Decimal("3454.39"))
    assert (quote.credits, quote.deposit, quote.to_pay) == (Decimal("1000.00"), Decimal("500.00"), Decimal("1954.39"))
    assert quote.is_complete
    assert quote.problems == ()


def test_vat_is_rounded_once_per_rate():
    # Three lines of 0.33 at 5 %: 0.99 × 5 % = 0.0495, so 5 p; line by line it would be 3 × 2 p.
    quote = quote_of(charge("0.33", "5"), charge("0.33", "5"), charge("0.33", "5"))
    assert quote.vat == Decimal("0.05")


@pytest.mark.parametrize(("net", "vat"), [("0.10", "0.02"), ("0.12", "0.02"), ("0.13", "0.03"), ("2.525", None)])
def test_vat_rounds_half_up(net, vat):
    if vat is None:
        assert pence(Decimal(net)) == Decimal("2.53")
    else:
        assert quote_of(charge(net, "20")).vat == Decimal(vat)


def test_a_fraction_that_binary_floats_lose_stays_exact():
    # 1.1 × 1.15 = 1.265 exactly: half up 1.27; in binary floats it is a little less and would give 1.26.
    assert quote_of(charge("1.15", quantity=1.1)).net == Decimal("1.27")


def test_credits_come_off_after_vat():
    quote = quote_of(
        charge("100.00", "20"),
        {"what": "Spring discount", "quantity": 1, "unit_price": "10.00", "is_credit": "discount"},
    )
    assert (quote.vat, quote.gross, quote.credits, quote.to_pay) == (
        Decimal("20.00"),
        Decimal("120.00"),
        Decimal("10.00"),
        Decimal("110.00"),
    )
    assert quote.is_complete


@pytest.mark.parametrize("missing", ["what", "quantity", "unit_price", "vat_rate"])
def test_an_incomplete_line_is_named_and_not_added(missing):
    line = charge("99.00", "20")
    del line[missing]
    quote = quote_of(charge("10.00"), line)
    assert quote.net == Decimal("10.00")
    assert not quote.is_complete
    assert [(problem.code, problem.field, problem.record) for problem in quote.problems] == [
        ("missing_answer", missing, "price_line/p1")
    ]
    assert quote.as_dict()["lines"][1]["amount"] is None


def test_no_lines_are_a_problem_not_a_price_of_nothing():
    quote = quote_of()
    assert [problem.code for problem in quote.problems] == ["no_price"]
    assert not quote.is_complete


def test_more_credit_than_price_is_told():
    quote = quote_of(charge("10.00"), deposit="25.50")
    assert quote.to_pay == Decimal("-15.50")
    assert quote.problems[0].code == "more_than_the_price"
    assert "£15.50" in quote.problems[0].message


def test_the_json_form_holds_amounts_as_text():
    written = work_out(house.survey(), house.assessment().rooms, DAY).as_dict()
    assert (
        written["net"],
        written["vat"],
        written["gross"],
        written["credits"],
        written["deposit"],
        written["to_pay"],
    ) == (
        "3434.38",
        "20.01",
        "3454.39",
        "1000.00",
        "500.00",
        "1954.39",
    )
    assert written["by_vat"][1] == {"rate": "20", "net": "100.03", "vat": "20.01", "gross": "120.04"}
    assert written["lines"][2]["amount"] == "100.03"
    assert written["lines"][2]["quantity"] == "2.5"


def test_a_large_quantity_is_written_without_an_exponent():
    assert quote_of(charge("1.00", quantity=100_000)).as_dict()["lines"][0]["quantity"] == "100000"
