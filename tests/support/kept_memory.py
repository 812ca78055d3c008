"""Wait until the memory of the started engine lies on the phone."""

from __future__ import annotations

from playwright.sync_api import Page

from tests.support.until import until

_KEPT = """async () => (await caches.has('engine-memory')) && (await (await caches.open('engine-memory')).keys()).length === 1"""


def wait_for_kept_memory(page: Page) -> None:
    """Return once the page's engine has left its memory for the next start.

    Raises
    ------
    playwright.sync_api.Error
        When it never has.
    """
    until(page, _KEPT)
