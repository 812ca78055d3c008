"""The JSON Schema of a survey document, derived from the declarations."""

from __future__ import annotations

from typing import Any

from .document import DOCUMENT_FORMAT, READ_VERSIONS
from .fields import FieldSpec, FieldType
from .holders import SURVEY
from .kinds import RecordKind, kinds_held_by
from .validation import ID_PATTERN

_WHOLE_ID = f"^{ID_PATTERN}$"
_WORDS: dict[FieldType, dict[str, Any]] = {
    FieldType.TEXT: {"type": "string"},
    FieldType.LONG_TEXT: {"type": "string"},
    FieldType.NUMBER: {"type": "number"},
    FieldType.INTEGER: {"type": "integer"},
    FieldType.CHOICE: {"type": "string"},
    FieldType.YES_NO: {"type": "boolean"},
    FieldType.DATE: {"type": "string", "format": "date"},
    FieldType.MOMENT: {"type": "string", "format": "date-time"},
    FieldType.MONEY: {"type": "string", "pattern": r"^-?[0-9]{1,9}(\.[0-9]{1,2})?$"},
    FieldType.REFERENCE: {"type": "string", "pattern": _WHOLE_ID},
    FieldType.ROWS: {"type": "array"},
}


def field_schema(spec: FieldSpec) -> dict[str, Any]:
    """Return the JSON Schema (2020-12) of one field's value; ``null`` clears a field."""
    schema = dict(_WORDS[spec.type])
    schema["title"] = f"{spec.label} ({spec.unit})" if spec.unit else spec.label
    if spec.help:
        schema["description"] = spec.help
    if spec.type in (FieldType.NUMBER, FieldType.INTEGER):
        schema["minimum"], schema["maximum"] = spec.low, spec.high
    if spec.type in (FieldType.TEXT, FieldType.LONG_TEXT):
        schema["maxLength"] = spec.max_length
    if spec.choices:
        schema["enum"] = [*(item.value for item in spec.choices), *(before for before, _now in spec.renamed), None]
    if spec.type is FieldType.ROWS:
        schema["maxItems"] = spec.max_rows
        schema["items"] = {
            "type": "object",
            "properties": {row.name: field_schema(row) for row in spec.rows},
            "additionalProperties": False,
        }
    schema["type"] = [schema["type"], "null"]
    return schema


def record_schema(kind: RecordKind) -> dict[str, Any]:
    """Return the JSON Schema of one record of ``kind``."""
    return {
        "type": "object",
        "title": kind.label,
        "properties": {
            "id": {"type": "string", "pattern": _WHOLE_ID},
            **{spec.name: field_schema(spec) for spec in kind.fields},
        },
        "required": ["id"],
        "additionalProperties": False,
    }


def document_schema() -> dict[str, Any]:
    """Return the JSON Schema of a whole survey document."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Wattwalk survey document",
        "type": "object",
        "properties": {
            "format": {"const": DOCUMENT_FORMAT},
            "version": {"enum": list(READ_VERSIONS)},
            "id": {"type": "string", "pattern": _WHOLE_ID},
            "records": {
                "type": "object",
                "properties": {
                    kind.name: {
                        "type": "array",
                        "items": {"$ref": f"#/$defs/{kind.name}"},
                        **({"maxItems": 1} if kind.single else {}),
                    }
                    for kind in kinds_held_by(SURVEY)
                },
                "additionalProperties": False,
            },
            "photos": {
                "type": "object",
                "propertyNames": {"pattern": "^[0-9a-f]{64}$"},
                "additionalProperties": {
                    "type": "object",
                    "properties": {"media_type": {"type": "string"}, "base64": {"type": "string"}},
                    "required": ["base64"],
                },
            },
        },
        "required": ["format", "version", "id", "records"],
        "additionalProperties": False,
        "$defs": {kind.name: record_schema(kind) for kind in kinds_held_by(SURVEY)},
    }
