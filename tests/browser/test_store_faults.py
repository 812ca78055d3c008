"""What a person sees when the phone's own store fails, was emptied, or would be left behind: words, what was typed, and a way on."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser.hand import answer, field, go_to, picture, sign_in
from tests.support.chromium import Chromium
from tests.support.server import Server

pytestmark = pytest.mark.without_engine

SAVED = "Saved on this phone"
AT_THE_OFFICE = re.compile("^At the office")
#: Writing an edit fails with an error of the browser's own, as often as somebody has asked for.
STORE_THAT_FAILS = """() => {
  const real = IDBDatabase.prototype.transaction;
  globalThis.toFail = { name: '', words: '', times: 0, failed: 0 };
  IDBDatabase.prototype.transaction = function (stores, mode, ...more) {
    const asked = globalThis.toFail;
    if (mode === 'readwrite' && [].concat(stores).includes('outbox') && asked.failed < asked.times) {
      asked.failed += 1;
      throw new DOMException(asked.words, asked.name);
    }
    return real.call(this, stores, mode, ...more);
  };
}"""
FAIL = "([name, words, times]) => { globalThis.toFail = { name, words, times, failed: 0 }; }"


def open_form(phone: Chromium, server: Server, *, is_offline: bool = False) -> Page:
    """Sign in, start a survey and open its first form."""
    phone.start().add_init_script(f"({STORE_THAT_FAILS})();")
    page = phone.page()
    sign_in(page, server.url, "surveyor@demo.example", "walk-the-house")
    page.wait_for_function("() => navigator.serviceWorker.ready.then(() => true)")
    page.context.set_offline(is_offline)
    page.get_by_role("button", name="New survey").click()
    go_to(page, "Household and meter")
    go_to(page, "Household and house")
    return page


def type_and_leave(page: Page, name: str, text: str) -> None:
    field(page, name).locator("input").fill(text)
    field(page, name).locator("input").blur()


def go_to_status(page: Page) -> None:
    page.goto(page.url.split("#")[0] + "#/sync")
    expect(page.get_by_role("heading", name="What is where")).to_be_visible()


def test_row_1_a_phone_whose_stores_were_emptied_says_so_and_fetches_the_survey(
    phone: Chromium, server: Server
) -> None:
    page = open_form(phone, server)
    answer(page, "household_name", "Quince")
    answer(page, "postcode", "LS40 0VK")
    expect(page.get_by_role("status").filter(has_text=AT_THE_OFFICE)).to_be_visible()
    form = page.url
    # The browser was asked at the first save, and its answer is shown.
    go_to_status(page)
    expect(page.get_by_text(re.compile("The browser (has promised not to clear it|may clear it)"))).to_be_visible()
    phone.close()
    for name in ("IndexedDB", "File System"):
        emptied = phone.profile / "Default" / name
        assert emptied.is_dir(), f"the browser keeps its {name} elsewhere"
        shutil.rmtree(emptied)
    phone.start()
    page = phone.page()
    sign_in_at(page, form)
    expect(page.get_by_text("This survey is not on this phone.")).to_be_visible()
    picture(page, "store-emptied")
    page.get_by_role("button", name="Fetch it from the office").click()
    expect(field(page, "household_name").locator("input")).to_have_value("Quince")
    expect(field(page, "postcode").locator("input")).to_have_value("LS40 0VK")


def sign_in_at(page: Page, address: str) -> None:
    page.goto(address)
    page.get_by_label("Email").fill("surveyor@demo.example")
    page.get_by_label("Password").fill("walk-the-house")
    page.get_by_role("button", name="Sign in").click()


def test_row_3_a_connection_that_dies_in_the_middle_is_opened_again_unseen(phone: Chromium, server: Server) -> None:
    page = open_form(phone, server, is_offline=True)
    page.evaluate(FAIL, ["UnknownError", "Connection to Indexed Database server lost.", 1])
    answer(page, "household_name", "Quince")
    assert page.evaluate("() => globalThis.toFail.failed") == 1
    page.reload()
    expect(field(page, "household_name").locator("input")).to_have_value("Quince")


@pytest.mark.parametrize(
    ("name", "words", "said"),
    [
        ("UnknownError", "Connection to Indexed Database server lost.", "The storage of this phone did not take it"),
        ("QuotaExceededError", "The quota has been exceeded.", "The storage of this phone is full. Free some room"),
    ],
)
def test_rows_3_and_5_what_is_not_stored_is_never_called_saved_and_stays_on_the_screen(
    phone: Chromium, server: Server, name: str, words: str, said: str
) -> None:
    page = open_form(phone, server, is_offline=True)
    answer(page, "household_name", "Quince")
    page.evaluate(FAIL, [name, words, 1_000_000])
    dialog = page.get_by_role("dialog", name="Not saved")
    type_and_leave(page, "household_name", "Quince and Medlar")
    expect(dialog).to_contain_text(said)
    picture(page, f"not-saved-{name}")
    expect(field(page, "household_name").get_by_text(SAVED)).to_have_count(0)
    dialog.get_by_role("button", name="Try again").click()
    expect(dialog).to_contain_text(said)
    dialog.get_by_role("button", name="Back to what I typed").click()
    expect(dialog).to_have_count(0)
    expect(field(page, "household_name").locator("input")).to_have_value("Quince and Medlar")
    expect(field(page, "household_name").get_by_text(SAVED)).to_have_count(0)

    page.evaluate(FAIL, ["", "", 0])
    field(page, "household_name").locator("input").focus()
    field(page, "household_name").locator("input").blur()
    expect(field(page, "household_name").get_by_text(SAVED)).to_be_visible()
    page.reload()
    expect(field(page, "household_name").locator("input")).to_have_value("Quince and Medlar")


def test_row_16_the_office_decides_whether_there_is_signal(phone: Chromium, server: Server) -> None:
    page = open_form(phone, server)
    expect(page.get_by_role("status").filter(has_text=AT_THE_OFFICE)).to_be_visible()
    server.kill()
    answer(page, "household_name", "Quince")
    assert page.evaluate("() => navigator.onLine")
    expect(
        page.get_by_role("status").filter(has_text=re.compile(f"^{SAVED} .*No answer from the office"))
    ).to_be_visible()
    server.start()
    go_to_status(page)
    page.get_by_role("button", name="Send and fetch now").click()
    expect(page.get_by_role("status").filter(has_text=AT_THE_OFFICE)).to_be_visible()


def test_row_17_signing_out_with_unsent_work_is_counted_refused_and_offers_a_file(
    phone: Chromium, server: Server, tmp_path: Path
) -> None:
    page = open_form(phone, server, is_offline=True)
    answer(page, "household_name", "Quince")
    form = page.url
    go_to_status(page)
    page.get_by_role("button", name="Sign out").click()
    page.get_by_role("button", name="Sign out").click()
    warning = page.get_by_text(re.compile("You stay signed in"))
    expect(warning).to_contain_text(
        re.compile(
            r"On this phone only: \d+ changes waiting\. Let it reach the office, or save a copy to a file first\."
        )
    )
    picture(page, "sign-out-refused")
    with page.expect_download() as saved:
        page.get_by_role("button", name="Save a copy to a file").click()
    saved.value.save_as(tmp_path / "copy.json")
    assert json.loads((tmp_path / "copy.json").read_text())["records"]["survey"][0]["household_name"] == "Quince"
    page.goto(form)
    expect(field(page, "household_name").locator("input")).to_have_value("Quince")

    page.context.set_offline(False)
    go_to_status(page)
    page.get_by_role("button", name="Send and fetch now").click()
    expect(page.get_by_role("status").filter(has_text=AT_THE_OFFICE)).to_be_visible()
    page.get_by_role("button", name="Sign out").click()
    page.get_by_role("button", name="Sign out").click()
    expect(page.get_by_role("button", name="Sign in")).to_be_visible()
