"""Senders that die at every step of a message: nothing is sent twice, nothing is lost unseen, and a person is asked only where nobody can know."""

from __future__ import annotations

import signal
from collections import Counter
from datetime import timedelta

import pytest
from sqlalchemy import select

from tests.office.test_outbox import Desk, Mailbox, desk, mail, mailbox
from tests.support.dying import MAIL_STEPS, run_and_die
from tests.support.until import wait_until
from wattwalk.database import now, reading
from wattwalk.models import Email
from wattwalk.office import outbox
from wattwalk.office.mail import MailSettings

__all__ = ["desk", "mail", "mailbox"]

#: After these the mail server has the message, or may have it: only a person can say.  Before them it certainly has not.
MAY_HAVE_GONE = {"noted", "end sent", "answered"}


@pytest.mark.parametrize("step", MAIL_STEPS)
def test_a_sender_that_dies(desk: Desk, mail: MailSettings, mailbox: Mailbox, step: str) -> None:
    message = desk.write(at=now())
    assert run_and_die(desk.settings, mail.port, f"mail: {step}") == -signal.SIGKILL
    row = desk.row(message)
    if step == "put down":
        assert (row.state, len(mailbox.taken)) == ("sent", 1)
        return
    assert (row.state, row.handed_over_at is not None) == ("sending", step in MAY_HAVE_GONE)
    # Whether its owner is gone is not known before its lease has run out.
    assert desk.send(mail, now()) == []
    assert row.leased_until - now() <= outbox.LEASE
    after = now() + outbox.LEASE + timedelta(seconds=1)
    # Within two looks it is decided: nothing stays `sending` for longer than a lease.
    desk.send(mail, after)
    row = desk.row(message)
    if step in MAY_HAVE_GONE:
        assert row.state == "uncertain"
        # The mail server, a thread of ours, may still be taking what was sent just before the sender died.
        wait_until(lambda: len(mailbox.taken) >= (0 if step == "noted" else 1), "the message does not arrive")
        assert desk.send(mail, after + timedelta(days=1)) == []
        assert len(mailbox.taken) == (0 if step == "noted" else 1)
    else:
        assert row.state == "sent"
        assert len(mailbox.taken) == 1


def test_many_die_one_after_the_other(desk: Desk, mail: MailSettings, mailbox: Mailbox, say) -> None:
    """Twelve messages, a death at every step in turn with some of them on their way: the sum of it all."""
    written = {
        desk.write(subject=f"Message {place}", at=now() + timedelta(milliseconds=place)): f"Message {place}"
        for place in range(12)
    }
    died = 0
    for step in MAIL_STEPS:
        died += run_and_die(desk.settings, mail.port, f"mail: {step}") == -signal.SIGKILL
    desk.send(mail, now() + outbox.LEASE + timedelta(seconds=1))
    with reading() as session:
        states = dict(iter(session.execute(select(Email.id, Email.state))))
    arrived = Counter(taken["Subject"] for _to, taken, _content in mailbox.taken)
    doubled = sum(count - 1 for count in arrived.values())
    lost = sum(1 for message, subject in written.items() if arrived[subject] == 0 and states[message] != "uncertain")
    wrongly = sum(1 for message, subject in written.items() if arrived[subject] == 0 and states[message] == "uncertain")
    say(
        f"{died} senders died over {len(written)} messages: {doubled} doubled, {lost} lost, {Counter(states.values())['uncertain']} uncertain, {wrongly} of them not sent"
    )
    assert died == len(MAIL_STEPS)
    assert (doubled, lost) == (0, 0)
    assert set(states.values()) <= {"sent", "uncertain"}
    # The moment between the note and the last five bytes is the one in which an unsent message looks like a sent one.
    assert wrongly == 1
