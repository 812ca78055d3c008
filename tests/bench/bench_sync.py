"""How many changes a second the server takes, by size of batch, on SQLite and on PostgreSQL: validated, logged, state and all.

The quickest and the middle batch are given: what the program can do, and what it did beside all else that ran.

Durability is as in use: SQLite with its full synchronous mode, PostgreSQL with the settings of a fresh installation.
"""

from __future__ import annotations

import json
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.support import postgres
from tests.support.cast import ADA, Device, Office, change, open_office

#: (changes in a batch, batches measured)
SIZES = ((1, 300), (50, 40), (500, 20))
FIELDS = ("length_m", "width_m", "height_m", "name", "notes")


def batch(turn: int, size: int) -> list[dict]:
    """Return changes as a walk makes them: a room after the other, some fields of each, some corrected."""
    changes = []
    for place in range(size):
        field = FIELDS[place % len(FIELDS)]
        value = f"Room {turn}" if field in ("name", "notes") else 2.4 + place % 7 / 10
        changes.append(change(f"room-{turn % 40}-{place // len(FIELDS)}", field, value, seen=0))
    return changes


def measure(office: Office) -> None:
    """Print the rate of each size of batch; each has a survey of its own."""
    for size, turns in SIZES:
        office.take_up_survey()
        device: Device = office.device(ADA)
        bodies = [json.dumps({"device": device.name, "changes": batch(turn, size)}) for turn in range(turns + 1)]
        device.client.post(f"{device.path}/changes", data=bodies[0], content_type="application/json")
        took = []
        for body in bodies[1:]:
            began = time.perf_counter()
            answer = device.client.post(f"{device.path}/changes", data=body, content_type="application/json")
            took.append(time.perf_counter() - began)
            assert answer.json["revision"] % size == 0, answer.json
        print(f"  batches of {size:3d}: best {size / min(took):8,.0f}, middle {size / median(took):8,.0f} changes a second")


def main() -> None:
    """Measure both makes of database."""
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        print("SQLite")
        with open_office(f"sqlite:///{home / 'wattwalk.sqlite3'}", home) as office:
            measure(office)
        print("PostgreSQL")
        postgres.FAST_AND_FORGETFUL = ()
        with postgres.own_cluster() as cluster, postgres.fresh_database(cluster) as url, open_office(url, home) as office:
            measure(office)


if __name__ == "__main__":
    main()
