"""Whether the last look found the bytes of a photo where they were put."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Begin with every photo there; the first look says otherwise where it is so."""
    op.add_column("photo", sa.Column("is_lost", sa.Boolean, nullable=False, server_default=sa.false()))
