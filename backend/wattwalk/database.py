"""The database: how it is reached, how writers queue, how its tables are brought up to date."""

from __future__ import annotations

import fcntl
import sqlite3
import threading
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from enum import Enum
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from flask_sqlalchemy import SQLAlchemy
from sqlalchemy import (
    Connection,
    DateTime,
    Dialect,
    Engine,
    MetaData,
    Table,
    TypeDecorator,
    create_engine,
    event,
    inspect,
    text,
)
from sqlalchemy.exc import DBAPIError, OperationalError
from sqlalchemy.exc import TimeoutError as PoolTimeoutError
from sqlalchemy.orm import DeclarativeBase, Session

from .files import make_folder
from .survey.errors import WattwalkError

#: Seconds that anybody waits for another writer, once for a turn and once for the database's own lock: together less than a phone waits for an answer.
LOCK_PATIENCE_S = 8.0
#: Seconds after which PostgreSQL gives up a single statement, a new connection, or a network that has gone silent.
STATEMENT_PATIENCE_S = 30
CONNECT_PATIENCE_S = 5
#: Connections held at most: one for every request thread and for what works beside them.
POOL_SIZE = 30
#: SQLSTATEs that mean 'not now': locks, a statement cut short, deadlocks, too many connections, a server that ends or begins.
_NOT_NOW = frozenset({"55P03", "57014", "40001", "40P01", "53300", "57P01", "57P02", "57P03", "57P05"})
_CONNECTION_LOST = "08"
if TYPE_CHECKING:
    from alembic.config import Config

_IS_WRITER = "wattwalk_is_writer"


class Base(DeclarativeBase):
    """Base of every stored thing; constraints have names, so that migrations can speak of them."""

    if TYPE_CHECKING:
        __table__: ClassVar[Table]

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
if TYPE_CHECKING:
    # The class that the library makes of it is known only while the program runs.
    Model = Base
else:
    Model = db.Model


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


def moment_text(moment: datetime) -> str:
    """Return a moment in UTC as changes and answers say it."""
    return moment.strftime("%Y-%m-%dT%H:%M:%SZ")


class DatabaseError(WattwalkError, RuntimeError):
    """The database cannot be used as it is; the message says what to do."""


class BusyError(WattwalkError):
    """The database is locked by somebody else or does not answer just now; nothing was changed."""

    def __init__(self) -> None:
        super().__init__(
            "The database is busy or does not answer just now; nothing was changed. Try again in a moment."
        )


def is_busy(error: DBAPIError | PoolTimeoutError) -> bool:
    """Say whether a fault of the database passes by itself: by its code, never by its words."""
    if isinstance(error, PoolTimeoutError):
        return True
    code = getattr(error.orig, "sqlite_errorcode", None)
    if code is not None:
        return code & 0xFF in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)
    state = getattr(error.orig, "sqlstate", None)
    if state is None:
        # The driver reached no server that could have given a code.
        return isinstance(error, OperationalError)
    return state in _NOT_NOW or state.startswith(_CONNECTION_LOST)


def engine_options(url: str) -> dict[str, Any]:
    """Return the engine's options for a database of this make."""
    pool = {"pool_size": POOL_SIZE, "max_overflow": 0, "pool_timeout": LOCK_PATIENCE_S}
    if url.startswith("sqlite:"):
        return {"connect_args": {"timeout": LOCK_PATIENCE_S, "check_same_thread": False}, **pool}
    # A server that was unplugged says nothing: the network layer has to notice.
    quiet = {
        "keepalives_idle": STATEMENT_PATIENCE_S,
        "keepalives_interval": CONNECT_PATIENCE_S,
        "tcp_user_timeout": STATEMENT_PATIENCE_S * 1000,
    }
    return {"connect_args": {"connect_timeout": CONNECT_PATIENCE_S, **quiet}, "pool_pre_ping": True, **pool}


