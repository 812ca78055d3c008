"""Forms cut to the place: on the phone what can be seen, asked or measured there, the office's questions one tap behind, and none of them lost."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect
from uuid_utils import uuid7

from tests.browser.axe import violations
from tests.browser.hand import field, picture, sign_in
from tests.browser.held import held
from tests.support.chromium import Chromium
from tests.support.server import Server
from wattwalk.survey.fields import AT_OFFICE, FieldSpec, FieldType
from wattwalk.survey.holders import SURVEY
from wattwalk.survey.kinds import KINDS, OFFICE_STAGE, RecordKind, kinds_held_by

pytestmark = pytest.mark.without_engine

UPRIGHT = {"width": 390, "height": 844}
#: A form's length on the phone in screens of 390 × 844 with nothing answered yet, that of the one group that stands open, and that of its
#: heads once all of it is answered. The outdoor position has its drawing, what is near, unit, bases and findings in the first.
MOST = {
    # Who lives there is six answers, four of them needed.
    "survey": (1.95, 0.9, 0.75),
    "outdoor_position": (4.4, 0.85, 0.5),
    "supply": (1.8, 0.95, 0.4),
    "hot_water": (1.3, 0.6, 0.5),
    "base": (2.0, 1.0, 0.4),
    # Unfolded they were 3.8 and 3.6 screens.
    "cable_run": (1.8, 0.95, 0.6),
    "pipe_run": (1.9, 0.95, 0.6),
}
#: The runs that the job needs wait by what they are for: of cables the bus, which is asked the most.
RUNS = {"cable_run": "Bus cable to the outdoor unit", "pipe_run": "Outdoor unit to the house"}
_LENGTHS = """() => ({
  all: document.querySelector('main').scrollHeight / innerHeight,
  groups: [...document.querySelectorAll('.fold:has(> .group-form)')].map((one) => one.offsetHeight / innerHeight),
  heads: [...document.querySelectorAll('.fold')].map((one) => one.offsetHeight + 16).reduce((all, one) => all + one, 0) / innerHeight,
  asked: [...document.querySelectorAll('.field[id^=field-]')].map((one) => one.id.slice('field-'.length)),
})"""

_SETTLED = """async () => {
  for (let before = 0, calm = 0; calm < 5; ) {
    await new Promise((done) => setTimeout(done, 100));
    const now = document.querySelector('main').scrollHeight;
    calm = now === before ? calm + 1 : 0;
    before = now;
  }
}"""


def ours(kind: RecordKind) -> list[FieldSpec]:
    """Return the fields of a kind that the office answers and a form asks for."""
    return [spec for spec in kind.fields if spec.answered == AT_OFFICE and not spec.by_program]


#: The kinds of the walk of which the office answers something.
WALKED = [kind for kind in kinds_held_by(SURVEY) if kind.stage != OFFICE_STAGE and ours(kind)]


def any_value(spec: FieldSpec, ids: dict[str, str]) -> Any:
    """Return a value that the field takes."""
    match spec.type:
        case FieldType.NUMBER | FieldType.INTEGER:
            return spec.low
        case FieldType.CHOICE:
            return spec.choices[0].value
        case FieldType.YES_NO:
            return True
        case FieldType.DATE:
            return "2026-03-12"
        case FieldType.MONEY:
            return "10.00"
        case FieldType.REFERENCE:
            return ids[spec.refers_to[0]]
        case FieldType.ROWS:
            return [{row.name: any_value(row, ids) for row in spec.rows}]
    return "Words"


def push(page: Page, server: Server, survey: str, records: dict[str, tuple[str, dict[str, Any]]]) -> None:
    """Put records into a survey at the office, as another phone's changes: by kind, each with its id and values."""
    made = [
        {
            "id": str(uuid7()),
            "kind": kind,
            "record": record,
            "field": name,
            "value": value,
            "seen": 0,
            "made_at": "2026-03-12T10:00:00Z",
        }
        for kind, (record, values) in records.items()
        for name, value in values.items()
    ]
    answer = page.request.post(
        f"{server.url}/api/surveys/{survey}/changes", data={"device": "tablet", "app": "0.1.0", "changes": made}
    )
    assert answer.ok, answer.text()
    assert {item["status"] for item in answer.json()["results"]} == {"accepted"}, answer.text()


