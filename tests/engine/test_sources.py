"""Every source that an answer leans on is listed with it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from tests.support.houses import small_house
from wattwalk.demo.house import house
from wattwalk.engine import assess, to_plain
from wattwalk.engine.answers.sources import sources_in
from wattwalk.survey.document import read_document


def cited(value: Any) -> set[str]:
    """Return what stands under every `source` of a plain answer, the list of sources aside."""
    if isinstance(value, list):
        return {word for item in value for word in cited(item)}
    if isinstance(value, dict):
        own = {value["source"]} if value.get("source") else set()
        return own | {word for name, item in value.items() if name != "sources" for word in cited(item)}
    return set()


@pytest.mark.parametrize("document", [house, small_house])
def test_what_is_cited_is_listed(document):
    answer = assess(read_document(document()))
    assert cited(to_plain(answer)) <= {source.key for source in answer.sources}


def test_a_source_deep_in_the_answer_is_found():
    answer = assess(read_document(house()))
    step = replace(answer.plant.hot_water.steps[0], source="a standard that nobody knows")
    changed = replace(answer, plant=replace(answer.plant, hot_water=replace(answer.plant.hot_water, steps=(step,))))
    assert sources_in(changed) - sources_in(answer) == {"a standard that nobody knows"}
