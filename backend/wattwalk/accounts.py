"""Firms, people and the devices they are signed in on."""

from __future__ import annotations

import hashlib
import re
import secrets
from contextlib import suppress
from datetime import timedelta
from functools import cache

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError
from sqlalchemy import Connection, bindparam, delete, select, update
from sqlalchemy.orm import defer
from uuid_utils import uuid7

from .database import BusyError, now, reading, writing
from .guessing import take_back, take_try
from .models import DeviceSession, Firm, Instance, StoredSurvey, User
from .survey.errors import WattwalkError
from .survey.holders import OFFICE
from .survey.validation import EMAIL_PATTERN, has_visible

#: A device that is used stays signed in; one that lies in a drawer this long must sign in again.
SESSION_LIFE = timedelta(days=90)
#: How stale the note of a session's last use may be; a write for every read would cost more than it tells.
SEEN_STALE = timedelta(hours=1)
MIN_PASSWORD = 10
MAX_PASSWORD = 200
_EMAIL = re.compile(EMAIL_PATTERN, re.IGNORECASE)

# Made once: this one is asked at every request, of which hardly one wants the firm's picture.
_FIND_SIGNED_IN = (
    select(DeviceSession.seen_at, User, Firm)
    .join(User, User.id == DeviceSession.user_id)
    .join(Firm, Firm.id == User.firm_id)
    .where(DeviceSession.token_sha256 == bindparam("token"), DeviceSession.seen_at >= bindparam("since"))
    .options(defer(Firm.logo, raiseload=True))
)


_FIND_EPOCH = select(Instance.__table__.c.epoch)


class AccountError(WattwalkError, ValueError):
    """A firm or a person cannot be added as asked; the message says why."""


class WrongSignInError(WattwalkError):
    """Email and password do not belong together; which of them is wrong is not said."""


def is_email(value: object) -> bool:
    """Say whether `value` can be an email address, as far as that can be told without sending to it."""
    return isinstance(value, str) and _EMAIL.fullmatch(value) is not None


def find_or_add_firm(name: str) -> Firm:
    """Return the firm called `name`, made when there is none.

    Raises
    ------
    AccountError
        When the name is empty, longer than 120 characters, not printable, or nothing that can be seen.
    """
    _check_name("firm", name)
    with writing() as session:
        firm = session.scalars(select(Firm).where(Firm.name == name.strip())).one_or_none()
        if firm is None:
            firm = Firm(
                id=str(uuid7()),
                name=name.strip(),
                address="",
                telephone="",
                email="",
                terms="",
                prints_checks=False,
                stages_json="[]",
                exclusions="",
                assumptions="",
            )
            session.add(firm)
        return firm


def add_user(firm: Firm, email: str, name: str, password: str, role: str = OFFICE) -> User:
    """Add a person to a firm; ``role`` is one of :data:`~wattwalk.survey.holders.ROLES`.

    Raises
    ------
    AccountError
        When the email is none or taken, the name is none, as for a firm, or the password is shorter than 10 or longer than 200 characters.
    """
    if not is_email(email):
        raise AccountError(f"Found {email!r}, expected an email address.")
    _check_name("person", name)
    check_password(password)
    password_hash = _hasher().hash(password)
    with writing() as session:
        if session.scalars(select(User.id).where(User.email == email.lower())).one_or_none():
            raise AccountError(f"{email.lower()} signs in here already.")
        user = User(
            id=str(uuid7()),
            firm_id=firm.id,
            email=email.lower(),
            name=name.strip(),
            role=role,
            password_hash=password_hash,
            made_at=now(),
        )
        session.add(user)
        return user


def give_role(email: str, role: str) -> User:
    """Say what a person is to their firm from now on; their phone forgets at its next exchange what the role may not see.

    Raises
    ------
    AccountError
        When nobody signs in with this email.
    """
    with writing() as session:
        user = session.scalars(select(User).where(User.email == email.lower())).one_or_none()
        if user is None:
            raise AccountError(f"Nobody signs in here as {email.lower()}.")
        user.role = role
        return user


def _check_name(whose: str, name: str) -> None:
    if not 1 <= len(name.strip()) <= 120 or not name.isprintable():
        raise AccountError(f"The {whose} needs a name of 1 to 120 printable characters.")
    if not has_visible(name):
        raise AccountError(f"The {whose} needs a name that can be read: every character of this one is invisible.")


