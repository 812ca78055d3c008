"""What stands against the job, where one stands: on the walk in place of a tick, at the foot, first of all before one leaves."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.axe import violations
from tests.browser.hand import go_to, picture, sign_in, unfold
from tests.support.chromium import Chromium
from tests.support.server import Server
from wattwalk.demo.house import house
from wattwalk.engine import assess
from wattwalk.survey.document import read_document
from wattwalk.survey.gaps import find_gaps

#: A phone of today, and the smallest there is.
SIZES = ({"width": 390, "height": 844}, {"width": 320, "height": 640})
ENGINE_MS = 60_000


def quiet_house() -> dict:
    """The demo house with all put in order that stands against its job; nothing is missing either."""
    document = house()
    records = document["records"]

    def of(kind: str, record: str) -> dict:
        return next(item for item in records[kind] if item["id"] == record)

    records["survey"][0]["household_name"] = "Quince"
    del of("room", "room-bathroom")["damp_seen"]
    of("nearby_object", "object-air-brick")["remedy_done"] = True
    emitter = of("emitter", "emitter-kitchen")
    for name in set(emitter) - {"id", "room", "plan"}:
        del emitter[name]
    emitter.update(type="panel_22", height_mm=600, length_mm=1200)
    for reading in records["level_reading"]:
        reading["reading_mm"] = 412.0
    of("pipe_run", "pipe-ground")["carries_kw"] = 3.75
    # Balanced, the radiators take less than the demo's units ask for.
    for unit in records["unit"]:
        unit["minimum_flow_l_min"] = 6
    supply = of("supply", "supply")
    supply["loads"] = supply["loads"][:2]
    del supply["large_loads"]
    return {**document, "id": "quiet-house"}


def unsized_house() -> dict:
    """The quiet house, but that nobody knows how long its kitchen is."""
    document = quiet_house()
    records = document["records"]
    records["survey"][0]["household_name"] = "Medlar"
    del next(item for item in records["room"] if item["id"] == "room-kitchen")["length_m"]
    return {**document, "id": "unsized-house"}


def test_the_quiet_house_is_quiet() -> None:
    survey = read_document(quiet_house())
    assert [(item.code, item.record) for item in assess(survey).findings if item.severity != "note"] == []
    assert find_gaps(survey) == ()


@pytest.fixture(scope="module")
def server(server: Server) -> Server:
    for document in (quiet_house(), unsized_house()):
        server.take_in(document)
    return server


def fetched(phone: Chromium, server: Server, household: str) -> Page:
    """A house of the office's on the phone, with the office's answer, and then no signal."""
    context = phone.start(viewport=SIZES[0])
    phone.allow_lasting_storage(server.url)
    page = phone.page()
    sign_in(page, server.url, "surveyor@demo.example", "walk-the-house")
    page.get_by_role("listitem").filter(has_text=household).get_by_role("button", name="Fetch").click()
    expect(page.locator(".foot-figures")).to_contain_text(re.compile("Heat loss|so far"), timeout=ENGINE_MS)
    page.wait_for_function("() => navigator.serviceWorker.ready.then(() => true)")
    context.set_offline(True)
    return page


def station(page: Page, name: str) -> Locator:
    """The row of a stage on the walk."""
    return page.get_by_role("list").get_by_role("link", name=re.compile(f"^{name}"))


def looked_at(page: Page, name: str) -> None:
    """See the screen at both sizes and in both themes: nothing wider than it, and nothing that axe has to say."""
    for size in SIZES:
        page.set_viewport_size(size)
        for theme in ("light", "dark"):
            page.emulate_media(color_scheme=theme)
            picture(page, f"{name}-{size['width']}-{theme}")
            assert violations(page) == []
            assert page.evaluate("() => document.documentElement.scrollWidth <= innerWidth")
    page.emulate_media(color_scheme="light")
    page.set_viewport_size(SIZES[0])


def say_remedy(page: Page) -> None:
    """Turn over whether the air brick in the zone has been dealt with, on its own screen; come back to the walk."""
    walk = page.url
    page.goto(f"{walk}/record/nearby_object/object-air-brick")
    answers = unfold(page, "remedy_done")
    answers.get_by_role("button", pressed=False).first.click()
    expect(answers.get_by_text("Saved on this phone")).to_be_visible()
    page.goto(walk)


def test_complete_and_leave_are_said_until_something_stops_the_job(phone: Chromium, server: Server) -> None:
    page = fetched(phone, server, "Quince")
    foot = page.get_by_role("contentinfo")
    expect(foot).to_contain_text("live on this phone", timeout=ENGINE_MS)
    for name in ("Household", "Rooms", "Hot water", "Outside", "Pipes", "Photos", "Before you leave"):
        expect(station(page, name)).to_contain_text("Complete")
    expect(foot).not_to_contain_text("stops the job")
    walk = page.url
    go_to(page, "Before you leave")
    expect(page.get_by_text("You can leave.")).to_be_visible()
    expect(page.get_by_role("main")).not_to_contain_text("not known")
    page.goto(walk)

    say_remedy(page)
    expect(station(page, "Outside")).to_contain_text("1 thing stops the job", timeout=ENGINE_MS)
    expect(station(page, "Before you leave")).to_contain_text("1 thing stops the job")
    for name in ("Outside", "Before you leave"):
        expect(station(page, name)).not_to_contain_text("Complete")
    expect(station(page, "Hot water")).to_contain_text("Complete")
    foot.get_by_role("link", name="1 thing stops the job").click()
    expect(page.get_by_role("heading", name="Before you leave")).to_be_visible()
    expect(page.get_by_text("You can leave.")).to_have_count(0)
    # And over its own list.
    page.goto(f"{walk}/stage/outside")
    expect(page.get_by_role("main").get_by_role("link").first).to_contain_text("1 thing stops the job")
    page.goto(walk)

    say_remedy(page)
    expect(station(page, "Outside")).to_contain_text("Complete", timeout=ENGINE_MS)
    expect(foot).not_to_contain_text("stops the job")


def test_what_stands_against_the_job_comes_first_each_with_its_remedy_and_the_way(
    phone: Chromium, server: Server
) -> None:
    page = fetched(phone, server, "Thimbleworth")
    expect(page.get_by_role("contentinfo")).to_contain_text("live on this phone", timeout=ENGINE_MS)
    walk = page.url
    # Something is missing too, so that there are gaps below.
    page.goto(f"{walk}/record/supply/supply")
    line = unfold(page, "main_fuse_a").locator("input")
    line.fill("")
    line.blur()
    expect(unfold(page, "main_fuse_a").get_by_text("Saved on this phone")).to_be_visible()
    page.goto(walk)
    expect(station(page, "Household")).to_contain_text("gap", timeout=ENGINE_MS)
    looked_at(page, "walk-with-stops")
    go_to(page, "Before you leave")
    parts = page.get_by_role("main").get_by_role("region")
    expect(parts.first).to_have_accessible_name("Stops the job")
    expect(parts.nth(1)).to_have_accessible_name("To check")
    expect(parts.nth(2)).to_have_accessible_name("Household and meter")
    found = assess(read_document(house())).findings
    (stop,) = (item for item in found if item.severity == "stop")
    expect(parts.first.get_by_role("listitem")).to_have_count(1)
    expect(parts.first).to_contain_text(f"To do: {stop.remedy}")
    for item in parts.nth(1).get_by_role("listitem").all():
        expect(item.get_by_role("link")).to_contain_text("To do:")
    looked_at(page, "leaving-with-stops")

    # The words at the top are ways to the parts below.
    page.get_by_role("group", name="What is open").get_by_role("button", name=re.compile("gap")).click()
    expect(page.get_by_role("heading", name="Household and meter")).to_be_focused()
    expect(page.get_by_role("heading", name="Household and meter")).to_be_in_viewport()

    here = page.url
    for way in [link.get_attribute("href") for link in parts.nth(1).get_by_role("link").all()] + [
        parts.first.get_by_role("link").get_attribute("href")
    ]:
        page.goto(f"{server.url}/{way}")
        expect(page.get_by_role("heading", level=1)).to_be_visible()
        expect(page.get_by_role("heading", name="Not here")).to_have_count(0)
        page.goto(here)
        expect(parts.first).to_be_visible()


@pytest.mark.without_engine
def test_a_phone_that_works_nothing_out_promises_nothing_after_an_edit(phone: Chromium, server: Server) -> None:
    page = fetched(phone, server, "Quince")
    foot = page.get_by_role("contentinfo")
    expect(foot).to_contain_text("worked out at the office")
    expect(station(page, "Outside")).to_contain_text("Complete")
    walk = page.url
    page.goto(f"{walk}/record/survey/survey-demo")
    name = unfold(page, "household_name")
    name.locator("input").fill("Quince and Medlar")
    name.locator("input").blur()
    expect(name.get_by_text("Saved on this phone")).to_be_visible()
    page.goto(walk)
    for row in ("Household", "Rooms", "Hot water", "Outside", "Before you leave"):
        expect(station(page, row)).to_contain_text("No gaps, not checked yet")
        expect(station(page, row)).not_to_contain_text("Complete")
    go_to(page, "Before you leave")
    main = page.get_by_role("main")
    expect(main).to_contain_text("What stands against the job is not known for the survey as it is now.")
    expect(main).to_contain_text("changed since, so it may no longer hold")
    expect(main).not_to_contain_text("You can leave")
    looked_at(page, "leaving-unknown")


@pytest.mark.without_engine
def test_before_anything_was_worked_out_it_says_where_results_come_from(phone: Chromium, server: Server) -> None:
    context = phone.start(viewport=SIZES[0])
    page = phone.page()
    sign_in(page, server.url, "surveyor@demo.example", "walk-the-house")
    context.set_offline(True)
    page.get_by_role("button", name="New survey").click()
    expect(page.get_by_role("contentinfo")).to_contain_text("This phone does not work them out itself")
    go_to(page, "Before you leave")
    expect(page.get_by_role("main")).to_contain_text("is not known for the survey as it is now")
    expect(page.get_by_role("main")).to_contain_text("This phone does not work them out itself")


def test_the_foot_names_what_its_figures_want_and_looks_like_the_way_it_is(phone: Chromium, server: Server) -> None:
    page = fetched(phone, server, "Medlar")
    foot = page.get_by_role("contentinfo")
    walk = page.url
    page.goto(f"{walk}/record/room/room-kitchen")
    expect(foot).to_contain_text("Wanted: length", timeout=ENGINE_MS)
    expect(foot.get_by_role("link", name=re.compile("^Working"))).to_be_visible()
    page.goto(walk)
    expect(foot).to_contain_text("Not known yet: Kitchen. Wanted: length", timeout=ENGINE_MS)
    way = foot.get_by_role("link", name=re.compile("^Results"))
    expect(way.locator(".chevron")).to_be_visible()
    picture(page, "foot-wants")
    way.click()
    expect(page.get_by_role("heading", name="Results", exact=True)).to_be_visible()
