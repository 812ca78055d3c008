"""Prices of the firm's book in a survey's answers: phone and office say the same, and what an article costs the firm stays with the office."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest
from sqlalchemy import select
from uuid_utils import uuid7

from tests.support.cast import ADA, MODEL, Device, Office, change
from wattwalk.answer import Desk
from wattwalk.database import reading
from wattwalk.models import ReportJob, User
from wattwalk.office.frozen import RenderRequest, freeze, thaw
from wattwalk.survey.document import read_document
from wattwalk.survey.firm import Article, PriceBook
from wattwalk.sync.book import load_prices
from wattwalk.sync.surveys import load_survey

#: A cost price that stands nowhere else.
COST = "66123.45"


@pytest.fixture
def unit(ada: Device) -> Iterator[str]:
    """A unit of this house's own that the design has chosen, and the article that stands for it: both go by one id."""
    name = f"unit-{uuid7()}"
    ada.push(
        change("house", "household_name", "Priced", kind="survey"),
        change(name, "name", name, kind="unit"),
        change("design", "unit", name, kind="design"),
    )
    said = {
        "code": name[-12:],
        "words": "Outdoor unit, fitted",
        "sold_by": "each",
        "selling_price": "91234.50",
        "cost_price": COST,
        "vat": "energy_saving",
        "stands_for": "unit",
        "for_unit": name,
    }
    ada.book_push(*(change(name, field, value, kind="article") for field, value in said.items()))
    yield name
    ada.book_push(change(name, "deleted", True, kind="article", seen=book_revision(ada)))


def book_revision(device: Device) -> int:
    return device.book()["revision"]


def get(device: Device, what: str) -> Any:
    answer = device.client.get(f"{device.path}/{what}")
    assert answer.status_code == 200, answer.get_data(as_text=True)
    return answer.json


def suggested(device: Device, unit: str) -> dict[str, Any]:
    (line,) = [item for item in get(device, "assessment")["suggestions"]["lines"] if item["drawn_from"] == unit]
    return line


def draw(device: Device, item: dict[str, Any], line: str) -> None:
    basis = [{name: row[name] for name in ("record", "field", "value", "words")} for row in item["basis"]]
    said = {
        "what": item["what"],
        "part_of": item["part_of"],
        "quantity": float(item["quantity"]),
        "unit": item["unit"],
        "unit_price": item["unit_price"],
        "vat_rate": item["vat_rate"],
        "drawn_from": item["drawn_from"],
        "drawn_basis": basis,
    }
    device.push(*(change(line, field, value, kind="price_line") for field, value in said.items()))


def test_a_line_takes_the_price_of_the_book_and_says_when_that_is_another(ada: Device, unit: str) -> None:
    item = suggested(ada, unit)
    assert (item["article"], item["unit_price"], item["what"]) == ("article_found", "91234.50", "Outdoor unit, fitted")
    draw(ada, item, f"line-{uuid7()}")
    assert get(ada, "quote")["net"] == "91234.50"
    assert not [item for item in get(ada, "quote")["problems"] if item["code"] == "line_changed"]
    ada.book_push(change(unit, "selling_price", "91300.00", kind="article", seen=book_revision(ada)))
    quote = get(ada, "quote")
    assert quote["net"] == "91234.50"
    (problem,) = [item for item in quote["problems"] if item["code"] == "line_changed"]
    assert "price was £91,234.50, now £91,300.00" in problem["message"]


def test_the_phone_of_a_surveyor_says_of_prices_what_the_office_says_byte_for_byte(
    ada: Device, ben: Device, unit: str
) -> None:
    draw(ada, suggested(ada, unit), f"line-{uuid7()}")
    ada.book_push(change(unit, "selling_price", "91300.00", kind="article", seen=book_revision(ada)))
    at_office = get(ben, "assessment")["suggestions"]
    assert [item["words"] for item in at_office["changed"]]
    desk, seen = Desk(), ben.view()
    desk.take_articles(
        json.dumps(
            [
                {"id": item["id"], "values": {name: value for name, value in item.items() if name != "id"}}
                for item in ben.book()["records"]["article"]
            ]
        )
    )
    records = [
        {"kind": kind, "id": item["id"], "values": {name: value for name, value in item.items() if name != "id"}}
        for kind, items in seen["records"].items()
        for item in items
    ]
    day = get(ben, "quote")["day"]
    desk.figures(json.dumps({"id": ada.survey, "records": records, "book": [], "day": day}))
    assert json.dumps(json.loads(desk.rest())["suggestions"], sort_keys=True) == json.dumps(at_office, sort_keys=True)
    (row,) = [json.loads(desk.option(""))["option"]]
    (told,) = get(ben, "options")["options"]
    assert (row["gross"], row["changed"]) == (told["gross"], told["changed"])


