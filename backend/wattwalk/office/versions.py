"""Numbered versions of a survey's report: made from what stands, kept as files that are never written again."""

from __future__ import annotations

import re
import secrets
import zlib
from pathlib import Path
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session
from uuid_utils import uuid7

from ..config import Settings
from ..database import now, reading, writing
from ..files import write_whole
from ..models import Firm, Report, StoredSurvey
from ..survey.errors import Problem, WattwalkError
from ..sync.photos import printable
from ..sync.pull import find_contested
from ..sync.surveys import LoadedSurvey, find_survey, load_survey
from .render import render_in_subprocess
from .report_inputs import ReportError, gather

#: How often a number may be taken by somebody else's version while ours is being set.
_TRIES = 5
_OBJECT_STREAM = re.compile(rb"/Type\s*/ObjStm\b[^>]*>>\s*stream\r?\n(.*?)endstream", re.DOTALL)
_PAGE_COUNT = re.compile(rb"/Type\s*/Pages\b[^>]*?/Count\s+(\d+)|/Count\s+(\d+)[^>]*?/Type\s*/Pages\b")


class ContestedError(WattwalkError):
    """A report cannot be issued while people disagree about a value; ``problems`` names each field and its record."""

    def __init__(self, contested: list[dict[str, Any]]) -> None:
        named = [f"{item['title']}: {item['label']}" for item in contested]
        words = "One value is contested" if len(named) == 1 else f"{len(named)} values are contested"
        super().__init__(f"{words}: {'; '.join(named[:5])}{' and more' if len(named) > 5 else ''}. Pick first, then make the report.")
        self.problems = [
            Problem("contested", f"{name} was answered twice: pick which stands, then make the report.", item["field"], f"{item['kind']}/{item['record']}") for name, item in zip(named, contested, strict=True)
        ]


def make_version(settings: Settings, *, firm_id: str, user_id: str | None, survey_id: str) -> Report:
    """Make the next version of a survey's report and return its row.

    The report is set in another process and outside any transaction; the number it was set with is taken at the
    end, and if somebody else's version has it by then, ours is set again with the next one.

    Raises
    ------
    NoSuchSurveyError
        When the survey does not exist or belongs to another firm.
    ContestedError
        When a value is contested.
    ReportError
        When the report cannot be made.
    """
    for _ in range(_TRIES):
        made_at = now()
        loaded, firm, number, prints_checks = _read(firm_id, survey_id)
        inputs = gather(
            loaded.survey, firm=firm, version=number, made_on=made_at.date().isoformat(),
            photos=printable(settings.photos, loaded.came), with_checks=prints_checks,
        )
        pdf = render_in_subprocess(inputs)
        report = Report(
            id=str(uuid7()), survey_id=survey_id, number=number, revision=loaded.revision, made_at=made_at, user_id=user_id,
            pages=count_pages(pdf), size_bytes=len(pdf), file_name=f"{survey_id}/{number}-{secrets.token_hex(4)}.pdf",
        )
        write_whole(report_path(settings, report), pdf)
        if _take_number(report):
            return report
        report_path(settings, report).unlink()
    raise ReportError("Others made versions of this report at the same time; try again.")


def _read(firm_id: str, survey_id: str) -> tuple[LoadedSurvey, dict[str, str], int, bool]:
    with reading() as session:
        loaded = load_survey(session, firm_id, survey_id)
        contested = find_contested(session, survey_id)
        firm = session.get_one(Firm, firm_id, populate_existing=True)
        described = {name: getattr(firm, name) for name in ("name", "address", "telephone", "email", "terms")}
        number, prints_checks = _last_number(session, survey_id) + 1, firm.prints_checks
    if contested:
        raise ContestedError(contested)
    return loaded, described, number, prints_checks


def _last_number(session: Session, survey_id: str) -> int:
    return session.scalar(select(func.max(Report.number)).where(Report.survey_id == survey_id)) or 0


def _take_number(report: Report) -> bool:
    with writing() as session:
        session.execute(select(StoredSurvey.id).where(StoredSurvey.id == report.survey_id).with_for_update())
        if _last_number(session, report.survey_id) >= report.number:
            return False
        session.add(report)
    return True


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


def report_path(settings: Settings, report: Report) -> Path:
    """Return where a version's PDF lies."""
    return settings.reports / report.file_name


def list_versions(session: Session, firm_id: str, survey_id: str) -> list[Report]:
    """Return a survey's versions, the newest first.

    Raises
    ------
    NoSuchSurveyError
        When the survey does not exist or belongs to another firm.
    """
    find_survey(session, firm_id, survey_id)
    return list(session.scalars(select(Report).where(Report.survey_id == survey_id).order_by(Report.number.desc())))


def find_version(session: Session, firm_id: str, survey_id: str, number: int) -> Report | None:
    """Return one version, or None when there is none of this number.

    Raises
    ------
    NoSuchSurveyError
        When the survey does not exist or belongs to another firm.
    """
    find_survey(session, firm_id, survey_id)
    return session.scalars(select(Report).where(Report.survey_id == survey_id, Report.number == number)).one_or_none()
