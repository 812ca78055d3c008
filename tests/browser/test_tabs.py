"""One writer for each survey on a phone (two tabs overwrote each other elsewhere): the second tab reads until a person takes over."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from tests.browser.hand import answer, field, picture, sign_in
from tests.support.chromium import Chromium
from tests.support.server import Server

pytestmark = pytest.mark.without_engine

ELSEWHERE = "This survey is open in another tab of this phone."


def test_the_second_tab_reads_until_it_takes_over(phone: Chromium, server: Server) -> None:
    context = phone.start()
    first = phone.page()
    sign_in(first, server.url, "surveyor@demo.example", "walk-the-house")
    first.get_by_role("button", name="Fetch").first.click()
    first.get_by_role("link", name="Rooms").first.click()
    first.locator("main ul.list a").first.click()
    answer(first, "notes", "written in the first tab")

    second = context.new_page()
    second.goto(first.url)
    expect(second.get_by_text(ELSEWHERE)).to_be_visible()
    expect(field(second, "notes").locator("textarea, input").first).to_be_disabled()
    expect(field(second, "notes").locator("textarea, input").first).to_have_value("written in the first tab")
    picture(second, "second-tab-reads")

    second.get_by_role("button", name="Write here instead").click()
    expect(second.get_by_text(ELSEWHERE)).to_have_count(0)
    answer(second, "notes", "written in the second tab")
    expect(first.get_by_text(ELSEWHERE)).to_be_visible()
    expect(field(first, "notes").locator("textarea, input").first).to_be_disabled()
    expect(field(first, "notes").locator("textarea, input").first).to_have_value("written in the second tab")

    # When the writer's tab goes, the one that waited writes without being asked.
    second.close()
    expect(first.get_by_text(ELSEWHERE)).to_have_count(0)
    answer(first, "notes", "and in the first again")


def test_a_store_that_does_not_open_is_said_in_words(phone: Chromium, server: Server) -> None:
    context = phone.start()
    context.add_init_script(
        "IDBFactory.prototype.open = () => { throw new DOMException('Internal error opening backing store.', 'UnknownError'); };"
    )
    page = phone.page()
    page.goto(server.url)
    expect(page.get_by_role("heading", name="The store of this phone does not open")).to_be_visible()
    expect(page.get_by_text("Internal error opening backing store.")).to_be_visible()
    expect(page.get_by_role("button", name="Try again")).to_be_visible()
    picture(page, "store-does-not-open")
