"""Survey documents in and out of the database; in by way of changes, so that the log holds everything."""

from __future__ import annotations

import base64
import binascii
import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from sqlalchemy import select
from uuid_utils import uuid7

from ..database import moment_text, now, reading
from ..models import StoredSurvey
from ..photo_store import PhotoStore
from ..survey.book import as_own
from ..survey.document import Survey, write_document
from ..survey.errors import Problem, SurveyError, WattwalkError
from ..survey.works import Photo
from .book import load_book
from .changes import DELETED, IncomingChange, read_change
from .photos import check_picture, store_photo
from .push import push
from .surveys import load_survey

#: What the log names as the device of an imported document.
DEVICE = "document"


def import_document(survey: Survey, *, firm_id: str, user_id: str | None, photos: PhotoStore) -> bool:
    """Take a survey document into the database and say whether anything was new.

    Raises
    ------
    SurveyError
        When an inlined photo is no picture or has another hash, or the survey is in the database already and says something else.
    """
    pictures = read_pictures(survey.photo_data)
    with reading() as session:
        owner = session.scalars(select(StoredSurvey.firm_id).where(StoredSurvey.id == survey.id)).one_or_none()
        if owner is not None and owner != firm_id:
            raise SurveyError(
                [
                    Problem(
                        "id_taken",
                        f"The id {survey.id!r} belongs to a survey of another firm; the document needs one of its own.",
                        "id",
                    )
                ]
            )
        present = load_survey(session, firm_id, survey.id) if owner is not None else None
        book = load_book(session, firm_id)
    if present is None:
        changes = list(_as_changes(as_own(survey, book)))
        if not changes:
            raise SurveyError([Problem("nothing_in_it", "The document holds no record.", "records")])
        pushed = push(firm_id=firm_id, user_id=user_id, survey_id=survey.id, device=DEVICE, changes=changes)
        refused = [Problem(**result.problem) for result in pushed.results if result.problem]
        if refused:
            raise SurveyError(refused)
    elif write_document(replace(survey, photo_data={})) not in (
        write_document(present.whole),
        write_document(present.survey),
    ):
        words = f"The survey {survey.id!r} is in the database already, at revision {present.revision}, and differs; import it under another id."
        raise SurveyError([Problem("survey_exists", words, "id")])
    is_new = [
        store_photo(photos, firm_id=firm_id, survey_id=survey.id, sha256=sha256, data=data)[1]
        for sha256, data in pictures.items()
    ]
    return present is None or any(is_new)


def read_pictures(inlined: Mapping[str, Mapping[str, str]]) -> dict[str, bytes]:
    """Return the bytes of a document's inlined photos by their hash.

    Raises
    ------
    SurveyError
        Naming every photo that is not base64, has another hash or is no picture.
    """
    pictures, problems = {}, []
    for sha256, item in inlined.items():
        where = f"photos.{sha256}"
        try:
            data = base64.b64decode(item["base64"], validate=True)
        except (binascii.Error, ValueError):
            problems.append(Problem("not_base64", "Expected the bytes in base64.", where))
            continue
        if hashlib.sha256(data).hexdigest() != sha256:
            problems.append(
                Problem("hash_differs", "The bytes have another hash than the one they are named by.", where)
            )
            continue
        try:
            check_picture(data)
        except SurveyError as error:
            problems += [Problem(problem.code, problem.message, where) for problem in error.problems]
            continue
        pictures[sha256] = data
    if problems:
        raise SurveyError(problems)
    return pictures


def _as_changes(survey: Survey) -> Iterator[IncomingChange]:
    made_at = moment_text(now())
    for record in survey:
        # A record without a single answer is made by saying that it is not deleted.
        for name, value in record.values().items() or [(DELETED, False)]:
            change: dict[str, Any] = {
                "id": str(uuid7()),
                "kind": record.kind.name,
                "record": record.id,
                "field": name,
                "value": value,
                "seen": 0,
                "made_at": made_at,
            }
            yield read_change(change)


class LostPhotosError(WattwalkError):
    """Photos that had come are missing or spoilt here, so the survey cannot be written whole; the message names their records."""


def export_document(*, firm_id: str, survey_id: str, photos: PhotoStore) -> dict[str, Any]:
    """Return a survey as a document with its photos inlined, and with what it takes from the firm's book.

    Raises
    ------
    NoSuchSurveyError
        When it does not exist or belongs to another firm.
    LostPhotosError
        When the bytes of a photo that had come are not here any more.
    """
    with reading() as session:
        loaded = load_survey(session, firm_id, survey_id)
    inlined, lost = {}, []
    for sha256, photo in sorted(loaded.came.items()):
        data = photos.get(sha256)
        if data is None:
            lost.append(sha256)
            continue
        inlined[sha256] = {"media_type": photo.media_type, "base64": base64.b64encode(data).decode()}
    named = {item.sha256: f"photo/{item.id}" for item in loaded.survey.of_kind(Photo)}
    # One that nobody shows any more is no part of the survey, so its loss does not stop it.
    if shown := [named[sha256] for sha256 in lost if sha256 in named]:
        raise LostPhotosError(
            f"These photos had come and are missing or spoilt at the office now: {', '.join(shown)}. Any phone that still has them sends them again by itself."
        )
    return write_document(replace(loaded.whole, photo_data=inlined))
