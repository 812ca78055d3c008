"""The demo: a plainly fictional firm, its surveyor, a house of the imagination and the report of it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import select

from . import accounts
from .config import Settings
from .database import now, reading
from .models import Report, User
from .survey.document import read_document
from .sync.documents import import_document

#: The id of the demo house's document.
SURVEY = "demo-house"
FIRM = "Thistledown Heating (demo)"
EMAIL = "surveyor@demo.example"
NAME = "Demo surveyor"
#: Printed at every start: it opens nothing but the demo on one's own machine.
PASSWORD = "walk-the-house"


#: Why the demo's first version is made although points stand against it.
REASON = "A first version of the demo house, to look at; what is red is settled with the household before anything is ordered."


@dataclass(frozen=True)
class FilledIn:
    """What is there of the demo: how to sign in, and where the report lies."""

    email: str
    password: str
    report: Path


def fill_in(settings: Settings) -> FilledIn:
    """Fill in what is missing of the demo; a second time nothing is."""
    from .office.papers import SPOILT, paper_state, report_path
    from .office.report_jobs import make_now

    with reading() as session:
        user = session.scalars(select(User).where(User.email == EMAIL)).one_or_none()
    if user is None:
        user = accounts.add_user(accounts.find_or_add_firm(FIRM), EMAIL, NAME, PASSWORD)
    with reading() as session:
        report = session.scalars(
            select(Report).where(Report.survey_id == SURVEY).order_by(Report.number.desc())
        ).first()
    if report is None or paper_state(settings, report) in SPOILT:
        # Drawing the demo's pictures takes a while, so it is left until it is needed.
        from .demo import demo_document
        from .demo.firm import ARTICLES
        from .list_file import read_list
        from .office.firm_lists import take_in, take_records

        document = demo_document(now().date())
        # The units of the demo are its firm's, and no part of the house.
        take_records("unit", document["records"]["unit"], firm_id=user.firm_id, user_id=user.id)
        articles = read_list(ARTICLES.name, ARTICLES.read_bytes())
        take_in("article", ARTICLES.name, articles, firm_id=user.firm_id, user_id=user.id)
        survey = read_document(document)
        if survey.id != SURVEY:
            raise RuntimeError(f"The demo house calls itself {survey.id}, expected {SURVEY}.")
        import_document(survey, firm_id=user.firm_id, user_id=user.id, photos=settings.photos)
        report = make_now(settings, firm_id=user.firm_id, user_id=user.id, survey_id=survey.id, reason=REASON)
    return FilledIn(EMAIL, PASSWORD, report_path(settings, report))
