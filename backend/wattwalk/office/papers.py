"""The PDFs of report versions as they lie on the disk: where, whether they are what was made, and what to say when they are not."""

from __future__ import annotations

import hashlib
import re
import zlib
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path

from sqlalchemy import select
from sqlalchemy.orm import Session, undefer

from ..config import Settings
from ..database import reading
from ..models import Report, ReportPaper
from ..survey.errors import WattwalkError
from .report_inputs import ReportError

_OBJECT_STREAM = re.compile(rb"/Type\s*/ObjStm\b[^>]*>>\s*stream\r?\n(.*?)endstream", re.DOTALL)
_PAGE_COUNT = re.compile(rb"/Type\s*/Pages\b[^>]*?/Count\s+(\d+)|/Count\s+(\d+)[^>]*?/Type\s*/Pages\b")

#: The file is what was made, to the byte.
WHOLE = "whole"
#: The file is there and of the right size; its hash was not kept when it was made, so more cannot be said.
NOT_KNOWN = "not_known"
MISSING = "missing"
DAMAGED = "damaged"
SPOILT = frozenset({MISSING, DAMAGED})


class PaperError(WattwalkError, RuntimeError):
    """A version's file is missing or is not what was made; ``code`` says which."""

    def __init__(self, number: int, state: str) -> None:
        self.code = f"paper_{state}"
        words = "is missing at the office" if state == MISSING else "is not the one that was made: it is damaged"
        super().__init__(f"The file of version {number} {words}.")


#: What lies on the disk: the quotation that a version's row names, or another paper of it.
Kept = Report | ReportPaper


def report_path(settings: Settings, report: Kept) -> Path:
    """Return where a paper lies."""
    return settings.reports / report.file_name


def read_paper(settings: Settings, report: Kept, number: int) -> bytes:
    """Return a paper of a version of this number, proved by its hash; by its size where no hash was kept.

    Raises
    ------
    PaperError
        ``paper_missing`` or ``paper_damaged``.
    """
    state, content = _look(settings, report)
    if content is None or state in SPOILT:
        raise PaperError(number, state)
    return content


def paper_state(settings: Settings, report: Kept) -> str:
    """Return ``whole``, ``not_known``, ``missing`` or ``damaged``; a file that has not changed since it was last looked at is not read again."""
    path = report_path(settings, report)
    try:
        found = path.stat()
    except OSError:
        return MISSING
    if found.st_size != report.size_bytes:
        return DAMAGED
    if report.sha256 is None:
        return NOT_KNOWN
    return WHOLE if _hash_of(str(path), found.st_ino, found.st_size, found.st_mtime_ns) == report.sha256 else DAMAGED


@lru_cache(4096)
def _hash_of(path: str, _inode: int, _size: int, _changed: int) -> str | None:
    try:
        return hashlib.sha256(Path(path).read_bytes()).hexdigest()
    except OSError:
        return None


def _look(settings: Settings, report: Kept) -> tuple[str, bytes | None]:
    try:
        content = report_path(settings, report).read_bytes()
    except FileNotFoundError:
        return MISSING, None
    except OSError:
        # A disk that does not give the file back, or a folder in its place.
        return DAMAGED, None
    if len(content) != report.size_bytes:
        return DAMAGED, content
    if report.sha256 is None:
        return NOT_KNOWN, content
    return (WHOLE if hashlib.sha256(content).hexdigest() == report.sha256 else DAMAGED), content


def papers_beside(session: Session, report: Report) -> list[ReportPaper]:
    """Return the papers of a version beside its quotation."""
    query = select(ReportPaper).where(ReportPaper.report_id == report.id).order_by(ReportPaper.name)
    return list(session.scalars(query, execution_options={"populate_existing": True}))


def can_be_tried(report: Report) -> bool:
    """Say whether a version's file can be tried to be made again: only its hash then says whether that is what it was."""
    return report.sha256 is not None and report.inputs_json is not None


@dataclass
class VerifiedPapers:
    """What reading every version's file has shown: how many there are in each state, and each fault in words by its survey's id."""

    counts: dict[str, int] = field(default_factory=lambda: dict.fromkeys((WHOLE, NOT_KNOWN, MISSING, DAMAGED), 0))
    faults: dict[str, list[str]] = field(default_factory=dict)

    def summary(self) -> str:
        """Return the counts as one line."""
        unknown = (
            f" ({self.counts[NOT_KNOWN]} of them by their size only: no hash was kept when they were made)"
            if self.counts[NOT_KNOWN]
            else ""
        )
        return f"{sum(self.counts.values())} papers read, {self.counts[MISSING]} missing, {self.counts[DAMAGED]} damaged{unknown}."


def verify_papers(settings: Settings) -> VerifiedPapers:
    """Read every version's file and compare it with what was made.

    Parameters
    ----------
    settings : Settings
        Where the files lie.

    Returns
    -------
    VerifiedPapers
        Counts by state, and what is wrong by survey.

    Notes
    -----
    Needs the application's context.  Nothing is changed: a version is made again from the office's Reports page.
    """
    verified = VerifiedPapers()
    with reading() as session:
        ids = session.scalars(select(Report.id).order_by(Report.survey_id, Report.number)).all()
    for report_id in ids:
        # One at a time, and each in a moment of its own: reading many large files takes long, and no reader is to hold the log back.
        with reading() as session:
            report = session.get(Report, report_id, populate_existing=True, options=[undefer(Report.inputs_json)])
            others = papers_beside(session, report) if report is not None else []
        if report is None:
            continue
        every: list[Kept] = [report, *others]
        for kept in every:
            state, _content = _look(settings, kept)
            verified.counts[state] += 1
            if state not in SPOILT:
                continue
            can = (
                "whether it can be made again shows when it is tried on the Reports page"
                if can_be_tried(report)
                else "it cannot be made again: what it was made from was not kept"
            )
            found = "is missing" if state == MISSING else "is damaged"
            verified.faults.setdefault(report.survey_id, []).append(
                f"the file of version {report.number} ({kept.file_name}) {found}; {can}"
            )
    return verified


def count_pages(pdf: bytes) -> int:
    """Return the number of pages of a PDF of our own making.

    Raises
    ------
    ReportError
        When its page tree cannot be found.
    """
    # The page tree lies in a compressed stream of objects; nothing else in our PDFs says how long they are.
    parts = [pdf, *(zlib.decompressobj().decompress(packed) for packed in _OBJECT_STREAM.findall(pdf))]
    counts = [int(one or other) for part in parts for one, other in _PAGE_COUNT.findall(part)]
    if not counts:
        raise ReportError("The report's pages cannot be counted.")
    return max(counts)
