"""Options travel as records and fields like all others: what two people say of one answer meets in one record, and one option is offered."""

from __future__ import annotations

import json
from typing import Any

from tests.support.cast import Device, Office, change
from tests.support.reasons import written
from tests.sync.test_push import assert_log_holds
from wattwalk.survey.options import id_of_value

RADIATOR = "emitter/study"


def said(option: str, field: str, value: Any, **more: Any) -> list[dict[str, Any]]:
    """Return the changes by which a device says one answer of an option, as its page does."""
    record = id_of_value(option, RADIATOR, field)
    values = {"option": option, "of": RADIATOR, "field": field, "value": json.dumps(value), "words": "Study"}
    return [change(record, name, item, kind="option_value", **more) for name, item in values.items()]


def begin(device: Device) -> None:
    device.push(
        change("study", "length_mm", 1200, kind="emitter"),
        change("a", "name", "A", kind="option"),
        change("b", "name", "B", kind="option"),
        change("design", "flow_temperature_c", 45, kind="design"),
    )


def test_two_people_who_change_two_answers_of_one_option_meet_in_it(office: Office, ada: Device, ben: Device) -> None:
    begin(ada)
    ada.push(*said("a", "length_mm", 1600))
    ben.push(*said("a", "height_mm", 500))
    view = ada.view()
    assert view["contested"] == []
    assert {item["field"]: item["value"] for item in view["records"]["option_value"]} == {
        "length_mm": "1600",
        "height_mm": "500",
    }
    # The survey stays as it was found.
    assert view["records"]["emitter"][0]["length_mm"] == 1200
    assert_log_holds(office)


def test_the_same_answer_given_twice_is_contested_and_none_is_lost(office: Office, ada: Device, ben: Device) -> None:
    begin(ada)
    ada.push(*said("a", "length_mm", 1600))
    ben.push(*said("a", "length_mm", 1800))
    (contest,) = ada.view()["contested"]
    assert (contest["kind"], contest["field"]) == ("option_value", "value")
    assert [item["value"] for item in contest["values"]] == ["1600", "1800"]
    assert_log_holds(office)


def test_two_that_are_both_marked_offered_are_contested_and_no_version_is_made(ada: Device, ben: Device) -> None:
    begin(ada)
    ada.push(change("design", "offered", "a", kind="design"))
    ben.push(change("design", "offered", "b", kind="design"))
    (contest,) = ada.view()["contested"]
    assert (contest["record"], contest["field"], contest["label"]) == ("design", "offered", "Offered option")
    asked = ada.client.post(f"{ada.path}/reports", json=written(ada))
    assert (asked.status_code, asked.json["code"]) == (409, "contested")


def test_the_office_works_out_each_option_and_quotes_the_offered_one(ada: Device) -> None:
    begin(ada)
    line = change("line", "what", "Unit", kind="price_line")
    ada.push(
        line,
        change("line", "quantity", 1, kind="price_line"),
        change("line", "unit_price", "100.00", kind="price_line"),
        change("line", "vat_rate", "0", kind="price_line"),
        *(
            change(id_of_value("b", "price_line/line", "unit_price"), name, item, kind="option_value")
            for name, item in {
                "option": "b",
                "of": "price_line/line",
                "field": "unit_price",
                "value": json.dumps("250.00"),
                "words": "Unit",
            }.items()
        ),
        change("design", "offered", "b", kind="design"),
    )
    rows = ada.client.get(f"{ada.path}/options").json["options"]
    assert [(row["id"], row["gross"], row["is_offered"]) for row in rows] == [
        ("", "100.00", False),
        ("a", "100.00", False),
        ("b", "250.00", True),
    ]
    assert [problem["code"] for problem in rows[1]["problems"]] == ["option_empty"]
    assert ada.client.get(f"{ada.path}/quote").json["gross"] == "250.00"
