"""What is still missing from a survey, and what is spoilt by it.

The phone works the same list out offline from the survey model (``pwa/src/domain/gaps.ts``); golden
files under ``tests/golden/gaps`` hold both to the same answers.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from .box import is_followed
from .building import Room, Surface
from .document import Survey
from .fields import AT_OFFICE, FieldSpec
from .holders import FIRM_LIST
from .kinds import KINDS, OFFICE_STAGE, AskedBy, Expectation, RecordKind
from .purposes import HEAT_LOSS
from .sides import EDGE, EDGE_NOT_SAID, SIDE_LEFT, SIDE_NOT_SAID, WALLS_LEFT, Hole, holes_in, met_by_room
from .walk import ASKED_BY, EXPECTATIONS, REPLACED_BY, STAGES

ANSWER, RECORD = "answer", "record"
#: What each hole of a room is called, behind the side that it is about, and what it spoils.
HOLE_WORDS = {
    SIDE_NOT_SAID: ("what is beyond it", "Until it is said the room loses less on paper than it does."),
    SIDE_LEFT: ("the rest of it", "Until it is said the room loses less on paper than it does."),
    EDGE_NOT_SAID: ("Length of its walls all round", "Without it nobody can see whether a wall is missing."),
    WALLS_LEFT: ("A wall that is not said", "Until it is said the room loses less on paper than it does."),
}


@dataclass(frozen=True)
class Gap:
    """One thing that is missing: where it is met on the walk, and what it spoils.

    ``record`` and ``field`` are None for a record that is missing as a whole; ``parent`` is then the id
    of the record it belongs to (a room without an emitter). ``code`` says what is missing: a record, an answer, or what keeps a room from
    closing (``sides.py``), then with the ``side`` it is about.
    """

    stage: str
    kind: str
    record: str | None
    field: str | None
    parent: str | None
    purpose: str
    words: str
    spoils: str
    code: str = ANSWER
    side: str | None = None


def _matches(values: Mapping[str, Any], where: tuple[tuple[str, Any], ...]) -> bool:
    return all(values.get(name) == wanted for name, wanted in where)


def _with_defaults(kind_name: str, values: Mapping[str, Any]) -> dict[str, Any]:
    defaults = {spec.name: spec.default for spec in KINDS[kind_name].fields if spec.default is not None}
    return {**defaults, **values}


def stage_of(kind: RecordKind, spec: FieldSpec) -> str:
    """Return the stage at which a missing answer is a gap: the office's for what is answered there, whatever record it belongs to."""
    return OFFICE_STAGE if spec.answered == AT_OFFICE else kind.stage


def _missing_fields(survey: Survey) -> list[Gap]:
    gaps = []
    rooms = {room.id: room.values() for room in survey.of_kind(Room)}
    for record in survey:
        if record.kind.has(FIRM_LIST) and getattr(record, FIRM_LIST):
            continue  # What the firm's list does not say is asked in the list, once for every survey.
        values = _with_defaults(record.kind.name, record.values())
        room = rooms.get(record.room or "") if isinstance(record, Surface) else None
        # What a survey has once is known by its kind: the household's whole address in each gap would hide what is asked.
        title = record.kind.label if record.kind.single else record.kind.title_of(values)
        for spec in record.kind.fields:
            if not spec.needed_for or values.get(spec.name) not in (None, "", []) or not spec.is_asked(values):
                continue
            if _is_replaced(record.kind.name, spec.name, values):
                continue
            if room is not None and is_followed(spec.name, values, room):
                continue
            purpose = spec.needed_for[0]
            words = f"{title}: {spec.label}"
            gaps.append(
                Gap(
                    stage_of(record.kind, spec),
                    record.kind.name,
                    record.id,
                    spec.name,
                    None,
                    purpose.name,
                    words,
                    spec.spoils or purpose.spoils,
                )
            )
    return gaps


