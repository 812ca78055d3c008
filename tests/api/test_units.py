"""A firm's list of units over the API: read, refused by its cell, and fit for the survey it goes into."""

from __future__ import annotations

from tests.engine.test_units import HEADER, ROWS
from tests.support.cast import ADA, Office, change

LIST = HEADER + "\n".join(ROWS)


def test_a_list_comes_back_as_records_that_the_office_takes(office: Office) -> None:
    ada = office.device(ADA)
    answer = ada.client.post("/api/unit-lists", json={"name": "ours.csv", "text": LIST})
    assert answer.status_code == 200, answer.json
    (unit,) = answer.json["units"]
    assert (unit["id"], unit["name"], unit["table_from"], len(unit["points"])) == ("unit-a", "Unit A", "ours.csv", 4)
    results = ada.push(
        *(
            change(unit["id"], field, unit[field], kind="unit")
            for field in ("name", "table_from", "standby_w", "points")
        )
    )
    assert {item["status"] for item in results["results"]} == {"accepted"}
    assert ada.view()["records"]["unit"] == [unit]


def test_a_list_that_cannot_be_right_is_refused_by_row_and_column(office: Office) -> None:
    ada = office.device(ADA)
    answer = ada.client.post("/api/unit-lists", json={"name": "ours.csv", "text": LIST.replace("7,55,7.4", "7,55,x")})
    assert (answer.status_code, answer.json["code"]) == (422, "unit_list_wrong")
    assert answer.json["message"] == "ours.csv, row 6, column capacity_kw: 'x' is not a number in kW."
    assert ada.client.post("/api/unit-lists", json={"name": "ours.csv", "text": ""}).json["code"] == "unit_list_wrong"
    assert ada.client.post("/api/unit-lists", json={"name": "ours.csv"}).json["field"] == "text"


def test_nobody_reads_a_list_without_signing_in(office: Office) -> None:
    assert office.app.test_client().post("/api/unit-lists", json={"name": "ours.csv", "text": LIST}).status_code == 401
