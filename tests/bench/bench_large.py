"""A large survey on a phone: 60 rooms, 600 surfaces, 300 photos; figures, not a test.

The aims: another screen within 200 ms, no key lost while typing, and neither the bytes nor the pixels of photos that are not near
the screen in memory.
"""

from __future__ import annotations

import json
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from PIL import Image, ImageDraw
from playwright.sync_api import Page, expect, sync_playwright

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.support.chromium import Chromium, Screen
from tests.support.houses import Document, terrace
from tests.support.server import Server

ROOMS, SURFACES, PHOTOS = 60, 600, 300
ROUNDS = 7
TYPED = "The quick surveyor walks past sixty rooms"
#: Goes to an address and answers with the milliseconds until the new heading has been painted.
GO = """([hash, title]) => new Promise((done) => {
  const begun = performance.now();
  location.hash = hash;
  const look = () => {
    const heading = document.querySelector('h1');
    if (heading?.textContent === title && document.querySelector('main')?.children.length) requestAnimationFrame(() => setTimeout(() => done(performance.now() - begun)));
    else requestAnimationFrame(look);
  };
  look();
})"""
#: Notes for each key how long it was until the screen was painted with it.
WATCH_KEYS = """() => {
  window.keys = [];
  addEventListener('keydown', () => { const at = performance.now(); requestAnimationFrame(() => setTimeout(() => window.keys.push(performance.now() - at))); }, true);
}"""


def large_house() -> Document:
    """Return a terrace with more walls than it needs, and no photo yet."""
    document = terrace(ROOMS)
    surfaces = document["records"]["surface"]
    for place in range(SURFACES - len(surfaces)):
        surfaces.append({"id": f"more-{place}", "room": f"room-{place % ROOMS}", "element": "wall", "construction": "wall", "width_m": 1, "height_m": 2.4, "other_side": "outside"})
    return document


def make_photos(folder: Path) -> list[Path]:
    """Draw as many photos as the survey holds, no two alike, of a camera's shape."""
    made = []
    for number in range(PHOTOS):
        image = Image.effect_noise((1600, 1200), 30).convert("RGB")
        ImageDraw.Draw(image).rectangle((number * 4, 300, number * 4 + 300, 900), fill=(number % 256, 90, 160))
        made.append(folder / f"{number}.jpg")
        image.save(made[-1], quality=70)
    return made


def come_in(page: Page, url: str) -> str:
    """Sign in, fetch the house, and return the address of its home without the server's part."""
    page.goto(url)
    page.get_by_label("Email").fill("surveyor@demo.example")
    page.get_by_label("Password").fill("walk-the-house")
    page.get_by_role("button", name="Sign in").click()
    begun = time.perf_counter()
    page.get_by_role("listitem").filter(has_text="Test household").get_by_role("button", name="Fetch").click()
    expect(page.locator(".foot-figures")).to_contain_text("Heat loss", timeout=60_000)
    expect(page.get_by_role("status").filter(has_text="At the office").first).to_be_visible(timeout=60_000)
    print(f"fetched to the phone with its figures after {time.perf_counter() - begun:.1f} s")
    return page.url.split("#")[1].split("/stop")[0]


def take_all(page: Page, home: str, photos: list[Path]) -> None:
    """Put every photo into the survey as one would who has taken them with the camera's own app, and let them reach the office."""
    page.evaluate("(hash) => { location.hash = hash; }", f"{home}/stop/photos")
    chooser = page.get_by_role("region", name="All photos").locator("input[multiple]")
    begun = last = time.perf_counter()
    for start in range(0, PHOTOS, 50):
        chooser.set_input_files(photos[start : start + 50])
        expect(page.get_by_role("heading", name=f"All photos ({start + 50})")).to_be_visible(timeout=180_000)
        expect(page.locator(".take[aria-busy=true]")).to_have_count(0, timeout=30_000)
        now = time.perf_counter()
        print(f"photos {start + 1} to {start + 50} scaled, stored and read back: {(now - last) / 50 * 1000:.0f} ms each", flush=True)
        last = now
    expect(page.get_by_text(f"All {PHOTOS} photos of this phone are at the office.")).to_be_visible(timeout=300_000)
    print(f"all {PHOTOS} at the office {time.perf_counter() - begun:.0f} s after the first was chosen")


def memory(page: Page) -> tuple[float, int]:
    """Return the page's heap in MB after a collection, and how many pictures it holds."""
    session = page.context.new_cdp_session(page)
    session.send("HeapProfiler.collectGarbage")
    used = session.send("Runtime.getHeapUsage")
    session.detach()
    return (used["usedSize"] + used.get("backingStorageSize", 0)) / 1e6, page.locator("main img").count()


def screens(page: Page, home: str) -> None:
    """Print how long each of the long screens takes to stand."""
    for name, path, title in (
        ("the walk", home, "Test household"), ("rooms", f"{home}/stop/rooms", "Rooms"), ("one room", f"{home}/record/room/room-30", "Room 30"),
        ("photos", f"{home}/stop/photos", "Photos"), ("before you leave", f"{home}/stop/leaving", "Before you leave"),
    ):
        taken = []
        for _ in range(ROUNDS):
            page.evaluate(GO, [f"{home}/stop/constructions", "Usual constructions"])
            taken.append(page.evaluate(GO, [path, title]))
        print(f"{name}: {statistics.median(taken):.0f} ms (from {min(taken):.0f} to {max(taken):.0f})")


def main() -> None:
    """Print the figures."""
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as driver, Server(Path(folder), demo=True) as server, Chromium(driver, Path(folder) / "profile", Screen.PHONE) as browser:
        document = Path(folder) / "large.json"
        document.write_text(json.dumps(large_house()))
        program = Path(sys.executable).parent / "wattwalk"
        subprocess.run([program, "import", document], check=True, capture_output=True, env={"WATTWALK_HOME": str(Path(folder) / "var")})
        photos = make_photos(Path(folder))
        browser.start()
        page = browser.page()
        home = come_in(page, server.url)
        take_all(page, home, photos)
        page.reload()
        expect(page.get_by_role("heading", name=f"All photos ({PHOTOS})")).to_be_visible()
        before = memory(page)
        for _ in range(60):
            page.mouse.wheel(0, 1200)
            page.wait_for_timeout(60)
        page.wait_for_timeout(1_000)
        after = memory(page)
        print(f"the list of {PHOTOS} photos: {before[1]} pictures read at first, {before[0]:.0f} MB of heap; scrolled through: {after[1]} pictures, {after[0]:.0f} MB")
        screens(page, home)
        page.evaluate(GO, [f"{home}/record/room/room-30", "Room 30"])
        page.evaluate(WATCH_KEYS)
        name = page.locator("#field-name input")
        name.fill("")
        name.press_sequentially(TYPED, delay=35)
        keys = page.evaluate("() => window.keys")
        kept = name.input_value()
        print(f"typing: {statistics.median(keys):.0f} ms from key to paint, {max(keys):.0f} ms at most; {len(TYPED) - len(kept)} of {len(TYPED)} keys lost")


if __name__ == "__main__":
    main()
