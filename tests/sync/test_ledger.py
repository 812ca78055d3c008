"""The ledger: what a phone called saved or at the office is there, once, whatever happened on the way."""

from __future__ import annotations

import dataclasses
import json
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Connection, delete, func, select, update
from sqlalchemy.orm import Session

from tests.support.cast import Office, open_office
from tests.support.ledger import history
from tests.support.ledger import run as runner
from tests.support.ledger.history import draw, play
from tests.support.ledger.phone import Phone
from tests.support.ledger.run import FIRST_SEED, FIXED, IN_THE_TESTS, run, words
from tests.support.soak import Broken
from wattwalk.database import reading, writing
from wattwalk.models import Change, StoredRecord
from wattwalk.survey.box import EDGES
from wattwalk.sync import old_sizes
from wattwalk.sync import pull as log
from wattwalk.sync import push as intake
from wattwalk.sync.sight import Sight

FOLDER = Path(__file__).with_name("kept_histories")
KEPT = sorted(FOLDER.glob("*.json"))


@pytest.mark.takes(seconds=20)
def test_random_histories_lose_nothing_and_double_nothing(say: Callable[[str], None]) -> None:
    counts = run(FIRST_SEED, IN_THE_TESTS)
    say(f"ledger: {words(counts)}")
    assert (counts["histories"], counts["lost"], counts["doubled"]) == (IN_THE_TESTS, 0, 0)
    # A ledger of histories in which nothing happens would balance too.
    assert counts["faults"] > 1.5 * IN_THE_TESTS
    assert counts["acknowledged"] > 5 * IN_THE_TESTS
    assert counts["photos"] > IN_THE_TESTS / 4
    # A share of them begins before a side could follow its room.
    assert counts["taken over"] > IN_THE_TESTS / 8
    assert counts["too old"] > IN_THE_TESTS / 40
    # A share of them works in the firm's book as well, with a surveyor who sees no cost prices.
    assert counts["of the book"] > IN_THE_TESTS / 6


def test_the_soak_plays_the_fixed_histories_that_the_tests_leave_out(monkeypatch: pytest.MonkeyPatch) -> None:
    played: list[int] = []

    def count(first: int, histories: int) -> Counter[str]:
        played.extend(range(first, first + histories))
        return Counter(histories=histories)

    monkeypatch.setattr(runner, "run", count)
    monkeypatch.setattr(sys, "argv", ["run", "3"])
    assert runner.main() == 0
    assert played[:-3] == list(range(FIRST_SEED + IN_THE_TESTS, FIRST_SEED + FIXED))
    assert FIXED == 2_000
    # With a seed of one's own nothing else is played.
    played.clear()
    monkeypatch.setattr(sys, "argv", ["run", "3", "7"])
    assert (runner.main(), played) == (0, [7, 8, 9])


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


def _lose_the_last_line(**batch: Any) -> intake.Pushed:
    pushed = _PUSH(**batch)
    if len(pushed.results) > 1:
        with writing() as session:
            session.execute(
                delete(Change).where(Change.survey_id == batch["survey_id"], Change.id == pushed.results[-1].id)
            )
    return pushed


def _send_everybody_everything(
    session: Session, firm: str, log_id: str, since: int, limit: int, sight: Sight
) -> log.Pulled:
    return _PULL(session, firm, log_id, since, limit, Sight(sight.holder))


def _replace_nothing(**batch: Any) -> intake.Pushed:
    return _PUSH(**{**batch, "changes": [dataclasses.replace(change, replaces=()) for change in batch["changes"]]})


def _believe_what_was_seen(**batch: Any) -> intake.Pushed:
    with reading() as session:
        newest = session.scalar(select(func.max(Change.revision)).where(Change.survey_id == batch["survey_id"])) or 0
    return _PUSH(
        **{
            **batch,
            "changes": [
                dataclasses.replace(change, epoch=None, seen=min(change.seen, newest)) for change in batch["changes"]
            ],
        }
    )


def _empty_the_queue_when_told_to_update(phone: Phone) -> None:
    if phone.is_too_old:
        phone.outbox = []
    else:
        _SEND(phone)


def _go_on_from_where_it_was(phone: Phone) -> None:
    cursor = phone.cursor
    _UPDATE(phone)
    phone.cursor = cursor


