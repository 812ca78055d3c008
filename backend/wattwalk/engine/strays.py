"""Records that belong to nothing in the survey: never passed over in silence."""

from __future__ import annotations

from wattwalk.survey.document import Survey

from .answers import Finding, Severity
from .answers.citing import COMMON_PRACTICE

#: Kinds that count only through the record they belong to, and what that record is called in a sentence.
BELONGS_TO = {
    "emitter": ("room", "room"),
    "nearby_object": ("outdoor_position", "place of a unit"),
    "level_reading": ("base", "base"),
}


def stray_findings(survey: Survey) -> list[Finding]:
    """Return a finding for each record whose owner is not named or not in this survey, so that it is not counted."""
    findings = []
    for name, (owner, words) in BELONGS_TO.items():
        known = {item.id for item in survey.records_named(owner)}
        for record in survey.records_named(name):
            link = record.kind.parent
            target = getattr(record, link)
            if target in known:
                continue
            found = f"belongs to no {words}" if target is None else f"names a {words} that is not in this survey"
            findings.append(
                Finding(
                    Severity.CHECK,
                    f"{name}_without_{owner}",
                    record.key(),
                    link,
                    f"{record.kind.title_of(record.values())} {found}; it is not counted.",
                    "Choose where it belongs, or delete it.",
                    COMMON_PRACTICE,
                )
            )
    return findings
