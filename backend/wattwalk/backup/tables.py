"""Tables as rows of JSON, and back: read and written by what the database itself says of them, so that every migration's tables fit."""

from __future__ import annotations

import base64
import json
from collections.abc import Callable, Iterable
from datetime import UTC, datetime
from decimal import Decimal
from itertools import islice
from typing import Any

from sqlalchemy import Connection, MetaData, Table, func, insert, inspect, select, text

from ..database import Base, upgrade
from ..models import OF_THE_MOMENT

_ROWS_AT_ONCE = 1_000
#: The table that says up to which migration the others have been brought; a backup says so in its manifest.
VERSION_TABLE = "alembic_version"


def present_tables(connection: Connection) -> list[Table]:
    """Return our tables as they are in the database, those that others point at first."""
    found = MetaData()
    found.reflect(connection)
    return [table for table in found.sorted_tables if table.name != VERSION_TABLE]


def kept_tables(connection: Connection) -> list[Table]:
    """Return the tables that a backup holds: all but those of the moment."""
    momentary = {table.name for table in Base.metadata.sorted_tables if table.info.get(OF_THE_MOMENT)}
    return [table for table in present_tables(connection) if table.name not in momentary]


def drop_tables(connection: Connection) -> None:
    """Drop our tables; whatever else lives in the database is left alone."""
    if not inspect(connection).has_table(VERSION_TABLE):
        return
    # Brought up to date first, they are those that this program knows by name.
    upgrade(connection)
    found = MetaData()
    found.reflect(connection, only=lambda name, _: name == VERSION_TABLE or name in Base.metadata.tables)
    found.drop_all(connection)


def write_rows(connection: Connection, table: Table, write: Callable[[bytes], object]) -> int:
    """Write the rows of a table, a line of JSON each, and return how many there are."""
    count = 0
    for row in connection.execute(select(table), execution_options={"yield_per": _ROWS_AT_ONCE}):
        write(json.dumps([_as_plain(value) for value in row], separators=(",", ":"), allow_nan=False).encode() + b"\n")
        count += 1
    return count


def _as_plain(value: Any) -> Any:
    if value is None or isinstance(value, bool | int | float | str):
        return value
    if isinstance(value, datetime):
        # SQLite hands back moments without the zone that all of ours have.
        return {"moment": (value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)).isoformat()}
    if isinstance(value, bytes):
        return {"base64": base64.b64encode(value).decode()}
    if isinstance(value, Decimal):
        return {"decimal": str(value)}
    raise TypeError(f"Found a {type(value).__name__} in the database; no backup knows how to keep it.")


def _from_plain(value: Any) -> Any:
    if not isinstance(value, dict):
        return value
    [(kind, written)] = value.items()
    readers: dict[str, Callable[[Any], Any]] = {
        "moment": datetime.fromisoformat,
        "base64": base64.b64decode,
        "decimal": Decimal,
    }
    return readers[kind](written)


def put_rows(connection: Connection, table: Table, columns: list[str], rows: Iterable[list[Any]]) -> None:
    """Put rows into a table."""
    coming = iter(rows)
    while some := [dict(zip(columns, map(_from_plain, row), strict=True)) for row in islice(coming, _ROWS_AT_ONCE)]:
        connection.execute(insert(table), some)


def go_on_counting(connection: Connection, table: Table) -> None:
    """Let PostgreSQL number new rows after those that were put in with their numbers."""
    if connection.dialect.name != "postgresql":
        return
    for column in table.primary_key.columns:
        sequence = connection.execute(
            text("SELECT pg_get_serial_sequence(:table, :column)"), {"table": f'"{table.name}"', "column": column.name}
        ).scalar()
        if sequence:
            most = connection.execute(select(func.max(column))).scalar()
            connection.execute(
                text("SELECT setval(:sequence, :next, false)"), {"sequence": sequence, "next": (most or 0) + 1}
            )