def _take_over_the_log_alone(connection: Connection) -> int:
    """Take the log over and not what it adds up to."""
    table = StoredRecord.__table__
    before = connection.execute(select(table.c.survey_id, table.c.id, table.c.values_json)).all()
    moved = old_sizes.take_over(connection)
    for survey, record, values in before:
        connection.execute(
            update(table).where(table.c.survey_id == survey, table.c.id == record).values(values_json=values)
        )
    return moved


#: A wall as long as its room, written down by the apps of old.
OLD_WALL = [
    ["of old"],
    ["resize", 0, "room-0", "length_m", 4.75],
    ["side", 0, "side-0", "room-0", "front", None],
    ["exchange", 0],
]
#: A cost price that the office says, while a surveyor looks on.
COST = [["book", "edit", 0, "article-0", "cost_price", "77321.01"], ["book", "exchange", 0], ["book", "exchange", 1]]
_TAKE, _SEND, _UPDATE, _PUSH, _PULL = Phone.take, Phone.push, Phone.update, intake.push, log.pull
#: A mistake made on purpose: where, what, and a history that has to bring it out with these words.
MISTAKES = {
    "a phone that takes any answer for an answer to all": (
        Phone,
        "hear",
        _take_any_answer_for_all,
        [KITCHEN, DAMP, ["push", 0, "too large", 0]],
        "is nowhere",
    ),
    "a phone whose cursor runs ahead of what it stored": (
        Phone,
        "take",
        _skip_the_first,
        [KITCHEN, ["exchange", 0]],
        "holds",
    ),
    "a phone that offers nothing again after a backup was restored": (
        Phone,
        "meet",
        _forget_what_was_sent,
        [KITCHEN, ["exchange", 0], ["backup"], DAMP, ["exchange", 0], ["restore"]],
        "is nowhere",
    ),
    "a phone that takes any answer for the arrival of a photo": (
        Phone,
        "hear_of_photo",
        _take_any_answer_for_arrived,
        [["photo", 0, "photo-0", 0], ["photos", 0, "portal", 0]],
        "does not wait any more",
    ),
    "a phone that empties its queue when it is told to update": (
        Phone,
        "push",
        _empty_the_queue_when_told_to_update,
        [*OLD_WALL, ["office updates"], DAMP, ["push", 0, "twice", 0]],
        "does not keep its queue",
    ),
    "a phone that does not ask again what the office decided of its sizes": (
        # The room's length was changed at the office without its walls, so the wall stays as long as it was said.
        Phone,
        "update",
        _go_on_from_where_it_was,
        [*OLD_WALL, ["pull", 1, 9], ["edit", 1, "room-0", "length_m", 3.1], ["exchange", 1]],
        "holds",
    ),
    "an office that lets sides follow in its log alone": (
        history,
        "take_over",
        _take_over_the_log_alone,
        OLD_WALL,
        "does not add up",
    ),
    "an office that lets a side follow that is not as large as its room": (
        old_sizes,
        "said_again",
        lambda surface, room: EDGES,
        [*OLD_WALL, ["edit", 0, "room-0", "length_m", 3.1], ["exchange", 0]],
        "a size moved",
    ),
    "an office that sends everybody what only the office may see": (
        log,
        "pull",
        _send_everybody_everything,
        COST,
        "came to Ben's phone",
    ),
    "an office that shows everybody what only the office may see": (
        Sight,
        "values",
        lambda _sight, _kind, values: values,
        COST,
        "is shown cost_price",
    ),
    "an office that lets a surveyor write": (
        Sight,
        "find_refusal",
        lambda _sight, _change: None,
        [["book", "edit", 1, "article-0", "words", "Clip"], ["book", "exchange", 1]],
        "wrote in the firm's book",
    ),
    "an office that leaves a change out of its log": (
        intake,
        "push",
        _lose_the_last_line,
        [KITCHEN, DAMP, ["exchange", 0]],
        "is nowhere",
    ),
    "an office that takes a late request for a new one": (
        intake,
        "push",
        _replace_nothing,
        [DAMP, ["push", 0, "late", 0], ["edit", 0, "room-0", "notes", ""]],
        "came after a newer one",
    ),
    "an office that believes a revision of another life": (
        intake,
        "push",
        _believe_what_was_seen,
        json.loads((FOLDER / "seen_in_the_life_before.json").read_text())["steps"],
        "unseen",
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
