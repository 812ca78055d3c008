"""Adding a field is one line: declared here, and found everywhere else."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from tests.support.houses import small_house
from wattwalk.office.recorded import recorded
from wattwalk.survey.building import Room
from wattwalk.survey.document import read_document, write_document
from wattwalk.survey.errors import SurveyError
from wattwalk.survey.fields import integer
from wattwalk.survey.gaps import find_gaps
from wattwalk.survey.json_schema import document_schema
from wattwalk.survey.kinds import KINDS, record_kind
from wattwalk.survey.model import survey_model
from wattwalk.survey.purposes import HEAT_LOSS
from wattwalk.survey.wording import field_line
from wattwalk.sync.schemas import check_by_schema, record_schema_class

ROOT = Path(__file__).resolve().parents[2]
DESCRIBE = """
import sys
from pathlib import Path
from tests.survey.test_one_line import a_room_with_shelves
with a_room_with_shelves():
    from wattwalk.app import create_app
    from wattwalk.config import Settings
    home = Path(sys.argv[1])
    app = create_app(Settings(home=home, database_url=f"sqlite:///{home / 'wattwalk.sqlite3'}"))
    print(app.test_client().get("/api/openapi.json").get_data(as_text=True))
"""


@contextmanager
def a_room_with_shelves() -> Iterator[None]:
    """Let a room have one field more, for as long as this lasts."""
    before = dict(KINDS)
    room = KINDS.pop("room")

    class RoomWithShelves(Room):
        shelf_count: int | None = integer(
            "Shelves", unit="shelves", low=0, high=12, group="seen", needed_for=HEAT_LOSS
        )  # the one line

    groups = tuple((group.name, group.label, group.answered) for group in room.groups)
    record_kind("room", room.label, room.plural, stage=room.stage, part=room.part, title=room.title, groups=groups)(
        RoomWithShelves
    )
    wider = KINDS["room"]
    KINDS.clear()
    KINDS.update({name: wider if name == "room" else kind for name, kind in before.items()})
    try:
        yield
    finally:
        KINDS.clear()
        KINDS.update(before)
        Room.kind = before["room"]


@pytest.fixture
def shelves() -> Iterator[None]:
    """Let a room have one field more, for one test."""
    with a_room_with_shelves():
        yield


def document(value: Any) -> dict[str, Any]:
    made = small_house()
    made["records"]["room"][0]["shelf_count"] = value
    return made


@pytest.mark.usefixtures("shelves")
class TestTheNewField:
    def test_is_read_and_written_with_the_document(self):
        survey = read_document(document(3))
        assert survey.of_kind(Room)[0].shelf_count == 3
        assert write_document(survey)["records"]["room"][0]["shelf_count"] == 3

    @pytest.mark.parametrize(
        ("value", "words"), [(13, "0 to 12 shelves"), ("three", "whole number"), (1.5, "whole number")]
    )
    def test_is_validated(self, value, words):
        with pytest.raises(SurveyError, match="room/living, shelf_count: Shelves") as caught:
            read_document(document(value))
        assert words in str(caught.value)

    def test_is_in_the_json_schema(self):
        found = document_schema()["$defs"]["room"]["properties"]["shelf_count"]
        assert (found["title"], found["minimum"], found["maximum"]) == ("Shelves (shelves)", 0, 12)

    def test_is_in_the_model_the_phone_builds_its_forms_from(self):
        found = survey_model()["kinds"]["room"]["fields"][-1]
        assert (found["name"], found["label"], found["group"], found["high"]) == ("shelf_count", "Shelves", "seen", 12)

    def test_is_missed_before_anyone_leaves(self):
        gaps = find_gaps(read_document(document(None)))
        assert {gap.record for gap in gaps if gap.field == "shelf_count"} == {"living", "hall"}

    def test_is_in_the_schema_of_the_api(self):
        schema = record_schema_class(KINDS["room"])()
        assert schema.load({"id": "r", "shelf_count": 4}) == {"id": "r", "shelf_count": 4}
        assert check_by_schema(KINDS["room"], "shelf_count", 99).code == "out_of_range"

    def test_is_worded_in_the_report(self):
        assert field_line(KINDS["room"].field("shelf_count"), 3) == ("Shelves", "3\N{NO-BREAK SPACE}shelves")
        assert "Shelves" in str(recorded(read_document(document(3))))
        assert "Shelves" not in str(recorded(read_document(small_house())))


def test_is_in_the_description_of_the_api(tmp_path: Path):
    # The API's shapes are made once, when its modules are first imported: so a process of its own declares the field before that.
    done = subprocess.run([sys.executable, "-c", DESCRIBE, str(tmp_path)], cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)["components"]["schemas"]["RoomRecord"]["properties"]["shelf_count"]
    assert (found["title"], found["maximum"]) == ("Shelves (shelves)", 12)


def test_without_the_line_it_is_nowhere():
    assert "shelf_count" not in str(survey_model())
    with pytest.raises(SurveyError, match="no field 'shelf_count'"):
        read_document(document(3))
