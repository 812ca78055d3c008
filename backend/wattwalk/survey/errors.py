"""The errors that a survey can raise: one base class, one shape."""

from __future__ import annotations

from dataclasses import dataclass


class WattwalkError(Exception):
    """Base of every error that Wattwalk raises on purpose; its text is meant to be read by a person."""


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong with one value, in the shape that every refusal has.

    Parameters
    ----------
    code : str
        Stable word for programs, for example ``out_of_range``.
    message : str
        Plain words: what was found, what was expected, what to do.
    field : str or None
        Name of the field, dotted inside rows (``layers.2.thickness_mm``).
    record : str or None
        ``kind/id`` of the record.
    """

    code: str
    message: str
    field: str | None = None
    record: str | None = None

    def as_dict(self) -> dict[str, str | None]:
        """Return the four parts as a plain dictionary, the shape of every API refusal."""
        return {"code": self.code, "message": self.message, "field": self.field, "record": self.record}

    def line(self) -> str:
        """Return one line that names the record and the field before the message."""
        where = ", ".join(part for part in (self.record, self.field) if part)
        return f"{where}: {self.message}" if where else self.message


class SurveyError(WattwalkError, ValueError):
    """A survey document, record or value that cannot be taken; carries every problem found."""

    def __init__(self, problems: list[Problem] | tuple[Problem, ...]):
        self.problems = tuple(problems)
        super().__init__("; ".join(problem.line() for problem in self.problems))
