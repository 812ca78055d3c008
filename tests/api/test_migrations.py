"""The migrations make exactly the tables that the models describe, and leave rows alone when they run again."""

from __future__ import annotations

import pytest
from alembic import command
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


def test_a_message_in_hand_of_the_program_before_is_for_a_person(
    database_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """How far a program without a note of the handing over had come with a message cannot be said."""
    monkeypatch.setattr(command, "upgrade", lambda config, _target, honest=command.upgrade: honest(config, "0003"))
    migrate(database_url)
    monkeypatch.undo()
    engine = create_engine(database_url)
    with engine.begin() as connection:
        connection.execute(
            text("INSERT INTO firm (id, name, address, telephone, email, terms) VALUES ('f', 'F', '', '', '', '')")
        )
        connection.execute(
            text(
                "INSERT INTO survey (id, firm_id, revision, made_at, changed_at) VALUES ('s', 'f', 1, '2026-04-02 09:00:00', '2026-04-02 09:00:00')"
            )
        )
        connection.execute(
            text(
                "INSERT INTO report (id, survey_id, number, revision, made_at, pages, size_bytes, file_name) VALUES ('r', 's', 1, 1, '2026-04-02 09:00:00', 1, 4, 's/1.pdf')"
            )
        )
        for state, leased in (("sending", "'2026-04-02 09:10:00'"), ("waiting", "NULL"), ("sent", "NULL")):
            connection.execute(
                text(
                    'INSERT INTO email (id, survey_id, report_id, "to", subject, message, message_id, state, attempts, created_at, leased_until) '
                    f"VALUES ('{state}', 's', 'r', 'a@b.example', 's', 'm', '<{state}>', '{state}', 1, '2026-04-02 09:00:00', {leased})"
                )
            )
    migrate(database_url)
    with engine.connect() as connection:
        noted = connection.execute(text("SELECT id FROM email WHERE handed_over_at IS NOT NULL")).scalars().all()
        kept = connection.execute(text("SELECT number, sha256, inputs_json, app_version FROM report")).one()
    engine.dispose()
    assert noted == ["sending"]
    assert tuple(kept) == (1, None, None, None)


def test_a_newer_database_is_left_alone(database_url: str) -> None:
    migrate(database_url)
    engine = create_engine(database_url)
    with engine.begin() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(DatabaseError, match="newer version"):
        migrate(database_url)
    engine.dispose()
