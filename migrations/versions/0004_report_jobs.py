"""Reports become jobs, a version keeps what it was made from, and an email says since when its bytes go."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

MOMENT = sa.DateTime(timezone=True)
UNDER_WAY = sa.text("state IN ('waiting', 'rendering')")


def upgrade() -> None:
    """Add the jobs; of versions that are there already, neither the hash nor what they were made from is known."""
    op.create_table(
        "report_job",
        sa.Column("id", sa.Text, nullable=False),
        sa.Column("survey_id", sa.Text, nullable=False),
        sa.Column("report_id", sa.Text),
        sa.Column("user_id", sa.Text),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("revision", sa.BigInteger, nullable=False),
        sa.Column("inputs_json", sa.Text),
        sa.Column("state", sa.Text, nullable=False),
        sa.Column("problem", sa.Text),
        sa.Column("attempts", sa.Integer, nullable=False),
        sa.Column("owner", sa.Text),
        sa.Column("leased_until", MOMENT),
        sa.Column("asked_at", MOMENT, nullable=False),
        sa.Column("begun_at", MOMENT),
        sa.Column("ended_at", MOMENT),
        sa.PrimaryKeyConstraint("id", name="pk_report_job"),
        sa.ForeignKeyConstraint(["survey_id"], ["survey.id"], name="fk_report_job_survey_id_survey"),
        sa.ForeignKeyConstraint(["report_id"], ["report.id"], name="fk_report_job_report_id_report"),
        sa.ForeignKeyConstraint(["user_id"], ["user_account.id"], name="fk_report_job_user_id_user_account"),
    )
    op.create_index("ix_report_job_state", "report_job", ["state"])
    op.create_index("ix_report_job_survey_id", "report_job", ["survey_id"])
    op.create_index(
        "uq_report_job_under_way",
        "report_job",
        ["survey_id"],
        unique=True,
        postgresql_where=UNDER_WAY,
        sqlite_where=UNDER_WAY,
    )
    for name in ("sha256", "inputs_json", "app_version", "engine_version"):
        op.add_column("report", sa.Column(name, sa.Text))
    op.add_column("email", sa.Column("owner", sa.Text))
    op.add_column("email", sa.Column("handed_over_at", MOMENT))
    # How far a program that knew nothing of this had come with a message in hand cannot be said: a person decides.
    op.execute("UPDATE email SET handed_over_at = leased_until WHERE state = 'sending'")
