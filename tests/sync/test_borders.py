"""What holds between two firms below the API, which asks before it: no caller can forget to."""

from __future__ import annotations

import hashlib

import pytest

from tests.support.cast import ADA, CORA, Device, Office, change, picture
from wattwalk import accounts
from wattwalk.sync.errors import NoSuchSurveyError
from wattwalk.sync.photos import store_photo


def test_a_photo_is_kept_for_the_surveys_own_firm_alone(office: Office, ada: Device) -> None:
    ada.push(change())
    data = picture(31, 17)
    sha256 = hashlib.sha256(data).hexdigest()
    with office.app.app_context():
        own, other = (accounts.find_or_add_firm(person.firm).id for person in (ADA, CORA))
        for firm, survey in ((other, office.survey), (own, "no-such")):
            with pytest.raises(NoSuchSurveyError):
                store_photo(office.settings.photos, firm_id=firm, survey_id=survey, sha256=sha256, data=data)
        assert ada.client.get(f"{ada.path}/photos/{sha256}").json["code"] == "not_arrived"
        stored, is_new = store_photo(
            office.settings.photos, firm_id=own, survey_id=office.survey, sha256=sha256, data=data
        )
    assert (is_new, stored.media_type, stored.width_px, stored.height_px, stored.size_bytes) == (
        True,
        "image/jpeg",
        31,
        17,
        len(data),
    )
    assert office.settings.photos.get(sha256) == data
