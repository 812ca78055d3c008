"""The share of mutants that the tests noticed, with its interval, and those that they did not."""

from __future__ import annotations

import csv
import math
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

#: The survivors that no test could tell from the program, or that only change how fast it is, each with why.
EQUIVALENT = Path(__file__).with_name("survivors.csv")
COLUMNS = ("area", "file", "function", "operator", "line", "becomes", "why")
#: The normal quantile that leaves 2.5 % on either side.
_Z = 1.959963984540054


def wilson(hits: int, of: int) -> tuple[float, float]:
    """Return the 95 % interval of a share.

    Source: E. B. Wilson, Probable inference, the law of succession, and statistical inference, Journal of the American Statistical Association
    22 (1927) 209-212; in the form of the NIST/SEMATECH e-Handbook of Statistical Methods, section 7.2.4.1.

    Raises
    ------
    ValueError
        When there is nothing to have a share of.
    """
    if not 0 <= hits <= of or of == 0:
        raise ValueError(f"There is no share of {hits} in {of}.")
    share, square = hits / of, _Z * _Z
    middle = share + square / (2 * of)
    half = _Z * math.sqrt(share * (1 - share) / of + square / (4 * of * of))
    return max(0.0, (middle - half) / (1 + square / of)), min(1.0, (middle + half) / (1 + square / of))


def key_of(line: Mapping[str, Any]) -> tuple[str, ...]:
    """Return what a mutant is known by for as long as its line says what it says."""
    return tuple(line[name] for name in COLUMNS[1:-1])


def read_equivalent(path: Path = EQUIVALENT) -> dict[tuple[str, ...], str]:
    """Return why each listed survivor cannot be told from the program."""
    with path.open(newline="") as file:
        return {key_of(row): row["why"] for row in csv.DictReader(file)}


def tell(area: str, results: Iterable[Mapping[str, Any]], equivalent: Mapping[tuple[str, ...], str]) -> list[str]:
    """Return the lines of the report on an area: the shares, then each survivor that is not explained."""
    results = list(results)
    killed = sum(line["outcome"] != "survived" for line in results)
    survivors = [line for line in results if line["outcome"] == "survived"]
    unexplained = [line for line in survivors if key_of(line) not in equivalent]
    by_time = sum(line["outcome"] == "killed_by_time" for line in results)
    said = [
        f"{area}: {_share(killed, len(results))} of {len(results)} mutants killed, {by_time} of them by going on for too long"
    ]
    told_apart = len(results) - len(survivors) + len(unexplained)
    if told_apart:
        said.append(f"{area}: {_share(killed, told_apart)} of the {told_apart} that can be told from the program")
    for line in unexplained:
        said += [
            f"  {line['file']} {line['function']} ({line['operator']}, {line['tests']} tests)",
            f"    - {line['line']}",
            f"    + {line['becomes']}",
        ]
    return said


def _share(hits: int, of: int) -> str:
    low, high = wilson(hits, of)
    return f"{100 * hits / of:.1f} % ({100 * low:.1f} to {100 * high:.1f})"