@pytest.fixture
def page(phone: Chromium, server: Server) -> Page:
    """A new survey on a phone of 390 × 844."""
    phone.start(viewport=UPRIGHT)
    page = phone.page()
    sign_in(page, server.url, "surveyor@demo.example", "walk-the-house")
    page.get_by_role("button", name="New survey").click()
    page.wait_for_function("() => location.hash.startsWith('#/survey/')")
    return page


def survey_of(page: Page) -> str:
    return page.evaluate("location.hash.split('/')[2]")


def first_of(page: Page, server: Server, kind: str) -> None:
    """Open the form of the first record of a kind, as it is before anything was answered."""
    survey, stage = survey_of(page), KINDS[kind].stage
    page.goto(f"{server.url}/#/survey/{survey}/stage/{'outside' if kind == 'base' else stage}")
    if KINDS[kind].single:
        page.locator(f"a.row[href*='/record/{kind}/']").click()
        return
    if kind in RUNS:
        page.get_by_role("button", name=re.compile(f"^{RUNS[kind]}")).click()
        expect(field(page, "stretches")).to_be_visible()
        return
    page.get_by_role("button", name="Add a place for the unit").click()
    if kind == "base":
        page.get_by_role("button", name="Add: base").click()
        expect(field(page, "made_of")).to_be_visible()


@pytest.mark.parametrize("kind", MOST)
def test_a_form_is_as_short_on_the_phone_as_was_promised(
    page: Page, server: Server, say: Callable[[str], None], kind: str
):
    first_of(page, server, kind)
    site = [spec.name for spec in KINDS[kind].fields if spec.answered != AT_OFFICE]
    expect(page.locator(".fold").last).to_be_visible()
    # What the phone has to say of results comes a moment after the form, and is of its length.
    page.evaluate(_SETTLED)
    found = page.evaluate(_LENGTHS)
    say(
        f"{kind}: {found['all']:.1f} screens of 390 x 844, its longest group {max(found['groups']):.1f}, {len(found['asked'])} fields"
    )
    picture(page, f"form-{kind}")
    assert set(found["asked"]) <= set(site)
    all_of_it, longest, _ = MOST[kind]
    assert len(found["groups"]) == 1
    assert found["all"] <= all_of_it
    assert found["groups"][0] <= longest
    assert not violations(page)


@pytest.mark.parametrize("kind", MOST)
def test_a_form_that_was_answered_is_its_own_summary(page: Page, server: Server, say: Callable[[str], None], kind: str):
    first_of(page, server, kind)
    expect(page.locator(".fold").last).to_be_visible()
    survey, record = survey_of(page), page.url.split("?")[0].rsplit("/", 1)[1]
    # What the program wrote down by itself would be two answers; and what refers to a record can only name one that is there.
    there = held(page, survey).get(f"{kind}/{record}", {})
    site = [spec for spec in KINDS[kind].fields if spec.answered != AT_OFFICE and not spec.by_program]
    said = {
        spec.name: "words@example.org" if spec.is_email else any_value(spec, {})
        for spec in site
        if spec.name not in there and spec.type is not FieldType.REFERENCE
    }
    push(page, server, survey, {kind: (record, said)})
    page.reload()
    # What the tablet said comes before or after the form stands; the next start finds it on the phone. No head says then what it would ask.
    for _ in range(2):
        expect(page.locator(".fold").last).to_be_visible()
        expect(page.locator(".fold .fold-about")).to_have_count(0)
        page.reload()
    expect(page.locator(".fold").last).to_be_visible()
    page.evaluate(_SETTLED)
    found = page.evaluate(_LENGTHS)
    say(f"{kind}, answered: {found['all']:.1f} screens of 390 x 844, its groups {found['heads']:.2f}")
    picture(page, f"form-{kind}-answered")
    assert found["groups"] == []
    assert found["asked"] == []
    expect(page.locator(".fold .field-wanted")).to_have_count(0)
    assert found["heads"] <= MOST[kind][2]
    assert not violations(page)


