"""Lists that a firm brings in: read whole, held against its book, and only what differs is written, in one transaction."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from uuid_utils import uuid7

from wattwalk.article_list import ArticleListError, article_records
from wattwalk.database import now, reading
from wattwalk.engine.unit.table import UnitTableError
from wattwalk.survey.errors import WattwalkError
from wattwalk.survey.holders import FIRM, OFFICE
from wattwalk.sync.book import BookRecord, book_records
from wattwalk.sync.changes import DELETED, IncomingChange, read_change
from wattwalk.sync.logs import book_of
from wattwalk.sync.push import push
from wattwalk.sync.sight import Sight
from wattwalk.unit_list import unit_records

#: What the log names as the device of what came with a list.
DEVICE = "list"
#: For each kind that comes in as a list: how it is read, and by which parts a record of the book is known again, the surest first. A unit's
#: short name is in its id alone; the code of an article may have been corrected since its id was made of it.
_READERS: dict[str, tuple[Callable[[str, str], list[dict[str, Any]]], tuple[str, ...]]] = {
    "unit": (unit_records, ("id", "name")),
    "article": (article_records, ("code",)),
}
LISTED_KINDS = tuple(_READERS)


class ListError(WattwalkError, ValueError):
    """A list cannot be taken in; ``problems`` names each fault by row and column."""

    def __init__(self, problems: list[str]) -> None:
        super().__init__("\n".join(problems))
        self.problems = problems


@dataclass(frozen=True)
class TakenIn:
    """What a list did to the book: how many records it added, how many it changed, how many stood there as it says."""

    added: int
    changed: int
    same: int


def take_in(kind: str, name: str, text: str, *, firm_id: str, user_id: str | None) -> TakenIn:
    """Take a list of one kind into the firm's book.

    A record is known again by its id, or else by its name or code; one that was taken away comes back. What the list does not name stays.

    Raises
    ------
    ListError
        When the list cannot be right; nothing of it is stored then.
    """
    try:
        listed = _READERS[kind][0](name, text)
    except (UnitTableError, ArticleListError) as error:
        raise ListError(list(error.problems)) from error
    return take_records(kind, listed, firm_id=firm_id, user_id=user_id)


def take_records(kind: str, listed: list[dict[str, Any]], *, firm_id: str, user_id: str | None) -> TakenIn:
    """Take records of one kind, each with its id, into the firm's book: only what differs is written, in one transaction."""
    with reading() as session:
        present = book_records(session, firm_id, kind)
    matched = _match(listed, present, _READERS[kind][1])
    changes, counts = _changes(kind, listed, matched, {record.id for record in present})
    if changes:
        pushed = push(
            firm_id=firm_id,
            user_id=user_id,
            survey_id=book_of(firm_id),
            device=DEVICE,
            changes=changes,
            sight=Sight(FIRM, OFFICE),
        )
        if refused := [result.problem["message"] for result in pushed.results if result.problem]:
            raise RuntimeError(f"The book refused what its own reader had made: {refused[:3]}")
    return counts


def _match(listed: list[dict[str, Any]], present: list[BookRecord], known_by: tuple[str, ...]) -> dict[str, BookRecord]:
    """Return the record of the book that each item of a list is, by the item's id; no two items are the same record."""
    matched: dict[str, BookRecord] = {}
    # One that is there is meant sooner than one that was taken away.
    for is_deleted in (False, True):
        for name in known_by:
            of_list = {record.id for record in matched.values()}
            free = {
                record.part(name): record
                for record in present
                if record.is_deleted is is_deleted and record.id not in of_list
            }
            for item in listed:
                if item["id"] not in matched and (record := free.pop(item.get(name), None)) is not None:
                    matched[item["id"]] = record
    return matched


def _changes(
    kind: str, listed: list[dict[str, Any]], matched: dict[str, BookRecord], taken: set[str]
) -> tuple[list[IncomingChange], TakenIn]:
    made_at = now().strftime("%Y-%m-%dT%H:%M:%SZ")
    changes: list[IncomingChange] = []
    added = changed = 0
    for item in listed:
        record = matched.get(item["id"])
        said = {name: value for name, value in item.items() if name != "id"}
        if record is None:
            added += 1
            news, id, seen = said, str(uuid7()) if item["id"] in taken else item["id"], {}
        else:
            id, seen = record.id, record.seen
            news = {name: value for name, value in said.items() if record.values.get(name) != value}
            if record.is_deleted:
                news[DELETED] = False
            changed += bool(news)
        for name, value in news.items():
            change = {"kind": kind, "record": id, "field": name, "value": value, "seen": seen.get(name, 0)}
            changes.append(read_change({"id": str(uuid7()), "made_at": made_at, **change}))
    return changes, TakenIn(added, changed, len(listed) - added - changed)
