"""What stands against a version: each code fires on its cause and on nothing else, red ones want a written reason."""

from __future__ import annotations

import copy
from collections.abc import Callable
from functools import cache
from typing import Any

import pytest

from wattwalk.demo.house import house
from wattwalk.office.release import CODES, Point, Weight, look, red
from wattwalk.office.report_inputs import ReportInputs, gather
from wattwalk.survey.document import read_document

FIRM = {
    "name": "Larkspur Heat (invented)",
    "address": "1 Larkspur Yard",
    "telephone": "01632 960001",
    "email": "",
    "terms": "",
}
DAY = "2026-03-13"


@cache
def sound() -> dict[str, Any]:
    """Return the demo house with everything settled that stands against a version."""
    made = house()
    records = made["records"]
    records["nearby_object"] = [near for near in records["nearby_object"] if near["id"] != "object-air-brick"]
    for item in (*records["price_line"], *records["scope_item"]):
        if item.get("drawn_from") == "object-air-brick":
            del item["drawn_from"]
    records["design"][0]["install_on"] = "2026-06-01"
    return made


def inputs(change: Callable[[dict[str, Any]], None] | None = None, *, day: str = DAY, **firm: str) -> ReportInputs:
    made = copy.deepcopy(sound())
    if change is not None:
        change(made["records"])
    return gather(read_document(made), firm={**FIRM, **firm}, version=1, made_on=day)


def codes(found: ReportInputs) -> list[str]:
    return [point.code for point in look(found)]


def one(records: dict[str, Any], kind: str, record_id: str) -> dict[str, Any]:
    return next(item for item in records[kind] if item["id"] == record_id)


#: What the settled house still has: checks that a person looks at, none of them red.
STANDING = ["checks_open"]


def test_a_settled_house_has_no_red_point():
    assert codes(inputs()) == STANDING


def _cold(records: dict[str, Any]) -> None:
    records["design"][0]["flow_temperature_c"] = 30


def _open(records: dict[str, Any]) -> None:
    records["surface"] = [
        item for item in records["surface"] if not (item.get("room") == "room-study" and item.get("side") == "ceiling")
    ]


def _no_unit(records: dict[str, Any]) -> None:
    del records["design"][0]["unit"]


def _credits(records: dict[str, Any]) -> None:
    one(records, "price_line", "price-grant")["unit_price"] = "90000.00"


def _changed(records: dict[str, Any]) -> None:
    records["design"][0]["unit"] = "unit-large"


def _unpriced(records: dict[str, Any]) -> None:
    del one(records, "price_line", "price-labour")["unit_price"]


def _late(records: dict[str, Any]) -> None:
    records["design"][0]["install_on"] = "2027-05-11"


def _no_price(records: dict[str, Any]) -> None:
    records["price_line"] = []


def _no_day(records: dict[str, Any]) -> None:
    del records["design"][0]["install_on"]


def _gap(records: dict[str, Any]) -> None:
    del records["survey"][0]["household_name"]


def _photo(records: dict[str, Any]) -> None:
    records["photo"] = [{"id": "p", "category": "meter", "sha256": "0" * 64}]


def _stop(records: dict[str, Any]) -> None:
    records["nearby_object"].append(one(house()["records"], "nearby_object", "object-air-brick"))


def _left(records: dict[str, Any]) -> None:
    one(records, "unit", "unit-middle")["firm_list"] = "left"


def _option(*values: tuple[str, str, str], offered: bool = True) -> Callable[[dict[str, Any]], None]:
    """Return what lets the house have an option with these values."""

    def change(records: dict[str, Any]) -> None:
        records["option"] = [{"id": "a", "name": "A"}]
        records["option_value"] = [
            {"id": f"v{place}", "option": "a", "of": of, "field": field, "value": value}
            for place, (of, field, value) in enumerate(values)
        ]
        if offered:
            records["design"][0]["offered"] = "a"

    return change


_FLOW = ("design/design", "flow_temperature_c", "52")

