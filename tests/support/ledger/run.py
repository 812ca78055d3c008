"""Many histories, counted: the first of the fixed ones are a part of the tests; by itself a part of `make soak`.

That plays the fixed ones which the tests leave out, then goes on with seeds that nobody has seen; with a seed of one's own it plays only from there on.

    python -m tests.support.ledger.run HISTORIES [FIRST_SEED]
"""

from __future__ import annotations

import json
import sys
import tempfile
from collections import Counter
from pathlib import Path

from tests.support.cast import open_office
from tests.support.ledger.history import draw, play, shorten
from tests.support.soak import Broken, asked, soak

#: Fixed, so that a failure is the program's and not the day's: so many seeds from the first one on, and so many of them in every test run.
FIRST_SEED, FIXED, IN_THE_TESTS = 20_260_301, 2_000, 500
#: One history in so many goes over HTTP; the others go straight to the services, which is five times as quick.
OVER_HTTP = 25
#: Histories after which a new office is opened, so that backups stay small.
OFFICE = 400


def run(first: int, histories: int) -> Counter[str]:
    """Play histories with the seeds from `first` on and return what was counted.

    Raises
    ------
    Broken
        With the seed and the shortest steps found that still do not add up.
    """
    counts: Counter[str] = Counter(histories=0, faults=0, saved=0, acknowledged=0, photos=0, lost=0, doubled=0)
    memory = Path("/dev/shm")
    for start in range(first, first + histories, OFFICE):
        with tempfile.TemporaryDirectory(dir=memory if memory.is_dir() else None) as name:
            folder = Path(name)
            with open_office(f"sqlite:///{folder / 'wattwalk.sqlite'}", folder) as office:
                for seed in range(start, min(start + OFFICE, first + histories)):
                    steps, over_http = draw(seed), seed % OVER_HTTP == 0
                    try:
                        counts += play(office, folder, steps, over_http=over_http)
                    except Broken as error:
                        short = shorten(office, folder, steps, over_http=over_http)
                        raise Broken(
                            f"seed {seed}: {error}\nKeep it under tests/sync/kept_histories:\n{json.dumps(short)}"
                        ) from error
                    counts["histories"] += 1
    return counts


def words(counts: Counter[str]) -> str:
    """Return the account in one line."""
    return (
        f"{counts['histories']:,} histories, {counts['faults']:,} faults made, {counts['saved']:,} edits saved, "
        f"{counts['acknowledged']:,} acknowledged, {counts['photos']:,} photos, {counts['lost']} lost, {counts['doubled']} doubled"
    )


def main() -> int:
    """Play the fixed histories that the tests leave out, then as many as asked for, and print the account; 1 when it does not add up."""

    def play_some(first: int, left: int) -> tuple[Counter[str], int]:
        histories = min(OFFICE, left)
        return run(first, histories), histories

    def played(counts: Counter[str]) -> int:
        return counts["histories"]

    wanted, seed = asked(20_000)
    if seed is None and soak(FIXED - IN_THE_TESTS, FIRST_SEED + IN_THE_TESTS, play_some, played, words):
        return 1
    return soak(wanted, seed, play_some, played, words)


if __name__ == "__main__":
    sys.exit(main())
