"""The commands that need the database or the server."""

from __future__ import annotations

import argparse
import getpass
import logging
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import select
from sqlalchemy.exc import DBAPIError, OperationalError

from . import accounts
from .app import create_app
from .backup.making import back_up_before_migration, make_backup
from .backup.restoring import restore_backup
from .config import Settings, read_settings
from .database import BusyError, DatabaseError, Schema, Standing, db, migrate, read_schema, reading
from .files import held
from .models import Firm, StoredSurvey
from .office.papers import verify_papers
from .survey.holders import OFFICE, ROLES, SURVEY
from .sync.documents import LostPhotosError, export_document, import_document
from .sync.logs import is_book
from .sync.photos import note_lost
from .sync.verify import verify_all, verify_photos
from .terminal import UsageError, as_text, list_name, read_input, read_survey, write_output

#: Held by whoever serves from a home, so that nobody exchanges its database meanwhile.
_SERVING = ".serving"

Command = Callable[[argparse.Namespace, Settings], int | None]


def run(command: Command, given: argparse.Namespace) -> int | None:
    """Run a command inside the program, on tables that are those of this program.

    A command that makes things makes the embedded database, or brings it up to date after a backup; any other leaves it alone.

    Raises
    ------
    DatabaseError
        When the database does not answer, or its tables are not those of this program.
    """
    settings = read_settings()
    with _told_in_words():
        schema = read_schema(settings.database_url)
        if schema.trouble() and not (settings.is_embedded and command in _MAY_MAKE_TABLES):
            raise DatabaseError(str(schema.trouble()))
        _bring_up_to_date(settings, schema)
        return _inside(command, given, settings)


def run_apart(command: Command, given: argparse.Namespace) -> int | None:
    """Run a command that looks at the tables for itself."""
    with _told_in_words():
        return command(given, read_settings())


def _inside(command: Command, given: argparse.Namespace, settings: Settings) -> int | None:
    with create_app(settings).app_context():
        try:
            return command(given, settings)
        finally:
            db.session.remove()
            db.engine.dispose()


@contextmanager
def _told_in_words() -> Iterator[None]:
    try:
        yield
    except BusyError as error:
        raise DatabaseError(
            f"The database does not answer: {_said(error.__cause__) if isinstance(error.__cause__, DBAPIError) else error}"
        ) from error
    except OperationalError as error:
        raise DatabaseError(f"The database does not answer: {_said(error)}") from error
    except DBAPIError as error:
        raise DatabaseError(f"The database cannot be used: {_said(error)}") from error


def _said(error: DBAPIError) -> str:
    return (str(error.orig).splitlines() or ["it says nothing"])[0]


def _bring_up_to_date(settings: Settings, schema: Schema) -> None:
    """Make the tables, or change older ones after a backup of what is in them.

    Raises
    ------
    DatabaseError
        When a newer version wrote them, or an older one is serving.
    """
    if schema.standing is Standing.NEWER:
        raise DatabaseError(str(schema.trouble()))
    if schema.standing is Standing.ABSENT:
        migrate(settings.database_url)
    elif schema.standing is Standing.OLDER:
        with _nobody_serving(settings):
            made = back_up_before_migration(settings, str(schema.revision))
            migrate(settings.database_url)
        print(f"The database was brought up to date; as it was before, it is kept in {made.file}", file=sys.stderr)


@contextmanager
def _nobody_serving(settings: Settings) -> Iterator[None]:
    """Hold this home while its database is exchanged or its tables are changed.

    Raises
    ------
    DatabaseError
        When an office is served from it.
    """
    try:
        with held(settings.home / _SERVING, alone=True):
            yield
    except BlockingIOError as error:
        raise DatabaseError(
            f"An office is being served from {settings.home}. Stop it first; nothing was changed."
        ) from error


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
    lines = _fill_in(settings) if given.demo else []

    def started(address: str) -> None:
        print(f"Wattwalk answers at {address}", *lines, sep="\n", flush=True)

    with held(settings.home / _SERVING):
        app = current_app._get_current_object()  # type: ignore[attr-defined]  # the proxy's own, and it is typed as what it stands for
        serve(app, listener, mail, started)


def fill_in_demo(given: argparse.Namespace, settings: Settings) -> None:
    """Fill in the demo and say where things are."""
    print(*_fill_in(settings), "Start the office with `wattwalk run`.", sep="\n")


