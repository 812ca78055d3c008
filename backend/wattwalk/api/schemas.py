"""The shapes of the API's JSON, apart from the records, whose shapes come from their declarations."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from marshmallow import Schema, ValidationError, fields, validate, validates_schema

from ..database import moment_text
from ..list_file import MOST_BYTES
from ..office.firm_lists import LISTED_KINDS
from ..office.promises import MOST_STAGES
from ..survey.holders import FIRM, ROLES, SURVEY
from ..survey.kinds import kinds_held_by
from ..survey.validation import has_visible
from ..sync.changes import MAX_CHANGES
from ..sync.listing import MAX_LISTED
from ..sync.pull import MAX_LIMIT
from ..sync.schemas import record_schema_class
from .blueprints import ProblemSchema

HIGHEST = 2**63 - 1


class Moment(fields.String):
    """A moment in UTC, written with a Z."""

    def __init__(self, **given: Any) -> None:
        super().__init__(metadata={"format": "date-time"}, **given)

    def _serialize(self, value: Any, attr: str | None, obj: Any, **kwargs: Any) -> str | None:
        return value if value is None else moment_text(value)


class QueryNumber(fields.Integer):
    """A whole number in an address: figures and nothing else."""

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> int:
        if not isinstance(value, str) or not re.fullmatch("[0-9]{1,19}", value):
            raise ValidationError("Expected a whole number in figures.")
        return super()._deserialize(value, attr, data, **kwargs)


def line(most: int, *, least: int = 0, is_name: bool = False, **given: Any) -> fields.String:
    """Return a field for one printable line of text; a name is one that can be seen."""
    checks: list[Callable[[Any], Any]] = [
        validate.Length(min=least, max=most),
        _check_printable,
        *([_check_visible] if is_name else []),
    ]
    return fields.String(validate=checks, **given)


def _check_printable(value: str) -> None:
    if not value.isprintable():
        raise ValidationError("Expected one line of printable text.")


def _check_visible(value: str) -> None:
    if not has_visible(value):
        raise ValidationError("Expected a name that can be read: every character of this one is invisible.")


def check_text(value: str) -> None:
    """Refuse control characters and halves of characters in a text of several lines."""
    if not all(character.isprintable() or character in "\n\r\t" for character in value):
        raise ValidationError("Expected printable text.")


def long_text(most: int, **given: Any) -> fields.String:
    """Return a field for a text of several lines."""
    return fields.String(validate=[validate.Length(max=most), check_text], **given)


class HealthSchema(Schema):
    status = fields.String(required=True)
    version = fields.String(required=True)
    epoch = fields.String(required=True)


class SignInSchema(Schema):
    email = fields.String(required=True, validate=validate.Length(max=254))
    password = fields.String(required=True, validate=validate.Length(max=200))


class UserSchema(Schema):
    name = fields.String(required=True)
    email = fields.String(required=True)
    role = fields.String(required=True, validate=validate.OneOf([*ROLES]))


class FirmNameSchema(Schema):
    name = fields.String(required=True)


class SessionSchema(Schema):
    user = fields.Nested(UserSchema, required=True)
    firm = fields.Nested(FirmNameSchema, required=True)
    epoch = fields.String(required=True)
    session = fields.String(required=True)


class EndSchema(Schema):
    session = fields.String(validate=validate.Regexp(r"[0-9a-f]{16}\Z"))


class EndedSchema(Schema):
    ended = fields.Boolean(required=True)


class StageSchema(Schema):
    """One payment: its share of what the household pays, as decimal text, and when it is due in the firm's words."""

    percent = fields.String(required=True, validate=validate.Regexp(r"^[0-9]{1,3}(\.[0-9]{1,2})?\Z"))
    words = line(120, least=1, is_name=True, required=True)
    is_deposit = fields.Boolean(truthy={True}, falsy={False}, load_default=False)


class FirmSchema(Schema):
    name = line(120, least=1, is_name=True)
    address = long_text(400)
    telephone = line(40)
    email = line(254)
    terms = long_text(20_000)
    prints_checks = fields.Boolean(truthy={True}, falsy={False})
    valid_days = fields.Integer(strict=True, allow_none=True, validate=validate.Range(min=1, max=365))
    lead_weeks = fields.Integer(strict=True, allow_none=True, validate=validate.Range(min=1, max=104))
    stages = fields.List(fields.Nested(StageSchema), validate=validate.Length(max=MOST_STAGES))
    exclusions = long_text(1_000)
    assumptions = long_text(1_000)
    logo = fields.String(
        allow_none=True,
        metadata={"description": "Given: a PNG, JPEG or WebP file in base64. Answered: the logo as a data: address."},
    )


