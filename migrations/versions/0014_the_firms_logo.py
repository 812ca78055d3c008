"""A firm has a logo at the head of its papers."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0014"
down_revision = "0013"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """A firm without one has papers as they were."""
    op.add_column("firm", sa.Column("logo", sa.Text))
