"""Photos: bytes kept under their hash, once they have proved to be the picture they claim to be."""

from __future__ import annotations

import hashlib
import io
import warnings
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

from PIL import Image, ImageOps
from sqlalchemy import select

from ..database import now, reading, writing
from ..models import StoredPhoto, StoredSurvey
from ..photo_store import PhotoStore
from ..survey.errors import Problem, SurveyError
from ..survey.holders import SURVEY
from .endings import is_whole
from .errors import NoSuchSurveyError

MAX_BYTES = 20_000_000
MAX_PIXELS = 60_000_000
PREVIEW_PX = 960
#: Pillow opens a phone's JPEG with a second, smaller picture inside as a JPEG and then calls it 'MPO'.
_MEDIA_TYPES = {"JPEG": "image/jpeg", "MPO": "image/jpeg", "PNG": "image/png", "WEBP": "image/webp"}
_OPENABLE = ("JPEG", "PNG", "WEBP")
_MILLION = 1_000_000


def check_picture(data: bytes, most_bytes: int = MAX_BYTES, most_pixels: int = MAX_PIXELS) -> tuple[str, int, int]:
    """Return a picture's media type, width and height, having decoded all of it.

    Raises
    ------
    SurveyError
        ``picture_too_large`` for more than 20 MB or 60 million pixels (or what else is the most), ``not_a_picture`` for anything that is not a
        whole JPEG, PNG or WebP picture.
    """
    if len(data) > most_bytes:
        raise _refusal(
            "picture_too_large", f"Found {len(data) / _MILLION:.1f} MB, expected at most {most_bytes // _MILLION} MB."
        )
    try:
        with warnings.catch_warnings():
            # Our own limit is checked before anything is unpacked.
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            with Image.open(io.BytesIO(data), formats=_OPENABLE) as picture:
                width, height = picture.size
                if width * height > most_pixels:
                    raise _refusal(
                        "picture_too_large",
                        f"Found {width} × {height} pixels, expected at most {most_pixels // _MILLION} million.",
                    )
                picture.load()
                media_type = _MEDIA_TYPES[picture.format or ""]
        # A decoder stops at the last line that it needs, and does not miss what should come after it.
        if not is_whole(media_type, data):
            raise _refusal("not_a_picture", "The picture breaks off before its end. Take it again.")
        return media_type, width, height
    except SurveyError:
        raise
    except Image.DecompressionBombError as error:
        raise _refusal(
            "picture_too_large", f"Found too many pixels, expected at most {most_pixels // _MILLION} million."
        ) from error
    except Exception as error:
        # Pillow's decoders raise whatever their format suggests to them; to us all of it means the same.
        raise _refusal(
            "not_a_picture", "Expected a whole JPEG, PNG or WebP picture; this one cannot be read to its end."
        ) from error


def _refusal(code: str, message: str) -> SurveyError:
    return SurveyError([Problem(code, message, "sha256")])


def store_photo(
    store: PhotoStore, *, firm_id: str, survey_id: str, sha256: str, data: bytes
) -> tuple[StoredPhoto, bool]:
    """Keep a photo's bytes and say whether they are new to the survey; bytes that were lost or spoilt here are made good.

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
        raise _refusal(
            "hash_differs",
            f"The bytes have the hash {found[:12]}…, expected {sha256[:12]}…: they changed on the way. Send them again.",
        )
    try:
        media_type, width, height = check_picture(data)
    except SurveyError as error:
        # Named by its hash, so that a phone can tell the office's own no from that of a machine in between.
        raise SurveyError([replace(problem, record=f"photo/{sha256}") for problem in error.problems]) from error
    store.put(sha256, data)
    with writing() as session:
        survey = session.scalars(
            select(StoredSurvey.id)
            .where(StoredSurvey.id == survey_id, StoredSurvey.firm_id == firm_id, StoredSurvey.scope == SURVEY)
            .with_for_update()
        )
        if survey.one_or_none() is None:
            raise NoSuchSurveyError(survey_id)
        stored = session.get(StoredPhoto, (survey_id, sha256))
        if stored is not None:
            stored.is_lost = False
            return stored, False
        stored = StoredPhoto(
            survey_id=survey_id,
            sha256=sha256,
            media_type=media_type,
            size_bytes=len(data),
            width_px=width,
            height_px=height,
            arrived_at=now(),
            is_lost=False,
        )
        session.add(stored)
        return stored, True


def still_there(store: PhotoStore, named: Iterable[tuple[str, int]]) -> set[str]:
    """Return the hashes whose bytes are at the office, of those that came there.

    Parameters
    ----------
    store : PhotoStore
    named : iterable of (str, int)
        Hash and size in bytes as they came.

    Notes
    -----
    Presence and size are looked at, which is quick.  Bytes that are wrong at the right size are found when they are read (sent, shown,
    printed, verified); they are set aside then, and not there from that moment on.
    """
    came = dict(named)
    return {sha256 for sha256, size in store.sizes(came).items() if size == came[sha256]}


def note_lost(store: PhotoStore) -> list[tuple[str, str]]:
    """Note of every photo that came whether its bytes are still there, and return those of which that has changed, with what they are now.

    The lines of their surveys move by it, so that every phone hears of it when it next asks for the list.
    """
    with reading() as session:
        came = session.execute(
            select(StoredPhoto.survey_id, StoredPhoto.sha256, StoredPhoto.size_bytes, StoredPhoto.is_lost)
        ).all()
    here = still_there(store, ((photo.sha256, photo.size_bytes) for photo in came))
    changed = [(photo.survey_id, photo.sha256) for photo in came if photo.is_lost == (photo.sha256 in here)]
    if not changed:
        return []
    with writing() as session:
        for key in changed:
            photo = session.get(StoredPhoto, key, populate_existing=True)
            if photo is not None:
                photo.is_lost = photo.sha256 not in here
    return [
        (f"photo {sha256} of {survey_id}", "there again" if sha256 in here else "lost") for survey_id, sha256 in changed
    ]


def printable(store: PhotoStore, hashes: Iterable[str]) -> dict[str, Path]:
    """Return the files of the photos whose bytes have just been proved, for the renderer; one that is missing or spoilt is left out."""
    found = ((sha256, store.local_path(sha256)) for sha256 in hashes)
    return {sha256: path for sha256, path in found if path is not None}


def preview(store: PhotoStore, sha256: str) -> bytes | None:
    """Return a photo as a small JPEG, upright and without what the camera noted (its place above all); None when its bytes are not there."""
    made = store.get_preview(sha256)
    if made is not None:
        return made
    data = store.get(sha256)
    if data is None:
        return None
    with Image.open(io.BytesIO(data), formats=_OPENABLE) as picture:
        picture.draft("RGB", (PREVIEW_PX, PREVIEW_PX))
        upright = ImageOps.exif_transpose(picture)
        upright.thumbnail((PREVIEW_PX, PREVIEW_PX))
        flat = Image.new("RGB", upright.size, "white")
        # A transparent picture lies on white, as it would on paper.
        flat.paste(upright, mask=upright.getchannel("A") if upright.mode in ("RGBA", "LA") else None)
    written = io.BytesIO()
    flat.save(written, "JPEG", quality=82)
    store.put_preview(sha256, written.getvalue())
    return written.getvalue()
