"""A line of the list of surveys says what its survey says, and no other's."""

from __future__ import annotations

import hashlib

from tests.support.cast import ADA, BEN, CORA, Device, Office, change, picture

HEAD = {
    "household_name": "The Nettlebeds",
    "reference": "N-17",
    "address": "4 Nowhere Lane",
    "postcode": "ZZ1 1ZV",
    "visit_date": "2026-03-31",
}


def test_a_line_says_what_the_surveys_own_record_says(office: Office, ada: Device) -> None:
    ada.push(
        change("wall-1", "name", "Wall", kind="construction"),
        *(change("household", name, value, kind="survey") for name, value in HEAD.items()),
    )
    line = ada.listed()
    assert line is not None
    assert {name: line[name] for name in ("reference", "address", "postcode", "visit_date")} == {
        name: value for name, value in HEAD.items() if name != "household_name"
    }
    assert HEAD["household_name"] in line["title"]
    assert (
        line["id"],
        line["revision"],
        line["contested"],
        line["refused"],
        line["photos_missing"],
        line["latest_report"],
    ) == (office.survey, 6, 0, 0, 0, None)


def test_a_survey_without_a_record_of_its_own_is_listed_all_the_same(ada: Device) -> None:
    ada.push(change())
    line = ada.listed()
    assert line is not None
    assert (line["title"], line["reference"], line["address"], line["postcode"], line["visit_date"]) == (
        "Survey",
        None,
        None,
        None,
        None,
    )


def test_the_counts_are_of_the_survey_itself(office: Office, ada: Device) -> None:
    """Two surveys of the firm and one of another firm's, each with a count of its own."""
    first = office.survey
    photo, other = picture(20, 10), picture(20, 11)
    ada.push(
        change(value=4.2),
        change(field="width_m", value=999),
        change("photo-1", "sha256", hashlib.sha256(photo).hexdigest(), kind="photo"),
        change("photo-2", "sha256", hashlib.sha256(other).hexdigest(), kind="photo"),
    )
    office.device(BEN).push(change(value=4.4))
    assert (
        ada.client.put(
            f"{ada.path}/photos/{hashlib.sha256(photo).hexdigest()}", data=photo, content_type="image/jpeg"
        ).status_code
        == 201
    )
    office.take_up_survey()
    second = office.device(ADA)
    second.push(change(), change("photo-1", "sha256", hashlib.sha256(photo).hexdigest(), kind="photo"))
    cora = office.device(CORA)
    lines = {line["id"]: line for line in second.client.get("/api/surveys").json["surveys"]}
    assert [
        (lines[name]["contested"], lines[name]["refused"], lines[name]["photos_missing"])
        for name in (first, office.survey)
    ] == [(1, 1, 1), (0, 0, 1)]
    assert {first, office.survey}.isdisjoint(line["id"] for line in cora.client.get("/api/surveys").json["surveys"])


def test_a_deleted_photo_is_missed_by_nobody(ada: Device) -> None:
    ada.push(change("photo-1", "sha256", "a" * 64, kind="photo"))
    assert ada.listed()["photos_missing"] == 1
    ada.push(change("photo-1", "deleted", True, kind="photo", seen=1))
    assert ada.listed()["photos_missing"] == 0


def test_the_survey_that_changed_last_comes_first(office: Office, ada: Device) -> None:
    first = office.survey
    ada.push(change())
    office.take_up_survey()
    office.device(ADA).push(change())
    listed = [line["id"] for line in ada.client.get("/api/surveys").json["surveys"]]
    assert listed.index(office.survey) < listed.index(first)
    ada.push(change(field="width_m", value=3))
    listed = [line["id"] for line in ada.client.get("/api/surveys").json["surveys"]]
    assert listed.index(first) < listed.index(office.survey)
