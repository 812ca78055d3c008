"""Records that belong to nothing in the survey: never passed over in silence."""

from __future__ import annotations

from wattwalk.survey.document import Survey
from wattwalk.survey.kinds import KINDS

from .answers import Finding, Severity
from .answers.citing import COMMON_PRACTICE


def stray_findings(survey: Survey) -> list[Finding]:
    """Return a finding for each record whose owner is not named or not in this survey, so that it is not counted."""
    findings = []
    for kind in KINDS.values():
        if kind.parent is None or kind.owner is None or not kind.field(kind.parent).counts_through:
            continue
        owner = KINDS[kind.owner]
        known = {item.id for item in survey.records_named(owner.name)}
        words = owner.label.lower()
        for record in survey.records_named(kind.name):
            target = getattr(record, kind.parent)
            if target in known:
                continue
            found = f" belongs to no {words}" if target is None else f": its {words} is not in this survey"
            findings.append(
                Finding(
                    Severity.CHECK,
                    f"{kind.name}_without_{owner.name}",
                    record.key(),
                    kind.parent,
                    f"{kind.title_of(record.values())}{found}; it is not counted.",
                    "Choose where it belongs, or delete it.",
                    COMMON_PRACTICE,
                )
            )
    return findings
