"""A value that the lines before have made sure of, where the type checker cannot see it."""

from __future__ import annotations

from typing import TypeVar

T = TypeVar("T")


def known(value: T | None) -> T:
    """Return the value itself; raises ``ValueError`` when it is not known after all, so that nothing goes on with a guess."""
    if value is None:
        raise ValueError("a value that was made sure of before is not known")
    return value
