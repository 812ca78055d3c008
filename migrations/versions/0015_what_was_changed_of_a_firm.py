"""What was changed of a firm's settings is kept: what it was before, who changed it, when."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0015"
down_revision = "0014"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """What was changed before this program cannot be told any more: the history begins empty."""
    op.create_table(
        "firm_change",
        sa.Column("id", sa.Text, primary_key=True),
        sa.Column("firm_id", sa.Text, sa.ForeignKey("firm.id"), nullable=False, index=True),
        sa.Column("user_id", sa.Text, sa.ForeignKey("user_account.id")),
        sa.Column("field", sa.Text, nullable=False),
        sa.Column("before_json", sa.Text, nullable=False),
        sa.Column("value_json", sa.Text, nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
    )
