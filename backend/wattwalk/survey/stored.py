"""Surveys from stored values: the office's database and the phone's worker read them through this one door.

What an older or newer program took and this one would refuse is not known here; it stays in the log.
"""

from __future__ import annotations

from collections.abc import Iterable

from .document import Survey
from .kinds import KINDS, Record
from .made import make_record

__all__ = ["make_record", "make_survey"]


def make_survey(survey_id: str, records: Iterable[Record | None]) -> Survey:
    """Return the survey of these records, which keep their order within their kind."""
    by_kind: dict[str, list[Record]] = {name: [] for name in KINDS}
    for record in records:
        if record is not None:
            by_kind[record.kind.name].append(record)
    return Survey(survey_id, {name: tuple(items) for name, items in by_kind.items() if items})
