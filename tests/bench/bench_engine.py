"""How long an assessment takes: houses of 5 to 40 rooms, the best of several runs in milliseconds; and the plan of a storey, over twenty of each size."""

from __future__ import annotations

import json
import statistics
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.support.houses import terrace
from tests.support.told_rooms import random_storey, told
from wattwalk.engine import assess, draw_up, to_plain
from wattwalk.survey.building import Surface
from wattwalk.survey.document import read_document


def main() -> None:
    """Print one line for each size of house."""
    print("rooms  surfaces  assess ms  ms/room  as JSON ms")
    for rooms in (5, 10, 20, 40):
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
    print("rooms on a storey  plan ms, mean of 20 storeys  the slowest")
    for rooms in (5, 10, 20):
        took = []
        for seed in range(20):
            survey = read_document(told(random_storey(seed, rooms), seed, wall_m=0.1)[0])
            best = float("inf")
            for _ in range(3):
                start = time.perf_counter()
                draw_up(survey)
                best = min(best, time.perf_counter() - start)
            took.append(best * 1000)
        print(f"{rooms:17}  {statistics.fmean(took):27.1f}  {max(took):11.1f}")


if __name__ == "__main__":
    main()
