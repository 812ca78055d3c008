"""The firm's book, a log beside those of the surveys, and what a person is to the firm."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Say of every log that it is a survey's, and of every person that they are of the office, as all were until now."""
    op.add_column("survey", sa.Column("scope", sa.Text, nullable=False, server_default=sa.text("'survey'")))
    op.add_column("user_account", sa.Column("role", sa.Text, nullable=False, server_default=sa.text("'office'")))
