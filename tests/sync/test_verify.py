"""Whatever is altered behind the log's back, the proof names it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from sqlalchemy import delete, text, update
from sqlalchemy.orm import Session

from tests.support.cast import Device, Office, change
from wattwalk.database import db, reading
from wattwalk.models import Change, Contest, StoredRecord, StoredSurvey
from wattwalk.sync.verify import verify_all, verify_survey


@pytest.fixture
def contested(office: Office, ada: Device, ben: Device) -> str:
    """A survey of five revisions, one field of it contested."""
    ada.push(change(value=4.2), change(field="width_m", value=3), change("hall", "name", "Hall"))
    ben.push(change(value=4.4), change("hall", "height_m", 2.4, seen=3))
    return office.survey


def found_after(office: Office, survey: str, alter: Callable[[Session], Any]) -> list[str]:
    """Return what the proof finds after an alteration that is taken back."""
    with office.app.app_context():
        with reading() as session:
            assert verify_survey(session, survey) == []
        session = db.session()
        try:
            alter(session)
            session.flush()
            return verify_survey(session, survey)
        finally:
            session.rollback()
            db.session.remove()


@pytest.mark.parametrize(
    ("alter", "faults"),
    [
        (
            lambda survey: update(StoredSurvey).where(StoredSurvey.id == survey).values(revision=6),
            ["the survey stands at revision 6, its log at 5"],
        ),
        (
            lambda survey: (
                update(Change).where(Change.survey_id == survey, Change.revision == 4).values(is_contested=False)
            ),
            ["revision 4 was not contested when it came"],
        ),
        (
            lambda survey: (
                update(Change).where(Change.survey_id == survey, Change.revision == 2).values(is_contested=True)
            ),
            ["revision 2 was contested when it came"],
        ),
        (
            lambda survey: delete(Change).where(Change.survey_id == survey, Change.revision == 2),
            ["revision 2 is missing before 3", "record kitchen differs from its log"],
        ),
        (
            lambda survey: delete(Contest).where(Contest.survey_id == survey),
            ["the contest over kitchen/length_m differs from its log"],
        ),
        (
            lambda survey: update(Contest).where(Contest.survey_id == survey).values(revisions_json="[1]"),
            ["the contest over kitchen/length_m differs from its log"],
        ),
        (
            lambda survey: (
                update(StoredRecord)
                .where(StoredRecord.survey_id == survey, StoredRecord.id == "hall")
                .values(values_json="{}")
            ),
            ["record hall differs from its log"],
        ),
        (
            lambda survey: (
                update(StoredRecord)
                .where(StoredRecord.survey_id == survey, StoredRecord.id == "hall")
                .values(is_deleted=True)
            ),
            ["record hall differs from its log"],
        ),
        (
            lambda survey: delete(StoredRecord).where(StoredRecord.survey_id == survey, StoredRecord.id == "hall"),
            ["record hall differs from its log"],
        ),
        (lambda survey: text("SELECT 1"), []),
    ],
)
def test_every_alteration_is_named(
    office: Office, contested: str, alter: Callable[[str], Any], faults: list[str]
) -> None:
    assert found_after(office, contested, lambda session: session.execute(alter(contested))) == faults


def test_every_survey_is_looked_at(office: Office, contested: str) -> None:
    with office.app.app_context(), reading() as session:
        assert verify_all(session)[contested] == []
