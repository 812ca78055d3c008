"""Price lines and what they hang on: what changed is said until a person takes it over or keeps the line."""

from __future__ import annotations

from typing import Any

import pytest

from wattwalk.demo.house import house
from wattwalk.engine import assess
from wattwalk.offers import look_at_lines
from wattwalk.offers.quote import LINE_CHANGED, Quote, work_out
from wattwalk.offers.shapes import ChangedLine
from wattwalk.survey.document import Survey, read_document

DAY = "2026-03-13"


def demo() -> dict[str, Any]:
    """Return the demo house without lines; each test draws its own."""
    made = house()
    made["records"]["price_line"] = []
    return made


def record(made: dict[str, Any], kind: str, record_id: str) -> dict[str, Any]:
    return next(item for item in made["records"][kind] if item["id"] == record_id)


def drawn(made: dict[str, Any], record_id: str, **more: Any) -> dict[str, Any]:
    """Draw a line as the page does: from what is suggested, with what it hangs on, and priced."""
    (item,) = [line for line in look_at_lines(read_document(made), DAY)[0] if line.drawn_from == record_id]
    basis = [{name: getattr(row, name) for name in ("record", "field", "value", "words")} for row in item.basis]
    line = {
        "id": f"line-{record_id}",
        "what": item.what,
        "part_of": item.part_of,
        "quantity": float(item.quantity),
        "unit": item.unit,
        "drawn_from": item.drawn_from,
        "drawn_basis": basis,
        "unit_price": "100.00",
        "vat_rate": "0",
        **more,
    }
    made["records"]["price_line"].append(line)
    return line


def changed(made: dict[str, Any]) -> tuple[ChangedLine, ...]:
    return look_at_lines(read_document(made), DAY)[1]


def quote(made: dict[str, Any]) -> Quote:
    survey: Survey = read_document(made)
    return work_out(survey, assess(survey).rooms, DAY)


def kept(line: dict[str, Any], item: ChangedLine) -> None:
    """Keep a line as the page does."""
    line["drawn_from"] = item.drawn_from
    line["drawn_basis"] = [
        {name: getattr(row, name) for name in ("record", "field", "value", "words")} for row in item.basis
    ]


def taken_over(line: dict[str, Any], item: ChangedLine) -> None:
    """Take a change over as the page does."""
    kept(line, item)
    if item.what is not None:
        line["what"] = item.what
    if item.quantity is not None:
        line["quantity"] = float(item.quantity)
    if item.unit_price is not None:
        line["unit_price"] = item.unit_price
    if item.drops_price:
        del line["unit_price"]


CHANGES = [
    (
        "unit-middle",
        "design",
        None,
        {"unit": "unit-large"},
        "was Air to water, 8 kW class, invented, now Air to water, 12 kW class, invented",
    ),
    (
        "emitter-study-new",
        "emitter",
        "emitter-study-new",
        {"length_mm": 1400},
        "length was 1,200\N{NO-BREAK SPACE}mm, now 1,400\N{NO-BREAK SPACE}mm",
    ),
    (
        "hot-water",
        "design",
        None,
        {"cylinder_l": 250},
        "its real content was 183\N{NO-BREAK SPACE}l, now 250\N{NO-BREAK SPACE}l",
    ),
]


@pytest.mark.parametrize(("source", "kind", "record_id", "change", "words"), CHANGES)
def test_a_changed_source_is_said_until_it_is_taken_over_or_kept(source, kind, record_id, change, words):
    for settle, what_stays in ((taken_over, False), (kept, True)):
        made = demo()
        line = drawn(made, source)
        assert changed(made) == ()
        assert quote(made).is_complete
        before = line["what"]
        (made["records"][kind][0] if record_id is None else record(made, kind, record_id)).update(change)
        (item,) = changed(made)
        assert item.line == line["id"]
        assert words in item.words
        problems = quote(made).problems
        assert [(problem.code, problem.record) for problem in problems] == [(LINE_CHANGED, f"price_line/{line['id']}")]
        settle(line, item)
        assert changed(made) == ()
        if what_stays:
            assert line["what"] == before
            assert quote(made).is_complete


