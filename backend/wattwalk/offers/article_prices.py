"""What an article of the firm's book sells for on a day."""

from __future__ import annotations

from wattwalk.survey.firm import Article


def price_on(article: Article, day: str) -> str | None:
    """Return the price of one on a day (``YYYY-MM-DD``), decimal pounds without VAT; None where the book says none."""
    return article.selling_price
