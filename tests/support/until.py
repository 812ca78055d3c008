"""Wait for what must come: asked again and again from here, or by a page that must first go and look in its caches, its store, its service worker."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import TypeVar

from playwright.sync_api import Page

#: How long a test waits for anything that must come, s: patience costs nothing where all is well, and a busy machine is no fault of the program's.
PATIENCE_S = 180.0
PATIENCE_MS = PATIENCE_S * 1000
#: Between two looks, s.
_PAUSE_S = 0.05

Answer = TypeVar("Answer")

#: Asked again and again by the page itself: a driver that waits for a function takes the promise of an answer for a yes, and asks once.
_UNTIL = """async (patience) => {
  const ask = QUESTION;
  const end = performance.now() + patience;
  while (!(await ask())) {
    if (performance.now() > end) throw new Error('It never came true: ' + ask);
    await new Promise((go) => setTimeout(go, 50));
  }
}"""


def until(page: Page, question: str) -> None:
    """Return once a function of the page, which may promise its answer, has answered yes.

    Raises
    ------
    playwright.sync_api.Error
        When it never has.
    """
    page.evaluate(_UNTIL.replace("QUESTION", question), PATIENCE_MS)


def wait_until(
    ask: Callable[[], Answer], what: str | Callable[[], str], page: Page | None = None, patience_s: float = PATIENCE_S
) -> Answer:
    """Ask again and again until the answer is a yes of any kind, and return it.

    Parameters
    ----------
    ask : Callable
        What answers.
    what : str or Callable
        What is to be said when it never comes true.
    page : Page, optional
        The page that goes on meanwhile: what the test answers in the office's place reaches it only while the driver is at work.
    patience_s : float
        How long it may take.

    Raises
    ------
    AssertionError
        When it never comes true.
    """
    end = time.monotonic() + patience_s
    while not (answer := ask()):
        assert time.monotonic() < end, what if isinstance(what, str) else what()
        if page is None:
            time.sleep(_PAUSE_S)
        else:
            page.wait_for_timeout(_PAUSE_S * 1000)
    return answer
