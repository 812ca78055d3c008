"""Proof that what is stored is what the log adds up to."""

from __future__ import annotations

import json

from sqlalchemy import bindparam, select
from sqlalchemy.orm import Session

from ..models import Change, Contest, StoredRecord, StoredSurvey
from .state import SurveyState, read_state, same

_LOG = Change.__table__
_WHOLE_LOG = select(_LOG).where(_LOG.c.survey_id == bindparam("survey"), _LOG.c.revision.is_not(None)).order_by(_LOG.c.revision)
_RECORDS = select(StoredRecord.__table__).where(StoredRecord.__table__.c.survey_id == bindparam("survey"))
_CONTESTS = select(Contest.__table__).where(Contest.__table__.c.survey_id == bindparam("survey"))
_REVISION = select(StoredSurvey.__table__.c.revision).where(StoredSurvey.__table__.c.id == bindparam("survey"))


def replay(session: Session, survey_id: str) -> tuple[SurveyState, int, list[str]]:
    """Return the state that a survey's log adds up to, its last revision, and what is wrong with the log itself."""
    state, reached, faults = SurveyState(), 0, []
    for change in session.connection().execute(_WHOLE_LOG, {"survey": survey_id}):
        if change.revision != reached + 1:
            faults.append(f"revision {reached + 1} is missing before {change.revision}")
        reached = change.revision
        what = {"kind": change.kind, "record": change.record_id, "name": change.field, "value": json.loads(change.value_json)}
        if change.said_json is None and state.taken(**what) is not what["value"]:
            faults.append(f"revision {change.revision} says no more than the room's box, and counts as a size of its own")
        is_contested = state.apply(
            **what, seen=change.seen,
            resolves=change.resolves, device=change.device, revision=change.revision,
        )
        if is_contested != change.is_contested:
            faults.append(f"revision {change.revision} was {'' if change.is_contested else 'not '}contested when it came")
    return state, reached, faults


def verify_survey(session: Session, survey_id: str) -> list[str]:
    """Return what differs between a survey's stored state and its log, in plain words; nothing when all is well."""
    state, reached, faults = replay(session, survey_id)
    stands = session.connection().execute(_REVISION, {"survey": survey_id}).scalar_one()
    if stands != reached:
        faults.append(f"the survey stands at revision {stands}, its log at {reached}")
    records = {
        row.id: read_state(row.kind, row.made_revision, row.is_deleted, row.values_json, row.marks_json)
        for row in session.connection().execute(_RECORDS, {"survey": survey_id})
    }
    faults += [f"record {record} differs from its log" for record in same(records, state.records)]
    contests = {
        (row.record_id, row.field): json.loads(row.revisions_json)
        for row in session.connection().execute(_CONTESTS, {"survey": survey_id})
    }
    for key in sorted({*contests, *state.contests}):
        if contests.get(key, []) != [side.revision for side in state.contests.get(key, ())]:
            faults.append(f"the contest over {'/'.join(key)} differs from its log")
    return faults


def verify_all(session: Session) -> dict[str, list[str]]:
    """Return the faults of every survey in the database, by the survey's id."""
    return {survey_id: verify_survey(session, survey_id) for survey_id in session.scalars(select(StoredSurvey.id).order_by(StoredSurvey.id))}