def prepare_engine(engine: Engine) -> None:
    """Give an SQLite engine our pragmas and honest transactions, and one of PostgreSQL an end to all waiting."""
    if engine.dialect.name != "sqlite":

        @event.listens_for(engine, "connect")
        def set_patience(connection: Any, _record: Any) -> None:
            with connection.cursor() as cursor:
                cursor.execute(f"SET lock_timeout = {round(LOCK_PATIENCE_S * 1000)}")
                cursor.execute(f"SET statement_timeout = {STATEMENT_PATIENCE_S * 1000}")
            connection.commit()

        return

    @event.listens_for(engine, "connect")
    def set_pragmas(connection: Any, _record: Any) -> None:
        # The driver would begin transactions late and in its own way; we begin them ourselves below.
        connection.isolation_level = None
        for pragma in (
            "journal_mode=WAL",
            "synchronous=FULL",
            "foreign_keys=ON",
            f"busy_timeout={round(LOCK_PATIENCE_S * 1000)}",
        ):
            connection.execute(f"PRAGMA {pragma}")

    @event.listens_for(engine, "begin")
    def begin(connection: Any) -> None:
        # A reader that turns into a writer half-way fails at once when another has written meanwhile.
        is_writer = connection.get_execution_options().get(_IS_WRITER, False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if is_writer else "BEGIN")


#: Threads of this process wait for each other here, so that only one of them at a time asks for the file's lock.
_TURNS: dict[str, threading.Lock] = {}


@contextmanager
def _turn_of_writer(engine: Engine, patience_s: float) -> Iterator[None]:
    """Queue for SQLite's one writer's place: its own busy handler lets some wait for seconds.

    Raises
    ------
    BusyError
        When the place has not become free within `patience_s` seconds.
    """
    if engine.dialect.name != "sqlite":
        yield
        return
    path = f"{engine.url.database}-queue"
    until = time.monotonic() + patience_s
    turn = _TURNS.setdefault(path, threading.Lock())
    if not turn.acquire(timeout=patience_s):
        raise BusyError
    try:
        with Path(path).open("ab") as queue:
            _lock_file(queue.fileno(), until)
            yield
    finally:
        turn.release()


def _lock_file(number: int, until: float) -> None:
    pause_s = 0.001
    while True:
        try:
            fcntl.flock(number, fcntl.LOCK_EX | fcntl.LOCK_NB)
            return
        except BlockingIOError:
            if time.monotonic() >= until:
                raise BusyError from None
        time.sleep(pause_s)
        pause_s = min(2 * pause_s, 0.02)


@contextmanager
def writing(*, patience_s: float | None = None) -> Iterator[Session]:
    """Run a block as one writing transaction: committed at its end, rolled back when it raises.

    A reading transaction that is still open ends first, so the block sees the newest state.

    Parameters
    ----------
    patience_s : float, optional
        Seconds to wait for other writers; ``LOCK_PATIENCE_S`` by default.

    Raises
    ------
    BusyError
        When others have been writing for longer than that, or the database does not answer.
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
        stack.enter_context(_turn_of_writer(db.engine, LOCK_PATIENCE_S if patience_s is None else patience_s))
        session.info["writing"] = True
        try:
            connection = session.connection(execution_options={_IS_WRITER: True})
            if patience_s is not None and connection.dialect.name == "postgresql":
                connection.exec_driver_sql(f"SET LOCAL lock_timeout = {max(1, round(patience_s * 1000))}")
            yield session
            session.commit()
        except BaseException as error:
            session.rollback()
            if isinstance(error, (DBAPIError, PoolTimeoutError)) and is_busy(error):
                raise BusyError from error
            raise
        finally:
            session.info["writing"] = False


@contextmanager
def reading() -> Iterator[Session]:
    """Run a block of reads that all see the database at one moment.

    Inside another reading or writing block it is part of that one.

    Raises
    ------
    BusyError
        When the database does not answer just now.
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
    except BaseException as error:
        session.rollback()
        if isinstance(error, (DBAPIError, PoolTimeoutError)) and is_busy(error):
            raise BusyError from error
        raise
    finally:
        session.info["reading"] = False


class Standing(Enum):
    """How a database's tables stand to what this program was written for."""

    ABSENT = "absent"
    OLDER = "older"
    READY = "ready"
    NEWER = "newer"


@dataclass(frozen=True)
class Schema:
    """Up to which migration a database's tables have been brought: None when they have not been made."""

    revision: str | None

    @property
    def standing(self) -> Standing:
        """Say how that stands to this program."""
        if self.revision is None:
            return Standing.ABSENT
        if self.revision == newest_revision():
            return Standing.READY
        return Standing.OLDER if self.revision in known_revisions() else Standing.NEWER

    def trouble(self) -> str | None:
        """Return what is wrong and what to do about it, or None when the tables are those of this program."""
        return _NOT_READY.get(self.standing)


