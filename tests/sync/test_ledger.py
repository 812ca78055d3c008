"""The ledger: what a phone called saved or at the office is there, once, whatever happened on the way."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.support.ledger.history import Broken, History, draw, play
from tests.support.ledger.phone import Phone
from tests.support.ledger.run import run, words
from tests.support.ledger.wire import InnerWire

KEPT = sorted(Path(__file__).with_name("kept_histories").glob("*.json"))
#: Fixed, so that a failure is the program's and not the day's; `make soak` looks for others.
FIRST_SEED = 20_260_301
HISTORIES = 1_600


def test_random_histories_lose_nothing_and_double_nothing(capsys: pytest.CaptureFixture[str]) -> None:
    counts = run(FIRST_SEED, HISTORIES)
    with capsys.disabled():
        print(f"\nledger: {words(counts)}")
    assert (counts["histories"], counts["lost"], counts["doubled"]) == (HISTORIES, 0, 0)
    # A ledger of histories in which nothing happens would balance too.
    assert counts["faults"] > HISTORIES / 2
    assert counts["acknowledged"] > 3 * HISTORIES


@pytest.mark.parametrize("over_http", [False, True])
@pytest.mark.parametrize("kept", KEPT, ids=lambda path: path.stem)
def test_a_history_that_failed_once_does_not_again(office, tmp_path: Path, kept: Path, over_http: bool) -> None:
    if not str(office.app.config["SQLALCHEMY_DATABASE_URI"]).startswith("sqlite"):
        pytest.skip("a backup is a copy of SQLite's file here")
    play(office, tmp_path, json.loads(kept.read_text())["steps"], over_http=over_http)


def test_the_account_sees_an_edit_that_is_lost(office, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """An outbox that is emptied on any answer loses what the answer did not name."""
    push = InnerWire.push
    monkeypatch.setattr(InnerWire, "push", lambda self, changes: push(self, changes[:-1]))
    monkeypatch.setattr(Phone, "offer", lambda self, answer: setattr(self, "outbox", []))
    history = History(office, tmp_path, over_http=False)
    history.play([["edit", 0, "room-0", "name", "Kitchen"], ["edit", 0, "room-0", "length_m", 2.4]])
    with pytest.raises(Broken, match="is nowhere"):
        history.settle()


def test_the_account_sees_sides_that_do_not_agree(office, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A cursor that runs ahead of what was stored misses what others did."""
    take = Phone.take

    def skip(self: Phone, page: dict) -> None:
        take(self, {**page, "changes": page["changes"][1:]})

    monkeypatch.setattr(Phone, "take", skip)
    history = History(office, tmp_path, over_http=False)
    history.play([["edit", 0, "room-0", "name", "Kitchen"], ["exchange", 0]])
    with pytest.raises(Broken, match="holds"):
        history.settle()


def test_a_seed_always_draws_the_same_history() -> None:
    assert draw(7) == draw(7) != draw(8)
