"""Options side by side: the figures of each are those of the survey that it would be, price included."""

from __future__ import annotations

import json
from typing import Any

import pytest

from tests.survey.test_options import value, with_options
from wattwalk.answer import Desk
from wattwalk.demo.house import house
from wattwalk.engine import assess
from wattwalk.offers.options import option_ids, option_row
from wattwalk.offers.quote import work_out
from wattwalk.offers.suggestions import suggestions
from wattwalk.office.report import FILE, QUOTATION, paper_html
from wattwalk.office.report_inputs import gather
from wattwalk.survey.document import read_document
from wattwalk.survey.options import under
from wattwalk.survey.works import PriceLine

DAY = "2026-03-13"
FIRM = {"name": "Larkspur Heat (invented)"}


def survey(**design: Any):
    """Return the demo house with A, a larger unit at its own price, and B, a cooler flow."""
    return with_options(
        value("a", "design/design", "unit", "unit-large"),
        value("b", "design/design", "flow_temperature_c", 35),
        **design,
    )


def test_the_survey_as_it_stands_comes_first_and_old_surveys_have_that_alone():
    assert option_ids(survey()) == (None, "a", "b")
    assert option_ids(read_document(house())) == (None,)
    row = option_row(read_document(house()), None, DAY)
    assert (row.id, row.name, row.is_offered, row.differences) == ("", "The survey as it stands", True, ())


def test_a_row_says_what_the_survey_would_say_if_it_stood_so():
    made = house()
    made["records"]["design"][0]["flow_temperature_c"] = 35
    stands = read_document(made)
    assessed, quote = assess(stands), work_out(stands, assess(stands).rooms, DAY)
    row = option_row(survey(), "b", DAY)
    assert row.flow_c == 35
    assert row.rooms_cold == tuple(room.name for room in assessed.rooms if room.verdict in ("short", "no_emitter"))
    assert row.rooms_cold
    assert row.lowest_c == assessed.flow.lowest_c
    assert row.efficiency == assessed.plant.chosen.seasonal_efficiency
    (pump,) = [line for line in assessed.plant.cost.lines if line.key == "heat_pump"]
    assert (row.cost_low, row.cost_high) == (pump.pounds_low, pump.pounds_high)
    assert (row.gross, row.left) == (str(quote.gross), str(quote.to_pay))


def test_another_unit_moves_sound_and_says_that_its_price_is_not_settled():
    here, there = option_row(survey(), None, DAY), option_row(survey(), "a", DAY)
    assert here.noise_dba + 4 == pytest.approx(there.noise_dba, abs=0.011)
    assert (here.price_open, there.price_open) == (0, 1)
    assert "was Air to water, 8 kW class, invented, now Air to water, 12 kW class, invented" in there.changed[0].words


def test_a_price_of_its_own_settles_it():
    basis = [{"record": "design/design", "field": "unit", "value": json.dumps("unit-large"), "words": "12 kW"}]
    line = "price_line/price-unit"
    settled = with_options(
        value("a", "design/design", "unit", "unit-large"),
        value("a", line, "what", "Outdoor unit, 12 kW class"),
        value("a", line, "unit_price", "5480.00"),
        value("a", line, "drawn_from", "unit-large"),
        value("a", line, "drawn_basis", basis),
    )
    here, there = option_row(settled, None, DAY), option_row(settled, "a", DAY)
    assert there.price_open == 0
    assert float(there.gross) - float(here.gross) == pytest.approx(5480 - 4380)


#: In A another radiator stands in the place of the study's: what the office's button 'Put another in its place' writes.
REPLACED = (
    value("a", "emitter/emitter-study-new", "deleted", True),
    value("a", "emitter/own", "deleted", False),
    value("a", "emitter/own", "room", "room-study"),
    value("a", "emitter/own", "plan", "new"),
    value("a", "emitter/own", "type", "panel_22"),
    value("a", "emitter/own", "height_mm", 600),
    value("a", "emitter/own", "length_mm", 1600),
)


def own_line(**said: Any) -> list[dict[str, Any]]:
    values = {"deleted": False, "what": "New radiator", "quantity": 1, "unit_price": "300.00", "vat_rate": "0", **said}
    return [value("a", "price_line/own-line", field, each) for field, each in values.items()]


