"""Putting a backup in the place of what is there: checked first, files next, the database last and in one transaction.

Until that transaction ends, all is as it was, but for files that nothing names; once it has ended, all is as in the backup.
So a power cut in between leaves one or the other.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection, delete, func, select, text, update
from sqlalchemy.exc import SQLAlchemyError

from .. import accounts
from ..config import Settings
from ..database import Schema, Standing, changing_tables, known_revisions, one_moment, read_schema, upgrade
from ..files import write_whole
from ..models import Email
from .archive import FOLDERS, Archive, BackupError, open_archive
from .making import Made, automatic_file, files_below, make_backup
from .tables import drop_tables, go_on_counting, kept_tables, present_tables, put_rows

#: Rows that a database has which nobody has used yet.
_ALWAYS = "instance"
_UNSURE = "A backup was restored: this message may have been sent after the backup was made. Look in the mailbox before sending it again."


@dataclass(frozen=True)
class Restored:
    """What a restoration came to: the new epoch, the backup of what was there before (None where nothing was), messages set aside for a person."""

    epoch: str
    before: Made | None
    set_aside: int


def restore_backup(settings: Settings, file: Path, *, replace: bool = False) -> Restored:
    """Put a backup into this home and its database.

    Nobody may serve from this home meanwhile; the caller sees to that.

    Raises
    ------
    BackupError
        When the backup is damaged or of a newer version, or something is there already and `replace` is not set.  Nothing was changed then.
    """
    with open_archive(file) as archive:
        manifest = archive.manifest
        if manifest.revision not in known_revisions():
            raise BackupError(
                f"{file} was made by a newer version of Wattwalk ({manifest.app}): install that version or a later one, then restore. Nothing was changed."
            )
        schema = read_schema(settings.database_url)
        if schema.standing is Standing.NEWER:
            raise BackupError(f"Nothing was changed. {schema.trouble()}")
        there = _what_is_there(settings, schema, archive)
        before = None
        if there:
            if not replace:
                raise BackupError(
                    f"There is an office here already: {', '.join(there)}. Nothing was changed. "
                    "With --replace the backup takes its place; what is here is backed up first."
                )
            if schema.standing is not Standing.ABSENT:
                before = make_backup(
                    settings, automatic_file(settings, "before-restore"), with_files=manifest.has_files
                )
        _put_files(settings, archive)
        try:
            with changing_tables(settings.database_url) as connection:
                epoch, set_aside = _put_tables(connection, archive)
        except SQLAlchemyError as error:
            said = str(getattr(error, "orig", None) or error).splitlines()[0]
            raise BackupError(f"The database did not take the backup, and is as it was: {said}") from error
    return Restored(epoch, before, set_aside)


def _what_is_there(settings: Settings, schema: Schema, archive: Archive) -> list[str]:
    """Return in words what a restoration would take the place of; nothing when the home and the database are empty."""
    found = []
    if schema.standing is not Standing.ABSENT:
        with one_moment(settings.database_url) as connection:
            for table in kept_tables(connection):
                rows = connection.execute(select(func.count()).select_from(table)).scalar_one()
                if rows and table.name != _ALWAYS:
                    found.append(f"{rows} rows of {table.name}")
    if archive.manifest.has_files:
        # What a restoration that was cut off has left behind is the backup's own.
        ours = archive.manifest.parts
        found += _counted(sum(1 for name in settings.photos.names() if f"photos/{name}" not in ours), "photos")
        found += _counted(
            sum(1 for path in files_below(settings) if path.relative_to(settings.home).as_posix() not in ours),
            "papers and messages",
        )
    return found


def _counted(number: int, what: str) -> list[str]:
    return [f"{number} {what}"] if number else []


def _put_files(settings: Settings, archive: Archive) -> None:
    try:
        for sha256 in archive.manifest.names("photos"):
            settings.photos.put(sha256, archive.read(f"photos/{sha256}"))
        for folder in FOLDERS:
            for name in archive.manifest.names(folder):
                data, path = archive.read(f"{folder}/{name}"), settings.home / folder / name
                if not path.is_file() or path.read_bytes() != data:
                    write_whole(path, data)
    except OSError as error:
        if isinstance(error, BackupError):
            raise
        raise BackupError(
            f"The files of the backup cannot be written: {error.strerror or error}. The database is as it was."
        ) from error


def _put_tables(connection: Connection, archive: Archive) -> tuple[str, int]:
    """Put the backup's tables in the place of those that are there; return the new epoch and how many messages were set aside."""
    if connection.dialect.name == "postgresql":
        # Somebody who holds a table for longer than this is told of, not waited for.
        connection.execute(text("SET LOCAL lock_timeout = '60s'"))
    drop_tables(connection)
    upgrade(connection, archive.manifest.revision)
    tables = {table.name: table for table in present_tables(connection)}
    for name, said in archive.manifest.tables.items():
        if name not in tables or {column.name for column in tables[name].columns} != set(said["columns"]):
            raise BackupError(
                f"The table {name} of the backup is not the one of migration {archive.manifest.revision}. The database is as it was."
            )
    # Migrations put rows of their own into some tables; the backup has its own.
    for table in reversed(tables.values()):
        connection.execute(delete(table))
    for name, table in tables.items():
        if name in archive.manifest.tables:
            put_rows(connection, table, archive.manifest.tables[name]["columns"], archive.rows(name))
        go_on_counting(connection, table)
    upgrade(connection)
    # Whether it was sent after the backup was made, nobody knows here.
    unsure = connection.execute(
        update(Email)
        .where(Email.state.in_(("waiting", "sending")))
        .values(state="uncertain", leased_until=None, last_error=_UNSURE)
    )
    return accounts.begin_new_life(connection), unsure.rowcount
