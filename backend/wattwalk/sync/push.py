"""Changes arriving: each is accepted with the survey's next revision, or refused and kept; a repeat is answered as before."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import (
    ARRAY,
    ColumnElement,
    Connection,
    Insert,
    Text,
    any_,
    bindparam,
    insert,
    select,
    true,
    update,
)

from ..database import now, writing
from ..models import Change, Contest, Instance, StoredRecord, StoredSurvey
from ..survey.box import SIZES
from ..survey.errors import Problem, SurveyError
from ..survey.holders import SURVEY
from ..survey.kinds import KINDS
from ..survey.known import known
from ..survey.validation import is_id
from .changes import ANY_CONTENT, MAX_CHANGES, IncomingChange, as_json, is_change_id, is_too_deep, read_change
from .contests import put_contest
from .errors import NoSuchSurveyError
from .listing import next_place
from .logs import book_of
from .sight import OF_SURVEY, Sight
from .state import Side, SurveyState, read_state, side_of

# The tables by themselves: objects and their bookkeeping would take longer than all the rest.
_LOG, _RECORD, _CONTEST, _SURVEY = Change.__table__, StoredRecord.__table__, Contest.__table__, StoredSurvey.__table__
#: A record's new state, put in or written over what was there: PostgreSQL takes all of a batch as lists, in one question.
_PUT = "ON CONFLICT (survey_id, id) DO UPDATE SET is_deleted = excluded.is_deleted, values_json = excluded.values_json, marks_json = excluded.marks_json"
_PUT_RECORDS = (
    "INSERT INTO record (survey_id, id, kind, made_revision, is_deleted, values_json, marks_json) SELECT %(survey)s, put.* FROM unnest("
    f"%(id)s::text[], %(kind)s::text[], %(made)s::bigint[], %(deleted)s::boolean[], %(values)s::text[], %(marks)s::text[]) AS put {_PUT}"
)
_PUT_RECORD = (
    "INSERT INTO record (survey_id, id, kind, made_revision, is_deleted, values_json, marks_json) "
    f"VALUES (:survey, :id, :kind, :made, :deleted, :values, :marks) {_PUT}"
)
_COLUMNS = tuple(column.name for column in _LOG.columns)
#: A line of the log as SQLite's driver takes it.
_PUT_LINE = f"INSERT INTO change ({', '.join(_COLUMNS)}) VALUES ({', '.join(f':{name}' for name in _COLUMNS)})"
_INSTANCE = Instance.__table__
_FIND_EPOCH = select(_INSTANCE.c.epoch)
#: The survey's row, locked, and beside it how the database's lives are called.
_FIND_SURVEY = (
    select(
        _SURVEY.c.firm_id,
        _SURVEY.c.scope,
        _SURVEY.c.revision,
        _SURVEY.c.shared_revision,
        _INSTANCE.c.epoch,
        _INSTANCE.c.epoch_before,
    )
    .join_from(_SURVEY, _INSTANCE, true())
    .where(_SURVEY.c.id == bindparam("survey"))
    .with_for_update(of=_SURVEY)
)
_FIND_CONTESTS = select(_CONTEST.c.record_id, _CONTEST.c.field, _CONTEST.c.revisions_json).where(
    _CONTEST.c.survey_id == bindparam("survey")
)
_FIND_UNSETTLED = select(_LOG.c.id, _LOG.c.record_id, _LOG.c.field).where(
    _LOG.c.survey_id == bindparam("survey"), _LOG.c.is_settled.is_(False)
)
#: The problem of a change that was replaced before it came.
_REPLACED = "replaced"
#: From so many lines on, PostgreSQL is asked to copy them in.
_WORTH_COPYING = 10
_MOVE_SURVEY = (
    update(_SURVEY)
    .where(_SURVEY.c.id == bindparam("survey"))
    .values(revision=bindparam("reached"), changed_at=bindparam("at"), moved=bindparam("place"))
)


@dataclass(slots=True)
class Result:
    """The answer to one change: where it stands in the log, or why it does not."""

    id: str
    status: str
    revision: int | None
    contested: bool
    problem: Mapping[str, Any] | None

    def as_dict(self) -> dict[str, Any]:
        """Return the answer as the API gives it."""
        return {
            "id": self.id,
            "status": self.status,
            "revision": self.revision,
            "contested": self.contested,
            "problem": self.problem,
        }


@dataclass(frozen=True)
class Pushed:
    """The answer to a batch: the database's epoch, the revision that the survey has reached, a result per change in the order sent."""

    epoch: str
    revision: int
    results: tuple[Result, ...]


