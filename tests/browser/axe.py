"""What axe-core has to say against a page."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from playwright.sync_api import Page

_AXE = (Path(__file__).resolve().parents[2] / "pwa" / "node_modules" / "axe-core" / "axe.min.js").read_text()
# A colour on its way from one state or theme to another is nobody's choice: what moves is brought to its end first.
_LOOK = """async () => {
  for (;;) {
    await new Promise((drawn) => requestAnimationFrame(() => requestAnimationFrame(drawn)));
    const moving = document.getAnimations().filter((one) => one.playState === 'running' && one.effect.getComputedTiming().iterations !== Infinity);
    if (moving.length === 0) break;
    for (const one of moving) one.finish();
  }
  // What is well is only counted: to tell of each element that passed takes a good part of the time.
  return (await axe.run(document, { resultTypes: ['violations'] })).violations;
}"""
_IS_THERE = "() => 'axe' in globalThis"


def violations(page: Page) -> list[tuple[str, Any, str]]:
    """Return each violation as its rule, where it stands and what stands there.

    Returns
    -------
    list of (str, list of str, str)
        The rule's id, axe's path to the first element, and that element's HTML; empty when there is nothing to say.
    """
    if not page.evaluate(_IS_THERE):
        page.evaluate(_AXE)
    return [(item["id"], item["nodes"][0]["target"], item["nodes"][0]["html"]) for item in page.evaluate(_LOOK)]
