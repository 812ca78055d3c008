"""What a log of changes adds up to: pure rules, used when changes arrive and again when the log is verified."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from ..survey.box import BOX, SIZES, is_same, size_without
from .changes import DELETED, as_json


@dataclass(slots=True)
class RecordState:
    """The present state of one record.

    ``marks`` holds, for each field that was ever set, the revision and the device of its last change.
    """

    kind: str
    made_revision: int
    values: dict[str, Any] = field(default_factory=dict)
    marks: dict[str, tuple[int, str]] = field(default_factory=dict)
    is_deleted: bool = False

    def value_of(self, name: str) -> Any:
        """Return the present value of a field, the reserved one included."""
        return self.is_deleted if name == DELETED else self.values.get(name)

    def values_json(self) -> str:
        """Return the values as they are stored."""
        return as_json(self.values)

    def marks_json(self) -> str:
        """Return the marks as they are stored."""
        return as_json(self.marks)


def read_state(kind: str, made_revision: int, is_deleted: bool, values_json: str, marks_json: str) -> RecordState:
    """Return the state that the parts of a stored record stand for."""
    marks = {name: (revision, device) for name, (revision, device) in json.loads(marks_json).items()}
    return RecordState(kind, made_revision, json.loads(values_json), marks, is_deleted)


@dataclass(frozen=True, slots=True)
class Side:
    """What one change of a contest says: its revision, the device it came from, its value."""

    revision: int
    device: str
    value_json: str


def side_of(contested_field: str, *, revision: int, device: str, field: str, value_json: str) -> Side:
    """Return the side that a change takes; to a deletion, every edit says that the record is there."""
    return Side(revision, device, value_json if field == contested_field else as_json(False))


@dataclass(slots=True)
class SurveyState:
    """Records by id, and open contests: the sides that compete for a field, by record and field.

    ``touched`` names the records and ``touched_contests`` the contests that changed since the state was read.
    """

    records: dict[str, RecordState] = field(default_factory=dict)
    contests: dict[tuple[str, str], list[Side]] = field(default_factory=dict)
    touched: dict[str, None] = field(default_factory=dict)
    touched_contests: dict[tuple[str, str], None] = field(default_factory=dict)

    def taken(self, *, kind: str, record: str, name: str, value: Any) -> Any:
        """Return what a change that arrives now counts as: None for a size of a side that says no more than its room's box.

        Such a side follows the box, also when the box gets another size later; one that differs stays as it was said. Where people
        contest the box's size, each of theirs is one that a side may have been given with it.
        """
        if kind != "surface" or name not in SIZES or value is None or record not in self.records:
            return value
        surface = self.records[record].values
        room_id = surface.get("room")
        room = self.records.get(room_id) if isinstance(room_id, str) else None
        if room is None or room.kind != "room":
            return value
        told = [room.values]
        for of in BOX:
            told += [
                {**room.values, of: json.loads(side.value_json)} for side in self.contests.get((str(room_id), of), ())
            ]
        return None if any(is_same(value, size_without(name, surface, values)) for values in told) else value

    def apply(
        self, *, kind: str, record: str, name: str, value: Any, seen: int, resolves: bool, device: str, revision: int
    ) -> bool:
        """Apply one sound change and say whether it leaves its field contested.

        The newest change always shows.  It is contested when the field had moved past what the device had
        seen, by another device's hand and to another value. It stays so until a person picks, by a change that
        resolves and has seen the field's present revision, or until all sides have come to say the same.
        """
        state = self.records.get(record)
        if state is None:
            state = self.records[record] = RecordState(kind, revision)
        self.touched[record] = None
        mark = state.marks.get(name)
        key = (record, name)
        is_contested = key in self.contests
        if resolves and mark is not None and seen >= mark[0]:
            is_contested = False
            if self.contests.pop(key, None) is not None:
                self.touched_contests[key] = None
        elif (
            mark is not None
            and mark[0] > seen
            and mark[1] != device
            and (present := as_json(state.value_of(name))) != as_json(value)
        ):
            is_contested = True
            self.contests.setdefault(key, [Side(*mark, present)])
        if is_contested:
            is_contested = self._take_side(key, Side(revision, device, as_json(value)))
        is_contested |= name != DELETED and self._contest_deletion(state, record, device, revision)
        state.marks[name] = (revision, device)
        if name == DELETED:
            state.is_deleted = value
        elif value is None:
            state.values.pop(name, None)
        else:
            state.values[name] = value
        return is_contested

    def _contest_deletion(self, state: RecordState, record: str, device: str, revision: int) -> bool:
        """Contest a deletion that the device of this edit cannot have known of, or it would not have edited."""
        if not state.is_deleted or state.marks[DELETED][1] == device:
            return False
        key = (record, DELETED)
        self.contests.setdefault(key, [Side(*state.marks[DELETED], as_json(True))])
        return self._take_side(key, Side(revision, device, as_json(False)))

    def _take_side(self, key: tuple[str, str], side: Side) -> bool:
        """Add a side to a contest, and say whether it is still one: not when every device's newest word is the same."""
        sides = self.contests[key]
        sides.append(side)
        self.touched_contests[key] = None
        newest = {each.device: each.value_json for each in sides}
        if len(set(newest.values())) == 1:
            del self.contests[key]
            return False
        return True


def same(one: Mapping[str, RecordState], other: Mapping[str, RecordState]) -> list[str]:
    """Return the ids of the records that differ between two states."""
    return sorted(record for record in {*one, *other} if one.get(record) != other.get(record))
