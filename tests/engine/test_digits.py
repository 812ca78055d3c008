"""No sentence gives a temperature finer than anybody can set it."""

from __future__ import annotations

import re
from typing import Any

from tests.support.houses import small_house, terrace
from wattwalk.engine import assess, to_plain
from wattwalk.survey.document import read_document

_TOO_FINE = re.compile(r"\d\.\d{2,}\N{NO-BREAK SPACE}?\s?°C")


def _sentences(item: Any) -> list[str]:
    if isinstance(item, dict):
        return [text for name, value in item.items() if name != "steps" for text in _sentences(value)]
    if isinstance(item, list):
        return [text for value in item for text in _sentences(value)]
    return [item] if isinstance(item, str) else []


def test_a_temperature_in_words_has_one_decimal_at_most() -> None:
    documents = [small_house(), terrace(4)]
    sentences = [text for document in documents for text in _sentences(to_plain(assess(read_document(document))))]
    assert any("it would be warm at" in text for text in sentences)
    assert [text for text in sentences if _TOO_FINE.search(text)] == []
