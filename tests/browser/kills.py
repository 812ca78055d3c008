"""A seeded walk through the real screens, with the battery taken out and the office's plug pulled at random moments.

What the screen called saved is written into a ledger as it is said, and held against what the screens show after every restart
and against the office's log at the end. By itself it is a part of `make soak`:

    python -m tests.browser.kills KILLS [FIRST_SEED]
"""

from __future__ import annotations

import hashlib
import io
import os
import random
import re
import signal
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from PIL import Image
from playwright.sync_api import Error as PlaywrightError
from playwright.sync_api import Page, Playwright, Request, expect, sync_playwright

from tests.browser.hand import sign_in
from tests.browser.held import held, is_level, records_of, view_of
from tests.browser.kill_ledger import Ledger, Place
from tests.support.cast import MODEL
from tests.support.chromium import Chromium, Screen
from tests.support.server import Server
from tests.support.soak import Broken, asked, soak
from tests.support.until import PATIENCE_MS, PATIENCE_S

EMAIL, PASSWORD = "surveyor@demo.example", "walk-the-house"
HOUSE_FIELDS = ("household_name", "address", "surveyor", "altitude_m", "access_notes")
#: Their groups, which are folded when one comes, each with a field of it.
HOUSE_GROUPS = {"who": "access_notes", "place": "altitude_m"}
ROOM_FIELDS = ("name", "notes")
MOST_ROOMS = 3
#: Milliseconds within which the blow falls after what it falls into has begun.
SOON_MS, TAKING_A_PHOTO_MS, STARTING_MS = 50, 250, 900

SAID = """(name) => [...document.querySelectorAll(`#field-${name} .field-saved`)].some((words) => words.textContent === 'Saved on this phone' && words.checkVisibility())"""
PHOTO_SAID = """() => [...document.querySelectorAll('section[aria-label="Photos"] .take-said')].some((words) => words.textContent === 'Saved on this phone')"""
HEADING = "(words) => document.querySelector('h1')?.textContent === words"
LEAVE_AND_LOOK = f"""async ([name, wait]) => {{
  document.querySelector(`#field-${{name}} input, #field-${{name}} textarea`).blur();
  await new Promise((done) => setTimeout(done, wait));
  return ({SAID})(name);
}}"""
TAP_AND_LOOK = """async ([words, wait]) => {
  [...document.querySelectorAll('main button')].find((button) => button.textContent.trim() === words).click();
  await new Promise((done) => setTimeout(done, wait));
  return [location.hash, document.querySelector('h1').textContent];
}"""
WAIT_AND_LOOK = f"async (wait) => {{ await new Promise((done) => setTimeout(done, wait)); return ({PHOTO_SAID})(); }}"
UNFOLD = "(group) => document.querySelector(`#group-${group} > .fold-head [aria-expanded='false']`)?.click()"
TYPED = "(names) => names.map((name) => document.querySelector(`#field-${name} input, #field-${name} textarea`)?.value ?? null)"
LINKS = "([within, kind]) => [...document.querySelectorAll(`${within} a[href*='/record/${kind}/']`)].map((link) => link.getAttribute('href').split(`/record/${kind}/`)[1].split('?')[0])"
FOLLOW = "(id) => document.querySelector(`main a[href*='/record/room/${id}']`).click()"
PHOTOS = "section[aria-label='Photos']"
PUSH = re.compile(r"/api/surveys/[^/]+/(changes|photos/[0-9a-f]+)$")


@dataclass(frozen=True)
class Step:
    """One thing that is done, with what chance has to say about it."""

    do: str
    chance: float
    delay_ms: int = 0


BROWSER_KILLS = ("typing", "leaving", "leaving", "said", "photo", "room", "removal", "pushing", "starting")
SERVER_KILLS = ("pushing", "pushing a photo", "pushing", "resting")
ORDINARY = {
    "answer": 6,
    "new room": 1,
    "photo": 1,
    "take away": 0.5,
    "keep after all": 0.5,
    "lose signal": 1,
    "find signal": 1,
    "plug in": 1,
}


def draw(seed: int, browser_kills: int, server_kills: int) -> Iterator[Step]:
    """Return the steps of a walk; nothing in them depends on how quick a machine is."""
    chance = random.Random(seed)

    def longest(moment: str) -> int:
        return {"photo": TAKING_A_PHOTO_MS, "starting": STARTING_MS}.get(moment, SOON_MS)

    moments = [("battery", moment) for moment in _dealt(chance, BROWSER_KILLS, browser_kills)]
    moments += [("plug", moment) for moment in _dealt(chance, SERVER_KILLS, server_kills)]
    chance.shuffle(moments)
    yield Step("new room", chance.random())
    for what, moment in moments:
        for do in chance.choices(list(ORDINARY), list(ORDINARY.values()), k=chance.randint(1, 4)):
            yield Step(do, chance.random())
        yield Step(f"{what}: {moment}", chance.random(), chance.randrange(longest(moment)))


