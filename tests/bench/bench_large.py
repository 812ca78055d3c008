"""A survey of 60 rooms, 600 surfaces and 300 photos on a phone of 360 px, and at the office; figures, not a test.

The budgets, in plain words, for a phone at full speed and for one that is four times as slow:

- the survey stands after the app was opened cold within 0.8 s (2.5 s), from the list of surveys within 0.3 s (1.2 s);
- a tap on another screen is answered within 0.1 s (0.4 s), and all 300 photos are in their list within 0.2 s (0.8 s);
- no frame takes longer than 0.1 s (0.4 s) while the photos are flicked through, 0.3 s the first time, while their small copies are made;
- a key is on the screen within 0.05 s (0.2 s), a size is saved within 0.15 s (0.6 s) of leaving its line, and the new figure stands within
  0.5 s (2 s) of its last key, of which the engine takes 0.15 s (0.6 s);
- a photo is scaled, stored and read back within 1 s (3 s);
- the first exchange of the whole survey takes 60 s at most, and no more bytes than its photos and a twentieth;
- a second phone has the survey within 10 s; the office's results stand within 3 s and its report is made within 30 s.

A slow phone is imitated as in `bench_phone.py`. The phone has no signal until the last part, so that the exchange disturbs no figure.
One part alone is measured by its name: `bench_large.py --only walking --times 4`.
"""

from __future__ import annotations

import argparse
import json
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from playwright.sync_api import Page, expect, sync_playwright

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.bench.bench_phone import at_95, slowed
from tests.browser.hand import sign_in
from tests.browser.reasons import reasons
from tests.support.chromium import Chromium, Screen
from tests.support.houses import camera_pictures, large_house, with_photos
from tests.support.server import Server

PHOTOS, TAKEN = 300, 12
ROUNDS, TYPED = 5, 20
#: What can be measured by itself, in the order in which it is.
PARTS = ("opening", "first", "walking", "typing", "taking", "exchange", "office", "report")
HOME = "#/survey/large-house"
ROOM = f"{HOME}/record/room/room-30"

#: Milliseconds allowed at full speed and at a quarter of it.
BUDGETS = {
    "opening the survey, app started cold": (800, 2_500),
    "opening the survey from the list": (300, 1_200),
    "to the rooms": (100, 400),
    "to one room": (100, 400),
    "to the walk": (100, 400),
    "to before you leave": (100, 400),
    "to the photos": (100, 400),
    "until all photos are there": (200, 800),
    "scrolling the photos for the first time, longest frame": (300, 1_200),
    "scrolling the photos, longest frame": (100, 400),
    "from key to screen": (50, 200),
    "from leaving the line to saved": (150, 600),
    "from the last key to the new figure": (500, 2_000),
    "of that the engine": (150, 600),
    "a photo, from the camera to saved": (1_000, 3_000),
}