CAUSES = [
    (_option(), {"option_empty"}),
    (_option(offered=False), {"other_option"}),
    (_option(_FLOW, ("emitter/gone", "length_mm", "900")), {"option_of_gone"}),
    (_option(_FLOW, ("emitter/emitter-study-new", "length_mm", '"long"')), {"option_value_wrong"}),
    (_option(_FLOW, (*_FLOW[:2], "53")), {"option_said_twice"}),
    (_option(("design/design", "unit", '"gone"')), {"option_unit_gone"}),
    (
        _option(
            ("emitter/own", "deleted", "false"),
            ("emitter/own", "room", '"room-study"'),
            ("emitter/own", "type", '"panel_22"'),
            ("emitter/own", "plan", '"new"'),
        ),
        {"line_not_drawn"},
    ),
    (_stop, {"stop_finding"}),
    (_cold, {"room_cold", "cold_beside_remarks"}),
    (_open, {"house_open"}),
    (_no_unit, {"unit_not_chosen"}),
    (_credits, {"credits_above_price"}),
    (_changed, {"line_changed"}),
    (_unpriced, {"price_open"}),
    (_late, {"vat_changes", "grant_changes"}),
    (_no_price, {"no_price"}),
    (_no_day, {"no_install_day"}),
    (_gap, {"gaps_open"}),
    (_photo, {"photos_missing"}),
    (_left, {"unit_left"}),
]


@pytest.mark.parametrize(("cause", "wanted"), CAUSES, ids=lambda item: getattr(item, "__name__", ""))
def test_each_cause_fires_its_code(cause, wanted):
    fired = set(codes(inputs(cause)))
    assert wanted <= fired, fired
    assert not wanted & set(codes(inputs()))


@pytest.mark.parametrize(
    ("day", "firm", "wanted"),
    [
        (DAY, {"address": " "}, "firm_address"),
        (DAY, {"telephone": ""}, "firm_contact"),
        ("2026-11-27", {}, "date_past"),
        ("2027-04-02", {}, "vat_not_of_day"),
        ("2027-04-02", {}, "grant_not_held"),
    ],
)
def test_what_hangs_on_the_day_and_on_the_firm(day, firm, wanted):
    assert wanted in codes(inputs(day=day, **firm))
    assert wanted not in codes(inputs())


def test_a_work_that_is_done_and_a_day_that_is_today_have_not_passed():
    def done(records: dict[str, Any]) -> None:
        for work in records["scope_item"]:
            work["state"] = "done"
        records["design"][0]["install_on"] = "2026-11-27"

    assert "date_past" not in codes(inputs(done, day="2026-11-27"))
    assert "date_past" in codes(inputs(done, day="2026-11-28"))


def test_red_points_come_first_and_are_told_apart_by_code_record_and_about():
    found = look(inputs(_cold, day="2027-04-02", address=""))
    weights = [point.weight for point in found]
    assert weights == sorted(weights, key=lambda weight: weight is not Weight.RED)
    assert len({point.key for point in found}) == len(found)
    assert {point.code for point in red(found)} == {
        point.code for point in found if CODES[point.code].weight is Weight.RED
    }


def test_every_code_has_a_cause_here():
    from_causes = set().union(*(wanted for _cause, wanted in CAUSES))
    rest = {"firm_address", "firm_contact", "date_past", "vat_not_of_day", "grant_not_held", "checks_open"}
    # The design names a unit, or an option, that is not in the document at all: a document cannot say so, a phone's store can.
    assert {*CODES} - from_causes - rest == {"unit_gone", "option_gone"}
    for kind, code in (("unit", "unit_gone"), ("option", "option_gone")):
        found = copy.deepcopy(sound())
        _option(_FLOW)(found["records"])
        survey = read_document(found)
        left = type(survey)(survey.id, {**survey.records, kind: ()})
        assert code in codes(gather(left, firm=FIRM, version=1, made_on=DAY))


def test_a_code_that_nobody_declared_cannot_be_a_point():
    with pytest.raises(KeyError):
        _ = Point("something_else", "", "", "Words.").weight