@pytest.mark.parametrize("kind", RUNS)
def test_a_run_asks_all_that_is_asked_of_it(page: Page, server: Server, kind: str):
    first_of(page, server, kind)
    folded = page.locator(".fold-head button[aria-expanded=false]")
    for left in reversed(range(folded.count())):
        folded.first.click()
        expect(folded).to_have_count(left)
    purpose = "bus" if kind == "cable_run" else "primary"
    # What hangs on another answer than what it is for is not asked of a new one.
    asked = {
        spec.name
        for spec in KINDS[kind].fields
        if spec.answered != AT_OFFICE and all(one == "purpose" and purpose in wanted for one, wanted in spec.when)
    }
    assert set(page.evaluate(_LENGTHS)["asked"]) == asked


def test_every_question_of_the_offices_is_one_tap_behind_its_record_and_on_the_offices_own_page(
    page: Page, server: Server
):
    survey = survey_of(page)
    field_name = "#field-household_name"
    first_of(page, server, "survey")
    page.locator(f"{field_name} input").fill("Quince")
    page.locator(f"{field_name} input").blur()
    expect(page.get_by_role("status").first).to_have_text(re.compile("^At the office"))
    ids = {kind.name: f"the-{kind.name}" for kind in KINDS.values()}
    single = page.evaluate("location.hash.split('/')[5].split('?')[0]")
    ids["survey"] = single
    pushed = {
        kind.name: (ids[kind.name], {spec.name: any_value(spec, ids) for spec in ours(kind)})
        for kind in [*WALKED, KINDS["unit"], KINDS["preset_valve"]]
    }
    push(page, server, survey, pushed)
    page.reload()
    for kind in WALKED:
        page.goto(f"{server.url}/#/survey/{survey}/record/{kind.name}/{ids[kind.name]}")
        way = page.get_by_role("button", name=re.compile("^For the office"))
        expect(way).to_be_visible()
        for spec in ours(kind):
            expect(field(page, spec.name)).to_have_count(0)
        way.click()
        for spec in ours(kind):
            expect(field(page, spec.name), f"{kind.name}.{spec.name}").to_be_visible()
    page.goto(f"{server.url}/#/survey/{survey}/office/methods")
    for kind in WALKED:
        for spec in ours(kind) if kind.single else ():
            part = page.get_by_role("region", name=kind.label, exact=True)
            expect(field(part, spec.name), f"{kind.name}.{spec.name}").to_be_visible()
        if not kind.single:
            way = page.get_by_role("region", name=kind.plural, exact=True).get_by_role("link")
            expect(way).to_have_attribute("href", re.compile(f"{kind.name}/{ids[kind.name]}.field="))
    assert not violations(page)


def test_what_only_the_office_can_answer_stands_under_a_heading_of_its_own_and_opens_where_it_is_asked(
    page: Page, server: Server
):
    first_of(page, server, "survey")
    survey = survey_of(page)
    page.get_by_role("button", name=re.compile("^For the office")).click()
    field(page, "ventilation_method").get_by_role("button", name=re.compile("^Mechanical")).click()
    expect(field(page, "recovery_efficiency_pct")).to_contain_text("needed")
    expect(page.get_by_role("button", name=re.compile("^For the office"))).to_contain_text("1 needed")
    page.goto(f"{server.url}/#/survey/{survey}/stage/leaving")
    part = page.get_by_role("region", name="For the office")
    expect(part.get_by_role("link")).to_have_count(1)
    picture(page, "leaving-office")
    part.get_by_role("link").click()
    expect(field(page, "recovery_efficiency_pct").locator("input")).to_be_focused()
