"""What a person does to have a version made: write a reason for each red point, and ask."""

from __future__ import annotations

import re
from time import monotonic
from typing import Any

from playwright.sync_api import Page, TimeoutError, expect

from tests.browser.ask import got
from tests.support.reasons import WRITTEN, reasons_for
from tests.support.until import PATIENCE_S

#: How often the button was tapped: one that moves away between finger down and up, as when a point above it goes, hears nothing.
TAPPED = """() => {
  if (globalThis.versionTaps === undefined) {
    globalThis.versionTaps = 0;
    const count = ({ target }) => {
      if (target.closest('button')?.textContent.startsWith('Make version ')) globalThis.versionTaps += 1;
    };
    document.addEventListener('click', count, { capture: true });
  }
  return globalThis.versionTaps;
}"""


def reasons(page: Page, url: str) -> dict[str, Any]:
    """Return the reasons for the red points of a survey at an address, as they are sent with the wish for a version."""
    return reasons_for(got(page, f"{url}/version-points").json())


def make_version(page: Page) -> tuple[int, int]:
    """Write a reason for every red point, ask for the next version, and return its number and how many points were red.

    The list follows what reaches the office: a point may still come, and then it gets its reason as well; or go, and then nobody asks for one.
    """
    said = page.get_by_text(re.compile("^(Red: settle it|Amber: look once|Nothing stands against)"))
    expect(said.first).to_be_visible()
    fields, make = (
        page.get_by_label(re.compile("^Reason")),
        page.get_by_role("button", name=re.compile("^Make version ")),
    )
    until = monotonic() + PATIENCE_S
    while True:
        try:
            for field in fields.all():
                field.fill(WRITTEN, timeout=5_000)
        except TimeoutError:
            assert monotonic() < until, page.locator("#reasons-wanted").inner_text()
            continue
        number, written = int(make.inner_text().rsplit(" ", 1)[1]), fields.count()
        before = page.evaluate(TAPPED)
        try:
            make.click(timeout=1_000)
        except TimeoutError:
            assert monotonic() < until, page.locator("#reasons-wanted").inner_text()
        else:
            if page.evaluate(TAPPED) > before:
                return number, written
            assert monotonic() < until, "The button kept moving away."
