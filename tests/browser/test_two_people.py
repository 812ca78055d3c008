"""Two people with a phone each and the office on one house at once: what clashes is shown to all, picked once, and all end equal."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from playwright.sync_api import Page, expect

from tests.browser.hand import answer, picture, sign_in, unfold
from tests.browser.held import held, is_level, records_of, view_of
from tests.conftest import NewBrowser
from tests.support.chromium import Chromium, Screen
from tests.support.server import Server
from tests.support.until import wait_until


@pytest.fixture
def devices(new_browser: NewBrowser) -> tuple[Chromium, Chromium, Chromium]:
    """Two phones and a laptop, each with a profile of its own."""
    return new_browser("one", Screen.PHONE), new_browser("two", Screen.PHONE), new_browser("desk", Screen.LAPTOP)


def open_house(browser: Chromium, server: Server) -> tuple[Page, str]:
    """Sign in on a device, fetch the demo house, and return the page and the survey's id."""
    browser.start()
    page = browser.page()
    sign_in(page, server.url, "surveyor@demo.example", "walk-the-house")
    page.get_by_role("listitem").filter(has_text="Thimbleworth").get_by_role("button", name="Fetch").click()
    expect(page.locator(".foot-figures")).to_contain_text("Heat loss")
    expect(at_the_office(page)).to_be_visible()
    found = re.search(r"#/survey/([^/?]+)", page.url)
    assert found is not None
    return page, found[1]


def at_the_office(page: Page) -> Any:
    return page.get_by_role("status").filter(has_text=re.compile("^At the office"))


def go(page: Page, server: Server, survey: str, path: str) -> None:
    page.goto(f"{server.url}/#/survey/{survey}/{path}")


def exchange(page: Page, server: Server, survey: str) -> None:
    """Let a device talk to the office now, and wait until nothing of it waits and it has all that the office has."""
    page.context.set_offline(False)
    page.goto(f"{server.url}/#/sync")
    page.get_by_role("button", name="Send and fetch now").click()
    wait_until(
        lambda: is_level(page, survey, view_of(page, server.url, survey)["revision"]),
        "the device did not get to where the office is",
        page,
    )


def take_photo(page: Page, server: Server, survey: str, room: str, file: Path) -> None:
    go(page, server, survey, f"record/room/{room}")
    strip = page.get_by_role("region", name="Photos")
    strip.locator("input[type=file]").first.set_input_files(file)
    expect(strip.get_by_text("Saved on this phone").first).to_be_visible()


