"""The history of a survey at the office and on a phone: all of it, narrowed and searched, and a value put back in one tap, without signal too."""

from __future__ import annotations

import re
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect
from uuid_utils import uuid7

from tests.browser.ask import got
from tests.browser.hand import open_demo_house, picture
from tests.browser.looking import look
from tests.support.chromium import Chromium
from tests.support.server import Server

pytestmark = pytest.mark.without_engine
#: More than the page shows at once, and more than the screen ever showed before.
MORE = 130


def history(page: Page, server: Server, survey: str, asked: str = "") -> dict[str, Any]:
    response = got(page, f"{server.url}/api/surveys/{survey}/history?{asked}")
    assert response.ok, response.text()
    return response.json()


def push(page: Page, server: Server, survey: str, *changes: dict[str, Any]) -> None:
    made = [{"id": str(uuid7()), "made_at": "2026-03-31T14:05:00Z", "kind": "room", **change} for change in changes]
    response = page.context.request.post(
        f"{server.url}/api/surveys/{survey}/changes", data={"device": "tablet", "app": "0.1.0", "changes": made}
    )
    assert {item["status"] for item in response.json()["results"]} == {"accepted"}


def rows(page: Page) -> Locator:
    return page.get_by_role("table", name="Changes").locator("tbody tr")


@pytest.mark.takes(seconds=30)
@pytest.mark.parametrize("size", ["laptop", "phone"])
def test_the_history_answers_and_a_value_is_put_back_without_signal(
    size: str, request: pytest.FixtureRequest, own_server: Server
) -> None:
    browser: Chromium = request.getfixturevalue(size)
    browser.start()
    page = browser.page()
    survey = open_demo_house(page, own_server.url)
    room = got(page, f"{own_server.url}/api/surveys/{survey}").json()["records"]["room"][0]
    start = history(page, own_server, survey, f"record={room['id']}&field=length_m")["changes"][0]
    push(
        page,
        own_server,
        survey,
        *({"record": room["id"], "field": "notes", "value": f"Word {place}", "seen": 0} for place in range(MORE)),
        {"record": room["id"], "field": "length_m", "value": 7.77, "seen": start["revision"]},
    )
    everything = history(page, own_server, survey)["found"]
    assert everything > 1_000

    page.goto(f"{own_server.url}/#/survey/{survey}/office/history")
    counted = page.get_by_role("status").filter(has_text=f"The newest 50 of {everything:,} changes.")
    expect(counted).to_be_visible()
    expect(rows(page)).to_have_count(50)
    expect(rows(page).first).to_contain_text("7.77")
    expect(rows(page).first).to_contain_text(start["words"])
    # What a tablet said reaches this device before anything is put back over it.
    expect(rows(page).first.get_by_role("button")).to_be_visible()
    look(page, f"54-history-{size}")
    page.get_by_role("button", name="Show older").click()
    expect(rows(page)).to_have_count(100)

    # By words, by room, by person, by day.
    like_it = history(page, own_server, survey, "words=word+12")["found"]
    assert 1 < like_it < 50
    page.get_by_label("Search").fill("word 12")
    expect(page.get_by_text(f"{like_it} changes.")).to_be_visible()
    page.get_by_label("On which day").fill("2026-03-30")
    expect(page.get_by_text("No change is like that.")).to_be_visible()
    page.get_by_label("On which day").fill("2026-03-31")
    expect(page.get_by_text(f"{like_it} changes.")).to_be_visible()
    page.get_by_label("On which day").fill("")
    page.get_by_label("Search").fill("")
    place = page.get_by_label("Of what")
    place.select_option(value=room["id"])
    of_room = history(page, own_server, survey, f"record={room['id']}")["found"]
    expect(page.get_by_text(re.compile(rf"of {of_room:,} changes"))).to_be_visible()
    person = page.get_by_label("By whom")
    person.select_option(index=1)
    expect(rows(page)).to_have_count(50)

    # One answer: what it was, who said so; and back again, without signal.
    rows(page).first.get_by_role("link").click()
    expect(page.get_by_text("2 changes.")).to_be_visible()
    look(page, f"55-history-of-one-{size}")
    page.context.set_offline(True)
    was = start["words"].split()[0]
    newest = rows(page).first
    expect(newest).to_contain_text("7.77")
    newest.get_by_role("button", name=re.compile(rf"^Put back {was}\b")).click()
    said = re.compile(rf"is {was}\sm again\. Saved on this phone\.")
    expect(page.get_by_role("status").filter(has_text=said)).to_be_visible()
    expect(newest.get_by_text("Stands now")).to_be_visible()
    assert history(page, own_server, survey, f"record={room['id']}&field=length_m")["found"] == 2
    page.context.set_offline(False)
    # It is in the history itself, by whoever put it back, from this device.
    expect(page.get_by_text("3 changes.")).to_be_visible()
    expect(rows(page).first).to_contain_text("on this device")
    log = history(page, own_server, survey, f"record={room['id']}&field=length_m")["changes"]
    assert [line["value"] for line in log] == [start["value"], 7.77, start["value"]]
    assert not log[0]["contested"]
    page.goto(f"{own_server.url}/#/survey/{survey}/record/room/{room['id']}")
    expect(page.get_by_role("link", name="What it was before")).to_have_attribute(
        "href", f"#/survey/{survey}/office/history?record={room['id']}&from=room%2F{room['id']}"
    )
    picture(page, f"56-room-{size}")
