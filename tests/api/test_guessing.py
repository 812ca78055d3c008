"""Guessing a password is slow, however many guess at once, and locks nobody out of a device of theirs."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from datetime import timedelta

import pytest
from flask.testing import FlaskClient
from sqlalchemy import delete, func, select

from tests.support.cast import ADA, BEN, CORA, PASSWORD, Office
from tests.support.until import PATIENCE_S
from wattwalk import accounts, guessing
from wattwalk.accounts import WrongSignInError
from wattwalk.database import reading, writing
from wattwalk.guessing import MAX_FAILURES_PER_ADDRESS, MAX_FAILURES_PER_EMAIL, TooManyTriesError
from wattwalk.models import KnownDevice, LoginFailure

WRONG = "a wrong password"


@pytest.fixture(autouse=True)
def _clean(office: Office, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    # What is tried here is the counting; hashing takes long on purpose.
    monkeypatch.setattr(accounts, "_matches", lambda _hash, password: password == PASSWORD)
    with office.app.app_context():
        with writing() as session:
            session.execute(delete(LoginFailure))
            session.execute(delete(KnownDevice))
        yield


def later(**by: float) -> None:
    """Let time go by."""
    with writing() as session:
        for tried in session.scalars(select(LoginFailure)):
            tried.at -= timedelta(**by)


def guess(email: str = ADA.email, address: str = "192.0.2.1", mark: str | None = None) -> str:
    """Try a wrong password; say what became of it."""
    try:
        accounts.sign_in(email, WRONG, address, mark)
    except WrongSignInError:
        return "looked at"
    except TooManyTriesError as error:
        return f"wait {error.wait_s}"
    raise AssertionError("A wrong password was right.")


def post(client: FlaskClient, password: str = PASSWORD, email: str = ADA.email, address: str = "192.0.2.1") -> int:
    return client.post(
        "/api/session", json={"email": email, "password": password}, environ_overrides={"REMOTE_ADDR": address}
    ).status_code


def test_many_at_once_get_no_more_answers_than_one_after_the_other(office: Office) -> None:
    said: list[str] = []
    begin = threading.Barrier(24)

    def try_it(place: int) -> None:
        with office.app.app_context():
            begin.wait(PATIENCE_S)
            said.append(guess(address=f"192.0.2.{place}"))

    threads = [threading.Thread(target=try_it, args=(place,)) for place in range(24)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(said) == 24
    assert said.count("looked at") == MAX_FAILURES_PER_EMAIL


def test_a_password_is_counted_before_it_is_looked_at(office: Office, monkeypatch: pytest.MonkeyPatch) -> None:
    counted: list[int | None] = []

    def look(_hash: str, _password: str) -> bool:
        with reading() as session:
            counted.append(session.scalar(select(func.count()).select_from(LoginFailure)))
        return True

    monkeypatch.setattr(accounts, "_matches", look)
    accounts.sign_in(ADA.email, PASSWORD, "192.0.2.1")
    assert counted == [1]
    with reading() as session:
        assert session.scalar(select(func.count()).select_from(LoginFailure)) == 0


def test_each_wrong_one_costs_twice_as_long_as_the_one_before(office: Office) -> None:
    assert [guess() for _ in range(MAX_FAILURES_PER_EMAIL)] == ["looked at"] * MAX_FAILURES_PER_EMAIL
    for wait_s in (30, 60, 120, 240, 480, 900, 900):
        words = guess(address="198.51.100.7")
        assert wait_s - 2 <= int(words.removeprefix("wait ")) <= wait_s
        later(seconds=wait_s - 5)
        assert guess().startswith("wait")
        later(seconds=6)
        assert guess() == "looked at"
    later(days=1)
    assert [guess() for _ in range(MAX_FAILURES_PER_EMAIL)] == ["looked at"] * MAX_FAILURES_PER_EMAIL


def test_a_right_password_forgets_the_wrong_ones(office: Office) -> None:
    for _ in range(MAX_FAILURES_PER_EMAIL - 1):
        guess()
    accounts.sign_in(ADA.email, PASSWORD, "192.0.2.1")
    assert [guess() for _ in range(MAX_FAILURES_PER_EMAIL)] == ["looked at"] * MAX_FAILURES_PER_EMAIL
    with pytest.raises(TooManyTriesError):
        accounts.sign_in(ADA.email, PASSWORD, "192.0.2.1")


def test_an_address_that_tries_one_person_after_the_other_has_to_wait(office: Office) -> None:
    for place in range(MAX_FAILURES_PER_ADDRESS):
        assert guess(f"person-{place}@teasel.example") == "looked at"
    assert guess("one-more@teasel.example").startswith("wait")
    assert guess("one-more@teasel.example", address="192.0.2.2") == "looked at"
    # Whoever has a password of their own does not begin anew by it.
    later(minutes=14)
    assert guess("one-more@teasel.example").startswith("wait")
    later(minutes=2)
    assert guess("one-more@teasel.example") == "looked at"


@pytest.mark.parametrize(
    ("one", "other", "are_one"),
    [
        ("2001:db8:1:2::1", "2001:db8:1:2:ffff::9", True), ("2001:db8:1:2::1", "2001:db8:1:3::1", False), ("::ffff:192.0.2.1", "192.0.2.1", True),
        ("192.0.2.1", "192.0.2.2", False), ("somewhere", "elsewhere", False),
    ],
)  # fmt: skip
def test_one_line_is_one_address(office: Office, one: str, other: str, are_one: bool) -> None:
    assert (guessing._network(one) == guessing._network(other)) is are_one


def test_many_addresses_of_one_line_wait_together(office: Office) -> None:
    for place in range(MAX_FAILURES_PER_ADDRESS):
        assert guess(f"person-{place}@teasel.example", address=f"2001:db8:1:2::{place:x}") == "looked at"
    assert guess("one-more@teasel.example", address="2001:db8:1:2::ffff").startswith("wait")
    assert guess("one-more@teasel.example", address="2001:db8:1:3::1") == "looked at"


def test_somebody_elses_guesses_do_not_lock_a_known_device_out(office: Office) -> None:
    mine = office.app.test_client()
    assert post(mine) == 200
    stranger = office.app.test_client()
    for _ in range(MAX_FAILURES_PER_EMAIL + 3):
        post(stranger, WRONG, address="203.0.113.9")
    assert post(stranger, address="203.0.113.9") == 429
    # A device that nobody knows waits like everybody; the person's own goes on, signed out or not.
    assert post(office.app.test_client()) == 429
    assert post(mine) == 200
    mine.delete("/api/session")
    assert post(mine) == 200
    # And the right password there does not let the stranger begin anew.
    assert post(stranger, address="203.0.113.9") == 429


def test_an_address_full_of_guesses_does_not_lock_a_known_device_out(office: Office) -> None:
    mine = office.app.test_client()
    assert post(mine) == 200
    for place in range(MAX_FAILURES_PER_ADDRESS):
        guess(f"person-{place}@teasel.example")
    assert post(office.app.test_client(), email=BEN.email) == 429
    assert post(mine) == 200


def test_a_known_device_guesses_slowly_too(office: Office) -> None:
    mine = office.app.test_client()
    assert post(mine) == 200
    assert [post(mine, WRONG) for _ in range(MAX_FAILURES_PER_EMAIL + 1)] == [401] * MAX_FAILURES_PER_EMAIL + [429]
    assert post(mine) == 429
    # Somebody's child with the phone does not lock the laptop out.
    assert post(office.app.test_client()) == 200


def test_a_device_is_known_for_the_person_who_used_it_alone(office: Office) -> None:
    mine = office.app.test_client()
    assert post(mine) == 200
    for _ in range(MAX_FAILURES_PER_EMAIL):
        guess(CORA.email)
    assert post(mine, email=CORA.email) == 429
    with writing() as session:
        for known in session.scalars(select(KnownDevice)):
            known.seen_at -= timedelta(days=401)
    for _ in range(MAX_FAILURES_PER_EMAIL):
        guess()
    assert post(mine) == 429


def test_the_mark_is_guarded_and_opens_nothing(office: Office) -> None:
    client = office.app.test_client()
    answer = client.post(
        "/api/session", json={"email": ADA.email, "password": PASSWORD}, base_url="https://office.example"
    )
    mark = next(
        cookie for cookie in answer.headers.getlist("Set-Cookie") if cookie.startswith("__Host-wattwalk-device=")
    )
    assert {"Secure", "HttpOnly", "Path=/", "SameSite=Strict"} <= set(mark.split("; "))
    other = office.app.test_client()
    other.set_cookie("wattwalk-device", mark.split(";")[0].split("=")[1])
    other.set_cookie("wattwalk", mark.split(";")[0].split("=")[1])
    assert other.get("/api/session").status_code == 401


def test_only_the_hash_of_a_mark_is_kept(office: Office) -> None:
    client = office.app.test_client()
    assert post(client) == 200
    mark = client.get_cookie("wattwalk-device").value
    with reading() as session:
        assert mark not in session.scalars(select(KnownDevice.mark_sha256)).all()