class SettingsQuerySchema(Schema):
    before = line(40, load_default="", metadata={"description": "The `next` of the page before."})
    limit = QueryNumber(load_default=50, validate=validate.Range(min=1, max=200))


class SettingChangeSchema(Schema):
    """One setting of the firm that was changed, in words; `stands` where what it was before holds today."""

    id = fields.String(required=True)
    field = fields.String(required=True)
    label = fields.String(required=True)
    words = fields.String(required=True)
    before = fields.String(required=True)
    user = fields.String(required=True, allow_none=True)
    made_at = Moment(required=True)
    stands = fields.Boolean(required=True)


class SettingsHistorySchema(Schema):
    """What was changed of the firm's settings, newest first; `next` is null at the end."""

    found = fields.Integer(required=True)
    next = fields.String(required=True, allow_none=True)
    changes = fields.List(fields.Nested(SettingChangeSchema), required=True)


class ListedSurveySchema(Schema):
    id = fields.String(required=True)
    revision = fields.Integer(required=True)
    title = fields.String(required=True)
    reference = fields.String(required=True, allow_none=True)
    address = fields.String(required=True, allow_none=True)
    postcode = fields.String(required=True, allow_none=True)
    visit_date = fields.String(required=True, allow_none=True)
    changed_at = Moment(required=True)
    contested = fields.Integer(required=True)
    refused = fields.Integer(required=True)
    photos_missing = fields.Integer(required=True)
    latest_report = fields.Integer(required=True, allow_none=True)


class BookStateSchema(Schema):
    """How far the firm's book has come: a phone that is as far asks nothing more of it."""

    revision = fields.Integer(required=True)
    leant_on = fields.Integer(
        required=True, metadata={"description": "Its last revision that changed something which surveys lean on."}
    )
    contested = fields.Integer(required=True)
    role = fields.String(required=True, validate=validate.OneOf([*ROLES]))


class SurveysSchema(Schema):
    epoch = fields.String(required=True)
    book = fields.Nested(BookStateSchema)
    surveys = fields.List(fields.Nested(ListedSurveySchema), required=True)
    since = fields.Integer()
    cursor = fields.Integer()
    more = fields.Boolean()
    count = fields.Integer()


class ChangeSchema(Schema):
    """One change as a device sends it.

    Only its id must be sound for an answer; whatever is wrong with the rest is answered as a refusal of this change alone.
    """

    id = fields.UUID(required=True)
    kind = fields.Raw(required=True, metadata={"description": "Kind of the record, such as room."})
    record = fields.Raw(required=True, metadata={"description": "Id of the record."})
    field = fields.Raw(required=True, metadata={"description": "Name of the field; `deleted` deletes or brings back."})
    value = fields.Raw(
        allow_none=True, metadata={"description": "A value of the field's declared shape, null to clear it."}
    )
    seen = fields.Raw(metadata={"description": "Revision of this field that the device had seen, 0 for none."})
    epoch = fields.Raw(
        metadata={"description": "The epoch in which that revision was counted, where it is not the present one."}
    )
    replaces = fields.Raw(
        metadata={
            "description": "Ids of changes of this field, sent without an answer, that this one takes the place of."
        }
    )
    resolves = fields.Raw(metadata={"description": "True when a person picked this value among contested ones."})
    made_at = fields.Raw(metadata={"description": "When the device says it was made; a label, never order."})


class PushSchema(Schema):
    device = fields.Raw(required=True, metadata={"type": "string", "minLength": 1, "maxLength": 64})
    app = line(40)
    model = line(
        64,
        load_default=None,
        metadata={
            "description": "Version of the survey model that the app knows. One of an older shape is refused with `app_too_old`; whoever edits by hand may leave it out."
        },
    )
    epoch = line(
        64,
        load_default=None,
        metadata={
            "description": "The epoch that the device knows. A batch of another one is not taken: the answer names the present one and no results."
        },
    )
    changes = fields.Raw(
        required=True,
        metadata={"type": "array", "maxItems": MAX_CHANGES, "items": {"$ref": "#/components/schemas/Change"}},
    )


class ResultSchema(Schema):
    id = fields.String(required=True)
    status = fields.String(required=True, validate=validate.OneOf(["accepted", "refused"]))
    revision = fields.Integer(required=True, allow_none=True)
    contested = fields.Boolean(required=True)
    problem = fields.Nested(ProblemSchema, required=True, allow_none=True)


