"""The firm's book: what belongs to the firm and to no house, by the rules of a survey's log and by the role of whoever asks."""

from __future__ import annotations

import io
from typing import Any

from flask import Response, send_file

from .. import accounts
from ..database import reading
from ..list_file import CSV, MEDIA_TYPES, XLSX, ListError, Rows, read_list, read_text_list
from ..office.firm_lists import WRITTEN_KINDS, TakenIn, take_in, write_book
from ..survey.errors import Problem
from ..survey.holders import FIRM
from ..sync import pull as log
from ..sync.book import book_revision, list_book
from ..sync.history import Asked, find_book_history
from ..sync.logs import book_of
from ..sync.sight import Sight
from .access import current_firm, current_user, refuse_but_office
from .blueprints import ApiBlueprint
from .errors import Refusal
from .history import HistoryQuerySchema, HistorySchema
from .schemas import (
    BookSchema,
    FirmListSchema,
    PulledBookSchema,
    PullQuerySchema,
    PushedSchema,
    PushSchema,
    TakenInSchema,
)
from .surveys import answer_pull, answer_push, refuse_too_old
from .uploads import file_bytes

book = ApiBlueprint("book", __name__, url_prefix="/api/book", description="What belongs to the firm: units, articles.")

#: Problems of one list that are told at once.
_MOST_TOLD = 20


def _sight() -> Sight:
    return Sight(FIRM, current_user().role)


@book.route("")
@book.response(200, BookSchema)
def show() -> dict[str, Any]:
    """Return the book as it stands, as far as this person may see it."""
    firm_id, sight = current_firm().id, _sight()
    with reading() as session:
        return {
            "revision": book_revision(session, firm_id),
            "role": sight.role,
            "records": list_book(session, firm_id, sight.role),
            "contested": log.find_contested(session, book_of(firm_id), sight),
            "refused": log.find_refused(session, book_of(firm_id), sight),
            "photos": [],
        }


@book.route("/changes", methods=["POST"])
@book.arguments(PushSchema)
@book.response(200, PushedSchema)
def push(given: dict[str, Any]) -> Response:
    """Take changes into the book, as into a survey's log; what this person's role may not write is refused with `not_allowed` and kept."""
    return answer_push(book_of(current_firm().id), given, _sight())


@book.route("/changes", methods=["GET"])
@book.arguments(PullQuerySchema, location="query")
@book.response(200, PulledBookSchema)
def pull(asked: dict[str, Any]) -> Response:
    """Return the accepted changes after a revision, in order, without those that this person's role may not see."""
    firm_id, sight = current_firm().id, _sight()
    with reading() as session:
        epoch = accounts.epoch()
        pulled = log.pull(session, firm_id, book_of(firm_id), asked["since"], asked["limit"], sight)
    refuse_too_old(asked["model"])
    return answer_pull(pulled, epoch=epoch, role=sight.role)


@book.route("/history")
@book.arguments(HistoryQuerySchema, location="query")
@book.response(200, HistorySchema)
def history(asked: dict[str, Any]) -> dict[str, Any]:
    """Return a page of what was changed of the firm's book, newest first, of what the role may see; ``places`` is empty."""
    with reading() as session:
        return find_book_history(session, current_firm().id, current_user().role, Asked(**asked))


@book.route("/lists", methods=["POST"])
@book.arguments(FirmListSchema)
@book.response(200, TakenInSchema)
def bring_in(given: dict[str, str]) -> TakenIn:
    """Take a list in as CSV or XLSX, whole or not at all; one that cannot be right is refused by its rows and columns."""
    refuse_but_office("Only the office brings lists into the firm's book.")
    try:
        return take_in(given["kind"], given["name"], _rows(given), firm_id=current_firm().id, user_id=current_user().id)
    except ListError as error:
        raise _list_wrong(error) from error


_WRITTEN = f"/lists/<any({', '.join(WRITTEN_KINDS)}):kind>"


@book.route(f"{_WRITTEN}.{CSV}")
@book.response(200, {"type": "string", "format": "binary"}, content_type=MEDIA_TYPES[CSV])
def write_csv(kind: str) -> Response:
    """Return the firm's records of a kind as a CSV that comes in again unchanged, as far as this person may see them."""
    return _write_out(kind, CSV)


@book.route(f"{_WRITTEN}.{XLSX}")
@book.response(200, {"type": "string", "format": "binary"}, content_type=MEDIA_TYPES[XLSX])
def write_xlsx(kind: str) -> Response:
    """Return the same as an XLSX file."""
    return _write_out(kind, XLSX)


def _write_out(kind: str, form: str) -> Response:
    try:
        written = write_book(kind, form, firm_id=current_firm().id, role=current_user().role)
    except ListError as error:
        raise _list_wrong(error) from error
    return send_file(
        io.BytesIO(written), mimetype=MEDIA_TYPES[form], as_attachment=True, download_name=f"{kind}-list.{form}"
    )


def _rows(given: dict[str, str]) -> Rows:
    if "file" not in given:
        return read_text_list(given["name"], given["text"])
    return read_list(given["name"], file_bytes(given["file"], "file"))


def _list_wrong(error: ListError) -> Refusal:
    return Refusal(422, *(Problem("list_wrong", words) for words in error.problems[:_MOST_TOLD]))
