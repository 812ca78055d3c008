"""One email: its settings, its bytes, and handing it to a mail server knowing what the server has taken."""

from __future__ import annotations

import html
import os
import re
import smtplib
import ssl
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from email.headerregistry import Address
from email.message import EmailMessage
from email.policy import SMTP
from email.utils import format_datetime

from wattwalk.config import SettingError
from wattwalk.survey.errors import Problem, SurveyError, WattwalkError

_SECURITIES = ("starttls", "ssl", "none")
_USUAL_PORT = {"starttls": 587, "ssl": 465, "none": 25}
_ADDRESS = re.compile(
    r"[A-Za-z0-9.!#$%&'*+/=?^_`{|}~-]{1,64}@(?:[A-Za-z0-9](?:[A-Za-z0-9-]{0,61}[A-Za-z0-9])?\.)+[A-Za-z]{2,63}"
)
_LONGEST_ADDRESS, _LONGEST_SUBJECT, _LONGEST_MESSAGE = 254, 200, 20_000


@dataclass(frozen=True)
class MailSettings:
    """How to reach the firm's mail server.

    ``security`` is ``starttls``, ``ssl`` or ``none``; ``timeout_s`` holds for each answer of the server.
    """

    host: str
    port: int
    security: str
    sender: str
    user: str = ""
    password: str = ""
    timeout_s: float = 30.0


def read_mail_settings(environment: Mapping[str, str] | None = None) -> MailSettings | None:
    """Read ``WATTWALK_SMTP_HOST``, ``_PORT``, ``_SECURITY``, ``_USER``, ``_PASSWORD`` and ``_FROM``.

    Returns
    -------
    MailSettings or None
        None without a host: messages are then kept as files.

    Raises
    ------
    SettingError
        When a setting cannot be meant; the message names the variable.
    """
    given = os.environ if environment is None else environment
    host = given.get("WATTWALK_SMTP_HOST", "").strip()
    if not host:
        return None
    security = given.get("WATTWALK_SMTP_SECURITY", "").strip().lower() or "starttls"
    if security not in _SECURITIES:
        raise SettingError(f"WATTWALK_SMTP_SECURITY: found {security!r}, expected one of {', '.join(_SECURITIES)}.")
    port = given.get("WATTWALK_SMTP_PORT", "").strip() or str(_USUAL_PORT[security])
    if not (port.isascii() and port.isdigit() and 0 < int(port) < 65536):
        raise SettingError(f"WATTWALK_SMTP_PORT: found {port!r}, expected a whole number from 1 to 65535.")
    sender = given.get("WATTWALK_SMTP_FROM", "").strip()
    if not is_address(sender):
        raise SettingError(f"WATTWALK_SMTP_FROM: found {sender!r}, expected the email address that messages come from.")
    return MailSettings(
        host, int(port), security, sender, given.get("WATTWALK_SMTP_USER", ""), given.get("WATTWALK_SMTP_PASSWORD", "")
    )


def is_address(text: str) -> bool:
    """Say whether a text is one plain email address that a mail server can be told."""
    if len(text) > _LONGEST_ADDRESS or _ADDRESS.fullmatch(text) is None:
        return False
    local = text.rsplit("@", 1)[0]
    return not (local.startswith(".") or local.endswith(".") or ".." in local)


def check_message(to: str, subject: str, message: str) -> None:
    """Refuse a message that cannot be sent as it is.

    Raises
    ------
    SurveyError
        With a problem per part that is wrong: the address, the subject (one line, so that it can be no
        header of its own), the text.
    """
    problems = []
    if not is_address(to):
        problems.append(
            Problem(
                "not_an_address", f"Found {to[:80]!r}, expected one email address such as name@household.example.", "to"
            )
        )
    if not subject.strip():
        problems.append(Problem("missing_answer", "The message needs a subject.", "subject"))
    elif len(subject) > _LONGEST_SUBJECT or not subject.isprintable():
        problems.append(
            Problem("not_a_subject", f"Expected one line of at most {_LONGEST_SUBJECT} letters.", "subject")
        )
    if not message.strip():
        problems.append(Problem("missing_answer", "The message needs some words.", "message"))
    elif len(message) > _LONGEST_MESSAGE or any(
        not letter.isprintable() and letter not in "\n\r\t" for letter in message
    ):
        problems.append(
            Problem("not_a_message", f"Expected a text of at most {_LONGEST_MESSAGE:,} letters.", "message")
        )
    if problems:
        raise SurveyError(problems)


#: A file that goes with a message: its name, its type, its bytes.
Attachment = tuple[str, str, bytes]


def attachment_name(number: int, ending: str = "pdf") -> str:
    """Return the file name of an attached quotation."""
    return f"heat-pump-quotation-version-{number}.{ending}"


def _as_html(message: str) -> str:
    paragraphs = re.split(r"\n\s*\n", message.replace("\r\n", "\n").strip())
    body = "".join(f"<p>{html.escape(part).replace(chr(10), '<br>')}</p>" for part in paragraphs)
    return f'<!DOCTYPE html><html lang="en-GB"><head><meta charset="utf-8"><title>Message</title></head><body>{body}</body></html>'


