"""A firm says how long its quotations hold, how it is paid, when it can usually begin, and what is never in its price."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0013"
down_revision = "0012"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """A firm that has said nothing promises nothing: its quotations stay as they were."""
    for name in ("valid_days", "lead_weeks"):
        op.add_column("firm", sa.Column(name, sa.Integer))
    op.add_column("firm", sa.Column("stages_json", sa.Text, nullable=False, server_default="[]"))
    for name in ("exclusions", "assumptions"):
        op.add_column("firm", sa.Column(name, sa.Text, nullable=False, server_default=""))
