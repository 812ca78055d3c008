"""A version has more than one paper: the household's quotation lies on its own row, the others beside it."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the other papers; a version made before has the one paper that its row names, and no other."""
    op.create_table(
        "report_paper",
        sa.Column("report_id", sa.Text, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("file_name", sa.Text, nullable=False),
        sa.Column("size_bytes", sa.BigInteger, nullable=False),
        sa.Column("sha256", sa.Text, nullable=False),
        sa.Column("pages", sa.Integer, nullable=False),
        sa.PrimaryKeyConstraint("report_id", "name", name="pk_report_paper"),
        sa.ForeignKeyConstraint(["report_id"], ["report.id"], name="fk_report_paper_report_id_report"),
    )


def downgrade() -> None:
    """Forget the other papers; their files stay where they are."""
    op.drop_table("report_paper")
