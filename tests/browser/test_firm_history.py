"""What was changed of the firm, its settings and its book: seen with what it was and by whom, and put back in one tap."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from tests.browser.book import write_book
from tests.browser.hand import sign_in
from tests.browser.looking import look
from tests.support.chromium import Chromium
from tests.support.server import Server

pytestmark = pytest.mark.without_engine


@pytest.mark.parametrize("size", ["laptop", "phone"])
def test_a_setting_and_a_price_are_put_back(size: str, request: pytest.FixtureRequest, own_server: Server) -> None:
    browser: Chromium = request.getfixturevalue(size)
    browser.start()
    page = browser.page()
    sign_in(page, own_server.url, "surveyor@demo.example", "walk-the-house")
    asked = page.context.request
    before = asked.get(f"{own_server.url}/api/firm").json()["terms"]
    assert asked.patch(f"{own_server.url}/api/firm", data={"terms": "Other terms.\n" * 40}).ok
    article = asked.get(f"{own_server.url}/api/book").json()["records"]["article"][0]
    write_book(page, own_server, **{article["id"]: {"selling_price": "987.65"}})
    page.goto(f"{own_server.url}/#/office/firm")
    page.get_by_role("link", name="What was changed, and by whom").click()

    settings = page.get_by_role("table", name="Changes of settings").locator("tbody tr")
    expect(settings).to_have_count(1)
    expect(settings.first).to_contain_text("Terms")
    book = page.get_by_role("table", name="Changes", exact=True).locator("tbody tr")
    expect(book.first).to_contain_text("£987.65")
    expect(book.first.get_by_role("button", name="Put back")).to_be_visible()
    look(page, f"59-firm-history-{size}")
    settings.first.get_by_role("button").click()
    expect(page.get_by_text("Terms: as it was before. Saved at the office.")).to_be_visible()
    expect(settings).to_have_count(2)
    expect(settings.nth(1)).to_contain_text("Stands now")
    assert asked.get(f"{own_server.url}/api/firm").json()["terms"] == before

    with page.expect_response(
        lambda answer: answer.url.endswith("/api/book/changes") and answer.request.method == "POST"
    ):
        book.first.get_by_role("button", name="Put back").click()
    expect(book.first).to_contain_text("Stands now")
    kept = {
        item["id"]: item.get("selling_price")
        for item in asked.get(f"{own_server.url}/api/book").json()["records"]["article"]
    }
    assert kept[article["id"]] == article.get("selling_price")

    # From the article itself, only what was changed of it.
    page.goto(f"{own_server.url}/#/survey/book:firm/record/article/{article['id']}")
    page.get_by_role("link", name="What it was before").click()
    expect(book.first).to_contain_text("987.65")
    expect(page.get_by_role("table", name="Changes of settings")).to_have_count(0)
    expect(page.get_by_role("link", name="The whole book")).to_be_visible()
    look(page, f"59-article-history-{size}")
