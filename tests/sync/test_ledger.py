"""Random histories of two phones and an office: nothing that was called saved is lost, nothing doubled, and all end equal."""

from __future__ import annotations

import json
import os
import secrets
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given, seed, settings

from tests.support.ledger.history import History, Ledger, histories, play
from tests.support.ledger.house import LedgerHouse, open_house

KEPT = Path(__file__).parent / "kept_histories"
#: What `make test` plays, by the functions beneath the API and by the API itself.
HISTORIES, BY_API = 500, 15
SEED = 20260331


@pytest.fixture(scope="module")
def house() -> Iterator[LedgerHouse]:
    with open_house() as house:
        yield house


def play_many(house: LedgerHouse, ledger: Ledger, number: int, times: int, *, by_api: bool = False) -> None:
    """Play so many histories drawn from a seed; the shortest that breaks the promise is shown as a file to keep."""

    @seed(number)
    @settings(
        max_examples=times, database=None, deadline=None, suppress_health_check=list(HealthCheck), phases=[Phase.generate, Phase.shrink],
        report_multiple_bugs=False,
    )
    @given(histories())
    def one(history: History) -> None:
        try:
            play(house, ledger, history, by_api=by_api)
        except AssertionError as broken:
            broken.add_note(f"Seed {number}; keep this under {KEPT.name}: {json.dumps(history)}")
            raise

    one()


def report(capsys: pytest.CaptureFixture[str], words: str, ledger: Ledger) -> None:
    with capsys.disabled():
        print(f"\n{words}: {ledger.line()}")


@pytest.mark.parametrize(("times", "by_api"), [(HISTORIES, False), (BY_API, True)], ids=["functions", "api"])
def test_every_edit_called_saved_is_accounted_for(house: LedgerHouse, capsys: pytest.CaptureFixture[str], times: int, by_api: bool) -> None:
    ledger = Ledger()
    play_many(house, ledger, SEED, times, by_api=by_api)
    report(capsys, "The ledger by the API" if by_api else "The ledger", ledger)
    # A run that broke nothing and acknowledged nothing would prove nothing.
    assert ledger.counts["histories"] >= times * 0.9
    assert ledger.faults.total() > times
    assert ledger.counts["acknowledged"] > times
    assert ledger.counts["contested"] > times / 20
    assert (ledger.counts["lost"], ledger.counts["doubled"]) == (0, 0)


@pytest.mark.parametrize("file", sorted(KEPT.glob("*.json")), ids=lambda file: file.stem)
def test_a_history_that_once_broke_the_promise_keeps_it(house: LedgerHouse, file: Path) -> None:
    history = json.loads(file.read_text())
    play(house, Ledger(), history)
    play(house, Ledger(), history, by_api=True)


@pytest.mark.skipif("SOAK_MINUTES" not in os.environ, reason="the long run: make soak")
def test_soak(house: LedgerHouse, capsys: pytest.CaptureFixture[str]) -> None:
    ledger, end = Ledger(), time.monotonic() + 60 * float(os.environ["SOAK_MINUTES"])
    while time.monotonic() < end:
        number = secrets.randbits(32)
        play_many(house, ledger, number, 200, by_api=number % 10 == 0)
        report(capsys, f"seed {number}", ledger)
    assert (ledger.counts["lost"], ledger.counts["doubled"]) == (0, 0)
