"""What is stored, table by table.  Models hold no decisions: services write them, in transactions of their own."""

from __future__ import annotations

import json
from datetime import datetime
from typing import Any

from sqlalchemy import ForeignKey, ForeignKeyConstraint, Index, Text, UniqueConstraint, text
from sqlalchemy.orm import Mapped, mapped_column
from sqlalchemy.types import BigInteger, Boolean, Integer

from .database import Model, UtcMoment
from .survey.holders import OFFICE, SURVEY


class Instance(Model):
    """The one row that names this life of the database and the one before; the epoch changes when a backup is restored."""

    __tablename__ = "instance"
    id: Mapped[int] = mapped_column(Integer, primary_key=True, autoincrement=False)
    epoch: Mapped[str] = mapped_column(Text)
    epoch_before: Mapped[str | None] = mapped_column(Text)
    made_at: Mapped[datetime] = mapped_column(UtcMoment)


class Firm(Model):
    """A heating firm: what the report says of it, and the border that no survey crosses."""

    __tablename__ = "firm"
    id: Mapped[str] = mapped_column(Text, primary_key=True)
    name: Mapped[str] = mapped_column(Text, unique=True)
    address: Mapped[str] = mapped_column(Text, default="")
    telephone: Mapped[str] = mapped_column(Text, default="")
    email: Mapped[str] = mapped_column(Text, default="")
    terms: Mapped[str] = mapped_column(Text, default="")
    prints_checks: Mapped[bool] = mapped_column(Boolean, default=False)
    #: For how many days from its own a quotation holds, and how many weeks after a yes the work usually begins; None where the firm has not said.
    valid_days: Mapped[int | None] = mapped_column(Integer)
    lead_weeks: Mapped[int | None] = mapped_column(Integer)
    #: The payments as rows of ``percent`` (decimal text), ``words`` and ``is_deposit`` (``office/promises.py``).
    stages_json: Mapped[str] = mapped_column(Text, default="[]")
    exclusions: Mapped[str] = mapped_column(Text, default="")
    assumptions: Mapped[str] = mapped_column(Text, default="")
    #: The picture at the head of its papers, as a ``data:`` address (``office/logo.py``); None where it has none.
    logo: Mapped[str | None] = mapped_column(Text)

    @property
    def stages(self) -> list[dict[str, Any]]:
        """The payments that a quotation asks for, in their order."""
        return json.loads(self.stages_json)

    @stages.setter
    def stages(self, rows: list[dict[str, Any]]) -> None:
        self.stages_json = json.dumps(rows, ensure_ascii=False)


class FirmChange(Model):
    """One setting of a firm that was changed: what it was before and since, as JSON, by whom and when (``office/firm_settings.py``)."""

    __tablename__ = "firm_change"
    id: Mapped[str] = mapped_column(Text, primary_key=True)
    firm_id: Mapped[str] = mapped_column(ForeignKey("firm.id"), index=True)
    user_id: Mapped[str | None] = mapped_column(ForeignKey("user_account.id"))
    field: Mapped[str] = mapped_column(Text)
    before_json: Mapped[str] = mapped_column(Text)
    value_json: Mapped[str] = mapped_column(Text)
    made_at: Mapped[datetime] = mapped_column(UtcMoment)


class User(Model):
    """A person who signs in; ``role`` says what they may see and write of the firm's book."""

    __tablename__ = "user_account"
    id: Mapped[str] = mapped_column(Text, primary_key=True)
    firm_id: Mapped[str] = mapped_column(ForeignKey("firm.id"), index=True)
    email: Mapped[str] = mapped_column(Text, unique=True)
    name: Mapped[str] = mapped_column(Text)
    role: Mapped[str] = mapped_column(Text, default=OFFICE, server_default=text(f"'{OFFICE}'"))
    password_hash: Mapped[str] = mapped_column(Text)
    made_at: Mapped[datetime] = mapped_column(UtcMoment)


#: Said of a table that no backup holds: it is of this moment, and would do harm if it came back later.
OF_THE_MOMENT = "of_the_moment"


class DeviceSession(Model):
    """One device that is signed in.  Only the hash of its token is kept; deleting the row signs it out.

    No backup holds these: a restored one would let a device in again that has been signed out since.
    """

    __tablename__ = "device_session"
    token_sha256: Mapped[str] = mapped_column(Text, primary_key=True)
    user_id: Mapped[str] = mapped_column(ForeignKey("user_account.id"), index=True)
    made_at: Mapped[datetime] = mapped_column(UtcMoment)
    seen_at: Mapped[datetime] = mapped_column(UtcMoment)
    __table_args__ = {"info": {OF_THE_MOMENT: True}}  # noqa: RUF012


