"""What the life of the database before this one was called, and up to where each survey's log is the same in both."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add both; nothing is known of a life before, so nothing that was seen in one counts."""
    op.add_column("instance", sa.Column("epoch_before", sa.Text, nullable=True))
    op.add_column("survey", sa.Column("shared_revision", sa.BigInteger, nullable=False, server_default=sa.text("0")))
