"""Documents in and out: whether anything was new, and what is refused."""

from __future__ import annotations

import base64
import copy
import hashlib
from typing import Any

import pytest

from tests.support.cast import ADA, CORA, Device, Office, picture
from wattwalk import accounts
from wattwalk.survey.document import read_document
from wattwalk.survey.errors import SurveyError
from wattwalk.sync.documents import export_document, import_document, read_pictures


def document(office: Office, *pictures: bytes) -> dict[str, Any]:
    """Return a survey document of one room and the pictures inlined."""
    hashes = [hashlib.sha256(data).hexdigest() for data in pictures]
    records: dict[str, Any] = {
        "room": [{"id": "kitchen", "name": "Kitchen", "length_m": 4}],
        "photo": [{"id": f"photo-{place}", "sha256": sha256} for place, sha256 in enumerate(hashes)],
    }
    inlined = {
        sha256: {"media_type": "image/jpeg", "base64": base64.b64encode(data).decode()}
        for sha256, data in zip(hashes, pictures, strict=True)
    }
    return {
        "format": "wattwalk-survey",
        "version": 1,
        "id": office.survey,
        "records": {kind: made for kind, made in records.items() if made},
        **({"photos": inlined} if inlined else {}),
    }


def take(office: Office, given: dict[str, Any], person: Any = ADA) -> bool:
    with office.app.app_context():
        return import_document(
            read_document(given),
            firm_id=accounts.find_or_add_firm(person.firm).id,
            user_id=None,
            photos=office.settings.photos,
        )


def codes(refused: pytest.ExceptionInfo[SurveyError]) -> list[str]:
    return [problem.code for problem in refused.value.problems]


def test_a_document_without_photos_is_new_once(office: Office) -> None:
    assert take(office, document(office)) is True
    assert take(office, document(office)) is False


def test_only_the_photos_that_had_not_come_are_new(office: Office, ada: Device) -> None:
    one, other = picture(30, 20), picture(30, 21)
    whole = document(office, one, other)
    without = copy.deepcopy(whole)
    del without["photos"][hashlib.sha256(other).hexdigest()]
    assert take(office, without) is True
    assert ada.listed()["photos_missing"] == 1
    assert take(office, without) is False
    assert take(office, whole) is True
    assert ada.listed()["photos_missing"] == 0
    assert take(office, whole) is False
    with office.app.app_context():
        assert export_document(
            firm_id=accounts.find_or_add_firm(ADA.firm).id, survey_id=office.survey, photos=office.settings.photos
        ) == {**whole, "version": 3}


def test_what_differs_belongs_to_another_or_is_empty_is_refused(office: Office) -> None:
    given = document(office)
    take(office, given)
    differs = copy.deepcopy(given)
    differs["records"]["room"][0]["length_m"] = 5
    with pytest.raises(SurveyError) as refused:
        take(office, differs)
    assert codes(refused) == ["survey_exists"]
    with pytest.raises(SurveyError) as refused:
        take(office, given, CORA)
    assert codes(refused) == ["id_taken"]
    office.take_up_survey()
    with pytest.raises(SurveyError) as refused:
        take(office, {**document(office), "records": {}})
    assert codes(refused) == ["nothing_in_it"]


def test_every_picture_that_is_none_is_named() -> None:
    good = picture(30, 20)
    right = hashlib.sha256(good).hexdigest()
    text = hashlib.sha256(b"no picture").hexdigest()
    inlined = {
        right: base64.b64encode(good).decode(),
        "a" * 64: "not base64!",
        "b" * 64: base64.b64encode(good).decode(),
        text: base64.b64encode(b"no picture").decode(),
    }
    with pytest.raises(SurveyError) as refused:
        read_pictures({sha256: {"base64": written} for sha256, written in inlined.items()})
    assert [(problem.code, problem.field) for problem in refused.value.problems] == [
        ("not_base64", f"photos.{'a' * 64}"),
        ("hash_differs", f"photos.{'b' * 64}"),
        ("not_a_picture", f"photos.{text}"),
    ]
    assert read_pictures({right: {"base64": inlined[right]}}) == {right: good}