def test_a_radiator_of_one_option_is_asked_for_in_its_price_alone():
    found = with_options(*REPLACED, value("b", "design/design", "flow_temperature_c", 35))
    asked = option_row(found, "a", DAY).asked
    assert [(line.record, line.drawn_from, line.only_in) for line in asked] == [("emitter/own", "own", "a")]
    assert option_row(found, None, DAY).asked == option_row(found, "b", DAY).asked == ()
    # The line of the study's radiator is of one that is not there in A, and the new one has none.
    assert option_row(found, "a", DAY).price_open == 2
    assert option_row(found, "b", DAY).price_open == 0


def test_a_line_of_one_option_alone_settles_it_and_is_in_no_other_price():
    found = with_options(*REPLACED, *own_line(drawn_from="own"), value("a", "price_line/price-study", "deleted", True))
    here, there = option_row(found, None, DAY), option_row(found, "a", DAY)
    assert (there.asked, there.price_open, here.price_open) == ((), 0, 0)
    radiator = next(line for line in found.of_kind(PriceLine) if line.id == "price-study")
    before = float(radiator.unit_price) * radiator.quantity
    assert float(there.gross) - float(here.gross) == pytest.approx(300 - before)


def test_what_is_suggested_of_the_offered_option_says_whose_line_it_would_be():
    found = with_options(*REPLACED, offered="a")
    by_record = {line.record: line.only_in for line in suggestions(found, (), DAY).lines}
    assert by_record["emitter/own"] == "a"
    plain = {line.record: line.only_in for line in suggestions(with_options(*REPLACED), (), DAY).lines}
    assert not any(plain.values())
    assert all(by_record[record] == "" for record in plain if record in by_record)


def test_another_unit_in_an_option_is_no_line_of_its_own():
    without = {"price_line": [line for line in house()["records"]["price_line"] if line["id"] != "price-unit"]}
    made = house()
    made["records"].update(without)
    made["records"]["option"] = [{"id": "a", "name": "A"}]
    made["records"]["option_value"] = [value("a", "design/design", "unit", "unit-large")]
    row = option_row(read_document(made), "a", DAY)
    assert row.asked == ()


def test_the_quote_and_the_report_are_of_the_offered_option():
    inputs = gather(survey(offered="b"), firm=FIRM, version=1, made_on=DAY)
    assert inputs.assessment.flow.design_c == 35
    assert inputs.side_by_side == ()
    assert gather(survey(), firm=FIRM, version=1, made_on=DAY).assessment.flow.design_c == 50


def test_the_quotation_may_print_two():
    inputs = gather(survey(offered="b", beside="a"), firm=FIRM, version=1, made_on=DAY)
    assert [row.name for row in inputs.side_by_side] == ["B", "A"]
    alone = gather(survey(offered="b"), firm=FIRM, version=1, made_on=DAY)
    for paper in (QUOTATION, FILE):
        html = paper_html(inputs, paper)
        assert "Two ways to do it" in html
        assert "B (offered)" in html
        assert "Two ways to do it" not in paper_html(alone, paper)


def _request(found: Any, **more: Any) -> str:
    records = [{"kind": item.kind.name, "id": item.id, "values": item.values()} for item in found]
    return json.dumps({"id": found.id, "records": records, **more})


def test_the_phone_works_out_the_same_rows_one_by_one():
    found, desk = survey(), Desk()
    desk.figures(_request(found, day=DAY))
    names = json.loads(desk.option_names())
    assert names == ["", "a", "b"]
    for name in names:
        row = json.loads(desk.option(name))["option"]
        told = option_row(found, name or None, DAY)
        assert row["left"] == told.left
        assert row["rooms_cold"] == list(told.rooms_cold)
        assert row["name"] == told.name


def test_the_desk_asks_for_a_survey_and_a_day():
    with pytest.raises(ValueError, match="No survey"):
        Desk().option_names()
    desk = Desk()
    desk.figures(_request(survey()))
    with pytest.raises(ValueError, match="day"):
        desk.option("")


def test_the_figures_of_the_survey_are_not_moved_by_its_options():
    with_them, without = survey(), read_document(house())
    assert assess(with_them).building == assess(without).building
    assert assess(with_them).rooms == assess(without).rooms
    assert under(with_them, None).survey is with_them