def test_what_is_taken_over_is_not_sold_at_the_price_of_what_it_was():
    made = demo()
    line = drawn(made, "unit-middle")
    made["records"]["design"][0]["unit"] = "unit-large"
    (item,) = changed(made)
    taken_over(line, item)
    assert line["what"] == "Air to water, 12 kW class, invented"
    assert [problem.field for problem in quote(made).problems] == ["unit_price"]


def test_a_run_that_grew_takes_its_length_over_and_keeps_its_price():
    made = demo()
    line = drawn(made, "pipe-primary")
    assert line["quantity"] == 12.5
    record(made, "pipe_run", "pipe-primary")["stretches"][0]["length_m"] += 2
    (item,) = changed(made)
    assert "length was 12.5 m, now 14.5 m" in item.words
    taken_over(line, item)
    assert (line["quantity"], line["unit_price"]) == (14.5, "100.00")


def test_a_line_of_which_the_survey_asks_no_more_can_be_taken_away_or_kept():
    made = demo()
    drawn(made, "emitter-study-new")
    record(made, "emitter", "emitter-study-new")["plan"] = "keep"
    (item,) = changed(made)
    assert not item.is_asked


def test_a_source_that_is_gone_is_said():
    made = demo()
    line = drawn(made, "emitter-study-new")
    made["records"]["emitter"] = [item for item in made["records"]["emitter"] if item["id"] != "emitter-study-new"]
    line["drawn_from"] = None
    (item,) = changed(made)
    assert "no longer in the survey" in item.words


def test_a_line_of_an_earlier_program_says_so_of_the_unit_alone():
    made = house()
    assert changed(made) == ()
    record(made, "emitter", "emitter-study-new")["length_mm"] = 1400
    assert changed(made) == ()
    made["records"]["design"][0]["unit"] = "unit-large"
    (item,) = changed(made)
    assert (item.line, item.drawn_from) == ("price-unit", "unit-large")


def test_a_unit_that_stands_at_a_place_of_its_own_is_no_line_of_the_chosen_one():
    made = house()
    made["records"]["design"][0]["unit"] = "unit-large"
    made["records"]["outdoor_position"][0]["second_unit"] = "unit-middle"
    assert changed(made) == ()


def test_no_second_line_is_suggested_beside_one_that_says_what_it_was():
    made = house()
    made["records"]["design"][0]["unit"] = "unit-large"
    assert "unit-large" not in {item.drawn_from for item in look_at_lines(read_document(made), DAY)[0]}


class TestTheGrant:
    @staticmethod
    def house(fuel: str = "oil") -> dict[str, Any]:
        made = house()
        made["records"]["survey"][0]["present_fuel"] = fuel
        return made

    def test_another_amount_than_the_tables_of_the_quotes_day_is_said(self):
        (item,) = look_at_lines(read_document(self.house()), "2026-11-27")[1]
        assert (item.line, item.unit_price) == ("price-grant", "9000.00")
        assert "£7,500.00 is taken off; the table's grant of 27 November 2026 is £9,000.00" in item.words

    def test_the_same_amount_is_not(self):
        assert look_at_lines(read_document(self.house("gas")), "2026-11-27")[1] == ()
        assert look_at_lines(read_document(self.house()), "2026-07-20")[1] == ()

    def test_kept_it_is_said_no_more_until_the_table_says_another(self):
        made = self.house()
        line = record(made, "price_line", "price-grant")
        kept(line, look_at_lines(read_document(made), "2026-11-27")[1][0])
        assert look_at_lines(read_document(made), "2026-11-27")[1] == ()

    def test_it_is_suggested_while_no_line_takes_one_off(self):
        made = self.house()
        made["records"]["price_line"] = []
        (line,) = [item for item in look_at_lines(read_document(made), "2026-11-27")[0] if item.kind == "grant"]
        assert (line.unit_price, line.drawn_from) == ("9000.00", "survey-demo")
        assert [item for item in look_at_lines(read_document(made))[0] if item.kind == "grant"] == []
