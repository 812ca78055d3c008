"""How Alembic reaches the database: the program hands over a connection and its transaction; nobody's loggers are touched."""

from __future__ import annotations

from alembic import context
from sqlalchemy import Connection, text

import wattwalk.models  # noqa: F401  (declares the tables)
from wattwalk.database import Base

#: Any number that only Wattwalk uses: two programs that start at once take turns.
ADVISORY_LOCK = 7_289_415


def run(connection: Connection) -> None:
    """Run the migrations within the caller's transaction, the version's row included."""
    is_sqlite = connection.dialect.name == "sqlite"
    if not is_sqlite:
        connection.execute(text("SELECT pg_advisory_xact_lock(:number)"), {"number": ADVISORY_LOCK})
    context.configure(
        connection=connection, target_metadata=Base.metadata, render_as_batch=is_sqlite, transactional_ddl=True
    )
    context.run_migrations()
    if is_sqlite:
        broken = connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall()
        if broken:
            raise RuntimeError(f"The migration would leave {len(broken)} rows that point nowhere; nothing was changed.")


run(context.config.attributes["connection"])
