"""The shapes of what is said of price lines: what a survey asks for, what a line hangs on, what of that has changed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

CHARGE, GRANT = "charge", "grant"

#: Whose line it is: the id of the record, and as what it is drawn from there (empty for the record's own line).
LineKey = tuple[str, str]


@dataclass(frozen=True)
class DrawnFrom:
    """One value that a line hangs on: the record's ``kind/id``, the field, the value as JSON, and both in words."""

    record: str
    field: str
    value: str
    words: str
    label: str = ""


@dataclass(frozen=True)
class WasNow:
    """One value that a line was written for, and what it is today, in words."""

    label: str
    was: str
    now: str


@dataclass(frozen=True)
class ChangedLine:
    """A price line whose source or article is another today than when it was drawn or last kept.

    To take it over is to write ``what``, ``quantity``, ``unit``, ``unit_price`` and ``vat_rate`` as far as they are said here, to drop the
    price where ``drops_price`` (it was that of something else), and to store ``drawn_from`` and ``basis`` with ``article``; to keep it is
    to store the last with ``kept_article`` and nothing else, which is all that can be done where ``only_kept``.
    Where the survey asks for no such line any more (``is_asked`` is False) it can be taken away or kept.
    """

    line: str
    title: str
    changes: tuple[WasNow, ...]
    words: str
    is_asked: bool
    what: str | None
    quantity: str | None
    unit_price: str | None
    drops_price: bool
    drawn_from: str | None
    basis: tuple[DrawnFrom, ...]
    drawn_as: str = ""
    unit: str | None = None
    vat_rate: str | None = None
    article: tuple[DrawnFrom, ...] = ()
    kept_article: tuple[DrawnFrom, ...] = ()
    only_kept: bool = False


@dataclass(frozen=True)
class SuggestedLine:
    """A line someone may want: what, how much of it, and why the survey thinks so; a price only where a table or an article sets it.

    A price line made from it is drawn from ``drawn_from`` (as ``drawn_as``, where a record has several lines) and keeps ``basis``, what it
    hangs on (``drawn.py``). ``article`` is the code of what the price book has for it (``articles.py``), ``article_words`` the same in words;
    both are empty where there is no price book.  ``only_in`` is the id of the option that asks for it where the survey as it stands does not:
    then the line is that option's alone.
    """

    record: str
    drawn_from: str
    what: str
    part_of: str
    quantity: str
    unit: str
    why: str
    kind: str = CHARGE
    unit_price: str | None = None
    basis: tuple[DrawnFrom, ...] = ()
    drawn_as: str = ""
    vat_rate: str | None = None
    article: str = ""
    article_words: str = ""
    only_in: str = ""


@dataclass(frozen=True)
class Wants:
    """Which article a line wants: what it stands for, what it must say, and what it may leave open."""

    what: str
    exact: Mapping[str, Any] = field(default_factory=dict)
    open: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class Asked:
    """A line that a survey asks for, before any price; ``where`` follows the words of an article, ``basis`` is what it hangs on.

    ``metres`` is how much of it is bought where that is another number than the run is long: flow and return are two pipes.
    """

    line: SuggestedLine
    wants: Wants | None = None
    where: str = ""
    basis: tuple[DrawnFrom, ...] = ()
    metres: str | None = None
