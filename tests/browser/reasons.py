"""What a person does before a version is made: write a reason for each red point."""

from __future__ import annotations

import re

from playwright.sync_api import Page, expect

from tests.support.reasons import WRITTEN


def write_reasons(page: Page) -> int:
    """Write a reason for every red point and return how many there are."""
    said = page.get_by_text(re.compile("^(Red: settle it|Amber: look once|Nothing stands against)"))
    expect(said.first).to_be_visible(timeout=60_000)
    fields = page.get_by_label(re.compile("^Reason"))
    for place in range(fields.count()):
        fields.nth(place).fill(WRITTEN)
    return fields.count()
