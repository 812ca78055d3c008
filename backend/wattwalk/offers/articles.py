"""The firm's articles beside what a survey asks for: which one stands for a line, at what price of the day, at which rate of VAT.

An article is found by what it stands for and by the codes and numbers that narrow it, never by its words.  What must not be guessed is
refused by a code: no article, several for one thing, a price or a rate that the day does not have, another measure than the survey counts in.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from wattwalk.engine.cost import rate_of_sort
from wattwalk.survey.document import Survey
from wattwalk.survey.firm import LABOUR_TRADES, Article, PriceBook
from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.kinds import KINDS
from wattwalk.survey.validation import plain_number
from wattwalk.survey.wording import clean, long_date, pounds
from wattwalk.survey.works import PriceLine

from .article_prices import price_on
from .shapes import Asked, DrawnFrom, SuggestedLine

#: What a line says of its article, by code: taken; taken, but for the rate of VAT; and why none was taken.
FOUND, NO_VAT = "article_found", "article_no_vat"
NO_ARTICLE, SEVERAL, NOT_SAID = "article_none", "article_several", "article_size_not_said"
NO_PRICE, OTHER_UNIT = "article_no_price", "article_other_unit"
#: The codes of lines that have a price from an article.
TAKEN = (FOUND, NO_VAT)

_ARTICLE = "article/"
_CODE, _PRICE, _VAT = "code", "selling_price", "vat"
#: Counted one by one, in either word.
_ONE_BY_ONE = ("each", "sum")
_WIDEST = 200


@dataclass(frozen=True)
class Pricing:
    """What lines are priced by: the firm's articles, the day, the nation of the house."""

    book: PriceBook | None
    day: str | None
    nation: str

    @property
    def is_open(self) -> bool:
        """Whether there is a price book to draw from: a firm without articles has none, and without a day nothing has a price."""
        return bool(self.book) and self.day is not None


def pricing_of(survey: Survey, day: str | None) -> Pricing:
    """Return what the lines of a survey are priced by on a day (``YYYY-MM-DD``)."""
    house = survey.single(SurveyRecord)
    return Pricing(survey.prices, day, "england" if house is None else house.effective("nation"))


def find_article(asked: Asked, pricing: Pricing) -> tuple[str, str, Article | None]:
    """Return the code of what the book has for a line, the same in words, and the article where there is exactly one."""
    wants, book = asked.wants, pricing.book
    if wants is None or book is None:
        return NO_ARTICLE, "No article in the price book.", None
    if any(value is None for value in wants.exact.values()):
        return NOT_SAID, "The survey does not say enough of it to find its article.", None
    found = _closest(book.standing_for(wants.what, wants.exact), wants.open)
    if not found:
        return NO_ARTICLE, "No article in the price book.", None
    if len(found) > 1:
        codes = ", ".join(_called(article) for article in found[:3]) + (" and others" if len(found) > 3 else "")
        return SEVERAL, f"{len(found)} articles stand for it, so none was taken: {codes}.", None
    return FOUND, f"Article {_called(found[0])}.", found[0]


def _closest(articles: Sequence[Article], narrowing: Mapping[str, Any]) -> list[Article]:
    """Return the articles that say the most of what narrows them and nothing else; what one leaves open holds for every value."""
    fitting: dict[int, list[Article]] = {}
    for article in articles:
        said = {name: value for name in narrowing if (value := getattr(article, name)) is not None}
        if all(narrowing[name] == value for name, value in said.items()):
            fitting.setdefault(len(said), []).append(article)
    return fitting[max(fitting)] if fitting else []


def priced(asked: Asked, pricing: Pricing) -> SuggestedLine:
    """Return an asked line with words, measure, price of the day and rate of VAT of its article; as it was, with the reason, where none is taken."""
    line = asked.line
    if not pricing.is_open or pricing.day is None:
        return line
    code, words, article = find_article(asked, pricing)
    if article is None:
        return replace(line, article=code, article_words=words)
    price, sold_by = price_on(article, pricing.day), article.effective("sold_by")
    if price is None:
        words = f"Article {_called(article)} has no price on {long_date(pricing.day)}."
        return replace(line, article=NO_PRICE, article_words=words)
    if sold_by != line.unit and not (sold_by in _ONE_BY_ONE and line.unit in _ONE_BY_ONE):
        counted = KINDS["price_line"].field("unit").choice_label
        words = (
            f"Article {_called(article)} is sold by the {_measure(sold_by)}; the survey counts {counted(line.unit)}."
        )
        if line.unit == "sum":
            words = f"Article {_called(article)} is sold by the {_measure(sold_by)}; the survey does not say how much it is."
        return replace(line, article=OTHER_UNIT, article_words=words)
    rate = vat_rate(article, pricing)
    if rate is None:
        code = NO_VAT
        words = f"Article {_called(article)}. The table holds no rate of VAT for it on {long_date(pricing.day)}."
    return replace(
        line,
        what=f"{article.words}{asked.where}"[:_WIDEST] if article.words else line.what,
        quantity=asked.metres or line.quantity,
        unit=sold_by,
        unit_price=price,
        vat_rate=rate,
        article=code,
        article_words=words,
        basis=article_basis(article, pricing.day),
    )