def read_batch(device: Any, items: Any) -> list[IncomingChange]:
    """Check the envelope of a batch and read its changes.

    Raises
    ------
    SurveyError
        When the device has no usable name, the batch is no list or too long, or an item has no id to be answered by.
    """
    problems = []
    if not isinstance(device, str) or not 1 <= len(device) <= 64 or not device.isprintable():
        problems.append(
            Problem("not_a_device", "Expected the device's own name, 1 to 64 printable characters.", "device")
        )
    if not isinstance(items, list):
        raise SurveyError([*problems, Problem("not_a_list", "Expected a list of changes.", "changes")])
    if len(items) > MAX_CHANGES:
        raise SurveyError(
            [
                *problems,
                Problem("too_many", f"Found {len(items)} changes, at most {MAX_CHANGES} fit in one batch.", "changes"),
            ]
        )
    for place, item in enumerate(items):
        if not isinstance(item, dict) or not is_change_id(item.get("id")):
            problems.append(
                Problem("not_an_id", "Expected a change with an id, a UUID in small letters.", f"changes.{place}.id")
            )
        elif is_too_deep(item):
            problems.append(
                Problem("too_deep", "Expected a value that is not nested so deeply.", f"changes.{place}.value")
            )
    if problems:
        raise SurveyError(problems)
    return [read_change(item) for item in items]


def push(
    *,
    firm_id: str,
    user_id: str | None,
    survey_id: str,
    device: str,
    changes: Sequence[IncomingChange],
    epoch: str | None = None,
    sight: Sight = OF_SURVEY,
) -> Pushed:
    """Take a batch of changes into a log, in one transaction; the first one makes it. `sight` says whose log it is and who writes.

    A batch that was sent in another `epoch` is not taken, and its answer names none of it: it may be a request that a phone gave
    up long ago. A phone that still means it learns of the present epoch, and sends it anew.

    Raises
    ------
    NoSuchSurveyError
        When the survey belongs to another firm, or does not exist and no change makes it.
    """
    with writing() as session:
        connection = session.connection()
        if epoch is not None and epoch != (present := connection.execute(_FIND_EPOCH).scalar_one()):
            return Pushed(present, 0, ())
        stands = _lock_survey(connection, firm_id, survey_id, sight, may_make=bool(changes))
        intake = _Intake(connection, firm_id, survey_id, device, user_id, stands, changes, sight=sight)
        results = tuple(intake.take(change) for change in changes)
        intake.store()
        return Pushed(stands.epoch, intake.revision, results)


@dataclass(frozen=True, slots=True)
class _Standing:
    """Where a survey stands when a batch comes, and how its revisions go together with those of the life before."""

    revision: int
    #: Up to this revision the log is the same in this life of the database and in the one before.
    shared_revision: int
    epoch: str
    epoch_before: str | None

    def seen(self, change: IncomingChange) -> int:
        """Return what a device had seen as a revision of this life; what it saw in another one may be anything here."""
        if change.epoch in (None, self.epoch):
            return change.seen if change.seen <= self.revision else 0
        if change.epoch != self.epoch_before:
            return 0
        if change.seen <= self.shared_revision:
            return change.seen
        # Beyond what both lives share it may have been the device's own word, and what stood under that it need not have seen.
        # Who picks has seen both sides.
        return self.shared_revision if change.resolves else 0


def _lock_survey(connection: Connection, firm_id: str, survey_id: str, sight: Sight, *, may_make: bool) -> _Standing:
    """Lock the log's row, made when it is not there, and return where it stands."""
    found = connection.execute(_FIND_SURVEY, {"survey": survey_id}).one_or_none()
    if found is None and may_make and (is_id(survey_id) if sight.holder == SURVEY else survey_id == book_of(firm_id)):
        made = {
            "id": survey_id,
            "firm_id": firm_id,
            "scope": sight.holder,
            "revision": 0,
            "shared_revision": 0,
            "made_at": now(),
            "changed_at": now(),
        }
        _insert_unless_there(connection, made)
        found = connection.execute(_FIND_SURVEY, {"survey": survey_id}).one_or_none()
    if found is None or found.firm_id != firm_id or found.scope != sight.holder:
        raise NoSuchSurveyError(survey_id)
    return _Standing(found.revision, found.shared_revision, found.epoch, found.epoch_before)