#: Notes when a screen that the address names first stands with its heading drawn.
WATCH = """(() => {
  const look = () => {
    if (document.querySelector('ol.walk li')) requestAnimationFrame(() => setTimeout(() => { window.standsAt = performance.now(); }));
    else requestAnimationFrame(look);
  };
  requestAnimationFrame(look);
})();"""
#: Goes to an address and answers with the milliseconds until the new heading and so many filled lines under it have been painted, for each count.
GO = """([hash, title, counts]) => new Promise((done) => {
  const begun = performance.now();
  const taken = [];
  location.hash = hash;
  const look = () => {
    const lines = document.querySelector('h1')?.textContent === title ? document.querySelectorAll('main li:not(:empty)').length : -1;
    const stands = counts.filter((count) => lines >= count).length;
    if (stands > taken.length)
      requestAnimationFrame(() => setTimeout(() => {
        while (taken.length < stands) taken.push(performance.now() - begun);
        if (taken.length === counts.length) done(taken);
        else look();
      }));
    else requestAnimationFrame(look);
  };
  look();
})"""
#: Scrolls the screen from top to end, a thumb's flick a frame, and answers with every frame's milliseconds.
SCROLL = """() => new Promise((done) => {
  const frames = [];
  let before = performance.now();
  const on = (now) => {
    frames.push(now - before);
    before = now;
    const at = scrollY;
    scrollBy(0, 240);
    if (scrollY === at) done(frames.slice(1));
    else requestAnimationFrame(on);
  };
  scrollTo(0, 0);
  requestAnimationFrame((now) => { before = now; requestAnimationFrame(on); });
})"""
#: Types a size key by key, leaves the line, and answers with the milliseconds of every key until it was painted, to saved and to the new figure.
TYPE = """(text) => new Promise(async (done) => {
  const foot = document.querySelector('.foot-figures');
  const box = document.querySelector('section[aria-label="The box"]');
  const input = box.querySelector('input');
  const before = foot.querySelector('b').textContent;
  const painted = () => new Promise((drawn) => requestAnimationFrame(() => setTimeout(drawn)));
  const keys = [];
  let last = 0;
  let figure = 0;
  let saved = 0;
  const watch = new MutationObserver(() => {
    if (!figure && foot.querySelector('b').textContent !== before) figure = performance.now();
    if (!saved && box.querySelector('.field-saved')) saved = performance.now();
  });
  watch.observe(document.body, { subtree: true, childList: true, characterData: true });
  input.focus();
  // The first two say no size yet, so that the new figure is owed to the last.
  for (const at of [1, 2, text.length]) {
    last = performance.now();
    input.value = text.slice(0, at);
    input.dispatchEvent(new Event('input', { bubbles: true }));
    await painted();
    keys.push(performance.now() - last);
    if (at < text.length) await new Promise((on) => setTimeout(on, 120));
  }
  const left = performance.now();
  input.blur();
  while (!saved || !figure) await painted();
  watch.disconnect();
  // The next one starts from a quiet app.
  setTimeout(() => done({ keys, saved: saved - left, figure: figure - last, engine: performance.getEntriesByName('engine-figures')[0].detail }), 900);
})"""
#: Notes when a file was chosen and when its photo was said to be saved.
WATCH_PHOTO = """() => {
  addEventListener('change', () => {
    const begun = performance.now();
    window.photoTook = null;
    const count = document.querySelectorAll('ul.photos > li').length;
    const watch = new MutationObserver(() => {
      if (document.querySelector('.take[aria-busy=true]') || document.querySelectorAll('ul.photos > li').length === count) return;
      watch.disconnect();
      window.photoTook = performance.now() - begun;
    });
    watch.observe(document.body, { subtree: true, childList: true, attributes: true });
  }, true);
}"""


def say(words: str, taken: list[float], times: int, *, is_worst: bool = False) -> None:
    """Print the middle and the 95th percentile of what was taken, or the worst alone, beside what is allowed."""
    allowed = BUDGETS[words][times > 1]
    found = max(taken) if is_worst else statistics.median(taken)
    more = "" if is_worst or len(taken) < 2 else f", {at_95(taken):.0f} ms at the 95th percentile"
    print(f"  {words}: {found:.0f} ms{more} (at most {allowed} ms{'' if found <= allowed else ', OVER'})", flush=True)


def put_on_the_phone(browser: Chromium, url: str, copy: Path) -> None:
    """Sign in, lose the signal, and read the file copy of the survey back."""
    browser.start()
    page = browser.page()
    sign_in(page, url, "surveyor@demo.example", "walk-the-house")
    page.evaluate("async () => { await navigator.serviceWorker.ready; }")
    page.context.set_offline(True)
    page.goto(f"{url}/#/sync")
    begun = time.perf_counter()
    page.locator("#copy-back").set_input_files(copy)
    expect(page.get_by_text("The copy was read back")).to_be_visible(timeout=300_000)
    print(
        f"the file copy of {copy.stat().st_size / 1e6:.0f} MB read back after {time.perf_counter() - begun:.1f} s",
        flush=True,
    )
    go(page, HOME, "Test household", 5)
    expect(page.locator(".foot-figures")).to_contain_text("Heat loss", timeout=120_000)
    page.wait_for_timeout(3_000)
    browser.close()


