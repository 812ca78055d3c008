"""What a firm's list of surveys needs to say only what is new, counted gaps, and the devices that a person signed in on before."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0004"
branch_labels = None
depends_on = None

MOMENT = sa.DateTime(timezone=True)


def upgrade() -> None:
    """Give every survey its place in its firm's list, the one that changed last the highest."""
    op.add_column("survey", sa.Column("moved", sa.BigInteger, nullable=False, server_default=sa.text("0")))
    op.create_index("ix_survey_firm_id_moved", "survey", ["firm_id", "moved"])
    counter = op.create_table(
        "list_counter",
        sa.Column("firm_id", sa.Text, nullable=False),
        sa.Column("moved", sa.BigInteger, nullable=False),
        sa.PrimaryKeyConstraint("firm_id", name="pk_list_counter"),
        sa.ForeignKeyConstraint(["firm_id"], ["firm.id"], name="fk_list_counter_firm_id_firm"),
    )
    survey = sa.table(
        "survey",
        sa.column("id", sa.Text),
        sa.column("firm_id", sa.Text),
        sa.column("changed_at", MOMENT),
        sa.column("moved", sa.BigInteger),
    )
    connection = op.get_bind()
    reached: dict[str, int] = {}
    places = []
    for survey_id, firm_id in connection.execute(
        sa.select(survey.c.id, survey.c.firm_id).order_by(survey.c.changed_at, survey.c.id)
    ):
        reached[firm_id] = reached.get(firm_id, 0) + 1
        places.append({"survey": survey_id, "place": reached[firm_id]})
    if places:
        connection.execute(
            sa.update(survey).where(survey.c.id == sa.bindparam("survey")).values(moved=sa.bindparam("place")), places
        )
        op.bulk_insert(counter, [{"firm_id": firm_id, "moved": moved} for firm_id, moved in reached.items()])
    op.create_table(
        "gap_count",
        sa.Column("survey_id", sa.Text, nullable=False),
        sa.Column("revision", sa.BigInteger, nullable=False),
        sa.Column("program", sa.Text, nullable=False),
        sa.Column("gaps", sa.Integer, nullable=False),
        sa.PrimaryKeyConstraint("survey_id", name="pk_gap_count"),
        sa.ForeignKeyConstraint(["survey_id"], ["survey.id"], name="fk_gap_count_survey_id_survey"),
    )
    op.add_column("login_failure", sa.Column("device", sa.Text, nullable=True))
    op.create_index("ix_login_failure_device_at", "login_failure", ["device", "at"])
    op.create_table(
        "known_device",
        sa.Column("mark_sha256", sa.Text, nullable=False),
        sa.Column("user_id", sa.Text, nullable=False),
        sa.Column("made_at", MOMENT, nullable=False),
        sa.Column("seen_at", MOMENT, nullable=False),
        sa.PrimaryKeyConstraint("mark_sha256", "user_id", name="pk_known_device"),
        sa.ForeignKeyConstraint(["user_id"], ["user_account.id"], name="fk_known_device_user_id_user_account"),
    )
    op.create_index("ix_known_device_user_id", "known_device", ["user_id"])
