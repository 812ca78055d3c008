"""One change, as a device sends it: its parts are checked here before anything is decided about it."""

from __future__ import annotations

import hashlib
import json
import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from ..survey.errors import Problem
from ..survey.fields import FieldSpec, FieldType
from ..survey.kinds import KINDS, RecordKind
from ..survey.validation import check_field, check_value, find_kind, is_id
from .schemas import check_by_schema

#: The reserved field that deletes a record (true), brings it back or makes an empty one (false).
DELETED = "deleted"
DELETED_SPEC = FieldSpec(name=DELETED, label="Deleted", type=FieldType.YES_NO)
_MOMENT_SPEC = FieldSpec(name="made_at", label="Made at", type=FieldType.MOMENT)

_NO_MOMENT = Problem("not_a_moment", "Made at: expected a moment such as 2026-03-31T14:05:00Z.", "made_at")
_NOT_DELETED = Problem("not_yes_or_no", "Deleted: expected yes or no (true or false).", DELETED)

MAX_CHANGES = 1000
#: Changes of one field that were sent without an answer before the person said it anew; a phone names the newest of them.
MAX_REPLACED = 100
MAX_EPOCH = 64
#: Values are lists of rows at most; anything deeper is no survey.
MAX_DEPTH = 8
#: Revisions are 64-bit whole numbers in the database.
_HIGHEST = 2**63 - 1
_ENCODER = json.JSONEncoder(ensure_ascii=True, allow_nan=False, separators=(",", ":"))
_UUID = re.compile(r"[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}")


def is_change_id(value: Any) -> bool:
    """Say whether `value` can be the id of a change: a UUID in small letters."""
    return isinstance(value, str) and _UUID.fullmatch(value) is not None


def as_json(value: Any) -> str:
    """Return the JSON text of a value in the one form we store and compare; plain ASCII, so every database takes it."""
    kind = type(value)
    # The encoder sets itself up anew for every value; most are a number, whose text it takes from Python.
    if kind is int or (kind is float and math.isfinite(value)):
        return repr(value)
    if kind is bool:
        return "true" if value else "false"
    return "null" if value is None else _ENCODER.encode(value)


#: The fingerprint of a line that stands for whatever is sent under its id.
ANY_CONTENT = ""


@dataclass(slots=True)
class IncomingChange:
    """A change with its parts in order; ``problem`` says why it cannot stand, if it cannot.

    ``kind``, ``record``, ``field`` and ``made_at`` of a refused change are whatever was sent, made fit for the
    database; ``value_json`` is the value byte for byte in meaning.
    """

    id: str
    kind: str
    record: str
    field: str
    value: Any
    value_json: str
    seen: int
    #: The life of the database that ``seen`` was counted in; None for the present one.
    epoch: str | None
    #: Changes of this field that the device sent without hearing an answer, and that this one takes the place of.
    replaces: tuple[str, ...]
    resolves: bool
    made_at: str
    fingerprint: str
    problem: Problem | None


def read_change(item: Mapping[str, Any]) -> IncomingChange:
    """Read one change whose ``id`` is known to be one; what is wrong with the rest becomes its problem."""
    kind_name: Any
    record: Any
    field: Any
    made_at: Any
    kind_name, record, field, value = item.get("kind"), item.get("record"), item.get("field"), item.get("value")
    seen, resolves, made_at = item.get("seen", 0), item.get("resolves", False), item.get("made_at")
    value_json = as_json(value)
    parts = (kind_name, record, field, seen, resolves)
    content = "\0".join([*[part if isinstance(part, str) else as_json(part) for part in parts], value_json])
    epoch, replaces = item.get("epoch"), item.get("replaces", [])
    problem = _find_problem(kind_name, record, field, value, seen, resolves, made_at)
    if problem is None and (epoch is not None or replaces != []):
        problem = _find_odd_part(epoch, replaces, f"{kind_name}/{record}")
    is_sound = problem is None
    return IncomingChange(
        id=item["id"],
        kind=kind_name if is_sound else _storable(kind_name),
        record=record if is_sound else _storable(record),
        field=field if is_sound else _storable(field),
        value=value,
        value_json=value_json,
        seen=seen if is_sound or _is_revision(seen) else 0,
        epoch=epoch if isinstance(epoch, str) else None,
        replaces=tuple(replaces) if replaces and _are_replaced(replaces) else (),
        resolves=resolves is True,
        made_at=made_at if is_sound else _storable(made_at),
        fingerprint=hashlib.sha256(content.encode(errors="surrogatepass")).hexdigest(),
        problem=problem,
    )


def _find_problem(
    kind_name: Any, record: Any, field: Any, value: Any, seen: Any, resolves: Any, made_at: Any
) -> Problem | None:
    kind = KINDS.get(kind_name) if isinstance(kind_name, str) else None
    if kind is not None and is_id(record) and _is_revision(seen) and isinstance(resolves, bool):
        problem = check_value(_MOMENT_SPEC, made_at) if made_at is not None else _NO_MOMENT
        problem = problem or _check_field(kind, field, value, record)
        return problem and Problem(problem.code, problem.message, problem.field, f"{kind.name}/{record}")
    where = f"{_storable(kind_name)}/{_storable(record)}"
    unknown = find_kind(kind_name, where)
    if isinstance(unknown, Problem):
        return unknown
    if not is_id(record):
        return Problem("not_an_id", "The record needs an id of small letters, figures and hyphens.", "record", where)
    if not _is_revision(seen):
        return Problem("not_a_revision", "Expected the whole number of the revision seen, 0 for none.", "seen", where)
    return Problem("not_yes_or_no", "Expected true or false.", "resolves", where)


def _find_odd_part(epoch: Any, replaces: Any, where: str) -> Problem | None:
    if epoch is not None and not (isinstance(epoch, str) and len(epoch) <= MAX_EPOCH):
        return Problem(
            "not_an_epoch", "Expected the epoch in which the revision was seen, as the office named it.", "epoch", where
        )
    if not _are_replaced(replaces):
        return Problem(
            "not_ids",
            f"Expected a list of at most {MAX_REPLACED} ids of changes that this one takes the place of.",
            "replaces",
            where,
        )
    return None


def _are_replaced(value: Any) -> bool:
    return isinstance(value, list) and len(value) <= MAX_REPLACED and all(map(is_change_id, value))


def _check_field(kind: RecordKind, field: Any, value: Any, record: str) -> Problem | None:
    if field == DELETED:
        return _NOT_DELETED if value is None else check_value(DELETED_SPEC, value)
    if not isinstance(field, str) or not kind.has(field):
        return check_field(kind, field, value, record)
    return check_by_schema(kind, field, value)


def _is_revision(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and 0 <= value <= _HIGHEST


def _storable(value: Any) -> str:
    """Return something that every database takes as text and that a person still recognises."""
    written = value if isinstance(value, str) else as_json(value)
    return "".join(character if character.isprintable() else "\N{REPLACEMENT CHARACTER}" for character in written[:120])


def is_too_deep(item: dict[str, Any]) -> bool:
    """Say whether lists and objects are nested in a change more deeply than any survey needs."""
    level: list[Any] = [part for part in item.values() if isinstance(part, (list, dict))]
    for _ in range(MAX_DEPTH):
        if not level:
            return False
        level = [
            part
            for outer in level
            for part in (outer.values() if isinstance(outer, dict) else outer)
            if isinstance(part, (list, dict))
        ]
    return True