def _is_replaced(kind: str, field: str, values: Mapping[str, Any]) -> bool:
    """Say whether another answer stands in for this one."""
    return any(values.get(other) is not None for other in REPLACED_BY.get(kind, {}).get(field, ()))


def _missing_records(survey: Survey, expected: Expectation) -> list[Gap]:
    found = [
        item
        for item in survey.records_named(expected.kind)
        if _matches(_with_defaults(expected.kind, item.values()), expected.where)
    ]
    stage, kind, purpose = KINDS[expected.kind].stage, expected.kind, expected.purpose.name
    if expected.per is None:
        if len(found) >= expected.at_least:
            return []
        return [Gap(stage, kind, None, None, None, purpose, expected.words, expected.spoils, code=RECORD)]
    link = expected.link or KINDS[kind].parent
    gaps = []
    for owner in survey.records_named(expected.per):
        values = _with_defaults(expected.per, owner.values())
        if not all(values.get(name) in allowed for name, allowed in expected.per_where):
            continue
        linked = [item for item in found if link and getattr(item, link) == owner.id]
        if len(linked) < expected.at_least:
            words = f"{owner.kind.title_of(values)}: {expected.words}"
            gaps.append(Gap(stage, kind, None, None, owner.id, purpose, words, expected.spoils, code=RECORD))
    return gaps


def _asked_fields(survey: Survey, asked: AskedBy) -> list[Gap]:
    """Return the field as a gap of each of its records, if something in the survey asks for it."""
    askers = {item.id: _with_defaults(asked.by, item.values()) for item in survey.records_named(asked.by)}
    asking = {
        id
        for id, values in askers.items()
        if all(values.get(name) in allowed for name, allowed in asked.where)
        and all(values.get(name) is None for name in asked.unless)
    }
    if not asking:
        return []
    spec = KINDS[asked.kind].field(asked.field)
    return [
        Gap(
            stage_of(KINDS[asked.kind], spec),
            asked.kind,
            item.id,
            asked.field,
            None,
            asked.purpose.name,
            f"{item.kind.title_of(_with_defaults(asked.kind, item.values()))}: {spec.label}",
            asked.spoils,
        )
        for item in survey.records_named(asked.kind)
        if getattr(item, asked.field) is None
        and spec.is_asked(_with_defaults(asked.kind, item.values()))
        and (asked.link is None or getattr(item, asked.link) in asking)
    ]


def _holes(survey: Survey) -> list[Gap]:
    """Return what keeps each room from closing."""
    met = met_by_room(survey)
    return [_hole_gap(room, hole) for room in survey.of_kind(Room) for hole in holes_in(room, met[room.id])]


def _hole_gap(room: Room, hole: Hole) -> Gap:
    words, spoils = HOLE_WORDS[hole.code]
    of = "" if hole.side is None else f"{Surface.kind.field('side').choice_label(hole.side)}, "
    field = EDGE if hole.code == EDGE_NOT_SAID else None
    return Gap(
        stage=room.kind.stage,
        kind=room.kind.name,
        record=room.id,
        field=field,
        parent=None,
        purpose=HEAT_LOSS.name,
        words=f"{room.title}: {of}{words}",
        spoils=spoils,
        code=hole.code,
        side=hole.side,
    )


def find_gaps(survey: Survey) -> tuple[Gap, ...]:
    """Return every gap in the order of the walk: by stage, missing records before missing answers."""
    order = {stage.name: place for place, stage in enumerate(STAGES)}
    gaps = [gap for expected in EXPECTATIONS if not expected.is_wish for gap in _missing_records(survey, expected)]
    gaps += _missing_fields(survey)
    gaps += _holes(survey.measured())
    # Two reasons to ask for an answer are one gap.
    gaps += dict.fromkeys(gap for asked in ASKED_BY for gap in _asked_fields(survey, asked))
    return tuple(sorted(gaps, key=lambda gap: order[gap.stage]))
