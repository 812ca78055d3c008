"""What belongs to the firm and to no house: the articles that it sells.  Its units are told of in ``unit.py``, since a house may have one of its own."""

from __future__ import annotations

from .fields import choice, money, text
from .holders import FIRM, OFFICE
from .kinds import Part, Record, record_kind


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
        ),
        default="standard",
        default_from="what is not said to be energy-saving",
        help="VAT Notice 708/6 says what is energy-saving. The firm answers for it.",
    )