def test_the_margin_is_the_offices_alone(ada: Device, ben: Device, unit: str) -> None:
    line = f"line-{uuid7()}"
    draw(ada, suggested(ada, unit), line)
    by_hand = f"hand-{uuid7()}"
    said = {"what": "By hand", "quantity": 1, "unit_price": "10.00", "vat_rate": "20"}
    ada.push(*(change(by_hand, field, value, kind="price_line") for field, value in said.items()))
    margin = get(ada, "margin")
    # 91,234.50 − 66,123.45 = 25,111.05, of which 91,234.50 is the whole: 27.5 %.
    assert margin == {
        "lines": [
            {"record": f"price_line/{line}", "cost": COST, "left": "25111.05", "percent": "27.5"},
            {"record": f"price_line/{by_hand}", "cost": None, "left": None, "percent": None},
        ],
        "net": "91234.50",
        "cost": COST,
        "left": "25111.05",
        "percent": "27.5",
        "cost_unknown": 1,
    }
    # From a day on it costs the firm something else; the margin is that of the quote's day.
    begun = [{"holds_from": "2020-01-01", "price": "70000.00"}, {"holds_from": "2999-01-01", "price": "1.00"}]
    ada.book_push(change(unit, "cost_prices", begun, kind="article", seen=book_revision(ada)))
    assert (get(ada, "margin")["cost"], get(ada, "margin")["left"]) == ("70000.00", "21234.50")
    refused = ben.client.get(f"{ben.path}/margin")
    assert (refused.status_code, refused.json["code"]) == (403, "not_allowed")


def test_what_an_article_costs_is_in_no_answer_about_a_survey_and_in_no_surveyors_hands(
    ada: Device, ben: Device, unit: str
) -> None:
    draw(ada, suggested(ada, unit), f"line-{uuid7()}")
    by_day = [{"holds_from": "2020-01-01", "price": COST}]
    ada.book_push(change(unit, "cost_prices", by_day, kind="article", seen=book_revision(ada)))
    told = ""
    for device in (ada, ben):
        for what in (
            "assessment",
            "quote",
            "options",
            "document",
            "version-points",
            f"changes?model={MODEL}",
            "history",
        ):
            told += device.client.get(f"{device.path}/{what}").get_data(as_text=True)
    told += json.dumps([ben.view(), ben.book(), ben.book_pull()])
    told += ben.client.get(f"{ben.path}/margin").get_data(as_text=True)
    assert unit in told
    assert "91234.50" in told
    assert "66123" not in told, "a cost price is on the wire"
    assert "25111" not in told, "a margin is on the wire"
    assert "66123" in json.dumps(ada.book())


def test_a_version_keeps_the_prices_that_it_was_made_with_and_no_cost(office: Office, ada: Device, unit: str) -> None:
    draw(ada, suggested(ada, unit), f"line-{uuid7()}")
    ada.book_push(change(unit, "selling_price", "91300.00", kind="article", seen=book_revision(ada)))
    points = get(ada, "version-points")["points"]
    reasons = [
        {"code": item["code"], "record": item["record"], "about": item["about"], "reason": "Agreed by telephone."}
        for item in points
        if item["weight"] == "red"
    ]
    made = ada.client.post(f"{ada.path}/reports", json={"reasons": reasons})
    assert made.status_code == 202, made.get_data(as_text=True)
    with office.app.app_context(), reading() as session:
        frozen = session.scalars(select(ReportJob.inputs_json).where(ReportJob.survey_id == ada.survey)).one()
    assert "66123" not in frozen
    # The book goes on; what the version said of the price stays.
    ada.book_push(change(unit, "selling_price", "99999.00", kind="article", seen=book_revision(ada)))
    quote = thaw(RenderRequest(frozen, 1, get(ada, "quote")["day"], {})).quote
    assert [item.now for changed in quote.changed for item in changed.changes] == ["£91,300.00"]


def test_a_survey_is_priced_without_anybody_knowing_what_an_article_costs(
    office: Office, ada: Device, unit: str
) -> None:
    with office.app.app_context(), reading() as session:
        firm_id = session.scalars(select(User.firm_id).where(User.email == ADA.email)).one()
        prices = load_survey(session, firm_id, ada.survey, prices=True).whole.prices
        costs = load_prices(session, firm_id, with_costs=True)
        assert load_survey(session, firm_id, ada.survey).whole.prices is None
    assert prices is not None
    assert {item.cost_price for item in prices} == {None}
    found = costs.find(unit)
    assert found is not None
    assert found.cost_price == COST


def test_a_version_leaves_out_what_an_article_costs_whatever_it_is_given() -> None:
    line = {"id": "l", "drawn_basis": [{"record": "article/a", "field": "code", "value": '"A"'}]}
    document = {"format": "wattwalk-survey", "version": 3, "id": "s", "records": {"price_line": [line]}}
    book = PriceBook([Article(id="a", code="A", cost_price=COST, selling_price="1.00"), Article(id="b", code="B")])
    book.find("a")
    survey = replace(read_document(document), prices=book)
    frozen = freeze(survey, revision=1, firm={}, photos=(), with_checks=False)
    assert json.loads(frozen)["articles"] == [["a", {"code": "A", "selling_price": "1.00"}]]
    thawed = thaw(RenderRequest(frozen, 1, "2026-04-02", {})).survey.prices
    assert thawed is not None
    assert [item.id for item in thawed] == ["a"]
