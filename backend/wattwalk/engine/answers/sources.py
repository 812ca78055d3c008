"""Every source that an answer leans on, found by one walk over the shapes."""

from __future__ import annotations

import re
from dataclasses import fields
from functools import cache
from typing import Any

#: The field that carries where a figure comes from, in every shape that has one.
SOURCE = "source"
#: A shape's name in the words of a field's type.
_SHAPE = re.compile(r"\b(?!None\b|Literal\b)[A-Z]\w+")


@cache
def _plan_of(shape: type) -> tuple[bool, tuple[str, ...]]:
    """Return whether a shape names its source, and those of its fields that may hold further shapes."""
    return any(item.name == SOURCE for item in fields(shape)), tuple(
        item.name for item in fields(shape) if _SHAPE.search(str(item.type))
    )


def sources_in(value: Any) -> set[str]:
    """Return the source of every figure in an answer.

    Parameters
    ----------
    value
        A shape of the answer, or a tuple of shapes.
    """
    found: set[str] = set()
    waiting = [value]
    while waiting:
        item = waiting.pop()
        if isinstance(item, tuple):
            waiting += item
        elif hasattr(item, "__dataclass_fields__"):
            has_source, names = _plan_of(item.__class__)
            if has_source:
                found.add(item.source)
            waiting += [getattr(item, name) for name in names]
    return found
