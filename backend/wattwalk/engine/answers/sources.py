"""Every source that an answer leans on, found by one walk over the shapes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from functools import cache
from typing import Any

from .said import Source

#: The field that carries where a figure comes from, in every shape that has one.
SOURCE = "source"


@cache
def _fields_of(shape: type) -> tuple[bool, tuple[str, ...]]:
    """Return whether a shape names its source, and those of its fields that may hold further shapes."""
    names = tuple(item.name for item in fields(shape) if any(mark in str(item.type) for mark in ("tuple", "[")) or str(item.type)[:1].isupper())
    return any(item.name == SOURCE for item in fields(shape)), names


def sources_in(value: Any) -> Iterator[str]:
    """Give the source of every figure in an answer, shape by shape; the same one may come often.

    Parameters
    ----------
    value
        A shape of the answer, or a tuple or list of them.
    """
    if isinstance(value, tuple | list):
        for item in value:
            yield from sources_in(item)
    elif is_dataclass(value) and not isinstance(value, Source):
        has_source, names = _fields_of(type(value))
        if has_source:
            yield getattr(value, SOURCE)
        for name in names:
            yield from sources_in(getattr(value, name))
