"""Files as they are to outlive a power cut: whole under their name, or not there."""

from __future__ import annotations

import fcntl
import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


def write_whole(path: Path, data: bytes) -> None:
    """Put a file in its place whole or not at all, in place of one of that name, and on the disk before this returns."""
    make_folder(path.parent)
    temporary = path.with_name(f".{path.name}.{secrets.token_hex(4)}")
    try:
        with temporary.open("wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        temporary.replace(path)
    finally:
        temporary.unlink(missing_ok=True)
    sync_folder(path.parent)


def make_folder(folder: Path) -> None:
    """Make a folder and those above it; each is on the disk, by its name in the one above, before this returns."""
    missing = [each for each in (folder, *folder.parents) if not each.exists()]
    for each in reversed(missing):
        each.mkdir(exist_ok=True)
        sync_folder(each.parent)


def sync_folder(folder: Path) -> None:
    """Have a folder's names on the disk: a file that was renamed into it is else lost with the power."""
    opened = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(opened)
    finally:
        os.close(opened)


@contextmanager
def held(path: Path, *, alone: bool = False) -> Iterator[None]:
    """Hold a place while a block runs, together with others or alone; a process that dies lets go of it.

    Raises
    ------
    BlockingIOError
        When others hold it and one of the two wants it alone.
    """
    make_folder(path.parent)
    with path.open("ab") as file:
        fcntl.flock(file, (fcntl.LOCK_EX if alone else fcntl.LOCK_SH) | fcntl.LOCK_NB)
        yield
