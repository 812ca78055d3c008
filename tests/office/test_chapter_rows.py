"""What the chapters hand to their pages, row by row: prices, what comes before the day, photos."""

from __future__ import annotations

import dataclasses
from typing import Any

import pytest

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
    assert (chapter["is_complete"], len(chapter["problems"]) > 0) == (False, True)
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
        ("Left to pay, if the grant is approved", "£80.00", "grand"),
        ("If it is not approved", "£110.00", ""),
    ]
    assert (chapter["is_complete"], chapter["problems"]) == (True, [])


def with_findings(inputs: ReportInputs, *findings: Finding) -> ReportInputs:
    return dataclasses.replace(inputs, assessment=dataclasses.replace(inputs.assessment, findings=tuple(findings)))


def finding(severity: Severity, title: str, record: str = "survey/s") -> Finding:
    return Finding(severity, "of_a_test", record, None, "A message: with a figure that moves", "do it", "", title=title)


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
