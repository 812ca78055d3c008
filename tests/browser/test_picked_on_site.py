"""Picked and tried on site, without signal: the unit from the firm's list with all it brings, the cylinder in its cupboard."""

from __future__ import annotations

import re

from playwright.sync_api import Page, expect
from uuid_utils import uuid7

from tests.browser.axe import violations
from tests.browser.hand import answer, back, choose, field, go_to, picture, sign_in, sizes, unfold
from tests.support.chromium import Chromium
from tests.support.server import Server

#: Without signal only this phone's engine can answer; its first start takes a while.
ENGINE_MS = 60_000
UNIT = {
    "name": "Thistledown 9, invented",
    "width_mm": 1080,
    "depth_mm": 460,
    "height_mm": 905,
    "mass_kg": 131,
    "sound_power_dba": 54.5,
    "maximum_current_a": 17.5,
    "need_front_mm": 1200,
    "minimum_flow_l_min": 14,
    "refrigerant": "r290",
}


def on_a_phone(phone: Chromium, server: Server) -> Page:
    phone.start(viewport={"width": 390, "height": 844})
    phone.allow_lasting_storage(server.url)
    page = phone.page()
    sign_in(page, server.url, "surveyor@demo.example", "walk-the-house")
    page.wait_for_function("() => navigator.serviceWorker.ready.then(() => true)")
    return page


def test_a_unit_of_the_firms_list_is_picked_without_signal_and_brings_what_its_papers_say(
    phone: Chromium, server: Server
) -> None:
    page = on_a_phone(phone, server)
    changes = [
        {
            "id": str(uuid7()),
            "seen": 0,
            "made_at": "2026-03-31T14:05:00Z",
            "kind": "unit",
            "record": "thistledown",
            "field": name,
            "value": value,
        }
        for name, value in UNIT.items()
    ]
    response = page.context.request.post(
        f"{server.url}/api/book/changes", data={"device": "desk", "app": "0.1.0", "changes": changes}
    )
    assert response.ok, response.text()
    page.goto(f"{server.url}/#/office/firm")
    page.reload()
    expect(page.get_by_role("link", name=re.compile("Thistledown 9"))).to_be_visible()

    page.goto(f"{server.url}/#/")
    page.context.set_offline(True)
    page.get_by_role("button", name="New survey").click()
    go_to(page, "Outside")
    page.get_by_role("button", name="Add a place for the unit").click()
    unit = page.get_by_role("region", name="The unit")
    expect(unit).to_contain_text("No unit chosen yet")
    unit.get_by_role("button", name="Pick one for this place").click()
    pick = unit.get_by_role("group", name="Pick the unit").get_by_role("button", name=re.compile("Thistledown 9"))
    expect(pick).to_contain_text(re.compile(r"the firm's list.*1,?080\smm.*131\skg.*54\.5\sdB"))
    picture(page, "unit-pick")
    pick.click()
    expect(unit.get_by_role("link", name=re.compile("The unit: Thistledown 9"))).to_be_visible()
    unit.get_by_role("button", name="What it brings with it").click()
    for group, words in (
        ("Size and feet", "131"),
        ("Refrigerant and zone", "R290"),
        ("Sound and electricity", "17.5"),
        ("Heating water", "14"),
        ("Room it needs around it", "1,?200"),
    ):
        expect(unit.get_by_label(group)).to_contain_text(re.compile(words))
    expect(unit).to_contain_text(
        "Not in its papers here: heavy side, seen from the front, feet, centre to centre across"
    )
    # The plan no longer asks for a unit that nobody has chosen.
    expect(page.get_by_role("region", name="Plan")).not_to_contain_text("size not known")
    assert not violations(page)
    picture(page, "unit-picked")
    pick.click()
    expect(unit).to_contain_text("No unit chosen yet")