def check_password(password: str) -> None:
    """Raise ``AccountError`` for a password that is too short to be one, or too long to be typed."""
    if not MIN_PASSWORD <= len(password) <= MAX_PASSWORD:
        raise AccountError(f"The password needs {MIN_PASSWORD} to {MAX_PASSWORD} characters.")


def sign_in(email: str, password: str, address: str, mark: str | None = None) -> tuple[User, str]:
    """Sign a device in and return the person and the device's token, which is kept nowhere else.

    ``mark`` is what :func:`wattwalk.guessing.know_device` gave the device when somebody signed in on it before.

    Raises
    ------
    WrongSignInError
        When email and password do not belong together.
    TooManyTriesError
        When sign-ins with this email or from this address have to wait.
    """
    # No address is longer and none has a NUL, which PostgreSQL would not take.
    email = email.lower().replace("\0", "")[:254].encode(errors="replace").decode()
    number = take_try(email, address, mark)
    with reading() as session:
        user = session.scalars(select(User).where(User.email == email)).one_or_none()
    is_right = _matches(user.password_hash if user else _hash_of_nobody(), password)
    if user is None or not is_right:
        raise WrongSignInError("Email and password do not belong together.")
    with writing() as session:
        take_back(session, number)
        if _hasher().check_needs_rehash(user.password_hash):
            session.execute(update(User).where(User.id == user.id).values(password_hash=_hasher().hash(password)))
    return user, start_session(user.id)


def start_session(user_id: str) -> str:
    """Sign one more device of a person in and return its token; sessions that have run out are cleared away."""
    token = secrets.token_urlsafe(32)
    with writing() as session:
        session.execute(delete(DeviceSession).where(DeviceSession.seen_at < now() - SESSION_LIFE))
        session.add(DeviceSession(token_sha256=_hash_token(token), user_id=user_id, made_at=now(), seen_at=now()))
    return token


def find_signed_in(token: str) -> tuple[User, Firm] | None:
    """Return the person and the firm that a device's token stands for, or None; its use prolongs it."""
    with reading() as session:
        found = session.execute(
            _FIND_SIGNED_IN, {"token": _hash_token(token), "since": now() - SESSION_LIFE}
        ).one_or_none()
    if found is None:
        return None
    seen_at, user, firm = found
    if seen_at < now() - SEEN_STALE:
        # Nobody who only reads has to wait for a writer: the next request notes it as well.
        with suppress(BusyError), writing(patience_s=0) as session:
            session.execute(
                update(DeviceSession).where(DeviceSession.token_sha256 == _hash_token(token)).values(seen_at=now())
            )
    return user, firm


def session_name(token: str) -> str:
    """Return what a session is called where its token must not be known: 16 hexadecimal digits, the same each time."""
    return hashlib.sha256(b"name of the session " + token.encode(errors="replace")).hexdigest()[:16]


def sign_out(token: str) -> None:
    """End the session of the device with this token; nothing happens when there is none."""
    with writing() as session:
        session.execute(delete(DeviceSession).where(DeviceSession.token_sha256 == _hash_token(token)))


def epoch() -> str:
    """Return the name of this life of the database."""
    with reading() as session:
        return session.connection().execute(_FIND_EPOCH).scalar_one()


def renew_epoch() -> str:
    """Give the database a new name, so that every phone offers again what a restored backup may lack; return it."""
    with writing() as session:
        return begin_new_life(session.connection())


def begin_new_life(connection: Connection) -> str:
    """Renew the epoch within the caller's transaction; see :func:`renew_epoch`."""
    name = secrets.token_hex(16)
    connection.execute(update(Instance).values(epoch_before=Instance.epoch, epoch=name, made_at=now()))
    # What stands in a log now stood there in the life that phones remember; what comes from here on did not.
    connection.execute(update(StoredSurvey).values(shared_revision=StoredSurvey.revision))
    return name


@cache
def _hasher() -> PasswordHasher:
    return PasswordHasher()


@cache
def _hash_of_nobody() -> str:
    # Checked when the email is unknown, so that the answer takes as long as for a wrong password.
    return _hasher().hash(secrets.token_urlsafe(32))


def _matches(password_hash: str, password: str) -> bool:
    try:
        return _hasher().verify(password_hash, password)
    except (VerificationError, InvalidHashError, UnicodeEncodeError):
        return False


def _hash_token(token: str) -> str:
    return hashlib.sha256(token.encode(errors="replace")).hexdigest()
