"""Long forms are folded into their groups on the phone, and nothing that was typed, refused or is disputed is ever folded away."""

from __future__ import annotations

import re
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect
from uuid_utils import uuid7

from tests.browser.axe import violations
from tests.browser.hand import answer, choose, field, picture, sign_in, unfold
from tests.browser.test_in_view import Thumb
from tests.browser.test_store_faults import FAIL, STORE_THAT_FAILS
from tests.support.chromium import Chromium
from tests.support.server import Server

pytestmark = pytest.mark.without_engine

PHONE = {"width": 390, "height": 844}
GROUPS = ["who", "house", "draughts", "place", "now", "visit"]
#: All that is needed of a household, by group.
NEEDED = {
    "who": {
        "household_name": "Quince",
        "address": "3 Mill Row",
        "postcode": "LS40 0VK",
        "contact_email": "q@example.org",
    },
    "house": {"age_band": "1950", "bedrooms": "3", "occupants": "2"},
    "place": {"design_location": "Leeming"},
    "draughts": {"sheltered_sides": "1"},
    "now": {"present_use_kwh": "14000"},
    # Known since the survey was begun.
    "visit": {},
}
#: Puts an answer that the office refused into the phone's store.
_REFUSE = """([survey, record, field, value]) => new Promise((done, failed) => {
  const asked = indexedDB.open('wattwalk');
  asked.onerror = () => failed(asked.error);
  asked.onsuccess = () => {
    const stores = asked.result.transaction('refused', 'readwrite');
    stores.objectStore('refused').put({
      id: crypto.randomUUID(), survey, kind: 'survey', record, field, value, seen: 0, made_at: '2026-03-12T10:00:00Z',
      problem: { type: 'about:blank', title: 'Refused', status: 422, message: 'No such use.' },
    });
    stores.oncomplete = () => { asked.result.close(); done(true); };
    stores.onerror = () => failed(stores.error);
  };
})"""


def begin(phone: Chromium, server: Server, viewport: dict[str, int] | None = None) -> Page:
    """The household's form of a new survey, on a phone whose store can be made to fail."""
    phone.start(viewport=viewport or PHONE).add_init_script(f"({STORE_THAT_FAILS})();")
    page = phone.page()
    sign_in(page, server.url, "surveyor@demo.example", "walk-the-house")
    page.get_by_role("button", name="New survey").click()
    page.wait_for_function("() => location.hash.startsWith('#/survey/')")
    page.get_by_role("link", name=re.compile("^Household and meter")).click()
    page.locator("a.row[href*='/record/survey/']").click()
    expect(group(page, "who")).to_be_visible()
    return page


@pytest.fixture
def page(phone: Chromium, server: Server) -> Page:
    return begin(phone, server)


def group(page: Page, name: str) -> Locator:
    return page.locator(f"#group-{name}")


def head(page: Page, name: str) -> Locator:
    return group(page, name).locator(".fold-head button")


def expect_open(page: Page, *names: str) -> None:
    """These groups stand open, and of the others nothing is on the page but the head."""
    for name in GROUPS:
        expect(head(page, name)).to_have_attribute("aria-expanded", "true" if name in names else "false")
        expect(group(page, name).locator(".field")).to_have_count(0) if name not in names else None


def next_of(page: Page, name: str) -> Locator:
    return group(page, name).get_by_role("button", name=re.compile("^Next: "))


def fill(page: Page, *groups: str) -> None:
    """Answer all that is needed of these groups."""
    for name in groups:
        for one, text in NEEDED[name].items():
            if one in ("age_band", "design_location"):
                choose(page, one, text)
            else:
                answer(page, one, text)


def arrive(page: Page) -> None:
    """Come to the form again, as it is when one opens it: the app is started anew on its address without a field."""
    page.goto(page.url.split("?")[0])
    page.reload()
    expect(group(page, "who")).to_be_visible()


def type_into(page: Page, name: str, text: str) -> None:
    """Type, and stay in the field."""
    unfold(page, name).locator("input").fill(text)


def below_the_bar(page: Page, name: str) -> bool:
    """Whether a group's head stands just under what stays at the top."""
    return page.evaluate(
        """(id) => {
          const bar = document.querySelector('.bar-stays').getBoundingClientRect().bottom;
          const by = document.getElementById(id).getBoundingClientRect().top - bar;
          return by >= 0 && by <= 24;
        }""",
        f"group-{name}",
    )


