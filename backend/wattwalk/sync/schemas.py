"""Marshmallow schemas of the record kinds, made from the declarations: nothing is declared twice."""

from __future__ import annotations

from typing import Any

from marshmallow import Schema, ValidationError, fields

from ..survey.errors import Problem
from ..survey.fields import FieldSpec
from ..survey.kinds import RecordKind
from ..survey.validation import ID_PATTERN, check_value, is_id


class Refused(ValidationError):
    """A value that may not stand in its field; carries the problem in the shape every refusal has."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        super().__init__(problem.message, field_name=problem.field or "")


class DeclaredField(fields.Raw):
    """A field of a record, checked by its declaration.

    Parameters
    ----------
    spec : FieldSpec
        The declaration.
    """

    def __init__(self, spec: FieldSpec) -> None:
        super().__init__(allow_none=True)
        self.spec = spec

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> Any:
        problem = check_value(self.spec, value)
        if problem is not None:
            raise Refused(problem)
        return value


class RecordIdField(fields.String):
    """The id of a record, in the one form that ids have."""

    def __init__(self) -> None:
        super().__init__(required=True, metadata={"pattern": f"^{ID_PATTERN}$"})

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> str:
        if not is_id(value):
            raise Refused(Problem("not_an_id", "The record needs an id of small letters, figures and hyphens.", "id"))
        return value


#: By the identity of the declaration, which is kept alive here: hashing a whole declaration for each value costs more than checking it.
_KNOWN: dict[int, tuple[RecordKind, type[Schema], dict[str, DeclaredField]]] = {}


def _known(kind: RecordKind) -> tuple[RecordKind, type[Schema], dict[str, DeclaredField]]:
    known = _KNOWN.get(id(kind))
    if known is None:
        declared = {spec.name: DeclaredField(spec) for spec in kind.fields}
        made = Schema.from_dict({"id": RecordIdField(), **declared}, name=schema_name(kind))
        known = _KNOWN[id(kind)] = (kind, made, declared)
    return known


def record_schema_class(kind: RecordKind) -> type[Schema]:
    """Return the schema class of one kind of record: its id and every declared field, nothing else.

    One declaration makes one class, so the API's description knows each kind by one name.
    """
    return _known(kind)[1]


def schema_name(kind: RecordKind) -> str:
    """Return the name a kind's schema has in the API's description, such as ``OutdoorPositionRecord``."""
    return "".join(part.capitalize() for part in kind.name.split("_")) + "Record"


def check_by_schema(kind: RecordKind, name: str, value: Any) -> Problem | None:
    """Return what is wrong with a value for a declared field, or None: what its field of the schema raises, without the way there."""
    return check_value(_known(kind)[2][name].spec, value)