def go(page: Page, address: str, title: str, *lines: int) -> list[float]:
    """Go to a screen and return how long it took until each of so many lines stood, ms."""
    return page.evaluate(GO, [address, title, lines or [0]])


def opening(browser: Chromium, url: str, times: int) -> None:
    """Start the browser again and again and print how long it takes until the survey stands."""
    cold, warm = [], []
    for _ in range(ROUNDS):
        context = browser.start(offline=True)
        page = browser.page()
        context.add_init_script(WATCH)
        page.wait_for_timeout(1_500)
        with slowed(browser, times):
            page.goto(f"{url}/{HOME}")
            page.wait_for_function("() => window.standsAt !== undefined", timeout=60_000)
            cold.append(page.evaluate("() => window.standsAt"))
        browser.close()
    browser.start(offline=True)
    page = browser.page()
    for _ in range(ROUNDS):
        page.goto(f"{url}/#/")
        page.reload()
        expect(page.get_by_role("link", name="Test household")).to_be_visible()
        page.wait_for_timeout(1_000)
        with slowed(browser, times):
            warm += go(page, HOME, "Test household", 5)
    browser.close()
    say("opening the survey, app started cold", cold, times)
    say("opening the survey from the list", warm, times)


#: So many lines ask for the photos that the job wants, above all that were taken.
WANTED = 7


def screens(photos: int) -> tuple[tuple[str, str, dict[str, int]], ...]:
    """Return what is gone to by turns: address, heading, and after how many lines what of it stands."""
    return (
        (HOME, "Test household", {"to the walk": 5}),
        (f"{HOME}/stage/rooms", "Rooms", {"to the rooms": 60}),
        (ROOM, "Room 30", {"to one room": 0}),
        (
            f"{HOME}/stage/photos",
            "Photos",
            {"to the photos": WANTED + 1, "until all photos are there": WANTED + photos},
        ),
        (f"{HOME}/stage/leaving", "Before you leave", {"to before you leave": 1}),
    )


def round_trip(page: Page, photos: int, taken: dict[str, list[float]]) -> None:
    """Go to each screen once and note how long it took."""
    for address, title, stands in screens(photos):
        for words, took in zip(stands, go(page, address, title, *stands.values()), strict=True):
            taken.setdefault(words, []).append(took)
        page.wait_for_timeout(300)


def home(browser: Chromium, url: str) -> Page:
    """Start the browser without signal and return the page once the survey's walk stands with its figures."""
    browser.start(offline=True)
    page = browser.page()
    page.goto(f"{url}/{HOME}")
    expect(page.locator(".foot-figures")).to_contain_text("Heat loss", timeout=120_000)
    return page


def first(browser: Chromium, url: str, times: int, photos: int) -> None:
    """Start the app again and again, go at once to each screen for the first time, and print how long each takes to stand."""
    taken: dict[str, list[float]] = {}
    for _ in range(ROUNDS):
        page = home(browser, url)
        with slowed(browser, times):
            round_trip(page, photos, taken)
        browser.close()
    print("  right after the app's start, each for the first time:", flush=True)
    for words, found in taken.items():
        say(words, found, times)


def walking(page: Page, browser: Chromium, times: int, photos: int) -> None:
    """Go from screen to screen and print how long each takes to stand."""
    taken: dict[str, list[float]] = {}
    with slowed(browser, times):
        for _ in range(ROUNDS):
            round_trip(page, photos, taken)
        for words, found in taken.items():
            say(words, found, times)
        go(page, f"{HOME}/stage/photos", "Photos", WANTED + photos)
        if times == 1:
            say("scrolling the photos for the first time, longest frame", page.evaluate(SCROLL), times, is_worst=True)
            page.wait_for_timeout(5_000)
        say("scrolling the photos, longest frame", page.evaluate(SCROLL), times, is_worst=True)


