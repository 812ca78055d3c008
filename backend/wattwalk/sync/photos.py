"""Photos: bytes kept under their hash, once they have proved to be the picture they claim to be."""

from __future__ import annotations

import hashlib
import io
import os
import secrets
import warnings
from dataclasses import replace
from pathlib import Path

from PIL import Image, ImageOps
from sqlalchemy import select

from ..database import now, writing
from ..models import StoredPhoto, StoredSurvey
from ..survey.errors import Problem, SurveyError
from .errors import NoSuchSurveyError

MAX_BYTES = 20_000_000
MAX_PIXELS = 60_000_000
PREVIEW_PX = 960
#: Pillow opens a phone's JPEG with a second, smaller picture inside as a JPEG and then calls it 'MPO'.
_MEDIA_TYPES = {"JPEG": "image/jpeg", "MPO": "image/jpeg", "PNG": "image/png", "WEBP": "image/webp"}
_OPENABLE = ("JPEG", "PNG", "WEBP")
_MIB = 1_000_000


def check_picture(data: bytes) -> tuple[str, int, int]:
    """Return a picture's media type, width and height, having decoded all of it.

    Raises
    ------
    SurveyError
        ``picture_too_large`` for more than 20 MB or 60 million pixels, ``not_a_picture`` for anything that is not a
        whole JPEG, PNG or WebP picture.
    """
    if len(data) > MAX_BYTES:
        raise _refusal("picture_too_large", f"Found {len(data) / _MIB:.1f} MB, expected at most {MAX_BYTES // _MIB} MB.")
    try:
        with warnings.catch_warnings():
            # Our own limit is checked before anything is unpacked.
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            with Image.open(io.BytesIO(data), formats=_OPENABLE) as picture:
                width, height = picture.size
                if width * height > MAX_PIXELS:
                    raise _refusal(
                        "picture_too_large",
                        f"Found {width} × {height} pixels, expected at most {MAX_PIXELS // _MIB} million.",
                    )
                picture.load()
                return _MEDIA_TYPES[picture.format or ""], width, height
    except SurveyError:
        raise
    except Image.DecompressionBombError as error:
        raise _refusal("picture_too_large", f"Found too many pixels, expected at most {MAX_PIXELS // _MIB} million.") from error
    except Exception as error:
        # Pillow's decoders raise whatever their format suggests to them; to us all of it means the same.
        raise _refusal("not_a_picture", "Expected a whole JPEG, PNG or WebP picture; this one cannot be read to its end.") from error


def _refusal(code: str, message: str) -> SurveyError:
    return SurveyError([Problem(code, message, "sha256")])


def store_photo(folder: Path, *, firm_id: str, survey_id: str, sha256: str, data: bytes) -> tuple[StoredPhoto, bool]:
    """Keep a photo's bytes and say whether they are new to the survey.

    The bytes are on the disk before the row that names them, and the row before the answer.

    Raises
    ------
    NoSuchSurveyError
        When the survey does not exist or belongs to another firm.
    SurveyError
        ``hash_differs`` when the bytes are not those of the hash, and what :func:`check_picture` raises.
    """
    found = hashlib.sha256(data).hexdigest()
    if found != sha256:
        raise _refusal("hash_differs", f"The bytes have the hash {found[:12]}…, expected {sha256[:12]}…: they changed on the way. Send them again.")
    try:
        media_type, width, height = check_picture(data)
    except SurveyError as error:
        # Named by its hash, so that a phone can tell the office's own no from that of a machine in between.
        raise SurveyError([replace(problem, record=f"photo/{sha256}") for problem in error.problems]) from error
    write_once(photo_path(folder, sha256), data)
    with writing() as session:
        survey = session.scalars(select(StoredSurvey.id).where(StoredSurvey.id == survey_id, StoredSurvey.firm_id == firm_id).with_for_update())
        if survey.one_or_none() is None:
            raise NoSuchSurveyError(survey_id)
        stored = session.get(StoredPhoto, (survey_id, sha256))
        if stored is not None:
            return stored, False
        stored = StoredPhoto(
            survey_id=survey_id, sha256=sha256, media_type=media_type, size_bytes=len(data), width_px=width, height_px=height, arrived_at=now()
        )
        session.add(stored)
        return stored, True


def photo_path(folder: Path, sha256: str) -> Path:
    """Return where the bytes of a hash lie."""
    return folder / sha256[:2] / sha256


def preview(folder: Path, sha256: str) -> bytes:
    """Return a photo as a small JPEG, upright and without what the camera noted (its place above all)."""
    path = folder / "previews" / sha256[:2] / f"{sha256}.jpg"
    if path.is_file():
        return path.read_bytes()
    with Image.open(photo_path(folder, sha256), formats=_OPENABLE) as picture:
        picture.draft("RGB", (PREVIEW_PX, PREVIEW_PX))
        upright = ImageOps.exif_transpose(picture)
        upright.thumbnail((PREVIEW_PX, PREVIEW_PX))
        flat = Image.new("RGB", upright.size, "white")
        # A transparent picture lies on white, as it would on paper.
        flat.paste(upright, mask=upright.getchannel("A") if upright.mode in ("RGBA", "LA") else None)
    written = io.BytesIO()
    flat.save(written, "JPEG", quality=82)
    write_once(path, written.getvalue())
    return written.getvalue()


def write_once(path: Path, data: bytes) -> None:
    """Put a file in its place whole or not at all, and on the disk before this returns; an equal file stays."""
    if path.is_file() and path.stat().st_size == len(data):
        return
    path.parent.mkdir(parents=True, exist_ok=True)
    temporary = path.with_name(f".{path.name}.{secrets.token_hex(4)}")
    try:
        with temporary.open("wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        temporary.replace(path)
    finally:
        temporary.unlink(missing_ok=True)
    folder = os.open(path.parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)
