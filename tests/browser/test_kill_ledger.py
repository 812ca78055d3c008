"""Nothing that the screen called saved is lost or doubled, however often browser and server are killed in the middle of it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Playwright, expect

from tests.browser.hand import answer, go_to, sign_in, unfold
from tests.browser.kill_ledger import Ledger
from tests.browser.kills import play, words
from tests.support.chromium import Chromium
from tests.support.server import Server
from tests.support.soak import Broken

#: Every seed that ever failed is played again.
KEPT_SEEDS: tuple[int, ...] = ()


@pytest.mark.takes(seconds=30)
@pytest.mark.parametrize("seed", [1, *KEPT_SEEDS])
def test_every_edit_called_saved_is_accounted_for(
    playwright_driver: Playwright,
    server: Server,
    tmp_path: Path,
    seed: int,
    say: Callable[[str], None],
    first_profile: Path | None,
) -> None:
    counts = play(
        playwright_driver,
        server,
        tmp_path,
        seed,
        browser_kills=8,
        server_kills=4,
        has_engine=False,
        begin_with=first_profile,
    )
    say(f"kill ledger, seed {seed}: {words(counts)}")
    assert (counts["kills of the browser"], counts["kills of the server"]) == (8, 4)
    assert counts["saved"] >= 20, "too little was entered to say anything"
    assert (counts["lost"], counts["doubled"]) == (0, 0)


def change(number: int, field: str, value: object, record: str = "r") -> dict[str, object]:
    return {"id": f"change-{number}", "kind": "room", "record": record, "field": field, "value": value}


def said(*answers: tuple[str, str]) -> Ledger:
    """A ledger of one room whose fields were called saved so, one after the other."""
    ledger = Ledger()
    ledger.makes_room("r")
    for name, value in answers:
        ledger.tries(("room", "r", name), value)
        ledger.saves(("room", "r", name), value)
    return ledger


ROOM = change(1, "use", "kitchen")
NOTES = change(2, "notes", "damp")


@pytest.mark.parametrize(
    ("now", "log", "words"),
    [
        ({"notes": "damp"}, [ROOM, NOTES], None),
        ({"notes": "dry"}, [ROOM, NOTES], "is not 'damp' now"),
        ({"notes": "damp"}, [ROOM], r"lost: \[.*notes.*damp"),
        ({"notes": "damp"}, [ROOM, NOTES, change(3, "notes", "damp")], "2 times"),
        ({"notes": "damp"}, [ROOM, NOTES, NOTES], "change-2 2 times"),
        (None, [ROOM, NOTES], "room r is not there now"),
    ],
)
def test_the_ledger_notices_what_the_office_lacks_or_has_twice(
    now: dict[str, str] | None, log: list[dict[str, object]], words: str | None
) -> None:
    ledger = said(("notes", "damp"))
    view = {"records": {"room": [{"id": "r", **now}] if now is not None else []}}
    if words is None:
        ledger.held_against(view, log)
        assert (ledger.counts["saved"], ledger.counts["at the office"]) == (2, 2)
    else:
        with pytest.raises(Broken, match=words):
            ledger.held_against(view, log)


def test_the_ledger_lets_an_answer_stand_or_not_that_was_cut_off_but_not_half() -> None:
    place = ("room", "r", "notes")
    for shown, is_right in (("damp", True), ("dry and warm", True), ("dry", False), ("", False)):
        ledger = said(("notes", "damp"))
        ledger.tries(place, "dry and warm")
        if is_right:
            ledger.sees(place, shown)
            # From here on it is what was seen that has to stay.
            with pytest.raises(Broken):
                ledger.sees(place, "another")
        else:
            with pytest.raises(Broken):
                ledger.sees(place, shown)


def test_the_ledger_counts_rooms_and_photos() -> None:
    ledger = said()
    with pytest.raises(Broken, match="rooms are lost"):
        ledger.sees_rooms([])
    with pytest.raises(Broken, match="nobody made"):
        ledger.sees_rooms(["r", "another"])
    ledger.tries_photo("r")
    ledger.photo_is_said()
    with pytest.raises(Broken, match="photos of room r are lost"):
        ledger.sees_photos("r", [])
    ledger.sees_photos("r", ["one"])
    with pytest.raises(Broken, match="nobody took"):
        ledger.sees_photos("r", ["one", "two"])


@pytest.mark.without_engine
def test_what_is_typed_is_saved_when_the_app_goes_to_the_background(phone: Chromium, server: Server) -> None:
    phone.start()
    page = phone.page()
    sign_in(page, server.url, "surveyor@demo.example", "walk-the-house")
    page.wait_for_function("() => navigator.serviceWorker.ready.then(() => true)")
    page.get_by_role("button", name="New survey").click()
    go_to(page, "Household and meter")
    go_to(page, "Household and house")
    answer(page, "household_name", "Quince")
    form, typed = page.url, unfold(page, "household_name").locator("input")
    typed.fill("Quince and Medlar")
    expect(unfold(page, "household_name").get_by_text("Saved on this phone")).to_have_count(0)
    page.evaluate(
        """() => {
          Object.defineProperty(document, 'visibilityState', { value: 'hidden', configurable: true });
          document.dispatchEvent(new Event('visibilitychange'));
        }"""
    )
    expect(unfold(page, "household_name").get_by_text("Saved on this phone")).to_be_visible()
    expect(typed).to_be_focused()
    phone.kill()
    phone.start().set_offline(True)
    phone.page().goto(form)
    expect(unfold(phone.page(), "household_name").locator("input")).to_have_value("Quince and Medlar")
