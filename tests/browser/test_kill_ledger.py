"""Nothing that the screen called saved is lost or doubled, however often browser and server are killed in the middle of it."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Playwright

from tests.browser.kills import play, words
from tests.support.server import Server

#: Every seed that ever failed is played again.
KEPT_SEEDS: tuple[int, ...] = ()


@pytest.mark.parametrize("seed", [1, *KEPT_SEEDS])
def test_every_edit_called_saved_is_accounted_for(playwright_driver: Playwright, server: Server, tmp_path: Path, seed: int) -> None:
    counts = play(playwright_driver, server, tmp_path, seed, browser_kills=8, server_kills=4, has_engine=False)
    print(f"seed {seed}: {words(counts)}")
    assert (counts["kills of the browser"], counts["kills of the server"]) == (8, 4)
    assert counts["saved"] >= 20, "too little was entered to say anything"
    assert (counts["lost"], counts["doubled"]) == (0, 0)
