"""A room's length typed once is one answer: the sides move with it, on the phone without signal and at the office."""

from __future__ import annotations

import re
from typing import Any

from playwright.sync_api import Page, expect

from tests.browser.hand import back, go_to, picture, sign_in, sizes, unfold
from tests.browser.held import held, view_of
from tests.support.chromium import Chromium
from tests.support.server import Server
from tests.support.until import wait_until

_WAITING = """(survey) => new Promise((done, failed) => {
  const asked = indexedDB.open('wattwalk');
  asked.onerror = () => failed(asked.error);
  asked.onsuccess = () => {
    const rows = asked.result.transaction('outbox').objectStore('outbox').index('survey').getAll(survey);
    rows.onerror = () => failed(rows.error);
    rows.onsuccess = () => { asked.result.close(); done(rows.result); };
  };
})"""
BOX = "Length × width × height"


def waiting(page: Page, survey: str) -> dict[str, list[Any]]:
    """Return the changes that wait on the phone, by id."""
    return {
        change["id"]: [change["kind"], change["field"], change["value"]] for change in page.evaluate(_WAITING, survey)
    }


def stored_sizes(records: dict[str, dict[str, Any]]) -> list[dict[str, float]]:
    return [
        {name: values[name] for name in ("width_m", "height_m", "area_m2") if name in values}
        for key, values in records.items()
        if key.startswith("surface/")
    ]


def test_a_typed_length_is_one_change_and_the_walls_move(phone: Chromium, server: Server) -> None:
    context = phone.start()
    phone.allow_lasting_storage(server.url)
    page = phone.page()
    sign_in(page, server.url, "surveyor@demo.example", "walk-the-house")
    page.wait_for_function("() => navigator.serviceWorker.ready.then(() => true)")
    context.set_offline(True)
    page.get_by_role("button", name="New survey").click()
    go_to(page, "Rooms")
    survey = re.search("#/survey/([^/]+)", page.url)[1]
    page.get_by_role("button", name="New room").click()
    page.get_by_role("button", name="Living room", exact=True).click()
    sizes(page, BOX, "4.2 x 3.6 x 2.4")
    front = page.get_by_role("region", name="Front side")
    front.get_by_role("button", name="Outside", exact=True).click()
    expect(front.get_by_text("10.1 m²")).to_be_visible()
    front.get_by_role("button", name="Next side").click()
    right = page.get_by_role("region", name="Right side")
    right.get_by_role("button", name="Outside", exact=True).click()
    right.get_by_role("button", name="Only a part of this side").click()
    sizes(right, "Width of this part", "2.5")
    expect(right.get_by_text("1.1 × 2.4 m of this side is left.")).to_be_visible()
    right.get_by_role("button", name="Neighbour", exact=True).click()
    expect(right.get_by_text("2.6 m²")).to_be_visible()
    page.get_by_role("button", name=re.compile("^Back side")).click()
    rear = page.get_by_role("region", name="Back side")
    rear.get_by_role("button", name="One not entered yet").click()
    rear.get_by_role("button", name="Kitchen", exact=True).click()
    expect(rear.get_by_text("Its size is that of Living room, where it was entered.")).to_be_visible()
    picture(page, "sizes-side")
    # Only the parts of the right side say a size of their own.
    assert sorted(map(str, stored_sizes(held(page, survey)))) == sorted(
        map(str, [{}, {"width_m": 2.5}, {"width_m": 1.1}, {}])
    )

    before = waiting(page, survey)
    sizes(page, BOX, "5 x 3.6 x 2.4")
    expect(rear.get_by_text("12 m²")).to_be_visible()
    made = {id: said for id, said in waiting(page, survey).items() if id not in before}
    assert list(made.values()) == [["room", "length_m", 5]]
    page.get_by_role("button", name=re.compile("^Front side")).click()
    expect(front.get_by_text("12 m²")).to_be_visible()

    front.get_by_role("link", name="All about it").click()
    expect(unfold(page, "width_m").get_by_text("Taken from Living room: 5 m.")).to_be_visible()
    expect(unfold(page, "width_m").get_by_text("needed")).to_have_count(0)
    picture(page, "sizes-surface")
    # A wall that is longer says so, and one that is typed as the room has it follows the room again.
    page.get_by_label(re.compile("^Width")).fill("5.6")
    page.get_by_label(re.compile("^Width")).blur()
    expect(unfold(page, "width_m").get_by_text("Taken from Living room")).to_have_count(0)
    wait_until(lambda: {"width_m": 5.6} in stored_sizes(held(page, survey)), "the longer wall is not kept", page)
    page.get_by_label(re.compile("^Width")).fill("5")
    page.get_by_label(re.compile("^Width")).blur()
    expect(unfold(page, "width_m").get_by_text("Taken from Living room: 5 m.")).to_be_visible()
    wait_until(lambda: {"width_m": 5.6} not in stored_sizes(held(page, survey)), "the wall stays longer", page)
    back(page)

    context.set_offline(False)
    page.goto(f"{server.url}/#/")
    expect(page.get_by_role("status").filter(has_text=re.compile("^At the office"))).to_be_visible()
    at_office = view_of(page, server.url, survey)["records"]["surface"]
    assert sorted(item["width_m"] for item in at_office if "width_m" in item) == [1.1, 2.5]
    assert [item for item in at_office if "height_m" in item] == []
