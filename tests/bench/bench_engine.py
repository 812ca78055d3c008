"""How long an assessment takes: houses of 5 to 80 rooms, the best of several runs in milliseconds."""

from __future__ import annotations

import json
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.support.houses import terrace
from wattwalk.engine import assess, to_plain
from wattwalk.survey.building import Surface
from wattwalk.survey.document import read_document


def main() -> None:
    """Print one line for each size of house."""
    print("rooms  surfaces  assess ms  ms/room  as JSON ms")
    for rooms in (5, 10, 20, 40, 80):
        survey = read_document(terrace(rooms))
        assess(survey)
        best = plain = float("inf")
        for _ in range(15):
            start = time.perf_counter()
            assessment = assess(survey)
            middle = time.perf_counter()
            json.dumps(to_plain(assessment))
            best, plain = min(best, middle - start), min(plain, time.perf_counter() - middle)
        print(
            f"{rooms:5}  {len(survey.of_kind(Surface)):8}  {best * 1000:9.2f}  {best * 1000 / rooms:7.3f}  {plain * 1000:10.2f}"
        )


if __name__ == "__main__":
    main()
