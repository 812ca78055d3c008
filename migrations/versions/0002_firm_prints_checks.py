"""Whether the firm's reports carry the summary of the check book on their last page."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the firm's choice; reports stay as they were until somebody chooses otherwise."""
    op.add_column("firm", sa.Column("prints_checks", sa.Boolean, nullable=False, server_default=sa.false()))
