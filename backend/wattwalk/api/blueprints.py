"""Our kind of blueprint and of API: strict about bodies, honest in its description."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NoReturn

import marshmallow
from flask import Request, current_app
from flask_smorest import Api, Blueprint
from webargs.flaskparser import FlaskParser
from werkzeug.exceptions import HTTPException
from werkzeug.routing import BaseConverter

from ..survey.document import parse_json
from ..survey.errors import Problem, SurveyError
from ..survey.json_schema import field_schema
from ..survey.kinds import KINDS
from ..survey.validation import ID_PATTERN
from ..sync.schemas import DeclaredField, record_schema_class, schema_name
from .errors import Refusal, answer_http_error


def read_json(request: Request) -> Any:
    """Return the JSON that a request carries.

    Raises
    ------
    Refusal
        415 when the body is of another type, 400 when there is none or it is not JSON.
    """
    if request.mimetype != "application/json":
        raise Refusal(
            415, Problem("wrong_type", f"Found {request.mimetype or 'no content type'}, expected application/json.")
        )
    data = request.get_data()
    if not data:
        raise Refusal(400, Problem("body_missing", "Expected a JSON body, found none."))
    try:
        return parse_json(data)
    except SurveyError as error:
        problem = error.problems[0]
        raise Refusal(400, Problem(problem.code, problem.message.replace("The file", "The body"))) from error


class StrictParser(FlaskParser):
    """The library's parser takes a missing body and any content type for an empty object; ours does not."""

    def load_json(self, req: Request, schema: marshmallow.Schema) -> Any:
        """Return the request's JSON, or refuse it."""
        return read_json(req)

    def handle_error(
        self, error: marshmallow.ValidationError, req: Request, schema: marshmallow.Schema, **_: Any
    ) -> NoReturn:
        """Refuse what the schema refuses, each field by its name."""
        messages = error.normalized_messages()  # type: ignore[no-untyped-call]  # marshmallow leaves it without types
        problems = [problem for part in messages.values() for problem in _problems(part)]
        raise Refusal(422, *problems)


def _problems(messages: Any, path: str = "") -> list[Problem]:
    if isinstance(messages, Mapping):
        return [
            problem
            for name, inner in messages.items()
            for problem in _problems(inner, path if name == "_schema" else f"{path}.{name}".strip("."))
        ]
    if isinstance(messages, list):
        return [Problem("not_valid", str(message), path or None) for message in messages]
    return [Problem("not_valid", str(messages), path or None)]


class ApiBlueprint(Blueprint):
    """A blueprint with the strict parser."""

    ARGUMENTS_PARSER = StrictParser()


class IdConverter(BaseConverter):
    """An id in an address; anything else is not found, and never reaches the database."""

    regex = ID_PATTERN


class HashConverter(BaseConverter):
    """A SHA-256 in an address."""

    regex = "[0-9a-f]{64}"


class ProblemSchema(marshmallow.Schema):
    """One thing that is wrong."""

    code = marshmallow.fields.String(required=True)
    message = marshmallow.fields.String(required=True)
    field = marshmallow.fields.String(required=True, allow_none=True)
    record = marshmallow.fields.String(required=True, allow_none=True)


class RefusalSchema(ProblemSchema):
    """The one shape of every refusal: the first problem, and all of them when there are several."""

    problems = marshmallow.fields.List(marshmallow.fields.Nested(ProblemSchema))


class WattwalkApi(Api):
    """The API whose description holds every kind of record, and whose refusals have one shape."""

    ERROR_SCHEMA = RefusalSchema

    def handle_http_exception(self, error: HTTPException) -> Any:
        """Hand over to our own way of refusing; the library's drops headers and answers pages with JSON."""
        return answer_http_error(error)

    def describe(self) -> None:
        """Add what cannot be seen from the views: converters, declared fields, the kinds of record, the sign-in."""
        self.register_converter(IdConverter, lambda _: {"type": "string", "pattern": f"^{ID_PATTERN}$"})
        self.register_converter(HashConverter, lambda _: {"type": "string", "pattern": "^[0-9a-f]{64}$"})
        converter = self.ma_plugin.converter
        converter.add_attribute_function(
            lambda _self, field, **_: field_schema(field.spec) if isinstance(field, DeclaredField) else {}
        )
        for kind in KINDS.values():
            self.spec.components.schema(schema_name(kind), schema=record_schema_class(kind))
        self.spec.components.security_scheme(
            "device", {"type": "apiKey", "in": "cookie", "name": current_app.config["COOKIE_IN_DESCRIPTION"]}
        )
