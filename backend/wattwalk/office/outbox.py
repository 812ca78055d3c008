"""The outbox: a row per message, sent once as far as SMTP allows, and a person asked where it does not."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any, cast

from sqlalchemy import CursorResult, or_, select, update
from sqlalchemy.orm import Session
from uuid_utils import uuid7

from wattwalk.config import Settings
from wattwalk.database import now as clock
from wattwalk.database import reading, writing
from wattwalk.files import write_whole
from wattwalk.models import Email, Firm, Report, StoredSurvey
from wattwalk.survey.errors import Problem, SurveyError

from .leases import LEASE, LeaseLostError, held, new_owner
from .mail import (
    DeliveryError,
    MailSettings,
    UncertainDeliveryError,
    attachment_name,
    check_message,
    compose,
    deliver,
    is_address,
)
from .paper_names import PAGE
from .papers import PaperError, papers_beside, read_paper

MOST_ATTEMPTS = 8
#: States that only a person's decision leaves.
FOR_A_PERSON = frozenset({"failed", "uncertain", "held_as_file"})


def enqueue(
    session: Session, *, survey_id: str, report: Report, to: str, subject: str, message: str, at: datetime | None = None
) -> Email:
    """Put a message that carries a report into the outbox.

    Parameters
    ----------
    session : Session
        A writing transaction; the caller's commit makes the message real.
    survey_id : str
        The survey the report is of.
    report : Report
        The version to attach.
    to, subject, message : str
        One address, one line, plain text.
    at : datetime, optional
        The moment of it; the server's clock by default.

    Returns
    -------
    Email
        The row, in state ``waiting``; its Message-ID stays the same however often it is tried.

    Raises
    ------
    SurveyError
        When the address, the subject or the text cannot be sent.
    """
    to, subject = to.strip(), subject.strip()
    check_message(to, subject, message)
    email_id = str(uuid7())
    email = Email(
        id=email_id,
        survey_id=survey_id,
        report_id=report.id,
        to=to,
        subject=subject,
        message=message,
        message_id=f"<{email_id}@outbox.wattwalk.invalid>",
        state="waiting",
        attempts=0,
        created_at=at or clock(),
    )
    session.add(email)
    session.flush()
    return email


def retry(session: Session, email: Email) -> Email:
    """Let a message wait again on a person's word.

    Raises
    ------
    SurveyError
        When the message is not one that waits for a person.
    """
    if email.state not in FOR_A_PERSON:
        raise SurveyError(
            [
                Problem(
                    "not_for_retry",
                    f"The message is {email.state}; only a failed, uncertain or held one can be tried again.",
                    "state",
                )
            ]
        )
    email.state, email.attempts, email.next_try_at, email.leased_until, email.last_error = (
        "waiting",
        0,
        None,
        None,
        None,
    )
    email.owner = email.handed_over_at = None
    return email


def _wait_after(attempts: int) -> timedelta:
    """Return how long to wait after that many attempts: a minute, then twice as long each time, six hours at most."""
    return min(timedelta(minutes=2 ** max(attempts - 1, 0)), timedelta(hours=6))


def _set_free_the_orphaned(moment: datetime) -> None:
    """Let messages whose worker died wait again, and hand those to a person whose end may have gone out already."""
    orphaned = select(Email).where(Email.state == "sending", Email.leased_until < moment)
    with reading() as session:
        if session.scalars(orphaned.with_only_columns(Email.id).limit(1)).first() is None:
            return
    with writing() as session:
        for email in session.scalars(
            orphaned.with_for_update(skip_locked=True), execution_options={"populate_existing": True}
        ):
            email.leased_until = None
            if email.handed_over_at is not None:
                # Its owner stays named: should it only have been slow, what it has to say is still taken.
                email.state, email.last_error = (
                    "uncertain",
                    "The program stopped while the mail server was taking this message. Look in the mailbox before sending it again.",
                )
            elif email.attempts >= MOST_ATTEMPTS:
                email.state, email.owner, email.last_error = (
                    "failed",
                    None,
                    "The program stopped each time before it could hand this message over.",
                )
            else:
                email.state, email.owner, email.next_try_at = "waiting", None, None


def _lease(moment: datetime) -> Email | None:
    due = or_(Email.next_try_at.is_(None), Email.next_try_at <= moment)
    waiting = select(Email).where(Email.state == "waiting", due).order_by(Email.created_at, Email.id).limit(1)
    with reading() as session:
        # Looking is all that happens most of the time, and a look keeps no writer waiting.
        if session.scalars(waiting.with_only_columns(Email.id)).first() is None:
            return None
    with writing() as session:
        email = session.scalars(
            waiting.with_for_update(skip_locked=True), execution_options={"populate_existing": True}
        ).first()
        if email is None:
            return None
        email.state, email.attempts, email.owner = "sending", email.attempts + 1, new_owner()
        email.leased_until, email.handed_over_at = moment + LEASE, None
    # What is in hand keeps its owner's name, whatever else is read of the row meanwhile.
    session.expunge(email)
    return email


def _note_handing_over(email: Email, at: Callable[[], datetime]) -> None:
    """Write down that the end of a message goes out now, while it is still ours to send.

    Raises
    ------
    LeaseLostError
        When it has gone to somebody else meanwhile, or writing it down took so long that it may have.
    """
    begun = time.monotonic()
    mine = (Email.id == email.id, Email.owner == email.owner, Email.state == "sending")
    with writing() as session:
        values = {"handed_over_at": at(), "leased_until": at() + LEASE}
        done = session.execute(update(Email).where(*mine).values(**values).execution_options(synchronize_session=False))
        is_ours = cast("CursorResult[Any]", done).rowcount == 1
    if not is_ours or time.monotonic() - begun > LEASE.total_seconds():
        raise LeaseLostError(email.id)


def _bytes_of(email: Email, mail: MailSettings | None, settings: Settings) -> bytes:
    with reading() as session:
        report = session.get_one(Report, email.report_id)
        firm = session.get_one(Firm, session.get_one(StoredSurvey, email.survey_id).firm_id)
        page = next((paper for paper in papers_beside(session, report) if paper.name == PAGE), None)
    sender = mail.sender if mail is not None else firm.email if is_address(firm.email) else ""
    try:
        number = report.number
        attached = [(attachment_name(number), "application/pdf", read_paper(settings, report, number))]
        if page is not None:
            # The same as one page for a phone; bytes, so that no mail server lays its lines out anew.
            attached.append(
                (attachment_name(number, "html"), "application/octet-stream", read_paper(settings, page, number))
            )
    except PaperError as error:
        raise DeliveryError(
            f"{error} The Reports page says whether it can be made again.", is_permanent=True
        ) from error
    return compose(
        message_id=email.message_id,
        made_at=email.created_at,
        sender=sender,
        sender_name=firm.name,
        reply_to=firm.email,
        to=email.to,
        subject=email.subject,
        message=email.message,
        attached=attached,
    )


def _keep_as_file(folder: Path, email: Email, content: bytes) -> str:
    """Write a message beside the database so that a crash leaves the old file or the whole new one."""
    name = f"{email.id}.eml"
    write_whole(folder / name, content)
    return name


def _attempt(
    email: Email, mail: MailSettings | None, settings: Settings, at: Callable[[], datetime]
) -> tuple[str, str | None, str | None]:
    """Try one message; return its new state, what went wrong, and the name of its file."""
    try:
        content = _bytes_of(email, mail, settings)
        if mail is None:
            return "held_as_file", None, _keep_as_file(settings.home / "outbox", email, content)
        deliver(mail, email.to, content, before_end=lambda: _note_handing_over(email, at))
    except UncertainDeliveryError as error:
        return "uncertain", f"{error} Look in the mailbox before sending it again.", None
    except DeliveryError as error:
        if error.is_permanent or email.attempts >= MOST_ATTEMPTS:
            return "failed", str(error), None
        return "waiting", str(error), None
    except OSError as error:
        return "failed", str(error), None
    return "sent", None, None


def send_waiting(
    settings: Settings,
    mail: MailSettings | None,
    *,
    stop: threading.Event | None = None,
    at: Callable[[], datetime] = clock,
    most: int = 20,
) -> list[tuple[str, str]]:
    """Send what waits, one message after the other.

    Parameters
    ----------
    settings : Settings
        Where reports and held messages lie.
    mail : MailSettings or None
        None keeps each message as an ``.eml`` file under ``outbox`` instead.
    stop : Event, optional
        Once it is set, no further message is begun.
    at : callable
        The clock.
    most : int
        The most messages of one call.

    Returns
    -------
    list of tuple
        ``(id, state)`` of each message tried.

    Notes
    -----
    Needs the application's context.  The lease is committed before a byte is sent, that the end goes out before it does, and the outcome
    after: two workers never send one message, a message whose worker died before its end went out is sent by the next one, and one whose
    worker died after that is set aside for a person.
    """
    _set_free_the_orphaned(at())
    tried: list[tuple[str, str]] = []
    while len(tried) < most and not (stop is not None and stop.is_set()) and (email := _lease(at())) is not None:
        try:
            with held(email, at=at):
                state, error, file_name = _attempt(email, mail, settings, at)
            _put_down(email, state, error, file_name, at)
        except LeaseLostError:
            state = "lost"
        tried.append((email.id, state))
    return tried


def _put_down(email: Email, state: str, error: str | None, file_name: str | None, at: Callable[[], datetime]) -> None:
    with writing() as session:
        mine = select(Email).where(Email.id == email.id, Email.owner == email.owner).with_for_update()
        row = session.scalars(mine, execution_options={"populate_existing": True}).one_or_none()
        if row is None:
            raise LeaseLostError(email.id)
        row.state, row.last_error, row.leased_until, row.owner = state, error, None, None
        row.handed_over_at = row.handed_over_at if state in ("sent", "uncertain") else None
        row.file_name = file_name or row.file_name
        row.sent_at = at() if state == "sent" else row.sent_at
        row.next_try_at = at() + _wait_after(row.attempts) if state == "waiting" else None
