"""The ledger: what a phone called saved or at the office is there, once, whatever happened on the way."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.support.cast import Office, open_office
from tests.support.ledger.history import draw, play
from tests.support.ledger.phone import Phone
from tests.support.ledger.run import run, words
from tests.support.soak import Broken
from wattwalk.survey.box import EDGES
from wattwalk.sync import old_sizes
from wattwalk.sync.changes import IncomingChange
from wattwalk.sync.push import _Intake, _Standing

FOLDER = Path(__file__).with_name("kept_histories")
KEPT = sorted(FOLDER.glob("*.json"))
#: Fixed, so that a failure is the program's and not the day's; `make soak` looks for others.
FIRST_SEED = 20_260_301
HISTORIES = 2_000


def test_random_histories_lose_nothing_and_double_nothing(say: Callable[[str], None]) -> None:
    counts = run(FIRST_SEED, HISTORIES)
    say(f"ledger: {words(counts)}")
    assert (counts["histories"], counts["lost"], counts["doubled"]) == (HISTORIES, 0, 0)
    # A ledger of histories in which nothing happens would balance too.
    assert counts["faults"] > 2 * HISTORIES
    assert counts["acknowledged"] > 5 * HISTORIES
    assert counts["photos"] > HISTORIES / 4
    # A share of them begins before a side could follow its room.
    assert counts["taken over"] > HISTORIES / 8
    assert counts["too old"] > HISTORIES / 40


@pytest.fixture(scope="module")
def ledger(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Office, Path]]:
    """An office and a folder for its backups, which are copies of SQLite's file."""
    folder = tmp_path_factory.mktemp("ledger")
    with open_office(f"sqlite:///{folder / 'wattwalk.sqlite'}", folder) as office:
        yield office, folder


@pytest.mark.parametrize("over_http", [False, True])
@pytest.mark.parametrize("kept", KEPT, ids=lambda path: path.stem)
def test_a_history_that_failed_once_does_not_again(ledger: tuple[Office, Path], kept: Path, over_http: bool) -> None:
    play(*ledger, json.loads(kept.read_text())["steps"], over_http=over_http)


KITCHEN = ["edit", 0, "room-0", "name", "Kitchen"]
DAMP = ["edit", 0, "room-0", "notes", "damp"]


def _take_any_answer_for_all(phone: Phone, answer: dict, share: int = 100) -> int:
    named, phone.outbox = len(phone.outbox), []
    return named


def _skip_the_first(phone: Phone, page: dict) -> None:
    _TAKE(phone, {**page, "changes": page["changes"][1:]})


def _forget_what_was_sent(phone: Phone, epoch: str) -> bool:
    phone.epoch = epoch
    return False


def _take_any_answer_for_arrived(phone: Phone, sha256: str, status: int, answer: object) -> None:
    phone.waiting.pop(sha256, None)


def _lose_the_last_line(intake: _Intake) -> None:
    intake._logged[1:] = intake._logged[1:-1]
    _STORE_LOG(intake)


def _spend_nothing(intake: _Intake, id: str, change: object) -> None:
    """Keep no id of what was replaced."""


def _believe_what_was_seen(stands: _Standing, change: IncomingChange) -> int:
    return change.seen


def _empty_the_queue_when_told_to_update(phone: Phone) -> None:
    if phone.is_too_old:
        phone.outbox = []
    else:
        _PUSH(phone)


def _go_on_from_where_it_was(phone: Phone) -> None:
    cursor = phone.cursor
    _UPDATE(phone)
    phone.cursor = cursor


def _leave_the_records(*_given: object) -> None:
    """Take the log over and not what it adds up to."""


#: A wall as long as its room, written down by the apps of old.
OLD_WALL = [["of old"], ["resize", 0, "room-0", "length_m", 4.75], ["side", 0, "side-0", "room-0", "front", None], ["exchange", 0]]
_PUSH, _UPDATE = Phone.push, Phone.update
_TAKE, _STORE_LOG = Phone.take, _Intake._store_log
#: A mistake made on purpose: where, what, and a history that has to bring it out with these words.
MISTAKES = {
    "a phone that takes any answer for an answer to all": (
        Phone, "hear", _take_any_answer_for_all, [KITCHEN, DAMP, ["push", 0, "too large", 0]], "is nowhere",
    ),
    "a phone whose cursor runs ahead of what it stored": (Phone, "take", _skip_the_first, [KITCHEN, ["exchange", 0]], "holds"),
    "a phone that offers nothing again after a backup was restored": (
        Phone, "meet", _forget_what_was_sent, [KITCHEN, ["exchange", 0], ["backup"], DAMP, ["exchange", 0], ["restore"]], "is nowhere",
    ),
    "a phone that takes any answer for the arrival of a photo": (
        Phone, "hear_of_photo", _take_any_answer_for_arrived, [["photo", 0, "photo-0", 0], ["photos", 0, "portal", 0]], "does not wait any more",
    ),
    "a phone that empties its queue when it is told to update": (
        Phone, "push", _empty_the_queue_when_told_to_update, [*OLD_WALL, ["office updates"], DAMP, ["push", 0, "twice", 0]], "does not keep its queue",
    ),
    "a phone that does not ask again what the office decided of its sizes": (
        # The room's length was changed at the office without its walls, so the wall stays as long as it was said.
        Phone, "update", _go_on_from_where_it_was, [*OLD_WALL, ["pull", 1, 9], ["edit", 1, "room-0", "length_m", 3.1], ["exchange", 1]], "holds",
    ),
    "an office that lets sides follow in its log alone": (old_sizes, "_put_records", _leave_the_records, OLD_WALL, "does not add up"),
    "an office that lets a side follow that is not as large as its room": (
        old_sizes, "said_again", lambda surface, room: EDGES, [*OLD_WALL, ["edit", 0, "room-0", "length_m", 3.1], ["exchange", 0]], "a size moved",
    ),
    "an office that leaves a change out of its log": (_Intake, "_store_log", _lose_the_last_line, [KITCHEN, DAMP, ["exchange", 0]], "is nowhere"),
    "an office that takes a late request for a new one": (
        _Intake, "_spend", _spend_nothing, [DAMP, ["push", 0, "late", 0], ["edit", 0, "room-0", "notes", ""]], "came after a newer one",
    ),
    "an office that believes a revision of another life": (
        _Standing, "seen", _believe_what_was_seen, json.loads((FOLDER / "seen_in_the_life_before.json").read_text())["steps"], "unseen",
    ),
}


@pytest.mark.parametrize("mistake", MISTAKES)
def test_the_account_sees_a_mistake(ledger: tuple[Office, Path], monkeypatch: pytest.MonkeyPatch, mistake: str) -> None:
    owner, name, wrong, steps, words = MISTAKES[mistake]
    play(*ledger, steps)
    monkeypatch.setattr(owner, name, wrong)
    with pytest.raises(Broken, match=words):
        play(*ledger, steps)


def test_a_seed_always_draws_the_same_history() -> None:
    assert draw(7) == draw(7) != draw(8)