def typing(page: Page, browser: Chromium, times: int) -> None:
    """Type sizes in a room and print how long each step takes."""
    go(page, ROOM, "Room 30")
    page.get_by_text("live on this phone").wait_for(timeout=60_000)
    with slowed(browser, times):
        found = [page.evaluate(TYPE, f"{4 + times / 10 + number / 100:.2f} x 3.5 x 2.4") for number in range(TYPED)]
    say("from key to screen", [key for each in found for key in each["keys"]], times)
    for words, name in (
        ("from leaving the line to saved", "saved"),
        ("from the last key to the new figure", "figure"),
        ("of that the engine", "engine"),
    ):
        say(words, [each[name] for each in found], times)


def taking(page: Page, browser: Chromium, times: int, files: list[Path]) -> None:
    """Take photos one by one where there are nearly 300 already, and print how long each takes."""
    go(page, f"{HOME}/stage/photos", "Photos")
    page.evaluate(WATCH_PHOTO)
    taken = []
    with slowed(browser, times):
        for file in files:
            page.get_by_role("region", name="All photos").locator("input[type=file]").first.set_input_files(file)
            taken.append(page.wait_for_function("() => window.photoTook", timeout=60_000).json_value())
            page.wait_for_timeout(500)
    say("a photo, from the camera to saved", taken, times)


class Counted:
    """Counts the bytes of a page's exchange with the office, bodies and headers."""

    def __init__(self, page: Page) -> None:
        self.up = self.down = self.requests = 0
        page.on("requestfinished", self._count)

    def _count(self, request: Any) -> None:
        if "/api/" not in request.url:
            return
        sizes = request.sizes()
        self.requests += 1
        self.up += sizes["requestBodySize"] + sizes["requestHeadersSize"]
        self.down += sizes["responseBodySize"] + sizes["responseHeadersSize"]

    def __str__(self) -> str:
        return f"{self.requests} requests, {self.up / 1e6:.2f} MB up, {self.down / 1e6:.2f} MB down"


def first_exchange(page: Page, photos: int, photo_bytes: int) -> None:
    """Give the phone its signal and print what it took until all of the survey was at the office."""
    counted = Counted(page)
    go(page, f"{HOME}/stage/photos", "Photos")
    begun = time.perf_counter()
    page.context.set_offline(False)
    page.evaluate("() => dispatchEvent(new Event('online'))")
    expect(page.get_by_text(f"All {photos} photos of this phone are at the office.")).to_be_visible(timeout=300_000)
    expect(page.get_by_role("status").filter(has_text="At the office").first).to_be_visible(timeout=60_000)
    print(
        f"the first exchange of the whole survey: {time.perf_counter() - begun:.0f} s (at most 60 s), {counted}; {counted.up / photo_bytes:.3f} of the photos' own {photo_bytes / 1e6:.1f} MB",
        flush=True,
    )


def second_phone(browser: Chromium, url: str) -> None:
    """Fetch the survey on another phone."""
    browser.start()
    page = browser.page()
    sign_in(page, url, "surveyor@demo.example", "walk-the-house")
    counted = Counted(page)
    begun = time.perf_counter()
    page.get_by_role("listitem").filter(has_text="Test household").get_by_role("button", name="Fetch").click()
    expect(page.locator(".foot-figures")).to_contain_text("Heat loss", timeout=60_000)
    stands = time.perf_counter() - begun
    expect(page.get_by_role("status").filter(has_text="At the office").first).to_be_visible(timeout=60_000)
    print(f"on a second phone: its figures after {stands:.1f} s (at most 10 s), {counted}", flush=True)
    browser.close()