class PushedSchema(Schema):
    epoch = fields.String(required=True)
    revision = fields.Integer(required=True)
    results = fields.List(fields.Nested(ResultSchema), required=True)


class PullQuerySchema(Schema):
    model = line(
        64,
        load_default=None,
        metadata={
            "description": "Version of the survey model that the changes are read by. Without one, or with one of an older shape, the answer is 409 `app_too_old`."
        },
    )
    since = QueryNumber(load_default=0, validate=validate.Range(min=0, max=HIGHEST))
    limit = QueryNumber(load_default=MAX_LIMIT, validate=validate.Range(min=1, max=MAX_LIMIT))


class SurveyQuerySchema(Schema):
    brief = fields.Boolean(
        load_default=False,
        metadata={"description": "Without title, records and gaps: what who has the survey itself asks for."},
    )


class ListQuerySchema(Schema):
    since = QueryNumber(load_default=None, validate=validate.Range(min=0, max=HIGHEST))
    limit = QueryNumber(load_default=MAX_LISTED, validate=validate.Range(min=1, max=MAX_LISTED))


class LoggedChangeSchema(Schema):
    id = fields.String(required=True)
    kind = fields.String(required=True)
    record = fields.String(required=True)
    field = fields.String(required=True)
    value = fields.Raw(required=True, allow_none=True)
    revision = fields.Integer(required=True, allow_none=True)
    seen = fields.Integer(required=True)
    resolves = fields.Boolean(required=True)
    device = fields.String(required=True)
    user = fields.String(required=True, allow_none=True)
    made_at = fields.String(required=True)
    received_at = Moment(required=True)
    contested = fields.Boolean(required=True)


class PulledSchema(Schema):
    epoch = fields.String(required=True)
    revision = fields.Integer(required=True)
    more = fields.Boolean(required=True)
    changes = fields.List(fields.Nested(LoggedChangeSchema), required=True)


class EditedSchema(Schema):
    field = fields.String(required=True)
    label = fields.String(required=True)
    value = fields.Raw(required=True, allow_none=True)


class ContestedValueSchema(Schema):
    change = fields.String(required=True)
    value = fields.Raw(required=True, allow_none=True)
    user = fields.String(required=True, allow_none=True)
    device = fields.String(required=True)
    made_at = fields.String(required=True)
    revision = fields.Integer(required=True)
    edited = fields.Nested(EditedSchema, required=True, allow_none=True)


class ContestedSchema(Schema):
    kind = fields.String(required=True)
    record = fields.String(required=True)
    field = fields.String(required=True)
    label = fields.String(required=True)
    title = fields.String(required=True)
    values = fields.List(fields.Nested(ContestedValueSchema), required=True)


class RefusedSchema(LoggedChangeSchema):
    problem = fields.Nested(ProblemSchema, required=True)


class PhotoStateSchema(Schema):
    record = fields.String(required=True)
    sha256 = fields.String(required=True)
    arrived = fields.Boolean(required=True)
    lost = fields.Boolean(required=True)


class GapSchema(Schema):
    stage = fields.String(required=True)
    kind = fields.String(required=True)
    record = fields.String(required=True, allow_none=True)
    field = fields.String(required=True, allow_none=True)
    parent = fields.String(required=True, allow_none=True)
    purpose = fields.String(required=True)
    words = fields.String(required=True)
    spoils = fields.String(required=True)
    code = fields.String(required=True)
    side = fields.String(required=True, allow_none=True)


RecordsSchema = Schema.from_dict(
    {kind.name: fields.List(fields.Nested(record_schema_class(kind))) for kind in kinds_held_by(SURVEY)},
    name="RecordsSchema",
)
BookRecordsSchema = Schema.from_dict(
    {kind.name: fields.List(fields.Nested(record_schema_class(kind))) for kind in kinds_held_by(FIRM)},
    name="BookRecordsSchema",
)


class SurveySchema(Schema):
    """A survey as it stands; title, records and gaps are left out of the brief one."""

    id = fields.String(required=True)
    revision = fields.Integer(required=True)
    title = fields.String()
    records = fields.Nested(RecordsSchema)
    contested = fields.List(fields.Nested(ContestedSchema), required=True)
    refused = fields.List(fields.Nested(RefusedSchema), required=True)
    photos = fields.List(fields.Nested(PhotoStateSchema), required=True)
    gaps = fields.List(fields.Nested(GapSchema))


