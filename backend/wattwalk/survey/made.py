"""One record from stored values, apart from the survey that it may belong to: the firm's own belong to none."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from .kinds import KINDS, Record
from .validation import check_value


def make_record(kind_name: str, record_id: str, values: Mapping[str, Any]) -> Record | None:
    """Return the record that stored values make, or None when this version of the program has no such kind."""
    kind = KINDS.get(kind_name)
    if kind is None:
        return None
    known = {spec.name: spec.taken_over(values[spec.name]) for spec in kind.fields if values.get(spec.name) is not None}
    return kind.make(
        id=record_id, **{name: value for name, value in known.items() if check_value(kind.field(name), value) is None}
    )
