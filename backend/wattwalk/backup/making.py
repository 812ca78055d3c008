"""Making a backup while the office serves: the database at one moment, then every file that this moment names."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import chain, count
from pathlib import Path

from sqlalchemy import Connection, select, text

from ..config import Settings
from ..database import Schema, Standing, now, one_moment, present_revision, read_schema
from ..version import program_version
from .archive import FOLDERS, ArchiveWriter, BackupError, Manifest, new_archive
from .tables import kept_tables, write_rows

#: Backups that the program makes by itself before it changes the tables, and how many of them are kept.
AUTOMATIC = "before-migration"
KEPT = 5


@dataclass(frozen=True)
class Made:
    """A backup that was made: where it lies and what it holds."""

    file: Path
    manifest: Manifest

    def words(self) -> str:
        """Return in one line what it holds."""
        rows = {name: table["rows"] for name, table in self.manifest.tables.items()}
        held = f"{rows.get('survey', 0)} surveys"
        if self.manifest.has_files:
            held += f", {len(self.manifest.names('photos'))} photos, {len(self.manifest.names('reports'))} papers, {len(self.manifest.names('outbox'))} kept messages"
        return f"{self.file}: {held}, {self.file.stat().st_size / 1_000_000:.1f} MB"


def make_backup(settings: Settings, file: Path, *, with_files: bool = True) -> Made:
    """Write database, photos and papers to a new file.

    The database is read at one moment.  Files are copied after it, so that all it names is there: photos never change, papers are
    never written again, and one that came later does no harm.

    Raises
    ------
    BackupError
        When there is no database or a newer version wrote it; when the file is there already or cannot be written.
    """
    # Looked at before anything is written, so that a backup of nothing leaves nothing.
    _need_known(read_schema(settings.database_url).revision)
    with new_archive(file) as archive:
        with one_moment(settings.database_url) as connection:
            revision = _need_known(present_revision(connection))
            epoch = connection.execute(text("SELECT epoch FROM instance")).scalar_one()
            manifest = Manifest(
                app=program_version(), revision=revision, made_at=now().isoformat(), epoch=epoch, has_files=with_files
            )
            named = _write_tables(connection, archive, manifest)
        if with_files:
            _write_photos(settings, archive, sorted(name for name in named if name.startswith("photos/")))
            _write_folders(settings, archive)
            manifest.missing = sorted(named - archive.parts.keys())
        archive.finish(manifest)
    return Made(file, manifest)


def _need_known(revision: str | None) -> str:
    if revision is None or Schema(revision).standing is Standing.NEWER:
        raise BackupError(f"There is no backup. {Schema(revision).trouble()}")
    return revision


#: Which folder of the archive the values of which column name files in.
_NAMING = (
    ("photos", "photo", "sha256"),
    ("reports", "report", "file_name"),
    ("reports", "report_paper", "file_name"),
    ("outbox", "email", "file_name"),
)


def _write_tables(connection: Connection, archive: ArchiveWriter, manifest: Manifest) -> set[str]:
    """Write every table, and return the files that the rows name, as the archive calls them."""
    tables = {table.name: table for table in kept_tables(connection)}
    for table in tables.values():
        with archive.part(f"tables/{table.name}.jsonl") as write:
            rows = write_rows(connection, table, write)
        manifest.tables[table.name] = {"columns": [column.name for column in table.columns], "rows": rows}
    named: set[str] = set()
    for folder, table_name, column in _NAMING:
        if table_name in tables and column in tables[table_name].c:
            names = connection.scalars(select(tables[table_name].c[column]).distinct())
            named |= {f"{folder}/{name}" for name in names if name}
    return named


def _write_photos(settings: Settings, archive: ArchiveWriter, names: Iterable[str]) -> None:
    for name in names:
        data = settings.photos.get(name.removeprefix("photos/"))
        if data is not None:
            with archive.part(name) as write:
                write(data)


def _write_folders(settings: Settings, archive: ArchiveWriter) -> None:
    for path in files_below(settings):
        try:
            data = path.read_bytes()
        except FileNotFoundError:
            # A paper whose number somebody else took is removed again; what the rows name is looked for below.
            continue
        with archive.part(path.relative_to(settings.home).as_posix()) as write:
            write(data)


def files_below(settings: Settings) -> list[Path]:
    """Return papers and kept messages, without what is still being written."""
    found = (path for folder in FOLDERS for path in (settings.home / folder).rglob("*"))
    return sorted(
        path
        for path in found
        if path.is_file() and not any(part.startswith(".") for part in path.relative_to(settings.home).parts)
    )


def back_up_before_migration(settings: Settings, revision: str) -> Made:
    """Keep the database as it is before its tables are changed, named with its migration and the day; the newest few are kept.

    Photos and papers are not touched by a migration, so they are not in it.
    """
    made = make_backup(settings, automatic_file(settings, f"{AUTOMATIC}-{revision}"), with_files=False)
    older = sorted(made.file.parent.glob(f"{AUTOMATIC}-*.zip"), key=lambda path: path.stat().st_mtime_ns)
    for path in older[:-KEPT]:
        path.unlink()
    return made


def automatic_file(settings: Settings, name: str) -> Path:
    """Return a free name, with the day, for a backup that the program makes by itself."""
    folder, stem = settings.home / "backups", f"{name}-{now().date().isoformat()}"
    names = chain([stem], (f"{stem}-{number}" for number in count(2)))
    return next(path for path in (folder / f"{each}.zip" for each in names) if not path.exists())
