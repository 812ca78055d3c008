"""The drawings of the site: well-formed, the same each time, true to scale, complete in words."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree
from dataclasses import replace

import pytest

from tests.engine.support import assessed
from wattwalk.answer import NARROW, rest
from wattwalk.demo import demo_document
from wattwalk.engine.answers import ZoneObject, ZonePlan
from wattwalk.pictures import DARK, PAPER, cable_schedule, circuit_scheme, zone_plan
from wattwalk.survey.document import read_document

SVG = "{http://www.w3.org/2000/svg}"
HOSTILE = ("<script>alert(1)</script>", "x" * 400, "‮abc مطبخ 😀", 'a & b \x00\x0b "quoted"')


@pytest.fixture(scope="module")
def assessment():
    return assessed(demo_document())


def drawings(assessment, palette=PAPER, width=640.0):
    site = assessment.site
    return [
        *(zone_plan(plan, palette, width) for plan in site.zones),
        circuit_scheme(site.circuit, site.runs, palette, width),
        cable_schedule(assessment.cables, site.supply.cables, palette, width),
    ]


def words(svg):
    return [item.text or "" for item in ElementTree.fromstring(svg).iter(f"{SVG}text")]


@pytest.mark.parametrize("palette", [PAPER, DARK])
@pytest.mark.parametrize("width", [320.0, 640.0])
def test_each_is_well_formed_and_carries_its_looks(assessment, palette, width):
    for svg in drawings(assessment, palette, width):
        root = ElementTree.fromstring(svg)
        assert root.find(f"{SVG}title").text
        assert root.find(f"{SVG}desc").text
        assert float(root.get("width")) == width
        assert {item.tag for item in root.iter()} <= {
            SVG + tag for tag in ("svg", "title", "desc", "rect", "path", "text")
        }
        for item in root.iter():
            assert not {"class", "style", "id"} & set(item.attrib)
        assert all(-40 <= float(item.get("x")) <= width + 1 for item in root.iter(f"{SVG}text"))


def test_the_same_survey_makes_the_same_drawings(assessment):
    assert drawings(assessment) == drawings(assessed(demo_document()))


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_name_stays_text(assessment, name):
    site = assessment.site
    plan = replace(site.zones[0], name=name, objects=tuple(replace(item, words=name) for item in site.zones[0].objects))
    runs = tuple(replace(run, name=name) for run in site.runs)
    cables = tuple(replace(item, words=name) for item in assessment.cables)
    for svg in (zone_plan(plan), circuit_scheme(site.circuit, runs), cable_schedule(cables, site.supply.cables)):
        assert {item.tag for item in ElementTree.fromstring(svg).iter()} <= {
            SVG + tag for tag in ("svg", "title", "desc", "rect", "path", "text")
        }
        assert not any(mark in svg for mark in "\u202e\x00\x0b")


def square(*objects):
    corners = ((-1.0, 0.0), (1.0, 0.0), (1.0, 2.0), (-1.0, 2.0))
    return ZonePlan("p", "Back", "shape", True, corners, 0.9, (-0.5, 0.5, 0.2, 0.6), tuple(objects), (), (), "source")


def near(name, along, out, state="outside"):
    return ZoneObject(name, "door", name, along, out, 0.0, state)


def test_things_stand_where_they_are_as_seen_with_ones_back_to_the_wall():
    svg = zone_plan(square(near("left", -1.5, 0.5), near("right", 1.5, 1.5)))
    # The first rectangles of eight by eight are the marks of the plan; the list's own come after.
    marks = [(float(x), float(y)) for x, y in re.findall(r'<rect x="([\d.]+)" y="([\d.]+)" width="8" height="8"', svg)][
        :2
    ]
    (x1, y1), (x2, y2) = marks
    outline = [
        (float(x), float(y))
        for x, y in re.findall(r"[ML]([\d.]+) ([\d.]+)", re.search(r'<path d="(M[^"]+Z)"', svg).group(1))
    ]
    scale = (max(x for x, _ in outline) - min(x for x, _ in outline)) / 2
    assert x2 - x1 == pytest.approx(3 * scale, abs=0.05)
    assert y1 - y2 == pytest.approx(scale, abs=0.05)


@pytest.mark.parametrize(
    ("state", "said"),
    [
        ("inside", "inside the zone"),
        ("dealt_with", "inside, dealt with"),
        ("above", "outside the zone, above it"),
        ("not_known", "may be inside"),
        ("harmless", "no danger by itself"),
    ],
)
def test_each_state_is_said_in_words(state, said):
    assert any(said in row for row in words(zone_plan(square(near("Door", 0.5, 0.0, state)))))


def test_a_planning_shape_is_called_so_and_says_of_nothing_that_it_is_outside():
    plan = replace(square(near("Door", 0.5, 0.0, "inside"), near("Gully", 3.0, 0.0, "undecided")), is_makers=False)
    for width in (640, 360):
        svg = zone_plan(plan, width=width)
        said = words(svg)
        assert "planning shape, not a maker's" in said
        assert any("inside the planning shape" in row for row in said)
        assert "not inside; the maker's drawing decides" in " ".join(said)
        assert "Planning shape of Back" in svg
        assert not any("outside the zone" in row or row == "protective zone" for row in said)
    assert "protective zone" in words(zone_plan(replace(plan, is_makers=True)))


def test_what_is_far_off_is_told_and_not_drawn():
    svg = zone_plan(
        square(near("Far gully", 12.0, 0.0), ZoneObject("x", "door", "Somewhere", None, None, None, "not_known"))
    )
    assert any("Far gully" in row and "beyond the drawing" in row for row in words(svg))
    assert any("place not known" in row for row in words(svg))


def test_the_scheme_says_sizes_flows_and_what_is_over(assessment):
    site = assessment.site
    over = replace(site.runs[0], verdict="over")
    said = " ".join(words(circuit_scheme(site.circuit, (over, *site.runs[1:]))))
    assert "28 × 0.9 mm copper" in said
    assert "over the usual limits" in said
    assert "Index circuit" in said


def test_the_schedule_says_who_runs_each_cable(assessment):
    said = " ".join(words(cable_schedule(assessment.cables, assessment.site.supply.cables)))
    assert "run by: Electrician" in said
    assert "qualified electrician" in said
    assert "No cable has been written down yet." in words(cable_schedule((), ()))


def test_a_phone_gets_drawings_that_it_can_read_without_scrolling_sideways(assessment):
    drawn = rest(read_document(demo_document()), assessment)
    for name in ("pictures", "pictures_dark"):
        narrow = drawn[name]["narrow"]
        each = [svg for item in narrow.values() for svg in (item.values() if isinstance(item, dict) else [item])]
        assert len(each) == 7
        for svg in each:
            root = ElementTree.fromstring(svg)
            assert float(root.get("width")) == NARROW
            assert min(float(item.get("font-size")) for item in root.iter(f"{SVG}text")) >= 11
            # Shown in 314 px of a phone of 360 px, a letter is about half as wide as it is high.
            for item in root.iter(f"{SVG}text"):
                if item.get("text-anchor") == "start":
                    assert float(item.get("x")) + 0.5 * float(item.get("font-size")) * len(item.text) < NARROW + 8, (
                        item.text
                    )
