"""The outbox against a real SMTP server in this process: taken, refused, put off, lost on the way, kept as a file."""

from __future__ import annotations

import email
import email.policy
import hashlib
import queue
import shutil
import socket
import subprocess
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from email.message import EmailMessage
from pathlib import Path

import pytest
from aiosmtpd.controller import Controller
from aiosmtpd.smtp import AuthResult
from flask import current_app
from sqlalchemy import select, update
from uuid_utils import uuid7

from tests.support.cast import ADA, open_office
from tests.support.together import together
from tests.support.until import PATIENCE_S, wait_until
from wattwalk.accounts import find_or_add_firm
from wattwalk.config import SettingError
from wattwalk.database import db, now, reading, writing
from wattwalk.models import Email, Firm, Report, StoredSurvey
from wattwalk.office import leases, outbox
from wattwalk.office.leases import LeaseLostError
from wattwalk.office.mail import MailSettings, check_message, compose, is_address, read_mail_settings
from wattwalk.survey.errors import SurveyError

PDF = b"%PDF-1.7 invented\n"
START = datetime(2026, 4, 2, 9, 0, tzinfo=UTC)


class Mailbox:
    """An SMTP server's handler that takes messages, or answers as it is told to."""

    def __init__(self) -> None:
        self.taken: list[tuple[list[str], EmailMessage, bytes]] = []
        self.answers_to_rcpt: list[str] = []
        self.answers_to_data: list[str] = []
        self.users: list[bytes] = []

    async def handle_RCPT(self, server, session, envelope, address, rcpt_options):
        if self.answers_to_rcpt:
            return self.answers_to_rcpt.pop(0)
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, server, session, envelope):
        answer = self.answers_to_data.pop(0) if self.answers_to_data else "250 Taken"
        if answer.startswith("250") or answer == "lost":
            self.taken.append(
                (
                    envelope.rcpt_tos,
                    email.message_from_bytes(envelope.content, policy=email.policy.default),
                    envelope.content,
                )
            )
        if answer == "lost":
            server.transport.abort()
        return answer


@contextmanager
def serving(mailbox: Mailbox, **options) -> Iterator[MailSettings]:
    """Run the mailbox's server on a free port of this machine."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    controller = Controller(mailbox, hostname="127.0.0.1", port=port, **options)
    controller.start()
    try:
        yield MailSettings("127.0.0.1", port, "none", "office@firm.example", timeout_s=30)
    finally:
        controller.stop()


@pytest.fixture
def mailbox() -> Mailbox:
    """A mailbox that takes everything until it is told otherwise."""
    return Mailbox()


@pytest.fixture
def mail(mailbox: Mailbox) -> Iterator[MailSettings]:
    """The settings of the mailbox's server."""
    with serving(mailbox) as settings:
        yield settings


class Desk:
    """An office with one survey and one report version to send."""

    def __init__(self, office) -> None:
        self.settings = office.settings
        firm_id = find_or_add_firm(ADA.firm).id
        with writing() as session:
            firm = session.get_one(Firm, firm_id)
            firm.email = "ada@teasel.example"
            session.add(StoredSurvey(id="house", firm_id=firm.id, revision=1, made_at=now(), changed_at=now()))
            session.flush()
            self.report = Report(
                id=str(uuid7()),
                survey_id="house",
                number=3,
                revision=1,
                made_at=now(),
                user_id=None,
                pages=1,
                size_bytes=len(PDF),
                file_name="house/3.pdf",
            )
            session.add(self.report)
        path = self.settings.reports / "house" / "3.pdf"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(PDF)

    def write(
        self,
        to: str = "household@home.example",
        subject: str = "Your heat pump",
        message: str = "Good morning,\n\nhere it is.\n",
        at: datetime = START,
    ) -> str:
        """Put a message into the outbox and return its id."""
        with writing() as session:
            return outbox.enqueue(
                session, survey_id="house", report=self.report, to=to, subject=subject, message=message, at=at
            ).id

    def row(self, message: str) -> Email:
        """Return a message's row as it stands."""
        with reading() as session:
            return session.get_one(Email, message, populate_existing=True)

    def send(self, mail: MailSettings | None, at: datetime = START) -> list[tuple[str, str]]:
        """Send what waits."""
        return outbox.send_waiting(self.settings, mail, at=lambda: at)


@pytest.fixture
def desk(database_url: str, tmp_path: Path) -> Iterator[Desk]:
    """A desk in an office of its own, on each make of database."""
    with open_office(database_url, tmp_path / "home") as office, office.app.app_context():
        yield Desk(office)