def _dealt(chance: random.Random, cards: tuple[str, ...], many: int) -> list[str]:
    """Return so many cards, each kind as often as it lies in the pack."""
    dealt: list[str] = []
    while len(dealt) < many:
        dealt += chance.sample(cards, len(cards))
    return dealt[:many]


class Walk:
    """One phone on one survey of one office.

    Parameters
    ----------
    phone : Chromium
        A browser with an empty profile, not started.
    server : Server
        The office; it may have other surveys.
    seed : int
        Names the walk in what it types.
    """

    def __init__(self, phone: Chromium, server: Server, seed: int) -> None:
        self.phone, self.server, self.seed = phone, server, seed
        self.ledger = Ledger()
        self.counts: Counter[str] = Counter()
        self.is_offline = False
        self.typed = 0
        self.groups: set[int] = set()
        self.survey = self._start_survey()
        self._go("stage/household", "Household and meter")
        (self.house,) = self.page.evaluate(LINKS, ["main", "survey"])
        self._compare()

    # What the thumb does.

    def _start_survey(self) -> str:
        self.phone.start()
        page = self.phone.page()
        sign_in(page, self.server.url, EMAIL, PASSWORD)
        page.wait_for_function("() => navigator.serviceWorker.ready.then(() => true)")
        # The way in is on the storage once the browser was closed in good order; a killed one may forget a cookie of its last seconds.
        self.phone.close()
        self._open()
        self.page.get_by_role("button", name="New survey").click()
        self.page.wait_for_url(re.compile(r"#/survey/[^/]+$"))
        return self.page.url.split("/survey/")[1]

    @property
    def page(self) -> Page:
        return self.phone.page()

    def _open(self) -> None:
        context = self.phone.start()
        context.set_offline(self.is_offline)
        page = self.page
        page.goto(self.server.url)
        page.wait_for_function(HEADING, arg="Surveys")
        self.groups = self.phone.groups()

    def _go(self, path: str, heading: str) -> None:
        self.page.evaluate("(to) => { location.hash = to; }", f"#/survey/{self.survey}/{path}")
        self.page.wait_for_function(HEADING, arg=heading)

    def _go_to_room(self, room: str) -> None:
        self._go("stage/rooms", "Rooms")
        self.page.evaluate(FOLLOW, room)
        self.page.wait_for_selector("#field-notes textarea")
        self.page.wait_for_selector(PHOTOS)

    def _go_to_house(self) -> None:
        self.page.evaluate("(to) => { location.hash = to; }", f"#/survey/{self.survey}/record/survey/{self.house}")
        for group, name in HOUSE_GROUPS.items():
            self.page.wait_for_selector(f"#group-{group}")
            self.page.evaluate(UNFOLD, group)
            self.page.wait_for_selector(f"#field-{name}")

    def _type(self, step: Step) -> tuple[Place, str]:
        """Type an answer somewhere, without leaving the field."""
        places = [
            *(("survey", self.house, name) for name in HOUSE_FIELDS),
            *(("room", room, name) for room in self.ledger.rooms for name in ROOM_FIELDS),
        ]
        place = places[int(step.chance * len(places))]
        kind, record, name = place
        if kind == "room":
            self._go_to_room(record)
        else:
            self._go_to_house()
        self.typed += 1
        words = str(self.typed) if name == "altitude_m" else f"Answer {self.typed} of walk {self.seed}"
        self.page.locator(f"#field-{name} input, #field-{name} textarea").first.fill(words)
        self.ledger.tries(place, words)
        if self.page.evaluate(SAID, name):
            raise Broken(f"{name} is called saved while it is typed")
        return place, words

    def _leave(self, place: Place) -> None:
        self.page.locator(f"#field-{place[2]} input, #field-{place[2]} textarea").first.blur()

    def _answer(self, step: Step) -> None:
        place, words = self._type(step)
        self._leave(place)
        self.page.wait_for_function(SAID, arg=place[2])
        self.ledger.saves(place, words)

    def _room(self, step: Step) -> str | None:
        if not self.ledger.rooms:
            return None
        return self.ledger.rooms[int(step.chance * len(self.ledger.rooms))]

    def _ask_for_room(self) -> None:
        self._go("stage/rooms", "Rooms")
        self.page.get_by_role("button", name="New room").click()
        self.page.get_by_role("region", name="New room").wait_for()
        self.ledger.tried_room = True

    def _room_stands(self, address: str) -> bool:
        """Note the room that the screen has opened, if it has."""
        found = re.search(r"/record/room/([^/?]+)", address)
        if found is None or found[1] in self.ledger.rooms:
            return False
        self.ledger.makes_room(found[1])
        return True

    def _new_room(self, step: Step) -> None:
        if len(self.ledger.rooms) >= MOST_ROOMS:
            return self._answer(step)
        self._ask_for_room()
        self.page.get_by_role("region", name="New room").get_by_role("button", name="Kitchen", exact=True).click()
        self.page.wait_for_url(re.compile("/record/room/"))
        self.page.wait_for_selector("#field-notes textarea")
        assert self._room_stands(self.page.url)
        self._see_fields("room", self.ledger.rooms[-1], ROOM_FIELDS)
        return None

    def _have_a_room(self, step: Step) -> None:
        if not self.ledger.rooms:
            self._new_room(step)

    def _begin_photo(self, step: Step) -> bool:
        room = self._room(step)
        if room is None:
            return False
        self._go_to_room(room)
        colour = self.ledger.tries_photo(room)
        self.page.locator(f"{PHOTOS} input[type=file]").first.set_input_files(
            {"name": "photo.jpg", "mimeType": "image/jpeg", "buffer": _picture(colour)}
        )
        return True

    def _photo(self, step: Step) -> None:
        if not self._begin_photo(step):
            return
        self.page.wait_for_function(PHOTO_SAID)
        self.ledger.photo_is_said()
        room = self.ledger.tried_photo.room
        self.page.wait_for_function(
            "([within, many]) => document.querySelectorAll(`${within} a.photo`).length >= many",
            arg=[PHOTOS, len(self.ledger.photos_of(room)) + 1],
        )
        self.ledger.sees_photos(room, self.page.evaluate(LINKS, [PHOTOS, "photo"]))

    def _ask_to_take_away(self, step: Step) -> str | None:
        room = self._room(step)
        if room is not None:
            self._go_to_room(room)
            self.page.get_by_role("button", name="Take away this room").click()
        return room

    def _take_away(self, step: Step) -> None:
        room = self._ask_to_take_away(step)
        if room is None:
            return
        self.page.get_by_role("button", name="Take it away").click()
        self.page.wait_for_function(HEADING, arg="Rooms")
        self.ledger.takes_away(room)

    def _keep_after_all(self, step: Step) -> None:
        if self._ask_to_take_away(step) is not None:
            self.page.get_by_role("button", name="Keep it").click()

    def _signal(self, *, is_offline: bool) -> None:
        self.is_offline = is_offline
        self.page.context.set_offline(is_offline)

    def _connect(self) -> None:
        """Have the office in reach, signed in."""
        if not self.server.is_running:
            self.server.start()
        # The way there and back tells the app that it may ask at once.
        self._signal(is_offline=True)
        self._signal(is_offline=False)
        self._go_to_status()
        if self.page.get_by_role("link", name=re.compile("Sign in again")).count():
            self.counts["signed in again"] += 1
            sign_in(self.page, f"{self.server.url}/#/sign-in", EMAIL, PASSWORD)

    def _go_to_status(self) -> None:
        self.page.evaluate("() => { location.hash = '#/sync'; }")
        self.page.wait_for_function(HEADING, arg="What is where")

    def _strike_a_push(self, step: Step, method: str, blow: Callable[[], None]) -> None:
        """Enter something, have it sent, and let the blow fall when its request has just left the phone."""
        self._connect()
        struck: list[Request] = []

        def strike(request: Request) -> None:
            if not struck and request.method == method and PUSH.search(request.url):
                struck.append(request)
                time.sleep(step.delay_ms / 1000)
                blow()

        page = self.page
        page.on("request", strike)
        try:
            if method == "PUT":
                self._have_a_room(step)
                self._photo(step)
            else:
                self._answer(step)
            if not struck:
                self._go_to_status()
                page.get_by_role("button", name="Send and fetch now").click()
            deadline = time.monotonic() + PATIENCE_S
            while not struck:
                page.wait_for_timeout(20)
                if time.monotonic() > deadline:
                    raise Broken("what was entered is not sent")
        except PlaywrightError:
            # Where the browser was struck, what was done at that moment ends so.
            if not struck:
                raise
        page.remove_listener("request", strike)
        self.counts["within a push"] += 1

    # What goes wrong.

    def _battery(self, moment: str, step: Step) -> None:
        if moment == "pushing":
            self._strike_a_push(step, "POST", self._end_all_processes)
        else:
            getattr(self, f"_until_{moment}")(step)
        self.phone.kill(self.groups)
        self.counts["kills of the browser"] += 1
        self._open()
        self._compare()

    def _end_all_processes(self) -> None:
        for group in self.groups:
            os.killpg(group, signal.SIGKILL)

    def _until_typing(self, step: Step) -> None:
        self._type(step)

    def _until_leaving(self, step: Step) -> None:
        place, words = self._type(step)
        if self.page.evaluate(LEAVE_AND_LOOK, [place[2], step.delay_ms]):
            self.ledger.saves(place, words)
        else:
            self.counts["savings cut off"] += 1

    def _until_said(self, step: Step) -> None:
        self._answer(step)

    def _until_photo(self, step: Step) -> None:
        self._have_a_room(step)
        self._begin_photo(step)
        if self.page.evaluate(WAIT_AND_LOOK, step.delay_ms):
            self.ledger.photo_is_said()
        else:
            self.counts["savings cut off"] += 1

    def _until_room(self, step: Step) -> None:
        self._ask_for_room()
        hash_, _ = self.page.evaluate(TAP_AND_LOOK, ["Kitchen", step.delay_ms])
        if not self._room_stands(hash_):
            self.counts["savings cut off"] += 1

    def _until_removal(self, step: Step) -> None:
        self._have_a_room(step)
        room = self._ask_to_take_away(step)
        self.ledger.tried_away = room
        _, heading = self.page.evaluate(TAP_AND_LOOK, ["Take it away", step.delay_ms])
        if heading == "Rooms":
            self.ledger.takes_away(room)
        else:
            self.counts["savings cut off"] += 1

    def _until_starting(self, step: Step) -> None:
        self.page.goto("about:blank")
        self.page.goto(self.server.url, wait_until="commit")
        self.page.wait_for_timeout(step.delay_ms)

    def _plug(self, moment: str, step: Step) -> None:
        if not self.server.is_running:
            self.server.start()
        if moment == "resting":
            self.server.kill()
        else:
            self._strike_a_push(step, "PUT" if moment == "pushing a photo" else "POST", self.server.kill)
        self.counts["kills of the server"] += 1

    def take(self, step: Step) -> None:
        """Do one step."""
        match step.do.split(": "):
            case ["battery", moment]:
                self._battery(moment, step)
            case ["plug", moment]:
                self._plug(moment, step)
            case ["answer"]:
                self._answer(step)
            case ["new room"]:
                self._new_room(step)
            case ["photo"]:
                self._photo(step)
            case ["take away"]:
                self._take_away(step)
            case ["keep after all"]:
                self._keep_after_all(step)
            case ["lose signal"]:
                self._signal(is_offline=True)
            case ["find signal"]:
                self._signal(is_offline=False)
            case ["plug in"]:
                if not self.server.is_running:
                    self.server.start()
            case other:
                raise ValueError(f"Nobody knows how to do {other}.")

    # What must be so.

    def _compare(self) -> None:
        """Read everything off the screens and hold it against the ledger."""
        page = self.page
        self._go("stage/rooms", "Rooms")
        self.ledger.sees_rooms(page.evaluate(LINKS, ["main", "room"]))
        for room in list(self.ledger.rooms):
            self._go_to_room(room)
            self._see_fields("room", room, ROOM_FIELDS)
            self.ledger.sees_photos(room, page.evaluate(LINKS, [PHOTOS, "photo"]))
        self._go_to_house()
        self._see_fields("survey", self.house, HOUSE_FIELDS)

    def _see_fields(self, kind: str, record: str, names: tuple[str, ...]) -> None:
        for name, words in zip(names, self.page.evaluate(TYPED, list(names)), strict=True):
            self.ledger.sees((kind, record, name), words)

    def account(self) -> Counter[str]:
        """Bring all to the office and hold phone, screens, office and its log against the ledger. Return what was counted.

        Raises
        ------
        Broken
            When anything is lost, doubled or different.
        """
        self._connect()
        self._go_to_status()
        self.page.get_by_role("button", name="Send and fetch now").click()
        deadline = time.monotonic() + PATIENCE_S
        while not is_level(
            self.page, self.survey, (view := view_of(self.page, self.server.url, self.survey))["revision"]
        ):
            if time.monotonic() > deadline:
                raise Broken("phone and office do not get level")
            self.page.wait_for_timeout(200)
        expect(self.page.get_by_role("status").filter(has_text=re.compile("^At the office"))).to_be_visible()
        self._compare()
        if (view["contested"], view["refused"]) != ([], []):
            raise Broken(f"one phone alone has answers contested or refused: {view['contested']} {view['refused']}")
        if held(self.page, self.survey) != records_of(view):
            raise Broken("phone and office do not hold the same")
        self.ledger.held_against(view, self._log())
        for photo, colour in self.ledger.photos.items():
            self._check_photo(view, photo, colour)
        return self.counts + self.ledger.counts

    def _log(self) -> list[dict[str, Any]]:
        log: list[dict[str, Any]] = []
        while True:
            answer = self.page.context.request.get(
                f"{self.server.url}/api/surveys/{self.survey}/changes?since={len(log)}&model={MODEL}"
            ).json()
            log += answer["changes"]
            if not answer["more"]:
                break
        if [change["revision"] for change in log] != list(range(1, len(log) + 1)):
            raise Broken("the log's revisions are not 1, 2, 3 … without a gap")
        return log

    def _check_photo(self, view: dict[str, Any], photo: str, colour: tuple[int, int, int]) -> None:
        sha256 = next(item["sha256"] for item in view["records"]["photo"] if item["id"] == photo)
        if not any(item["sha256"] == sha256 and item["arrived"] for item in view["photos"]):
            raise Broken(f"the picture of photo {photo} is not at the office")
        data = self.page.context.request.get(f"{self.server.url}/api/surveys/{self.survey}/photos/{sha256}").body()
        if hashlib.sha256(data).hexdigest() != sha256:
            raise Broken(f"the bytes of photo {photo} are not those that were taken")
        seen = Image.open(io.BytesIO(data)).convert("RGB").resize((1, 1)).getpixel((0, 0))
        if max(abs(one - two) for one, two in zip(seen, colour, strict=True)) > 6:
            raise Broken(f"photo {photo} shows {seen} where {colour} was taken")


