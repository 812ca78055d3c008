"""What belongs to the firm and to no house: the articles that it sells.  Its units are told of in ``unit.py``, since a house may have one of its own."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from .building import EMITTER_TYPES
from .circuit import VESSELS
from .fields import Row, choice, date, integer, money, number, rows, text
from .holders import FIRM, OFFICE
from .kinds import Part, Record, record_kind
from .services import CABLE_PURPOSES, PIPE_MATERIALS
from .stored import make_record

#: What of a design an article can stand for; a price line drawn as one of them says which.
STANDS_FOR = (
    ("unit", "Outdoor unit"),
    ("cylinder", "Cylinder"),
    ("radiator", "Radiator"),
    ("floor_heating", "Floor heating of a room"),
    ("valve", "Valve of a new radiator"),
    ("pipe", "Pipe"),
    ("pipe_insulation", "Pipe insulation"),
    ("vessel", "Vessel or fitting"),
    ("cable", "Cable"),
    ("base", "Base of the outdoor unit"),
    ("enabling_work", "Enabling work"),
    ("labour", "Labour of a trade"),
    ("commissioning", "Commissioning"),
    ("waste", "Taking waste away"),
    ("other", "Other"),
)
#: The trades whose hours an article may say, in the order in which lines ask for them.
LABOUR_TRADES = (("heating", "Heating"), ("electrical", "Electrical"), ("building", "Building"))
_PIPES = {"stands_for": ("pipe", "pipe_insulation")}


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
    groups=(("main", "Article"), ("stands_for", "What it is for")),
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
    stands_for: str | None = choice(
        "Stands for",
        STANDS_FOR,
        group="stands_for",
        help="Price lines of this thing are drawn from the article. Two articles for the same thing: none is taken, and the line says so.",
    )
    for_unit: str | None = text(
        "Which unit",
        group="stands_for",
        max_length=120,
        when={"stands_for": "unit"},
        help="Its name, letter by letter as the firm's list of units has it.",
    )
    for_litres: float | None = number(
        "Size of cylinder or vessel",
        unit="l",
        low=1,
        high=2000,
        decimals=0,
        group="stands_for",
        when={"stands_for": ("cylinder", "vessel")},
        help="The size it is sold by. Of a fitting, left open.",
    )
    for_vessel: str | None = choice(
        "Which vessel or fitting", VESSELS, group="stands_for", when={"stands_for": "vessel"}
    )
    for_emitter: str | None = choice(
        "Type of radiator", EMITTER_TYPES, group="stands_for", when={"stands_for": "radiator"}
    )
    for_height_mm: float | None = number(
        "Its height", unit="mm", low=100, high=3000, decimals=0, group="stands_for", when={"stands_for": "radiator"}
    )
    for_length_mm: float | None = number(
        "Its length", unit="mm", low=100, high=6000, decimals=0, group="stands_for", when={"stands_for": "radiator"}
    )
    for_pipe_mm: float | None = number(
        "Outside diameter of the pipe", unit="mm", low=6, high=120, decimals=0, group="stands_for", when=_PIPES
    )
    for_material: str | None = choice(
        "Pipe of",
        PIPE_MATERIALS,
        group="stands_for",
        when={"stands_for": "pipe"},
        help="Left open, it stands for every material.",
    )
    for_wall_mm: float | None = number(
        "Wall of the insulation",
        unit="mm",
        low=1,
        high=120,
        decimals=0,
        group="stands_for",
        when={"stands_for": "pipe_insulation"},
        help="Left open, it stands for every thickness.",
    )
    for_cable: str | None = choice(
        "Cable for",
        CABLE_PURPOSES,
        group="stands_for",
        when={"stands_for": "cable"},
    )
    for_cores: int | None = integer(
        "Its cores",
        low=1,
        high=24,
        group="stands_for",
        when={"stands_for": "cable"},
        help="Left open, it stands for every number.",
    )
    for_size_mm2: float | None = number(
        "Size of a core",
        unit="mm²",
        low=0.14,
        high=120,
        decimals=2,
        group="stands_for",
        when={"stands_for": "cable"},
        help="Left open, it stands for every size.",
    )
    for_enabling: str | None = choice(
        "Which work",
        (
            ("take_out", "Take a radiator out"),
            ("close_off", "Close off what is near the outdoor unit"),
            ("move", "Move what is near the outdoor unit"),
        ),
        group="stands_for",
        when={"stands_for": "enabling_work"},
    )
    for_trade: str | None = choice("Trade", LABOUR_TRADES, group="stands_for", when={"stands_for": "labour"})


class PriceBook:
    """The articles of a firm as a survey is priced with them: found by their id, and by what they stand for.

    Of two thousand articles a house asks for forty, so those that come as stored values are made only when they are asked for.
    It has no value of its own to compare by: two of them are the same only where they are one.

    Parameters
    ----------
    articles : iterable of Article
        Articles that are made already.
    stored : iterable of (str, mapping)
        The id and the stored values of each other one.
    """

    def __init__(self, articles: Iterable[Article] = (), stored: Iterable[tuple[str, Mapping[str, Any]]] = ()) -> None:
        made: dict[str, Article | Mapping[str, Any]] = {article.id: article for article in articles}
        # By their ids, since a phone knows no other order.
        self._articles = dict(sorted({**made, **dict(stored)}.items()))
        #: The ids of those that were asked for so far: what a version was made with is kept with it.
        self.asked_for: set[str] = set()
        self._indexes: dict[tuple[str, ...], dict[tuple[Any, ...], list[str]]] = {}

    def __bool__(self) -> bool:
        return bool(self._articles)

    def __iter__(self) -> Iterator[Article]:
        for article_id in self._articles:
            if (found := self._made(article_id)) is not None:
                yield found

    def standing_for(self, what: str, said: Mapping[str, Any]) -> Sequence[Article]:
        """Return the articles that stand for one of ``STANDS_FOR`` and say of these fields exactly these values."""
        names = ("stands_for", *said)
        index = self._indexes.get(names)
        if index is None:
            # Made once for each sort of question.
            index = self._indexes[names] = {}
            for article_id, item in self._articles.items():
                index.setdefault(tuple(_value(item, name) for name in names), []).append(article_id)
        found = [self.find(article_id) for article_id in index.get((what, *said.values()), ())]
        return [article for article in found if article is not None]

    def find(self, article_id: str) -> Article | None:
        """Return the article of this id, or None."""
        found = self._made(article_id)
        if found is not None:
            self.asked_for.add(found.id)
        return found

    def _made(self, article_id: str) -> Article | None:
        item = self._articles.get(article_id)
        if item is None or isinstance(item, Article):
            return item
        made = make_record(Article.kind.name, article_id, item)
        if not isinstance(made, Article):
            return None
        self._articles[article_id] = made
        return made


def _value(item: Article | Mapping[str, Any], name: str) -> Any:
    return getattr(item, name) if isinstance(item, Article) else item.get(name)
