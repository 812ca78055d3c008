"""Results as plain JSON values: dataclasses become objects in the order of declaration, tuples become lists."""

from __future__ import annotations

import dataclasses
from enum import Enum
from functools import cache
from typing import Any


@cache
def _names(kind: type[Any]) -> tuple[str, ...]:
    return tuple(item.name for item in dataclasses.fields(kind))


def to_plain(value: Any) -> Any:
    """Return ``value`` (an assessment, or any part of one) as dictionaries, lists, texts and numbers."""
    if value is None or isinstance(value, (bool, int, float)):
        return value
    if isinstance(value, Enum):
        return str(value.value)
    if isinstance(value, str):
        return value
    if isinstance(value, (tuple, list)):
        return [to_plain(item) for item in value]
    if isinstance(value, dict):
        return {str(key): to_plain(item) for key, item in value.items()}
    return {name: to_plain(getattr(value, name)) for name in _names(value.__class__)}


def as_object(value: Any) -> Any:
    """Return one dataclass or enumeration in the form that ``to_plain`` gives it, its parts as they are: what ``json.dumps`` asks for as ``default``."""
    if isinstance(value, Enum):
        return str(value.value)
    names, own = _names(value.__class__), value.__dict__
    # A result holds its fields in the order of declaration; one that has remembered something besides is copied without it.
    return own if len(own) == len(names) else {name: getattr(value, name) for name in names}