def test_a_cylinder_is_tried_in_its_cupboard_without_signal(phone: Chromium, server: Server) -> None:
    page = on_a_phone(phone, server)
    page.goto(f"{server.url}/#/sync")
    expect(page.get_by_role("region", name="Figures on this phone")).to_contain_text("Ready", timeout=ENGINE_MS)
    page.context.set_offline(True)
    page.goto(f"{server.url}/#/")
    page.get_by_role("button", name="New survey").click()
    go_to(page, "Hot water")
    page.locator("a.row[href*='/record/hot_water/']").click()
    trial = page.get_by_role("region", name="What goes in")
    unfold(page, "new_place")
    expect(trial).to_contain_text("Measure narrowest door on the way, clear width")
    for name, millimetres in {"place_width_mm": 550, "place_depth_mm": 550, "place_height_mm": 1500}.items():
        answer(page, name, str(millimetres))
    expect(trial.get_by_role("listitem").first).to_contain_text("Not known yet", timeout=ENGINE_MS)
    expect(trial).to_contain_text("The narrowest door on the way is not measured")
    answer(page, "door_width_mm", "580")
    goes = trial.get_by_role("listitem")
    expect(goes).to_have_count(5, timeout=ENGINE_MS)
    expect(goes.first).to_contain_text(re.compile(r"Goes in.*120\sl, 475\smm across"))
    expect(goes.nth(4)).to_contain_text(re.compile(r"Goes in, tight.*210\sl.*it comes in upright"))
    picture(page, "cupboard")
    trial.get_by_role("button", name="6 do not go in: why").click()
    expect(goes).to_have_count(11)
    expect(goes.filter(has_text="630 mm across").first).to_contain_text(
        re.compile(r"Does not go in.*narrowest door on the way is 580\smm and it needs 630\smm", re.IGNORECASE)
    )
    expect(trial).to_contain_text("An unvented cylinder of more than 15 l is fitted")
    expect(trial).to_contain_text("own papers decide")
    assert not violations(page)
    # A door that is too narrow keeps all of them out, at once.
    answer(page, "door_width_mm", "460")
    expect(trial).to_contain_text("None of these sizes goes in", timeout=ENGINE_MS)
    expect(field(page, "door_width_mm")).to_be_visible()


def test_a_side_shows_what_it_is_made_of_after_it_gave_way_and_another_is_one_tap_away(
    phone: Chromium, server: Server
) -> None:
    page = on_a_phone(phone, server)
    page.goto(f"{server.url}/#/sync")
    expect(page.get_by_role("region", name="Figures on this phone")).to_contain_text("Ready", timeout=ENGINE_MS)
    page.goto(f"{server.url}/#/")
    page.get_by_role("button", name="New survey").click()
    go_to(page, "Usual constructions")
    choose(page, "age_band", "1900")
    walls, party = (
        page.get_by_role("region", name=name, exact=True) for name in ("Outside walls", "Walls to neighbours")
    )
    choose(walls, "look", "Solid brick wall")
    choose(party, "look", "Wall to a neighbour")
    for slot in (walls, party):
        expect(slot.locator(".u-value")).to_have_text(re.compile(r"^U \d\.\d\d\sW/m²K$"), timeout=ENGINE_MS)
    listed = page.get_by_role("region", name="Usual constructions", exact=True).get_by_role("listitem")
    expect(listed.first).to_contain_text(re.compile(r"Solid brick wall.*U \d\.\d\d\sW/m²K"))
    back(page)
    go_to(page, "Rooms")
    page.get_by_role("button", name="New room").click()
    page.get_by_role("button", name="Living room").click()
    sizes(page, "Length × width × height", "4 x 3 x 2.4")
    expect(page.get_by_role("region", name="Front side")).to_be_visible()
    page.get_by_role("region", name="Front side").get_by_role("button", name="Neighbour", exact=True).click()
    said = page.get_by_role("group", name="Front side, as said")
    expect(said).to_contain_text(
        re.compile(r"neighbour · Wall to a neighbour, solid brick U \d\.\d\d\sW/m²K"), timeout=ENGINE_MS
    )
    chips = said.get_by_role("group", name="Construction")
    expect(chips.get_by_role("button")).to_have_count(2)
    picture(page, "just-said")
    chips.get_by_role("button", name=re.compile("^Solid brick wall")).click()
    expect(chips.get_by_role("button", name=re.compile("^Solid brick wall"))).to_have_attribute("aria-pressed", "true")
    expect(said).to_contain_text("neighbour · Solid brick wall")
    assert not violations(page)
