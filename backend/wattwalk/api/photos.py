"""Photos: bytes under their hash."""

from __future__ import annotations

from typing import Any

from flask import Response, current_app, request, send_file
from flask.views import MethodView

from ..database import reading
from ..models import StoredPhoto
from ..survey.errors import Problem
from ..sync import photos as kept
from ..sync.surveys import find_survey
from .access import current_firm
from .blueprints import ApiBlueprint
from .errors import Refusal
from .schemas import PhotoSchema

photos = ApiBlueprint("photos", __name__, url_prefix="/api/surveys/<id:survey_id>/photos", description="Photos by their hash.")

_PICTURE = {"schema": {"type": "string", "format": "binary"}}
_PICTURES = {"content": dict.fromkeys(("image/jpeg", "image/png", "image/webp"), _PICTURE)}


def _find_photo(survey_id: str, sha256: str) -> StoredPhoto:
    with reading() as session:
        find_survey(session, current_firm().id, survey_id)
        found = session.get(StoredPhoto, (survey_id, sha256))
    if found is None:
        raise Refusal(404, Problem("not_arrived", "The photo has not arrived here.", "sha256"))
    return found


@photos.route("/<sha256:sha256>")
class PhotoView(MethodView):
    """One photo of a survey."""

    @photos.doc(requestBody={"required": True, **_PICTURES})
    @photos.response(200, PhotoSchema)
    @photos.alt_response(201, schema=PhotoSchema)
    def put(self, survey_id: str, sha256: str) -> tuple[Any, int]:
        """Keep a photo; 201 when it is new to the survey, 200 when it was here already."""
        if not request.mimetype.startswith("image/"):
            raise Refusal(415, Problem("wrong_type", f"Found {request.mimetype or 'no content type'}, expected a picture such as image/jpeg."))
        with reading() as session:
            find_survey(session, current_firm().id, survey_id)
        stored, is_new = kept.store_photo(
            current_app.config["SETTINGS"].photos, firm_id=current_firm().id, survey_id=survey_id, sha256=sha256, data=request.get_data(cache=False)
        )
        return stored, 201 if is_new else 200

    @photos.doc(responses={"200": _PICTURES})
    @photos.response(200, content_type="image/jpeg")
    def get(self, survey_id: str, sha256: str) -> Response:
        """Return a photo's bytes as they came."""
        found = _find_photo(survey_id, sha256)
        path = kept.photo_path(current_app.config["SETTINGS"].photos, sha256)
        return send_file(path, mimetype=found.media_type, etag=sha256, conditional=True)


@photos.route("/<sha256:sha256>/preview")
@photos.response(200, {"type": "string", "format": "binary"}, content_type="image/jpeg")
def preview(survey_id: str, sha256: str) -> Response:
    """Return a photo small, upright, and without what the camera noted."""
    _find_photo(survey_id, sha256)
    response = Response(kept.preview(current_app.config["SETTINGS"].photos, sha256), mimetype="image/jpeg")
    response.set_etag(f"{sha256}-{kept.PREVIEW_PX}")
    return response.make_conditional(request)
