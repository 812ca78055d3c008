"""Which of an article's prices holds on a day."""

from __future__ import annotations

from collections.abc import Sequence

from wattwalk.survey.fields import Row
from wattwalk.survey.firm import Article


def price_on(article: Article, day: str) -> str | None:
    """Return the selling price of one article on a day, in pounds without VAT.

    Parameters
    ----------
    article : Article
        An article of the firm's book.
    day : str
        The day, ``YYYY-MM-DD``.

    Returns
    -------
    str or None
        The price of the newest day that has come by then; before the first of them the price without a day, and None when there is none.
        Of two prices from the same day, as two devices can write them, the later in the list holds.
    """
    return _holds(article.selling_prices, article.selling_price, day)


def cost_on(article: Article, day: str) -> str | None:
    """Return the cost price of one article on a day, in pounds without VAT, by the rule of :func:`price_on`; for the office only."""
    return _holds(article.cost_prices, article.cost_price, day)


def _holds(versions: Sequence[Row] | None, otherwise: str | None, day: str) -> str | None:
    # Days are written from the year down, so their letters are in their own order.
    begun = [row for row in versions or () if row["holds_from"] <= day]
    newest = max((row["holds_from"] for row in begun), default=None)
    return next((row["price"] for row in reversed(begun) if row["holds_from"] == newest), otherwise)
