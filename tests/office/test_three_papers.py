"""Three papers from one version: how many pages, how they are tagged, how large and dark their type is, and what the first page says."""

from __future__ import annotations

import json
import re
import subprocess
from dataclasses import replace
from functools import cache
from importlib import resources
from itertools import pairwise

import pytest

from tests.office.conftest import FIRM, picture, words_of_page
from tests.support.houses import terrace
from tests.support.read_pdf import Printed, contrast, language, luminance, tags, texts
from tests.support.sound_houses import sound_houses
from wattwalk.engine.answers import Severity
from wattwalk.engine.answers.plan import PlanState
from wattwalk.office.quotation import LONGEST_TERMS
from wattwalk.office.report import FILE, PAGE, PAPERS, QUOTATION, SHEETS, ReportInputs, make_paper, paper_html
from wattwalk.office.report_inputs import ReportError, gather
from wattwalk.office.site_sheets import sheets
from wattwalk.survey.document import read_document
from wattwalk.survey.works import Photo

EMPTY = {"format": "wattwalk-survey", "version": 1, "id": "s", "records": {}}


def demo_document() -> dict:
    """Return the demo house as it comes with the program."""
    document = json.loads(resources.files("wattwalk").joinpath("examples/demo-house.json").read_text(encoding="utf-8"))
    for number, photo in enumerate(document["records"]["photo"]):
        photo["sha256"] = f"{number:064x}"
    return document


HOUSES = {"demo": demo_document, "sound": lambda: next(iter(sound_houses().values())), "terrace": lambda: terrace(20)}
PDFS = (QUOTATION, FILE, SHEETS)


@cache
def inputs_of(house: str) -> ReportInputs:
    """Return the inputs of a house's papers, with a photo for each record of one."""
    survey = read_document(HOUSES[house]())
    photos = {photo.sha256: picture() for photo in survey.of_kind(Photo) if photo.sha256}
    return gather(survey, firm=FIRM, version=1, made_on="2026-04-02", photos=photos)


@cache
def made(house: str, name: str) -> bytes:
    """Return one paper of a house."""
    return make_paper(inputs_of(house), name)


@cache
def pages(house: str, name: str) -> list[str]:
    """Return the text of each page of a paper."""
    read = subprocess.run(["pdftotext", "-", "-"], input=made(house, name), check=True, capture_output=True).stdout
    return [" ".join(page.split()) for page in read.decode().replace("\N{NO-BREAK SPACE}", " ").split("\f")[:-1]]


@cache
def printed(house: str, name: str) -> list[Printed]:
    """Return every piece of text of a paper, in its size and colour."""
    return texts(made(house, name))


@pytest.mark.parametrize("house", HOUSES)
def test_the_quotation_is_four_pages_a_form_and_photos(house):
    found = pages(house, QUOTATION)
    starts = (
        "A heat pump for your home",
        "What happens in your house",
        "What it costs",
        "What we need from you",
        "Form to cancel",
    )
    for number, start in enumerate(starts, start=1):
        assert start in found[number - 1], (number, start)
    assert all("Photos" in page for page in found[5:6])
    assert len(found) <= 6


@pytest.mark.parametrize("house", HOUSES)
def test_each_sheet_is_one_page(house):
    assert len(pages(house, SHEETS)) == len(sheets(inputs_of(house)))
    assert all("Done and looked at by" in page for page in pages(house, SHEETS))


@pytest.mark.parametrize("name", PDFS)
@pytest.mark.parametrize("house", HOUSES)
def test_no_type_is_below_10_pt_and_all_of_it_is_dark_enough_in_grey(house, name):
    found = printed(house, name)
    assert len(found) > 20
    assert min(item.size_pt for item in found) >= 9.95
    # The lightest ground that text stands on is white, the darkest the tint of a finding that stops the job.
    tint = luminance(0xFB / 255, 0xF1 / 255, 0xE9 / 255)
    assert min(contrast(item.luminance, tint) for item in found) >= 7
    assert min(contrast(item.luminance, 1.0) for item in found) >= 7


def test_the_reader_of_type_sees_small_and_pale_type():
    from weasyprint import HTML

    small = HTML(
        string='<p style="font-size:9pt;color:#777">small <svg width="20" height="20" viewBox="0 0 40 40"><text y="30" font-size="16">x</text></svg></p>'
    ).write_pdf()
    sizes = sorted(round(item.size_pt, 1) for item in texts(small))
    assert sizes[0] == pytest.approx(6.0, abs=0.1)
    assert any(contrast(item.luminance, 1.0) < 7 for item in texts(small))


