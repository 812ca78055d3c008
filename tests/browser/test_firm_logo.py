"""The firm's logo, chosen on the firm's page: shown as it is printed, refused in words, taken away again."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.ask import got
from tests.browser.hand import sign_in
from tests.browser.looking import look
from tests.office.test_logo import drawn
from tests.support.chromium import Chromium
from tests.support.server import Server

pytestmark = pytest.mark.without_engine


def kept(page: Page, server: Server) -> str | None:
    return got(page, f"{server.url}/api/firm").json()["logo"]


@pytest.mark.parametrize("size", ["laptop", "phone"])
def test_a_logo_is_chosen_seen_refused_in_words_and_taken_away(
    size: str, request: pytest.FixtureRequest, own_server: Server
) -> None:
    browser: Chromium = request.getfixturevalue(size)
    browser.start()
    page = browser.page()
    sign_in(page, own_server.url, "surveyor@demo.example", "walk-the-house")
    page.goto(f"{own_server.url}/#/office/firm")
    part = page.get_by_role("region", name="Logo")
    chooser = part.locator("input[type=file]")
    shown = part.get_by_role("img", name="The firm’s logo, as it is printed")
    expect(chooser).to_be_enabled()
    expect(shown).to_have_count(0)
    chooser.set_input_files({"name": "logo.png", "mimeType": "image/png", "buffer": drawn((900, 300))})
    expect(part.get_by_role("status").filter(has_text=re.compile("^Saved at the office"))).to_be_visible()
    expect(shown).to_have_attribute("src", kept(page, own_server) or "")
    chooser.set_input_files({"name": "logo.svg", "mimeType": "image/svg+xml", "buffer": b"<svg/>"})
    expect(part.get_by_role("alert")).to_have_text(
        re.compile("^Not saved: The logo is not a whole PNG, JPEG or WebP picture")
    )
    expect(part.get_by_role("status")).to_have_text("")
    look(page, f"58-logo-{size}")
    page.reload()
    expect(shown).to_have_attribute("src", kept(page, own_server) or "")
    part.get_by_role("button", name="Take the logo away").click()
    part.get_by_role("button", name="Take it away").click()
    expect(part.get_by_role("status").filter(has_text=re.compile("^Taken away at the office"))).to_be_visible()
    expect(shown).to_have_count(0)
    assert kept(page, own_server) is None
