"""How soon the app and its engine are usable, how fast figures follow an edit, and how big it all is; figures, not a test.

The aims, with no office to ask: a form that takes an answer in at most twice the time of a bare page kept in the same browser
(`bare_page.py`), the engine in at most five times, unslowed and at 4× slowdown; under 150 ms of the worker's time for an edit of a
house of 20 rooms at the 95th percentile at 4×; nothing blocks for 200 ms at 4× while a screen opens in a cold start, and a key pressed in
a room is answered on the screen within 200 ms.  How soon the engine can be ready at all is told by an empty Python.  A slow phone is imitated by holding every process of the browser still for three
quarters of the time: a browser's own throttle leaves its workers and its storage at full speed.  Page and app are started by turns,
so that whatever else the machine does is met by both; the least of each is what disturbs the least.
"""

from __future__ import annotations

import gzip
import json
import os
import signal
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import expect, sync_playwright

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.bench.bare_page import BarePage
from tests.support.chromium import Chromium, Screen
from tests.support.houses import terrace
from tests.support.kept_memory import wait_for_kept_memory
from tests.support.server import Server
from wattwalk.paths import pwa_folder

ROUNDS = 5
#: At most so many times the bare page's time until the form is usable, and until the engine is ready.
FORM_TIMES, ENGINE_TIMES = 2.0, 5.0
#: Milliseconds that nothing may block for while a screen opens, and that the slowest of the ordinary keys may take to be answered.
BLOCKED_MS, ANSWERED_MS = 200, 200
#: How often a screen is opened for what blocks meanwhile.
OPENED = 3
EDITS = 30
ROOMS = 20
SLICE_S = 0.008
#: Notes when an answer could first be typed: the field is drawn and takes the cursor. It is told by the console, as the engine's being
#: ready is: a driver that asks the page puts a script of its own into it, in the middle of what is timed.
USABLE, READY = "the form is usable", "the engine is ready"
WATCH = f"""
(() => {{
  new PerformanceObserver((seen) => {{
    if (seen.getEntriesByName('engine-ready').length) console.debug('{READY}');
  }}).observe({{ type: 'mark' }});
  const look = () => {{
    const field = document.querySelector('#field-name input');
    if (!field?.getClientRects().length) return requestAnimationFrame(look);
    field.focus();
    window.usableAt = performance.now();
    console.debug('{USABLE}');
  }};
  requestAnimationFrame(look);
}})();
"""

#: Keeps every task longer than 50 ms, and every event that took 16 ms or more until its answer was on the screen.
WATCH_TASKS = """
window.tasks = [];
window.events = [];
new PerformanceObserver((seen) => window.tasks.push(...seen.getEntries().map((each) => each.duration))).observe({ type: 'longtask', buffered: true });
new PerformanceObserver((seen) => window.events.push(...seen.getEntries().filter((each) => each.interactionId)
  .map((each) => [each.interactionId, each.duration]))).observe({ type: 'event', durationThreshold: 16, buffered: true });
"""
#: The screens whose opening is watched, behind the survey's own address.
SCREENS = {
    "the list of surveys": None,
    "the survey": "",
    "its rooms": "/stage/rooms",
    "the office's page": "/office",
    "its results": "/results",
    "a room": "/record/room/room-10",
}

#: Types a size as a thumb does and waits for the foot to show another loss.
CHANGE = """(text) => new Promise((done) => {
  const foot = document.querySelector('.foot-figures');
  const input = document.querySelector('section[aria-label="The box"] input');
  const before = foot.querySelector('b').textContent;
  const begun = performance.now();
  const watch = new MutationObserver(() => {
    if (foot.querySelector('b').textContent === before) return;
    watch.disconnect();
    const seen = performance.now() - begun;
    // The edit is put on the storage meanwhile; the next one starts from a quiet app.
    setTimeout(() => done([performance.getEntriesByName('engine-figures')[0].detail, seen]), 400);
  });
  watch.observe(foot, { subtree: true, childList: true, characterData: true });
  input.focus();
  input.value = text;
  input.dispatchEvent(new Event('input', { bubbles: true }));
  input.blur();
})"""


@contextmanager
def slowed(browser: Chromium, times: int):
    """Let the browser's processes run for one slice in ``times`` only."""
    if times == 1:
        yield
        return
    is_over = threading.Event()
    groups = browser.groups()

    def hold() -> None:
        while not is_over.is_set():
            for group in groups:
                os.killpg(group, signal.SIGSTOP)
            time.sleep(SLICE_S * (times - 1))
            for group in groups:
                os.killpg(group, signal.SIGCONT)
            time.sleep(SLICE_S)

    holder = threading.Thread(target=hold)
    holder.start()
    try:
        yield
    finally:
        is_over.set()
        holder.join()


