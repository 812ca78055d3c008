"""The migrations make exactly the tables that the models describe, and leave rows alone when they run again."""

from __future__ import annotations

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import create_engine, text

from wattwalk import models
from wattwalk.database import Base, DatabaseError, migrate


def test_migrations_make_exactly_the_models(database_url: str) -> None:
    migrate(database_url)
    engine = create_engine(database_url)
    with engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, Base.metadata) == []
        assert connection.execute(text("SELECT count(*) FROM instance")).scalar() == 1
    engine.dispose()
    assert models.Email.__table__ in Base.metadata.sorted_tables


def test_migrating_again_keeps_the_epoch(database_url: str) -> None:
    engine = create_engine(database_url)
    epochs = []
    for _ in range(2):
        migrate(database_url)
        with engine.connect() as connection:
            epochs.append(connection.execute(text("SELECT epoch FROM instance")).scalar())
    engine.dispose()
    assert epochs[0] == epochs[1]
    assert len(epochs[0]) == 32


def test_a_newer_database_is_left_alone(database_url: str) -> None:
    migrate(database_url)
    engine = create_engine(database_url)
    with engine.begin() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(DatabaseError, match="newer version"):
        migrate(database_url)
    engine.dispose()
