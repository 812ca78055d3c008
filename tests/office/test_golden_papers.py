"""No figure on the report's pages moves unnoticed, and no words appear or vanish: what they are given is held to a golden file."""

from __future__ import annotations

import json

import pytest

from tests.engine.test_golden_answers import differences
from tests.golden.write_papers import FILE, pages, surveys

GOLDEN = json.loads(FILE.read_text(encoding="utf-8"))
SURVEYS = surveys()


def test_the_surveys_are_those_of_the_file() -> None:
    assert list(SURVEYS) == list(GOLDEN)


@pytest.mark.parametrize("name", GOLDEN)
def test_the_pages_are_given_what_they_were(name: str) -> None:
    found = differences(GOLDEN[name], json.loads(json.dumps(pages(SURVEYS[name]))))
    assert found == [], f"{len(found)} differ; if all are meant: python -m tests.golden.write_papers"
