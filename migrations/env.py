"""How Alembic reaches the database: the program hands over an engine; nobody's loggers are touched."""

from __future__ import annotations

from alembic import context
from sqlalchemy import Engine, event, text

import wattwalk.models  # noqa: F401  (declares the tables)
from wattwalk.database import Base

#: Any number that only Wattwalk uses: two programs that start at once take turns.
ADVISORY_LOCK = 7_289_415


def run(engine: Engine) -> None:
    """Run the migrations in one transaction."""
    if engine.dialect.name == "sqlite":

        @event.listens_for(engine, "connect")
        def prepare(connection, _record) -> None:
            connection.isolation_level = None
            # Changing a table means copying and dropping it; with foreign keys on, that would delete the rows that
            # point at it.  The switch does nothing inside a transaction, so it is thrown before one begins.
            connection.execute("PRAGMA foreign_keys=OFF")
            connection.execute("PRAGMA journal_mode=WAL")

        @event.listens_for(engine, "begin")
        def begin(connection) -> None:
            connection.exec_driver_sql("BEGIN IMMEDIATE")

    with engine.begin() as connection:
        if engine.dialect.name == "postgresql":
            connection.execute(text("SELECT pg_advisory_xact_lock(:number)"), {"number": ADVISORY_LOCK})
        # Our own transaction holds from here to the end, the version's row included.
        context.configure(
            connection=connection,
            target_metadata=Base.metadata,
            render_as_batch=engine.dialect.name == "sqlite",
            transactional_ddl=True,
        )
        context.run_migrations()
        if engine.dialect.name == "sqlite":
            broken = connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall()
            if broken:
                raise RuntimeError(f"The migration would leave {len(broken)} rows that point nowhere; nothing was changed.")


run(context.config.attributes["engine"])
