"""The share that was killed, its interval, and which survivors are explained."""

from __future__ import annotations

import csv

import pytest

from tests.mutants.tally import COLUMNS, EQUIVALENT, key_of, read_equivalent, tell, wilson
from tests.mutants.workshop import ROOT


@pytest.mark.parametrize(
    ("hits", "of", "low", "high"),
    [
        # R. G. Newcombe, Two-sided confidence intervals for the single proportion, Statistics in Medicine 17 (1998) 857-872, table I, method 3.
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0, 0.1611),
        (1, 29, 0.0061, 0.1718),
    ],
)
def test_the_interval_is_the_published_one(hits: int, of: int, low: float, high: float) -> None:
    assert wilson(hits, of) == pytest.approx((low, high), abs=5e-5)


@pytest.mark.parametrize(("hits", "of"), [(0, 0), (3, 2), (-1, 2)])
def test_there_is_no_share_of_nothing(hits: int, of: int) -> None:
    with pytest.raises(ValueError, match="no share"):
        wilson(hits, of)


def line(outcome: str, becomes: str) -> dict[str, str]:
    return {
        "file": "a.py",
        "function": "f",
        "operator": "AddNot",
        "line": "if a:",
        "becomes": becomes,
        "outcome": outcome,
        "tests": "3",
    }


def test_an_explained_survivor_counts_among_all_and_not_among_those_that_can_be_told() -> None:
    results = [line("killed", "1"), line("killed_by_time", "2"), line("survived", "3"), line("survived", "4")]
    said = tell("engine", results, {key_of(results[2]): "only speed"})
    assert said[0].startswith("engine: 50.0 % (15.0 to 85.0) of 4 mutants killed, 1 of them")
    assert said[1].startswith("engine: 66.7 %")
    assert [words.strip() for words in said[3:]] == ["- if a:", "+ 4"]


def test_every_explained_survivor_is_still_a_line_of_the_program() -> None:
    with EQUIVALENT.open(newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(read_equivalent()) == len(rows), "Two rows explain the same survivor."
    for row in rows:
        assert tuple(row) == COLUMNS
        assert len(row["why"]) > 20, row
        lines = {words.strip() for words in (ROOT / "backend" / "wattwalk" / row["file"]).read_text().splitlines()}
        assert row["line"] in lines, f"{row['file']} has this line no more: drop its row. {row['line']}"
