"""Figures and small words as the office's papers write them."""

from __future__ import annotations

import pytest

from wattwalk.engine.answers.rounding import listed
from wattwalk.office.figures import lower_first, plain_result, sentence, shortened


@pytest.mark.parametrize(
    ("words", "expected"),
    [("Pipe of copper", "pipe of copper"), ("PVC pipe", "PVC pipe"), ("A", "a"), ("", ""), ("U-value", "u-value")],
)
def test_inside_a_sentence_words_begin_small_but_for_abbreviations(words: str, expected: str) -> None:
    assert lower_first(words) == expected


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("do it", "Do it."),
        ("Do it.", "Do it."),
        ("is it?", "Is it?"),
        ("go!", "Go!"),
        ("  a  ", "A."),
        ("", ""),
        ("   ", ""),
    ],
)
def test_a_sentence_begins_large_and_ends_in_a_stop(words: str, expected: str) -> None:
    assert sentence(words) == expected


@pytest.mark.parametrize(
    ("names", "expected"), [([], ""), (["a"], "a"), (["a", "b"], "a and b"), (["a", "b", "c"], "a, b and c")]
)
def test_names_are_joined_as_a_sentence_does(names: list[str], expected: str) -> None:
    assert listed(names) == expected


@pytest.mark.parametrize(("most", "expected"), [(13, "one two three"), (12, "one two …"), (7, "one …"), (3, "one …")])
def test_long_words_are_cut_between_two_of_them(most: int, expected: str) -> None:
    assert shortened("one  two\nthree", most) == expected


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (0.1234, "0.123"),
        (9.9994, "9.999"),
        (10, "10"),
        (12.345, "12.35"),
        (99.99, "99.99"),
        (100, "100"),
        (123.45, "123.5"),
        (999.94, "999.9"),
        (1000, "1,000"),
        (1234.5, "1,234"),
        (100.0, "100"),
        (2.5, "2.5"),
        (-12.346, "−12.35"),
    ],
)
def test_a_result_has_the_decimals_that_matter(value: float, expected: str) -> None:
    assert plain_result(value) == expected
