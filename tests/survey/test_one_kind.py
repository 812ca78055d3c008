"""Adding a kind is one class: what it says of itself is found wherever a kind has a part."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.support.houses import small_house
from wattwalk.engine import assess
from wattwalk.office import chapters
from wattwalk.office.recorded import recorded
from wattwalk.office.report_inputs import gather
from wattwalk.survey.building import Room
from wattwalk.survey.chapters import FINDING_CHAPTERS
from wattwalk.survey.document import read_document, write_document
from wattwalk.survey.errors import SurveyError
from wattwalk.survey.fields import reference, text
from wattwalk.survey.gaps import find_gaps
from wattwalk.survey.json_schema import document_schema
from wattwalk.survey.kinds import ANY_SUBJECT, KINDS, Part, Record, record_kind
from wattwalk.survey.model import survey_model
from wattwalk.survey.purposes import HEAT_LOSS
from wattwalk.survey.works import Photo
from wattwalk.sync.schemas import record_schema_class


@pytest.fixture
def shelf() -> Iterator[None]:
    """Let there be one kind more, for one test."""

    @record_kind(
        "shelf",
        "Shelf",
        "Shelves",
        stage="rooms",
        part=Part("water", photo="room"),
        title=("name",),
        parent="room",
    )
    class Shelf(Record):
        room: str | None = reference("Room", "room", needed_for=HEAT_LOSS, goes_with=True, counts_through=True)
        name: str | None = text("Name", needed_for=HEAT_LOSS)

    try:
        yield
    finally:
        del KINDS["shelf"]


def document(**shelf: str) -> dict[str, object]:
    made = small_house()
    made["records"]["shelf"] = [{"id": "s1", **shelf}]
    return made


@pytest.mark.usefixtures("shelf")
class TestTheNewKind:
    def test_is_read_and_written_with_the_document(self):
        survey = read_document(document(room="living", name="Oak"))
        assert write_document(survey)["records"]["shelf"] == [{"id": "s1", "room": "living", "name": "Oak"}]
        assert "shelf" in document_schema()["$defs"]
        assert record_schema_class(KINDS["shelf"])().load({"id": "s1", "name": "Oak"}) == {"id": "s1", "name": "Oak"}

    def test_has_its_gaps_where_it_is_met(self):
        found = [gap for gap in find_gaps(read_document(document(room="living"))) if gap.kind == "shelf"]
        assert [(gap.stage, gap.field) for gap in found] == [("rooms", "name")]

    def test_may_be_what_a_photo_a_note_a_work_or_a_price_line_is_about(self):
        made = document(room="living", name="Oak")
        made["records"] |= {
            "photo": [{"id": "p", "of": "s1", "sha256": "0" * 64}],
            "note": [{"id": "n", "of": "s1"}],
            "scope_item": [{"id": "w", "drawn_from": "s1"}],
            "price_line": [{"id": "l", "drawn_from": "s1"}],
        }
        assert read_document(made).of_kind(Photo)[0].of == "s1"
        for kind, field in (
            ("photo", "of"),
            ("note", "of"),
            ("scope_item", "drawn_from"),
            ("price_line", "drawn_from"),
        ):
            assert "shelf" in KINDS[kind].field(field).refers_to

    @pytest.mark.parametrize(
        ("told", "words"),
        [({}, "Oak belongs to no room; it is not counted."), ({"room": "gone"}, "Oak: its room is not in this survey")],
    )
    def test_is_found_where_it_belongs_to_nothing(self, told, words):
        made = document(name="Oak")
        survey = read_document(made) if not told else _pointing_nowhere(made)
        found = [item for item in assess(survey).findings if item.record == "shelf/s1"]
        assert [(item.code, item.field) for item in found] == [("shelf_without_room", "room")]
        assert words in found[0].message

    def test_has_its_findings_in_its_chapter_of_the_report(self):
        inputs = gather(read_document(document(name="Oak")), firm={}, version=1, made_on="2026-04-02")
        assert [
            chapter
            for chapter in FINDING_CHAPTERS
            if any("Oak" in row["message"] for row in chapters.finding_rows(inputs, chapter))
        ] == ["water"]

    def test_is_recorded_in_the_appendix(self):
        assert "Oak" in str(recorded(read_document(document(room="living", name="Oak"))))

    def test_says_to_the_phone_what_it_is(self):
        kind = survey_model()["kinds"]["shelf"]
        assert {
            name: kind[name] for name in ("stage", "parent", "photo", "opens_the_walk", "is_counted", "is_judged")
        } == {
            "stage": "rooms",
            "parent": "room",
            "photo": "room",
            "opens_the_walk": False,
            "is_counted": True,
            "is_judged": True,
        }
        room, name = kind["fields"]
        assert room["goes_with"] is True
        assert "goes_with" not in name
        photo_of = survey_model()["kinds"]["photo"]["fields"][0]
        assert (photo_of["name"], "shelf" in photo_of["refers_to"]) == ("of", True)


def _pointing_nowhere(made):
    """A survey as a phone may hold it: a record whose owner somebody else has taken away."""
    made["records"]["shelf"][0]["room"] = "living"
    survey = read_document(made)
    rooms = tuple(room for room in survey.of_kind(Room) if room.id != "living")
    return type(survey)(survey.id, {**survey.records, "room": rooms})


def test_without_the_class_it_is_nowhere():
    assert "shelf" not in ANY_SUBJECT
    assert "shelf" not in survey_model()["kinds"]
    with pytest.raises(SurveyError, match="shelf"):
        read_document(document(name="Oak"))


def test_what_is_no_subject_is_not_offered_as_one():
    assert "photo" not in ANY_SUBJECT
    assert "price_line" not in KINDS["photo"].field("of").refers_to