def prepare(browser: Chromium, url: str) -> str:
    """Sign in, fetch the demo house, and return the address of one of its rooms."""
    browser.start()
    page = browser.page()
    page.goto(url)
    page.get_by_label("Email").fill("surveyor@demo.example")
    page.get_by_label("Password").fill("walk-the-house")
    page.get_by_role("button", name="Sign in").click()
    for words in ("Test household", "Thimbleworth"):
        page.get_by_role("listitem").filter(has_text=words).get_by_role("button", name="Fetch").click()
        expect(page.locator(".foot-figures")).to_contain_text("Heat loss", timeout=60_000)
        if words == "Test household":
            page.goto(url)
    page.get_by_role("link", name="Rooms").first.click()
    page.locator("main ul.list a").first.click()
    expect(page.get_by_label("Length × width × height")).to_be_visible()
    page.evaluate("async () => { await navigator.serviceWorker.ready; }")
    expect(page.get_by_text("At the office").first).to_be_visible()
    address = page.url
    # The first start leaves its memory on the phone for the next, which takes a moment more.
    wait_for_kept_memory(page)
    # What was put there is told before it is on the disk.
    page.wait_for_timeout(1_500)
    browser.close()
    return address


def keep_bare(browser: Chromium, bare: BarePage) -> None:
    """Let the browser keep the bare page, and end its server."""
    browser.start()
    page = browser.page()
    page.goto(bare.url)
    page.evaluate("async () => { await navigator.serviceWorker.ready; }")
    # From the second opening on it is the kept page that stands, and an engine that begins with its kept memory.
    page.reload()
    page.wait_for_function("() => navigator.serviceWorker.controller !== null")
    for _ in range(2):
        page.goto(f"{bare.url}with-engine")
        page.wait_for_function("() => performance.getEntriesByName('engine-ready').length > 0", timeout=60_000)
    browser.close()
    bare.stop()


def start(browser: Chromium, address: str, times: int, *, has_engine: bool) -> tuple[float, float | None]:
    """Start the browser cold and return the milliseconds from navigation to a usable form and to the engine's being ready."""
    context = browser.start(offline=True)
    page = browser.page()
    context.add_init_script(WATCH)
    # Timed is the app's start, not the browser's: that one is let finish first.
    page.wait_for_timeout(1_500)
    with slowed(browser, times):
        last = READY if has_engine else USABLE
        with page.expect_console_message(lambda message: message.text == last, timeout=120_000):
            page.goto(address, wait_until="commit")
    if has_engine:
        began_with = page.evaluate("() => performance.getEntriesByName('engine-ready')[0].detail")
        if began_with != "memory":
            raise RuntimeError(f"The engine began with {began_with}, not with its kept memory: that is another figure.")
    usable, ready = page.evaluate(
        "() => [window.usableAt, performance.getEntriesByName('engine-ready')[0]?.startTime ?? null]"
    )
    browser.close()
    return usable, ready


def said(taken: list[float]) -> str:
    """Say the least, the middle and the most of what was taken."""
    return f"{min(taken):.0f} ms (middle {statistics.median(taken):.0f}, most {max(taken):.0f})"


def pair(browser: Chromium, address: str, bare_url: str, times: int) -> None:
    """Start the bare page and the app by turns and print both, with how many times the page's time the app took."""
    bares: list[float] = []
    forms: list[float] = []
    engines: list[float] = []
    empty: list[float] = []
    for _ in range(ROUNDS):
        bares.append(start(browser, bare_url, times, has_engine=False)[0])
        usable, ready = start(browser, address, times, has_engine=True)
        forms.append(usable)
        engines.append(ready or 0.0)
        empty.append(start(browser, f"{bare_url}with-engine", times, has_engine=True)[1] or 0.0)
    print(f"offline, servers stopped, {times}× slowdown: bare page {said(bares)}")
    for name, taken, aim in (("form usable", forms, FORM_TIMES), ("engine ready", engines, ENGINE_TIMES)):
        least, middle = (of(taken) / of(bares) for of in (min, statistics.median))
        print(f"  {name} {said(taken)}: {least:.1f} times the bare page, {middle:.1f} in the middle (aim: {aim:.0f})")
    least, middle = (of(empty) / of(bares) for of in (min, statistics.median))
    print(
        f"  an empty Python ready {said(empty)}: {least:.1f} times the bare page, {middle:.1f} in the middle (the least an engine can take)"
    )


def edit(browser: Chromium, address: str, times: int) -> tuple[list[float], list[float]]:
    """Change a room again and again; return the worker's milliseconds for each edit, and those from the key to the new figure."""
    browser.start(offline=True)
    page = browser.page()
    page.goto(address)
    page.get_by_text("live on this phone").wait_for(timeout=60_000)
    worked, seen = [], []
    with slowed(browser, times):
        for number in range(EDITS):
            # Steps wide enough that each moves the watts that are shown.
            took = page.evaluate(CHANGE, f"{4.1 + number / 20:.2f} x 3.5 x 2.4")
            worked.append(took[0])
            seen.append(took[1])
    browser.close()
    return worked, seen


def blocked(browser: Chromium, address: str, times: int) -> tuple[float, float]:
    """Start the browser cold at an address; return the milliseconds of the longest task until the engine was ready, and what all of them took beyond 50 each."""
    context = browser.start(offline=True)
    page = browser.page()
    context.add_init_script(WATCH)
    context.add_init_script(WATCH_TASKS)
    page.wait_for_timeout(1_500)
    with slowed(browser, times):
        with page.expect_console_message(lambda message: message.text == READY, timeout=120_000):
            page.goto(address, wait_until="commit")
        # The first figures follow once the engine is ready, and are drawn.
        page.wait_for_timeout(1_000)
    tasks: list[float] = page.evaluate("() => window.tasks")
    browser.close()
    return max(tasks, default=0.0), sum(task - 50 for task in tasks)


