"""Every published case: inputs, expected value, tolerance and source from the CSV files beside this test."""

from __future__ import annotations

import dataclasses

import pytest

from wattwalk.checks import book
from wattwalk.checks.book import FUNCTIONS, Case, CheckBookError, by_subject, cases, check, check_all


@pytest.mark.parametrize("case", [pytest.param(case, id=f"{case.subject}: {case.name}") for case in cases()])
def test_published_value(case: Case) -> None:
    assert check(case).computed == pytest.approx(case.expected, abs=case.tolerance + 1e-9, rel=0), case.source
    assert case.source


def test_there_are_cases_for_every_function() -> None:
    assert {case.function for case in cases()} == set(FUNCTIONS)


def test_no_case_stands_twice() -> None:
    named = [(case.subject, case.name) for case in cases()]
    assert len(set(named)) == len(named)


def test_a_wrong_value_is_not_met() -> None:
    first = cases()[0]
    wrong = dataclasses.replace(first, expected=first.expected + 2 * first.tolerance + 1)
    assert check(first).is_met
    assert not check(wrong).is_met
    assert by_subject((check(first), check(wrong))) == [(first.subject.replace("_", " "), 2, 1)]


def test_the_counts_by_subject_add_up() -> None:
    assert sum(every for _, every, _ in by_subject(check_all())) == len(cases())


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"function": "nothing"}, "no function 'nothing'"),
        ({"inputs": "{"}, "cannot be read"),
        ({"tolerance": "-1"}, "needs a source and a tolerance"),
        ({"source": " "}, "needs a source and a tolerance"),
    ],
)
def test_a_row_that_cannot_be_right_is_refused(changes: dict[str, str], words: str) -> None:
    row = {
        "case": "it",
        "function": "arithmetic_k",
        "inputs": "{}",
        "expected": "1",
        "tolerance": "0.1",
        "source": "a book",
    } | changes
    with pytest.raises(CheckBookError, match=words):
        book._case("emitters", row)


def test_inputs_that_do_not_suit_are_refused() -> None:
    with pytest.raises(CheckBookError, match="cannot be worked out"):
        check(Case("emitters", "it", "arithmetic_k", {"flow_c": 45}, 1, 0.1, "a book"))