class KnownDevice(Model):
    """A device that a person has signed in on before.  Only the hash of its mark is kept; it opens nothing by itself."""

    __tablename__ = "known_device"
    mark_sha256: Mapped[str] = mapped_column(Text, primary_key=True)
    user_id: Mapped[str] = mapped_column(ForeignKey("user_account.id"), primary_key=True, index=True)
    made_at: Mapped[datetime] = mapped_column(UtcMoment)
    seen_at: Mapped[datetime] = mapped_column(UtcMoment)


class LoginFailure(Model):
    """A try to sign in that failed or is being looked at: counted by email and by address, so that guessing becomes slow.

    A try from a device that the person used before has ``device``, the hash of its mark, and counts against that device alone.
    """

    __tablename__ = "login_failure"
    id: Mapped[int] = mapped_column(Integer, primary_key=True)
    email: Mapped[str] = mapped_column(Text)
    address: Mapped[str] = mapped_column(Text)
    at: Mapped[datetime] = mapped_column(UtcMoment)
    device: Mapped[str | None] = mapped_column(Text)
    __table_args__ = (
        Index("ix_login_failure_email_at", "email", "at"),
        Index("ix_login_failure_address_at", "address", "at"),
        Index("ix_login_failure_device_at", "device", "at"),
        {"info": {OF_THE_MOMENT: True}},
    )


class StoredSurvey(Model):
    """A survey: whose it is, and the revision that its log has reached.  This row is the lock of its log.

    A row whose ``scope`` is ``firm`` is the firm's book instead (``sync/book.py``): a log of the same shape, and no survey.

    Up to ``shared_revision`` the log is the same in this life of the database and in the one before.  ``moved`` is its place
    in its firm's list: the number that :class:`ListCounter` gave it when its line there changed last.
    """

    __tablename__ = "survey"
    id: Mapped[str] = mapped_column(Text, primary_key=True)
    firm_id: Mapped[str] = mapped_column(ForeignKey("firm.id"), index=True)
    scope: Mapped[str] = mapped_column(Text, default=SURVEY, server_default=text(f"'{SURVEY}'"))
    revision: Mapped[int] = mapped_column(BigInteger, default=0)
    shared_revision: Mapped[int] = mapped_column(BigInteger, default=0)
    made_at: Mapped[datetime] = mapped_column(UtcMoment)
    changed_at: Mapped[datetime] = mapped_column(UtcMoment)
    moved: Mapped[int] = mapped_column(BigInteger, default=0, server_default=text("0"))
    __table_args__ = (Index("ix_survey_firm_id_moved", "firm_id", "moved"),)


class ListCounter(Model):
    """How many times a line of a firm's list of surveys has changed.  The row is locked until its number is committed, so that
    whoever reads a number has every lower one before the eyes.
    """

    __tablename__ = "list_counter"
    firm_id: Mapped[str] = mapped_column(ForeignKey("firm.id"), primary_key=True)
    moved: Mapped[int] = mapped_column(BigInteger)


class GapCount(Model):
    """How many gaps a survey had at one revision, as one version of the program counts them."""

    __tablename__ = "gap_count"
    survey_id: Mapped[str] = mapped_column(ForeignKey("survey.id"), primary_key=True)
    revision: Mapped[int] = mapped_column(BigInteger)
    program: Mapped[str] = mapped_column(Text)
    gaps: Mapped[int] = mapped_column(Integer)


class StoredRecord(Model):
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


class Change(Model):
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
    __table_args__ = (
        UniqueConstraint("survey_id", "revision"),
        Index("ix_change_survey_id_is_settled", "survey_id", "is_settled"),
    )


class Contest(Model):
    """A field that two people changed without having seen each other's value, until one of them picks."""

    __tablename__ = "contest"
    survey_id: Mapped[str] = mapped_column(Text, primary_key=True)
    record_id: Mapped[str] = mapped_column(Text, primary_key=True)
    field: Mapped[str] = mapped_column(Text, primary_key=True)
    revisions_json: Mapped[str] = mapped_column(Text)
    __table_args__ = (ForeignKeyConstraint(["survey_id", "record_id"], ["record.survey_id", "record.id"]),)


class StoredPhoto(Model):
    """The bytes of one photo, kept under their hash once for the house, named here once per survey.

    ``is_lost`` is what the last look found; who must know it now asks the store.
    """

    __tablename__ = "photo"
    survey_id: Mapped[str] = mapped_column(ForeignKey("survey.id"), primary_key=True)
    sha256: Mapped[str] = mapped_column(Text, primary_key=True)
    media_type: Mapped[str] = mapped_column(Text)
    size_bytes: Mapped[int] = mapped_column(BigInteger)
    width_px: Mapped[int] = mapped_column(Integer)
    height_px: Mapped[int] = mapped_column(Integer)
    arrived_at: Mapped[datetime] = mapped_column(UtcMoment)
    is_lost: Mapped[bool] = mapped_column(Boolean, default=False)


