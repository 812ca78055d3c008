"""The papers' price where lines are grouped, hidden in a sum, discounted or left to the household."""

from __future__ import annotations

from typing import Any

import pytest

from wattwalk.office.changes import changes, facts_of
from wattwalk.office.chapters import price_chapter
from wattwalk.office.quotation import price_page
from wattwalk.office.report import FILE, QUOTATION, paper_html
from wattwalk.office.report_inputs import ReportInputs, gather
from wattwalk.survey.document import read_document

STAGES = [{"percent": "30", "words": "With the order"}, {"percent": "70", "words": "At the end"}]


def line(name: str, price: str, **more: Any) -> dict[str, Any]:
    said = {"what": name, "quantity": 1, "unit_price": price, "vat_rate": "20", "part_of": "unit"}
    return {"id": name.lower(), **said, **more}


def inputs_of(*lines: dict[str, Any]) -> ReportInputs:
    document = {"format": "wattwalk-survey", "version": 3, "id": "s", "records": {"price_line": list(lines)}}
    firm = {"name": "A firm", "stages": STAGES}
    return gather(read_document(document), firm=firm, version=1, made_on="2026-04-02")


def quotation_html(inputs: ReportInputs) -> str:
    return paper_html(inputs, QUOTATION)


def file_html(inputs: ReportInputs) -> str:
    return paper_html(inputs, FILE)


LINES = (
    line("Boiler", "1000.00", group="Heating system", discount_percent=10),
    line("Secret", "333.33", group="Heating system", is_hidden=True),
    line("Shed", "50.00"),
    line("Battery", "3000.00", is_optional=True),
)


def test_a_hidden_amount_is_in_the_sum_of_its_group_and_nowhere_else():
    inputs = inputs_of(*LINES)
    for paper in (quotation_html(inputs), file_html(inputs)):
        assert "333.33" not in paper
        # 900.00 and 333.33.
        assert "£1,233.33" in paper
        assert "Secret" in paper
    told = inputs_of(*({**item, "is_hidden": False} for item in LINES))
    assert "333.33" in quotation_html(told)
    assert "333.33" in file_html(told)


def test_what_the_household_may_choose_stands_by_itself_with_vat():
    inputs = inputs_of(*LINES)
    assert price_page(inputs)["optional"] == [
        {"what": "Battery", "with_vat": "£3,600.00", "rate": "20\N{NO-BREAK SPACE}%"}
    ]
    assert "If you want it" in quotation_html(inputs)
    assert "£3,600.00" in file_html(inputs)
    without = inputs_of(*LINES[:-1])
    assert price_page(inputs)["totals"] == price_page(without)["totals"]
    assert price_page(inputs)["payments"] == price_page(without)["payments"]
    assert "If you want it" not in quotation_html(without)


def test_payments_are_of_the_discounted_sum():
    # 900.00 + 333.33 + 50.00 is 1,283.33; with VAT of 256.67 it is 1,540.00.
    payments = price_page(inputs_of(*LINES))["payments"]
    assert payments["total"] == "£1,540.00"
    assert [row["amount"] for row in payments["rows"]] == ["£462.00", "£1,078.00"]


@pytest.mark.parametrize("paper", [quotation_html, file_html])
def test_a_discount_is_said_beside_its_line(paper):
    assert "£100.00" in paper(inputs_of(*LINES))


def test_what_changed_since_a_version_tells_no_hidden_amount():
    before = facts_of(inputs_of(*LINES))
    dearer = inputs_of(LINES[0], {**LINES[1], "unit_price": "444.44"}, *LINES[2:])
    (row,) = changes(before, facts_of(dearer))
    assert "444.44" not in str(row.as_dict())
    assert "333.33" not in row.reason.replace("1,233.33", "")
    assert "Heating system: £1,233.33 before, £1,344.44 now" in row.reason
    chosen = inputs_of(*LINES[:-1], {**LINES[3], "unit_price": "1.00"})
    assert changes(before, facts_of(chosen)) == []


def test_a_plain_price_has_neither_sums_nor_choices():
    assert not {"sums", "optional"} & set(price_chapter(inputs_of(line("Boiler", "1000.00"))))
