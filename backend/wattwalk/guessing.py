"""Passwords are guessed slowly: every try is counted before it is looked at, and a device that a person used before counts for itself."""

from __future__ import annotations

import hashlib
import ipaddress
import math
import secrets
from collections.abc import Sequence
from datetime import datetime, timedelta

from sqlalchemy import ColumnElement, delete, func, select, text
from sqlalchemy.orm import Session

from .database import now, writing
from .models import KnownDevice, LoginFailure, User
from .survey.errors import WattwalkError

#: Wrong passwords for one person that cost nothing. After each one more there is a wait, twice as long as the one before.
MAX_FAILURES_PER_EMAIL = 5
FIRST_WAIT = timedelta(seconds=30)
LONGEST_WAIT = timedelta(minutes=15)
#: How long a wrong password is remembered against the person it was tried for.
MEMORY = timedelta(days=1)
#: Wrong passwords from one address, for whomever, within a window. A firm shares an address; a house full of phones forgets some passwords.
MAX_FAILURES_PER_ADDRESS = 50
ADDRESS_WINDOW = timedelta(minutes=15)
#: A device is known for so long after its last sign-in; no browser keeps a cookie for longer.
MARK_LIFE = timedelta(days=400)
#: Any number that only Wattwalk uses: on PostgreSQL two tries at once are counted one after the other.
_COUNTING_LOCK = 7_289_416


class TooManyTriesError(WattwalkError):
    """Too many sign-ins failed lately; ``wait_s`` says when to try again."""

    def __init__(self, wait_s: int) -> None:
        words = f"{wait_s} seconds" if wait_s < 90 else f"{math.ceil(wait_s / 60)} minutes"
        super().__init__(f"Too many sign-ins failed. Try again in {words}.")
        self.wait_s = wait_s


def take_try(email: str, address: str, mark: str | None) -> int:
    """Count a try to sign in, before the password is looked at, and return its number.

    It stands as a wrong one until :func:`take_back` is called: however many come at once, no more than the limit are looked at.

    Parameters
    ----------
    email, address : str
        Who wants to be signed in, and from where.
    mark : str or None
        The mark that the device was given when the same person signed in on it before.

    Raises
    ------
    TooManyTriesError
        When this person or address has to wait.
    """
    address, at = _network(address), now()
    with writing() as session:
        if session.connection().dialect.name == "postgresql":
            session.execute(text("SELECT pg_advisory_xact_lock(:number)"), {"number": _COUNTING_LOCK})
        session.execute(delete(LoginFailure).where(LoginFailure.at < at - MEMORY))
        device = _known(session, email, mark, at)
        if device is None:
            _refuse(_wait_for_person(session, [LoginFailure.email == email, LoginFailure.device.is_(None)], at))
            _refuse(_wait_for_address(session, address, at))
        else:
            # What somebody else guesses, here or elsewhere, does not lock out the person whose device this is.
            _refuse(_wait_for_person(session, [LoginFailure.email == email, LoginFailure.device == device], at))
        tried = LoginFailure(email=email, address=address, at=at, device=device)
        session.add(tried)
        session.flush()
        return tried.id


def take_back(session: Session, number: int) -> None:
    """Forget a try whose password was right, and the wrong ones that were counted with it: the person has it now."""
    tried = session.get(LoginFailure, number)
    if tried is not None:
        session.execute(
            delete(LoginFailure).where(
                LoginFailure.email == tried.email, LoginFailure.device.is_not_distinct_from(tried.device)
            )
        )


def know_device(user_id: str, mark: str | None) -> str:
    """Remember the device on which a person has just signed in, and return its mark, a new one when it has none."""
    made = mark if mark and len(mark) <= 100 else secrets.token_urlsafe(32)
    hashed = _hash(made)
    with writing() as session:
        session.execute(delete(KnownDevice).where(KnownDevice.seen_at < now() - MARK_LIFE))
        known = session.get(KnownDevice, (hashed, user_id))
        if known is None:
            session.add(KnownDevice(mark_sha256=hashed, user_id=user_id, made_at=now(), seen_at=now()))
        else:
            known.seen_at = now()
    return made


def _known(session: Session, email: str, mark: str | None, at: datetime) -> str | None:
    if not mark:
        return None
    query = select(KnownDevice.mark_sha256).join(User, User.id == KnownDevice.user_id)
    return session.scalars(
        query.where(User.email == email, KnownDevice.mark_sha256 == _hash(mark), KnownDevice.seen_at >= at - MARK_LIFE)
    ).one_or_none()


def _refuse(wait: timedelta) -> None:
    if wait > timedelta():
        raise TooManyTriesError(math.ceil(wait.total_seconds()))


def _wait_for_person(session: Session, counted: Sequence[ColumnElement[bool]], at: datetime) -> timedelta:
    failed, last = session.execute(
        select(func.count(), func.max(LoginFailure.at)).where(*counted, LoginFailure.at >= at - MEMORY)
    ).one()
    if failed < MAX_FAILURES_PER_EMAIL:
        return timedelta()
    # Doubled more often than this it is the longest in any case.
    return last + min(LONGEST_WAIT, FIRST_WAIT * 2 ** min(failed - MAX_FAILURES_PER_EMAIL, 10)) - at


def _wait_for_address(session: Session, address: str, at: datetime) -> timedelta:
    counted = (LoginFailure.address == address, LoginFailure.at >= at - ADDRESS_WINDOW)
    failed, first = session.execute(select(func.count(), func.min(LoginFailure.at)).where(*counted)).one()
    return first + ADDRESS_WINDOW - at if failed >= MAX_FAILURES_PER_ADDRESS else timedelta()


def _network(address: str) -> str:
    """Return what one person is sure to have no more than one of: an IPv4 address, or the 64 bits of IPv6 that a line is given."""
    try:
        parsed = ipaddress.ip_address(address)
    except ValueError:
        return address[:64]
    if isinstance(parsed, ipaddress.IPv6Address):
        return str(parsed.ipv4_mapped or ipaddress.ip_network((int(parsed), 64), strict=False))
    return str(parsed)


def _hash(mark: str) -> str:
    return hashlib.sha256(mark.encode(errors="replace")).hexdigest()
