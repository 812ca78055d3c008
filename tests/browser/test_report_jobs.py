"""A report on its way, as the office's screen tells it: asked for, followed over a reload, failed, too many, and a file that is gone."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.hand import open_demo_house
from tests.browser.looking import look_at_both_sizes
from tests.browser.reasons import make_version, reasons
from tests.browser.test_office import go_to_part
from tests.support.chromium import Chromium
from tests.support.server import Server


@contextmanager
def database(server: Server) -> Iterator[sqlite3.Connection]:
    """Lend out the server's own database, to put its jobs into states that pass too quickly to be looked at."""
    with closing(sqlite3.connect(server.home / "wattwalk.sqlite3", timeout=30)) as opened, opened:
        yield opened


def hold(server: Server, job: str, state: str, problem: str | None = None) -> None:
    """Put a job into a state, for an hour as far as the server can see."""
    until = (datetime.now(UTC) + timedelta(hours=1)).replace(tzinfo=None).isoformat(" ")
    with database(server) as opened:
        values = (state, problem, "a server elsewhere", until, job)
        opened.execute("UPDATE report_job SET state = ?, problem = ?, owner = ?, leased_until = ? WHERE id = ?", values)


def ask(page: Page, server: Server, survey: str) -> dict[str, Any]:
    response = page.context.request.post(
        f"{server.url}/api/surveys/{survey}/reports",
        data=reasons(page, f"{server.url}/api/surveys/{survey}"),
    )
    assert response.status == 202, response.text()
    return response.json()


def file_of(server: Server, survey: str, number: int) -> Path:
    """Return where a version's file lies."""
    with database(server) as opened:
        (name,) = opened.execute(
            "SELECT file_name FROM report WHERE survey_id = ? AND number = ?", (survey, number)
        ).fetchone()
    return server.home / "reports" / name


@pytest.mark.takes(seconds=50)
def test_a_report_on_its_way(phone: Chromium, server: Server) -> None:
    phone.start()
    page = phone.page()
    survey = open_demo_house(page, server.url)
    go_to_part(page, server, survey, "reports")
    make = page.get_by_role("button", name=re.compile("^Make version "))
    expect(make).to_be_visible()
    number = int(make.inner_text().rsplit(" ", 1)[1])

    make_version(page)
    being_made = page.get_by_text(re.compile(f"^Version {number} (is next|waits|is being made)"))
    expect(being_made).to_be_visible()
    expect(make).to_have_count(0)
    made = page.get_by_role("link", name=f"Quotation, version {number}")
    expect(made).to_be_visible()
    expect(make).to_have_text(f"Make version {number + 1}")
    expect(being_made).to_have_count(0)

    # The office has one as it stood; asked for elsewhere, this page says so too, also after it was opened anew.
    job = ask(page, server, survey)
    hold(server, job["id"], "rendering")
    page.reload()
    rendering = page.get_by_text(f"Version {number + 1} is being made, from change {job['revision']}")
    expect(rendering).to_be_visible()
    expect(make).to_have_count(0)
    look_at_both_sizes(page, "40-report-rendering")
    hold(server, job["id"], "failed", "report_too_slow")
    failed = page.get_by_text(f"Version {number + 1} was not made: The report was not ready in time")
    expect(failed).to_be_visible()
    look_at_both_sizes(page, "41-report-failed")
    expect(make).to_have_text(f"Make version {number + 1}")

    # With twelve of the firm's in hand elsewhere the office takes no more.
    with database(server) as opened:
        held = hold_others(opened, survey, 12)
    # The page was opened anew since the first reasons were written.
    make_version(page)
    expect(
        page.get_by_text("Not made: 12 reports are waiting to be made already: try again in a moment.")
    ).to_be_visible()
    look_at_both_sizes(page, "42-report-busy")
    with database(server) as opened:
        opened.executemany("UPDATE report_job SET state = 'ready' WHERE id = ?", [(each,) for each in held])
    make.click()
    expect(page.get_by_role("link", name=f"Quotation, version {number + 1}")).to_be_visible()


def hold_others(opened: sqlite3.Connection, survey: str, count: int) -> list[str]:
    """Put surveys of the same firm into the database whose reports a server elsewhere has in hand; return the jobs."""
    jobs = []
    moment = datetime.now(UTC).replace(tzinfo=None)
    for _ in range(count):
        (name,) = opened.execute("SELECT 'other-' || count(*) FROM survey").fetchone()
        opened.execute(
            "INSERT INTO survey (id, firm_id, revision, shared_revision, made_at, changed_at) SELECT ?, firm_id, 0, 0, ?, ? FROM survey WHERE id = ?",
            (name, moment.isoformat(" "), moment.isoformat(" "), survey),
        )
        opened.execute(
            "INSERT INTO report_job (id, survey_id, number, revision, state, attempts, owner, leased_until, asked_at) VALUES (?, ?, 1, 0, 'rendering', 1, 'elsewhere', ?, ?)",
            (f"0-{name}", name, (moment + timedelta(hours=1)).isoformat(" "), moment.isoformat(" ")),
        )
        jobs.append(f"0-{name}")
    return jobs


@pytest.mark.takes(seconds=30)
def test_a_file_that_is_gone_is_said_and_made_again(laptop: Chromium, server: Server) -> None:
    laptop.start()
    page = laptop.page()
    survey = open_demo_house(page, server.url)
    path = file_of(server, survey, 1)
    made = path.read_bytes()
    path.unlink()
    go_to_part(page, server, survey, "reports")
    expect(page.get_by_text("The file of version 1 is missing at the office.")).to_be_visible()
    expect(page.get_by_role("link", name="Quotation, version 1")).to_have_count(0)
    expect(page.get_by_text("Version 1: no file")).to_be_visible()
    look_at_both_sizes(page, "43-report-missing")
    if page.locator("#letter-version").count():
        page.locator("#letter-version").select_option("1")
    page.get_by_label("To", exact=True).fill("household@test.example")
    page.get_by_role("button", name="Send version 1").click()
    expect(page.get_by_text("Not sent: The file of version 1 is missing at the office.")).to_be_visible()
    page.get_by_role("button", name="Make version 1 again").click()
    expect(page.get_by_role("link", name="Quotation, version 1")).to_be_visible()
    expect(page.get_by_text("The file of version 1 is missing at the office.", exact=True)).to_have_count(0)
    assert path.read_bytes() == made