class NarrowPicturesSchema(Schema):
    """The drawings that a phone shows without scrolling sideways."""

    room_losses = fields.String(required=True, allow_none=True)
    flow = fields.String(required=True, allow_none=True)
    compensation = fields.String(required=True, allow_none=True)
    improvements = fields.String(required=True, allow_none=True)
    cost = fields.String(required=True, allow_none=True)
    bases = fields.Dict(keys=fields.String(), values=fields.String(), required=True)
    zones = fields.Dict(keys=fields.String(), values=fields.String(), required=True)
    plans = fields.Dict(keys=fields.String(), values=fields.String(), required=True)


class PicturesSchema(NarrowPicturesSchema):
    circuit = fields.String(required=True, allow_none=True)
    cables = fields.String(required=True, allow_none=True)
    narrow = fields.Nested(NarrowPicturesSchema, required=True)


class AssessedSchema(Schema):
    revision = fields.Integer(required=True)
    book = fields.Integer(
        required=True, metadata={"description": "Revision of the firm's book that changed last what it leans on."}
    )
    assessment = fields.Dict(required=True)
    gaps = fields.List(fields.Nested(GapSchema), required=True)
    suggestions = fields.Dict(required=True)
    ranges = fields.Dict(required=True)
    plans = fields.Dict(required=True)
    pictures = fields.Nested(PicturesSchema, required=True)
    pictures_dark = fields.Nested(PicturesSchema, required=True)


class BookSchema(Schema):
    """The firm's book as it stands, as far as the role of whoever asks may see it."""

    revision = fields.Integer(required=True)
    role = fields.String(required=True, validate=validate.OneOf([*ROLES]))
    records = fields.Nested(BookRecordsSchema, required=True)
    contested = fields.List(fields.Nested(ContestedSchema), required=True)
    refused = fields.List(fields.Nested(RefusedSchema), required=True)
    photos = fields.List(
        fields.Nested(PhotoStateSchema), required=True, metadata={"description": "Always empty: a book has no photos."}
    )


class PulledBookSchema(PulledSchema):
    role = fields.String(required=True, validate=validate.OneOf([*ROLES]))


