"""A survey's log as answers: what a value was before, who said so, when and on which device; by person, by room or record, by day, by words.

The newest first, page by page. Words are those of the declarations, so what is searched is what is shown.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from typing import Any

from sqlalchemy import Row, bindparam, select
from sqlalchemy.orm import Session

from ..models import Change, StoredRecord, User
from ..survey.box import is_followed
from ..survey.holders import FIRM
from ..survey.kinds import ANY_SUBJECT, KINDS
from ..survey.validation import check_value
from ..survey.wording import clean, record_titles, value_words
from .book import book_revision
from .changes import DELETED
from .logs import book_of
from .sight import OF_SURVEY, Sight
from .surveys import load_survey

MAX_PAGE = 200
#: A phone may write parts of a second; a day does not hang on them.
_TO_THE_SECOND = len("2026-03-31T14:05:00")

_LOG, _RECORD, _USER = Change.__table__, StoredRecord.__table__, User.__table__
_LINES = (
    select(_LOG, _USER.c.name.label("user"))
    .outerjoin_from(_LOG, _USER, _USER.c.id == _LOG.c.user_id)
    .where(_LOG.c.survey_id == bindparam("survey"), _LOG.c.revision.is_not(None))
    .order_by(_LOG.c.revision)
)
_RECORDS = (
    select(_RECORD.c.id, _RECORD.c.kind, _RECORD.c.values_json, _RECORD.c.is_deleted)
    .where(_RECORD.c.survey_id == bindparam("survey"))
    .order_by(_RECORD.c.made_revision)
)


@dataclass(frozen=True)
class Asked:
    """What somebody wants to know of a log; what is empty asks nothing.

    ``record`` is the id of a record: the changes of it and of all that belongs to it, with ``field`` those of that one answer alone.
    ``since`` and ``until`` are moments in UTC as the log writes them, the second no part of the time; ``words`` have to stand in a line, each of them.
    ``before`` is the revision that a page begins below, 0 for the newest.
    """

    before: int = 0
    limit: int = 50
    record: str = ""
    field: str = ""
    person: str = ""
    since: str = ""
    until: str = ""
    words: str = ""


@dataclass(frozen=True)
class _Line:
    """One accepted change and the one that it followed: the last before it of the same answer."""

    change: Row[*tuple[Any, ...]]
    before: Row[*tuple[Any, ...]] | None


class _Records:
    """What the records of a survey are called and belong to, those too that were taken away."""

    def __init__(self, rows: Iterable[Row[*tuple[Any, ...]]], titles: Mapping[str, str]) -> None:
        self.kinds: dict[str, str] = {}
        self.values: dict[str, dict[str, Any]] = {}
        self.gone: set[str] = set()
        self._titles = titles
        for row in rows:
            self.kinds[row.id], self.values[row.id] = row.kind, json.loads(row.values_json)
            if row.is_deleted:
                self.gone.add(row.id)

    @cached_property
    def titles(self) -> dict[str, str]:
        """What each record is called, by its id; one that was taken away by what it said last."""
        gone = {
            record: clean(KINDS[self.kinds[record]].title_of(self.values[record]))
            for record in self.gone
            if self.kinds[record] in KINDS
        }
        return {**gone, **self._titles}

    def title(self, kind: str, record: str) -> str:
        return self.titles.get(record) or (KINDS[kind].label if kind in KINDS else kind)

    @cached_property
    def owners(self) -> dict[str, frozenset[str]]:
        """Each record with all that it belongs to: itself, a surface's room, and what a photo, note, work or price line is about."""
        return {record: frozenset(self._owners(record)) for record in self.kinds}

    def _owners(self, record: str) -> set[str]:
        found, new = {record}, [record]
        while new:
            named = new.pop()
            values = self.values.get(named, {})
            more = {
                values[field] for field in _belongs_by(self.kinds.get(named, "")) if isinstance(values.get(field), str)
            }
            new += more - found
            found |= more
        return found

    def value_words(self, change: Row[*tuple[Any, ...]]) -> str:
        """Write what a change set for a person; what this program would not take any more is written as it stands."""
        value, kind = json.loads(change.value_json), KINDS.get(change.kind)
        if change.field == DELETED:
            return "Taken away" if value is True else "There"
        if value is None:
            return "As the room is" if self._follows(change) else "No answer"
        spec = kind.field(change.field) if kind is not None and kind.has(change.field) else None
        value = value if spec is None else spec.taken_over(value)
        if spec is None or check_value(spec, value) is not None:
            return clean(value if isinstance(value, str) else json.dumps(value, ensure_ascii=False))
        return value_words(spec, value, self.titles) or "No answer"

    def _follows(self, change: Row[*tuple[Any, ...]]) -> bool:
        """Say whether a size that a surface does not say is its room's."""
        surface = self.values.get(change.record_id, {})
        room = self.values.get(surface.get("room", ""))
        if change.kind != "surface" or room is None:
            return False
        return is_followed(change.field, {**surface, change.field: None}, room)


@cache
def _belongs_by(kind: str) -> tuple[str, ...]:
    """Return the fields by which a record of a kind belongs to another one."""
    if kind not in KINDS:
        return ()
    fields = KINDS[kind].fields
    beside = {spec.or_stays_with for spec in fields if spec.or_stays_with}
    return tuple(spec.name for spec in fields if spec.goes_with or spec.name in beside or spec.refers_to is ANY_SUBJECT)


def _label(change: Row[*tuple[Any, ...]]) -> str:
    kind = KINDS.get(change.kind)
    if change.field == DELETED:
        return "Taken away"
    return kind.field(change.field).label if kind is not None and kind.has(change.field) else change.field


