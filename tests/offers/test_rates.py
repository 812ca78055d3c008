"""VAT and grant by the day of the quote and by the planned day of the installation."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from wattwalk.demo.house import house
from wattwalk.engine import assess
from wattwalk.engine.cost import rate_of_day
from wattwalk.offers.quote import Quote, work_out
from wattwalk.offers.rates import hold_rates
from wattwalk.survey.document import read_document


@pytest.mark.parametrize(
    ("rate", "nation", "day", "holds", "last_day", "next_rate"),
    [
        # VAT Notice 708/6, section 2: the zero rate holds until 31 March 2027, the reduced rate from 1 April 2027.
        ("0", "england", "2027-03-31", True, "2027-03-31", ""),
        ("0", "england", "2027-04-01", False, "2027-03-31", "5"),
        ("0", "england", "2022-03-31", False, "", ""),
        ("0", "northern_ireland", "2023-04-30", False, "", ""),
        ("0", "northern_ireland", "2023-05-01", True, "2027-03-31", ""),
        ("5", "wales", "2027-04-01", True, "", ""),
        ("20", "scotland", "2030-01-01", True, "", ""),
        ("17.5", "england", "2026-01-01", False, "", ""),
    ],
)
def test_a_rate_on_its_days(rate, nation, day, holds, last_day, next_rate):
    found = rate_of_day(rate, nation, day)
    assert (found.holds, found.last_day, found.next_rate) == (holds, last_day, next_rate)


def test_both_days_are_held_and_a_change_between_them_is_said():
    (none,) = hold_rates([Decimal(0)], "england", "2026-11-27", "2027-03-31")
    assert (none.holds, none.holds_then, none.words) == (True, True, "")
    (zero, twenty) = hold_rates([Decimal(20), Decimal(0), Decimal(0)], "england", "2026-11-27", "2027-05-11")
    assert (zero.rate, zero.holds, zero.holds_then, zero.next_rate) == ("0", True, False, "5")
    assert zero.words == (
        "0 % VAT holds until 31 March 2027; the day of the installation is 11 May 2027. From then on it is 5 %."
    )
    assert (twenty.holds, twenty.holds_then, twenty.words) == (True, True, "")
    (late,) = hold_rates([Decimal(0)], "england", "2027-05-12", None)
    assert (late.holds, late.holds_then) == (False, None)
    assert "the day of the quote is 12 May 2027" in late.words


def quote(day: str, install_on: str | None = None, **house_says: Any) -> Quote:
    made = house()
    made["records"]["survey"][0].update(house_says)
    if install_on is not None:
        made["records"]["design"][0]["install_on"] = install_on
    survey = read_document(made)
    return work_out(survey, assess(survey).rooms, day)


def test_a_quote_says_what_holds_on_its_days():
    told = quote("2026-11-27", "2027-05-11")
    assert [(rate.rate, rate.holds, rate.holds_then) for rate in told.rates] == [("0", True, False), ("20", True, True)]
    assert (told.grant.pounds, told.grant.pounds_then, told.grant.changes) == ("7500.00", None, True)
    assert "11 May 2027, it holds none" in told.grant.words
    same = quote("2026-11-27", "2026-12-15")
    assert (same.grant.pounds_then, same.grant.changes) == ("7500.00", False)
    # What held at the visit does not count: the visit of the demo house was before the table's change.
    assert quote("2026-11-27", present_fuel="oil").grant.pounds == "9000.00"
    assert quote("2026-03-13", present_fuel="oil").grant.pounds == "7500.00"


def test_what_is_left_to_pay_always_says_that_it_hangs_on_the_grant():
    assert quote("2026-03-13").left_words == "Left to pay, if the grant is approved"
    made = house()
    made["records"]["price_line"] = [line for line in made["records"]["price_line"] if line["id"] != "price-grant"]
    survey = read_document(made)
    assert work_out(survey, assess(survey).rooms, "2026-03-13").left_words == "Left to pay"
