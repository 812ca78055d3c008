"""The chapters of the report, in their order: kinds and findings say in which one they are printed."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Chapter:
    """One chapter of the report; ``prints_findings`` says whether what the checks say has a place in it."""

    name: str
    label: str
    prints_findings: bool = False


CHAPTERS = (
    Chapter("rooms", "Rooms and emitters", prints_findings=True),
    Chapter("season", "Water temperature and the year"),
    Chapter("site", "The outdoor unit and its place", prints_findings=True),
    Chapter("water", "Hot water", prints_findings=True),
    Chapter("routes", "Pipes, cables, electricity", prints_findings=True),
    Chapter("works", "Works by trade"),
    Chapter("price", "Price"),
    Chapter("cost", "Running cost and carbon", prints_findings=True),
    Chapter("photos", "Photos"),
    Chapter("missing", "What is still missing"),
    Chapter("working", "Working and sources"),
    Chapter("recorded", "What was recorded"),
    Chapter("cautions", "Cautions"),
)
#: Where a finding may be printed.
FINDING_CHAPTERS = tuple(chapter.name for chapter in CHAPTERS if chapter.prints_findings)