def answered(browser: Chromium, room: str, times: int) -> list[float]:
    """Type into a room key by key; return the milliseconds from each key until its answer was on the screen, at least 16."""
    context = browser.start(offline=True)
    page = browser.page()
    context.add_init_script(WATCH_TASKS)
    page.goto(room)
    page.get_by_text("live on this phone").wait_for(timeout=60_000)
    page.wait_for_timeout(1_000)
    page.evaluate("() => { window.events.length = 0; }")
    keys = 0
    with slowed(browser, times):
        for place, text in (
            ("#field-name input", "Bedroom at the back"),
            ('section[aria-label="The box"] input', "4.25 x 3.65 x 2.45"),
        ):
            page.locator(place).first.focus()
            page.keyboard.press("Control+a")
            for key in [*text, "Enter"]:
                page.keyboard.press(key, delay=40)
                # Two keys a second: a thumb on glass, not a test's hurry.
                page.wait_for_timeout(400)
                keys += 1
        page.wait_for_timeout(1_000)
    longest: dict[int, float] = {}
    for interaction, took in page.evaluate("() => window.events"):
        longest[interaction] = max(took, longest.get(interaction, 0.0))
    browser.close()
    # What was answered within 16 ms is not told by the browser.
    return [*longest.values(), *[16.0] * max(0, keys - len(longest))]


def at_95(taken: list[float]) -> float:
    """Return the 95th percentile."""
    return statistics.quantiles(taken, n=20)[-1]


def main() -> None:
    """Print sizes and times."""
    scripts = [
        path for path in pwa_folder().rglob("*.js") if path.name != "sw.js" and not path.name.startswith("worker-")
    ]
    kept = [
        path
        for path in pwa_folder().rglob("*")
        if path.is_file() and path.suffix not in {".br", ".gz"} and path.name != "sw.js"
    ]
    raw = sum(path.stat().st_size for path in scripts)
    packed = sum(len(gzip.compress(path.read_bytes(), 9)) for path in scripts)
    whole = sum(path.stat().st_size for path in kept)
    sent = sum(
        min(each.stat().st_size for each in (path, path.with_name(f"{path.name}.br")) if each.exists()) for path in kept
    )
    print(
        f"JavaScript: {packed / 1024:.0f} KB gzipped, {raw / 1024:.0f} KB raw, of all screens; all that is kept on the phone: {whole / 1e6:.1f} MB, {sent / 1e6:.1f} MB on the wire"
    )
    with (
        tempfile.TemporaryDirectory() as folder,
        sync_playwright() as driver,
        Server(Path(folder), demo=True) as server,
        BarePage() as bare,
    ):
        browser = Chromium(driver, Path(folder) / "profile", Screen.PHONE)
        document = Path(folder) / "terrace.json"
        document.write_text(json.dumps(terrace(ROOMS)))
        program = Path(sys.executable).parent / "wattwalk"
        subprocess.run(
            [program, "import", document],
            check=True,
            capture_output=True,
            env={"WATTWALK_HOME": str(Path(folder) / "var")},
        )
        address = prepare(browser, server.url)
        keep_bare(browser, bare)
        server.stop()
        start(browser, address, 1, has_engine=True)
        for times in (1, 4):
            pair(browser, address, bare.url, times)
        room = (
            address.replace(address.split("/survey/")[1].split("/")[0], "small-house").split("/record/")[0]
            + "/record/room/room-10"
        )
        home = room.split("/record/")[0]
        for name, part in SCREENS.items():
            address = home.split("#")[0] if part is None else f"{home}{part}"
            each = [blocked(browser, address, 4) for _ in range(OPENED)]
            longest, beyond = sorted(item[0] for item in each), [item[1] for item in each]
            print(
                f"opening {name} cold, 4× slowdown, {OPENED} times: the longest task took {statistics.median(longest):.0f} ms in the middle, {longest[-1]:.0f} at most (aim: {BLOCKED_MS}),"
                f" all that were longer than 50 ms blocked for {statistics.median(beyond):.0f} ms"
            )
        for times in (1, 4):
            took = answered(browser, room, times)
            print(
                f"a key in a room, {times}× slowdown: on the screen after {statistics.median(took):.0f} ms, {at_95(took):.0f} ms at the 95th percentile, {max(took):.0f} ms at most (aim: {ANSWERED_MS})"
            )
        for times in (1, 4):
            worked, seen = edit(browser, room, times)
            print(
                f"an edit of a house of {ROOMS} rooms, {times}× slowdown: the worker took {statistics.median(worked):.0f} ms, {at_95(worked):.0f} ms at the 95th percentile;"
                f" the new figure stood after {statistics.median(seen):.0f} ms, {at_95(seen):.0f} ms"
            )
        server.start()


if __name__ == "__main__":
    main()
