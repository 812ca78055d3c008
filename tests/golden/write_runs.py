"""How long runs are by their stretches, as a golden file that the phone is held to as well.

Run `python -m tests.golden.write_runs` after a change that is meant, and look at the difference.
"""

from __future__ import annotations

import json
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path
from typing import Any

from wattwalk.survey.runs import run_length

FILE = Path(__file__).with_name("runs.json")

#: Lengths of stretches in m; None for one without a length.
ROUTES: list[list[float | None]] = [
    [],
    [None],
    [4.2],
    [4.2, 3.9, 2.4],
    [0.1, 0.2],
    [0.1] * 30,
    [12.5, None],
    [None, None, 3.0],
    [2.05, 1.0],
    [0.05],
    [120.0, 0.04],
    [33.33, 33.33, 33.34],
]


def golden() -> list[dict[str, Any]]:
    """Return each run's stretches with its length in m, to a tenth as a person rounds, and None while it is not known."""
    cases = []
    for lengths in ROUTES:
        stretches = [{} if length is None else {"length_m": length} for length in lengths]
        length = run_length(stretches)
        tenths = None if length is None else Decimal(str(round(length, 6))).quantize(Decimal("0.1"), ROUND_HALF_UP)
        cases.append({"stretches": stretches, "length_m": None if tenths is None else float(tenths)})
    return cases


if __name__ == "__main__":
    FILE.write_text(json.dumps(golden(), indent=1) + "\n", encoding="utf-8")
