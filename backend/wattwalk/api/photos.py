"""Photos: bytes under their hash."""

from __future__ import annotations

import io
import logging
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from flask import Response, current_app, request, send_file
from flask.views import MethodView
from werkzeug.wrappers import Response as AnyResponse

from ..database import reading
from ..models import StoredPhoto
from ..photo_store import PhotoStore
from ..survey.errors import Problem
from ..sync import photos as kept
from ..sync.surveys import find_survey
from .access import current_firm
from .blueprints import ApiBlueprint
from .errors import Refusal
from .schemas import PhotoSchema

log = logging.getLogger(__name__)

photos = ApiBlueprint(
    "photos", __name__, url_prefix="/api/surveys/<id:survey_id>/photos", description="Photos by their hash."
)

_PICTURE = {"schema": {"type": "string", "format": "binary"}}
_PICTURES = {"content": dict.fromkeys(("image/jpeg", "image/png", "image/webp"), _PICTURE)}


#: The photo had come, and what lies here now is not it: told from one that never came, since somebody may still have it.
_LOST = Problem(
    "photo_lost",
    "The photo had come here, and its bytes are missing or spoilt now. Any phone that still has it sends it again by itself.",
    "sha256",
)


def _store() -> PhotoStore:
    return current_app.config["SETTINGS"].photos


def _find_photo(survey_id: str, sha256: str) -> StoredPhoto:
    with reading() as session:
        find_survey(session, current_firm().id, survey_id)
        found = session.get(StoredPhoto, (survey_id, sha256))
    if found is None:
        raise Refusal(404, Problem("not_arrived", "The photo has not arrived here.", "sha256"))
    if not kept.still_there(_store(), [(sha256, found.size_bytes)]):
        raise Refusal(404, _LOST)
    return found


@contextmanager
def _while_the_store_answers() -> Iterator[None]:
    """Tell a store that cannot be used for now (full, out of reach) from a photo that is not there: it may be asked again."""
    try:
        yield
    except OSError as error:
        log.error("The photo store failed: %s", error)
        words = f"The office's store of photos does not answer for now ({error.strerror or error}). The photo stays on the phone; it is tried again."
        raise Refusal(503, Problem("store_unavailable", words, "sha256"), headers={"Retry-After": "30"}) from error


def _or_lost(data: bytes | None) -> bytes:
    """Return bytes that were read; when reading found them missing or spoilt, refuse: the next look at the survey says so too."""
    if data is None:
        raise Refusal(404, _LOST)
    return data


@photos.route("/<sha256:sha256>")
class PhotoView(MethodView):
    """One photo of a survey."""

    @photos.doc(requestBody={"required": True, **_PICTURES})
    @photos.response(200, PhotoSchema)
    @photos.alt_response(201, schema=PhotoSchema)
    def put(self, survey_id: str, sha256: str) -> tuple[Any, int]:
        """Keep a photo; 201 when it is new to the survey, 200 when it had come before, whether or not it had been lost here since."""
        if not request.mimetype.startswith("image/"):
            raise Refusal(
                415,
                Problem(
                    "wrong_type",
                    f"Found {request.mimetype or 'no content type'}, expected a picture such as image/jpeg.",
                ),
            )
        with reading() as session:
            find_survey(session, current_firm().id, survey_id)
        data = request.get_data(cache=False)
        with _while_the_store_answers():
            stored, is_new = kept.store_photo(
                _store(), firm_id=current_firm().id, survey_id=survey_id, sha256=sha256, data=data
            )
        return stored, 201 if is_new else 200

    @photos.doc(responses={"200": _PICTURES})
    @photos.response(200, content_type="image/jpeg")
    def get(self, survey_id: str, sha256: str) -> Response:
        """Return a photo's bytes as they came."""
        found = _find_photo(survey_id, sha256)
        with _while_the_store_answers():
            data = _or_lost(_store().get(sha256))
        return send_file(io.BytesIO(data), mimetype=found.media_type, etag=sha256, conditional=True)


@photos.route("/<sha256:sha256>/preview")
@photos.response(200, {"type": "string", "format": "binary"}, content_type="image/jpeg")
def preview(survey_id: str, sha256: str) -> AnyResponse:
    """Return a photo small, upright, and without what the camera noted."""
    _find_photo(survey_id, sha256)
    with _while_the_store_answers():
        small = _or_lost(kept.preview(_store(), sha256))
    response = Response(small, mimetype="image/jpeg")
    response.set_etag(f"{sha256}-{kept.PREVIEW_PX}")
    return response.make_conditional(request)
