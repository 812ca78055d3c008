"""The commands that need the database or the server."""

from __future__ import annotations

import argparse
import getpass
import logging
import sys
from collections.abc import Callable

from sqlalchemy import select
from sqlalchemy.exc import OperationalError, ProgrammingError

from . import accounts
from .app import create_app
from .cli import UsageError, as_text, read_survey, write_output
from .config import Settings, read_settings
from .database import BusyError, DatabaseError, db, migrate, reading
from .models import Firm, StoredSurvey
from .sync.documents import export_document, import_document
from .sync.errors import NoSuchSurveyError
from .sync.verify import verify_all


def run(command: Callable[[argparse.Namespace, Settings], int | None], given: argparse.Namespace) -> int | None:
    """Run a command inside the program; the embedded database is brought up to date first.

    Raises
    ------
    DatabaseError
        When the database does not answer, or a PostgreSQL database has not been migrated.
    """
    settings = read_settings()
    try:
        if settings.is_embedded:
            migrate(settings.database_url)
        with create_app(settings).app_context():
            try:
                return command(given, settings)
            finally:
                db.session.remove()
                db.engine.dispose()
    except BusyError as error:
        cause = getattr(error.__cause__, "orig", None)
        raise DatabaseError(f"The database does not answer: {str(cause).splitlines()[0]}" if cause else str(error)) from error
    except OperationalError as error:
        raise DatabaseError(f"The database does not answer: {str(error.orig).splitlines()[0]}") from error
    except ProgrammingError as error:
        raise DatabaseError(f"The database's tables are not up to date, run `wattwalk migrate`: {str(error.orig).splitlines()[0]}") from error


def serve_office(given: argparse.Namespace, settings: Settings) -> None:
    """Serve; the address is printed once it answers."""
    from flask import current_app

    from .office.mail import read_mail_settings
    from .serve import bind, serve

    logging.basicConfig(level=logging.INFO, format="%(asctime)s %(levelname)s %(name)s: %(message)s", stream=sys.stderr)
    for name in ("fontTools", "weasyprint", "PIL"):
        logging.getLogger(name).setLevel(logging.ERROR)
    accounts.epoch()  # a database that cannot be used is better told now than at the first request
    mail = read_mail_settings()
    # A port that is taken is told before a demo is worked out for nothing.
    listener = bind(given.host, given.port)
    lines = _seed(settings) if given.demo else []

    def started(address: str) -> None:
        print(f"Wattwalk answers at {address}", *lines, sep="\n", flush=True)

    serve(current_app._get_current_object(), listener, mail, started)


def seed_demo(given: argparse.Namespace, settings: Settings) -> None:
    """Seed the demo and say where things are."""
    print(*_seed(settings), "Start the office with `wattwalk run`.", sep="\n")


def _seed(settings: Settings) -> list[str]:
    from .seeding import seed

    seeded = seed(settings)
    return [f"Sign in: {seeded.email} / {seeded.password}", f"Demo report: {seeded.report}"]


def import_file(given: argparse.Namespace, settings: Settings) -> None:
    """Take a document into the database."""
    survey = read_survey(given.file)
    firm = _find_firm(given.firm)
    is_new = import_document(survey, firm_id=firm.id, user_id=None, photos=settings.photos)
    print(f"{survey.id}: {survey.title()}" if is_new else f"{survey.id} is in the database already, nothing was new.")


def _find_firm(name: str | None) -> Firm:
    with reading() as session:
        firms = session.scalars(select(Firm).order_by(Firm.name)).all()
    found = [firm for firm in firms if name in (None, firm.name)]
    if len(found) == 1:
        return found[0]
    if not firms:
        raise UsageError("There is no firm yet: add a person with `wattwalk user add EMAIL --firm NAME`.")
    raise UsageError(f"--firm: found {name!r}, expected one of: {', '.join(firm.name for firm in firms)}.")


def export_survey(given: argparse.Namespace, settings: Settings) -> None:
    """Write a survey as a document."""
    with reading() as session:
        firm_id = session.scalars(select(StoredSurvey.firm_id).where(StoredSurvey.id == given.survey)).one_or_none()
    if firm_id is None:
        raise UsageError(f"There is no survey {given.survey!r}.")
    try:
        document = export_document(firm_id=firm_id, survey_id=given.survey, photos=settings.photos)
    except (NoSuchSurveyError, FileNotFoundError) as error:
        raise DatabaseError(f"The survey {given.survey!r} cannot be written whole: {error}") from error
    write_output(as_text(document), given.out)


def add_person(given: argparse.Namespace, settings: Settings) -> None:
    """Add a person who signs in."""
    if not accounts.is_email(given.email):
        raise UsageError(f"Found {given.email!r}, expected an email address.")
    if sys.stdin.isatty():
        password = getpass.getpass("Password: ")
        if getpass.getpass("The same again: ") != password:
            raise UsageError("The two passwords differ.")
    else:
        password = sys.stdin.readline().rstrip("\r\n")
    try:
        accounts.check_password(password)
        user = accounts.add_user(accounts.find_or_add_firm(given.firm), given.email, given.name or given.email.split("@")[0], password)
    except accounts.AccountError as error:
        raise UsageError(str(error)) from error
    print(f"{user.email} can sign in for {given.firm}.")


def verify_log(given: argparse.Namespace, settings: Settings) -> int:
    """Verify every survey; a fault makes the exit status 1."""
    with reading() as session:
        faults = verify_all(session)
    for survey_id, found in faults.items():
        for fault in found:
            print(f"{survey_id}: {fault}")
    broken = sum(1 for found in faults.values() if found)
    print(f"{len(faults)} surveys looked at, {broken} with faults.")
    return 1 if broken else 0


def start_epoch(given: argparse.Namespace, settings: Settings) -> None:
    """Begin a new epoch."""
    print(f"The new epoch is {accounts.renew_epoch()}; every phone offers its changes again when it next asks.")


def migrate_tables(given: argparse.Namespace, settings: Settings) -> None:
    """Bring the tables up to date; for the embedded database that has just happened."""
    if not settings.is_embedded:
        migrate(settings.database_url)
    print("The tables are up to date.")
