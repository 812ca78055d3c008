"""A survey seen together with the firm's book: what it may choose from, what wins, what has left."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import pytest

from tests.support.houses import small_house
from wattwalk.answer import Desk, as_text, rest
from wattwalk.engine import assess
from wattwalk.office.frozen import RenderRequest, freeze, thaw
from wattwalk.office.recorded import recorded
from wattwalk.survey.book import Book, as_own, with_book
from wattwalk.survey.document import Survey, make_survey, read_document, write_document
from wattwalk.survey.errors import SurveyError
from wattwalk.survey.fields import text
from wattwalk.survey.holders import FIRM, OFFICE, SURVEY
from wattwalk.survey.kinds import Record, record_kind
from wattwalk.survey.stored import make_record
from wattwalk.survey.unit import Unit
from wattwalk.unit_list import DEMO_UNITS, unit_records

UNITS = tuple(sorted((Unit(**record) for record in unit_records(DEMO_UNITS)), key=lambda unit: unit.id))


def house(*units: Unit, chosen: str | None = None) -> Survey:
    """Return a small house as the office stores it: its design may name a unit of the firm's book."""
    document = small_house()
    document["records"]["design"] = [{"id": "design"} if chosen is None else {"id": "design", "unit": chosen}]
    kept = [
        make_record(kind, item["id"], {name: value for name, value in item.items() if name != "id"})
        for kind, items in document["records"].items()
        for item in items
    ]
    return make_survey(document["id"], [*kept, *units])


def codes(survey: Survey) -> set[str]:
    return {finding.code for finding in assess(survey).findings}


def test_a_survey_chooses_from_the_firms_units() -> None:
    survey = with_book(house(chosen=UNITS[0].id), Book(UNITS))
    assert [unit.id for unit in survey.records["unit"]] == [unit.id for unit in UNITS]
    assert {unit.id for unit in assess(survey).plant.units if unit.is_chosen} == {UNITS[0].id}
    assert not {"unit_left", "unit_gone"} & codes(survey)


def test_a_unit_of_the_house_stands_before_the_firms_of_the_same_id() -> None:
    own = replace(UNITS[0], name="Only for this house")
    survey = with_book(house(own), Book(UNITS))
    found = {unit.id: (unit.name, unit.firm_list) for unit in survey.records["unit"]}
    assert found[own.id] == ("Only for this house", None)
    assert found[UNITS[1].id] == (UNITS[1].name, "there")


def test_a_unit_that_left_the_list_stays_with_the_survey_that_chose_it_and_with_no_other() -> None:
    book = Book(UNITS[1:], left=UNITS[:1])
    chose = with_book(house(chosen=UNITS[0].id), book)
    (found,) = [finding for finding in assess(chose).findings if finding.code == "unit_left"]
    assert (found.record, found.field, UNITS[0].name in found.message) == ("design/design", "unit", True)
    assert [unit.verdict for unit in assess(chose).plant.units if unit.is_chosen] != []
    assert "unit_gone" not in codes(chose)
    other = with_book(house(), book)
    assert UNITS[0].id not in {unit.id for unit in other.records["unit"]}
    assert "unit_left" not in codes(other)
    assert "unit_gone" in codes(with_book(house(chosen="unit-of-nobody"), book))


def test_phone_document_and_version_give_the_same_bytes_as_the_office() -> None:
    own = house(replace(UNITS[1], name="Of this house"), chosen=UNITS[0].id)
    book = Book(UNITS[1:], left=UNITS[:1])
    whole = with_book(own, book)
    at_office = as_text({"assessment": assess(whole), **rest(whole, assess(whole))})

    desk = Desk()
    request = {
        "id": own.id,
        "records": [{"kind": record.kind.name, "id": record.id, "values": record.values()} for record in own],
        "book": [{"kind": "unit", "id": unit.id, "values": unit.values(), "left": unit in book.left} for unit in UNITS],
    }
    for _ in range(2):
        figures_text = desk.figures(json.dumps(request))
        assert as_text({**json.loads(figures_text), **json.loads(desk.rest())}) == at_office

    document = read_document(json.dumps(write_document(whole)))
    assert as_text({"assessment": assess(document), **rest(document, assess(document))}) == at_office

    frozen = freeze(whole, revision=1, firm={"name": "A firm"}, photos=(), with_checks=False)
    thawed = thaw(RenderRequest(frozen, 1, "2026-03-31", {}))
    assert as_text({"assessment": thawed.assessment, **rest(thawed.survey, thawed.assessment)}) == at_office


def test_a_document_that_comes_in_keeps_what_the_firms_book_does_not_say() -> None:
    whole = with_book(house(chosen=UNITS[0].id), Book(UNITS))
    changed = replace(UNITS[1], standby_w=99.0)
    kept = as_own(whole, Book((UNITS[0], changed)))
    assert kept.records["unit"] == UNITS[1:]
    assert "unit" not in as_own(whole, Book(UNITS)).records
    assert as_own(whole, Book()).records["unit"] == UNITS


def test_the_appendix_tells_of_the_chosen_unit_and_not_of_the_whole_list() -> None:
    own = replace(UNITS[2], id="unit-own", name="Of this house")
    survey = with_book(house(own, chosen=UNITS[0].id), Book(UNITS))
    told = str([kind for kind in recorded(survey) if kind.label == Unit.kind.plural])
    assert UNITS[0].name in told
    assert "Of this house" in told
    assert UNITS[1].name not in told


def test_a_document_has_no_records_of_the_firm() -> None:
    document = small_house()
    document["records"]["article"] = [{"id": "a", "code": "A"}]
    with pytest.raises(SurveyError) as refused:
        read_document(document)
    assert [problem.code for problem in refused.value.problems] == ["other_holder"]


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"held_by": ("street",)}, "held by"),
        ({"held_by": ()}, "held by"),
        ({"held_by": (FIRM, SURVEY)}, "needs the field firm_list"),
        ({"held_by": (SURVEY,), "seen": True}, "would be seen in a survey"),
        ({"held_by": (FIRM,), "seen": True, "title": ("secret",)}, "would be seen in a survey or in a title"),
        ({"held_by": (FIRM,), "written_by": ("nobody",)}, "no role 'nobody'"),
    ],
)
def test_a_declaration_that_would_let_something_out_is_refused(given: dict[str, Any], words: str) -> None:
    seen = (OFFICE,) if given.pop("seen", False) else ()

    class Something(Record):
        """Declared by this test only."""

        name: str | None = text("Name")
        secret: str | None = text("Secret", seen_by=seen)

    from wattwalk.survey.kinds import KINDS

    example = KINDS["article"]
    part = {"part": example.part} if hasattr(example, "part") else {}
    with pytest.raises(ValueError, match=words):
        record_kind("something", "Something", "Somethings", stage="office", **part, **given)(Something)
    assert "something" not in KINDS