def _fill_in(settings: Settings) -> list[str]:
    from .fill_in import fill_in

    filled_in = fill_in(settings)
    return [f"Sign in: {filled_in.email} / {filled_in.password}", f"Demo report: {filled_in.report}"]


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
        firm_id = session.scalars(
            select(StoredSurvey.firm_id).where(StoredSurvey.id == given.survey, StoredSurvey.scope == SURVEY)
        ).one_or_none()
    if firm_id is None:
        raise UsageError(f"There is no survey {given.survey!r}.")
    try:
        document = export_document(firm_id=firm_id, survey_id=given.survey, photos=settings.photos)
    except LostPhotosError as error:
        raise DatabaseError(f"The survey {given.survey!r} cannot be written whole. {error}") from error
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
        user = accounts.add_user(
            accounts.find_or_add_firm(given.firm),
            given.email,
            given.name or given.email.split("@")[0],
            password,
            given.role,
        )
    except accounts.AccountError as error:
        raise UsageError(str(error)) from error
    print(f"{user.email} can sign in for {given.firm}.")


def give_role(given: argparse.Namespace, settings: Settings) -> None:
    """Say what a person is to the firm."""
    try:
        user = accounts.give_role(given.email, given.role)
    except accounts.AccountError as error:
        raise UsageError(str(error)) from error
    print(
        f"{user.email} is of the firm's {ROLES[user.role].lower()} now."
        if user.role == OFFICE
        else f"{user.email} is a {ROLES[user.role].lower()} now."
    )


def take_list(given: argparse.Namespace, settings: Settings) -> None:
    """Take a list of the firm's into its book."""
    from .list_file import ListError, read_list
    from .office.firm_lists import take_in

    firm, name = _find_firm(given.firm), list_name(given.list)
    try:
        rows = read_list(name, read_input(given.list))
        counts = take_in(given.kind, name, rows, firm_id=firm.id, user_id=None)
    except ListError as error:
        raise UsageError(str(error)) from None
    print(f"{firm.name}: {counts.added} new, {counts.changed} changed, {counts.same} as before.")


def write_out_list(given: argparse.Namespace, settings: Settings) -> None:
    """Write the firm's records of one kind as a list: XLSX where the file's name ends so, else CSV."""
    from .list_file import CSV, XLSX, ListError
    from .office.firm_lists import write_book

    firm = _find_firm(given.firm)
    try:
        form = XLSX if given.out.lower().endswith(f".{XLSX}") else CSV
        written = write_book(given.kind, form, firm_id=firm.id, role=OFFICE)
    except ListError as error:
        raise UsageError(str(error)) from None
    write_output(written, given.out)


def verify_everything(given: argparse.Namespace, settings: Settings) -> int:
    """Verify every survey's state and every file that a survey names; a fault makes the exit status 1."""
    with reading() as session:
        faults = verify_all(session)
    photos, papers = verify_photos(settings.photos), verify_papers(settings)
    note_lost(settings.photos)  # so that phones are asked for what is not there
    for survey_id, found in (*photos.faults.items(), *papers.faults.items()):
        faults.setdefault(survey_id, []).extend(found)
    for survey_id, found in faults.items():
        for fault in found:
            print(f"{survey_id}: {fault}")
    broken = sum(1 for found in faults.values() if found)
    print(photos.summary())
    print(papers.summary())
    books = sum(1 for log_id in faults if is_book(log_id))
    firms = f" and the books of {books} firms" if books else ""
    print(f"{len(faults) - books} surveys{firms} looked at, {broken} with faults.")
    return 1 if broken else 0


def start_epoch(given: argparse.Namespace, settings: Settings) -> None:
    """Begin a new epoch."""
    print(f"The new epoch is {accounts.renew_epoch()}; every phone offers its changes again when it next asks.")


def migrate_tables(given: argparse.Namespace, settings: Settings) -> None:
    """Bring the tables up to date, after a backup."""
    _bring_up_to_date(settings, read_schema(settings.database_url))
    print("The tables are up to date.")


def back_up(given: argparse.Namespace, settings: Settings) -> int:
    """Make a backup; files that were missing already make the exit status 1."""
    made = make_backup(settings, Path(given.file))
    print(f"Backup written to {made.words()}.")
    for name in made.manifest.missing:
        print(f"{name} is named in the database and missing or spoilt here, so it is not in the backup.")
    return 1 if made.manifest.missing else 0


def restore(given: argparse.Namespace, settings: Settings) -> int:
    """Put a backup in the place of what is there, then verify it."""
    with _nobody_serving(settings):
        restored = restore_backup(settings, Path(given.file), replace=given.replace)
    if restored.before is not None:
        print(f"What was here before is kept in {restored.before.words()}.")
    print(
        f"{given.file} is restored. The new epoch is {restored.epoch}: every phone offers again what came after the backup, once its person has signed in again."
    )
    if restored.set_aside:
        print(f"Messages that may have been sent since: {restored.set_aside}. They wait for a person to look.")
    return _inside(verify_everything, given, settings) or 0


_MAY_MAKE_TABLES = frozenset({serve_office, fill_in_demo, import_file, add_person, take_list})
