"""The pictures that a browser shows to whoever installs the app, made anew of the demo house: `python -m tests.browser.screenshots`."""

from __future__ import annotations

import io
import tempfile
from pathlib import Path

from PIL import Image
from playwright.sync_api import Page, sync_playwright

from tests.browser.hand import open_demo_house
from tests.browser.keyboard import open_screen
from tests.support.chromium import Chromium, Screen
from tests.support.server import Server

FOLDER = Path(__file__).resolve().parents[2] / "pwa" / "public" / "screenshots"
#: Each by its name, the screen, its size, and how far down it begins.
PICTURES = (
    ("walk", "", (390, 844), None),
    ("room", "record/room/room-bathroom", (390, 844), "svg.box"),
    ("base", "record/base/base-back", (390, 844), "svg.slab"),
    ("office", "office/results", (1280, 800), None),
)
#: Enough for paper, ink and one accent, and a third of the bytes.
COLOURS = 48


def take(page: Page, url: str, survey: str) -> None:
    """Take each picture and keep it small."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    for name, part, (width, height), begin in PICTURES:
        page.set_viewport_size({"width": width, "height": height})
        open_screen(page, url, f"#/survey/{survey}/{part}".rstrip("/"))
        page.wait_for_load_state("networkidle")
        if begin is not None:
            page.locator(begin).evaluate("(one) => one.scrollIntoView({ block: 'center' })")
        drawn = Image.open(io.BytesIO(page.screenshot())).convert("RGB")
        drawn.quantize(COLOURS, dither=Image.Dither.NONE).save(FOLDER / f"{name}.png", optimize=True)


def main() -> None:
    """Start the demo office and a browser, and take them all."""
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as driver:
        place = Path(folder)
        with Server(place, demo=True) as server, Chromium(driver, place / "profile", Screen.PHONE) as browser:
            browser.start(device_scale_factor=1, color_scheme="light", reduced_motion="reduce")
            take(browser.page(), server.url, open_demo_house(browser.page(), server.url))


if __name__ == "__main__":
    main()
