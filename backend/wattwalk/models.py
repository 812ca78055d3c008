"""What is stored, table by table.  Models hold no decisions: services write them, in transactions of their own."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import ForeignKey, ForeignKeyConstraint, Index, Text, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column
from sqlalchemy.types import BigInteger, Boolean, Integer

from .database import UtcMoment, db


class Instance(db.Model):
    """The one row that names this life of the database and the one before; the epoch changes when a backup is restored."""

    __tablename__ = "instance"
    id: Mapped[int] = mapped_column(Integer, primary_key=True, autoincrement=False)
    epoch: Mapped[str] = mapped_column(Text)
    epoch_before: Mapped[str | None] = mapped_column(Text)
    made_at: Mapped[datetime] = mapped_column(UtcMoment)


class Firm(db.Model):
    """A heating firm: what the report says of it, and the border that no survey crosses."""

    __tablename__ = "firm"
    id: Mapped[str] = mapped_column(Text, primary_key=True)
    name: Mapped[str] = mapped_column(Text, unique=True)
    address: Mapped[str] = mapped_column(Text, default="")
    telephone: Mapped[str] = mapped_column(Text, default="")
    email: Mapped[str] = mapped_column(Text, default="")
    terms: Mapped[str] = mapped_column(Text, default="")
    prints_checks: Mapped[bool] = mapped_column(Boolean, default=False)


class User(db.Model):
    """A person who signs in."""

    __tablename__ = "user_account"
    id: Mapped[str] = mapped_column(Text, primary_key=True)
    firm_id: Mapped[str] = mapped_column(ForeignKey("firm.id"), index=True)
    email: Mapped[str] = mapped_column(Text, unique=True)
    name: Mapped[str] = mapped_column(Text)
    password_hash: Mapped[str] = mapped_column(Text)
    made_at: Mapped[datetime] = mapped_column(UtcMoment)


class DeviceSession(db.Model):
    """One device that is signed in.  Only the hash of its token is kept; deleting the row signs it out."""

    __tablename__ = "device_session"
    token_sha256: Mapped[str] = mapped_column(Text, primary_key=True)
    user_id: Mapped[str] = mapped_column(ForeignKey("user_account.id"), index=True)
    made_at: Mapped[datetime] = mapped_column(UtcMoment)
    seen_at: Mapped[datetime] = mapped_column(UtcMoment)


class LoginFailure(db.Model):
    """A sign-in that failed: counted by email and by address, so that guessing becomes slow."""

    __tablename__ = "login_failure"
    id: Mapped[int] = mapped_column(Integer, primary_key=True)
    email: Mapped[str] = mapped_column(Text)
    address: Mapped[str] = mapped_column(Text)
    at: Mapped[datetime] = mapped_column(UtcMoment)
    __table_args__ = (Index("ix_login_failure_email_at", "email", "at"), Index("ix_login_failure_address_at", "address", "at"))


class StoredSurvey(db.Model):
    """A survey: whose it is, and the revision that its log has reached.  This row is the lock of its log.

    Up to ``shared_revision`` the log is the same in this life of the database and in the one before.
    """

    __tablename__ = "survey"
    id: Mapped[str] = mapped_column(Text, primary_key=True)
    firm_id: Mapped[str] = mapped_column(ForeignKey("firm.id"), index=True)
    revision: Mapped[int] = mapped_column(BigInteger, default=0)
    shared_revision: Mapped[int] = mapped_column(BigInteger, default=0)
    made_at: Mapped[datetime] = mapped_column(UtcMoment)
    changed_at: Mapped[datetime] = mapped_column(UtcMoment)


class StoredRecord(db.Model):
    """The present state of one record.

    ``values_json`` holds the known values by field; ``marks_json`` the last change of each field as
    ``[revision, device]``.  Both are JSON text, because PostgreSQL's own JSON refuses some texts.
    """

    __tablename__ = "record"
    survey_id: Mapped[str] = mapped_column(ForeignKey("survey.id"), primary_key=True)
    id: Mapped[str] = mapped_column(Text, primary_key=True)
    kind: Mapped[str] = mapped_column(Text)
    made_revision: Mapped[int] = mapped_column(BigInteger)
    is_deleted: Mapped[bool] = mapped_column(Boolean)
    values_json: Mapped[str] = mapped_column(Text)
    marks_json: Mapped[str] = mapped_column(Text)
    __table_args__ = (Index("ix_record_survey_id_kind", "survey_id", "kind"),)


class Change(db.Model):
    """One line of a survey's log, never altered but for ``is_settled``.

    ``value_json`` is what the change counts as; where that is another value than was sent, ``said_json`` is what was sent.
    A refused change has a problem and no revision; it is settled once its field was set after all.
    """

    __tablename__ = "change"
    survey_id: Mapped[str] = mapped_column(ForeignKey("survey.id"), primary_key=True)
    id: Mapped[str] = mapped_column(Text, primary_key=True)
    revision: Mapped[int | None] = mapped_column(BigInteger)
    kind: Mapped[str] = mapped_column(Text)
    record_id: Mapped[str] = mapped_column(Text)
    field: Mapped[str] = mapped_column(Text)
    value_json: Mapped[str] = mapped_column(Text)
    said_json: Mapped[str | None] = mapped_column(Text)
    seen: Mapped[int] = mapped_column(BigInteger)
    resolves: Mapped[bool] = mapped_column(Boolean)
    device: Mapped[str] = mapped_column(Text)
    user_id: Mapped[str | None] = mapped_column(ForeignKey("user_account.id"))
    made_at: Mapped[str] = mapped_column(Text)
    received_at: Mapped[datetime] = mapped_column(UtcMoment)
    fingerprint: Mapped[str] = mapped_column(Text)
    is_contested: Mapped[bool] = mapped_column(Boolean)
    problem_json: Mapped[str | None] = mapped_column(Text)
    is_settled: Mapped[bool] = mapped_column(Boolean)
    __table_args__ = (UniqueConstraint("survey_id", "revision"), Index("ix_change_survey_id_is_settled", "survey_id", "is_settled"))


class Contest(db.Model):
    """A field that two people changed without having seen each other's value, until one of them picks."""

    __tablename__ = "contest"
    survey_id: Mapped[str] = mapped_column(Text, primary_key=True)
    record_id: Mapped[str] = mapped_column(Text, primary_key=True)
    field: Mapped[str] = mapped_column(Text, primary_key=True)
    revisions_json: Mapped[str] = mapped_column(Text)
    __table_args__ = (ForeignKeyConstraint(["survey_id", "record_id"], ["record.survey_id", "record.id"]),)


