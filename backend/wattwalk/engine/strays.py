"""Records that belong to nothing in the survey: never passed over in silence."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from wattwalk.survey.document import Survey
from wattwalk.survey.kinds import KINDS, RecordKind

from .answers import Finding, Severity
from .answers.citing import COMMON_PRACTICE
from .answers.codes import Code, Codes


def _counted_through(kinds: Iterable[RecordKind]) -> Iterator[tuple[RecordKind, str, str]]:
    """Give the kinds whose records count only through the record they belong to, with the field that names it and its kind."""
    for kind in kinds:
        if kind.parent is not None and kind.owner is not None and kind.field(kind.parent).counts_through:
            yield kind, kind.parent, kind.owner


def _code(kind: RecordKind, owner: str) -> str:
    return f"{kind.name}_without_{owner}"


def stray_codes(kinds: Iterable[RecordKind]) -> Codes:
    """Return the codes of what belongs to nothing, each in the chapter of its kind."""
    return {
        _code(kind, owner): Code(f"{kind.label} without {KINDS[owner].label.lower()}", kind.part.chapter)
        for kind, _link, owner in _counted_through(kinds)
    }


def stray_findings(survey: Survey) -> list[Finding]:
    """Return a finding for each record whose owner is not named or not in this survey, so that it is not counted."""
    findings = []
    for kind, link, owner_name in _counted_through(KINDS.values()):
        owner = KINDS[owner_name]
        known = {item.id for item in survey.records_named(owner.name)}
        words = owner.label.lower()
        for record in survey.records_named(kind.name):
            target = getattr(record, link)
            if target in known:
                continue
            found = f" belongs to no {words}" if target is None else f": its {words} is not in this survey"
            findings.append(
                Finding(
                    Severity.CHECK,
                    _code(kind, owner.name),
                    record.key(),
                    link,
                    f"{record.title}{found}; it is not counted.",
                    "Choose where it belongs, or delete it.",
                    COMMON_PRACTICE,
                )
            )
    return findings
