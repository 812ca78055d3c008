"""The file of a backup: a ZIP of our own layout, whole under its name or not there, every part of it held by its hash.

manifest.json                what follows, and from which program and which migration it is
tables/NAME.jsonl            one JSON list per row, in the order of the manifest's columns
photos/SHA256                bytes of a photo
reports/…, outbox/…          papers and kept messages, named as below the home folder
"""

from __future__ import annotations

import fcntl
import hashlib
import json
import os
import re
import zipfile
import zlib
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import IO, Any

from ..files import make_folder, sync_folder
from ..survey.errors import WattwalkError

FORMAT, VERSION = "wattwalk-backup", 1
MANIFEST = "manifest.json"
#: Folders below the home folder that a backup takes along beside the photos.
FOLDERS = ("reports", "outbox")
_PHOTO = re.compile(r"photos/[0-9a-f]{64}")
_TABLE = re.compile(r"tables/[a-z_]+\.jsonl")
_PAPER = re.compile(rf"(?:{'|'.join(FOLDERS)})(?:/(?!\.)[^/\\\0]+)+")
_CHUNK = 1 << 20


class BackupError(WattwalkError, OSError):
    """A backup cannot be made, read or put back; the message says why, and that nothing was changed where that is so."""


@dataclass(frozen=True)
class Part:
    """One file of a backup: its size in bytes and its SHA-256."""

    size: int
    sha256: str


@dataclass
class Manifest:
    """What a backup holds.

    Parameters
    ----------
    app : str
        Version of the program that made it.
    revision : str
        Migration up to which the tables had been brought.
    made_at : str
        The moment that the database is shown at, ISO 8601.
    epoch : str
        How that life of the database was called.
    has_files : bool
        Whether photos and papers are in it; without, it is the database alone.
    tables : dict
        ``{"columns": [...], "rows": n}`` by the name of the table.
    parts : dict
        Every file but the manifest, by its name in the archive.
    missing : list of str
        Files that the database named and that were missing or spoilt when the backup was made.
    """

    app: str
    revision: str
    made_at: str
    epoch: str
    has_files: bool
    tables: dict[str, dict[str, Any]] = field(default_factory=dict)
    parts: dict[str, Part] = field(default_factory=dict)
    missing: list[str] = field(default_factory=list)

    def names(self, folder: str) -> list[str]:
        """Return the names of the parts below a folder of the archive, the folder left out."""
        return [name.removeprefix(f"{folder}/") for name in self.parts if name.startswith(f"{folder}/")]


class ArchiveWriter:
    """Writes the parts of a backup and notes the hash of each."""

    def __init__(self, archive: zipfile.ZipFile) -> None:
        self._archive = archive
        self.parts: dict[str, Part] = {}

    @contextmanager
    def part(self, name: str) -> Iterator[Callable[[bytes], object]]:
        """Lend a function that adds bytes to a new part."""
        info = zipfile.ZipInfo(name)
        # Photos and PDFs are packed as they are; rows are text that says much the same again and again.
        info.compress_type = zipfile.ZIP_DEFLATED if name.endswith((".json", ".jsonl")) else zipfile.ZIP_STORED
        digest, size = hashlib.sha256(), 0
        with self._archive.open(info, "w", force_zip64=True) as out:

            def write(data: bytes) -> None:
                nonlocal size
                out.write(data)
                digest.update(data)
                size += len(data)

            yield write
        self.parts[name] = Part(size, digest.hexdigest())

    def finish(self, manifest: Manifest) -> None:
        """Write the manifest, the last part: an archive without one was never finished."""
        manifest.parts = self.parts.copy()
        with self.part(MANIFEST) as write:
            write((json.dumps({"format": FORMAT, "version": VERSION, **asdict(manifest)}, indent=1) + "\n").encode())


@contextmanager
def new_archive(file: Path) -> Iterator[ArchiveWriter]:
    """Write a backup beside its place and give it its name at the end, when all of it is on the disk.

    Raises
    ------
    BackupError
        When there is a file of that name, another backup is being written to it, or the disk does not take it.
    """
    _refuse_existing(file)
    unfinished = file.with_name(f".{file.name}.part")
    try:
        make_folder(file.parent)
        with _opened_alone(unfinished) as out:
            try:
                with zipfile.ZipFile(out, "w") as archive:
                    yield ArchiveWriter(archive)
                out.flush()
                os.fsync(out.fileno())
                _name(unfinished, file)
            finally:
                unfinished.unlink(missing_ok=True)
        sync_folder(file.parent)
    except OSError as error:
        if isinstance(error, BackupError):
            raise
        raise BackupError(
            f"The backup {file} cannot be written: {error.strerror or error}. There is no file of that name."
        ) from error