def _picture(colour: tuple[int, int, int]) -> bytes:
    data = io.BytesIO()
    Image.new("RGB", (1200, 900), colour).save(data, "JPEG")
    return data.getvalue()


def play(
    driver: Playwright,
    server: Server,
    folder: Path,
    seed: int,
    *,
    browser_kills: int,
    server_kills: int,
    has_engine: bool = True,
    begin_with: Path | None = None,
) -> Counter[str]:
    """Walk once and return what was counted; the phone goes on from a copy of the profile `begin_with`, when one is given.

    Raises
    ------
    Broken
        With the seed and the step at which it does not add up.
    """
    done: list[str] = []
    profile = folder / f"walk-{seed}"
    with Chromium(driver, profile, Screen.PHONE, has_engine=has_engine, begin_with=begin_with) as phone:
        if not server.is_running:
            server.start()
        walk = Walk(phone, server, seed)
        try:
            for step in draw(seed, browser_kills, server_kills):
                done.append(step.do)
                walk.take(step)
            return walk.account()
        except Broken as error:
            raise Broken(f"seed {seed}: {error}\nafter {', '.join(done)}") from error


def words(counts: Counter[str]) -> str:
    """Return the account in one line."""
    return (
        f"{counts['kills of the browser']} kills of the browser and {counts['kills of the server']} of the server, {counts['within a push']} within a push and "
        f"{counts['savings cut off']} within a saving; {counts['saved']} edits called saved: {counts['at the office']} at the office, {counts['replaced']} replaced by "
        f"a later one or gone with their room before they were sent, {counts['lost']} lost, {counts['doubled']} doubled"
    )


def main() -> int:
    """Walk with new seeds until so many kills were made, and print the account; 1 when it does not add up."""
    expect.set_options(timeout=PATIENCE_MS)
    with tempfile.TemporaryDirectory() as name, sync_playwright() as driver, Server(Path(name), demo=True) as server:

        def walk(seed: int, _left: int) -> tuple[Counter[str], int]:
            return play(driver, server, Path(name), seed, browser_kills=8, server_kills=4), 1

        failed = soak(
            *asked(40), walk, lambda counts: counts["kills of the browser"] + counts["kills of the server"], words
        )
        if not server.is_running:
            server.start()
    return failed


if __name__ == "__main__":
    sys.exit(main())
