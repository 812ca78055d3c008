"""A picture that breaks off is no picture, however much of it a decoder is content with; the phone holds the same cases."""

from __future__ import annotations

import base64
import json
from pathlib import Path

import pytest

from wattwalk.survey.errors import SurveyError
from wattwalk.sync.endings import is_whole
from wattwalk.sync.photos import check_picture

CASES = json.loads((Path(__file__).resolve().parents[1] / "golden" / "pictures.json").read_text())


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["name"])
def test_the_end_of_each_kind_is_found(case: dict) -> None:
    data = base64.b64decode(case["base64"])
    assert is_whole(case["media_type"], data) is case["whole"]
    if case["whole"]:
        assert check_picture(data)[0] == case["media_type"]
    else:
        with pytest.raises(SurveyError) as refused:
            check_picture(data)
        assert [problem.code for problem in refused.value.problems] == ["not_a_picture"]


@pytest.mark.parametrize(
    "case",
    [case for case in CASES if case["whole"] and "more after" not in case["name"] and "two" not in case["name"]],
    ids=lambda case: case["name"],
)
def test_cut_anywhere_it_is_not_whole(case: dict) -> None:
    data = base64.b64decode(case["base64"])
    assert [size for size in range(len(data)) if is_whole(case["media_type"], data[:size])] == []


def test_another_kind_is_not_called_whole() -> None:
    with pytest.raises(ValueError, match="image/gif"):
        is_whole("image/gif", b"GIF89a")