class Report(Model):
    """One numbered version of a survey's papers: its row names the quotation's file, `ReportPaper` the others'.

    ``sha256`` is the PDF's, ``inputs_json`` what it was made from beside its number and its day (``office/frozen.py``).  Versions
    made before these were kept have neither, nor the versions of the program and its engine.
    """

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
    sha256: Mapped[str | None] = mapped_column(Text)
    app_version: Mapped[str | None] = mapped_column(Text)
    engine_version: Mapped[str | None] = mapped_column(Text)
    # A list of versions has no use for it, and it is large.
    inputs_json: Mapped[str | None] = mapped_column(Text, deferred=True)
    #: Why the version was made all the same, for each red point that stood against it (``office/release.py``); none for one that had none, or from before they were asked for.
    reasons_json: Mapped[str | None] = mapped_column(Text)
    __table_args__ = (UniqueConstraint("survey_id", "number"),)


class ReportPaper(Model):
    """One paper of a version beside the quotation, which the version's own row names: ``name`` is one of `PAPERS` (``office/report.py``).

    Versions made before there were three papers have none of these: theirs is one report for everybody.
    """

    __tablename__ = "report_paper"
    report_id: Mapped[str] = mapped_column(ForeignKey("report.id"), primary_key=True)
    name: Mapped[str] = mapped_column(Text, primary_key=True)
    file_name: Mapped[str] = mapped_column(Text)
    size_bytes: Mapped[int] = mapped_column(BigInteger)
    sha256: Mapped[str] = mapped_column(Text)
    pages: Mapped[int] = mapped_column(Integer)


class ReportJob(Model):
    """A version that somebody has asked for, or one whose file is to be made again (``report_id``).

    ``state`` is ``waiting``, ``rendering``, ``ready`` or ``failed``, then with a code as its ``problem``.  A row that is ``rendering``
    belongs to its ``owner`` until ``leased_until``.  Ids sort by the moment of asking.  A survey has one job under way at most, so its number is given once.
    """

    __tablename__ = "report_job"
    id: Mapped[str] = mapped_column(Text, primary_key=True)
    survey_id: Mapped[str] = mapped_column(ForeignKey("survey.id"), index=True)
    report_id: Mapped[str | None] = mapped_column(ForeignKey("report.id"))
    user_id: Mapped[str | None] = mapped_column(ForeignKey("user_account.id"))
    number: Mapped[int] = mapped_column(Integer)
    revision: Mapped[int] = mapped_column(BigInteger)
    inputs_json: Mapped[str | None] = mapped_column(Text, deferred=True)
    reasons_json: Mapped[str | None] = mapped_column(Text)
    state: Mapped[str] = mapped_column(Text, index=True)
    problem: Mapped[str | None] = mapped_column(Text)
    attempts: Mapped[int] = mapped_column(Integer, default=0)
    owner: Mapped[str | None] = mapped_column(Text)
    leased_until: Mapped[datetime | None] = mapped_column(UtcMoment)
    asked_at: Mapped[datetime] = mapped_column(UtcMoment)
    begun_at: Mapped[datetime | None] = mapped_column(UtcMoment)
    ended_at: Mapped[datetime | None] = mapped_column(UtcMoment)
    __table_args__ = (
        Index(
            "uq_report_job_under_way",
            "survey_id",
            unique=True,
            postgresql_where=text("state IN ('waiting', 'rendering')"),
            sqlite_where=text("state IN ('waiting', 'rendering')"),
        ),
    )


class Email(Model):
    """One message of the outbox.

    ``state`` is ``waiting``, ``sending``, ``sent``, ``held_as_file``, ``failed`` or ``uncertain``.
    ``message_id`` is fixed when the row is made; a row that is ``sending`` belongs to its ``owner`` until ``leased_until``.
    ``handed_over_at`` is written just before the end of the message goes out: without it the mail server has certainly not taken it.
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
    owner: Mapped[str | None] = mapped_column(Text)
    handed_over_at: Mapped[datetime | None] = mapped_column(UtcMoment)
    created_at: Mapped[datetime] = mapped_column(UtcMoment)
    sent_at: Mapped[datetime | None] = mapped_column(UtcMoment)
    file_name: Mapped[str | None] = mapped_column(Text)
