"""No figure, code or source moves unnoticed: what is worked out of eighteen surveys is held to a golden file."""

from __future__ import annotations

from typing import Any

import pytest

from tests.golden.write_answers import read_golden, worked_out

GOLDEN = read_golden()


def differences(held: Any, found: Any, path: str = "") -> list[str]:
    """Return where two answers differ, each with both values."""
    if isinstance(held, dict) and isinstance(found, dict):
        return [
            line
            for name in {**held, **found}
            for line in differences(held.get(name), found.get(name), f"{path}.{name}".strip("."))
        ]
    if isinstance(held, list) and isinstance(found, list) and len(held) == len(found):
        return [
            line
            for place, (one, other) in enumerate(zip(held, found, strict=True))
            for line in differences(one, other, f"{path}[{place}]")
        ]
    return [] if held == found and type(held) is type(found) else [f"{path}: {held!r} became {found!r}"]


@pytest.mark.parametrize("name", GOLDEN)
def test_an_answer_is_what_it_was(name: str) -> None:
    held = dict(GOLDEN[name])
    found = differences(held, {"asked": held["asked"], **worked_out(held["asked"])})
    assert found == [], f"{len(found)} differ; if all are meant: python -m tests.golden.write_answers"


def test_a_difference_is_seen_wherever_it_is() -> None:
    assert differences({"a": [1, {"b": 2}]}, {"a": [1, {"b": 2}]}) == []
    assert differences({"a": [1, {"b": 2}]}, {"a": [1, {"b": 2.5}]}) == ["a[1].b: 2 became 2.5"]
    assert differences({"a": [1]}, {"a": [1, 2]}) == ["a: [1] became [1, 2]"]
    assert differences({"a": 1}, {"a": True}) == ["a: 1 became True"]
    assert differences({"a": 1}, {"b": None}) == ["a: 1 became None"]
