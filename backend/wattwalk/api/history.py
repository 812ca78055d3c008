"""A survey's history: who changed what, when and from what, searched and paged."""

from __future__ import annotations

from typing import Any

from marshmallow import Schema, ValidationError, fields, validate, validates_schema

from ..database import reading
from ..survey.fields import FieldSpec, FieldType
from ..survey.validation import check_value
from ..sync.history import MAX_PAGE, Asked, find_history
from .access import current_firm
from .blueprints import ApiBlueprint
from .schemas import HIGHEST, Moment, QueryNumber, line

history = ApiBlueprint(
    "history", __name__, url_prefix="/api/surveys/<id:survey_id>", description="What was changed of a survey."
)

_MOMENT = FieldSpec(name="moment", label="Moment", type=FieldType.MOMENT)


def _check_moment(value: str) -> None:
    if value and check_value(_MOMENT, value) is not None:
        raise ValidationError("Expected a moment such as 2026-03-31T14:05:00Z.")


class HistoryQuerySchema(Schema):
    before = QueryNumber(load_default=0, validate=validate.Range(min=0, max=HIGHEST))
    limit = QueryNumber(load_default=50, validate=validate.Range(min=1, max=MAX_PAGE))
    record = line(200, load_default="", metadata={"description": "A record's id: it and all that belongs to it."})
    field = line(200, load_default="", metadata={"description": "Of that record this answer alone."})
    person = line(200, load_default="", metadata={"description": "The id of one of `people`."})
    since = fields.String(load_default="", validate=_check_moment, metadata={"description": "Made then or later."})
    until = fields.String(load_default="", validate=_check_moment, metadata={"description": "Made before then."})
    words = line(200, load_default="", metadata={"description": "Each of these words stands in the line."})

    @validates_schema
    def check_field(self, given: dict[str, Any], **_more: Any) -> None:
        """Refuse an answer without the record that it is one of."""
        if given["field"] and not given["record"]:
            raise ValidationError("Expected the record as well: an answer is one of a record.", "record")


class SaidSchema(Schema):
    """A value with who gave it, when and on which device."""

    value = fields.Raw(required=True, allow_none=True)
    words = fields.String(required=True)
    revision = fields.Integer(required=True)
    user = fields.String(required=True, allow_none=True)
    device = fields.String(required=True)
    made_at = fields.String(required=True)


class HistoryLineSchema(SaidSchema):
    """One accepted change; `before` is the last one before it of the same answer, null for the first."""

    id = fields.String(required=True)
    kind = fields.String(required=True)
    record = fields.String(required=True)
    field = fields.String(required=True)
    title = fields.String(required=True)
    label = fields.String(required=True)
    received_at = Moment(required=True)
    contested = fields.Boolean(required=True)
    before = fields.Nested(SaidSchema, required=True, allow_none=True)


class PersonSchema(Schema):
    id = fields.String(required=True)
    name = fields.String(required=True)
    changes = fields.Integer(required=True)


class PlaceSchema(Schema):
    """A record that belongs to no other one; `changes` counts those of all that belongs to it."""

    kind = fields.String(required=True)
    record = fields.String(required=True)
    title = fields.String(required=True)
    gone = fields.Boolean(required=True)
    changes = fields.Integer(required=True)


class HistorySchema(Schema):
    revision = fields.Integer(required=True)
    found = fields.Integer(required=True)
    next = fields.Integer(required=True, allow_none=True)
    changes = fields.List(fields.Nested(HistoryLineSchema), required=True)
    people = fields.List(fields.Nested(PersonSchema), required=True)
    places = fields.List(fields.Nested(PlaceSchema), required=True)


@history.route("/history")
@history.arguments(HistoryQuerySchema, location="query")
@history.response(200, HistorySchema)
def show(asked: dict[str, Any], survey_id: str) -> dict[str, Any]:
    """Return a page of the accepted changes that are asked for, newest first, each with what it followed."""
    with reading() as session:
        return find_history(session, current_firm().id, survey_id, Asked(**asked))