def test_a_message_is_sent_with_its_report(desk, mail, mailbox):
    message = desk.write(message="Good morning,\n\nhere it is: <b>bold</b>.\n.\nA line after a dot.\n")
    assert desk.send(mail) == [(message, "sent")]
    row = desk.row(message)
    assert (row.state, row.attempts, row.sent_at, row.leased_until, row.last_error) == ("sent", 1, START, None, None)
    [(to, taken, _content)] = mailbox.taken
    assert to == ["household@home.example"]
    assert taken["Message-ID"] == row.message_id
    assert taken["From"] == "Teasel Heating <office@firm.example>"
    assert taken["Reply-To"] == "ada@teasel.example"
    assert taken["To"] == "household@home.example"
    assert taken["Subject"] == "Your heat pump"
    assert taken["Date"].datetime == START
    plain = taken.get_body(("plain",)).get_content().replace("\r\n", "\n")
    assert plain == "Good morning,\n\nhere it is: <b>bold</b>.\n.\nA line after a dot.\n"
    assert "&lt;b&gt;bold&lt;/b&gt;" in taken.get_body(("html",)).get_content()
    [attached] = taken.iter_attachments()
    assert attached.get_filename() == "heat-pump-quotation-version-3.pdf"
    assert attached.get_content() == PDF


def test_a_sent_message_is_not_sent_again(desk, mail, mailbox):
    desk.write()
    desk.send(mail)
    assert desk.send(mail, START + timedelta(days=1)) == []
    assert len(mailbox.taken) == 1


@pytest.mark.parametrize("where", ["answers_to_rcpt", "answers_to_data"])
def test_a_refusal_for_good_fails_with_the_servers_words(desk, mail, mailbox, where):
    getattr(mailbox, where).append("550 No such mailbox here")
    message = desk.write()
    assert desk.send(mail) == [(message, "failed")]
    assert desk.row(message).last_error == "The mail server answered 550 No such mailbox here"
    assert desk.send(mail, START + timedelta(days=1)) == []
    assert mailbox.taken == []


@pytest.mark.parametrize("where", ["answers_to_rcpt", "answers_to_data"])
def test_a_refusal_for_now_is_tried_again_later_as_the_same_message(desk, mail, mailbox, where):
    getattr(mailbox, where).append("451 Come back later")
    message = desk.write()
    assert desk.send(mail) == [(message, "waiting")]
    row = desk.row(message)
    assert (row.attempts, row.next_try_at) == (1, START + timedelta(minutes=1))
    assert desk.send(mail, START + timedelta(seconds=59)) == []
    assert desk.send(mail, START + timedelta(minutes=1)) == [(message, "sent")]
    [(_to, taken, _content)] = mailbox.taken
    assert taken["Message-ID"] == row.message_id
    assert desk.row(message).attempts == 2


