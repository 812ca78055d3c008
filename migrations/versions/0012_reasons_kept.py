"""A version keeps why it was made although a red point stood against it, and who wrote that."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0012"
down_revision = "0011"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Versions that were made before nobody was asked for a reason have none."""
    for table in ("report", "report_job"):
        op.add_column(table, sa.Column("reasons_json", sa.Text))
