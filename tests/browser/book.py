"""The firm's price book as another laptop of the office writes it."""

from __future__ import annotations

from typing import Any

from playwright.sync_api import Page
from uuid_utils import uuid7

from tests.browser.ask import got
from tests.support.server import Server


def write_book(page: Page, server: Server, **articles: dict[str, Any]) -> None:
    """Write articles as another laptop of the office does."""
    seen = got(page, f"{server.url}/api/book").json()["revision"]
    changes = [
        {
            "id": str(uuid7()),
            "kind": "article",
            "record": record,
            "field": field,
            "value": value,
            "seen": seen,
            "made_at": "2026-03-31T14:05:00Z",
        }
        for record, said in articles.items()
        for field, value in said.items()
    ]
    answer = page.context.request.post(
        f"{server.url}/api/book/changes", data={"device": "laptop", "app": "0.1.0", "changes": changes}
    )
    assert answer.ok, answer.text()
    assert {item["status"] for item in answer.json()["results"]} == {"accepted"}


def empty_book(page: Page, server: Server) -> None:
    """Take every article out of the firm's book before the page is opened, so that what stands for something is what the test writes."""
    signed_in = page.context.request.post(
        f"{server.url}/api/session", data={"email": "surveyor@demo.example", "password": "walk-the-house"}
    )
    assert signed_in.ok, signed_in.text()
    book = got(page, f"{server.url}/api/book").json()
    gone = {article["id"]: {"deleted": True} for article in book["records"].get("article", [])}
    if gone:
        write_book(page, server, **gone)
