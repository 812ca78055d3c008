"""What the chapters hand to their pages, row by row: prices, what comes before the day, photos."""

from __future__ import annotations

import dataclasses
from typing import Any

import pytest
from wattwalk.office.summary import before_the_day, next_step, price_rows

from tests.office.conftest import inputs_of
from tests.support import invented_house as house
from wattwalk.engine.answers import Finding, Severity
from wattwalk.office.chapters import gaps_chapter, photo_rows, price_chapter
from wattwalk.office.report_inputs import ReportInputs


def with_records(**records: list[dict[str, Any]]) -> dict[str, Any]:
    """Return the invented house with other records of these kinds."""
    document = house.document()
    document["records"].update(records)
    return document


def test_a_price_line_shows_what_is_known_of_it_and_a_dash_for_the_rest() -> None:
    lines = [
        {
            "id": "p1",
            "what": "Outdoor unit",
            "part_of": "unit",
            "quantity": 1,
            "unit_price": "3150.00",
            "vat_rate": "0",
        },
        {
            "id": "p2",
            "what": "Pipe",
            "part_of": "unit",
            "quantity": 2.5,
            "unit": "m",
            "unit_price": "40.00",
            "vat_rate": "20",
        },
        {"id": "p3", "part_of": "unit"},
    ]
    chapter = price_chapter(inputs_of(with_records(price_line=lines)))
    ((_part, rows),) = chapter["parts"]
    shown = [tuple(row[name] for name in ("what", "quantity", "unit", "price", "rate", "amount")) for row in rows]
    assert [tuple(cell.replace("\N{NO-BREAK SPACE}", " ") for cell in row) for row in shown] == [
        ("Outdoor unit", "1", "", "£3,150.00", "0 %", "£3,150.00"),
        ("Pipe", "2.5", "metres", "£40.00", "20 %", "£100.00"),
        ("Not described yet", "–", "", "–", "–", "not complete"),
    ]
    assert (chapter["is_complete"], chapter["has_zero_rate"], len(chapter["problems"]) > 0) == (False, True, True)
    assert not [words for words, _amount, _look in chapter["totals"] if words == "Left to pay"]


def test_a_whole_quote_ends_in_what_is_left_to_pay() -> None:
    lines = [
        {"id": "p1", "what": "Pipe", "part_of": "unit", "quantity": 1, "unit_price": "100.00", "vat_rate": "20"},
        {"id": "p2", "what": "Grant", "quantity": 1, "unit_price": "30.00", "is_credit": "grant", "vat_rate": "0"},
    ]
    document = with_records(price_line=lines)
    document["records"]["survey"][0]["existing_deposit"] = "10.00"
    chapter = price_chapter(inputs_of(document))
    totals = [(words.replace("\N{NO-BREAK SPACE}", " "), amount, look) for words, amount, look in chapter["totals"]]
    assert totals == [
        ("Without VAT", "£100.00", ""),
        ("VAT at 20 % on £100.00", "£20.00", ""),
        ("With VAT", "£120.00", "strong"),
        ("Grant", "−£30.00", ""),
        ("Deposit already paid", "−£10.00", ""),
        ("Left to pay", "£80.00", "grand"),
    ]
    assert (chapter["is_complete"], chapter["has_zero_rate"], chapter["problems"]) == (True, False, [])


def test_the_price_on_the_first_page_is_at_most_five_rows() -> None:
    def rows_of(*credits: str, deposit: str | None = None, price: str | None = "1000.00") -> list[tuple[str, str]]:
        lines = [
            {"id": "p", "what": "All of it", "part_of": "unit", "quantity": 1, "unit_price": price, "vat_rate": "20"}
        ]
        lines += [
            {
                "id": f"c{place}",
                "what": f"Credit {place}",
                "quantity": 1,
                "unit_price": amount,
                "is_credit": "grant",
                "vat_rate": "0",
            }
            for place, amount in enumerate(credits)
        ]
        document = with_records(price_line=lines)
        document["records"]["survey"][0]["existing_deposit"] = deposit
        return price_rows(inputs_of(document))

    assert rows_of() == [("Price with VAT", "£1,200.00"), ("Left to pay", "£1,200.00")]
    assert rows_of("1.00", "0.00", "2.00", "3.00", deposit="10.00") == [
        ("Price with VAT", "£1,200.00"),
        ("Credit 0", "−£1.00"),
        ("Other credits", "−£5.00"),
        ("Deposit already paid", "−£10.00"),
        ("Left to pay", "£1,184.00"),
    ]
    assert rows_of(price=None)[1] == ("Not all lines can be added up yet", "1 open")
    assert price_rows(inputs_of(with_records(price_line=[]))) == []


def with_findings(inputs: ReportInputs, *findings: Finding) -> ReportInputs:
    return dataclasses.replace(inputs, assessment=dataclasses.replace(inputs.assessment, findings=tuple(findings)))


def finding(severity: Severity, title: str, record: str = "survey/s") -> Finding:
    return Finding(severity, "of_a_test", record, None, "A message: with a figure that moves", "do it", "", title=title)


