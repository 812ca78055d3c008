"""The firm's lists: read whole, held against its book, and only what differs is written, in one transaction; and the book written as a list."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from uuid_utils import uuid7

from wattwalk.article_list import add_to_article, article_records, article_rows
from wattwalk.database import moment_text, now, reading
from wattwalk.engine.unit.table import UnitTableError
from wattwalk.list_columns import is_same
from wattwalk.list_file import Cell, ListError, Rows, write_list
from wattwalk.survey.holders import FIRM, OFFICE
from wattwalk.survey.kinds import KINDS
from wattwalk.sync.book import BookRecord, book_records, list_book
from wattwalk.sync.changes import DELETED, IncomingChange, read_change
from wattwalk.sync.logs import book_of
from wattwalk.sync.push import push
from wattwalk.sync.sight import Sight
from wattwalk.unit_list import unit_records
from wattwalk.valve_list import add_to_valve, valve_records, valve_rows

#: What the log names as the device of what came with a list.
DEVICE = "list"
_Records = list[dict[str, Any]]
_Values = Mapping[str, Any]


def _replace(_before: _Values, said: _Values) -> dict[str, Any]:
    return dict(said)


@dataclass(frozen=True)
class _ListKind:
    """How a list of one kind comes in and goes out.

    ``read`` makes records of its rows. ``known_by`` are the parts by which a record of the book is known again, the surest first. ``add``
    says what a record is to say by what it says and what the list says. ``write`` makes rows of records and of the fields that may be
    seen; None for a kind whose list is not written.
    """

    read: Callable[[str, Rows], _Records]
    known_by: tuple[str, ...]
    add: Callable[[_Values, _Values], dict[str, Any]] = _replace
    write: Callable[[Sequence[_Values], Collection[str]], list[list[Cell]]] | None = None


#: A unit's short name is in its id alone; the code of an article may have been corrected since its id was made of it.
_LISTS = {
    "unit": _ListKind(unit_records, ("id", "name")),
    "article": _ListKind(article_records, ("code",), add_to_article, article_rows),
    "preset_valve": _ListKind(valve_records, ("name",), add_to_valve, valve_rows),
}
LISTED_KINDS = tuple(_LISTS)
WRITTEN_KINDS = tuple(kind for kind, of_list in _LISTS.items() if of_list.write)


@dataclass(frozen=True)
class TakenIn:
    """What a list did to the book: how many records it added, how many it changed, how many stood there as it says."""

    added: int
    changed: int
    same: int


def take_in(kind: str, name: str, rows: Rows, *, firm_id: str, user_id: str | None) -> TakenIn:
    """Take a list of one kind into the firm's book.

    A record is known again by its id, or else by its name or code; one that was taken away comes back. What the list does not name stays.

    Raises
    ------
    ListError
        When the list cannot be right; nothing of it is stored then.
    """
    try:
        listed = _LISTS[kind].read(name, rows)
    except UnitTableError as error:
        raise ListError(list(error.problems)) from error
    return take_records(kind, listed, firm_id=firm_id, user_id=user_id)


def write_book(kind: str, form: str, *, firm_id: str, role: str) -> bytes:
    """Return the firm's records of one of ``WRITTEN_KINDS`` as a list that comes in again unchanged, with what a role may see of them.

    Raises
    ------
    ListError
        When a record could not be known again, or a text cannot stand in a file of this form.
    """
    write = _LISTS[kind].write
    if write is None:
        raise ValueError(f"No list of {kind} is written.")
    with reading() as session:
        records = list_book(session, firm_id, role).get(kind, [])
    return write_list(form, KINDS[kind].plural, write(records, KINDS[kind].names_seen_by(role)))


def take_records(kind: str, listed: _Records, *, firm_id: str, user_id: str | None) -> TakenIn:
    """Take records of one kind, each with its id, into the firm's book: only what differs is written, in one transaction."""
    with reading() as session:
        present = book_records(session, firm_id, kind)
    changes, counts = changes_by_list(kind, listed, present)
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


def _match(listed: _Records, present: Sequence[BookRecord], known_by: tuple[str, ...]) -> dict[str, BookRecord]:
    """Return the record of the book that each item of a list is, by the item's id; no two items are the same record."""
    matched: dict[str, BookRecord] = {}
    # One that is there is meant sooner than one that was taken away.
    for is_deleted in (False, True):
        for name in known_by:
            of_list = {record.id for record in matched.values()}
            free = {
                _bare(record.part(name)): record
                for record in present
                if record.is_deleted is is_deleted and record.id not in of_list
            }
            for item in listed:
                if item["id"] not in matched and (record := free.pop(item.get(name), None)) is not None:
                    matched[item["id"]] = record
    return matched


def _bare(value: Any) -> Any:
    """Return a word as a list can say it: without the blanks around it."""
    return value.strip() if isinstance(value, str) else value


def changes_by_list(kind: str, listed: _Records, present: Sequence[BookRecord]) -> tuple[list[IncomingChange], TakenIn]:
    """Return the changes that a list makes to the records of its kind that were ever in the book, and how many records they are of."""
    of_list = _LISTS[kind]
    matched = _match(listed, present, of_list.known_by)
    taken = {record.id for record in present}
    fields = {spec.name: spec for spec in KINDS[kind].fields}
    made_at = moment_text(now())
    changes: list[IncomingChange] = []
    added = changed = 0
    for item in listed:
        record = matched.get(item["id"])
        said = {name: value for name, value in item.items() if name != "id"}
        if record is None:
            added += 1
            news, id, seen = of_list.add({}, said), str(uuid7()) if item["id"] in taken else item["id"], {}
        else:
            id, seen = record.id, record.seen
            news = {
                name: value
                for name, value in of_list.add(record.values, said).items()
                if not is_same(fields[name], record.values.get(name), value)
            }
            if record.is_deleted:
                news[DELETED] = False
            changed += bool(news)
        for name, value in news.items():
            change = {"kind": kind, "record": id, "field": name, "value": value, "seen": seen.get(name, 0)}
            changes.append(read_change({"id": str(uuid7()), "made_at": made_at, **change}))
    return changes, TakenIn(added, changed, len(listed) - added - changed)
