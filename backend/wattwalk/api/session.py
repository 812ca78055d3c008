"""Signing in and out, and the firm one is signed in to."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from flask import Response, g, jsonify, request
from flask.views import MethodView
from sqlalchemy import select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from .. import accounts, guessing
from ..database import reading, writing
from ..models import Firm, User
from ..office.firm_settings import change_settings, settings_history, what_it_was
from ..office.logo import as_logo
from ..office.promises import stages_problem
from ..survey.errors import Problem
from . import access
from .blueprints import ApiBlueprint
from .errors import Refusal
from .schemas import (
    EndedSchema,
    EndSchema,
    FirmSchema,
    SessionSchema,
    SettingsHistorySchema,
    SettingsQuerySchema,
    SignInSchema,
)
from .uploads import file_bytes

session = ApiBlueprint("session", __name__, url_prefix="/api", description="Signing in, and the firm.")


def _describe(user: User, firm: Firm, token: str) -> dict[str, Any]:
    return {
        "user": {"name": user.name, "email": user.email, "role": user.role},
        "firm": {"name": firm.name},
        "epoch": accounts.epoch(),
        "session": accounts.session_name(token),
    }


@session.route("/session", methods=["POST"])
@session.arguments(SignInSchema)
@session.response(200, SessionSchema)
def create(given: dict[str, str]) -> Response:
    """Sign this device in."""
    access.check_secure_enough()
    mark = request.cookies.get(access.mark_name())
    try:
        user, token = accounts.sign_in(given["email"], given["password"], request.remote_addr or "", mark)
    except accounts.WrongSignInError as error:
        raise Refusal(401, Problem("wrong_sign_in", str(error), "password")) from error
    except guessing.TooManyTriesError as error:
        raise Refusal(429, Problem("too_many_tries", str(error)), headers={"Retry-After": str(error.wait_s)}) from error
    signed_in = accounts.find_signed_in(token)
    if signed_in is None:
        raise RuntimeError("A session that was just made is gone.")
    # Whoever was signed in on this device before is not any more: nobody would hold that cookie to end it with.
    if before := request.cookies.get(access.cookie_name()):
        accounts.sign_out(before)
    response = jsonify(_describe(user, signed_in[1], token))
    access.set_cookie(response, token)
    access.set_mark(response, guessing.know_device(user.id, mark))
    return response


@session.route("/session", methods=["GET"])
@session.response(200, SessionSchema)
def show() -> dict[str, Any]:
    """Say who is signed in on this device."""
    return _describe(access.current_user(), access.current_firm(), g.token)


@session.route("/session", methods=["DELETE"])
@session.arguments(EndSchema, location="query")
@session.response(200, EndedSchema)
def end(given: dict[str, str]) -> dict[str, Any]:
    """Sign this device out.

    A phone that had no signal says late that somebody has left, and names the session: the one of whoever has signed in there since goes on.
    """
    if given.get("session", accounts.session_name(g.token)) != accounts.session_name(g.token):
        return {"ended": False}
    accounts.sign_out(g.token)
    del g.token
    return {"ended": True}


@session.route("/cache", methods=["DELETE"])
@session.response(204)
def empty_cache() -> Response:
    """Have the browser that asks empty its cache of everything that came from here.

    Apart from the sign-out, which would be long in coming: a browser holds such an answer back until the cache is empty, and that can take it half a minute.
    """
    # Never "storage": work that has not been sent is in there.
    return Response(status=204, headers={"Clear-Site-Data": '"cache"'})


@session.route("/firm")
class FirmView(MethodView):
    """The firm, as its reports name it."""

    @session.response(200, FirmSchema)
    def get(self) -> Firm:
        """Return the firm's particulars."""
        with reading() as database:
            return _whole(database)

    @session.arguments(FirmSchema)
    @session.response(200, FirmSchema)
    def patch(self, given: dict[str, Any]) -> Firm:
        """Change the particulars that are given; they stand on every household's paper, so that only the office does."""
        access.refuse_but_office("Only the office changes the firm's name, terms and reports.")
        if given.get("email") and not accounts.is_email(given["email"]):
            raise Refusal(422, Problem("not_an_email", "Expected an email address, or nothing.", "email"))
        words = stages_problem(given.get("stages", []))
        if words is not None:
            raise Refusal(422, Problem("stages_not_whole", words, "stages"))
        if given.get("logo") is not None:
            given = {**given, "logo": as_logo(file_bytes(given["logo"], "logo"))}
        return _keep(given)


def _whole(database: Session) -> Firm:
    """Return the firm of whoever asks with all that belongs to it: a request begins without its picture."""
    return database.get_one(Firm, access.current_firm().id, populate_existing=True)


def _keep(given: Mapping[str, Any]) -> Firm:
    try:
        with writing() as database:
            firm = database.scalars(
                select(Firm)
                .where(Firm.id == access.current_firm().id)
                .with_for_update()
                .execution_options(populate_existing=True)
            ).one()
            change_settings(database, firm, given, access.current_user().id)
    except IntegrityError as error:
        raise Refusal(422, Problem("name_taken", "Another firm has this name here.", "name")) from error
    return firm


@session.route("/firm/history")
@session.arguments(SettingsQuerySchema, location="query")
@session.response(200, SettingsHistorySchema)
def firm_history(asked: dict[str, Any]) -> dict[str, Any]:
    """Return what was changed of the firm's settings, newest first, page by page."""
    with reading() as database:
        return settings_history(database, _whole(database), asked["before"], asked["limit"])


@session.route("/firm/history/<uuid:change_id>/back", methods=["POST"])
@session.response(200, FirmSchema)
def put_back(change_id: UUID) -> Firm:
    """Give a setting the value again that it had before a change; that is a change like any other."""
    access.refuse_but_office("Only the office changes the firm's name, terms and reports.")
    with reading() as database:
        given = what_it_was(database, access.current_firm().id, str(change_id))
    if given is None:
        raise Refusal(404, Problem("not_found", "The firm has no such change."))
    return _keep(given)
