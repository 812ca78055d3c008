"""What is left over of a price after what its articles cost the firm: for the office's own page, in no paper and on no surveyor's phone."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from wattwalk.offers.article_prices import cost_on
from wattwalk.offers.articles import article_in
from wattwalk.offers.quote import ZERO, Quote, pence
from wattwalk.survey.document import Survey
from wattwalk.survey.firm import PriceBook
from wattwalk.survey.works import PriceLine


@dataclass(frozen=True)
class LineMargin:
    """What one charge costs the firm and what is left over of it, decimal text in pounds without VAT; None where its article has no cost price."""

    record: str
    cost: str | None
    left: str | None
    percent: str | None


@dataclass(frozen=True)
class Margin:
    """What is left over in all of the lines whose cost is known: ``net`` is what those lines come to without VAT, ``cost_unknown`` counts the others."""

    lines: tuple[LineMargin, ...]
    net: str
    cost: str
    left: str
    percent: str | None
    cost_unknown: int

    def as_dict(self) -> dict[str, Any]:
        """Return the JSON form."""
        return asdict(self)


def margin_of(survey: Survey, quote: Quote, costs: PriceBook) -> Margin:
    """Return the margin of a quote.

    Parameters
    ----------
    survey : Survey
        As it is offered; its lines keep which article they were drawn from.
    quote : Quote
        What was worked out of it. Lines that are taken off, and those that the household may choose, are left out.
    costs : PriceBook
        The articles with what they cost the firm.

    Notes
    -----
    The cost of a line is its quantity times the cost price of its article on the day of the quote, rounded to the penny, half up. What a credit takes off the whole price
    after VAT is not shared out among the lines.
    """
    records = {line.key(): line for line in survey.of_kind(PriceLine)}
    found: list[LineMargin] = []
    net = cost = ZERO
    for line in quote.charges():
        article = article_in(records[line.record].drawn_basis or [], costs)
        price = None if article is None else cost_on(article, quote.day)
        if price is None or line.quantity is None or line.amount is None:
            found.append(LineMargin(line.record, None, None, None))
            continue
        own = pence(line.quantity * Decimal(price))
        net, cost = net + line.amount, cost + own
        found.append(
            LineMargin(line.record, str(own), str(line.amount - own), _percent(line.amount - own, line.amount))
        )
    unknown = len([item for item in found if item.cost is None])
    return Margin(tuple(found), str(net), str(cost), str(net - cost), _percent(net - cost, net), unknown)


def _percent(left: Decimal, of: Decimal) -> str | None:
    return None if not of else str((left * 100 / of).quantize(Decimal("0.1"), rounding=ROUND_HALF_UP))
