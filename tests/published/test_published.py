"""Every case of the check book: inputs, expected value, tolerance, kind and source from the CSV files beside this test."""

from __future__ import annotations

import dataclasses

import pytest

from wattwalk.checks import book
from wattwalk.checks.book import (
    BY_HAND,
    FROM_MEMORY,
    FUNCTIONS,
    KINDS,
    LIBRARY,
    PRINTED,
    SEEN,
    Case,
    CheckBookError,
    by_kind,
    by_subject,
    cases,
    check,
    check_all,
)


@pytest.mark.parametrize("case", [pytest.param(case, id=f"{case.subject}: {case.name}") for case in cases()])
def test_published_value(case: Case) -> None:
    assert check(case).computed == pytest.approx(case.expected, abs=case.tolerance + 1e-9, rel=0), case.source
    assert case.source


def test_there_are_cases_for_every_function() -> None:
    assert {case.function for case in cases()} == set(FUNCTIONS)


def test_no_case_stands_twice() -> None:
    named = [(case.subject, case.name) for case in cases()]
    assert len(set(named)) == len(named)


def test_every_case_says_what_kind_of_proof_it_is() -> None:
    assert {case.kind for case in cases()} == set(KINDS)
    for case in cases():
        if case.kind == PRINTED:
            assert case.where, f"{case.name}: no page, table or example"
            assert case.confidence in (SEEN, FROM_MEMORY), case.name
        else:
            assert "published" not in case.source, f"{case.name}: published is said of a printed number alone"


def test_two_hundred_numbers_were_printed_by_somebody_else() -> None:
    printed = [case for case in cases() if case.kind == PRINTED]
    assert len({(case.function, str(case.inputs)) for case in printed}) == len(printed), "one number is counted twice"
    assert len(printed) >= 200


def test_the_kinds_are_counted_apart() -> None:
    first = next(item for item in check_all() if item.case.kind == PRINTED)
    wrong = check(dataclasses.replace(first.case, expected=first.case.expected + 2 * first.case.tolerance + 1))
    by = {words: (every, met) for words, every, met in by_kind((first, wrong))}
    assert by == {KINDS[PRINTED]: (2, 1), KINDS[LIBRARY]: (0, 0), KINDS[BY_HAND]: (0, 0)}
    assert sum(every for _, every, _ in by_kind(check_all())) == len(cases())
    assert [words for words in KINDS.values() if "published" in words] == [KINDS[PRINTED]]


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
        ({"kind": ""}, "no kind of proof ''"),
        ({"kind": "published"}, "no kind of proof 'published'"),
        ({"kind": "printed", "confidence": "seen"}, "needs its page, table or example"),
        ({"kind": "printed", "where": "Table 1"}, "needs its page, table or example, and how it was had"),
        ({"confidence": "sure"}, "'seen' or 'from memory', not 'sure'"),
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
        "kind": "by_hand",
        "where": "",
        "confidence": "",
    } | changes
    with pytest.raises(CheckBookError, match=words):
        book._case("emitters", row)


def test_inputs_that_do_not_suit_are_refused() -> None:
    with pytest.raises(CheckBookError, match="cannot be worked out"):
        check(Case("emitters", "it", "arithmetic_k", {"flow_c": 45}, 1, 0.1, "a book", BY_HAND))