@pytest.mark.parametrize("name", PDFS)
@pytest.mark.parametrize("house", HOUSES)
def test_tags_say_headings_scopes_figures_and_language(house, name):
    pdf = made(house, name)
    found = tags(pdf)
    assert language(pdf) == "en-GB"
    heads = [tag for tag in found if tag.name == "TH"]
    assert heads
    for tag in heads:
        assert tag.attributes.get("/Scope") == ("/Column" if "THead" in tag.above else "/Row")
    assert all(str(tag.element.get("/Alt", "")).strip() for tag in found if tag.name == "Figure")
    levels = [int(tag.name[1]) for tag in found if re.fullmatch(r"H[1-6]", tag.name)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    # No level is left out on the way down.
    assert all(after <= before + 1 for before, after in pairwise(levels))
    # Every cell belongs to a row of a table.
    assert all({"Table", "TR"} <= set(tag.above) for tag in found if tag.name in ("TH", "TD"))


@pytest.mark.parametrize("name", PDFS)
@pytest.mark.parametrize("house", HOUSES)
def test_no_page_is_less_than_half_full_but_the_last(house, name):
    count = len(pages(house, name))
    lowest: dict[int, float] = {}
    for item in printed(house, name):
        # The running foot does not count.
        if item.y_pt > 48:
            lowest[item.page] = min(lowest.get(item.page, 842.0), item.y_pt)
    # A sheet is for one place and as long as that place has to say; each part of a quotation has its page, also while little is known.
    if name == FILE or (name == QUOTATION and inputs_of(house).quote.is_complete):
        assert {page: round(y) for page, y in lowest.items() if y > 421 and page < count} == {}


def test_the_first_page_says_every_check_that_matters_once():
    first = pages("demo", QUOTATION)[0]
    serious = {item.title for item in inputs_of("demo").assessment.findings if item.severity is not Severity.NOTE}
    assert len(serious) >= 8
    for title in serious:
        words = title[1:]
        assert first.count(words) == 1, title
    # The work that puts it right stands beside it, and nowhere else on the page.
    assert first.lower().count("close the air brick") == 1


def test_the_first_page_is_honest_when_nothing_is_known():
    for document in (EMPTY, {**EMPTY, "records": {"room": [{"id": "r", "name": "Parlour", "length_m": 4.0}]}}):
        inputs = gather(read_document(document), firm={}, version=1, made_on="2026-04-02")
        words = words_of_page(paper_html(inputs, QUOTATION))
        assert "Whether your rooms will be warm cannot be said yet" in words
        assert "rooms warm on the coldest day" not in words
        assert "The price has not been worked out yet." in words
        assert "This is not an offer to say yes to yet" in words
        assert "To say yes" not in words


def test_a_room_that_stays_cool_is_named_and_the_headline_says_so():
    inputs = inputs_of("demo")
    rooms = inputs.assessment.rooms
    from wattwalk.engine.answers import Verdict

    cool = replace(rooms[0], verdict=Verdict.SHORT, margin_w=-120.0)
    words = words_of_page(
        paper_html(replace(inputs, assessment=replace(inputs.assessment, rooms=(cool, *rooms[1:]))), QUOTATION)
    )
    assert f"{cool.name} (120 W short) will stay cooler" in words
    assert "8 of 9" in words


def test_the_form_to_cancel_has_the_firms_address_and_a_page_of_its_own():
    found = pages("demo", QUOTATION)
    form = found[4]
    for said in (
        FIRM["name"],
        FIRM["address"],
        FIRM["email"],
        "I/We [*] hereby give notice",
        "Schedule 3, Part B",
        "from memory",
    ):
        assert said in form, said
    assert "What we need from you" not in form
    assert FIRM["address"] in found[3]


def test_long_terms_have_pages_of_their_own():
    inputs = replace(inputs_of("demo"), firm={**FIRM, "terms": "We keep our word. " * (LONGEST_TERMS // 10)})
    html = words_of_page(paper_html(inputs, QUOTATION))
    assert html.index("Form to cancel") < html.index("We keep our word.")


def test_only_photos_that_explain_something_are_in_the_quotation():
    inputs = inputs_of("demo")
    html = paper_html(inputs, QUOTATION)
    everything = len(inputs.survey.of_kind(Photo))
    assert 0 < html.count('class="photo"') < everything
    assert paper_html(inputs, FILE).count('<figure class="photo">') == everything


def test_the_page_for_a_phone_asks_for_nothing_and_says_what_the_paper_says():
    page = made("demo", PAGE).decode()
    assert "wattwalk:" not in page
    assert "http" not in re.sub(r"http://www\.w3\.org/\S*", "", page)
    assert '<meta name="viewport"' in page
    paper = words_of_page(paper_html(inputs_of("demo"), QUOTATION))
    assert words_of_page(paper_html(inputs_of("demo"), PAGE)) == paper


@pytest.mark.parametrize("name", [QUOTATION, PAGE])
def test_the_household_sees_the_plan_of_each_storey_that_is_proved(name):
    html = paper_html(inputs_of("demo"), name)
    house = html[html.index('id="house"') : html.index("<h3>Outside</h3>")]
    alts = re.findall(r'<figcaption>([^<]+)</figcaption><img src="wattwalk:drawing/house/\w+" alt="([^"]+)"', house)
    assert [label for label, _ in alts] == ["Ground floor", "First floor"]
    assert alts[0][1] == "Plan of the ground floor from above, with Living room, Dining room, Hall and Kitchen."
    assert "Study: new radiator." in alts[1][1]


def test_three_storeys_lie_side_by_side_and_the_others_are_counted():
    inputs = inputs_of("demo")
    ground = inputs.plans.storeys[0]
    names = ("basement", "ground", "first", "second", "loft")
    many = replace(inputs.plans, storeys=tuple(replace(ground, storey=name, label=name.title()) for name in names))
    html = paper_html(replace(inputs, plans=many), QUOTATION)
    assert re.findall(r"drawing/house/(\w+)", html) == ["basement", "ground", "first"]
    assert "2 more storeys stand in the technical file." in html
    assert "more storey" not in paper_html(inputs, QUOTATION)


def test_no_household_sees_a_plan_that_may_be_wrong():
    inputs = inputs_of("sound")
    assert [plan.state for plan in inputs.plans.storeys] == [PlanState.ONE, PlanState.SEVERAL]
    html = paper_html(inputs, QUOTATION)
    assert "drawing/house/ground" in html
    assert "drawing/house/first" not in html
    doubtful = tuple(replace(plan, state=PlanState.NONE) for plan in inputs.plans.storeys)
    assert "drawing/house" not in paper_html(replace(inputs, plans=replace(inputs.plans, storeys=doubtful)), QUOTATION)
    assert "drawing/house" not in paper_html(inputs_of("terrace"), QUOTATION)


def test_the_plans_are_figures_with_words_in_the_quotation():
    said = [str(tag.element.get("/Alt", "")) for tag in tags(made("demo", QUOTATION)) if tag.name == "Figure"]
    assert [words for words in said if words.startswith("Plan of the ")] == [
        "Plan of the ground floor from above, with Living room, Dining room, Hall and Kitchen.",
        "Plan of the first floor from above, with Front bedroom, Back bedroom, Study, Landing and Bathroom. Study: new radiator.",
    ]
    # Words in the drawing are on the page with the table of what changes.
    assert "Study: new radiator" in pages("demo", QUOTATION)[1]


def test_the_papers_of_a_version_say_the_same_figures():
    inputs = inputs_of("demo")
    flow = f"{inputs.assessment.flow.design_c:.0f} °C"
    pay = f"£{inputs.quote.to_pay:,.2f}"
    assert pay in " ".join(pages("demo", QUOTATION))
    assert pay in " ".join(pages("demo", FILE))
    for name in PDFS:
        assert flow in " ".join(pages("demo", name)), name
    feet = {foot.name: f"{foot.packing_mm:.0f}" for base in inputs.assessment.bases for foot in base.feet}
    for name, packing in feet.items():
        assert f"{name.capitalize()} {packing}" in " ".join(pages("demo", SHEETS))


def test_there_are_these_papers_and_no_others():
    assert PAPERS == (QUOTATION, FILE, SHEETS, PAGE)
    with pytest.raises(ReportError, match="found 'letter'"):
        make_paper(inputs_of("demo"), "letter")
