"""A state of a screen as a person sees it: in both themes, nothing for axe to find, nothing wider than the screen."""

from __future__ import annotations

from playwright.sync_api import Page

from tests.browser.axe import violations
from tests.browser.hand import picture


def look(page: Page, name: str) -> None:
    """Keep pictures of a state in both themes, have axe look at it, and let nothing reach beyond its width."""
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        assert violations(page) == []
        assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
        picture(page, f"{name}-{scheme}")
    page.emulate_media(color_scheme="light")
