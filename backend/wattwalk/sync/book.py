"""The firm's book: a log beside those of the surveys, by the same rules, with what belongs to the firm and to no house."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

from sqlalchemy import bindparam, select
from sqlalchemy.orm import Session

from ..models import StoredRecord
from ..survey.book import Book, shared_kinds
from ..survey.firm import Article, PriceBook
from ..survey.holders import FIRM
from ..survey.kinds import Record, kinds_held_by
from ..survey.stored import make_record
from .logs import book_of, find_revision
from .pull import find_contested
from .sight import Sight

_RECORD = StoredRecord.__table__
_FIND_RECORDS = (
    select(_RECORD.c.kind, _RECORD.c.id, _RECORD.c.is_deleted, _RECORD.c.values_json)
    .where(_RECORD.c.survey_id == bindparam("book"), _RECORD.c.kind.in_(bindparam("kinds", expanding=True)))
    .order_by(_RECORD.c.made_revision)
)
_FIND_MARKS = select(_RECORD.c.marks_json).where(
    _RECORD.c.survey_id == bindparam("book"), _RECORD.c.kind.in_(bindparam("kinds", expanding=True))
)


@dataclass(frozen=True)
class BookState:
    """How far a firm's book has come, as one role sees it.

    ``leant_on`` is its last revision that changed something which surveys lean on.
    """

    revision: int
    leant_on: int
    contested: int
    role: str


def book_revision(session: Session, firm_id: str) -> int:
    """Return the revision that a firm's book has reached; 0 before its first record."""
    return find_revision(session, firm_id, book_of(firm_id), FIRM)


def book_state(session: Session, firm_id: str, role: str) -> BookState:
    """Return how far a firm's book has come, as a person of this role sees it."""
    revision = book_revision(session, firm_id)
    if revision == 0:
        return BookState(0, 0, 0, role)
    contested = find_contested(session, book_of(firm_id), Sight(FIRM, role))
    return BookState(revision, leant_on(session, firm_id), len(contested), role)


def leant_on(session: Session, firm_id: str) -> int:
    """Return the last revision of a firm's book that changed something which surveys lean on; 0 before the first.

    They lean on its articles too, which their price lines are drawn from; not on what these cost the firm, which only the office sees.
    """
    asked = {"book": book_of(firm_id), "kinds": [kind.name for kind in (*shared_kinds(), Article.kind)]}
    hidden = _hidden_of_articles()
    # Read from the records, which are as many as the firm has: its log grows with every list of articles, and every look for news asks this.
    marks = session.connection().execute(_FIND_MARKS, asked).scalars()
    return max(
        (revision for text in marks for name, (revision, _device) in json.loads(text).items() if name not in hidden),
        default=0,
    )


def _hidden_of_articles() -> tuple[str, ...]:
    """Return the fields of an article that only the office sees."""
    return tuple(spec.name for spec in Article.kind.fields if spec.seen_by)


def load_book(session: Session, firm_id: str, *, prices: bool = False) -> Book:
    """Return what surveys lean on of a firm's book, in the order in which it was made; with its articles where ``prices`` asks for them."""
    present: list[Record] = []
    left: list[Record] = []
    asked = {"book": book_of(firm_id), "kinds": [kind.name for kind in shared_kinds()]}
    for kind, record_id, is_deleted, values in session.connection().execute(_FIND_RECORDS, asked):
        record = make_record(kind, record_id, json.loads(values))
        if record is not None:
            (left if is_deleted else present).append(record)
    return Book(tuple(present), tuple(left), load_prices(session, firm_id) if prices else None)


def load_prices(session: Session, firm_id: str, *, with_costs: bool = False) -> PriceBook:
    """Return the articles of a firm that are in its book today; what they cost the firm only where it is asked for."""
    asked = {"book": book_of(firm_id), "kinds": [Article.kind.name]}
    hidden = () if with_costs else _hidden_of_articles()
    rows = session.connection().execute(_FIND_RECORDS, asked)
    return PriceBook(
        stored=[
            (record_id, {name: value for name, value in json.loads(text).items() if name not in hidden})
            for _kind, record_id, is_deleted, text in rows
            if not is_deleted
        ]
    )


def list_book(session: Session, firm_id: str, role: str) -> dict[str, list[dict[str, Any]]]:
    """Return the records of a firm's book by their kind, each with what a person of this role may see of it."""
    sight = Sight(FIRM, role)
    kinds = [kind.name for kind in kinds_held_by(FIRM)]
    found: dict[str, list[dict[str, Any]]] = {}
    for kind, record_id, is_deleted, values in session.connection().execute(
        _FIND_RECORDS, {"book": book_of(firm_id), "kinds": kinds}
    ):
        if not is_deleted and (record := make_record(kind, record_id, json.loads(values))) is not None:
            found.setdefault(kind, []).append({"id": record_id, **sight.values(kind, record.values())})
    return found


@dataclass(frozen=True)
class BookRecord:
    """A record of the book as it is stored, those that were taken away too; ``seen`` holds the revision of each field's last change."""

    id: str
    values: dict[str, Any]
    seen: dict[str, int]
    is_deleted: bool

    def part(self, name: str) -> Any:
        """Return its id, or the value of a field."""
        return self.id if name == "id" else self.values.get(name)


def book_records(session: Session, firm_id: str, kind: str) -> list[BookRecord]:
    """Return every record of one kind that was ever in a firm's book."""
    query = (
        select(_RECORD.c.id, _RECORD.c.values_json, _RECORD.c.marks_json, _RECORD.c.is_deleted)
        .where(_RECORD.c.survey_id == book_of(firm_id), _RECORD.c.kind == kind)
        .order_by(_RECORD.c.made_revision)
    )
    return [
        BookRecord(id, json.loads(values), {name: mark[0] for name, mark in json.loads(marks).items()}, is_deleted)
        for id, values, marks, is_deleted in session.connection().execute(query)
    ]
