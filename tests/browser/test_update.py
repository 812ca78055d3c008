"""A new version of the app comes out while a form is half filled: nothing reloads, nothing is mixed, nothing is lost, and a person says when."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser.hand import answer, go_to, picture, sign_in, unfold
from tests.support.chromium import Chromium
from tests.support.server import Server
from tests.support.until import until
from tests.support.versions import Versions

pytestmark = pytest.mark.first_visit

OFFER = "A new version of Wattwalk is on this phone."
WAITS = "() => navigator.serviceWorker.getRegistration().then((found) => Boolean(found?.waiting))"
COME_TO_THE_FRONT = "() => document.dispatchEvent(new Event('visibilitychange'))"


@pytest.fixture(scope="module")
def versions(tmp_path_factory: pytest.TempPathFactory) -> Versions:
    return Versions(tmp_path_factory.mktemp("program"))


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory, demo_office: Path, versions: Versions) -> Iterator[Server]:
    with Server(
        tmp_path_factory.mktemp("office"),
        demo=True,
        begin_with=demo_office,
        environment={"PYTHONPATH": str(versions.folder)},
    ) as running:
        yield running


def bring_out_the_next(server: Server, versions: Versions) -> None:
    """The office is updated, as every office is: stopped, exchanged, started."""
    server.stop()
    versions.bring_out_the_next()
    server.start()


def start_survey(phone: Chromium, server: Server) -> Page:
    """Sign in, have the app kept on the phone, start a survey and open its first form."""
    phone.start()
    page = phone.page()
    sign_in(page, server.url, "surveyor@demo.example", "walk-the-house")
    page.wait_for_function("() => navigator.serviceWorker.ready.then(() => true)")
    # From the second opening on it is the kept app that runs.
    page.reload()
    page.wait_for_function("() => navigator.serviceWorker.controller !== null")
    page.get_by_role("button", name="New survey").click()
    go_to(page, "Household and meter")
    go_to(page, "Household and house")
    answer(page, "household_name", "Quince")
    return page


def type_without_leaving(page: Page, name: str, text: str) -> None:
    unfold(page, name).locator("input, textarea").first.fill(text)


def is_edition(page: Page, versions_words: str) -> None:
    """The list of surveys is drawn by the version that says so."""
    expect(page.get_by_role("link", name=versions_words, exact=True)).to_be_visible()


def go_to_hash(page: Page, to: str) -> None:
    """Move as the phone's back gesture does: nothing is tapped, so no field is left first."""
    page.evaluate("(to) => { location.hash = to; }", to)


def value_of(page: Page, name: str) -> str:
    return unfold(page, name).locator("input, textarea").first.input_value()


def test_an_ordinary_start_asks_nothing_of_the_worker(phone: Chromium, server: Server) -> None:
    """A worker that is asked for something in the moment in which a new version takes over puts that off, by minutes."""
    page = start_survey(phone, server)
    worker = page.context.service_workers[0]
    worker.evaluate(
        "() => { self.asked = []; self.addEventListener('fetch', (event) => self.asked.push(new URL(event.request.url).pathname)); }"
    )
    page.goto("about:blank")
    page.goto(server.url)
    page.get_by_role("link", name=re.compile("Quince")).click()
    go_to(page, "Household and meter")
    go_to(page, "Household and house")
    answer(page, "postcode", "LS40 0VK")
    expect(page.get_by_role("status").filter(has_text=re.compile("^At the office"))).to_be_visible()
    expect(page.get_by_text("Live on this phone.")).to_be_visible()
    # The watching itself works: what no version keeps is asked of the worker.
    page.evaluate("() => fetch('/nowhere-to-be-found').then(() => undefined)")
    assert worker.evaluate("() => self.asked") == ["/nowhere-to-be-found"]


