"""The price book on the office's screens: prices by day, and lists as files in and out."""

from __future__ import annotations

import re
import subprocess
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.hand import field, open_demo_house, sign_in
from tests.browser.held import held
from tests.browser.looking import look
from tests.support.chromium import Chromium
from tests.support.server import Server
from wattwalk.fill_in import FIRM
from wattwalk.list_file import FORMS, XLSX, read_list, write_list

pytestmark = pytest.mark.without_engine
ARTICLES = "The firm's articles"


def open_firm(page: Page, server: Server) -> Locator:
    """Go to the firm's page and return its articles, once they are there."""
    page.goto(f"{server.url}/#/office/firm")
    articles = page.get_by_role("region", name=ARTICLES, exact=True)
    expect(articles.get_by_role("link", name=re.compile("^UNIT-8"))).to_be_visible()
    return articles


# The first of them: those that follow change the prices that it reads.
def test_a_surveyor_reads_an_article_without_its_cost_price(phone: Chromium, server: Server) -> None:
    add_surveyor(server)
    phone.start()
    page = phone.page()
    sign_in(page, server.url, "rowan@demo.example", "read-the-book-only")
    open_firm(page, server).get_by_role("link", name=re.compile("^VESSEL-24")).click()
    main = page.get_by_role("main")
    expect(main).to_contain_text("The office keeps this. Here it can be read.")
    expect(field(page, "code").locator("input")).to_have_value("VESSEL-24")
    expect(field(page, "words").locator("input, textarea")).to_have_value("Expansion vessel 24 l, with its valves")
    expect(field(page, "sold_by").get_by_role("button", pressed=True)).to_have_text("each")
    expect(field(page, "stands_for").locator("select")).to_have_value("vessel")
    expect(field(page, "selling_price").locator("input")).to_have_value("148.00")
    prices = page.get_by_role("table", name="Prices by day")
    expect(prices).to_contain_text("£148.00, holds today")
    # Nothing of it can be changed, and what it costs the firm is neither on the page nor on the phone.
    expect(main.locator(":is(input, select, textarea, button):enabled")).to_have_count(0)
    for name in ("cost_price", "supplier", "supplier_number"):
        expect(field(page, name)).to_have_count(0)
    expect(main).not_to_contain_text("Cost price")
    expect(main).not_to_contain_text("81.00")
    kept = {key: said for key, said in held(page, "book:firm").items() if key.startswith("article/")}
    assert any(said.get("code") == "VESSEL-24" and said["selling_price"] == "148.00" for said in kept.values())
    assert not any(name.startswith(("cost_price", "supplier")) for said in kept.values() for name in said)
    look(page, "62-article-as-a-surveyor")


def test_an_article_has_prices_by_day(laptop: Chromium, server: Server) -> None:
    laptop.start()
    page = laptop.page()
    open_demo_house(page, server.url)
    open_firm(page, server).get_by_role("link", name=re.compile("^VESSEL-24")).click()
    prices = page.get_by_role("region", name="Prices by day")
    rows = prices.get_by_role("row")
    expect(rows).to_have_count(2)
    expect(rows.nth(1)).to_contain_text(re.compile("£148.00, holds today.*£81.00, holds today"))
    expect(page.get_by_label("Supplier", exact=True)).to_have_value("Marram Pipe (invented)")

    add = prices.get_by_role("button", name="Add these prices")
    add.click()
    expect(prices.get_by_role("alert")).to_have_text("From which day do they hold?")
    today = datetime.now(UTC).date()
    for day, price in ((today - timedelta(days=3), "150"), (today + timedelta(days=40), "160")):
        prices.get_by_label("New prices from the day").fill(f"{day:%d/%m/%Y}")
        prices.get_by_label("Selling price from then on £").fill(price)
        add.click()
        # The form is empty once they are on the phone's storage.
        expect(prices.get_by_label("New prices from the day")).to_have_value("")
    expect(rows).to_have_count(4)
    expect(rows.nth(1)).to_contain_text(re.compile(r"£148.00(?!, holds).*£81.00, holds today"))
    expect(rows.nth(2)).to_contain_text("£150.00, holds today")
    expect(rows.nth(3)).to_contain_text(re.compile(r"£160.00(?!, holds)"))
    prices.get_by_label("New prices from the day").fill(f"{today + timedelta(days=40):%d/%m/%Y}")
    prices.get_by_label("Selling price from then on £").fill("170")
    add.click()
    expect(prices.get_by_role("alert")).to_have_text(
        "There is a selling price from this day already. Take it out first."
    )
    look(page, "60-office-article-prices")
    size = page.viewport_size
    page.set_viewport_size({"width": 320, "height": 800})
    look(page, "60-office-article-prices-narrow")
    page.set_viewport_size(size)
    # Whoever takes one out by the keyboard goes on from where it stood.
    rows.nth(3).get_by_role("button").focus()
    page.keyboard.press("Enter")
    expect(rows).to_have_count(3)
    expect(prices.locator(":focus")).to_have_count(1)
    page.get_by_role("link", name=re.compile("the firm", re.IGNORECASE)).first.click()
    vessel = page.get_by_role("region", name=ARTICLES, exact=True).get_by_role("link", name=re.compile("^VESSEL-24"))
    expect(vessel).to_contain_text("£150.00")


