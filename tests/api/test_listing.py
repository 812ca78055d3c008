"""The list, said only as far as it changed: everything that stands on a line, or beside it at the office, moves the firm's number."""

from __future__ import annotations

import hashlib
import threading
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from sqlalchemy import delete, select, update
from uuid_utils import uuid7

from tests.support.cast import ADA, BEN, CORA, Device, Office, change, picture
from wattwalk import accounts
from wattwalk.database import now, writing
from wattwalk.files import write_whole
from wattwalk.models import Change, Email, ListCounter, Report, StoredRecord, StoredSurvey
from wattwalk.office import outbox
from wattwalk.sync.listing import say_moved
from wattwalk.sync.photos import note_lost


def picture_of(device: Device) -> bytes:
    """Return a picture that no other survey shows."""
    return picture(64 + int(device.survey.rsplit("-", 1)[1]), 48)


def ask(device: Device, since: int = 0, **more: Any) -> dict[str, Any]:
    """Return one answer of the list."""
    query = "&".join(f"{name}={value}" for name, value in {"since": since, **more}.items())
    response = device.client.get(f"/api/surveys?{query}")
    assert response.status_code == 200, response.get_data(as_text=True)
    return response.json


def whole(device: Device) -> list[dict[str, Any]]:
    """Return the list as phones of before ask for it."""
    return device.client.get("/api/surveys").json["surveys"]


def report_of(survey: str, number: int) -> Report:
    return Report(
        id=str(uuid7()),
        survey_id=survey,
        number=number,
        revision=1,
        made_at=now(),
        pages=1,
        size_bytes=1,
        file_name=f"{survey}/{number}",
    )


@pytest.fixture
def walked(office: Office) -> Device:
    """A device whose survey has a room, a photo that has not arrived, and a report."""
    ada = office.device(ADA)
    data = picture_of(ada)
    with office.app.app_context(), writing() as session:
        session.execute(delete(Email))  # what other tests left to be sent
    ada.push(
        change(field="name", value="Kitchen"),
        change("photo-1", "sha256", hashlib.sha256(data).hexdigest(), kind="photo"),
    )
    with office.app.app_context(), writing() as session:
        session.add(report_of(ada.survey, 1))
    write_whole(office.settings.reports / ada.survey / "1", b"%")
    return ada


def put_photo(office: Office, ada: Device) -> None:
    data = picture_of(ada)
    assert (
        ada.client.put(
            f"{ada.path}/photos/{hashlib.sha256(data).hexdigest()}", data=data, content_type="image/jpeg"
        ).status_code
        == 201
    )


def contest(office: Office, ada: Device) -> None:
    office.device(BEN).push(change(field="name", value="Scullery"))


def pick(office: Office, ada: Device) -> None:
    contest(office, ada)
    ada.push(change(field="name", value="Kitchen", seen=ada.view()["revision"], resolves=True))


def refuse(office: Office, ada: Device) -> None:
    ada.push(change(field="length_m", value="long"))


def settle(office: Office, ada: Device) -> None:
    refuse(office, ada)
    ada.push(change(field="length_m", value=4))


def replace(office: Office, ada: Device) -> None:
    ada.push(change(field="length_m", value=4, replaces=[str(uuid7())]))


def make_report(office: Office, ada: Device) -> None:
    with writing() as session:
        session.add(report_of(ada.survey, 2))


def write_email(office: Office, ada: Device) -> None:
    letter = {"to": "household@household.example", "subject": "Report", "message": "Here it is."}
    assert ada.client.post(f"{ada.path}/reports/1/emails", json=letter).status_code == 202


def send_email(office: Office, ada: Device) -> None:
    write_email(office, ada)
    assert outbox.send_waiting(office.settings, None)


def retry_email(office: Office, ada: Device) -> None:
    send_email(office, ada)
    with writing() as session:
        email = session.scalars(select(Email).where(Email.survey_id == ada.survey)).one()
    assert ada.client.post(f"/api/emails/{email.id}/retry", json={}).status_code == 202


def said_of(ada: Device, noted: list[tuple[str, str]]) -> list[str]:
    """Return what was noted of this survey's photos; other surveys may show the same picture."""
    return [what for photo, what in noted if photo.endswith(f" of {ada.survey}")]


def lose_photo(office: Office, ada: Device) -> None:
    put_photo(office, ada)
    office.settings.photos.delete(hashlib.sha256(picture_of(ada)).hexdigest())
    assert said_of(ada, note_lost(office.settings.photos)) == ["lost"]
    assert note_lost(office.settings.photos) == []


def get_it_back(office: Office, ada: Device) -> None:
    lose_photo(office, ada)
    assert (
        ada.client.put(
            f"{ada.path}/photos/{hashlib.sha256(picture_of(ada)).hexdigest()}",
            data=picture_of(ada),
            content_type="image/jpeg",
        ).status_code
        == 200
    )
    # That it is there again has been noted with the bytes themselves.
    assert said_of(ada, note_lost(office.settings.photos)) == []


def say_so(office: Office, ada: Device) -> None:
    with writing() as session:
        say_moved(session, ada.survey)


@pytest.mark.parametrize(
    ("happen", "moves"),
    [
        (put_photo, 1),
        (contest, 1),
        (pick, 2),
        (refuse, 1),
        (settle, 2),
        (replace, 1),
        (make_report, 1),
        (write_email, 1),
        (send_email, 3),
        (retry_email, 4),
        (lose_photo, 2),
        (get_it_back, 3),
        (say_so, 1),
    ],
)
def test_whatever_changes_a_line_moves_it(
    office: Office, walked: Device, happen: Callable[[Office, Device], None], moves: int
) -> None:
    before = ask(walked)["cursor"]
    assert ask(walked, before)["surveys"] == []
    with office.app.app_context():
        happen(office, walked)
    after = ask(walked, before)
    assert [line["id"] for line in after["surveys"]] == [walked.survey]
    assert after["surveys"][0] == walked.listed()
    # Each step by itself moved it: between two of them a phone may have asked.
    assert after["cursor"] == before + moves
    assert ask(walked, after["cursor"])["surveys"] == []


