"""What a firm's settings say on a quotation: how long it holds, the payments to the penny, when work usually begins, what is never in the price."""

from __future__ import annotations

import subprocess
from dataclasses import replace
from decimal import Decimal
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.office.conftest import FIRM
from tests.office.test_three_papers import HOUSES, inputs_of
from wattwalk.office.changes import changes, facts_of
from wattwalk.office.promises import PROMISES, payments, said_lines, split, stages_problem, valid_until
from wattwalk.office.quotation import context
from wattwalk.office.report import QUOTATION, make_paper
from wattwalk.office.report_inputs import ReportInputs, gather
from wattwalk.survey.document import read_document

STAGES = [
    {"percent": "25", "words": "With your yes", "is_deposit": True},
    {"percent": "41.67", "words": "When the unit stands", "is_deposit": False},
    {"percent": "33.33", "words": "Once you have been shown how it runs", "is_deposit": False},
]
SAID = {
    "valid_days": 30,
    "lead_weeks": 6,
    "stages": STAGES,
    "exclusions": "Making good of plaster\n\nAsbestos, if any is found",
    "assumptions": "Floors can be lifted",
}


def offered(**said: object) -> ReportInputs:
    """The demo house's quotation, by a firm that says so much more."""
    inputs = inputs_of("demo")
    return replace(inputs, firm={**FIRM, **said})


@st.composite
def shares(draw: st.DrawFn) -> list[Decimal]:
    """Shares of up to eight payments in hundredths of a percent, 100 together."""
    cuts = draw(st.sets(st.integers(1, 9_999), max_size=7))
    edges = [0, *sorted(cuts), 10_000]
    return [Decimal(later - sooner) / 100 for sooner, later in pairwise(edges)]


@given(st.integers(0, 10_000_000), shares())
def test_payments_are_the_price_to_the_penny_whatever_it_is_and_none_is_off_its_share(pence, parts):
    amount = Decimal(pence) / 100
    paid = list(split(amount, parts))
    assert sum(paid) == amount
    assert len(paid) == len(parts)
    for part, due in zip(parts, paid, strict=True):
        assert due == due.quantize(Decimal("0.01")) >= 0
        assert abs(due - amount * part / 100) <= Decimal("0.01")


def test_by_hand_a_third_thrice_leaves_no_penny():
    assert list(split(Decimal("100.00"), map(Decimal, ("33.33", "33.33", "33.34")))) == [
        Decimal("33.33"),
        Decimal("33.33"),
        Decimal("33.34"),
    ]
    assert list(split(Decimal("0.05"), [Decimal(50), Decimal(50)])) == [Decimal("0.03"), Decimal("0.02")]


@pytest.mark.parametrize(
    ("percents", "says"),
    [
        ([], None),
        (["100"], None),
        (["33.33", "33.33", "33.34"], None),
        (["50", "40"], "90\xa0%"),
        (["50", "50.01"], "100.01\xa0%"),
        (["100", "0"], "above 0 %"),
    ],
)
def test_payments_that_are_not_the_whole_are_refused_in_one_sentence(percents, says):
    words = stages_problem([{"percent": percent, "words": "Then"} for percent in percents])
    assert (words is None) if says is None else (says in words and words.count(". ") == 0)


def test_only_the_first_payment_is_a_deposit():
    first, second, third = STAGES
    assert stages_problem([first, second, third]) is None
    assert "deposit" in stages_problem([second, first, third])


def test_amounts_add_up_to_what_the_household_pays_in_all():
    inputs = offered(**SAID)
    told = payments(inputs)
    whole = inputs.quote.gross - inputs.quote.credits
    amounts = [Decimal(row["amount"].removeprefix("£").replace(",", "")) for row in told["rows"]]
    assert sum(amounts) == whole == inputs.quote.to_pay + inputs.quote.deposit
    assert told["rows"][0]["words"] == "Deposit: with your yes"
    assert [row["share"] for row in told["rows"]] == ["25\xa0%", "41.67\xa0%", "33.33\xa0%"]
    # What was paid already and a grant that may not come are said beside them.
    assert inputs.quote.deposit
    assert inputs.quote.hangs_on_grant
    assert any("£500.00 that you have paid already" in words for words in told["notes"])
    assert any("grant is not approved" in words for words in told["notes"])


def test_no_amount_is_printed_while_the_price_is_not_whole():
    inputs = offered(**SAID)
    told = payments(replace(inputs, quote=replace(inputs.quote, is_complete=False)))
    assert {row["amount"] for row in told["rows"]} == {""}
    assert told["total"] == ""
    assert payments(offered()) is None


def test_a_quotation_holds_so_many_days_after_its_own_unless_the_office_wrote_a_day():
    inputs = replace(offered(valid_days=30), made_on="2027-01-31")
    assert valid_until(inputs) == "2027-03-02"
    assert context(inputs)["valid_until"] == "2 March 2027"
    assert valid_until(replace(inputs, firm=FIRM)) is None
    # A later version that holds longer says so.
    later = replace(inputs, made_on="2027-02-10", version=2)
    assert "The quotation holds until" in [item.what for item in changes(facts_of(inputs), facts_of(later))]
    document = HOUSES["demo"]()
    document["records"]["design"][0]["valid_until"] = "2026-05-01"
    written = gather(read_document(document), firm={**FIRM, "valid_days": 30}, version=1, made_on="2026-04-02")
    assert valid_until(written) == "2026-05-01"


def test_what_the_firm_says_is_printed_where_it_belongs_on_four_pages():
    inputs = offered(**SAID)
    told = context(inputs)
    assert any("about 6 weeks after you have said yes" in words for words in told["sentences"])
    assert told["price"]["exclusions"] == ["Making good of plaster.", "Asbestos, if any is found."]
    assert told["price"]["assumptions"] == ["Floors can be lifted."]
    read = subprocess.run(
        ["pdftotext", "-", "-"], input=make_paper(inputs, QUOTATION), check=True, capture_output=True
    ).stdout.decode()
    pages = [" ".join(page.split()) for page in read.replace("\N{NO-BREAK SPACE}", " ").split("\f")[:-1]]
    assert "What it costs" in pages[2]
    assert "What we need from you" in pages[3]
    assert "Form to cancel" in pages[4]
    for words in ("Valid until 2 May 2026", "about 6 weeks after you have said yes"):
        assert words in pages[0]
    for words in ("In the payments on the next page.", "what we leave out of every price, on the next page"):
        assert words in pages[2]
    for words in (
        "Deposit: with your yes",
        "41.67 %",
        "£1,869.48",
        "£7,500.00 more is due",
        "Making good of plaster. Asbestos, if any is found.",
        "Floors can be lifted.",
    ):
        assert words in pages[3]


def test_a_firm_that_has_said_nothing_promises_nothing():
    told = context(offered(**dict.fromkeys(PROMISES)))
    assert told["price"]["payments"] is None
    assert told["valid_until"] == ""
    assert not any("weeks after" in words for words in told["sentences"])
    assert said_lines(offered(exclusions=" \n\n"), "exclusions") == []