def take_in(page: Page, many: str, name: str, data: bytes) -> None:
    page.get_by_label(f"The list of {many} as a file").set_input_files(
        {"name": name, "mimeType": "application/octet-stream", "buffer": data}
    )


def test_the_price_book_goes_out_as_a_file_and_comes_in_again(laptop: Chromium, server: Server, tmp_path: Path) -> None:
    laptop.start()
    page = laptop.page()
    open_demo_house(page, server.url)
    articles = open_firm(page, server)
    page.get_by_text("Take in a list of articles").click()
    for form in FORMS:
        with page.expect_download() as saved:
            articles.get_by_role("button", name=f"All articles as {form.upper()}").click()
        assert saved.value.suggested_filename == f"articles.{form}"
        path = tmp_path / saved.value.suggested_filename
        saved.value.save_as(path)
        rows = read_list(path.name, path.read_bytes())
        assert {"UNIT-8", "PIPE-28", "HOUR-H"} <= {cells[0] for _number, cells in rows}
        take_in(page, "articles", f"same.{form}", path.read_bytes())
        expect(page.get_by_role("status").filter(has_text=f"Nothing is new in same.{form}.")).to_be_visible()

    take_in(page, "articles", "ours.xlsx", b"code\nA\n")
    expect(articles.get_by_role("alert").filter(has_text="ours.xlsx: it is called XLSX and is none.")).to_be_visible()
    take_in(page, "articles", "ours.csv", "code,words\nA,Clip\nB,für 22 mm\n".encode("cp1252"))
    expect(articles.get_by_role("alert").filter(has_text="ours.csv, row 3: it is not text in UTF-8.")).to_be_visible()
    new = write_list(XLSX, "Ours", [["code", "words"], ["0012", "Clip of the browser's list"]])
    take_in(page, "articles", "ours.xlsx", new)
    expect(page.get_by_role("status").filter(has_text="from ours.xlsx, at the office: 1 new")).to_be_visible()
    expect(articles.get_by_role("link", name=re.compile("^0012.*Clip of the browser's list"))).to_be_visible()
    look(page, "61-office-price-book")


def test_valves_with_settings_come_in_as_a_list(laptop: Chromium, server: Server) -> None:
    laptop.start()
    page = laptop.page()
    open_demo_house(page, server.url)
    open_firm(page, server)
    valves = page.get_by_role("region", name="The firm's valves with settings")
    take_in(page, "valves with settings", "valves.csv", b"name,setting,kv_m3_h\nAngle 15,1,x\n")
    expect(valves.get_by_role("alert").filter(has_text="valves.csv, row 2, column kv_m3_h")).to_be_visible()
    take_in(page, "valves with settings", "valves.csv", b"name,setting,kv_m3_h\nAngle 15,1,0.05\nAngle 15,2,0.12\n")
    expect(page.get_by_role("status").filter(has_text="from valves.csv, at the office: 1 new")).to_be_visible()
    expect(valves.get_by_role("link", name="Angle 15")).to_be_visible()
    expect(valves.get_by_role("button", name="All valves with settings as CSV")).to_be_visible()


def add_surveyor(server: Server) -> None:
    program = str(Path(sys.executable).parent / "wattwalk")
    subprocess.run(
        [program, "user", "add", "rowan@demo.example", "--firm", FIRM, "--name", "Rowan", "--role", "surveyor"],
        check=True,
        capture_output=True,
        input=b"read-the-book-only",
        env={"WATTWALK_HOME": str(server.home)},
    )
