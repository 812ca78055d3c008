"""The firm's book, as far as a survey leans on it: a survey seen together with the firm's own records."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Any

from .document import Survey
from .fields import FieldType
from .firm import PriceBook
from .holders import FIRM, FIRM_LIST, IN_LIST, LEFT_LIST, SURVEY
from .kinds import Record, RecordKind, kinds_held_by


@dataclass(frozen=True)
class Book:
    """The firm's records of the kinds that a survey may lean on, in the order in which they were made.

    ``left`` holds those that were taken away from the book since: a survey that points at one keeps it. ``prices`` are the firm's articles,
    of which no survey holds one; None where they were not asked for.
    """

    records: tuple[Record, ...] = ()
    left: tuple[Record, ...] = ()
    prices: PriceBook | None = None


def shared_kinds() -> tuple[RecordKind, ...]:
    """Return the kinds that a survey and the firm's book both hold."""
    return tuple(kind for kind in kinds_held_by(SURVEY) if FIRM in kind.held_by)


def with_book(survey: Survey, book: Book) -> Survey:
    """Return the survey as it is worked out: its own records, and after them those of the firm's book that it may choose from.

    One of its own stands before the book's of the same id. What the book brings says so in its field ``firm_list``; one that has left the
    book comes only where the survey points at it.
    """
    own = {record.id for record in survey}
    chosen = set(_pointed_at(survey)) if book.left else set()
    lent = [_marked(record, IN_LIST) for record in book.records]
    lent += [_marked(record, LEFT_LIST) for record in book.left if record.id in chosen]
    # By their ids, since a phone knows no other order.
    brought = sorted((record for record in lent if record.id not in own), key=lambda record: record.id)
    survey = replace(survey, prices=book.prices)
    if not brought:
        return survey
    records = dict(survey.records)
    for record in brought:
        records[record.kind.name] = (*records.get(record.kind.name, ()), record)
    return replace(survey, records=records)


def _marked(record: Record, mark: str | None) -> Record:
    """Return a record of a shared kind with what it says of the firm's list."""
    said: dict[str, Any] = {FIRM_LIST: mark}
    return replace(record, **said)


def as_own(survey: Survey, book: Book) -> Survey:
    """Return a survey that came as a document as it is to be kept: what the book says to the letter is left to the book, the rest is the survey's own."""
    there = {record.id: record for record in book.records}
    names = {kind.name for kind in shared_kinds()}

    def kept(records: Iterable[Record]) -> tuple[Record, ...]:
        plain = (_marked(record, None) for record in records)
        return tuple(record for record in plain if there.get(record.id) != record)

    records = {name: kept(items) if name in names else items for name, items in survey.records.items()}
    return replace(survey, records={name: items for name, items in records.items() if items})


def _pointed_at(survey: Survey) -> Iterator[str]:
    """Return the ids of records of shared kinds that the survey's records name."""
    shared = {kind.name for kind in shared_kinds()}
    for kind in kinds_held_by(SURVEY):
        pointing = [
            spec.name for spec in kind.fields if spec.type is FieldType.REFERENCE and shared & {*spec.refers_to}
        ]
        for record in survey.records.get(kind.name, ()) if pointing else ():
            yield from (target for name in pointing if (target := getattr(record, name)) is not None)
