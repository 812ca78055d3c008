"""The numbers by which the working points at its sources, and the list of them."""

from __future__ import annotations

from itertools import groupby
from typing import Any

from wattwalk.engine.answers import Source, Step

from .figures import plain_result


class SourceMarks:
    """The numbers by which the working pages point at their sources."""

    def __init__(self, sources: tuple[Source, ...]) -> None:
        self._numbers = {source.key: place for place, source in enumerate(sources, start=1)}

    def mark(self, key: str) -> str:
        """Return the number of a source; words that are no key stand as they are."""
        number = self._numbers.get(key)
        return key if number is None else str(number)

    def number(self, key: str) -> int | None:
        """Return the number of a source, None when the key is not one of the sources."""
        return self._numbers.get(key)


def step_row(step: Step, marks: SourceMarks) -> dict[str, Any]:
    """Return a step of the working as it is printed."""
    return {
        "what": step.what,
        "formula": step.formula,
        "numbers": step.numbers,
        "result": f"{plain_result(step.result)}\N{NO-BREAK SPACE}{step.unit}".strip(),
        "source": marks.mark(step.source),
        "is_number": marks.number(step.source) is not None,
    }


def _source_name(source: Source) -> str:
    """Return the standard's own short name with its edition."""
    # The engine's keys end in the clause and the confidence, which are printed by themselves.
    name = source.key.removesuffix(f", {source.confidence}").removesuffix(f", {source.clause}")
    return name if not source.edition or source.edition in name else f"{name}, {source.edition}"


def source_groups(sources: tuple[Source, ...]) -> list[dict[str, Any]]:
    """Return the sources in the order of their numbers, what is of one paper under its name and title once."""
    numbered = list(enumerate(sources, start=1))
    return [
        {
            "name": name,
            "title": title,
            "parts": [
                {"number": place, "clause": item.clause, "confidence": item.confidence} for place, item in members
            ],
        }
        for (name, title), members in groupby(numbered, key=lambda pair: (_source_name(pair[1]), pair[1].title))
    ]
