"""Several at once: threads that begin at the same moment, and none whose failure goes unheard."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable
from typing import Any


def together(work: Callable[[int, Any], None], items: Iterable[Any], patience_s: float = 120) -> None:
    """Do `work` with the number and the item of each, all at once.

    Raises
    ------
    BaseException
        The first failure of any of them, whatever it is; ``TimeoutError`` when one is not done in time.
    """
    given = list(items)
    start = threading.Barrier(len(given))
    failures: list[BaseException] = []

    def begin(place: int, item: Any) -> None:
        try:
            start.wait()
            work(place, item)
        except BaseException as failure:
            failures.append(failure)

    threads = [threading.Thread(target=begin, args=pair, daemon=True) for pair in enumerate(given)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(patience_s)
    if failures:
        raise failures[0]
    if any(thread.is_alive() for thread in threads):
        raise TimeoutError(f"not done after {patience_s:g} s")
