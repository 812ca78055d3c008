"""A house of ten rooms is entered on a phone without signal as a surveyor would: every fact is kept, and taps and keys are counted.

The facts are fixed in `facts_of_a_house.csv`; `facts.py` says what is one.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.facts import Fact, Held, facts
from tests.browser.hand import field, go_to, picture, sign_in
from tests.browser.held import held
from tests.browser.test_entry_count import ANOTHER, COUNT, Walk
from tests.support.chromium import Chromium
from tests.support.server import Server
from wattwalk.survey.fields import AT_OFFICE, FieldSpec
from wattwalk.survey.kinds import KINDS

#: The most that a fact may cost, all stages together. Measured 0.89 taps and 2.27 keys; before whole flows for what repeats 1.12 and 2.49.
MOST_TAPS_A_FACT, MOST_KEYS_A_FACT = 0.92, 2.4
#: Sizes of one thing, which are typed in one go into the field of the first.
TOGETHER = [("place_width_mm", "place_depth_mm", "place_height_mm")]
STAGES = ("household", "constructions", "rooms", "hot water", "outside", "routes")
#: The kinds of record whose answers are given in a form, by the words of the facts.
FORMS = {
    "household": "survey",
    "supply": "supply",
    "hot water": "hot_water",
    "place": "outdoor_position",
    "base": "base",
    "cable": "cable_run",
    "pipe": "pipe_run",
    "construction": "construction",
    "room": "room",
}


class Thumb(Walk):
    """One thumb that goes through the forms in the order in which the facts are met."""

    def answer(self, scope: Page | Locator, fact: Fact, text: str | None = None, moves_on: bool = True) -> None:
        """Give the answer of one fact in the form at `scope`: tap a choice, or type where the cursor is, and tap there first if it is not."""
        kind = FORMS[fact.record.partition(":")[0]]
        spec = next(item for item in KINDS[kind].fields if item.name == fact.field)
        part = self.asked(scope, spec)
        self.unfold(part)
        if spec.type in ("choice", "yes_no"):
            self.choose(part, spec, fact.value)
        else:
            often = scope.get_by_role("group", name=f"{spec.label}: often").get_by_role(
                "button", name=fact.value, exact=True
            )
            if fact.field in ("start", "end") and often.count():
                often.click()
                expect(part.locator("input")).to_have_value(fact.value)
                return
            self.write(part, text or fact.value, moves_on)
            if not moves_on:
                return
        expect(part.get_by_text("Saved on this phone")).to_be_visible()

    def asked(self, scope: Page | Locator, spec: FieldSpec) -> Locator:
        """Return the part of the screen that asks a field, by the way on to its group where it is folded, or by its head."""
        part = field(scope, spec.name)
        # What is the office's to answer lies behind one tap, and is entered here all the same.
        office = scope.get_by_role("button", name=re.compile("^For the office"), expanded=False)
        head = scope.locator(f"#group-{spec.group} > .fold-head button[aria-expanded=false]")
        expect(part.or_(office if spec.answered == AT_OFFICE else head).first).to_be_visible()
        if not part.count():
            if spec.answered == AT_OFFICE:
                office.first.click()
            else:
                way = scope.get_by_role("button", name=f"Next: {head.inner_text()}", exact=True)
                (way if way.count() else head).click()
        expect(part).to_have_count(1)
        return part

    def unfold(self, part: Locator) -> None:
        fold = part.locator("xpath=ancestor::details[not(@open)][1]")
        if fold.count():
            fold.locator("summary").first.click()

    def choose(self, part: Locator, spec: FieldSpec, value: str) -> None:
        words = {"yes": "Yes", "no": "No"}.get(value) or next(
            item.label for item in spec.choices or () if item.value == value
        )
        listed = part.locator("select")
        if listed.count():
            listed.select_option(value=value)
        else:
            part.get_by_role("button", name=re.compile(f"^{re.escape(words)}")).first.click()

    def write(self, part: Locator, text: str, moves_on: bool = True) -> None:
        box = part.locator("input, textarea").first
        if not box.evaluate("(box) => box === document.activeElement"):
            box.click()
        self.page.keyboard.type(re.sub(r"^0\.", ".", text))
        if not moves_on:
            return
        if box.evaluate("(box) => box.tagName") == "INPUT":
            self.page.keyboard.press("Enter")
        else:
            box.blur()

    def form(self, record: str, scope: Page | Locator | None = None, without: tuple[str, ...] = ()) -> None:
        """Answer all that the file says of one record, in its order; sizes of one thing in one line, and Enter only where a line follows."""
        all_facts = [
            fact for fact in facts() if fact.record == record and fact.field not in without and " " not in fact.field
        ]
        kind = KINDS[FORMS[record.partition(":")[0]]]
        types = {item.name: item.type for item in kind.fields}
        in_a_line: set[str] = set()
        for place, fact in enumerate(all_facts):
            if fact.field in in_a_line:
                continue
            names = next((names for names in TOGETHER if names[0] == fact.field), (fact.field,))
            in_a_line.update(names)
            text = " ".join(self.said(record, name) for name in names)
            rest = [item for item in all_facts[place + 1 :] if item.field not in in_a_line]
            is_tapped_next = bool(rest) and types[rest[0].field] in ("choice", "yes_no")
            self.answer(scope or self.page, fact, text, moves_on=not is_tapped_next)

    def said(self, record: str, name: str) -> str:
        return next(fact.value for fact in facts() if fact.record == record and fact.field == name)


@dataclass
class Count:
    taps: int
    keys: int


@pytest.fixture
def page(phone: Chromium, server: Server) -> Page:
    """A new survey on a phone without signal, in a browser that counts."""
    context = phone.start(viewport={"width": 390, "height": 844})
    context.add_init_script(COUNT)
    phone.allow_lasting_storage(server.url)
    page = phone.page()
    sign_in(page, server.url, "surveyor@demo.example", "walk-the-house")
    page.wait_for_function("() => navigator.serviceWorker.ready.then(() => true)")
    context.set_offline(True)
    page.get_by_role("button", name="New survey").click()
    expect(page.get_by_role("link", name=re.compile("^Rooms"))).to_be_visible()
    return page


@pytest.mark.without_engine
@pytest.mark.takes(seconds=90)
def test_every_fact_is_kept_and_few_taps_and_keys_are_spent(page: Page, say: Callable[[str], None]) -> None:
    survey = page.url.rsplit("/", 1)[-1]
    thumb = Thumb(page)
    stages = {
        "household": enter_household,
        "constructions": enter_constructions,
        "rooms": enter_rooms,
        "hot water": enter_hot_water,
        "outside": enter_outside,
        "routes": enter_routes,
    }
    assert tuple(stages) == STAGES
    counts: dict[str, Count] = {}
    before = thumb.counted()
    for name, enter in stages.items():
        enter(thumb)
        picture(page, f"facts-{name}")
        after = thumb.counted()
        counts[name] = Count(after[0] - before[0], after[1] - before[1])
        before = after
    all_facts = facts()
    kept = Held(held(page, survey))
    assert [lack for lack in map(kept.lacks, all_facts) if lack] == []

    for name, count in counts.items():
        number = sum(fact.stage == name for fact in all_facts)
        say(
            f"{name}: {number} facts, {count.taps} taps and {count.keys} keys; "
            f"{count.taps / number:.2f} and {count.keys / number:.2f} a fact"
        )
    taps = sum(count.taps for count in counts.values()) / len(all_facts)
    keys = sum(count.keys for count in counts.values()) / len(all_facts)
    say(f"All {len(all_facts)} facts: {taps:.2f} taps and {keys:.2f} keys a fact")
    assert taps <= MOST_TAPS_A_FACT
    assert keys <= MOST_KEYS_A_FACT


def enter_household(thumb: Thumb) -> None:
    page = thumb.page
    go_to(page, "Household")
    page.locator('a.row[href*="/record/survey/"]').click()
    thumb.form("household")
    thumb.back()
    page.locator('a.row[href*="/record/supply/"]').click()
    expect(field(page, "main_fuse_a")).to_be_visible()
    thumb.form("supply")
    loads = next(spec for spec in KINDS["supply"].fields if spec.name == "loads")
    kinds = {item.value: item.label for row in loads.rows for item in row.choices or () if row.name == "kind"}
    thumb.asked(page, loads)
    for number in ("1", "2"):
        thumb.tap("Add a row")
        thumb.tap(
            kinds[thumb.said("supply", f"loads {number} kind")], field(page, "loads").get_by_role("group", name="What")
        )
        thumb.type(thumb.said("supply", f"loads {number} current_a"))
    thumb.back()
    thumb.back()


def enter_constructions(thumb: Thumb) -> None:
    page = thumb.page
    go_to(page, "Usual constructions")
    slots = {
        "wall": "Outside walls",
        "window": "Glazing",
        "door": "Outside doors",
        "roof": "Loft and roof",
        "ground_floor": "Ground floor",
        "partition": "Walls between rooms",
        "floor": "Floors between storeys",
    }
    for element, words in slots.items():
        thumb.form(f"construction: {element}", page.get_by_role("region", name=words, exact=True))
    # One of its own beside the usual one: its place says what it is of, and that it goes by its look.
    for name, element in (("Stud wall", "partition"), ("Flat roof", "roof")):
        slot = page.get_by_role("region", name=slots[element], exact=True)
        thumb.tap("Add another kind", slot)
        look = next(item for item in KINDS["construction"].fields if item.name == "look")
        thumb.choose(field(slot.locator(".asked"), "look"), look, thumb.said(f"construction: {name}", "look"))
        thumb.type(name)
        thumb.form(f"construction: {name}", slot.locator(".another"), without=("element", "known_by", "look"))
    thumb.back()


def enter_rooms(walk: Thumb) -> None:
    page = walk.page
    go_to(page, "Rooms")
    another = ANOTHER
    double_2, double_1, single_1, single_0 = (
        "Double panel, two convectors",
        "Double panel, one convector",
        "Single panel, one convector",
        "Single panel, no convector",
    )

    walk.new_room("Living room", "4.1 4.3 2.5")
    walk.opening(walk.beyond("Front side", "Outside"), "window", "2.3 1.4")
    walk.next()
    sheet = walk.beyond("Right side", another, "Hall or landing")
    walk.part(sheet, "3.2")
    walk.beyond("Right side", another, "Kitchen")
    walk.next()
    walk.beyond("Back side", another, "Dining room")
    walk.next()
    sheet = walk.beyond("Left side", "Outside")
    walk.tap("Add a window", sheet)
    walk.type("2 x .9 1.2")
    walk.next()
    walk.beyond("Floor", "Ground")
    walk.beyond("Ceiling", another, "Bedroom")
    walk.emitter(double_2, "600 1800")
    walk.emitter(single_1, "450 1000")
    walk.form("room: Living room", without=("use", "storey", "length_m", "width_m", "height_m"))

    walk.on("Dining room", "4.1 3.4")
    walk.beyond("Right side", "Kitchen")
    walk.next()
    walk.opening(walk.beyond("Back side", "Outside"), "door", "1.8 2.1")
    walk.next()
    walk.opening(walk.beyond("Left side", "Outside"), "window", "1.2 1.1")
    walk.next()
    walk.beyond("Floor", "Ground")
    walk.beyond("Ceiling", another, "Bedroom")
    walk.emitter(double_2, "600 1600")

    walk.on("Hall", "2.9 3.2")
    sheet = walk.beyond("Front side", "Outside")
    walk.opening(sheet, "door", ".9 2")
    walk.opening(sheet, "window", ".4 1.9")
    walk.next()
    walk.beyond("Right side", "Outside")
    walk.next()
    walk.beyond("Back side", "Kitchen")
    walk.next()
    walk.beyond("Floor", "Ground")
    walk.beyond("Ceiling", another, "Bedroom")
    walk.part(walk.reach("Ceiling"), "2.9 2.5")
    walk.beyond("Ceiling", another, "Hall or landing")
    walk.emitter(double_1, "700 1100")

    walk.on("Kitchen", "2.9 4.5")
    sheet = walk.beyond("Right side", another, "Utility room")
    walk.part(sheet, "2.6")
    walk.opening(walk.beyond("Right side", "Outside"), "window", "1.1 1")
    walk.next()
    walk.opening(walk.beyond("Back side", "Outside"), "window", "1.6 1.1")
    walk.next()
    walk.beyond("Floor", "Ground")
    walk.beyond("Ceiling", "Landing")
    walk.part(walk.reach("Ceiling"), "2.9 1.7")
    walk.beyond("Ceiling", another, "Bathroom or shower")
    walk.emitter(single_1, "600 900")
    walk.form("room: Kitchen", without=("use", "storey", "length_m", "width_m", "height_m"))

    walk.on("Utility room", "1.9 2.6 2.3")
    walk.beyond("Front side", "Outside")
    walk.next()
    walk.opening(walk.beyond("Right side", "Outside"), "door", ".8 2")
    walk.next()
    walk.opening(walk.beyond("Back side", "Outside"), "window", ".6 .9")
    walk.next()
    walk.beyond("Floor", "Ground")
    walk.beyond("Ceiling", "Loft or roof")
    walk.construction(walk.reach("Ceiling"), "Loft or roof", "Flat roof")
    walk.emitter(single_0, "450 700")

    walk.on("Bedroom", "4.1 4.3 2.4")
    walk.opening(walk.beyond("Front side", "Outside"), "window", "2.1 1.3")
    walk.next()
    sheet = walk.beyond("Right side", "Bedroom 3")
    walk.construction(sheet, "Bedroom 3", "Stud wall")
    walk.part(sheet, "2.5")
    walk.beyond("Right side", "Landing")
    walk.construction(sheet, "Landing", "Stud wall")
    walk.next()
    walk.construction(walk.beyond("Back side", "Bedroom 2"), "Bedroom 2", "Stud wall")
    walk.next()
    walk.opening(walk.beyond("Left side", "Outside"), "window", ".8 1.1")
    walk.next()
    walk.beyond("Ceiling", "Loft or roof")
    walk.emitter(double_1, "600 1400")
    walk.form("room: Bedroom", without=("use", "storey", "length_m", "width_m", "height_m"))

    walk.on("Bedroom 2", "4.1 3.4")
    sheet = walk.beyond("Right side", "Landing")
    walk.construction(sheet, "Landing", "Stud wall")
    walk.part(sheet, ".6")
    walk.beyond("Right side", "Bathroom")
    walk.construction(sheet, "Bathroom", "Stud wall")
    walk.next()
    walk.opening(walk.beyond("Back side", "Outside"), "window", "1.7 1.3")
    walk.next()
    walk.beyond("Left side", "Outside")
    walk.next()
    walk.beyond("Ceiling", "Loft or roof")
    walk.emitter(double_1, "600 1200")

    walk.on("Bedroom 3", "2.9 2.5")
    walk.opening(walk.beyond("Front side", "Outside"), "window", "1.2 1.2")
    walk.next()
    walk.beyond("Right side", "Outside")
    walk.next()
    walk.construction(walk.beyond("Back side", "Landing"), "Landing", "Stud wall")
    walk.next()
    walk.beyond("Ceiling", "Loft or roof")
    walk.emitter(single_1, "600 1000")

    walk.on("Landing", "2.9 2.4")
    walk.opening(walk.beyond("Right side", "Outside"), "window", ".6 1")
    walk.next()
    walk.construction(walk.beyond("Back side", "Bathroom"), "Bathroom", "Stud wall")
    walk.next()
    walk.beyond("Ceiling", "Loft or roof")
    walk.emitter(single_1, "600 600")

    walk.on("Bathroom", "2.9 2.8")
    walk.beyond("Right side", "Outside")
    walk.next()
    walk.opening(walk.beyond("Back side", "Outside"), "window", "1 .9")
    walk.next()
    walk.beyond("Ceiling", "Loft or roof")
    walk.emitter("Towel rail", "1200 500", "Take out")
    walk.form("room: Bathroom", without=("use", "storey", "length_m", "width_m", "height_m"))
    walk.done()
    walk.back()


def enter_hot_water(thumb: Thumb) -> None:
    page = thumb.page
    go_to(page, "Hot water")
    page.locator('a.row[href*="/record/hot_water/"]').click()
    expect(field(page, "baths")).to_be_visible()
    thumb.form("hot water")
    thumb.back()
    thumb.back()


def enter_outside(thumb: Thumb) -> None:
    page = thumb.page
    go_to(page, "Outside")
    thumb.tap("Add a place for the unit")
    expect(field(page, "wall_faced")).to_be_visible()
    thumb.form("place")
    for number in range(1, 10):
        near(thumb, f"near: {number}")
    thumb.tap("Add: base")
    expect(page.get_by_role("region", name="Size of the slab")).to_be_visible()
    sizes = ("length_mm", "width_mm", "thickness_mm")
    thumb.write(field(page, "length_mm"), " ".join(thumb.said("base", name) for name in sizes))
    expect(page.get_by_role("region", name="Size of the slab")).to_have_count(0)
    thumb.form("base", without=sizes)
    page.get_by_role("button", name=re.compile("^Start ")).click()
    entry = page.get_by_role("group", name="One reading")
    for number in range(1, 10):
        # The next point has its turn when its reading is asked for.
        there = page.locator(".point-chosen")
        expect(there).to_have_attribute("aria-label", re.compile("not read yet$"))
        along = re.search(r"Point (\d+) mm", there.get_attribute("aria-label") or "")
        assert along is not None
        expect(entry.get_by_label("From the right")).to_have_value(along[1])
        expect(entry.get_by_label(re.compile("^Reading"))).to_have_value("")
        thumb.type(thumb.said(f"reading: {number}", "reading_mm"))
        expect(page.get_by_text(f"{number} readings" if number > 1 else "One reading", exact=True)).to_be_visible()
    thumb.back()
    thumb.back()
    thumb.back()


def near(thumb: Thumb, record: str) -> None:
    """Something near the unit: which way, how far, what, and how high."""
    page = thumb.page
    said = {fact.field: fact.value for fact in facts() if fact.record == record}
    sheet = page.get_by_role("region", name="Add something nearby")
    if not sheet.count():
        thumb.tap("Add something nearby")
    along = float(said["along_m"])
    thumb.tap("Left" if along < 0 else "Right" if along > 0 else "In front", sheet)
    names = ("along_m", "out_m", "up_m") if along else ("out_m", "up_m")
    places = [f"{abs(float(said[name])):g}" for name in names if name in said]
    expect(page.locator("#nearby-place")).to_be_focused()
    page.keyboard.type(" ".join(re.sub(r"^0\.", ".", place) for place in places))
    spec = next(item for item in KINDS["nearby_object"].fields if item.name == "type")
    kind = next(item.label for item in spec.choices or () if item.value == said["type"])
    thumb.tap(kind, sheet)
    expect(sheet.get_by_role("status")).to_contain_text(kind)


def enter_routes(thumb: Thumb) -> None:
    page = thumb.page
    go_to(page, "Pipes and cables")
    for record, words in (
        ("cable: supply", "Supply to the outdoor unit"),
        ("cable: bus", "Bus cable to the outdoor unit"),
        ("cable: sensor", "Add another cable"),
        ("pipe: primary", "Outdoor unit to the house"),
        ("pipe: discharge", "Add another pipe run"),
    ):
        page.get_by_role("button", name=re.compile(f"^{words}")).click()
        kind = FORMS[record.partition(":")[0]]
        if words.startswith("Add"):
            thumb.answer(page, Fact("routes", record, "purpose", record.partition(": ")[2]))
        stretches(thumb, record, kind)
        thumb.form(record, without=("purpose",))
        thumb.back()
    thumb.back()


def stretches(thumb: Thumb, record: str, kind: str) -> None:
    """Walk along a route: a place by a tap, its length by a number."""
    page = thumb.page
    spec = next(item for item in KINDS[kind].fields if item.name == "stretches")
    thumb.asked(page, spec)
    places = {item.value: item.label for row in spec.rows or () if row.name == "place" for item in row.choices or ()}
    number = 1
    while any(fact.record == record and fact.field == f"stretches {number} place" for fact in facts()):
        ways = page.get_by_role("group", name="Next stretch")
        ways.get_by_role("button", name=places[thumb.said(record, f"stretches {number} place")], exact=True).click()
        thumb.type(thumb.said(record, f"stretches {number} length_m"))
        expect(field(page, "stretches").locator(".rows-item")).to_have_count(number)
        number += 1
