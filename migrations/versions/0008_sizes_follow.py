"""What a change was sent as, where it counts as something else; and the sides of rooms follow their boxes."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from wattwalk.sync.old_sizes import take_over

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the column, then go through the logs once."""
    op.add_column("change", sa.Column("said_json", sa.Text, nullable=True))
    take_over(op.get_bind())
