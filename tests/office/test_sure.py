"""How sure the figures are, as the report prints it."""

from __future__ import annotations

from wattwalk.demo import demo_document
from wattwalk.engine import assess
from wattwalk.engine.ranges import work_out_ranges
from wattwalk.office.report_inputs import ReportInputs
from wattwalk.office.sure import sure_block
from wattwalk.survey.document import read_document


def block(document):
    survey = read_document(document)
    inputs = ReportInputs.__new__(ReportInputs)
    object.__setattr__(inputs, "survey", survey)
    object.__setattr__(inputs, "assessment", assess(survey))
    return sure_block(inputs), work_out_ranges(survey, inputs.assessment)


def test_every_fact_is_printed_with_its_spread_and_source():
    printed, ranges = block(demo_document())
    assert dict(printed["facts"])["Unit must carry, in 90 of 100 cases"] == (
        f"{ranges.load_w.low / 1000:.1f} to {ranges.load_w.high / 1000:.1f}\N{NO-BREAK SPACE}kW"
    )
    assert [row["title"] for row in printed["rows"]] == [fact.title for fact in ranges.facts]
    assert all(row["source"] and row["spread"] for row in printed["rows"])
    assert printed["witness"]["verdict"] == "The bill bears it out"


def test_an_open_house_prints_why_there_is_no_range():
    document = demo_document()
    surfaces = document["records"]["surface"]
    surfaces.remove(next(item for item in surfaces if item["room"] == "room-living" and item.get("side") == "left"))
    printed, _ = block(document)
    assert printed["facts"] == []
    assert printed["rows"] == []
    assert "closes" in printed["words"][0]


def test_sizes_from_a_plan_are_printed_as_such():
    document = demo_document()
    document["records"]["survey"][0]["sizes_known_by"] = "plan"
    printed, _ = block(document)
    (row,) = [row for row in printed["rows"] if row["title"] == "Sizes of the rooms"]
    assert (row["known"], row["spread"]) == ("From a plan on paper", "6\N{NO-BREAK SPACE}%")
    assert "Sizes of rooms known by: a plan on paper." in printed["words"]