@pytest.mark.takes(seconds=30)
@pytest.mark.without_engine
def test_two_phones_and_the_office_end_equal(
    devices: tuple[Chromium, Chromium, Chromium], server: Server, tmp_path: Path
) -> None:
    (one, survey), (two, _), (desk, _) = (open_house(browser, server) for browser in devices)
    view = view_of(desk, server.url, survey)
    before = records_of(view)
    room, gone = (item["id"] for item in view["records"]["room"][:2])
    pipe = view["records"]["pipe_run"][0]["id"]
    colours = ("teal", "orange")
    files = [tmp_path / f"{colour}.jpg" for colour in colours]
    for colour, file in zip(colours, files, strict=True):
        Image.new("RGB", (640, 480), colour).save(file)

    # Nobody hears of the others while all of this is entered.
    for page in (one, two, desk):
        page.context.set_offline(True)
    go(one, server, survey, "record/survey/" + view["records"]["survey"][0]["id"])
    answer(one, "household_name", "Thimbleworth and Quince")
    go(two, server, survey, "record/survey/" + view["records"]["survey"][0]["id"])
    answer(two, "contact_phone", "01632 960002")
    go(one, server, survey, f"record/pipe_run/{pipe}")
    answer(one, "start", "Under the window")
    go(two, server, survey, f"record/pipe_run/{pipe}")
    answer(two, "start", "By the gully")
    go(desk, server, survey, f"record/pipe_run/{pipe}")
    answer(desk, "end", "Airing cupboard")
    go(two, server, survey, f"record/room/{gone}")
    answer(two, "name", "Snug")
    go(one, server, survey, f"record/room/{gone}")
    one.get_by_role("button", name="Take away this room").click()
    one.get_by_role("button", name="Take it away").click()
    # Taken away, the room gives way to the list; whoever goes on before is brought back to it.
    expect(one.get_by_role("heading", name="Rooms", exact=True)).to_be_visible()
    take_photo(one, server, survey, room, files[0])
    take_photo(two, server, survey, room, files[1])

    for page in (one, two, desk, one, two):
        exchange(page, server, survey)
    view = view_of(desk, server.url, survey)
    assert {(item["kind"], item["record"], item["field"]) for item in view["contested"]} == {
        ("pipe_run", pipe, "start"),
        ("room", gone, "deleted"),
    }
    assert [photo["arrived"] for photo in view["photos"]].count(True) >= 2

    shown_on_a_phone(one, server, survey)
    go(two, server, survey, f"record/pipe_run/{pipe}")
    expect(two.locator("#field-start").get_by_role("button", name=re.compile("^Under the window"))).to_be_visible()
    blocked_and_picked_at_the_office(desk, server, survey)
    # The pick goes first, then both phones hear of it.
    for page in (desk, one, two):
        exchange(page, server, survey)

    view = view_of(desk, server.url, survey)
    assert view["contested"] == []
    there = records_of(view)
    assert (there[f"pipe_run/{pipe}"]["start"], there[f"pipe_run/{pipe}"]["end"]) == (
        "Under the window",
        "Airing cupboard",
    )
    assert there[f"room/{gone}"] == {**before[f"room/{gone}"], "name": "Snug"}
    (house,) = view["records"]["survey"]
    assert (house["household_name"], house["contact_phone"]) == ("Thimbleworth and Quince", "01632 960002")
    for page in (one, two, desk):
        assert held(page, survey) == there
    all_see_the_same(one, two, server, survey, pipe, room)


def shown_on_a_phone(page: Page, server: Server, survey: str) -> None:
    go(page, server, survey, "stage/leaving")
    pipe = page.get_by_role("group", name=re.compile(": From$"))
    expect(pipe.get_by_role("button", name=re.compile("Under the window"))).to_contain_text(
        "on this device",
    )
    expect(pipe.get_by_role("button", name=re.compile("By the gully"))).to_contain_text("on a device of")
    expect(page.get_by_text("one took it away, the other went on with it")).to_be_visible()
    picture(page, "50-two-people-on-the-phone")


def blocked_and_picked_at_the_office(page: Page, server: Server, survey: str) -> None:
    go(page, server, survey, "office/reports")
    expect(page.get_by_text("No report can be made")).to_be_visible()
    expect(page.get_by_role("button", name=re.compile("^Make version"))).to_have_count(0)
    refused = page.context.request.post(f"{server.url}/api/surveys/{survey}/reports")
    assert refused.status == 409
    assert len(refused.json()["problems"]) == 2
    page.get_by_role("link", name="Pick which stands").click()
    picture(page, "51-two-people-at-the-office")
    page.get_by_role("button", name=re.compile("^Under the window")).click()
    page.get_by_role("button", name=re.compile("^Keep it")).click()
    expect(page.get_by_role("heading", name="Answered twice")).to_have_count(0)


def all_see_the_same(one: Page, two: Page, server: Server, survey: str, pipe: str, room: str) -> None:
    for page in (one, two):
        go(page, server, survey, f"record/pipe_run/{pipe}")
        expect(unfold(page, "start").locator("input")).to_have_value("Under the window")
        expect(unfold(page, "end").locator("input")).to_have_value("Airing cupboard")
        go(page, server, survey, "stage/rooms")
        expect(page.get_by_role("link", name=re.compile("Snug"))).to_be_visible()
        go(page, server, survey, f"record/room/{room}")
        # One photo lies on this phone, the other is shown from the office.
        page.get_by_role("region", name="Photos").scroll_into_view_if_needed()
        expect(page.get_by_role("region", name="Photos").locator("img")).to_have_count(2)
        go(page, server, survey, "stage/leaving")
        expect(page.get_by_text("Somebody must decide")).to_have_count(0)