def at_the_office(browser: Chromium, url: str, asked: argparse.Namespace) -> None:
    """Open the results on a laptop, which has nothing of the survey yet, and make the report."""
    browser.start()
    page = browser.page()
    sign_in(page, url, "surveyor@demo.example", "walk-the-house")
    page.goto(f"{url}/#/office")
    expect(page.get_by_role("heading", level=1)).to_be_visible()
    begun = time.perf_counter()
    page.get_by_role("link", name="Test household").first.click()
    expect(page.get_by_text("The house loses")).to_be_visible(timeout=60_000)
    print(f"the office's results stand after {time.perf_counter() - begun:.1f} s (at most 3 s)", flush=True)
    if "report" in asked.only:
        make_report(page, url)
    browser.close()


def make_report(page: Page, url: str) -> None:
    """Have the report made and print how long that takes."""
    begun = time.perf_counter()
    answer = page.context.request.post(
        f"{url}/api/surveys/large-house/reports",
        data=reasons(page, f"{url}/api/surveys/large-house"),
    )
    made = answer.json()
    while made["state"] in ("waiting", "rendering"):
        time.sleep(0.1)
        made = page.context.request.get(f"{url}{answer.headers['location']}").json()
    if made["state"] != "ready":
        raise SystemExit(f"The report was not made: {made}")
    print(f"the report is made after {time.perf_counter() - begun:.1f} s (at most 30 s)", flush=True)


def asked_for(arguments: list[str]) -> argparse.Namespace:
    """Read what is to be measured."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--only", nargs="+", choices=PARTS, default=PARTS, help="what to measure")
    parser.add_argument("--times", nargs="+", type=int, default=[1, 4], help="how many times as slow, by turns")
    return parser.parse_args(arguments)


def on_the_phone(browser: Chromium, url: str, asked: argparse.Namespace, files: list[Path]) -> int:
    """Print what was asked for of the phone without signal; return how many photos are on it then."""
    there = PHOTOS - TAKEN
    for turn, times in enumerate(asked.times):
        print(f"on the phone, without signal, {times}× slowdown:", flush=True)
        if "opening" in asked.only:
            opening(browser, url, times)
        if "first" in asked.only:
            first(browser, url, times, there)
        if not {"walking", "typing", "taking"} & set(asked.only):
            continue
        page = home(browser, url)
        if "walking" in asked.only:
            walking(page, browser, times, there)
        if "typing" in asked.only:
            typing(page, browser, times)
        if "taking" in asked.only:
            more = files[turn :: len(asked.times)]
            taking(page, browser, times, more)
            there += len(more)
        browser.close()
    return there


def main(arguments: list[str]) -> None:
    """Print the figures."""
    asked = asked_for(arguments)
    with (
        tempfile.TemporaryDirectory() as folder,
        sync_playwright() as driver,
        Server(Path(folder), demo=True) as server,
        Chromium(driver, Path(folder) / "phone", Screen.PHONE) as browser,
    ):
        pictures = list(camera_pictures(PHOTOS))
        copy = Path(folder) / "copy.json"
        copy.write_text(json.dumps(with_photos(large_house(), pictures[TAKEN:])))
        files = [Path(folder) / f"{number}.jpg" for number in range(TAKEN)]
        for file, data in zip(files, pictures, strict=False):
            file.write_bytes(data)
        of_the_office = {"office", "report"}
        if set(asked.only) - of_the_office:
            put_on_the_phone(browser, server.url, copy)
            there = on_the_phone(browser, server.url, asked, files)
        if "exchange" in asked.only:
            page = home(browser, server.url)
            first_exchange(page, there, sum(len(data) for data in pictures[PHOTOS - there :]))
            browser.close()
        elif of_the_office & set(asked.only):
            program = Path(sys.executable).parent / "wattwalk"
            subprocess.run(
                [program, "import", copy], check=True, capture_output=True, env={"WATTWALK_HOME": str(server.home)}
            )
        if "office" in asked.only:
            second_phone(Chromium(driver, Path(folder) / "second", Screen.PHONE), server.url)
        if of_the_office & set(asked.only):
            at_the_office(Chromium(driver, Path(folder) / "laptop", Screen.LAPTOP), server.url, asked)


if __name__ == "__main__":
    main(sys.argv[1:])
