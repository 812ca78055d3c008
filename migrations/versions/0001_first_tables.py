"""The first tables: firms and people, surveys and their logs, photos, reports, outbox."""

from __future__ import annotations

import uuid
from datetime import UTC, datetime

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

MOMENT = sa.DateTime(timezone=True)


def upgrade() -> None:
    """Make the tables, and name this life of the database."""
    instance = op.create_table(
        "instance",
        sa.Column("id", sa.Integer, autoincrement=False, nullable=False),
        sa.Column("epoch", sa.Text, nullable=False),
        sa.Column("made_at", MOMENT, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_instance"),
    )
    op.bulk_insert(instance, [{"id": 1, "epoch": uuid.uuid4().hex, "made_at": datetime.now(UTC)}])
    op.create_table(
        "firm",
        sa.Column("id", sa.Text, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("address", sa.Text, nullable=False),
        sa.Column("telephone", sa.Text, nullable=False),
        sa.Column("email", sa.Text, nullable=False),
        sa.Column("terms", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_firm"),
        sa.UniqueConstraint("name", name="uq_firm_name"),
    )
    op.create_table(
        "user_account",
        sa.Column("id", sa.Text, nullable=False),
        sa.Column("firm_id", sa.Text, nullable=False),
        sa.Column("email", sa.Text, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("password_hash", sa.Text, nullable=False),
        sa.Column("made_at", MOMENT, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_user_account"),
        sa.ForeignKeyConstraint(["firm_id"], ["firm.id"], name="fk_user_account_firm_id_firm"),
        sa.UniqueConstraint("email", name="uq_user_account_email"),
    )
    op.create_index("ix_user_account_firm_id", "user_account", ["firm_id"])
    op.create_table(
        "device_session",
        sa.Column("token_sha256", sa.Text, nullable=False),
        sa.Column("user_id", sa.Text, nullable=False),
        sa.Column("made_at", MOMENT, nullable=False),
        sa.Column("seen_at", MOMENT, nullable=False),
        sa.PrimaryKeyConstraint("token_sha256", name="pk_device_session"),
        sa.ForeignKeyConstraint(["user_id"], ["user_account.id"], name="fk_device_session_user_id_user_account"),
    )
    op.create_index("ix_device_session_user_id", "device_session", ["user_id"])
    op.create_table(
        "login_failure",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("email", sa.Text, nullable=False),
        sa.Column("address", sa.Text, nullable=False),
        sa.Column("at", MOMENT, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_login_failure"),
    )
    op.create_index("ix_login_failure_email_at", "login_failure", ["email", "at"])
    op.create_index("ix_login_failure_address_at", "login_failure", ["address", "at"])
    _make_survey_tables()
    _make_paper_tables()


def _make_survey_tables() -> None:
    op.create_table(
        "survey",
        sa.Column("id", sa.Text, nullable=False),
        sa.Column("firm_id", sa.Text, nullable=False),
        sa.Column("revision", sa.BigInteger, nullable=False),
        sa.Column("made_at", MOMENT, nullable=False),
        sa.Column("changed_at", MOMENT, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_survey"),
        sa.ForeignKeyConstraint(["firm_id"], ["firm.id"], name="fk_survey_firm_id_firm"),
    )
    op.create_index("ix_survey_firm_id", "survey", ["firm_id"])
    op.create_table(
        "record",
        sa.Column("survey_id", sa.Text, nullable=False),
        sa.Column("id", sa.Text, nullable=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("made_revision", sa.BigInteger, nullable=False),
        sa.Column("is_deleted", sa.Boolean, nullable=False),
        sa.Column("values_json", sa.Text, nullable=False),
        sa.Column("marks_json", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("survey_id", "id", name="pk_record"),
        sa.ForeignKeyConstraint(["survey_id"], ["survey.id"], name="fk_record_survey_id_survey"),
    )
    op.create_index("ix_record_survey_id_kind", "record", ["survey_id", "kind"])
    op.create_table(
        "change",
        sa.Column("survey_id", sa.Text, nullable=False),
        sa.Column("id", sa.Text, nullable=False),
        sa.Column("revision", sa.BigInteger),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("record_id", sa.Text, nullable=False),
        sa.Column("field", sa.Text, nullable=False),
        sa.Column("value_json", sa.Text, nullable=False),
        sa.Column("seen", sa.BigInteger, nullable=False),
        sa.Column("resolves", sa.Boolean, nullable=False),
        sa.Column("device", sa.Text, nullable=False),
        sa.Column("user_id", sa.Text),
        sa.Column("made_at", sa.Text, nullable=False),
        sa.Column("received_at", MOMENT, nullable=False),
        sa.Column("fingerprint", sa.Text, nullable=False),
        sa.Column("is_contested", sa.Boolean, nullable=False),
        sa.Column("problem_json", sa.Text),
        sa.Column("is_settled", sa.Boolean, nullable=False),
        sa.PrimaryKeyConstraint("survey_id", "id", name="pk_change"),
        sa.ForeignKeyConstraint(["survey_id"], ["survey.id"], name="fk_change_survey_id_survey"),
        sa.ForeignKeyConstraint(["user_id"], ["user_account.id"], name="fk_change_user_id_user_account"),
        sa.UniqueConstraint("survey_id", "revision", name="uq_change_survey_id"),
    )
    op.create_index("ix_change_survey_id_is_settled", "change", ["survey_id", "is_settled"])
    op.create_table(
        "contest",
        sa.Column("survey_id", sa.Text, nullable=False),
        sa.Column("record_id", sa.Text, nullable=False),
        sa.Column("field", sa.Text, nullable=False),
        sa.Column("revisions_json", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("survey_id", "record_id", "field", name="pk_contest"),
        sa.ForeignKeyConstraint(
            ["survey_id", "record_id"], ["record.survey_id", "record.id"], name="fk_contest_survey_id_record"
        ),
    )
    op.create_table(
        "photo",
        sa.Column("survey_id", sa.Text, nullable=False),
        sa.Column("sha256", sa.Text, nullable=False),
        sa.Column("media_type", sa.Text, nullable=False),
        sa.Column("size_bytes", sa.BigInteger, nullable=False),
        sa.Column("width_px", sa.Integer, nullable=False),
        sa.Column("height_px", sa.Integer, nullable=False),
        sa.Column("arrived_at", MOMENT, nullable=False),
        sa.PrimaryKeyConstraint("survey_id", "sha256", name="pk_photo"),
        sa.ForeignKeyConstraint(["survey_id"], ["survey.id"], name="fk_photo_survey_id_survey"),
    )


def _make_paper_tables() -> None:
    op.create_table(
        "report",
        sa.Column("id", sa.Text, nullable=False),
        sa.Column("survey_id", sa.Text, nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("revision", sa.BigInteger, nullable=False),
        sa.Column("made_at", MOMENT, nullable=False),
        sa.Column("user_id", sa.Text),
        sa.Column("pages", sa.Integer, nullable=False),
        sa.Column("size_bytes", sa.BigInteger, nullable=False),
        sa.Column("file_name", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_report"),
        sa.ForeignKeyConstraint(["survey_id"], ["survey.id"], name="fk_report_survey_id_survey"),
        sa.ForeignKeyConstraint(["user_id"], ["user_account.id"], name="fk_report_user_id_user_account"),
        sa.UniqueConstraint("survey_id", "number", name="uq_report_survey_id"),
    )
    op.create_table(
        "email",
        sa.Column("id", sa.Text, nullable=False),
        sa.Column("survey_id", sa.Text, nullable=False),
        sa.Column("report_id", sa.Text, nullable=False),
        sa.Column("to", sa.Text, nullable=False),
        sa.Column("subject", sa.Text, nullable=False),
        sa.Column("message", sa.Text, nullable=False),
        sa.Column("message_id", sa.Text, nullable=False),
        sa.Column("state", sa.Text, nullable=False),
        sa.Column("attempts", sa.Integer, nullable=False),
        sa.Column("last_error", sa.Text),
        sa.Column("next_try_at", MOMENT),
        sa.Column("leased_until", MOMENT),
        sa.Column("created_at", MOMENT, nullable=False),
        sa.Column("sent_at", MOMENT),
        sa.Column("file_name", sa.Text),
        sa.PrimaryKeyConstraint("id", name="pk_email"),
        sa.ForeignKeyConstraint(["survey_id"], ["survey.id"], name="fk_email_survey_id_survey"),
        sa.ForeignKeyConstraint(["report_id"], ["report.id"], name="fk_email_report_id_report"),
        sa.UniqueConstraint("message_id", name="uq_email_message_id"),
    )
    op.create_index("ix_email_survey_id", "email", ["survey_id"])
    op.create_index("ix_email_state", "email", ["state"])