_NOT_READY = {
    Standing.ABSENT: "There is no database yet, or it has no tables: run `wattwalk migrate` to make them.",
    Standing.OLDER: "The database was written by an earlier version of Wattwalk. Run `wattwalk migrate`: it makes a backup first, then brings the tables up to date.",
    Standing.NEWER: "The database was written by a newer version of Wattwalk: install that version or a later one.",
}


@cache
def known_revisions() -> tuple[str, ...]:
    """Return the migrations of this program, the newest first."""
    from alembic.script import ScriptDirectory

    return tuple(script.revision for script in ScriptDirectory.from_config(_alembic_config()).walk_revisions())


def newest_revision() -> str:
    """Return the migration that this program's tables are made by."""
    return known_revisions()[0]


def present_revision(connection: Connection) -> str | None:
    """Return up to which migration the database's tables have been brought, or None when there are none."""
    if not inspect(connection).has_table("alembic_version"):
        return None
    return connection.execute(text("SELECT version_num FROM alembic_version")).scalar_one_or_none()


@contextmanager
def one_moment(url: str) -> Iterator[Connection]:
    """Lend a connection of its own that sees the database as it is at this moment, whatever is written meanwhile; nobody waits for it.

    Raises
    ------
    DatabaseError
        When there is no file of an embedded database: looking makes none.
    """
    file = sqlite_file(url)
    if file is not None and not file.is_file():
        raise DatabaseError(_NOT_READY[Standing.ABSENT])
    engine = create_engine(url, **engine_options(url))
    prepare_engine(engine)
    # SQLite's log holds a reader's moment by itself.
    options = (
        {"isolation_level": "REPEATABLE READ", "postgresql_readonly": True}
        if engine.dialect.name == "postgresql"
        else {}
    )
    try:
        with engine.connect().execution_options(**options) as connection:
            yield connection
    finally:
        engine.dispose()


def read_schema(url: str) -> Schema:
    """Look at a database's tables without making anything, not even the file.

    Raises
    ------
    sqlalchemy.exc.OperationalError
        When the database does not answer.
    """
    file = sqlite_file(url)
    if file is not None and not file.is_file():
        return Schema(None)
    with one_moment(url) as connection:
        return Schema(present_revision(connection))


def sqlite_file(url: str) -> Path | None:
    """Return the file of an SQLite database, or None for another make."""
    return Path(url.removeprefix("sqlite:///")) if url.startswith("sqlite:///") else None


@contextmanager
def changing_tables(url: str) -> Iterator[Connection]:
    """Run a block as one transaction that may make, change and drop tables; all of it stands at the end, or nothing.

    The folder of an SQLite database is made when there is none, and other writers are held off.
    """
    file = sqlite_file(url)
    if file is not None:
        make_folder(file.parent)
    engine = create_engine(url, **engine_options(url))
    if file is not None:

        @event.listens_for(engine, "connect")
        def prepare(connection: Any, _record: Any) -> None:
            connection.isolation_level = None
            # Changing a table means copying and dropping it; with foreign keys on, that would delete the rows that
            # point at it.  The switch does nothing inside a transaction, so it is thrown before one begins.
            for pragma in ("foreign_keys=OFF", "journal_mode=WAL", "synchronous=FULL"):
                connection.execute(f"PRAGMA {pragma}")

        @event.listens_for(engine, "begin")
        def begin(connection: Any) -> None:
            connection.exec_driver_sql("BEGIN IMMEDIATE")

    try:
        with _turn_of_writer(engine, LOCK_PATIENCE_S), engine.begin() as connection:
            yield connection
    finally:
        engine.dispose()


def upgrade(connection: Connection, revision: str = "head") -> None:
    """Bring the tables up to a migration, the newest by default, within the caller's :func:`changing_tables`.

    Raises
    ------
    DatabaseError
        When the database was written by a newer version of the program.
    """
    from alembic import command
    from alembic.util import CommandError

    config = _alembic_config()
    config.attributes["connection"] = connection
    try:
        command.upgrade(config, revision)
    except CommandError as error:
        if "Can't locate revision" in str(error):
            raise DatabaseError(_NOT_READY[Standing.NEWER]) from error
        raise


def migrate(url: str) -> None:
    """Bring the database's tables up to date, or make them; see :func:`upgrade`."""
    with changing_tables(url) as connection:
        upgrade(connection)


def _alembic_config() -> Config:
    from alembic.config import Config

    from .paths import migrations_folder

    config = Config()
    config.set_main_option("script_location", str(migrations_folder()))
    config.set_main_option("path_separator", "os")
    return config