def _measure(unit: str) -> str:
    return KINDS["article"].field("sold_by").choice_label(unit).replace("each", "piece")


def _called(article: Article) -> str:
    return clean(article.code or article.words or "without a code")


def vat_rate(article: Article, pricing: Pricing) -> str | None:
    """Return the rate of VAT of an article in per cent as a price line says it, or None where the dated table cannot say it."""
    if pricing.day is None:
        return None
    rate = rate_of_sort(article.effective("vat"), pricing.nation, pricing.day)
    return rate if rate in {item.value for item in PriceLine.kind.field("vat_rate").choices} else None


def hours_of(asked: Asked, pricing: Pricing) -> dict[str, Decimal]:
    """Return the hours of each trade that the article of a line says, for all of it."""
    article = find_article(asked, pricing)[2] if pricing.is_open else None
    if article is None or priced(asked, pricing).article not in TAKEN:
        return {}
    found = {}
    for trade, _label in LABOUR_TRADES:
        hours = getattr(article, f"hours_{trade}", None)
        if hours:
            found[trade] = Decimal(str(hours)) * Decimal(asked.metres or asked.line.quantity)
    return found


# What a line keeps of its article.


def article_basis(article: Article, day: str) -> tuple[DrawnFrom, ...]:
    """Return what a line keeps of the article that it was drawn from: which, its price on the day, its kind of VAT."""
    record, price, vat = article.key(), price_on(article, day), article.effective("vat")
    label = article.kind.field(_VAT).choice_label(vat)
    return (
        DrawnFrom(record, _CODE, json.dumps(article.code, ensure_ascii=False), clean(article.title)[:200], "Article"),
        DrawnFrom(record, _PRICE, json.dumps(price), "no price" if price is None else pounds(price), "Price"),
        DrawnFrom(record, _VAT, json.dumps(vat), label, "Kind of VAT"),
    )


def is_of_article(row: DrawnFrom) -> bool:
    """Say whether a value that a line hangs on is of an article."""
    return row.record.startswith(_ARTICLE)


def article_of(rows: Sequence[DrawnFrom], book: PriceBook) -> Article | None:
    """Return the article that a line was drawn from while the book still has it, or None."""
    return book.find(rows[0].record.removeprefix(_ARTICLE)) if rows else None


def article_in(basis: Sequence[Mapping[str, Any]], book: PriceBook) -> Article | None:
    """Return the article that a line's stored basis names, while the book still has it, or None."""
    named = next((row["record"] for row in basis if row["record"].startswith(_ARTICLE)), "")
    return book.find(named.removeprefix(_ARTICLE))


def of_article(rows: Sequence[DrawnFrom], name: str) -> DrawnFrom | None:
    """Return what a line keeps of its article by one field."""
    return next((row for row in rows if row.field == name), None)


def other_now(held: Sequence[DrawnFrom], article: Article, day: str) -> list[tuple[DrawnFrom, DrawnFrom]]:
    """Return what was kept of an article beside what it is on a day, where the two differ and it is of the price."""
    return [
        (before, row)
        for row in article_basis(article, day)
        if row.field != _CODE and (before := of_article(held, row.field)) is not None and before.value != row.value
    ]


def hours_basis(house: SurveyRecord, trade: str, hours: Decimal) -> tuple[DrawnFrom, ...]:
    """Return what a line of labour hangs on: the hours that the articles of all lines ask for."""
    words = f"{plain_number(float(hours))} h"
    return (DrawnFrom(house.key(), f"hours_{trade}", json.dumps(f"{hours.normalize():f}"), words, "Hours"),)
