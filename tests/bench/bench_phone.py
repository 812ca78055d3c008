"""How soon the app is usable from a cold start with no office to ask, and how big it is; figures, not a test.

The aim is under 0.5 s to a form that takes an answer at 4× slowdown, and less than 150 KB of gzipped JavaScript.  A slow phone is
imitated by holding every process of the browser still for three quarters of the time: a browser's own throttle leaves
its workers and its storage at full speed.
"""

from __future__ import annotations

import gzip
import os
import signal
import statistics
import sys
import tempfile
import threading
import time
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import expect, sync_playwright

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.support.chromium import Chromium, Screen
from tests.support.server import Server
from wattwalk.paths import pwa_folder

ROUNDS = 5
SLICE_S = 0.008
#: Notes when an answer could first be typed: the field is drawn and takes the cursor.
WATCH = """
(() => {
  const look = () => {
    const field = document.querySelector('#field-name input');
    if (field && field.getClientRects().length) { field.focus(); window.usableAt = performance.now(); } else requestAnimationFrame(look);
  };
  requestAnimationFrame(look);
})();
"""


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
    page.get_by_role("button", name="Fetch").first.click()
    page.get_by_role("link", name="Rooms").first.click()
    page.locator("main ul.list a").first.click()
    expect(page.get_by_label("Length × width × height")).to_be_visible()
    page.evaluate("async () => { await navigator.serviceWorker.ready; }")
    expect(page.get_by_text("At the office").first).to_be_visible()
    address = page.url
    browser.close()
    return address


def start(browser: Chromium, address: str, times: int) -> float:
    """Start the browser cold and return the milliseconds from navigation to a usable form."""
    context = browser.start(offline=True)
    page = browser.page()
    context.add_init_script(WATCH)
    with slowed(browser, times):
        page.goto(address)
        page.wait_for_function("() => window.usableAt !== undefined")
    taken = page.evaluate("() => window.usableAt")
    browser.close()
    return float(taken)


def main() -> None:
    """Print sizes and times."""
    scripts = [path for path in pwa_folder().rglob("*.js") if path.name != "sw.js"]
    raw = sum(path.stat().st_size for path in scripts)
    packed = sum(len(gzip.compress(path.read_bytes(), 9)) for path in scripts)
    whole = sum(path.stat().st_size for path in pwa_folder().rglob("*") if path.is_file())
    print(f"JavaScript: {packed / 1024:.0f} KB gzipped, {raw / 1024:.0f} KB raw (aim: under 150 KB gzipped); all that is kept on the phone: {whole / 1024:.0f} KB")
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as driver, Server(Path(folder), demo=True) as server:
        browser = Chromium(driver, Path(folder) / "profile", Screen.PHONE)
        address = prepare(browser, server.url)
        server.stop()
        for times in (1, 4, 6):
            taken = [start(browser, address, times) for _ in range(ROUNDS)]
            print(f"offline, server stopped, {times}× slowdown: form usable after {statistics.median(taken):.0f} ms (from {min(taken):.0f} to {max(taken):.0f})")
        server.start()


if __name__ == "__main__":
    main()