def _opened_alone(unfinished: Path) -> IO[bytes]:
    """Open the file that a backup is written to, empty; one that was killed may have left its own there."""
    while True:
        out = os.fdopen(os.open(unfinished, os.O_RDWR | os.O_CREAT, 0o600), "r+b")
        try:
            fcntl.flock(out, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            out.close()
            raise BackupError(f"Another backup is being written to {unfinished} just now.") from None
        found = os.fstat(out.fileno())
        if found.st_size == 0 and found.st_nlink == 1:
            return out
        # Never written over: killed at its last step, it is a finished backup under a second name.
        out.close()
        unfinished.unlink(missing_ok=True)


def _refuse_existing(file: Path) -> None:
    if file.exists():
        raise BackupError(f"{file} is there already; a backup never writes over one. Give it another name.")


def _name(unfinished: Path, file: Path) -> None:
    try:
        # Unlike renaming, this never takes the place of a file that came there meanwhile.
        file.hardlink_to(unfinished)
    except FileExistsError:
        _refuse_existing(file)
    except OSError:
        # A disk without such links.
        _refuse_existing(file)
        unfinished.rename(file)


class Archive:
    """A backup whose every part has been read once and found to be what the manifest says."""

    def __init__(self, archive: zipfile.ZipFile, manifest: Manifest) -> None:
        self._archive, self.manifest = archive, manifest

    def read(self, name: str) -> bytes:
        """Return a part; hashed once more, since the file may have changed under our eyes."""
        data = self._archive.read(name)
        if hashlib.sha256(data).hexdigest() != self.manifest.parts[name].sha256:
            raise BackupError(f"The part {name} of the backup changed while it was read.")
        return data

    def rows(self, table: str) -> Iterator[list[Any]]:
        """Return the rows of a table, as JSON has them."""
        with self._archive.open(f"tables/{table}.jsonl") as lines:
            yield from map(json.loads, lines)


@contextmanager
def open_archive(file: Path) -> Iterator[Archive]:
    """Open a backup and check all of it: form, names, sizes, hashes, counts of rows.

    Raises
    ------
    BackupError
        When it is no backup, of a newer form, or damaged anywhere.
    """
    with ExitStack() as opened:
        # What goes wrong while the caller works with it is not the backup's.
        try:
            archive = opened.enter_context(zipfile.ZipFile(file))
            _check_places(file, archive)
            manifest = _read_manifest(file, archive)
            _check_parts(file, archive, manifest)
        except FileNotFoundError:
            raise BackupError(f"{file}: there is no such file.") from None
        except BackupError:
            raise
        except OSError as error:
            raise BackupError(f"{file} cannot be read: {error.strerror or error}. Nothing was changed.") from error
        except (
            zipfile.BadZipFile,
            zipfile.LargeZipFile,
            EOFError,
            NotImplementedError,
            RuntimeError,
            zlib.error,
        ) as error:
            raise _damaged(file, str(error)) from error
        yield Archive(archive, manifest)


def _damaged(file: Path, what: str) -> BackupError:
    return BackupError(f"{file} is not a whole backup: {what}. Nothing was changed.")


def _check_places(file: Path, archive: zipfile.ZipFile) -> None:
    """Refuse a list whose parts would begin before or behind the file: going there fails as if the disk had."""
    size = file.stat().st_size
    if not all(0 <= part.header_offset < size for part in archive.infolist()):
        raise _damaged(file, "its list names places that are not in it")


def _read_manifest(file: Path, archive: zipfile.ZipFile) -> Manifest:
    try:
        said = json.loads(archive.read(MANIFEST))
        if said["format"] != FORMAT:
            raise ValueError
        if said["version"] != VERSION:
            raise BackupError(
                f"{file} was made by a newer version of Wattwalk (its form is {said['version']}, known is {VERSION}): restore it with that version."
            )
        given = {name: said[name] for name in Manifest.__dataclass_fields__}
        given["parts"] = {
            str(name): Part(int(part["size"]), str(part["sha256"])) for name, part in given["parts"].items()
        }
        for table in given["tables"].values():
            table["columns"], table["rows"] = [str(name) for name in table["columns"]], int(table["rows"])
        return Manifest(**given)
    except (KeyError, TypeError, AttributeError, ValueError) as error:
        raise _damaged(file, "it has no manifest of ours") from error


def _check_parts(file: Path, archive: zipfile.ZipFile, manifest: Manifest) -> None:
    names = archive.namelist()
    if sorted(names) != sorted({*manifest.parts, MANIFEST}):
        raise _damaged(file, "it does not hold the files that its manifest names")
    if {f"tables/{name}.jsonl" for name in manifest.tables} != {name for name in names if name.startswith("tables/")}:
        raise _damaged(file, "it does not hold the tables that its manifest names")
    for name, part in manifest.parts.items():
        is_known = any(pattern.fullmatch(name) for pattern in (_PHOTO, _TABLE, _PAPER)) and ".." not in name.split("/")
        if not is_known:
            raise _damaged(file, f"{name!r} is no name of a part")
        with archive.open(name) as data:
            found, lines = _measure(data)
        if found != part or (name.startswith("photos/") and name != f"photos/{found.sha256}"):
            raise _damaged(file, f"{name} is not what was written")
        if name.startswith("tables/"):
            table = name.removeprefix("tables/").removesuffix(".jsonl")
            if lines != manifest.tables[table]["rows"]:
                raise _damaged(file, f"{name} has {lines} rows, expected {manifest.tables[table]['rows']}")


def _measure(data: IO[bytes]) -> tuple[Part, int]:
    digest, size, lines = hashlib.sha256(), 0, 0
    while chunk := data.read(_CHUNK):
        digest.update(chunk)
        size += len(chunk)
        lines += chunk.count(b"\n")
    return Part(size, digest.hexdigest()), lines
