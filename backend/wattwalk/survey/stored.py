"""Records from stored values: the office's database and the phone's worker read them through this one door.

What an older or newer program took and this one would refuse is not known here; it stays in the log.
"""

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