def test_a_half_filled_form_outlives_a_new_version(phone: Chromium, server: Server, versions: Versions) -> None:
    page = start_survey(phone, server)
    form, first, later = page.url, versions.first_words, versions.later_words
    missing: list[str] = []
    page.on(
        "response",
        lambda answer: missing.append(answer.url) if answer.status >= 400 and "/api/" not in answer.url else None,
    )
    type_without_leaving(page, "postcode", "LS40 0VK")
    page.evaluate("() => { globalThis.stillTheSame = true; }")

    bring_out_the_next(server, versions)
    page.evaluate(COME_TO_THE_FRONT)
    until(page, WAITS)
    # It lies on the phone now. Whoever is typing hears nothing of it, and what is typed stands.
    expect(page.get_by_text(OFFER)).to_have_count(0)
    assert (
        page.evaluate("() => globalThis.stillTheSame && document.activeElement?.closest('.field')?.id")
        == "field-postcode"
    )
    assert value_of(page, "postcode") == "LS40 0VK"

    # Screens that are read later come from this version's files, which the office has not got any more.
    go_to_hash(page, "#/sync")
    expect(page.get_by_role("heading", name=later, exact=True)).to_be_visible()
    expect(page.get_by_text(OFFER)).to_have_count(0)
    page.goto(form)
    expect(unfold(page, "postcode").locator("input")).to_have_value("LS40 0VK")
    type_without_leaving(page, "contact_phone", "01632 960003")
    type_without_leaving(page, "altitude_m", "high")

    # The offer stands on the list of surveys, and taking it does not outrun what was typed last.
    go_to_hash(page, "#/")
    expect(page.get_by_text(OFFER)).to_be_visible()
    is_edition(page, first)
    for theme in ("light", "dark"):
        page.emulate_media(color_scheme=theme)
        picture(page, f"update-offered-{theme}")
    assert page.evaluate("() => document.documentElement.scrollWidth") <= 360
    page.evaluate("(to) => { location.hash = to; }", form.split("#")[1])
    type_without_leaving(page, "contact_phone", "01632 960004")
    go_to_hash(page, "#/")
    page.get_by_role("button", name="Use the new version").click()
    is_edition(page, versions.first_words)
    assert page.evaluate("() => globalThis.stillTheSame") is None
    expect(page.get_by_text(OFFER)).to_have_count(0)
    all_values(page, form)
    # What could not be read was never called saved, and is still on the screen.
    expect(unfold(page, "altitude_m").locator("input")).to_have_value("high")

    server.stop()
    page.context.set_offline(True)
    page.goto("about:blank")
    page.goto(server.url)
    is_edition(page, versions.first_words)
    all_values(page, form)
    go_to_hash(page, "#/sync")
    expect(page.get_by_role("heading", name=versions.later_words, exact=True)).to_be_visible()
    assert missing == []
    server.start()


def all_values(page: Page, form: str) -> None:
    page.goto(form)
    for name, value in (("household_name", "Quince"), ("postcode", "LS40 0VK"), ("contact_phone", "01632 960004")):
        expect(unfold(page, name).locator("input")).to_have_value(value)


def test_two_tabs_do_not_pull_the_files_from_under_each_other(
    phone: Chromium, server: Server, versions: Versions
) -> None:
    first_tab = start_survey(phone, server)
    form, first, later = first_tab.url, versions.first_words, versions.later_words
    second_tab = first_tab.context.new_page()
    second_tab.goto(server.url)
    is_edition(second_tab, first)
    bring_out_the_next(server, versions)
    second_tab.evaluate(COME_TO_THE_FRONT)
    expect(second_tab.get_by_text(OFFER)).to_be_visible()
    # Nobody has said yes: opened anew, it is still the version that was.
    second_tab.reload()
    is_edition(second_tab, first)

    type_without_leaving(first_tab, "postcode", "LS40 0VK")
    first_tab.evaluate("() => { globalThis.stillTheSame = true; }")
    second_tab.get_by_role("button", name="Use the new version").click()
    is_edition(second_tab, versions.first_words)
    # The tab in which nobody said yes goes on with its own version, its later screens too.
    assert first_tab.evaluate("() => globalThis.stillTheSame")
    assert value_of(first_tab, "postcode") == "LS40 0VK"
    go_to_hash(first_tab, "#/sync")
    expect(first_tab.get_by_role("heading", name=later, exact=True)).to_be_visible()
    go_to_hash(first_tab, "#/")
    is_edition(first_tab, first)
    first_tab.get_by_role("button", name="Use the new version").click()
    is_edition(first_tab, versions.first_words)
    first_tab.goto(form)
    expect(unfold(first_tab, "postcode").locator("input")).to_have_value("LS40 0VK")


def test_a_phone_that_is_only_ever_opened_anew_hears_of_it(phone: Chromium, server: Server, versions: Versions) -> None:
    page = start_survey(phone, server)
    form, first = page.url, versions.first_words
    phone.close()
    bring_out_the_next(server, versions)
    phone.start()
    page = phone.page()
    page.goto(server.url)
    is_edition(page, first)
    expect(page.get_by_text(OFFER)).to_be_visible()
    is_edition(page, first)
    # Closed without a word, it comes with the next opening, as the offer said.
    expect(page.get_by_text(re.compile("or when the app is next opened"))).to_be_visible()
    phone.kill()
    phone.start().set_offline(True)
    page = phone.page()
    page.goto(server.url)
    is_edition(page, versions.first_words)
    page.goto(form)
    expect(unfold(page, "household_name").locator("input")).to_have_value("Quince")