def test_one_group_is_open_and_next_goes_on_to_the_one_after_it(page: Page) -> None:
    thumb = Thumb(page)
    expect_open(page, "who")
    expect(group(page, "who").locator(".fold-said")).to_have_text("4 needed")
    expect(group(page, "house").locator(".fold-said")).to_contain_text("3 neededKind of home")
    for here, there, first in (
        ("who", "house", "dwelling"),
        ("house", "draughts", "ventilation_age"),
        ("draughts", "place", "nation"),
        ("place", "now", "present_fuel"),
        ("now", "visit", "visit_date"),
    ):
        next_of(page, here).click()
        expect_open(page, there)
        # On the question itself, or in its line; and in view without a touch.
        expect(page.locator(f"#field-{first}:focus, #field-{first} :focus")).to_have_count(1)
        thumb.sees(page.locator(f"#field-{first} .field-label"))
        if there not in ("now", "visit"):
            assert below_the_bar(page, there)
    expect(next_of(page, "visit")).to_have_count(0)
    # By its head one opens without another closing, and nothing moves under the thumb.
    head(page, "house").scroll_into_view_if_needed()
    before = head(page, "house").bounding_box()
    head(page, "house").click()
    expect_open(page, "house", "visit")
    assert head(page, "house").bounding_box() == before
    assert head(page, "house").evaluate("(one) => one.closest('.fold-head').offsetHeight") >= 48
    head(page, "house").click()
    expect_open(page, "visit")
    assert not violations(page)


def test_a_form_that_was_answered_is_its_own_summary(page: Page) -> None:
    fill(page, *GROUPS)
    arrive(page)
    expect_open(page)
    said = group(page, "house").locator(".fold-said")
    expect(said).to_have_text("1950 to 1966 · Bedrooms 3 · People living here 2")
    expect(group(page, "place").locator(".fold-said")).to_have_text("Leeming")
    expect(page.locator(".fold .field-wanted")).to_have_count(0)
    picture(page, "folds-answered")
    assert not violations(page)


def test_what_is_not_understood_holds_its_group_open_also_after_a_restart(page: Page) -> None:
    fill(page, *GROUPS)
    type_into(page, "altitude_m", "high")
    # Next shows first what was not taken, and keeps nobody there.
    next_of(page, "place").click()
    expect(field(page, "altitude_m").get_by_text("Not saved:")).to_be_visible()
    expect(field(page, "altitude_m")).to_be_focused()
    next_of(page, "place").click()
    expect(field(page, "present_fuel")).to_be_focused()
    expect(field(page, "altitude_m").locator("input")).to_have_value("high")
    # Its head does not fold it either.
    head(page, "place").click()
    expect(field(page, "altitude_m")).to_be_focused()
    expect(head(page, "place")).to_have_attribute("aria-expanded", "true")

    arrive(page)
    expect_open(page, "place")
    expect(field(page, "altitude_m").locator("input")).to_have_value("high")
    expect(field(page, "altitude_m").get_by_text("Not saved:")).to_be_visible()
    # Put right, it stays open under the thumb, and folds when it is told to.
    answer(page, "altitude_m", "64")
    expect_open(page, "place")
    head(page, "place").click()
    expect_open(page)
    expect(group(page, "place").locator(".fold-said")).to_contain_text("Height above the sea 64 m")


def test_what_the_storage_does_not_take_while_one_goes_on_stands_there_with_its_word(page: Page) -> None:
    page.context.set_offline(True)
    answer(page, "household_name", "Quince")
    page.evaluate(FAIL, ["UnknownError", "The disk is gone.", 99])
    type_into(page, "address", "3 Mill Row")
    next_of(page, "who").click()
    page.get_by_role("button", name="Back to what I typed").click()
    expect_open(page, "who")
    expect(field(page, "address").locator("input")).to_have_value("3 Mill Row")
    expect(field(page, "address").get_by_text("the storage of this phone did not take it")).to_be_visible()
    expect(field(page, "address")).to_be_focused()
    # Once more by its head.
    field(page, "address").locator("input").focus()
    head(page, "who").click()
    page.get_by_role("button", name="Try again").click()
    expect(page.get_by_role("dialog")).to_be_visible()
    page.evaluate(FAIL, ["", "", 0])
    page.get_by_role("button", name="Try again").click()
    expect_open(page)
    expect(group(page, "who").locator(".fold-said")).to_contain_text("3 Mill Row")


