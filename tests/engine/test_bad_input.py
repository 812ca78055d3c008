"""Bad input is refused or found, by record and with what to do: through the document and in the assessment; never NaN.

What cannot be written down at all is a problem of the document, and the command line ends with it; what can be written
down but cannot be right is a finding, and the room says what it lacks rather than a figure.
"""

from __future__ import annotations

import json
import math

import pytest

from tests.support.houses import changed, small_house, with_records
from wattwalk.cli import main
from wattwalk.engine import assess, to_plain
from wattwalk.survey.document import read_document
from wattwalk.survey.errors import SurveyError

#: Kind, record, field, value that no document may hold, and words of the refusal.
REFUSED = (
    ("room", "living", "length_m", 0, "expected 0.3 to"),
    ("room", "living", "width_m", -4, "expected 0.3 to"),
    ("room", "living", "height_m", 0, "expected 1 to"),
    ("room", "living", "floor_area_m2", 0, "expected 0.2 to"),
    ("surface", "front", "width_m", 0, "expected 0.05 to"),
    ("surface", "pane", "height_m", -1.2, "expected 0.05 to"),
    ("surface", "floor", "area_m2", 0, "expected 0.01 to"),
    ("surface", "pane", "count", 0, "expected 1 to"),
    ("emitter", "small", "length_mm", 0, "expected 100 to"),
    ("emitter", "radiator", "rated_output_w", -50, "expected 20 to"),
    ("emitter", "radiator", "exponent", 0.8, "expected 1 to"),
    ("emitter", "radiator", "exponent", 2.4, "expected 1 to 1.8"),
    ("construction", "wall", "u_value_w_m2k", 0, "expected 0.05 to"),
    ("construction", "wall", "u_value_w_m2k", math.nan, "a number"),
    ("room", "living", "length_m", math.inf, "a number"),
    ("survey", "s", "age_band", "Z", "one of"),
    ("survey", "s", "exposed_perimeter_m", -1, "expected 0 to"),
)  # fmt: skip


@pytest.mark.parametrize(("kind", "record", "field", "value", "words"), REFUSED)
def test_a_value_that_cannot_be_is_refused_at_its_record(kind, record, field, value, words):
    with pytest.raises(SurveyError) as caught:
        read_document(changed(small_house(), kind, record, **{field: value}))
    (problem,) = caught.value.problems
    assert (problem.record, problem.field) == (f"{kind}/{record}", field)
    assert words in problem.message


def test_the_command_line_refuses_such_a_document_and_names_the_record(tmp_path, capsys):
    path = tmp_path / "house.json"
    path.write_text(json.dumps(changed(small_house(), "emitter", "radiator", exponent=2.4)))
    assert main(["assess", str(path)]) != 0
    printed = capsys.readouterr()
    assert "emitter/radiator" in printed.err
    assert "exponent" in printed.err.lower()
    assert "NaN" not in printed.out


def layered(*layers):
    return changed(small_house(), "construction", "wall", known_by="layers", u_value_w_m2k=None, layers=list(layers))


#: A document that can be written down and cannot be right: what it is, the record named, words of what is wrong, words of what to do.
WRONG = {
    "a window larger than its wall": (changed(small_house(), "surface", "pane", width_m=6, height_m=3), "surface/front", "what sits in it measures 18", "Measure the wall"),
    "many windows larger than their wall": (changed(small_house(), "surface", "pane", count=9), "surface/front", "what sits in it measures", "Measure the wall"),
    "a room beside itself": (changed(small_house(), "surface", "between", other_room="living"), "surface/between", "leads to the same room", "Choose the room beyond"),
    "a window in a window": (
        with_records(small_house(), "surface", {"id": "odd", "room": "living", "element": "window", "construction": "window", "opening_in": "pane", "width_m": 0.5, "height_m": 0.5}),
        "surface/odd", "is itself a window", "Choose the wall",
    ),
    "an age band with no row": (
        changed(changed(small_house(), "survey", "s", age_band="M", nation="scotland"), "construction", "wall", known_by="look", look="wall_cob", u_value_w_m2k=None),
        "survey/s", "Wall has no U-value: the default tables held for Scotland (RdSAP 2012) have no row for age band M", "papers of the house",
    ),
    "a layer with no λ": (layered({"material": "Mystery board", "thickness_mm": 50}), "construction/wall", "Mystery board", "λ"),
    "a layer with no thickness": (layered({"material": "Plasterboard"}), "construction/wall", "thickness", "thickness"),
    "layers that are none": (layered(), "construction/wall", "layer", "layer"),
}  # fmt: skip


@pytest.mark.parametrize("case", WRONG)
def test_what_cannot_be_right_is_found_and_gives_no_figure(case):
    document, record, wrong, remedy = WRONG[case]
    result = assess(read_document(document))
    found = [item for item in result.findings if item.record == record]
    lacking = [words for room in result.rooms for words in room.missing]
    assert any(wrong in item.message and remedy in f"{item.message} {item.remedy}" for item in found), (found, lacking)
    assert all(item.remedy for item in found)
    if case != "a window in a window":
        living = result.rooms[0]
        assert living.total_w is None
        assert living.missing
        assert result.building.total_w is None
    json.dumps(to_plain(result), allow_nan=False)


@pytest.mark.parametrize("case", WRONG)
def test_the_command_line_says_the_same_and_prints_no_nan(case, tmp_path, capsys):
    document, record, wrong, _remedy = WRONG[case]
    path = tmp_path / "house.json"
    path.write_text(json.dumps(document))
    main(["assess", str(path)])
    plain = json.loads(capsys.readouterr().out, parse_constant=lambda word: pytest.fail(f"{word} in the answer"))
    assert any(item["record"] == record and wrong in item["message"] for item in plain["findings"])
