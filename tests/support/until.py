"""Wait for an answer that a page must first go and look for: in its caches, its store, its service worker."""

from __future__ import annotations

from playwright.sync_api import Page

#: Asked again and again by the page itself: a driver that waits for a function takes the promise of an answer for a yes, and asks once.
_UNTIL = """async (patience) => {
  const ask = QUESTION;
  const end = performance.now() + patience;
  while (!(await ask())) {
    if (performance.now() > end) throw new Error('It never came true: ' + ask);
    await new Promise((go) => setTimeout(go, 50));
  }
}"""


def until(page: Page, question: str, patience_ms: int = 30_000) -> None:
    """Return once a function of the page, which may promise its answer, has answered yes.

    Raises
    ------
    playwright.sync_api.Error
        When it has not after `patience_ms`.
    """
    page.evaluate(_UNTIL.replace("QUESTION", question), patience_ms)
