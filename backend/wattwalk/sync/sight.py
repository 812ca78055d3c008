"""Whose log it is, and what of it a person may see and write: everything of a survey, of the firm's book what their role allows."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

from sqlalchemy import Table, and_, false, or_, true
from sqlalchemy.sql import ColumnElement

from ..survey.errors import Problem
from ..survey.holders import FIRM, OFFICE, ROLES, SURVEY
from ..survey.kinds import KINDS, kinds_held_by
from .changes import DELETED, IncomingChange


@dataclass(frozen=True)
class Sight:
    """What one person may see and write of a log: ``holder`` says whether it is a survey's or the firm's book, ``role`` what the person is."""

    holder: str = SURVEY
    role: str = OFFICE

    def shows(self, kind: str, field: str) -> bool:
        """Say whether a field may be seen; what nobody has declared is seen by the office alone."""
        if self.holder == SURVEY:
            return True
        known = KINDS.get(kind)
        if known is None or not (field == DELETED or known.has(field)):
            return self.role == OFFICE
        return field == DELETED or field in known.names_seen_by(self.role)

    def picked(self, log: Table) -> ColumnElement[bool]:
        """Return the condition that a line of the log may be seen: by what is allowed, so that a field that was forgotten stays at the office."""
        return true() if self.holder == SURVEY else _picked(self.role, log)

    def values(self, kind: str, values: dict[str, Any]) -> dict[str, Any]:
        """Return those of a record's values that may be seen."""
        return {name: value for name, value in values.items() if self.shows(kind, name)}

    def find_refusal(self, change: IncomingChange) -> Problem | None:
        """Say why a sound change may not be written into this log by this person, or None."""
        kind, where = KINDS[change.kind], f"{change.kind}/{change.record}"
        if self.holder not in kind.held_by:
            words = (
                f"{kind.plural} belong to a survey, not to the firm's book."
                if self.holder == FIRM
                else f"{kind.plural} belong to the firm's book, not to a survey."
            )
            return Problem("other_holder", words, change.field, where)
        if self.holder == SURVEY:
            return None
        if self.role in kind.written_by and self.shows(change.kind, change.field):
            return None
        may = " or ".join(ROLES[role].lower() for role in kind.written_by)
        words = (
            f"Only the {may} changes the firm's {kind.plural.lower()}. What was said here was kept, and does not count."
        )
        return Problem("not_allowed", words, change.field, where)


#: Everything of a survey is seen and written by everybody of its firm.
OF_SURVEY = Sight()


@cache
def _picked(role: str, log: Table) -> ColumnElement[bool]:
    seen = [
        and_(log.c.kind == kind.name, log.c.field.in_([DELETED, *kind.names_seen_by(role)]))
        for kind in kinds_held_by(FIRM)
    ]
    return or_(false(), *seen)
