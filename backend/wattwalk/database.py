"""The database: how it is reached, how writers queue, how its tables are brought up to date."""

from __future__ import annotations

import fcntl
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from flask_sqlalchemy import SQLAlchemy
from sqlalchemy import DateTime, Dialect, Engine, MetaData, TypeDecorator, create_engine, event
from sqlalchemy.orm import DeclarativeBase, Session

from .survey.errors import WattwalkError

#: Seconds a connection waits for another writer before it gives up.
BUSY_TIMEOUT_S = 30
_IS_WRITER = "wattwalk_is_writer"


class Base(DeclarativeBase):
    """Base of every stored thing; constraints have names, so that migrations can speak of them."""

    metadata = MetaData(
        naming_convention={
            "ix": "ix_%(column_0_label)s",
            "uq": "uq_%(table_name)s_%(column_0_name)s",
            "ck": "ck_%(table_name)s_%(constraint_name)s",
            "fk": "fk_%(table_name)s_%(column_0_name)s_%(referred_table_name)s",
            "pk": "pk_%(table_name)s",
        }
    )


# What was read stays readable after a commit: a request reads its user first and writes later.
db = SQLAlchemy(model_class=Base, session_options={"expire_on_commit": False})


class UtcMoment(TypeDecorator[datetime]):
    """A moment in UTC.  SQLite hands back moments without a zone, so it is put on again."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Refuse a moment without a zone: nobody could say later which one was meant."""
        if value is not None and value.tzinfo is None:
            raise ValueError("A moment needs its time zone.")
        return value if value is None else value.astimezone(UTC)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Return the moment in UTC."""
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


def now() -> datetime:
    """Return the present moment in UTC; the one clock of the server."""
    return datetime.now(UTC)


class DatabaseError(WattwalkError, RuntimeError):
    """The database cannot be used as it is; the message says what to do."""


def engine_options(url: str) -> dict[str, Any]:
    """Return the engine's options for a database of this make."""
    if url.startswith("sqlite:"):
        return {"connect_args": {"timeout": BUSY_TIMEOUT_S, "check_same_thread": False}}
    return {"pool_pre_ping": True}


def prepare_engine(engine: Engine) -> None:
    """Give an SQLite engine our pragmas and honest transactions; nothing to do for PostgreSQL."""
    if engine.dialect.name != "sqlite":
        return

    @event.listens_for(engine, "connect")
    def set_pragmas(connection: Any, _record: Any) -> None:
        # The driver would begin transactions late and in its own way; we begin them ourselves below.
        connection.isolation_level = None
        for pragma in ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON", f"busy_timeout={BUSY_TIMEOUT_S * 1000}"):
            connection.execute(f"PRAGMA {pragma}")

    @event.listens_for(engine, "begin")
    def begin(connection: Any) -> None:
        # A reader that turns into a writer half-way fails at once when another has written meanwhile.
        is_writer = connection.get_execution_options().get(_IS_WRITER, False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if is_writer else "BEGIN")


@contextmanager
def _turn_of_writer(engine: Engine) -> Iterator[None]:
    """Queue for SQLite's one writer's place: its own busy handler lets some wait for seconds."""
    if engine.dialect.name != "sqlite":
        yield
        return
    with Path(f"{engine.url.database}-queue").open("ab") as queue:
        fcntl.flock(queue, fcntl.LOCK_EX)
        yield


@contextmanager
def writing() -> Iterator[Session]:
    """Run a block as one writing transaction: committed at its end, rolled back when it raises.

    A reading transaction that is still open ends first, so the block sees the newest state.

    Raises
    ------
    RuntimeError
        When a reading or writing block is open already, or there is unsaved work in the session.
    """
    session = db.session()
    if session.info.get("writing") or session.info.get("reading"):
        raise RuntimeError("A reading or writing transaction is open already.")
    if session.new or session.dirty or session.deleted:
        raise RuntimeError("There is unsaved work outside a writing transaction.")
    if session.in_transaction():
        session.commit()
    with ExitStack() as stack:
        stack.enter_context(_turn_of_writer(db.engine))
        session.info["writing"] = True
        try:
            session.connection(execution_options={_IS_WRITER: True})
            yield session
            session.commit()
        except BaseException:
            session.rollback()
            raise
        finally:
            session.info["writing"] = False


@contextmanager
def reading() -> Iterator[Session]:
    """Run a block of reads that all see the database at one moment.

    Inside another reading or writing block it is part of that one.
    """
    session = db.session()
    if session.info.get("writing") or session.info.get("reading"):
        yield session
        return
    if session.in_transaction():
        session.commit()
    session.info["reading"] = True
    try:
        # SQLite holds one moment by itself; PostgreSQL would show each query the newest.
        options = {"isolation_level": "REPEATABLE READ"} if db.engine.dialect.name == "postgresql" else {}
        session.connection(execution_options=options)
        yield session
        session.commit()
    except BaseException:
        session.rollback()
        raise
    finally:
        session.info["reading"] = False


def migrate(url: str) -> None:
    """Bring the database's tables up to date, or make them.

    Raises
    ------
    DatabaseError
        When the database was written by a newer version of the program.
    """
    from alembic import command
    from alembic.config import Config
    from alembic.util import CommandError

    from .paths import migrations_folder

    if url.startswith("sqlite:///"):
        Path(url.removeprefix("sqlite:///")).parent.mkdir(parents=True, exist_ok=True)
    config = Config()
    config.set_main_option("script_location", str(migrations_folder()))
    config.set_main_option("path_separator", "os")
    engine = create_engine(url, **engine_options(url))
    config.attributes["engine"] = engine
    try:
        command.upgrade(config, "head")
    except CommandError as error:
        if "Can't locate revision" in str(error):
            raise DatabaseError("The database was written by a newer version of Wattwalk: install that version or a later one.") from error
        raise
    finally:
        engine.dispose()
