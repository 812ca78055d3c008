"""What places said of their units is said of the units."""

from __future__ import annotations

from alembic import op

from wattwalk.sync.old_units import take_over

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Go through the logs once."""
    take_over(op.get_bind())