def test_a_server_that_is_not_there_is_tried_eight_times_ever_further_apart(desk):
    with socket.socket() as nobody:
        nobody.bind(("127.0.0.1", 0))
        mail = MailSettings("127.0.0.1", nobody.getsockname()[1], "none", "office@firm.example", timeout_s=2)
        message, at, waits = desk.write(), START, []
        while desk.send(mail, at) == [(message, "waiting")]:
            waits.append(desk.row(message).next_try_at - at)
            at = desk.row(message).next_try_at
    assert [int(wait.total_seconds() // 60) for wait in waits] == [1, 2, 4, 8, 16, 32, 64]
    assert desk.row(message).state == "failed"
    assert "could not be used" in desk.row(message).last_error


def test_a_connection_lost_after_the_message_is_for_a_person_to_decide(desk, mail, mailbox):
    mailbox.answers_to_data.append("lost")
    message = desk.write()
    assert desk.send(mail) == [(message, "uncertain")]
    assert "Look in the mailbox before sending it again." in desk.row(message).last_error
    assert desk.send(mail, START + timedelta(days=1)) == []
    with writing() as session:
        outbox.retry(session, session.get_one(Email, message))
    assert desk.send(mail, START + timedelta(days=1)) == [(message, "sent")]
    assert len({taken["Message-ID"] for _to, taken, _content in mailbox.taken}) == 1
    # Tried again it is the same message to the byte, so a mailbox can tell.
    assert mailbox.taken[0][2] == mailbox.taken[1][2]


def test_a_message_whose_sender_died_while_it_was_taken_is_set_aside(desk, mail, mailbox):
    message = desk.write()
    outbox._note_handing_over(outbox._lease(START), lambda: START)
    assert desk.send(mail, START + outbox.LEASE) == []
    assert desk.row(message).state == "sending"
    assert desk.send(mail, START + outbox.LEASE + timedelta(seconds=1)) == []
    row = desk.row(message)
    assert (row.state, row.handed_over_at) == ("uncertain", START)
    assert "Look in the mailbox before sending it again." in row.last_error
    assert mailbox.taken == []
    with writing() as session:
        outbox.retry(session, session.get_one(Email, message))
    assert desk.send(mail) == [(message, "sent")]


def test_a_message_whose_sender_died_before_that_is_sent_by_the_next(desk, mail, mailbox):
    message = desk.write()
    outbox._lease(START)
    assert desk.send(mail, START + outbox.LEASE) == []
    assert desk.row(message).state == "sending"
    assert desk.send(mail, START + outbox.LEASE + timedelta(seconds=1)) == [(message, "sent")]
    assert (desk.row(message).attempts, len(mailbox.taken)) == (2, 1)


def test_a_message_that_never_comes_to_be_handed_over_fails_after_eight_times(desk, mail, mailbox):
    message, at = desk.write(), START
    for _ in range(outbox.MOST_ATTEMPTS):
        assert outbox._lease(at) is not None
        at += outbox.LEASE + timedelta(seconds=1)
        outbox._set_free_the_orphaned(at)
    assert desk.row(message).state == "failed"
    assert desk.send(mail, at) == []
    assert mailbox.taken == []


def test_a_sender_that_was_only_slow_hands_nothing_over_that_has_become_anothers(desk, mail, mailbox):
    message = desk.write()
    slow = outbox._lease(START)
    late = START + outbox.LEASE + timedelta(seconds=1)
    assert desk.send(mail, late) == [(message, "sent")]
    with pytest.raises(LeaseLostError):
        outbox._note_handing_over(slow, lambda: late)
    with pytest.raises(LeaseLostError):
        outbox._put_down(slow, "failed", "too late", None, lambda: late)
    assert desk.row(message).state == "sent"
    assert len(mailbox.taken) == 1


def test_what_a_slow_sender_has_to_say_of_an_uncertain_message_is_taken(desk, mail, mailbox):
    message = desk.write()
    slow = outbox._lease(START)
    outbox._note_handing_over(slow, lambda: START)
    late = START + outbox.LEASE + timedelta(seconds=1)
    assert desk.send(mail, late) == []
    assert desk.row(message).state == "uncertain"
    outbox._put_down(slow, "sent", None, None, lambda: late)
    assert (desk.row(message).state, desk.row(message).sent_at, desk.row(message).last_error) == ("sent", late, None)


def test_a_lease_is_renewed_while_the_mail_server_takes_its_time(desk, mail, mailbox, monkeypatch):
    monkeypatch.setattr(leases, "_BEAT_S", 0.05)
    message, moments = desk.write(), iter(START + timedelta(seconds=5 * step) for step in range(10_000))
    seen = []

    def slow(*_given, before_end):
        def looked() -> bool:
            with reading() as session:
                until = session.scalars(select(Email.leased_until).where(Email.id == message)).one()
            seen.extend([until] if until not in seen else [])
            return len(seen) >= 3

        wait_until(looked, "the lease is not renewed")
        before_end()

    monkeypatch.setattr(outbox, "deliver", slow)
    assert outbox.send_waiting(desk.settings, mail, at=lambda: next(moments), most=1) == [(message, "sent")]
    assert len(seen) == 3
    assert seen == sorted(seen)
    assert desk.row(message).handed_over_at is not None


def test_a_message_of_which_only_the_end_is_missing_has_not_been_taken(desk, mail, mailbox, monkeypatch):
    message = desk.write()

    def stop(*_given):
        raise LeaseLostError(message)

    monkeypatch.setattr(outbox, "_note_handing_over", stop)
    assert desk.send(mail) == [(message, "lost")]
    monkeypatch.undo()
    assert mailbox.taken == []
    assert desk.send(mail, START + outbox.LEASE + timedelta(seconds=1)) == [(message, "sent")]
    assert len(mailbox.taken) == 1


def test_without_a_mail_server_the_message_is_kept_as_a_file(desk):
    message = desk.write(subject="Ihr Wärmepumpen-Angebot für £9,000")
    assert desk.send(None) == [(message, "held_as_file")]
    row = desk.row(message)
    path = desk.settings.home / "outbox" / row.file_name
    kept = email.message_from_bytes(path.read_bytes(), policy=email.policy.default)
    assert kept["Subject"] == "Ihr Wärmepumpen-Angebot für £9,000"
    assert kept["From"] == "Teasel Heating <ada@teasel.example>"
    assert kept["Message-ID"] == row.message_id
    assert [item.name for item in path.parent.iterdir()] == [row.file_name]


def test_a_held_message_goes_out_on_a_persons_word(desk, mail, mailbox):
    message = desk.write()
    desk.send(None)
    assert desk.send(mail) == []
    with writing() as session:
        outbox.retry(session, session.get_one(Email, message))
    assert desk.send(mail) == [(message, "sent")]


@pytest.mark.parametrize("state", ["waiting", "sending", "sent"])
def test_only_what_waits_for_a_person_is_tried_again(desk, state):
    message = desk.write()
    with writing() as session:
        row = session.get_one(Email, message)
        row.state = state
        with pytest.raises(SurveyError, match=f"The message is {state}"):
            outbox.retry(session, row)


def test_a_report_whose_file_is_gone_fails_in_words(desk, mail, mailbox):
    message = desk.write()
    (desk.settings.reports / "house" / "3.pdf").unlink()
    assert desk.send(mail) == [(message, "failed")]
    assert "The file of version 3 is missing at the office." in desk.row(message).last_error
    (desk.settings.reports / "house" / "3.pdf").write_bytes(PDF)
    with writing() as session:
        outbox.retry(session, session.get_one(Email, message))
    assert desk.send(mail) == [(message, "sent")]


def test_a_report_whose_file_is_damaged_is_not_sent(desk, mail, mailbox):
    with writing() as session:
        session.get_one(Report, desk.report.id).sha256 = hashlib.sha256(PDF).hexdigest()
    (desk.settings.reports / "house" / "3.pdf").write_bytes(bytes(len(PDF)))
    message = desk.write()
    assert desk.send(mail) == [(message, "failed")]
    assert "is damaged" in desk.row(message).last_error
    assert mailbox.taken == []


def test_messages_go_in_the_order_they_were_written(desk, mail, mailbox):
    for place in range(3):
        desk.write(subject=f"Message {place}", at=START + timedelta(seconds=place))
    desk.send(mail)
    assert [taken["Subject"] for _to, taken, _content in mailbox.taken] == ["Message 0", "Message 1", "Message 2"]


def test_no_message_is_sent_by_two_at_once(desk, mail, mailbox):
    desk.write()
    first = outbox._lease(START)
    assert first is not None
    assert desk.send(mail) == []
    assert mailbox.taken == []


def test_a_message_that_another_is_just_taking_is_passed_over_at_once(desk):
    """On PostgreSQL two transactions look at the same moment; SQLite has one writer at a time."""
    if db.engine.dialect.name != "postgresql":
        pytest.skip("SQLite has one writer at a time.")
    taken, next_one = desk.write(at=START), desk.write(at=START + timedelta(seconds=1))
    app, found = current_app._get_current_object(), queue.Queue()

    def look(times: int) -> None:
        with app.app_context():
            for _ in range(times):
                email = outbox._lease(START)
                found.put(email.id if email is not None else None)

    other = db.engine.connect()
    try:
        other.execute(
            update(Email)
            .where(Email.id == taken)
            .values(state="sending", owner="another", leased_until=START + timedelta(minutes=1))
        )
        # The other has not committed: whoever waits for it, or takes what it has taken, is found out here.
        looking = threading.Thread(target=look, args=(2,), daemon=True)
        looking.start()
        assert found.get(timeout=PATIENCE_S) == next_one
        assert found.get(timeout=PATIENCE_S) is None
        other.commit()
    finally:
        other.close()
    looking.join(PATIENCE_S)
    assert desk.row(taken).owner == "another"


def test_four_senders_at_once_send_each_message_once(desk, mail, mailbox):
    written = {desk.write(subject=f"Message {place}") for place in range(24)}
    app, sent = current_app._get_current_object(), []

    def send(_place: int, _item: None) -> None:
        with app.app_context():
            sent.extend(outbox.send_waiting(desk.settings, mail, at=lambda: START, most=30))

    together(send, [None] * 4)
    assert sorted(sent) == sorted((message, "sent") for message in written)
    assert sorted(taken["Message-ID"] for _to, taken, _content in mailbox.taken) == sorted(
        desk.row(message).message_id for message in written
    )


@pytest.mark.parametrize(
    ("to", "subject", "message", "field"),
    [
        ("household@home.example\nBcc: other@elsewhere.example", "s", "m", "to"),
        ("a@b.example, c@d.example", "s", "m", "to"),
        ("Household <a@b.example>", "s", "m", "to"),
        ("a..b@c.example", "s", "m", "to"),
        ("a@localhost", "s", "m", "to"),
        ("", "s", "m", "to"),
        ("a@b.example", "Offer\r\nBcc: other@elsewhere.example", "m", "subject"),
        ("a@b.example", "Offer\x00", "m", "subject"),
        ("a@b.example", "Offer\u2028Bcc: x", "m", "subject"),
        ("a@b.example", " ", "m", "subject"),
        ("a@b.example", "s" * 201, "m", "subject"),
        ("a@b.example", "s", " \n", "message"),
        ("a@b.example", "s", "m\x00", "message"),
        ("a@b.example", "s", "m" * 20_001, "message"),
    ],
)
def test_what_cannot_be_sent_is_refused_by_name(to, subject, message, field):
    with pytest.raises(SurveyError) as refused:
        check_message(to, subject, message)
    assert [problem.field for problem in refused.value.problems] == [field]


def test_a_firm_with_an_odd_name_makes_no_headers_of_its_own():
    content = compose(
        message_id="<1@outbox.wattwalk.invalid>",
        made_at=START,
        sender="office@firm.example",
        sender_name='Firm"\r\nBcc: x@y.example',
        reply_to="x\r\n@y.example",
        to="a@b.example",
        subject="s",
        message="m",
        attached=[("r.pdf", "application/pdf", PDF)],
    )
    read = email.message_from_bytes(content, policy=email.policy.default)
    assert read["Bcc"] is None
    assert read["Reply-To"] is None
    assert read["From"].addresses[0].addr_spec == "office@firm.example"


@pytest.mark.parametrize("good", ["a@b.example", "first.last+tag@mail.home.example", "o'hara@b-c.example"])
def test_plain_addresses_are_taken(good):
    assert is_address(good)


def test_settings_are_read_and_refused_by_name():
    full = {"WATTWALK_SMTP_HOST": "mail.firm.example", "WATTWALK_SMTP_FROM": "office@firm.example"}
    assert read_mail_settings({}) is None
    assert read_mail_settings(full) == MailSettings("mail.firm.example", 587, "starttls", "office@firm.example")
    assert read_mail_settings({**full, "WATTWALK_SMTP_SECURITY": "ssl"}).port == 465
    assert read_mail_settings({**full, "WATTWALK_SMTP_SECURITY": "none"}).port == 25
    for name, value in (
        ("WATTWALK_SMTP_PORT", "many"),
        ("WATTWALK_SMTP_PORT", "70000"),
        ("WATTWALK_SMTP_SECURITY", "tls1"),
        ("WATTWALK_SMTP_FROM", "nobody"),
    ):
        with pytest.raises(SettingError, match=name):
            read_mail_settings({**full, name: value})


def test_a_server_without_starttls_is_told_nothing(desk, mail, mailbox):
    secured = MailSettings(mail.host, mail.port, "starttls", mail.sender, timeout_s=30)
    message = desk.write()
    assert desk.send(secured) == [(message, "failed")]
    assert "STARTTLS" in desk.row(message).last_error
    assert mailbox.taken == []


def test_starttls_and_a_sign_in_are_used(desk, mailbox, tmp_path, monkeypatch):
    import ssl

    assert shutil.which("openssl"), "This test needs the Debian package openssl."
    key, certificate = tmp_path / "key.pem", tmp_path / "certificate.pem"
    subprocess.run(
        [
            "openssl",
            "req",
            "-x509",
            "-newkey",
            "rsa:2048",
            "-nodes",
            "-days",
            "2",
            "-subj",
            "/CN=127.0.0.1",
            "-addext",
            "subjectAltName=IP:127.0.0.1",
            "-keyout",
            key,
            "-out",
            certificate,
        ],
        check=True,
        capture_output=True,
    )
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(certificate, key)

    def authenticate(server, session, envelope, mechanism, auth_data):
        mailbox.users.append(auth_data.login)
        is_right = auth_data.password == b"a password"
        return AuthResult(success=is_right, handled=is_right)

    with serving(
        mailbox, tls_context=context, require_starttls=True, authenticator=authenticate, auth_required=True
    ) as plain:
        secured = MailSettings(plain.host, plain.port, "starttls", plain.sender, "office", "a password", timeout_s=30)
        untrusted = desk.write()
        assert desk.send(secured) == [(untrusted, "waiting")]
        monkeypatch.setenv("SSL_CERT_FILE", str(certificate))
        trusted = desk.write()
        assert desk.send(secured) == [(trusted, "sent")]
        wrong = desk.write()
        assert desk.send(
            MailSettings(plain.host, plain.port, "starttls", plain.sender, "office", "wrong", timeout_s=30)
        ) == [(wrong, "failed")], desk.row(wrong).last_error
    assert mailbox.users[0] == b"office"
    assert len(mailbox.taken) == 1