def find_history(session: Session, firm_id: str, survey_id: str, asked: Asked) -> dict[str, Any]:
    """Return a page of a survey's history, newest first, and by whom and about what there is any.

    Returns
    -------
    dict
        ``revision`` of the survey, how many changes were ``found``, ``next`` to ask ``before`` with or None at the end, ``changes``, and the whole log's
        ``people`` and ``places``: records that belong to no other one, each with how many changes are about it.

    Raises
    ------
    NoSuchSurveyError
        When the survey does not exist or belongs to another firm.
    """
    loaded = load_survey(session, firm_id, survey_id)
    rows = session.connection().execute(_RECORDS, {"survey": survey_id}).all()
    records = _Records(rows, record_titles(loaded.whole))
    lines, page = _page(session, survey_id, OF_SURVEY, asked, records)
    return {"revision": loaded.revision, **page, "people": _people(lines), "places": _places(lines, records)}


def find_book_history(session: Session, firm_id: str, role: str, asked: Asked) -> dict[str, Any]:
    """Return a page of the history of a firm's book as ``find_history`` does of a survey's, of what a person of this role may see.

    Its records are as many as the firm sells things, so none is listed under ``places``: they are searched.
    """
    book = book_of(firm_id)
    rows = session.connection().execute(_RECORDS, {"survey": book}).all()
    titles = {
        row.id: clean(KINDS[row.kind].title_of(json.loads(row.values_json)))
        for row in rows
        if row.kind in KINDS and not row.is_deleted
    }
    lines, page = _page(session, book, Sight(FIRM, role), asked, _Records(rows, titles))
    return {"revision": book_revision(session, firm_id), **page, "people": _people(lines), "places": []}


def _page(
    session: Session, log: str, sight: Sight, asked: Asked, records: _Records
) -> tuple[list[_Line], dict[str, Any]]:
    """Return all lines of a log that may be seen, and what is told of those that are asked for."""
    lines = list(_lines(session.connection().execute(_LINES.where(sight.picked(_LOG)), {"survey": log})))
    found = [line for line in reversed(lines) if _is_asked(line, asked, records)]
    later = [line for line in found if not asked.before or line.change.revision < asked.before]
    page = later[: asked.limit]
    return lines, {
        "found": len(found),
        "next": page[-1].change.revision if len(later) > len(page) else None,
        "changes": [_describe(line, records) for line in page],
    }


def _lines(log: Iterable[Row[*tuple[Any, ...]]]) -> Iterator[_Line]:
    """Join each change, in the order of revisions, to the one that it followed."""
    last: dict[tuple[str, str], Row[*tuple[Any, ...]]] = {}
    for change in log:
        answer = change.record_id, change.field
        yield _Line(change, last.get(answer))
        last[answer] = change


def _is_asked(line: _Line, asked: Asked, records: _Records) -> bool:
    change = line.change
    if asked.person and change.user_id != asked.person:
        return False
    if asked.record and asked.field and (change.record_id, change.field) != (asked.record, asked.field):
        return False
    if asked.record and asked.record not in records.owners.get(change.record_id, {change.record_id}):
        return False
    made_at = change.made_at[:_TO_THE_SECOND]
    if (asked.since and made_at < asked.since[:_TO_THE_SECOND]) or (
        asked.until and made_at >= asked.until[:_TO_THE_SECOND]
    ):
        return False
    wanted = asked.words.casefold().split()
    return not wanted or _has(wanted, _text(line, records))


def _has(wanted: Iterable[str], text: str) -> bool:
    return all(word in text for word in wanted)


def _text(line: _Line, records: _Records) -> str:
    """Return all that a line shows in words, as it is searched."""
    change, before = line.change, line.before
    parts = [
        records.title(change.kind, change.record_id),
        _label(change),
        records.value_words(change),
        "" if before is None else records.value_words(before),
        change.user or "",
    ]
    return " ".join(" ".join(parts).casefold().split())


def _describe(line: _Line, records: _Records) -> dict[str, Any]:
    change, before = line.change, line.before
    return {
        **_said(change, records),
        "id": change.id,
        "kind": change.kind,
        "record": change.record_id,
        "field": change.field,
        "title": records.title(change.kind, change.record_id),
        "label": _label(change),
        "received_at": change.received_at,
        "contested": change.is_contested,
        "before": None if before is None else _said(before, records),
    }


def _said(change: Row[*tuple[Any, ...]], records: _Records) -> dict[str, Any]:
    """Return a value with who gave it, when and on which device."""
    return {
        "value": json.loads(change.value_json),
        "words": records.value_words(change),
        "revision": change.revision,
        "user": change.user,
        "device": change.device,
        "made_at": change.made_at,
    }


def _people(lines: Iterable[_Line]) -> list[dict[str, Any]]:
    names = {line.change.user_id: line.change.user for line in lines if line.change.user_id}
    counts = Counter(line.change.user_id for line in lines if line.change.user_id)
    people = [{"id": person, "name": names[person], "changes": count} for person, count in counts.items()]
    return sorted(people, key=lambda person: (person["name"].casefold(), person["id"]))


def _places(lines: Iterable[_Line], records: _Records) -> list[dict[str, Any]]:
    """Return the records that belong to no other one, in the order of the kinds, then by what they are called."""
    counts: Counter[str] = Counter()
    for line in lines:
        counts.update(records.owners.get(line.change.record_id, ()))
    order = {kind: place for place, kind in enumerate(KINDS)}
    places = [
        {
            "kind": records.kinds[record],
            "record": record,
            "title": records.title(records.kinds[record], record),
            "gone": record in records.gone,
            "changes": count,
        }
        for record, count in counts.items()
        if records.owners.get(record) == frozenset({record}) and records.kinds[record] in KINDS
    ]
    return sorted(places, key=lambda place: (order[place["kind"]], place["title"].casefold(), place["record"]))