def compose(
    *,
    message_id: str,
    made_at: datetime,
    sender: str,
    sender_name: str,
    reply_to: str,
    to: str,
    subject: str,
    message: str,
    attached: Sequence[Attachment],
) -> bytes:
    """Return the bytes of a message: plain text, simple HTML, what goes with it attached.

    The Message-ID and the date were fixed when the message was put in the outbox, so that a message
    sent again is recognised as the same.
    """
    check_message(to, subject, message)
    made = EmailMessage(policy=SMTP)
    made["Message-ID"] = message_id
    made["Date"] = format_datetime(made_at)
    if sender:
        name = "".join(letter for letter in sender_name if letter.isprintable())
        made["From"] = Address(display_name=name, addr_spec=sender)
    if reply_to and reply_to != sender and is_address(reply_to):
        made["Reply-To"] = Address(addr_spec=reply_to)
    made["To"] = Address(addr_spec=to)
    made["Subject"] = subject
    text = message.replace("\r\n", "\n").rstrip() + "\n"
    made.set_content(text)
    made.add_alternative(_as_html(text), subtype="html")
    for name, kind, content in attached:
        main, _, sub = kind.partition("/")
        made.add_attachment(content, maintype=main, subtype=sub, filename=name)
    _fix_boundaries(made, message_id)
    return made.as_bytes()


def _fix_boundaries(made: EmailMessage, message_id: str) -> None:
    """Give each part a boundary made from the Message-ID: the same message is the same bytes each time."""
    stem = re.sub(r"[^A-Za-z0-9]", "", message_id)[:40]
    for place, part in enumerate(part for part in made.walk() if part.is_multipart()):
        part.set_boundary(f"=_{stem}_{place}")


class DeliveryError(WattwalkError, RuntimeError):
    """A message was not taken; ``is_permanent`` says that trying again is of no use as things are."""

    def __init__(self, words: str, *, is_permanent: bool) -> None:
        self.is_permanent = is_permanent
        super().__init__(words)


class UncertainDeliveryError(WattwalkError, RuntimeError):
    """The connection died after the message was handed over and before the server answered: it may or may not be on its way."""


def _answer(code: int, words: bytes) -> DeliveryError:
    said = " ".join(words.decode("utf-8", "replace").split())[:300]
    return DeliveryError(f"The mail server answered {code} {said}", is_permanent=500 <= code < 600)


def _connect(mail: MailSettings) -> smtplib.SMTP:
    context = ssl.create_default_context()
    if mail.security == "ssl":
        return smtplib.SMTP_SSL(mail.host, mail.port, timeout=mail.timeout_s, context=context)
    server = smtplib.SMTP(mail.host, mail.port, timeout=mail.timeout_s)
    if mail.security == "starttls":
        try:
            server.starttls(context=context)
        except BaseException:
            server.close()
            raise
    return server


def deliver(mail: MailSettings, to: str, content: bytes, *, before_end: Callable[[], None] = lambda: None) -> None:
    """Hand one message to the mail server.

    `before_end` is called when all but the end of the message has gone: until the line with the single dot a server may not take a
    message (RFC 5321, 4.1.1.4, from memory), so whoever stops before that has sent nothing.  What it raises ends the conversation there.

    Raises
    ------
    DeliveryError
        When the server certainly has not taken it: refused, not reached, or lost before the message was handed over.
    UncertainDeliveryError
        When the connection died between the message and the answer.
    """
    was_handed_over = False
    server = None
    try:
        server = _connect(mail)
        server.ehlo_or_helo_if_needed()
        if mail.user:
            server.login(mail.user, mail.password)
        for command, argument in (("MAIL", f"FROM:<{mail.sender}>"), ("RCPT", f"TO:<{to}>"), ("DATA", "")):
            code, words = server.docmd(command, argument)
            if code != (354 if command == "DATA" else 250):
                raise _answer(code, words)
        # A line that starts with a dot would end the message early, so it is given a second one.
        server.send(re.sub(rb"(?m)^\.", b"..", content).removesuffix(b"\r\n") + b"\r\n")
        before_end()
        was_handed_over = True
        server.send(b".\r\n")
        code, words = server.getreply()
        if code != 250:
            raise _answer(code, words)
    except smtplib.SMTPResponseException as error:
        answer = error.smtp_error if isinstance(error.smtp_error, bytes) else str(error.smtp_error).encode()
        raise _answer(error.smtp_code, answer) from error
    except (smtplib.SMTPException, OSError) as error:
        if was_handed_over:
            raise UncertainDeliveryError(
                "The connection was lost after the message was handed over and before the mail server answered."
            ) from error
        raise DeliveryError(
            f"The mail server at {mail.host} could not be used: {error}",
            is_permanent=isinstance(error, smtplib.SMTPNotSupportedError),
        ) from error
    finally:
        if server is not None:
            server.close()