def test_before_the_day_come_what_stops_and_the_works_of_others() -> None:
    items = [
        {"id": "w1", "trade": "builder", "what": "Close the air brick", "needed_by": "2026-04-20"},
        {"id": "w2", "trade": "electrician", "what": "Run the cable", "state": "done"},
        {"id": "w3", "trade": "electrician", "what": "Look at the cable", "state": "checked"},
        {"id": "w4", "trade": "us", "what": "Bring the unit"},
        {"id": "w5"},
    ]
    inputs = with_findings(
        inputs_of(with_records(scope_item=items)),
        finding(Severity.STOP, "The main fuse is too small"),
        finding(Severity.STOP, "The base falls too much", "base/base1"),
        finding(Severity.CHECK, "Only to be checked, and long enough"),
        finding(Severity.NOTE, "Only a note"),
    )
    assert [words.replace("\N{NO-BREAK SPACE}", " ") for words in before_the_day(inputs)] == [
        "The main fuse is too small. Do it.",
        "Slab by the kitchen wall: the base falls too much. Do it.",
        "Builder: close the air brick, by 20 April 2026.",
        "Trade not named yet: work not described yet.",
    ]


@pytest.mark.parametrize(
    ("given", "caption", "shows"),
    [
        ({"caption": "The slab", "category": "base"}, "The slab", True),
        ({"category": "base"}, None, False),
        ({}, "Photo", False),
    ],
)
def test_a_photo_without_a_caption_is_named_by_what_it_shows(
    given: dict[str, Any], caption: str | None, shows: bool
) -> None:
    (row,) = photo_rows(inputs_of(with_records(photo=[{"id": "ph1", "of": "base1", "sha256": "a" * 64, **given}])))
    assert row["caption"] == caption if caption else row["caption"] not in {"", "Photo"}
    assert bool(row["shows"]) is shows
    assert (
        row["number"],
        row["arrived"],
        row["alt"].startswith(f"Photo 1: {row['caption'] if caption != 'Photo' else 'no caption'}"),
    ) == (1, True, True)
    assert "Slab" in row["of"]


def test_a_photo_that_has_not_arrived_is_marked_so() -> None:
    rows = photo_rows(
        inputs_of(with_records(photo=[{"id": "ph1", "sha256": "c" * 64}, {"id": "ph2", "sha256": "a" * 64}]))
    )
    assert [(row["number"], row["arrived"], row["of"]) for row in rows] == [(1, False, ""), (2, True, "")]


def test_gaps_stand_by_their_stop_in_the_order_of_the_walk() -> None:
    inputs = inputs_of()
    groups = gaps_chapter(inputs.gaps)
    assert [gap["words"] for group in groups for gap in group["gaps"]] != []
    assert sorted(gap["words"] for group in groups for gap in group["gaps"]) == sorted(gap.words for gap in inputs.gaps)
    assert len({group["stage"] for group in groups}) == len(groups)


WHOLE = [{"id": "p1", "what": "All of it", "part_of": "unit", "quantity": 1, "unit_price": "100.00", "vat_rate": "20"}]


def without_total(inputs: ReportInputs) -> ReportInputs:
    """Return the inputs with a loss of the whole house that cannot be said."""
    return dataclasses.replace(
        inputs,
        assessment=dataclasses.replace(
            inputs.assessment, building=dataclasses.replace(inputs.assessment.building, total_w=None)
        ),
    )


def with_total(inputs: ReportInputs) -> ReportInputs:
    return dataclasses.replace(
        inputs,
        assessment=dataclasses.replace(
            inputs.assessment, building=dataclasses.replace(inputs.assessment.building, total_w=5000.0)
        ),
    )


def test_it_is_the_final_offer_only_with_a_whole_quote_and_a_whole_loss() -> None:
    whole = with_total(inputs_of(with_records(price_line=WHOLE)))
    open_quote = with_total(inputs_of(with_records(price_line=[{"id": "p1", "part_of": "unit"}])))
    said = [
        next_step(with_findings(inputs))
        for inputs in (whole, open_quote, without_total(whole), without_total(open_quote))
    ]
    assert ["not the final offer" in words for words in said] == [False, True, True, True]


def test_the_next_step_names_the_ways_to_the_firm_and_what_stops() -> None:
    def said(firm: dict[str, str], *found: Finding) -> str:
        return next_step(with_findings(with_total(inputs_of(with_records(price_line=WHOLE), firm=firm)), *found))

    assert "write to a@firm.example or call 01632 960000" in said(
        {"name": "F", "email": "a@firm.example", "telephone": "01632 960000"}
    )
    assert "to go ahead call 01632 960000." in said({"name": "F", "telephone": "01632 960000"})
    assert "to go ahead get in touch with us." in said({"name": "F"})
    assert "nothing is ordered before" not in said({"name": "F"}, finding(Severity.CHECK, "Look"))
    assert "nothing is ordered before" in said({"name": "F"}, finding(Severity.STOP, "Stop"))
