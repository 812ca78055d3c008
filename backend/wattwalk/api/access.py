"""Who may come in: writes from our own pages only, everything behind a sign-in but for a few addresses."""

from __future__ import annotations

from urllib.parse import urlsplit

from flask import Flask, Response, current_app, g, request

from .. import accounts, guessing
from ..models import Firm, User
from ..survey.errors import Problem
from ..survey.holders import OFFICE
from .errors import Refusal

#: Addresses that answer without a sign-in.
PUBLIC = frozenset({"office.health", "office.model", "session.create", "session.empty_cache", "api-docs.openapi_json"})
_SAFE = frozenset({"GET", "HEAD", "OPTIONS"})
SECURE_COOKIE = "__Host-wattwalk"
PLAIN_COOKIE = "wattwalk"


def cookie_name() -> str:
    """Return the name of the cookie: browsers guard the first one and take it over HTTPS only."""
    return SECURE_COOKIE if request.is_secure else PLAIN_COOKIE


def mark_name() -> str:
    """Return the name of the cookie by which a device is known again at its next sign-in; it opens nothing, and stays when one signs out."""
    return f"{cookie_name()}-device"


def current_user() -> User:
    """Return the person who is signed in on this request."""
    return g.user


def current_firm() -> Firm:
    """Return the firm of the person who is signed in on this request."""
    return g.firm


def refuse_but_office(words: str) -> None:
    """Refuse a request of anybody who is not of the firm's office, with these words."""
    if current_user().role != OFFICE:
        raise Refusal(403, Problem("not_allowed", words))


def register_access(app: Flask) -> None:
    """Check every request under ``/api`` before its view is called."""
    app.before_request(_check_request)
    app.after_request(_prolong_cookie)
    app.after_request(_shut_the_door)


def _check_request() -> None:
    if not request.path.startswith("/api/"):
        return
    if request.method not in _SAFE:
        _check_origin()
        _check_body_type()
    if request.endpoint is None or request.endpoint in PUBLIC:
        return
    token = request.cookies.get(cookie_name())
    found = accounts.find_signed_in(token) if token else None
    if found is None:
        raise Refusal(401, Problem("sign_in_needed", "Please sign in. What is on this phone stays on it."))
    g.user, g.firm = found
    g.token = token


def _check_origin() -> None:
    """Refuse writes that another site's page makes a browser send."""
    site = request.headers.get("Sec-Fetch-Site")
    if site is not None and site not in {"same-origin", "none"}:
        raise Refusal(403, Problem("wrong_origin", "Changes are taken from Wattwalk's own pages only."))
    origin = request.headers.get("Origin")
    if origin is not None:
        parts = urlsplit(origin)
        if (parts.scheme, parts.netloc) != (request.scheme, request.host):
            words = "Changes are taken from Wattwalk's own pages only. Behind a proxy, set WATTWALK_TRUST_PROXY=1."
            raise Refusal(403, Problem("wrong_origin", words))


def _check_body_type() -> None:
    """Refuse bodies that a foreign form could send."""
    has_body = bool(request.content_length) or request.headers.get("Transfer-Encoding") is not None
    if has_body and request.mimetype != "application/json" and not request.mimetype.startswith("image/"):
        raise Refusal(
            415,
            Problem(
                "wrong_type", f"Found {request.mimetype or 'no content type'}, expected application/json or a picture."
            ),
        )


def check_secure_enough() -> None:
    """Refuse to take a password over a line that others can read.

    Raises
    ------
    Refusal
        403 ``not_secure`` over plain HTTP from another machine, unless the settings allow it.
    """
    host = urlsplit(f"//{request.host}").hostname or ""
    if request.is_secure or host in {"localhost", "127.0.0.1", "::1"} or current_app.config["ALLOW_HTTP"]:
        return
    words = (
        "Signing in needs https, except on this machine itself. Put a proxy with a certificate before Wattwalk "
        "(and set WATTWALK_TRUST_PROXY=1), or set WATTWALK_ALLOW_HTTP=1 on a network you trust."
    )
    raise Refusal(403, Problem("not_secure", words))


def set_cookie(response: Response, token: str) -> None:
    """Give the device its token for as long as a session lives."""
    response.set_cookie(
        cookie_name(),
        token,
        max_age=int(accounts.SESSION_LIFE.total_seconds()),
        secure=request.is_secure,
        httponly=True,
        samesite="Lax",
        path="/",
    )


def _shut_the_door(response: Response) -> Response:
    """Take the cookie from a device whose session has ended, now or before."""
    if request.endpoint == "session.end" and "token" not in g and response.status_code in {200, 401}:
        response.delete_cookie(cookie_name(), secure=request.is_secure, httponly=True, samesite="Lax", path="/")
    return response


def set_mark(response: Response, mark: str) -> None:
    """Let the device be known again."""
    response.set_cookie(
        mark_name(),
        mark,
        max_age=int(guessing.MARK_LIFE.total_seconds()),
        secure=request.is_secure,
        httponly=True,
        samesite="Strict",
        path="/",
    )


def _prolong_cookie(response: Response) -> Response:
    # The session slides on the server, so the cookie must not end before it.
    if "token" in g and request.endpoint == "session.show":
        set_cookie(response, g.token)
    return response
