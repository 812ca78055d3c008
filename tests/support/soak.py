"""What the ledgers of `make soak` share: going on with seeds that nobody has seen, and saying when an account does not add up."""

from __future__ import annotations

import secrets
import sys
import time
from collections import Counter
from collections.abc import Callable


class Broken(AssertionError):
    """An account does not add up: something that was called saved is not there, or something is there that nobody entered."""


def asked(usual: int) -> tuple[int, int | None]:
    """Return how much is enough, the command's first word or else `usual`, and the first seed, its second word if it has one."""
    return int(sys.argv[1]) if len(sys.argv) > 1 else usual, int(sys.argv[2]) if len(sys.argv) > 2 else None


def soak(
    wanted: int,
    seed: int | None,
    play: Callable[[int, int], tuple[Counter[str], int]],
    reached: Callable[[Counter[str]], int],
    words: Callable[[Counter[str]], str],
) -> int:
    """Play from a seed on, by default a new one, until enough was reached, printing the account so far; return 1 when it does not add up, else 0.

    `play` is told the next seed and how much is left, and returns what was counted and how many seeds it used.
    """
    if seed is None:
        seed = secrets.randbelow(10**9)
    print(f"seeds from {seed} on", flush=True)
    counts: Counter[str] = Counter()
    began = time.monotonic()
    while reached(counts) < wanted:
        try:
            found, used = play(seed, wanted - reached(counts))
        except Broken as error:
            print(f"NOT KEPT: {error}")
            return 1
        counts += found
        seed += used
        print(f"to seed {seed - 1}: {words(counts)}, {time.monotonic() - began:,.0f} s", flush=True)
    return 0
