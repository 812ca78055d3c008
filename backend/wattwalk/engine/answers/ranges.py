"""The shapes of how sure the figures are: what they hang on, how each of that is known, and what would narrow them most.

Units are in the names.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

#: How an input is known: measured, from papers of its maker, worked out from layers or parts, by look, by age, or assumed.
How = Literal["measured", "maker", "layers", "look", "age", "assumed"]

#: What a fact is about.
FactCode = Literal[
    "u_value", "bridges", "air", "space", "neighbour_k", "sizes", "output", "pipes", "hot_water", "heat_floors"
]

#: What can be said of a room's margin over its range.
Surely = Literal["warm", "short", "either"]

#: Whether a year of the present fuel bears the figures out.
Agreement = Literal["agree", "bill_lower", "bill_higher"]


@dataclass(frozen=True)
class Span:
    """A figure with the range that holds it in 90 of 100 cases; an end is None where it lies beyond what can be worked out."""

    low: float | None
    middle: float
    high: float | None


@dataclass(frozen=True)
class RoomSpan:
    """What a room's emitters give beyond what it loses at the design flow, W, and whether that is sure."""

    room: str
    margin_w: Span
    surely: Surely


@dataclass(frozen=True)
class FactSpan:
    """One fact that the figures hang on: ``record`` says it, ``spread_pct`` is half of its 90 % range (in K for ``neighbour_k``).

    ``load_w`` and ``flow_k`` are what half of that range does to the house's load and to the lowest common flow. ``narrows_w`` is how much
    narrower half of the load's range were once the fact is known as well as it can be on site. ``rooms`` are those whose verdict it could change
    by itself.
    """

    code: FactCode
    record: str
    about: str
    title: str
    how: How
    how_words: str
    spread_pct: float
    load_w: float
    flow_k: float
    narrows_w: float
    changes_unit: bool
    rooms: tuple[str, ...]
    advice: str
    source: str


@dataclass(frozen=True)
class Bring:
    """One fact by which the house as worked out would give the heat of the bill: by how much it would have to be more (or less), and whether that lies within its spread."""

    code: FactCode
    record: str
    title: str
    share_pct: float
    is_within: bool
    words: str


@dataclass(frozen=True)
class Witness:
    """A year of the present fuel beside the year worked out: heating alone, kWh, each with its range."""

    use_kwh: float
    bill_kwh: Span
    worked_kwh: Span
    load_by_bill_w: Span
    agreement: Agreement
    brings: tuple[Bring, ...]
    words: tuple[str, ...]
    source: str


@dataclass(frozen=True)
class Ranges:
    """How sure the load, the common flow and the rooms are; ``facts`` with the one to measure again first. Without a load ``words`` say why."""

    load_w: Span | None
    flow_c: Span | None
    rooms: tuple[RoomSpan, ...]
    facts: tuple[FactSpan, ...]
    unit_is_open: bool
    witness: Witness | None
    words: tuple[str, ...]
    source: str