def test_a_message_whose_worker_died_moves_its_survey(office: Office, walked: Device) -> None:
    with office.app.app_context():
        write_email(office, walked)
        with writing() as session:
            session.execute(
                update(Email)
                .where(Email.survey_id == walked.survey)
                .values(state="sending", leased_until=now() - timedelta(hours=1))
            )
        before = ask(walked)["cursor"]
        outbox.send_waiting(office.settings, None)
    assert [line["id"] for line in ask(walked, before)["surveys"]] == [walked.survey]


def test_what_changes_nothing_moves_nothing(office: Office, walked: Device) -> None:
    def say_and_fail() -> None:
        with writing() as session:
            say_moved(session, walked.survey)
            raise ZeroDivisionError

    put_photo(office, walked)
    same = change(field="width_m", value=2)
    walked.push(same)
    before = ask(walked)["cursor"]
    walked.push(same)
    data = picture_of(walked)
    assert (
        walked.client.put(
            f"{walked.path}/photos/{hashlib.sha256(data).hexdigest()}", data=data, content_type="image/jpeg"
        ).status_code
        == 200
    )
    walked.view()
    with office.app.app_context():
        with pytest.raises(ZeroDivisionError):
            say_and_fail()
        with writing():
            pass
    assert ask(walked)["cursor"] == before


def test_pages_add_up_to_the_whole_list(office: Office) -> None:
    ada = office.device(ADA)
    for _ in range(5):
        office.take_up_survey()
        office.device(BEN).push(change())
    held: dict[str, Any] = {}
    answer = ask(ada, limit=2)
    pages = 1
    while True:
        assert len(answer["surveys"]) <= 2
        held.update({line["id"]: line for line in answer["surveys"]})
        if not answer["more"]:
            break
        answer = ask(ada, answer["cursor"], limit=2)
        pages += 1
    assert pages >= 3
    assert answer["count"] == len(held)
    assert sorted(held) == sorted(line["id"] for line in whole(ada))
    assert all(held[line["id"]] == line for line in whole(ada))


def test_another_firm_has_a_list_of_its_own(office: Office) -> None:
    office.device(ADA).push(change())
    cora = office.device(CORA)
    before = ask(cora)
    assert office.survey not in [line["id"] for line in before["surveys"]]
    assert ask(cora, before["cursor"])["cursor"] == before["cursor"]
    office.device(ADA).push(change(field="width_m", value=3))
    assert ask(cora, before["cursor"])["surveys"] == []


def test_a_survey_that_went_away_is_noticed_by_the_count(office: Office, walked: Device) -> None:
    before = ask(walked)
    office.take_up_survey()
    ben = office.device(BEN)
    ben.push(change())
    count = ask(walked, before["cursor"])["count"]
    with office.app.app_context(), writing() as session:
        for table in (Change, StoredRecord):
            session.execute(delete(table).where(table.survey_id == ben.survey))
        session.execute(delete(StoredSurvey).where(StoredSurvey.id == ben.survey))
    assert ask(walked, before["cursor"])["count"] == count - 1


def test_a_number_that_was_never_given_begins_anew(office: Office, walked: Device) -> None:
    reached = ask(walked)["cursor"]
    answer = ask(walked, reached + 1)
    assert answer["since"] == 0
    assert walked.survey in [line["id"] for line in answer["surveys"]]
    assert ask(walked, reached)["since"] == reached


def test_a_list_that_has_nothing_new_costs_little(office: Office, walked: Device) -> None:
    answer = walked.client.get(f"/api/surveys?since={ask(walked)['cursor']}")
    assert len(answer.get_data()) < 200


def test_numbers_come_in_the_order_in_which_they_can_be_read(office: Office) -> None:
    """Whoever has read a number never finds a lower one later, however many write at once."""
    phones = []
    for _ in range(4):
        office.take_up_survey()
        phones.append(office.device(BEN))
    reader = office.device(ADA)
    seen: dict[str, int] = {}
    cursor = ask(reader)["cursor"]

    def push(device: Device) -> None:
        for turn in range(12):
            device.push(change(field="length_m", value=2 + turn / 10, seen=turn))

    threads = [threading.Thread(target=push, args=(device,)) for device in phones]
    for thread in threads:
        thread.start()
    while any(thread.is_alive() for thread in threads):
        answer = ask(reader, cursor)
        cursor = answer["cursor"]
        seen.update({line["id"]: line["revision"] for line in answer["surveys"]})
    answer = ask(reader, cursor)
    seen.update({line["id"]: line["revision"] for line in answer["surveys"]})
    missed = [device.survey for device in phones if seen.get(device.survey) != 12]
    assert missed == []


def test_a_new_life_of_the_database_says_so(office: Office, walked: Device) -> None:
    before = ask(walked)
    with office.app.app_context():
        epoch = accounts.renew_epoch()
    assert ask(walked, before["cursor"])["epoch"] == epoch != before["epoch"]


def test_the_counter_is_one_row_a_firm(office: Office, walked: Device) -> None:
    with office.app.app_context(), writing() as session:
        moved = session.scalar(
            select(ListCounter.moved)
            .join(StoredSurvey, StoredSurvey.firm_id == ListCounter.firm_id)
            .where(StoredSurvey.id == walked.survey)
        )
    assert moved == ask(walked)["cursor"]
