"""Surveys as they stand: the list, one survey's records, and the survey that the engine reads."""

from __future__ import annotations

import json
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from sqlalchemy import bindparam, func, select
from sqlalchemy.orm import Session

from ..models import Change, Contest, Report, StoredPhoto, StoredRecord, StoredSurvey
from ..photo_store import PhotoStore
from ..survey.book import Book, with_book
from ..survey.document import Survey, make_survey
from ..survey.holders import SURVEY
from ..survey.kinds import KINDS
from ..survey.stored import make_record
from ..survey.works import Photo
from .book import leant_on, load_book
from .logs import find_revision
from .photos import still_there


@dataclass(frozen=True)
class PhotoState:
    """Where the bytes of one photo are: here, not come yet, or lost here after they had come."""

    record: str
    sha256: str
    arrived: bool
    lost: bool


@dataclass(frozen=True)
class LoadedSurvey:
    """One survey at one revision: its own records, and which photos have ever come, by their hash.

    ``book`` is what it leans on beside them; ``leant_on`` the revision of the firm's book that this stands at.
    """

    survey: Survey
    revision: int
    came: Mapping[str, StoredPhoto] = field(default_factory=dict)
    book: Book = field(default_factory=Book)
    leant_on: int = 0

    @property
    def whole(self) -> Survey:
        """The survey as it is worked out, with what it takes from the firm's book."""
        return with_book(self.survey, self.book)

    def here(self, store: PhotoStore) -> set[str]:
        """Return the hashes of the photos that came and whose bytes are here, by presence and size."""
        return still_there(store, ((sha256, photo.size_bytes) for sha256, photo in self.came.items()))

    def photos(self, store: PhotoStore) -> list[PhotoState]:
        """Return where the bytes are of each photo that has a hash."""
        here = self.here(store)
        return [
            PhotoState(item.id, item.sha256, item.sha256 in here, item.sha256 in self.came and item.sha256 not in here)
            for item in self.survey.of_kind(Photo)
            if item.sha256
        ]


@dataclass(frozen=True)
class ListedSurvey:
    """One line of the list of surveys."""

    id: str
    revision: int
    title: str
    reference: str | None
    address: str | None
    postcode: str | None
    visit_date: str | None
    changed_at: datetime
    contested: int
    refused: int
    photos_missing: int
    latest_report: int | None


# Made once, and over the tables alone: every look for news asks these.
_RECORD = StoredRecord.__table__
_FIND_RECORDS = (
    select(_RECORD.c.kind, _RECORD.c.id, _RECORD.c.values_json)
    .where(_RECORD.c.survey_id == bindparam("survey"), _RECORD.c.is_deleted.is_(False))
    .order_by(_RECORD.c.made_revision)
)
_FIND_PHOTOS = select(StoredPhoto).where(StoredPhoto.survey_id == bindparam("survey"))


def find_survey(session: Session, firm_id: str, survey_id: str) -> int:
    """Return the revision that the survey has reached.

    Raises
    ------
    NoSuchSurveyError
        When it does not exist or belongs to another firm.
    """
    return find_revision(session, firm_id, survey_id, SURVEY)


def load_survey(
    session: Session, firm_id: str, survey_id: str, *, prices: bool = False, only: Collection[str] | None = None
) -> LoadedSurvey:
    """Return a survey as it stands, or only its records of some kinds, and the firm's book, with its articles where ``prices`` asks for them; records keep the order in which they were made.

    Raises
    ------
    NoSuchSurveyError
        When it does not exist or belongs to another firm.
    """
    revision = find_survey(session, firm_id, survey_id)
    records = session.connection().execute(_FIND_RECORDS, {"survey": survey_id})
    survey = make_survey(
        survey_id,
        (
            make_record(kind, record_id, json.loads(values))
            for kind, record_id, values in records
            if only is None or kind in only
        ),
    )
    came = {photo.sha256: photo for photo in session.scalars(_FIND_PHOTOS, {"survey": survey_id})}
    return LoadedSurvey(survey, revision, came, load_book(session, firm_id, prices=prices), leant_on(session, firm_id))


def list_surveys(
    session: Session, firm_id: str, store: PhotoStore, *, only: Sequence[str] | None = None
) -> list[ListedSurvey]:
    """Return the firm's surveys, or those of them that are named in `only`; the one that changed last first."""
    chosen = [
        StoredSurvey.firm_id == firm_id,
        StoredSurvey.scope == SURVEY,
        *([] if only is None else [StoredSurvey.id.in_(only)]),
    ]
    surveys = session.scalars(
        select(StoredSurvey).where(*chosen).order_by(StoredSurvey.changed_at.desc(), StoredSurvey.id)
    ).all()
    ours = select(StoredSurvey.id).where(*chosen)
    heads: dict[str, dict[str, Any]] = {}
    wanted: dict[str, set[str]] = {}
    query = select(StoredRecord.survey_id, StoredRecord.kind, StoredRecord.values_json).where(
        StoredRecord.survey_id.in_(ours), StoredRecord.kind.in_(("survey", "photo")), StoredRecord.is_deleted.is_(False)
    )
    for survey_id, kind, values in session.execute(query.order_by(StoredRecord.made_revision)):
        if kind == "survey":
            heads.setdefault(survey_id, json.loads(values))
        elif sha256 := json.loads(values).get("sha256"):
            wanted.setdefault(survey_id, set()).add(sha256)
    came = session.execute(
        select(StoredPhoto.survey_id, StoredPhoto.sha256, StoredPhoto.size_bytes).where(StoredPhoto.survey_id.in_(ours))
    ).all()
    here = still_there(store, ((photo.sha256, photo.size_bytes) for photo in came))
    for survey_id, sha256, _ in came:
        if sha256 in here:
            wanted.get(survey_id, set()).discard(sha256)
    contested = _count(
        session, select(Contest.survey_id, func.count()).where(Contest.survey_id.in_(ours)).group_by(Contest.survey_id)
    )
    refused = _count(
        session,
        select(Change.survey_id, func.count())
        .where(Change.survey_id.in_(ours), Change.is_settled.is_(False))
        .group_by(Change.survey_id),
    )
    reports = _count(
        session,
        select(Report.survey_id, func.max(Report.number)).where(Report.survey_id.in_(ours)).group_by(Report.survey_id),
    )
    listed = []
    for stored in surveys:
        head = heads.get(stored.id, {})
        listed.append(
            ListedSurvey(
                id=stored.id,
                revision=stored.revision,
                title=KINDS["survey"].title_of(head) if head else "Survey",
                reference=head.get("reference"),
                address=head.get("address"),
                postcode=head.get("postcode"),
                visit_date=head.get("visit_date"),
                changed_at=stored.changed_at,
                contested=contested.get(stored.id, 0),
                refused=refused.get(stored.id, 0),
                photos_missing=len(wanted.get(stored.id, ())),
                latest_report=reports.get(stored.id),
            )
        )
    return listed


def _count(session: Session, query: Any) -> dict[str, int]:
    return dict(iter(session.execute(query)))
