"""Proof that what is stored is what the log adds up to, and that every photo's bytes are those that came."""

from __future__ import annotations

import json
from dataclasses import dataclass, field

from sqlalchemy import bindparam, select
from sqlalchemy.orm import Session

from ..database import reading
from ..models import Change, Contest, StoredPhoto, StoredRecord, StoredSurvey
from ..photo_store import PhotoStore
from .state import SurveyState, read_state, same

_LOG = Change.__table__
_WHOLE_LOG = (
    select(_LOG).where(_LOG.c.survey_id == bindparam("survey"), _LOG.c.revision.is_not(None)).order_by(_LOG.c.revision)
)
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
        what = {
            "kind": change.kind,
            "record": change.record_id,
            "name": change.field,
            "value": json.loads(change.value_json),
        }
        if change.said_json is None and state.taken(**what) is not what["value"]:
            faults.append(
                f"revision {change.revision} says no more than the room's box, and counts as a size of its own"
            )
        is_contested = state.apply(
            **what,
            seen=change.seen,
            resolves=change.resolves,
            device=change.device,
            revision=change.revision,
        )
        if is_contested != change.is_contested:
            faults.append(
                f"revision {change.revision} was {'' if change.is_contested else 'not '}contested when it came"
            )
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
    return {
        survey_id: verify_survey(session, survey_id)
        for survey_id in session.scalars(select(StoredSurvey.id).order_by(StoredSurvey.id))
    }


@dataclass
class VerifiedPhotos:
    """What reading every photo has shown: how many were looked at, and each fault in words, with its record, by its survey's id."""

    count: int = 0
    faults: dict[str, list[str]] = field(default_factory=dict)

    def summary(self) -> str:
        """Return the count as one line."""
        wrong = sum(len(found) for found in self.faults.values())
        return f"{self.count} photos read, {wrong} missing or spoilt."


def verify_photos(store: PhotoStore) -> VerifiedPhotos:
    """Read every photo that has come.

    What is found spoilt is set aside, so that the office stops calling it arrived and phones send it again.
    """
    with reading() as session:
        came = session.execute(
            select(StoredPhoto.survey_id, StoredPhoto.sha256, StoredPhoto.size_bytes).order_by(
                StoredPhoto.survey_id, StoredPhoto.sha256
            )
        ).all()
        records = session.execute(
            select(StoredRecord.survey_id, StoredRecord.id, StoredRecord.values_json).where(
                StoredRecord.kind == "photo", StoredRecord.is_deleted.is_(False)
            )
        )
        shown = {(survey_id, json.loads(values).get("sha256")): record for survey_id, record, values in records}
    sizes, verified = store.sizes(sha256 for _, sha256, _ in came), VerifiedPhotos(len(came))
    for survey_id, sha256, size in came:
        found = sizes.get(sha256)
        if found == size and store.get(sha256) is not None:
            continue
        what = (
            "is missing"
            if found is None
            else f"has {found} bytes, expected {size}"
            if found != size
            else "is spoilt: its bytes are not those that came"
        )
        record = shown.get((survey_id, sha256))
        where = f"photo/{record}" if record else "a photo that no record shows any more"
        verified.faults.setdefault(survey_id, []).append(f"{where}: the file {sha256} {what}")
    return verified
