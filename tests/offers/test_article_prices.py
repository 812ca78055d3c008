"""Which price of an article holds on a day; the phone is held to the same answers."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from wattwalk.offers.article_prices import cost_on, price_on
from wattwalk.survey.firm import Article

CASES = json.loads((Path(__file__).parents[1] / "golden" / "article_prices.json").read_text(encoding="utf-8"))


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["name"])
def test_the_newest_price_that_has_begun_holds(case: dict[str, Any]) -> None:
    rows, plain = case["by_day"], case["without_day"]
    for day, price in ((item["day"], item["price"]) for item in case["holds"]):
        assert price_on(Article(id="a", selling_price=plain, selling_prices=rows), day) == price
        assert cost_on(Article(id="a", cost_price=plain, cost_prices=rows), day) == price


def test_selling_and_cost_price_are_apart() -> None:
    article = Article(
        id="a",
        selling_price="2.00",
        cost_price="1.00",
        selling_prices=[{"holds_from": "2027-01-01", "price": "3.00"}],
    )
    assert (price_on(article, "2027-06-01"), cost_on(article, "2027-06-01")) == ("3.00", "1.00")
