"""A household, a room, an article and a firm with long names, one of them a single word: no page is wider than its screen."""

from __future__ import annotations

import re
from typing import Any

import pytest
from playwright.sync_api import Page, expect
from uuid_utils import uuid7

from tests.browser.ask import got
from tests.browser.book import write_book
from tests.browser.hand import open_demo_house
from tests.browser.keyboard import BOOK, open_screen
from tests.browser.test_room_for_work import LARGE_LETTERS, UPRIGHT
from tests.support.chromium import Chromium
from tests.support.server import Server

HOUSEHOLD = "Wolstenholme-Featherstonehaugh and Abercrombie-Castleton"
ROOM = "Bedroom over the porch towards the orchard and washhouse"
#: One word that no line of a phone has room for.
WORD = "Vorratskammerschlüsselverzeichnisaufbewahrungsschränkchen"
ARTICLE = f"{WORD}, delivered and set down, invented"
FIRM = "Thistledown and Brackenhurst Renewable Heating Engineers Ltd"
NARROW = {"width": 320, "height": 844}

#: How many pixels the page is wider than its screen, and what reaches beyond it.
_TOO_WIDE = """() => {
  const over = document.documentElement.scrollWidth - innerWidth;
  const beyond = [...document.querySelectorAll('main *')].filter((one) => one.getBoundingClientRect().right > innerWidth + 1);
  return over > 0 ? [over, ...beyond.slice(0, 5).map((one) => `${one.tagName} "${one.textContent.trim().slice(0, 40)}"`)] : [];
}"""
#: The words of what is answered and told in cards that do not stand on one line each, but for the one that has no room on any.
_BROKEN = """(but) => {
  const broken = [];
  const texts = document.createTreeWalker(document.querySelector('table.cards') ?? document.createElement('i'), NodeFilter.SHOW_TEXT);
  for (let text = texts.nextNode(); text; text = texts.nextNode())
    for (const word of text.data.matchAll(/[^\\s\\-–/]+/g)) {
      const range = document.createRange();
      range.setStart(text, word.index); range.setEnd(text, word.index + word[0].length);
      if (new Set([...range.getClientRects()].map((box) => Math.round(box.top))).size > 1 && !word[0].includes(but)) broken.push(word[0]);
    }
  return broken;
}"""


def write(page: Page, server: Server, survey: str, **records: tuple[str, dict[str, Any]]) -> None:
    """Write into a survey as another device of the firm does."""
    address = f"{server.url}/api/surveys/{survey}"
    seen = got(page, address).json()["revision"]
    changes = [
        {
            "id": str(uuid7()),
            "kind": kind,
            "record": record.replace("_", "-"),
            "field": field,
            "value": value,
            "seen": seen,
            "made_at": "2026-03-31T14:05:00Z",
        }
        for record, (kind, said) in records.items()
        for field, value in said.items()
    ]
    answer = page.context.request.post(
        f"{address}/changes", data={"device": "laptop", "app": "0.1.0", "changes": changes}
    )
    assert {item["status"] for item in answer.json()["results"]} == {"accepted"}, answer.text()


def name_at_length(page: Page, server: Server, survey: str) -> str:
    """Give everything its long name, and an option a radiator of its own in the room whose name is one word; return an article's address."""
    write(
        page,
        server,
        survey,
        survey_demo=("survey", {"household_name": HOUSEHOLD}),
        room_bathroom=("room", {"name": ROOM}),
        room_study=("room", {"name": WORD}),
    )
    article = got(page, f"{server.url}/api/book").json()["records"]["article"][0]["id"]
    prices = [{"holds_from": "2026-01-01", "price": "12345.60"}]
    write_book(page, server, **{article: {"words": ARTICLE, "selling_prices": prices}})
    assert page.context.request.patch(f"{server.url}/api/firm", data={"name": FIRM}).ok
    page.goto(f"{server.url}/#/sync")
    page.get_by_role("button", name="Send and fetch now").click()
    page.goto(f"{server.url}/#/survey/{survey}/office/options")
    page.get_by_role("button", name="New option").click()
    page.locator("summary").filter(has_text="Radiators and floors").click()
    page.locator("summary").filter(has_text=f"{WORD}: Double").first.click()
    page.get_by_role("button", name=re.compile("^Put another in its place")).click()
    expect(page.get_by_role("region", name="What it has otherwise")).to_contain_text(WORD)
    return f"#/survey/{BOOK}/record/article/{article}"


@pytest.mark.takes(seconds=30)
def test_no_page_is_wider_than_its_screen_for_a_long_name(laptop: Chromium, server: Server) -> None:
    # No phone: a page that is too wide would be shown smaller there, and a tap would miss.
    laptop.start(viewport=UPRIGHT, reduced_motion="reduce")
    page = laptop.page()
    survey = open_demo_house(page, server.url)
    article = name_at_length(page, server, survey)
    here = f"#/survey/{survey}"
    office = [f"{here}/office/{part}" for part in ("price", "options", "history")]
    figures = (f"{here}/results", f"{here}/office", f"{here}/stage/rooms", f"{here}/working/house")
    for address in (*office, *figures, "#/office/firm", f"#/survey/{BOOK}/office/history", article):
        page.set_viewport_size(NARROW)
        open_screen(page, server.url, address)
        assert page.evaluate(_TOO_WIDE) == [], f"{address} at 320 px"
        if address.endswith("/price"):
            assert page.evaluate(_BROKEN, WORD) == [], f"{address} at 320 px"
        page.set_viewport_size(UPRIGHT)
        page.evaluate(LARGE_LETTERS)
        assert page.evaluate(_TOO_WIDE) == [], f"{address} with large letters"
        page.evaluate("() => { document.documentElement.style.fontSize = ''; }")
