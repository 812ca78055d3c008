"""Wait until the memory of the started engine lies on the phone."""

from __future__ import annotations

from playwright.sync_api import Page

#: Asked again and again by the page itself: a driver that waits for a function takes the promise of an answer for a yes.
_KEPT = """async (patience) => {
  const end = performance.now() + patience;
  while (!(await caches.has('engine-memory')) || (await (await caches.open('engine-memory')).keys()).length !== 1) {
    if (performance.now() > end) throw new Error('The engine has left no memory of itself.');
    await new Promise((go) => setTimeout(go, 50));
  }
}"""


def wait_for_kept_memory(page: Page, patience_ms: int = 60_000) -> None:
    """Return once the page's engine has left its memory for the next start.

    Raises
    ------
    playwright.sync_api.Error
        When it has not after `patience_ms`.
    """
    page.evaluate(_KEPT, patience_ms)