def test_what_is_on_its_way_to_the_storage_lands_when_one_goes_on(page: Page) -> None:
    type_into(page, "postcode", "LS40 0VK")
    next_of(page, "who").click()
    expect_open(page, "house")
    expect(group(page, "who").locator(".fold-said")).to_contain_text("LS40 0VK")
    arrive(page)
    expect(unfold(page, "postcode").locator("input")).to_have_value("LS40 0VK")


def test_an_answer_that_the_office_refused_holds_its_group_open(page: Page) -> None:
    fill(page, *GROUPS)
    _, _, survey, _, _, record = page.url.split("?")[0].split("#")[1].split("/")
    page.evaluate(_REFUSE, [survey, record, "present_use_kwh", 9])
    arrive(page)
    expect_open(page, "now")
    expect(field(page, "present_use_kwh").get_by_text("The office refused 9 kWh")).to_be_visible()
    head(page, "now").click()
    expect(field(page, "present_use_kwh")).to_be_focused()
    expect_open(page, "now")


def test_what_two_people_say_opens_its_group_by_itself_and_holds_it(page: Page, server: Server) -> None:
    fill(page, *GROUPS)
    expect(page.get_by_role("status").filter(has_text=re.compile("^At the office"))).to_be_visible(timeout=30_000)
    arrive(page)
    _, _, survey, _, _, record = page.url.split("#")[1].split("/")
    expect_open(page)
    change: dict[str, Any] = {
        "id": str(uuid7()),
        "kind": "survey",
        "record": record,
        "field": "bedrooms",
        "value": 4,
        "seen": 0,
        "made_at": "2026-03-12T10:00:00Z",
    }
    sent = page.request.post(
        f"{server.url}/api/surveys/{survey}/changes", data={"device": "tablet", "app": "0.1.0", "changes": [change]}
    )
    assert sent.ok, sent.text()
    page.context.set_offline(True)
    page.context.set_offline(False)
    expect(head(page, "house")).to_have_attribute("aria-expanded", "true", timeout=30_000)
    expect(field(page, "bedrooms").get_by_role("button", name=re.compile("^4"))).to_be_visible()
    head(page, "house").click()
    expect(field(page, "bedrooms")).to_be_focused()
    # Settled, it stays where it is.
    field(page, "bedrooms").get_by_role("button", name=re.compile("^4")).click()
    expect(field(page, "bedrooms").get_by_role("button", name=re.compile("^4"))).to_have_count(0)
    expect_open(page, "house")


def test_the_field_that_an_address_asks_for_opens_its_group_with_the_cursor_in_it(page: Page) -> None:
    fill(page, "who")
    form = page.url.split("?")[0]
    page.goto(f"{form}?field=altitude_m")
    expect(field(page, "altitude_m").locator("input")).to_be_focused()
    page.reload()
    expect(field(page, "altitude_m").locator("input")).to_be_focused()
    expect_open(page, "place")
    page.goto(f"{form}?field=aims")
    expect(field(page, "aims").locator("textarea")).to_be_focused()
    expect_open(page, "place", "now")


def test_an_answer_of_the_offices_that_is_not_stored_is_not_behind_its_tap(page: Page) -> None:
    way = page.get_by_role("button", name=re.compile("^For the office"))
    way.click()
    line = field(page, "outside_design_temperature_c")
    line.locator("input").fill("cold")
    way.click()
    expect(line).to_be_focused()
    arrive(page)
    expect(way).to_have_attribute("aria-expanded", "true")
    expect(line.locator("input")).to_have_value("cold")


def to_bus_cable(page: Page) -> None:
    page.goto(f"{page.url.split('/record/')[0]}/stage/routes")
    page.get_by_role("button", name=re.compile("^Bus cable to the outdoor unit")).click()
    expect(head(page, "route")).to_have_attribute("aria-expanded", "true")


def walk_on(page: Page, place: str, length: str) -> Locator:
    """Tap a place of a run and type how long it runs there, and stay in the line."""
    page.get_by_role("group", name="Next stretch").get_by_role("button", name=place, exact=True).click()
    line = page.get_by_label(re.compile(f"^{place}, length"))
    expect(line).to_be_focused()
    page.keyboard.type(length)
    return line