class StoredPhoto(db.Model):
    """The bytes of one photo, kept under their hash once for the house, named here once per survey."""

    __tablename__ = "photo"
    survey_id: Mapped[str] = mapped_column(ForeignKey("survey.id"), primary_key=True)
    sha256: Mapped[str] = mapped_column(Text, primary_key=True)
    media_type: Mapped[str] = mapped_column(Text)
    size_bytes: Mapped[int] = mapped_column(BigInteger)
    width_px: Mapped[int] = mapped_column(Integer)
    height_px: Mapped[int] = mapped_column(Integer)
    arrived_at: Mapped[datetime] = mapped_column(UtcMoment)


class Report(db.Model):
    """One numbered version of a survey's report."""

    __tablename__ = "report"
    id: Mapped[str] = mapped_column(Text, primary_key=True)
    survey_id: Mapped[str] = mapped_column(ForeignKey("survey.id"))
    number: Mapped[int] = mapped_column(Integer)
    revision: Mapped[int] = mapped_column(BigInteger)
    made_at: Mapped[datetime] = mapped_column(UtcMoment)
    user_id: Mapped[str | None] = mapped_column(ForeignKey("user_account.id"))
    pages: Mapped[int] = mapped_column(Integer)
    size_bytes: Mapped[int] = mapped_column(BigInteger)
    file_name: Mapped[str] = mapped_column(Text)
    __table_args__ = (UniqueConstraint("survey_id", "number"),)


class Email(db.Model):
    """One message of the outbox.

    ``state`` is ``waiting``, ``sending``, ``sent``, ``held_as_file``, ``failed`` or ``uncertain``.
    ``message_id`` is fixed when the row is made; a row that is ``sending`` belongs to one worker until ``leased_until``.
    """

    __tablename__ = "email"
    id: Mapped[str] = mapped_column(Text, primary_key=True)
    survey_id: Mapped[str] = mapped_column(ForeignKey("survey.id"), index=True)
    report_id: Mapped[str] = mapped_column(ForeignKey("report.id"))
    to: Mapped[str] = mapped_column(Text)
    subject: Mapped[str] = mapped_column(Text)
    message: Mapped[str] = mapped_column(Text)
    message_id: Mapped[str] = mapped_column(Text, unique=True)
    state: Mapped[str] = mapped_column(Text, index=True)
    attempts: Mapped[int] = mapped_column(Integer, default=0)
    last_error: Mapped[str | None] = mapped_column(Text)
    next_try_at: Mapped[datetime | None] = mapped_column(UtcMoment)
    leased_until: Mapped[datetime | None] = mapped_column(UtcMoment)
    created_at: Mapped[datetime] = mapped_column(UtcMoment)
    sent_at: Mapped[datetime | None] = mapped_column(UtcMoment)
    file_name: Mapped[str | None] = mapped_column(Text)
