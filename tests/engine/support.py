"""Short ways to ask the engine."""

from __future__ import annotations

from typing import Any

from wattwalk.engine import assess
from wattwalk.engine.answers import Assessment, Finding, RoomAssessment, Severity
from wattwalk.survey.document import read_document


def assessed(document: dict[str, Any]) -> Assessment:
    """Return the assessment of a document."""
    return assess(read_document(document))


def room(assessment: Assessment, name: str) -> RoomAssessment:
    """Return one room by its id."""
    return next(item for item in assessment.rooms if item.id == name)


def findings(assessment: Assessment, code: str) -> list[Finding]:
    """Return every finding with this code."""
    return [item for item in assessment.findings if item.code == code]


def only(assessment: Assessment, code: str, severity: Severity) -> Finding:
    """Return the one finding with this code, which must have this severity."""
    found = findings(assessment, code)
    assert len(found) == 1, f"{len(found)} findings {code}: {[item.code for item in assessment.findings]}"
    assert found[0].severity is severity
    return found[0]
