"""Every refusal in one shape, whoever raised it: ``code``, ``message``, ``field``, ``record``, and ``problems`` for several."""

from __future__ import annotations

import logging
from collections.abc import Sequence
from typing import Any

from flask import Flask, Response, jsonify, request
from werkzeug.exceptions import HTTPException, MethodNotAllowed

from ..database import BusyError
from ..survey.errors import Problem, SurveyError
from ..sync.errors import NoSuchSurveyError

log = logging.getLogger(__name__)

_WORDS = {
    400: ("not_understood", "The request cannot be read."),
    404: ("not_found", "There is nothing at this address."),
    405: ("wrong_method", "This address does not take that method."),
    413: ("too_large", "What was sent is too large."),
    415: ("wrong_type", "Expected application/json, or a picture where a picture is due."),
}


#: What a phone is told when the office has no time for it just now, and after how many seconds it may ask again.
BUSY = Problem("office_busy", "The office is busy. What is on this phone stays on it and is sent again by itself.")
BUSY_WAIT_S = 5


class Refusal(Exception):
    """An answer other than the one asked for; what the client is told is all in here."""

    def __init__(self, status: int, *problems: Problem, headers: dict[str, str] | None = None) -> None:
        super().__init__(problems[0].message)
        self.status, self.problems, self.headers = status, problems, headers or {}


def refusal_body(problems: Sequence[Problem]) -> dict[str, Any]:
    """Return the JSON of a refusal: the first problem, and all of them when there are several."""
    body: dict[str, Any] = problems[0].as_dict()
    if len(problems) > 1:
        body["problems"] = [problem.as_dict() for problem in problems]
    return body


def _answer(status: int, problems: Sequence[Problem], headers: dict[str, str] | None = None) -> Response:
    response = jsonify(refusal_body(problems))
    response.status_code = status
    response.headers.update(headers or {})
    return response


def answer_http_error(error: HTTPException) -> Response | HTTPException:
    """Answer what the framework refuses: in our shape under ``/api``, as a plain page elsewhere."""
    if not request.path.startswith("/api/"):
        return error
    status = error.code or 500
    code, message = _WORDS.get(status, ("refused", error.description or error.name))
    headers = {}
    if isinstance(error, MethodNotAllowed) and error.valid_methods:
        headers["Allow"] = ", ".join(sorted(error.valid_methods))
    return _answer(status, [Problem(code, message)], headers)


def answer_failure(error: Exception) -> Response:
    """Answer a fault of our own: the log has all of it, the client nothing of it."""
    log.error("%s %s failed", request.method, request.path, exc_info=error)
    words = "Something failed here. What the phone has not seen arrive stays on the phone; try again in a moment."
    return _answer(500, [Problem("our_fault", words)])


def answer_busy(error: BusyError) -> Response:
    """Answer that the office has no time just now: nothing was taken, and nothing is lost."""
    cause = error.__cause__
    log.warning(
        "%s %s waited in vain: %s",
        request.method,
        request.path,
        getattr(cause, "orig", None) or cause or "others were writing all the time",
    )
    return _answer(503, [BUSY], {"Retry-After": str(BUSY_WAIT_S)})


def register_error_handlers(app: Flask) -> None:
    """Give the app one way to refuse."""
    app.register_error_handler(Refusal, lambda error: _answer(error.status, error.problems, error.headers))
    app.register_error_handler(SurveyError, lambda error: _answer(422, error.problems))
    app.register_error_handler(NoSuchSurveyError, lambda error: _answer(404, [Problem("no_such_survey", str(error))]))
    app.register_error_handler(BusyError, answer_busy)
    app.register_error_handler(HTTPException, answer_http_error)
    app.register_error_handler(Exception, answer_failure)
