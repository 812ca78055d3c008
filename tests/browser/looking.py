"""A state of a screen as a person sees it: in both themes, nothing for axe to find, nothing wider than the screen."""

from __future__ import annotations

from playwright.sync_api import Page

from tests.browser.axe import violations
from tests.browser.hand import picture

#: The sizes of a phone's window and of a laptop's, for a state that takes long to reach and is looked at in both.
PHONE, LAPTOP = (390, 844), (1280, 800)


def look(page: Page, name: str) -> None:
    """Keep pictures of a state in both themes, have axe look at it, and let nothing reach beyond its width."""
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        assert violations(page) == []
        assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
        picture(page, f"{name}-{scheme}")
    page.emulate_media(color_scheme="light")


def look_at_both_sizes(page: Page, name: str) -> None:
    """Look at a state as wide as a phone and as wide as a laptop; the window gets back the size that it had."""
    before = page.viewport_size
    for words, (width, height) in (("phone", PHONE), ("laptop", LAPTOP)):
        page.set_viewport_size({"width": width, "height": height})
        look(page, f"{name}-{words}")
    if before is not None:
        page.set_viewport_size(before)