def _insert_unless_there(connection: Connection, survey: dict[str, Any]) -> None:
    # Two phones may send the first change of a survey at once; the later one finds it made.
    put: Insert
    if connection.dialect.name == "postgresql":
        from sqlalchemy.dialects import postgresql

        put = postgresql.insert(_SURVEY).values(survey).on_conflict_do_nothing()
    else:
        from sqlalchemy.dialects import sqlite

        put = sqlite.insert(_SURVEY).values(survey).on_conflict_do_nothing()
    connection.execute(put)


class _Intake:
    """A batch on its way into the log: all that is read is read once, all that is written is written once."""

    def __init__(
        self,
        connection: Connection,
        firm_id: str,
        survey_id: str,
        device: str,
        user_id: str | None,
        stands: _Standing,
        changes: Sequence[IncomingChange],
        *,
        sight: Sight,
    ) -> None:
        self._firm_id, self._sight = firm_id, sight
        self.revision = stands.revision
        self._stands = stands
        self._connection, self._survey_id, self._device, self._user_id = connection, survey_id, device, user_id
        self._received_at: datetime = now()
        self._known = self._read_known({id for change in changes for id in (change.id, *change.replaces)})
        sound = [change for change in changes if change.problem is None]
        self._state = SurveyState(contests=self._read_contests())
        self._read_records({change.record for change in sound})
        self._read_rooms(sound)
        self._singles = self._read_singles({change.kind for change in changes if change.problem is None})
        self._logged: list[dict[str, Any]] = []
        self._set_fields: set[tuple[str, str]] = set()

    def take(self, change: IncomingChange) -> Result:
        """Decide about one change and remember what is to be stored."""
        known = self._known.get(change.id)
        if known is not None:
            return self._repeat(change, *known)
        for id in change.replaces:
            self._spend(id, change)
        # From here on, in the log too, it is the revision of this life that was seen.
        change.seen = self._stands.seen(change)
        problem = change.problem or self._find_clash(change)
        is_contested, taken = False, change.value
        if problem is None:
            self.revision += 1
            taken = self._state.taken(kind=change.kind, record=change.record, name=change.field, value=change.value)
            is_contested = self._state.apply(
                kind=change.kind,
                record=change.record,
                name=change.field,
                value=taken,
                seen=change.seen,
                resolves=change.resolves,
                device=self._device,
                revision=self.revision,
            )
            self._set_fields.add((change.record, change.field))
            if KINDS[change.kind].single:
                if self._state.records[change.record].is_deleted:
                    self._singles[change.kind].discard(change.record)
                else:
                    self._singles[change.kind].add(change.record)
        result = Result(
            change.id,
            "refused" if problem else "accepted",
            None if problem else self.revision,
            is_contested,
            problem.as_dict() if problem else None,
        )
        self._known[change.id] = (change.fingerprint, result)
        line = self._log_line(change, result)
        if taken is not change.value:
            line |= {"value_json": as_json(taken), "said_json": change.value_json}
        self._logged.append(line)
        return result

    def _spend(self, id: str, change: IncomingChange) -> None:
        """Keep the id of a change that `change` takes the place of, unless it has come: should it come later, it counts no more."""
        if id in self._known or id == change.id:
            return
        words = "This phone has said something newer about this field since."
        problem = Problem(_REPLACED, words, change.field, f"{change.kind}/{change.record}").as_dict()
        result = Result(id, "refused", None, False, problem)
        self._known[id] = (ANY_CONTENT, result)
        # What it said is not known, only that it was replaced: nobody has to see to it.
        self._logged.append(
            {
                **self._log_line(change, result),
                "id": id,
                "value_json": "null",
                "fingerprint": ANY_CONTENT,
                "is_settled": True,
            }
        )

    def _repeat(self, change: IncomingChange, fingerprint: str, result: Result) -> Result:
        if fingerprint in (change.fingerprint, ANY_CONTENT):
            return result
        words = "This change's id was used before for another change; send it under an id of its own."
        return Result(
            change.id,
            "refused",
            None,
            False,
            Problem("id_used_twice", words, change.field, f"{change.kind}/{change.record}").as_dict(),
        )

    def _find_clash(self, change: IncomingChange) -> Problem | None:
        """Say what is wrong with a sound change in the light of whose log it is, who writes and what is stored."""
        if refusal := self._sight.find_refusal(change):
            return refusal
        where = f"{change.kind}/{change.record}"
        kind = KINDS[change.kind]
        state = self._state.records.get(change.record)
        if state is not None and state.kind != change.kind:
            words = f"The id belongs to a record of kind {state.kind}; a {kind.label.lower()} needs an id of its own."
            return Problem("other_kind", words, None, where)
        if kind.single and self._singles[change.kind] - {change.record}:
            words = f"The survey has its one record of kind {change.kind} already: {', '.join(sorted(self._singles[change.kind]))}. Change that one."
            # Deleting the second one is how a person gets out of it.
            if not (change.field == "deleted" and change.value is True):
                return Problem("too_many", words, change.field, where)
        return None

    def _log_line(self, change: IncomingChange, result: Result) -> dict[str, Any]:
        return {
            "survey_id": self._survey_id,
            "id": change.id,
            "revision": result.revision,
            "kind": change.kind,
            "record_id": change.record,
            "field": change.field,
            "value_json": change.value_json,
            "said_json": None,
            "seen": change.seen,
            "resolves": change.resolves,
            "device": self._device,
            "user_id": self._user_id,
            "made_at": change.made_at,
            "received_at": self._received_at,
            "fingerprint": change.fingerprint,
            "is_contested": result.contested,
            "problem_json": json.dumps(result.problem) if result.problem else None,
            "is_settled": result.problem is None,
        }

    def _read_known(self, ids: set[str]) -> dict[str, tuple[str, Result]]:
        columns = _LOG.c
        query = select(columns.id, columns.fingerprint, columns.revision, columns.is_contested, columns.problem_json)
        known = {}
        for id, fingerprint, revision, is_contested, problem in self._execute(
            query.where(columns.survey_id == self._survey_id, self._among(columns.id, ids))
        ):
            status = "accepted" if problem is None else "refused"
            known[id] = (
                fingerprint,
                Result(id, status, revision, is_contested, json.loads(problem) if problem else None),
            )
        return known

    def _read_records(self, ids: set[str]) -> None:
        columns = _RECORD.c
        query = select(
            columns.id, columns.kind, columns.made_revision, columns.is_deleted, columns.values_json, columns.marks_json
        )
        for id, *parts in self._execute(
            query.where(columns.survey_id == self._survey_id, self._among(columns.id, ids))
        ):
            self._state.records[id] = read_state(*parts)

    def _read_rooms(self, changes: Sequence[IncomingChange]) -> None:
        """Read the rooms whose sides are given a size, since what that counts as depends on the room's own."""
        of_surfaces = [change for change in changes if change.kind == "surface"]
        sized = {change.record for change in of_surfaces if change.field in SIZES}
        rooms = {change.value for change in of_surfaces if change.field == "room" and change.record in sized}
        rooms |= {self._state.records[id].values.get("room") for id in sized if id in self._state.records}
        missing = {id for id in rooms if isinstance(id, str)} - self._state.records.keys()
        if missing:
            self._read_records(missing)

    def _read_contests(self) -> dict[tuple[str, str], list[Side]]:
        found: dict[tuple[str, str], list[Side]] = {}
        contests = {
            (record, field): json.loads(revisions)
            for record, field, revisions in self._execute(_FIND_CONTESTS, {"survey": self._survey_id})
        }
        if contests:
            wanted = {revision for revisions in contests.values() for revision in revisions}
            log = select(_LOG.c.revision, _LOG.c.device, _LOG.c.field, _LOG.c.value_json).where(
                _LOG.c.survey_id == self._survey_id, _LOG.c.revision.in_(sorted(wanted))
            )
            lines = {line.revision: line for line in self._execute(log)}
            for (record, field), revisions in contests.items():
                found[record, field] = [side_of(field, **lines[revision]._mapping) for revision in revisions]
        return found

    def _read_singles(self, kinds: set[str]) -> dict[str, set[str]]:
        """Return, for each kind a survey has once, the records of it that are not deleted."""
        singles: dict[str, set[str]] = {kind: set() for kind in kinds if KINDS[kind].single}
        if singles:
            columns = _RECORD.c
            query = select(columns.kind, columns.id).where(
                columns.survey_id == self._survey_id, columns.kind.in_(sorted(singles)), columns.is_deleted.is_(False)
            )
            for kind, record in self._execute(query):
                singles[kind].add(record)
        return singles

    def _execute(self, query: Any, values: Any = None) -> Any:
        return self._connection.execute(query, values)

    def _among(self, column: ColumnElement[str], ids: Iterable[str]) -> ColumnElement[bool]:
        """Return the condition that a column holds one of the ids, however many they are."""
        # PostgreSQL plans one list as fast as one value, SQLite has no lists but reads parameters without a network.
        if self._connection.dialect.name == "postgresql":
            return column == any_(bindparam(None, sorted(ids), type_=ARRAY(Text)))
        return column.in_(sorted(ids))

    def store(self) -> None:
        """Write the log, the records' new state, the contests and the survey's revision."""
        if not self._logged:
            return
        self._store_log()
        self._store_records()
        self._store_contests()
        self._settle_refused()
        # The book is no line of the list of surveys.
        place = next_place(self._connection, self._firm_id) if self._sight.holder == SURVEY else 0
        self._execute(
            _MOVE_SURVEY, {"survey": self._survey_id, "reached": self.revision, "at": self._received_at, "place": place}
        )

    def _store_log(self) -> None:
        connection = self._connection
        if connection.dialect.name == "sqlite":
            # Whatever is the same in every line is made fit for the driver once, and the lines go to it as they are.
            made_fit = _LOG.c.received_at.type.dialect_impl(connection.dialect).bind_processor(connection.dialect)
            moment = known(made_fit)(self._received_at)
            connection.exec_driver_sql(_PUT_LINE, [{**line, "received_at": moment} for line in self._logged])
        elif len(self._logged) < _WORTH_COPYING:
            connection.execute(insert(_LOG), self._logged)
        else:
            # PostgreSQL takes rows one by one half as fast as by its own way of copying them in.
            with (
                known(connection.connection.driver_connection).cursor() as cursor,
                cursor.copy(f"COPY change ({', '.join(_COLUMNS)}) FROM STDIN") as copy,
            ):
                for line in self._logged:
                    copy.write_row([line[name] for name in _COLUMNS])

    def _store_records(self) -> None:
        states = [(id, self._state.records[id]) for id in self._state.touched]
        if not states:
            return
        records = [
            {
                "id": id,
                "kind": state.kind,
                "made": state.made_revision,
                "deleted": state.is_deleted,
                "values": state.values_json(),
                "marks": state.marks_json(),
            }
            for id, state in states
        ]
        if self._connection.dialect.name == "sqlite":
            self._connection.exec_driver_sql(_PUT_RECORD, [{"survey": self._survey_id, **record} for record in records])
        else:
            lists = {name: [record[name] for record in records] for name in records[0]}
            self._connection.exec_driver_sql(_PUT_RECORDS, {"survey": self._survey_id, **lists})

    def _store_contests(self) -> None:
        for key in self._state.touched_contests:
            put_contest(self._connection, self._survey_id, key, self._state.contests.get(key, ()))

    def _settle_refused(self) -> None:
        """Settle refusals, of this batch and before, whose field was set after all."""
        if not self._set_fields:
            return
        standing = self._refused_last()
        settled = [
            id
            for id, record, field in self._connection.execute(_FIND_UNSETTLED, {"survey": self._survey_id})
            if id not in standing
            and (
                (record, field) in self._set_fields
                or (record in self._state.records and self._state.records[record].is_deleted)
            )
        ]
        if settled:
            self._execute(
                update(_LOG)
                .where(_LOG.c.survey_id == self._survey_id, self._among(_LOG.c.id, settled))
                .values(is_settled=True)
            )

    def _refused_last(self) -> set[str]:
        """Return the refusals of this batch that no later change of the batch made good."""
        set_later: set[tuple[str, str]] = set()
        standing = set()
        for line in reversed(self._logged):
            field = (line["record_id"], line["field"])
            if line["problem_json"] is None:
                set_later.add(field)
            elif field not in set_later:
                standing.add(line["id"])
        return standing
