"""The technical file says every answer once and stays short: fields, pages and cells of the demo house."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from tests.office.conftest import words_of_page
from tests.office.test_three_papers import inputs_of, pages
from wattwalk.office import printed_before, technical_file
from wattwalk.office.recorded import Printed, recorded
from wattwalk.office.report import FILE, paper_html
from wattwalk.survey.building import Surface
from wattwalk.survey.fields import FieldType
from wattwalk.survey.holders import SURVEY
from wattwalk.survey.kinds import KINDS, kinds_held_by
from wattwalk.survey.wording import is_recorded, own_titles, value_words
from wattwalk.survey.works import Note

#: Before the record ran on and left out what had been printed: 50 pages and 2,657 cells.
MOST_PAGES, MOST_CELLS = 34, 1800


def flat(words: str) -> str:
    """Return words as a search takes them: one kind of space, no capitals."""
    return " ".join(words.replace("\N{NO-BREAK SPACE}", " ").split()).lower()


def of_chapter(html: str, chapter: str) -> str:
    """Return the words of a chapter of the file."""
    start = html.index(f'<h2 class="chapter" id="{chapter}"')
    end = html.find('<h2 class="chapter"', start + 10)
    return flat(words_of_page(html[start:end]))


def not_printed(inputs, before) -> list[str]:
    """Return every answered field that the record leaves out and no chapter that it names says; and those it says nowhere."""
    html = paper_html(inputs, FILE)
    survey, own = inputs.survey.measured(), own_titles(inputs.survey.measured())
    chapters = {printed.chapter: name for name, printed in before.items()}
    labels = {label: of_chapter(html, name) for name, label in technical_file.context(inputs)["contents"]}
    assert set(chapters) <= set(labels)
    record = labels["What was recorded"]
    lost = []
    for kind in kinds_held_by(SURVEY):
        for item in survey.records_named(kind.name):
            if isinstance(item, Note):
                continue
            told = before.get(kind.name)
            left_out = told.fields.get(item.id, frozenset()) if told is not None else frozenset()
            for spec in kind.fields:
                if not is_recorded(spec, item) or spec.name == kind.parent:
                    continue
                page = labels[told.chapter] if spec.name in left_out else record
                value = getattr(item, spec.name)
                if isinstance(value, float) and isinstance(item, Surface):
                    value = round(value, 3)
                words = flat(value_words(spec, value, own))
                if not is_said(words, page, spec, item):
                    lost.append(f"{item.key()}.{spec.name}: {words}")
    return lost


def is_said(words: str, page: str, spec, item) -> bool:
    """Say whether a chapter's words hold a value; a room's line writes a size without its unit, and what is yonder as a name."""
    if words in page:
        return True
    if spec.type in {FieldType.NUMBER, FieldType.INTEGER}:
        number = words.split(" ")[0]
        number = number.rstrip("0").rstrip(".") if "." in number else number
        return re.search(rf"(?<![\d.]){re.escape(number)}(?:\.?0*)(?![\d]|\.\d)", page) is not None
    if spec.type is FieldType.REFERENCE and isinstance(item, Surface) and spec.name == "construction":
        return re.search(rf"c\d+ {re.escape(words)} ?: u =", page) is not None
    if spec.type is FieldType.YES_NO:
        # The row of a thing near the unit says done or not done yet.
        return ("done" if words == "yes" else "not done yet") in page
    # Another room of this home is named after its wall.
    return isinstance(item, Surface) and spec.name == "other_side" and item.other_side == "room"


def test_every_answer_of_the_demo_is_printed_somewhere_in_the_file():
    inputs = inputs_of("demo")
    assert not_printed(inputs, printed_before.printed_before(inputs)) == []


def test_an_answer_that_is_left_out_by_mistake_is_seen(monkeypatch):
    inputs = inputs_of("demo")
    before = printed_before.printed_before(inputs)
    runs = {
        run.id: frozenset({"other_route_agreed", "outside_diameter_mm"})
        for run in inputs.survey.records_named("emitter")
    }
    runs |= {item.id: frozenset({"notes"}) for item in inputs.survey.records_named("emitter")}
    wrong = {**before, "emitter": Printed("Rooms and emitters", runs)}
    monkeypatch.setattr(technical_file, "printed_before", lambda _inputs: wrong)
    lost = not_printed(inputs, wrong)
    assert [line for line in lost if "too small, and rust at the lower seam" in line]


def test_a_surface_that_no_room_counts_is_recorded_in_full():
    inputs = inputs_of("demo")
    rooms = tuple(replace(room, surfaces=()) for room in inputs.assessment.rooms)
    bare = replace(inputs, assessment=replace(inputs.assessment, rooms=rooms))
    surfaces = next(
        kind for kind in recorded(bare.survey, printed_before.printed_before(bare)) if kind.label == "Surfaces"
    )
    assert len(surfaces.records) == len(inputs.survey.of_kind(Surface))
    assert not surfaces.is_told


def test_what_is_left_out_names_fields_and_kinds_that_there_are():
    before = printed_before.printed_before(inputs_of("demo"))
    assert {"surface", "price_line", "scope_item", "photo", "hot_water", "supply"} <= set(before)
    for name, printed in before.items():
        assert set().union(*printed.fields.values()) <= {spec.name for spec in KINDS[name].fields}, name


def test_the_file_of_the_demo_is_short():
    html = paper_html(inputs_of("demo"), FILE)
    assert len(re.findall(r"<t[dh][ >]", html)) <= MOST_CELLS
    assert len(pages("demo", FILE)) <= MOST_PAGES


@pytest.mark.parametrize("house", ["demo", "sound"])
def test_the_record_stands_after_the_working_and_repeats_no_line_of_a_room(house):
    html = paper_html(inputs_of(house), FILE)
    assert html.index('id="working"') < html.index('id="recorded"')
    assert " × " in of_chapter(html, "working")
    assert "surfaces: see “working and sources”" in of_chapter(html, "recorded")