def test_a_run_opens_with_its_route_and_leads_on_from_there(page: Page) -> None:
    to_bus_cable(page)
    open_heads = page.locator(".fold-head button[aria-expanded=true]")
    expect(open_heads).to_have_text(["Route"])
    expect(group(page, "what").locator(".fold-said")).to_have_text("Bus cable to the outdoor unit")
    # What stands in the line is stored when it is left, by the next place as well, and by 'Next'.
    walk_on(page, "Outdoors", "5")
    walk_on(page, "Buried", "2.5")
    expect(page.get_by_role("heading", name="Route 5 m")).to_be_visible()
    next_of(page, "route").click()
    expect(open_heads).to_have_text(["Who runs it"])
    expect(group(page, "route").locator(".fold-said")).to_contain_text("Outdoors 5 m; Buried 2.5 m")
    expect(page.get_by_role("heading", name="Route 7.5 m")).to_be_visible()
    expect(page.get_by_role("img", name="Route: Outdoors 5 m, then Buried 2.5 m")).to_be_visible()
    assert not violations(page)


def test_a_stretch_that_is_not_stored_holds_the_route_open_also_after_a_restart(page: Page) -> None:
    to_bus_cable(page)
    line = walk_on(page, "Outdoors", "far")
    head(page, "route").click()
    expect(page.get_by_text("Not saved: 'far' is not a number")).to_be_visible()
    expect(head(page, "route")).to_have_attribute("aria-expanded", "true")
    # A tap on its own place takes it out of sight as little, nor does one on another.
    page.get_by_role("group", name="Next stretch").get_by_role("button", name="Outdoors").click()
    expect(line).to_have_value("far")
    walk_on(page, "Buried", "2")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="Route 2 m")).to_be_visible()
    expect(line).to_have_value("far")
    page.goto(page.url.split("?")[0])
    page.reload()
    expect(line).to_have_value("far")
    expect(page.get_by_text("Not saved: 'far' is not a number")).to_be_visible()
    line.fill("4")
    head(page, "route").click()
    expect(head(page, "route")).to_have_attribute("aria-expanded", "false")
    expect(page.get_by_role("heading", name="Route 6 m")).to_be_visible()


def test_an_end_of_a_run_that_an_address_asks_for_has_the_cursor(page: Page) -> None:
    to_bus_cable(page)
    head(page, "route").click()
    expect(page.locator(".fold-head button[aria-expanded=true]")).to_have_count(0)
    page.goto(f"{page.url.split('?')[0]}?field=end")
    expect(field(page, "end").locator("input")).to_be_focused()


def test_a_laptop_has_room_for_all_groups(phone: Chromium, server: Server) -> None:
    page = begin(phone, server, {"width": 1280, "height": 800})
    expect_open(page, *GROUPS)
    expect(page.get_by_role("button", name=re.compile("^Next: "))).to_have_count(0)
    head(page, "house").click()
    expect_open(page, *[name for name in GROUPS if name != "house"])
    picture(page, "folds-laptop")
    assert not violations(page)


def test_heads_are_worked_by_keys_and_enter_leads_on_to_the_next_group(page: Page) -> None:
    head(page, "house").focus()
    page.keyboard.press("Enter")
    expect_open(page, "who", "house")
    expect(head(page, "house")).to_be_focused()
    page.keyboard.press("Space")
    expect_open(page, "who")
    expect(head(page, "house")).to_be_focused()
    unfold(page, "exposed_perimeter_m").locator("input").focus()
    page.keyboard.type("21")
    page.keyboard.press("Enter")
    expect(next_of(page, "house")).to_be_focused()
    page.keyboard.press("Enter")
    expect_open(page, "who", "draughts")
    expect(group(page, "house").locator(".fold-said")).to_contain_text("Outside edge of the ground floor 21 m")


@pytest.mark.parametrize(("name", "width", "letters"), [("narrow", 320, "100%"), ("large", 390, "200%")])
def test_heads_keep_their_words_where_there_is_little_room(
    phone: Chromium, server: Server, name: str, width: int, letters: str
) -> None:
    page = begin(phone, server, {"width": width, "height": 844})
    fill(page, "who")
    page.evaluate("(size) => { document.documentElement.style.fontSize = size; }", letters)
    picture(page, f"folds-{name}")
    assert page.evaluate("() => document.documentElement.scrollWidth <= innerWidth")
    wide = page.evaluate(
        "() => [...document.querySelectorAll('.fold-head *')].filter((one) => one.scrollWidth > one.clientWidth + 1 && one.clientWidth > 0).map((one) => one.textContent)"
    )
    assert wide == []
    assert not violations(page)
