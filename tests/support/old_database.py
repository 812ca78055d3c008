"""A database as an older program left it: what later migrations add is taken away again."""

from __future__ import annotations

from sqlalchemy import Connection, text

#: Columns that came after migration 0008, by table.
COLUMNS = {
    "report": ("reasons_json",),
    "report_job": ("reasons_json",),
    "survey": ("scope",),
    "user_account": ("role",),
    "firm": ("valid_days", "lead_weeks", "stages_json", "exclusions", "assumptions", "logo"),
}


def take_back(connection: Connection, version: str) -> None:
    """Leave what a program before migration 0009 had made, and write down that `version` was the last that ran."""
    for table in ("report_paper", "firm_change"):
        connection.execute(text(f"DROP TABLE {table}"))
    for table, columns in COLUMNS.items():
        for column in columns:
            connection.execute(text(f"ALTER TABLE {table} DROP COLUMN {column}"))
    connection.execute(text("UPDATE alembic_version SET version_num = :version"), {"version": version})
