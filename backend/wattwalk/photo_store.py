"""Where the bytes of photos lie, under their SHA-256: what a place for them has to do, and the one on the disk.

Nothing else knows paths of photos.  A place in an object store is one more class here and one line in ``config.py``.
"""

from __future__ import annotations

import errno
import fcntl
import hashlib
import os
import re
import stat
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Protocol

from .files import make_folder, sync_folder, write_whole

_HASH = re.compile(r"[0-9a-f]{64}")


class PhotoStore(Protocol):
    """A place for bytes under their SHA-256, as 64 hexadecimal digits.

    Bytes that turn out not to be those of their hash are never handed out: they are set aside, and from then on they are not there.
    """

    def put(self, sha256: str, data: bytes) -> None:
        """Keep bytes that have this hash; they are safe when this returns.  What lies there already is compared and made good."""

    def get(self, sha256: str) -> bytes | None:
        """Return the bytes, or None when they are missing or spoilt."""

    def sizes(self, hashes: Iterable[str]) -> dict[str, int]:
        """Return the sizes of those that are there, in bytes.  This is the cheap look: a size does not prove the bytes."""

    def local_path(self, sha256: str) -> Path | None:
        """Return a file of this machine with the bytes, for a program that reads files; None when they are missing or spoilt."""

    def delete(self, sha256: str) -> None:
        """Take the bytes away, and the small picture with them; nothing happens when they are not there."""

    def names(self) -> Iterator[str]:
        """Return the hashes of all that is there."""

    def put_preview(self, sha256: str, data: bytes) -> None:
        """Keep the small picture that was made of a photo."""

    def get_preview(self, sha256: str) -> bytes | None:
        """Return the small picture as it was kept, or None when it is missing or spoilt."""


class DiskPhotos:
    """Photos as files below one folder: ``ab/abcd…``, small pictures under ``previews``, what proved to be spoilt under ``spoilt``.

    Parameters
    ----------
    folder : Path
        Made when the first photo comes.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def put(self, sha256: str, data: bytes) -> None:
        """Keep bytes under their hash; see :class:`PhotoStore`."""
        if hashlib.sha256(data).hexdigest() != sha256:
            raise ValueError("The bytes do not have the hash that they are to be kept under.")
        if self.get(sha256) is not None:
            return
        make_folder(self._folder)
        with self._alone():
            write_whole(self._path(sha256), data)
        # What is left of the spoilt ones is of no use any more.
        (self._folder / "spoilt" / sha256).unlink(missing_ok=True)

    def get(self, sha256: str) -> bytes | None:
        """Return the bytes, hashed at every call: reading is the moment to find out."""
        data, is_spoilt = self._read(sha256)
        if is_spoilt:
            self._set_aside(sha256)
            # Another process may have made it good in between.
            data, _ = self._read(sha256)
        return data

    def _read(self, sha256: str) -> tuple[bytes | None, bool]:
        try:
            data = self._path(sha256).read_bytes()
        except FileNotFoundError:
            return None, False
        except OSError as error:
            # A disk that cannot read its sectors any more has lost them; any other trouble passes.
            if error.errno != errno.EIO:
                raise
            return None, True
        return (data, False) if hashlib.sha256(data).hexdigest() == sha256 else (None, True)

    def _set_aside(self, sha256: str) -> None:
        """Move what is not the photo out of its place.  It is kept: when no phone has the photo any more, a part of it may be worth something."""
        with self._alone():
            if not self._read(sha256)[1]:
                return
            spoilt = self._folder / "spoilt"
            make_folder(spoilt)
            self._path(sha256).replace(spoilt / sha256)
            sync_folder(self._path(sha256).parent)

    @contextmanager
    def _alone(self) -> Iterator[None]:
        """Hold off whoever else puts photos in or sets them aside, so that nobody sets aside what has just been made good."""
        with (self._folder / ".turn").open("ab") as turn:
            fcntl.flock(turn, fcntl.LOCK_EX)
            yield

    def sizes(self, hashes: Iterable[str]) -> dict[str, int]:
        """Return the sizes of those that are there."""
        # A list of surveys asks for tens of thousands: no path objects.
        folder, found = str(self._folder), {}
        for sha256 in hashes:
            try:
                entry = os.stat(f"{folder}/{sha256[:2]}/{sha256}")  # noqa: PTH116
            except OSError:
                continue
            if stat.S_ISREG(entry.st_mode):
                found[sha256] = entry.st_size
        return found

    def local_path(self, sha256: str) -> Path | None:
        """Return the file of a photo whose bytes have just been proved."""
        return self._path(sha256) if self.get(sha256) is not None else None

    def delete(self, sha256: str) -> None:
        """Take the bytes away, the small picture and what was set aside."""
        for path in (self._path(sha256), self._preview_path(sha256), self._folder / "spoilt" / sha256):
            path.unlink(missing_ok=True)

    def names(self) -> Iterator[str]:
        """Return the hashes of all that is there, in order."""
        if self._folder.is_dir():
            for path in sorted(self._folder.glob("[0-9a-f][0-9a-f]/*")):
                if _HASH.fullmatch(path.name):
                    yield path.name

    def put_preview(self, sha256: str, data: bytes) -> None:
        """Keep a small picture, its own hash before it: it has no name that could prove it."""
        write_whole(self._preview_path(sha256), hashlib.sha256(data).digest() + data)

    def get_preview(self, sha256: str) -> bytes | None:
        """Return a small picture that is as it was kept."""
        try:
            kept = self._preview_path(sha256).read_bytes()
        except OSError:
            return None
        return kept[32:] if hashlib.sha256(kept[32:]).digest() == kept[:32] else None

    def _path(self, sha256: str) -> Path:
        return self._folder / sha256[:2] / sha256

    def _preview_path(self, sha256: str) -> Path:
        return self._folder / "previews" / sha256[:2] / f"{sha256}.jpg"
