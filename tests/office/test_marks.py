"""A photo's marks: validated where they come in, placed alike on the phone and on paper, seen on any picture, told in words."""

from __future__ import annotations

import json
from io import BytesIO

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from tests.golden.write_marks import FILE, golden
from wattwalk.office.marks import Words, in_words, placed, wrapped
from wattwalk.office.photos import prepare
from wattwalk.survey.kinds import KINDS
from wattwalk.survey.validation import check_field

ARROW = {"shape": "arrow", "x1": 0.1, "y1": 0.5, "x2": 0.9, "y2": 0.5}
RING = {"shape": "ring", "x1": 0.2, "y1": 0.2, "x2": 0.8, "y2": 0.8}
WORDS = {"shape": "words", "x1": 0.5, "y1": 0.5, "words": "Fuse"}


def test_golden_file() -> None:
    assert json.loads(FILE.read_text(encoding="utf-8")) == golden()


@pytest.mark.parametrize("stroke", [ARROW, RING, WORDS])
def test_a_whole_mark_is_taken(stroke) -> None:
    assert check_field(KINDS["photo"], "strokes", [stroke], "p") is None


@pytest.mark.parametrize(
    ("stroke", "code"),
    [
        ({}, "missing"),
        ({**ARROW, "x2": None}, "missing"),
        ({name: value for name, value in RING.items() if name != "y1"}, "missing"),
        ({**WORDS, "words": ""}, "missing"),
        ({**ARROW, "x1": 1.01}, "out_of_range"),
        ({**ARROW, "y2": -0.01}, "out_of_range"),
        ({**ARROW, "shape": "cross"}, "not_a_choice"),
        ({**WORDS, "words": "x" * 121}, "too_long"),
        ({**ARROW, "colour": "red"}, "unknown_field"),
    ],
)
def test_a_mark_that_says_nothing_is_refused(stroke, code) -> None:
    problem = check_field(KINDS["photo"], "strokes", [stroke], "p")
    assert problem is not None
    assert problem.code == code


def test_no_more_marks_than_a_photo_can_bear() -> None:
    assert check_field(KINDS["photo"], "strokes", [ARROW] * 60, "p") is None
    assert check_field(KINDS["photo"], "strokes", [ARROW] * 61, "p").code == "too_long"


@pytest.mark.parametrize("ground", ["white", "black", "#c8391f", "#808080"])
@pytest.mark.parametrize("stroke", [ARROW, RING, WORDS], ids=["arrow", "ring", "words"])
def test_a_mark_shows_on_any_ground(ground, stroke) -> None:
    bare = BytesIO()
    Image.new("RGB", (1000, 750), ground).save(bare, "PNG")
    with (
        Image.open(BytesIO(prepare(bare.getvalue(), [stroke]))) as marked,
        Image.open(BytesIO(prepare(bare.getvalue()))) as plain,
    ):
        differing = [
            max(abs(one - other) for one, other in zip(a, b, strict=True))
            for a, b in zip(marked.get_flattened_data(), plain.get_flattened_data(), strict=True)
        ]
    assert sum(1 for difference in differing if difference > 90) > 150


@given(
    st.floats(0, 1), st.floats(0, 1), st.text("abcdefgh ijk", max_size=60), st.sampled_from([(2048, 1536), (900, 1600)])
)
@settings(max_examples=60, deadline=None)
def test_words_stay_on_the_picture(x, y, words, size) -> None:
    mark = placed({"shape": "words", "x1": x, "y1": y, "words": words}, *size)
    if mark is None:
        assert not words.strip()
        return
    assert isinstance(mark, Words)
    assert mark.top >= 0
    assert mark.top + len(mark.lines) * 1.2 * mark.size <= size[1] + 0.2 * mark.size
    # Half a letter's size is about the width of a small letter.
    widest = 0.5 * mark.size * max(len(line) for line in mark.lines)
    left = {"start": mark.x, "middle": mark.x - widest / 2, "end": mark.x - widest}[mark.anchor]
    assert -0.01 * size[0] <= left
    assert left + widest <= 1.01 * size[0]


@given(st.text("abc de", max_size=120))
@settings(max_examples=60, deadline=None)
def test_wrapping_loses_no_letter(words) -> None:
    assert "".join("".join(wrapped(words)).split()) == "".join(words.split())
    assert all(0 < len(line) <= 24 for line in wrapped(words))


def test_marks_are_told_to_whoever_cannot_see_them() -> None:
    assert in_words([]) == ""
    assert in_words([ARROW]) == "Marked with an arrow"
    assert in_words([ARROW, RING, ARROW, WORDS]) == "Marked with 2 arrows, a ring and the words “Fuse”"
