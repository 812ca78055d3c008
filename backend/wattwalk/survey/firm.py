"""What belongs to the firm and to no house: the articles that it sells.  Its units are told of in ``unit.py``, since a house may have one of its own."""

from __future__ import annotations

from dataclasses import dataclass

from .fields import Row, choice, date, integer, money, number, rows, text
from .holders import FIRM, OFFICE
from .kinds import Part, Record, record_kind


@dataclass
class PriceRow:
    """What one of an article costs from a day on, until the next day that says so."""

    holds_from: str | None = date("Holds from", must=True)
    price: str | None = money("Price of one, without VAT", must=True)


@record_kind(
    "article",
    "Article",
    "Articles",
    stage="office",
    part=Part("price", is_subject=False, opens_the_walk=False, is_counted=False),
    title=("code", "words"),
    help="Something the firm sells: material, or a piece of work.",
    held_by=(FIRM,),
)
class Article(Record):
    """One thing that the firm sells, at what price; what it costs the firm stays at the office."""

    code: str | None = text("Code", max_length=40, help="The firm's own number for it; no two articles have the same.")
    words: str | None = text("In words", max_length=200, help="As it is to stand on a quote.")
    sold_by: str | None = choice(
        "Sold by",
        (("each", "each"), ("m", "metre"), ("h", "hour"), ("day", "day"), ("sum", "lump sum")),
        default="each",
        default_from="most articles",
    )
    selling_price: str | None = money("Selling price of one, without VAT")
    cost_price: str | None = money("Cost price of one, without VAT", seen_by=(OFFICE,), help="Seen by the office only.")
    vat: str | None = choice(
        "VAT",
        (
            ("standard", "Standard rate"),
            ("energy_saving", "Energy-saving material, installed in a home"),
            ("reduced", "Reduced rate"),
            ("zero", "Zero rate"),
        ),
        default="standard",
        default_from="what is not said to be energy-saving",
        help="VAT Notice 708/6 says what is energy-saving. The firm answers for it.",
    )
    group: str | None = text("Group", max_length=60, help="The firm's own word, such as 'Radiators'.")
    supplier: str | None = text("Supplier", max_length=120, seen_by=(OFFICE,), help="Seen by the office only.")
    supplier_number: str | None = text(
        "Supplier's own number", max_length=60, seen_by=(OFFICE,), help="Seen by the office only."
    )
    lead_days: int | None = integer("Lead time", unit="working days", low=0, high=365)
    hours_heating: float | None = number(
        "Hours of a heating engineer", unit="h", low=0, high=200, decimals=2, help="For one of it."
    )
    hours_electrical: float | None = number(
        "Hours of an electrician", unit="h", low=0, high=200, decimals=2, help="For one of it."
    )
    hours_building: float | None = number(
        "Hours of a builder", unit="h", low=0, high=200, decimals=2, help="For one of it."
    )
    selling_prices: list[Row] | None = rows(
        "Selling price by day", PriceRow, help="Before the first of these days the selling price without a day holds."
    )
    cost_prices: list[Row] | None = rows(
        "Cost price by day",
        PriceRow,
        seen_by=(OFFICE,),
        help="Before the first of these days the cost price without a day holds.",
    )
