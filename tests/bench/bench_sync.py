"""How many changes a second the server takes, by size of batch, on SQLite and on PostgreSQL: validated, logged, state and all.

The quickest and the middle batch are given: what the program can do, and what it did beside all else that ran. Beside them stands the raw
ceiling of the database, measured in turn with them: the very rows that the program has written for those batches, put into tables of the same
shape by the bare driver, in one transaction a batch and as durable. The ratio says what validation, contests, the record's state and HTTP cost.

Durability is as in use: SQLite with its full synchronous mode, PostgreSQL with the settings of a fresh installation.
"""

from __future__ import annotations

import json
import sqlite3
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median
from typing import Any

import psycopg
from sqlalchemy import make_url

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.support import postgres
from tests.support.cast import ADA, Device, Office, change, open_office

#: (changes in a batch, batches measured)
SIZES = ((1, 300), (50, 40), (500, 20))
FIELDS = ("length_m", "width_m", "height_m", "name", "notes")
Rows = list[tuple[Any, ...]]


def batch(turn: int, size: int) -> list[dict]:
    """Return changes as a walk makes them: a room after the other, some fields of each, some corrected."""
    changes = []
    for place in range(size):
        field = FIELDS[place % len(FIELDS)]
        value = f"Room {turn}" if field in ("name", "notes") else 2.4 + place % 7 / 10
        changes.append(change(f"room-{turn % 40}-{place // len(FIELDS)}", field, value, seen=0))
    return changes


class Raw:
    """The bare driver and two tables of the same shape as the program's: keys and all, and nothing else."""

    def __init__(self, url: str) -> None:
        self._is_sqlite = url.startswith("sqlite:")
        if self._is_sqlite:
            self.connection: Any = sqlite3.connect(url.removeprefix("sqlite:///"), isolation_level=None)
            for pragma in ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON"):
                self.connection.execute(f"PRAGMA {pragma}")
        else:
            self.connection = psycopg.connect(
                make_url(url).set(drivername="postgresql").render_as_string(hide_password=False), autocommit=True
            )
        cursor = self.connection.cursor()
        if self._is_sqlite:
            for table in ("change", "record"):
                made = cursor.execute("SELECT sql FROM sqlite_master WHERE name = ?", (table,)).fetchone()[0]
                cursor.execute(
                    made.replace(f"CREATE TABLE {table}", f"CREATE TABLE raw_{table}", 1).replace(
                        f'CREATE TABLE "{table}"', f"CREATE TABLE raw_{table}", 1
                    )
                )
                for (index,) in cursor.execute(
                    "SELECT sql FROM sqlite_master WHERE type = 'index' AND sql NOT NULL AND tbl_name = ?", (table,)
                ).fetchall():
                    cursor.execute(
                        index.replace("CREATE INDEX ", "CREATE INDEX raw_", 1)
                        .replace(f" ON {table} ", f" ON raw_{table} ")
                        .replace(f' ON "{table}" ', f" ON raw_{table} ")
                    )
        else:
            for table in ("change", "record"):
                cursor.execute(f"CREATE TABLE raw_{table} (LIKE {table} INCLUDING ALL)")

    def rows(self, survey: str, after: int) -> tuple[Rows, Rows]:
        """Return what the program has written of a survey beyond a revision: lines of its log, and the records' states."""
        mark = "?" if self._is_sqlite else "%s"
        cursor = self.connection.cursor()
        log = cursor.execute(
            f"SELECT * FROM change WHERE survey_id = {mark} AND revision > {mark}", (survey, after)
        ).fetchall()
        touched = {line[4] for line in log}
        records = cursor.execute(f"SELECT * FROM record WHERE survey_id = {mark}", (survey,)).fetchall()
        return log, [row for row in records if row[1] in touched]

    def put(self, log: Rows, records: Rows) -> float:
        """Put a batch's rows in and return the seconds that it took."""
        mark = "?" if self._is_sqlite else "%s"
        began = time.perf_counter()
        cursor = self.connection.cursor()
        cursor.execute("BEGIN IMMEDIATE" if self._is_sqlite else "BEGIN")
        for table, rows in (("raw_change", log), ("raw_record", records)):
            over = (
                ""
                if table == "raw_change"
                else " ON CONFLICT (survey_id, id) DO UPDATE SET values_json = excluded.values_json, marks_json = excluded.marks_json"
            )
            cursor.executemany(f"INSERT INTO {table} VALUES ({', '.join([mark] * len(rows[0]))}){over}", rows)
        cursor.execute("COMMIT")
        return time.perf_counter() - began


def timed(work: Callable[[], Any]) -> tuple[float, Any]:
    """Return the seconds that a piece of work took, and its answer."""
    began = time.perf_counter()
    answer = work()
    return time.perf_counter() - began, answer


def measure(office: Office) -> None:
    """Print the rate of each size of batch; each has a survey of its own."""
    raw = Raw(str(office.settings.database_url))
    for size, turns in SIZES:
        office.take_up_survey()
        device: Device = office.device(ADA)
        bodies = [json.dumps({"device": device.name, "changes": batch(turn, size)}) for turn in range(turns + 1)]
        ours, bare = [], []
        for turn, body in enumerate(bodies):
            took, answer = timed(
                lambda body=body, device=device: device.client.post(
                    f"{device.path}/changes", data=body, content_type="application/json"
                )
            )
            assert answer.json["revision"] == (turn + 1) * size, answer.json
            ours.append(took)
            bare.append(raw.put(*raw.rows(office.survey, turn * size)))
        # The first batch of each warms up.
        ours, bare = ours[1:], bare[1:]
        print(
            f"  batches of {size:3d}: best {size / min(ours):8,.0f}, middle {size / median(ours):8,.0f} changes a second; "
            f"bare driver {size / min(bare):8,.0f} and {size / median(bare):8,.0f}, {min(ours) / min(bare):.1f} and {median(ours) / median(bare):.1f} times as many"
        )
    raw.connection.close()


def main() -> None:
    """Measure both makes of database."""
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        print("SQLite")
        with open_office(f"sqlite:///{home / 'wattwalk.sqlite3'}", home) as office:
            measure(office)
        print("PostgreSQL")
        postgres.FAST_AND_FORGETFUL = ()
        with (
            postgres.own_cluster() as cluster,
            postgres.fresh_database(cluster) as url,
            open_office(url, home) as office,
        ):
            measure(office)


if __name__ == "__main__":
    main()
