"""What a person does before a version is made: write a reason for each red point."""

from __future__ import annotations

import re
from time import monotonic

from playwright.sync_api import Page, expect

from tests.support.reasons import WRITTEN


def write_reasons(page: Page) -> int:
    """Write a reason for every red point and return how many there are."""
    # The list follows what has reached the office: a point may come with the exchange that is under way.
    expect(page.get_by_role("status").filter(has_text=re.compile("^At the office"))).to_be_visible(timeout=60_000)
    said = page.get_by_text(re.compile("^(Red: settle it|Amber: look once|Nothing stands against)"))
    expect(said.first).to_be_visible(timeout=60_000)
    fields, wanted = page.get_by_label(re.compile("^Reason")), page.locator("#reasons-wanted")
    until = monotonic() + 60
    while True:
        for field in fields.all():
            field.fill(WRITTEN)
        page.wait_for_timeout(500)
        if not wanted.is_visible():
            return fields.count()
        assert monotonic() < until, wanted.inner_text()