class FirmListSchema(Schema):
    """A list of the firm's: the text of a CSV, or the bytes of a CSV or XLSX file in base64."""

    kind = fields.String(required=True, validate=validate.OneOf(LISTED_KINDS))
    name = line(120, least=1, required=True)
    text = long_text(500_000)
    file = fields.String(validate=validate.Length(max=MOST_BYTES * 4 // 3 + 4))

    @validates_schema
    def check_one(self, given: dict[str, str], **_kwargs: Any) -> None:
        """Refuse a list that comes twice or not at all."""
        if ("text" in given) == ("file" in given):
            raise ValidationError("Expected the list either as text or as a file.", "text")


class TakenInSchema(Schema):
    added = fields.Integer(required=True)
    changed = fields.Integer(required=True)
    same = fields.Integer(required=True)


class PhotoSchema(Schema):
    sha256 = fields.String(required=True)
    media_type = fields.String(required=True)
    size_bytes = fields.Integer(required=True)
    width_px = fields.Integer(required=True)
    height_px = fields.Integer(required=True)


class OptionsSchema(Schema):
    """The survey as it stands and its options, each with what it comes to (``offers/options.py``)."""

    revision = fields.Integer(required=True)
    options = fields.List(fields.Dict(keys=fields.String()), required=True)


class LineMarginSchema(Schema):
    """What a line costs the firm and what is left over, decimal text in pounds; nothing where its cost is not known."""

    record = fields.String(required=True)
    cost = fields.String(required=True, allow_none=True)
    left = fields.String(required=True, allow_none=True)
    percent = fields.String(required=True, allow_none=True)


class MarginSchema(Schema):
    """What is left over of a price (``office/margin.py``); the office alone is answered."""

    lines = fields.List(fields.Nested(LineMarginSchema), required=True)
    net = fields.String(required=True)
    cost = fields.String(required=True)
    left = fields.String(required=True)
    percent = fields.String(required=True, allow_none=True)
    cost_unknown = fields.Integer(required=True)


class PointSchema(Schema):
    """One point to look at before a version is made: a red one wants a written reason."""

    code = fields.String(required=True)
    record = fields.String(required=True)
    about = fields.String(required=True)
    weight = fields.String(required=True)
    title = fields.String(required=True)
    words = fields.String(required=True)


class PointsSchema(Schema):
    revision = fields.Integer(required=True)
    points = fields.List(fields.Nested(PointSchema), required=True)


class KeptReasonSchema(PointSchema):
    """Why a version was made although this red point stood against it, who wrote it, and when."""

    reason = fields.String(required=True)
    by = fields.String(required=True)
    at = fields.String(required=True)


class ReasonSchema(Schema):
    """A written reason for one red point, which its code, record and ``about`` name."""

    code = line(80, least=1, required=True)
    record = line(140, load_default="")
    about = line(200, load_default="")
    reason = long_text(2000, required=True)


class NewVersionSchema(Schema):
    """What is said with the wish for a version: a reason for each red point."""

    reasons = fields.List(fields.Nested(ReasonSchema), load_default=list, validate=validate.Length(max=500))


class ChangedSchema(Schema):
    """One thing that would be another in the next version, and why."""

    what = fields.String(required=True)
    before = fields.String(required=True)
    now = fields.String(required=True)
    reason = fields.String(required=True)


class ChangesSchema(Schema):
    """What would be another in the next version than in the newest."""

    since = fields.Integer(required=True, allow_none=True)
    changes = fields.List(fields.Nested(ChangedSchema), required=True)


class PaperSchema(Schema):
    """One paper of a version."""

    name = fields.String(required=True)
    label = fields.String(required=True)
    pages = fields.Integer(required=True)
    size_bytes = fields.Integer(required=True)
    state = fields.String(required=True)


class ReportSchema(Schema):
    number = fields.Integer(required=True)
    revision = fields.Integer(required=True)
    made_at = Moment(required=True)
    pages = fields.Integer(required=True)
    size_bytes = fields.Integer(required=True)
    sha256 = fields.String(required=True, allow_none=True)
    app_version = fields.String(required=True, allow_none=True)
    engine_version = fields.String(required=True, allow_none=True)
    paper = fields.String(required=True)
    reasons = fields.List(fields.Nested(KeptReasonSchema), required=True)
    papers = fields.List(fields.Nested(PaperSchema), required=True)


class JobProblemSchema(Schema):
    """Why a job failed: a code, and words for it."""

    code = fields.String(required=True)
    message = fields.String(required=True)


class ReportJobSchema(Schema):
    """A version that was asked for, or a file that is to be made again."""

    id = fields.String(required=True)
    state = fields.String(required=True)
    number = fields.Integer(required=True)
    revision = fields.Integer(required=True)
    again = fields.Boolean(required=True)
    before = fields.Integer(required=True)
    asked_at = Moment(required=True)
    begun_at = Moment(required=True, allow_none=True)
    ended_at = Moment(required=True, allow_none=True)
    problem = fields.Nested(JobProblemSchema, required=True, allow_none=True)


class ReportsSchema(Schema):
    reports = fields.List(fields.Nested(ReportSchema), required=True)
    job = fields.Nested(ReportJobSchema, required=True, allow_none=True)


class NothingSchema(Schema):
    """An empty object: the request says all in its address."""


class NewEmailSchema(Schema):
    to = line(254, least=3, required=True)
    subject = line(200, least=1, required=True)
    message = long_text(20_000, required=True)


class EmailSchema(Schema):
    id = fields.String(required=True)
    report = fields.Integer(required=True)
    to = fields.String(required=True)
    subject = fields.String(required=True)
    message = fields.String(required=True)
    state = fields.String(required=True)
    attempts = fields.Integer(required=True)
    last_error = fields.String(required=True, allow_none=True)
    created_at = Moment(required=True)
    sent_at = Moment(required=True, allow_none=True)
    file_name = fields.String(required=True, allow_none=True)


class EmailsSchema(Schema):
    emails = fields.List(fields.Nested(EmailSchema), required=True)


class LastEmailSchema(Schema):
    state = fields.String(required=True)
    to = fields.String(required=True)
    report = fields.Integer(required=True)
    sent_at = Moment(required=True, allow_none=True)


class SurveyStateSchema(Schema):
    id = fields.String(required=True)
    revision = fields.Integer(required=True)
    gaps = fields.Integer(required=True, allow_none=True)
    email = fields.Nested(LastEmailSchema, required=True, allow_none=True)


class SurveyStatesSchema(Schema):
    surveys = fields.List(fields.Nested(SurveyStateSchema), required=True)
    cursor = fields.Integer()
    more = fields.Boolean()
