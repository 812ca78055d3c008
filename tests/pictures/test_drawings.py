"""The drawings: well-formed, the same each time, complete in words, and true to scale."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree
from dataclasses import replace

import pytest

from tests.support import invented_house as house
from tests.support.houses import changed, small_house, without
from wattwalk.demo.house import house as demo_house
from wattwalk.engine import assess
from wattwalk.engine.answers import Verdict
from wattwalk.pictures import (
    DARK,
    PAPER,
    base_plan,
    circuit_scheme,
    compensation,
    cost_bars,
    flow_search,
    improvements,
    room_losses,
    room_losses_sheets,
)
from wattwalk.pictures.svg import amount, figure, fitted, hatch, text_width
from wattwalk.survey.document import read_document

SVG = "{http://www.w3.org/2000/svg}"
HOSTILE = ("<script>alert(1)</script>", "x" * 400, "‮abc مطبخ 😀", 'a & b \x00\x0b "quoted"')


def every_drawing(assessment, palette=PAPER, width=640.0):
    """Return all drawings of an assessment."""
    return [
        room_losses(assessment, palette, width),
        *room_losses_sheets(assessment, palette, width),
        flow_search(assessment, palette, width),
        compensation(assessment, palette, width),
        improvements(assessment, palette, width),
        cost_bars(assessment, palette, width),
        *(base_plan(base, "right", palette, width) for base in assessment.bases),
    ]


def a_year():
    """Return the assessment of the small house with a radiator that could be bigger."""
    document = changed(
        small_house(),
        "emitter",
        "radiator",
        type="panel_11",
        rated_output_w=None,
        exponent=None,
        height_mm=600,
        length_mm=1400,
    )
    return assess(read_document(document))


def words_of(svg: str) -> list[str]:
    """Return the texts of a drawing in their order."""
    return [item.text or "" for item in ElementTree.fromstring(svg).iter(f"{SVG}text")]


def luminance(colour: str) -> float:
    """Relative luminance by WCAG 2.2 of a colour such as #aabbcc."""
    parts = []
    for start in (1, 3, 5):
        share = int(colour[start : start + 2], 16) / 255
        parts.append(share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4)
    return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2]


@pytest.mark.parametrize("palette", [PAPER, DARK])
@pytest.mark.parametrize("width", [320.0, 640.0])
def test_every_drawing_is_well_formed_and_carries_its_looks_in_attributes(palette, width):
    for svg in every_drawing(house.assessment(), palette, width):
        root = ElementTree.fromstring(svg)
        assert root.find(f"{SVG}title").text
        assert root.find(f"{SVG}desc").text
        assert float(root.get("width")) == width
        for item in root.iter():
            assert not {"class", "style", "id"} & set(item.attrib)
        assert all(
            item.get("font-family") and item.get("font-size") and item.get("fill") for item in root.iter(f"{SVG}text")
        )


@pytest.mark.parametrize("palette", [PAPER, DARK])
@pytest.mark.parametrize("width", [320.0, 640.0])
def test_drawings_of_a_year_are_well_formed(palette, width):
    for draw in (compensation, improvements, cost_bars):
        root = ElementTree.fromstring(draw(a_year(), palette, width))
        assert float(root.get("width")) == width
        for item in root.iter(f"{SVG}text"):
            start = float(item.get("x"))
            wide = text_width(item.text, float(item.get("font-size")))
            low = start - wide if item.get("text-anchor") == "end" else start
            assert low >= -5
            assert item.get("text-anchor") == "middle" or low + wide <= width + 5


def test_the_compensation_line_names_both_points_to_set():
    line = a_year().compensation
    words = words_of(compensation(a_year()))
    assert f"set {amount(line.cold_flow_c, 1).removesuffix('.0')} °C at −3 °C" in words
    assert f"set {amount(line.mild_flow_c, 1).removesuffix('.0')} °C at 7 °C" in words


@pytest.mark.parametrize("width", [640.0, 312.0])
def test_a_drawing_of_an_open_house_says_so_far_and_that_of_a_whole_one_does_not(width):
    """In its title for those who cannot see it, and in words under it, within the drawing."""
    whole = assess(read_document(demo_house()))
    still_open = assess(read_document(without(demo_house(), "surface", "surface-study-right")))
    for draw in (
        compensation,
        improvements,
        cost_bars,
        lambda found, palette, across: circuit_scheme(found.site.circuit, found.site.runs, palette, across),
    ):
        said, silent = (ElementTree.fromstring(draw(found, PAPER, width)) for found in (still_open, whole))
        assert said.find(f"{SVG}title").text == silent.find(f"{SVG}title").text + ", so far: 8 of 9 rooms"
        words = next(item for item in said.iter(f"{SVG}text") if item.text == "So far: 8 of 9 rooms")
        others = [float(item.get("y")) for item in said.iter(f"{SVG}text") if item is not words]
        assert max(others) < float(words.get("y")) < float(said.get("height"))
        assert not [item for item in silent.iter(f"{SVG}text") if "so far" in (item.text or "").lower()]


def test_improvements_show_each_change_and_shrink_to_scale():
    found = a_year().improvements
    svg = improvements(a_year())
    for place, item in enumerate(found.in_turn, start=1):
        assert f"{place}. {item.what}" in svg.replace("&quot;", '"')
    bars = [float(item.get("width")) for item in ElementTree.fromstring(svg).iter(f"{SVG}rect")]
    flows = [found.flow_c, *(item.lowest_flow_c for item in found.in_turn)]
    assert len(bars) == len(flows) > 1
    assert [bar / bars[0] for bar in bars] == pytest.approx([(flow - 20) / (flows[0] - 20) for flow in flows], abs=1e-3)


def test_a_year_that_is_not_known_is_said_in_words():
    empty = replace(a_year(), compensation=None, improvements=None)
    assert words_of(compensation(empty)) == ["No weather-compensation line can be drawn yet."]
    assert words_of(improvements(empty)) == ["No change can be ranked yet."]


def test_the_same_assessment_makes_the_same_drawings():
    assert every_drawing(house.assessment()) == every_drawing(house.assessment())


@pytest.mark.parametrize("palette", [PAPER, DARK])
@pytest.mark.parametrize("colour", ["ink", "quiet", "accent_text"])
def test_text_keeps_a_contrast_of_seven_to_one(palette, colour):
    # WCAG 2.2, success criterion 1.4.6.
    light, dark = sorted((luminance(palette.paper), luminance(getattr(palette, colour))), reverse=True)
    assert (light + 0.05) / (dark + 0.05) >= 7


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_name_stays_text(name):
    rooms = (replace(house.room("Kitchen", 980.0, 660.0), name=name), house.room("Hall", 100.0, 120.0))
    assessment = house.assessment(rooms)
    assessment = replace(assessment, bases=(replace(assessment.bases[0], name=name),))
    for svg in every_drawing(assessment):
        tags = {item.tag for item in ElementTree.fromstring(svg).iter()}
        assert not any(mark in svg for mark in "\u202e\u2066\x00\x0b")
        assert tags <= {SVG + tag for tag in ("svg", "title", "desc", "rect", "path", "text")}


def test_room_losses_say_each_verdict_in_words():
    words = words_of(room_losses(house.assessment()))
    for said in (
        "enough, 210 W over",
        "short by 320 W",
        "no emitter",
        "not known yet",
        "loss not known: the width of the room",
    ):
        assert said in words
    for figure_ in ("1,240 W", "1,450 W", "980 W", "660 W"):
        assert figure_ in words


@pytest.mark.parametrize("name", ["Bedroom over the porch towards the orchard and washhouse", "W" * 60])
def test_on_a_narrow_drawing_no_name_runs_into_its_verdict(name):
    svg = room_losses(house.assessment((house.room(name, 1000.0, 1450.0),)), PAPER, 312.0)
    words = {item.text: item for item in ElementTree.fromstring(svg).iter(f"{SVG}text")}
    shown = next(text for text in words if text.startswith(name[:3]))
    verdict = words["enough, 450 W over"]
    # Bold letters are wider than they are estimated.
    assert 1.15 * text_width(shown, 13) < float(verdict.get("x")) - 1.15 * text_width(verdict.text, 12)


def test_bars_are_to_scale():
    svg = room_losses(house.assessment((house.room("A", 1000.0, 500.0), house.room("B", 250.0, 1000.0))))
    bars = [
        item
        for item in ElementTree.fromstring(svg).iter(f"{SVG}rect")
        if item.get("height") == "8" and float(item.get("width")) > 20 and item.get("fill") != "none"
    ]
    first_loss, first_output, second_loss, second_output = (float(item.get("width")) for item in bars)
    assert first_loss == pytest.approx(second_output, abs=0.02)
    assert first_output == pytest.approx(first_loss / 2, abs=0.02)
    assert second_loss == pytest.approx(first_loss / 4, abs=0.02)


@pytest.mark.parametrize(("count", "sheets"), [(1, 1), (24, 1), (25, 2), (60, 3)])
def test_many_rooms_are_cut_into_sheets_that_hold_each_once(count, sheets):
    rooms = tuple(
        house.room(f"Room {place}", 100.0 + place, 90.0 + 2 * place, ("ground", "first")[place % 2])
        for place in range(count)
    )
    drawn = room_losses_sheets(house.assessment(rooms))
    assert len(drawn) == sheets
    names = [word for svg in drawn for word in words_of(svg) if word.startswith("Room ")]
    assert sorted(names) == sorted(room.name for room in rooms)
    # A sheet fits a page of A4: 170 mm wide, at most 240 mm high.
    assert all(float(ElementTree.fromstring(svg).get("height")) / 640 * 170 < 240 for svg in drawn)


def test_no_rooms_is_said_in_words():
    assert "No room has been surveyed yet." in words_of(room_losses(house.assessment(())))


def test_sheets_refuse_no_rows():
    with pytest.raises(ValueError, match="at least one row, found 0"):
        room_losses_sheets(house.assessment(), rows=0)


def test_flow_search_names_the_lowest_flow_and_the_room_that_sets_it():
    words = words_of(flow_search(house.complete_assessment()))
    assert "from 43.2 °C every room is served; Kitchen sets it" in words
    assert "design 45 °C" in words


def test_flow_search_claims_nothing_while_a_room_is_not_known():
    assessment = house.assessment()
    flow = replace(assessment.flow, lowest_c=None, set_by_room=None)
    svg = flow_search(replace(assessment, flow=flow))
    assert any(room.verdict is Verdict.NOT_KNOWN for room in assessment.rooms)
    assert "1 room is not known yet and not counted here" in words_of(svg)
    assert "every room is served" not in svg


def test_flow_search_without_a_flow_says_so():
    assert words_of(flow_search(replace(house.assessment(), flow=None))) == [
        "No flow temperature can be worked out yet."
    ]


def test_base_plan_shows_heights_packing_and_the_way_it_falls():
    base = house.base(slope_x=5.0, slope_y=2.0)
    svg = base_plan(base, "right")
    words = words_of(svg)
    assert [word for word in words if word in {"5", "4", "1", "0"}] == [amount(foot.packing_mm) for foot in base.feet]
    assert "heavy side" in words
    assert "1,200 mm" in words
    # The plane rises from the right end and outwards, so the arrow's tip lies right of its wings' middle and nearer the wall, at the foot.
    head = next(
        path for path in ElementTree.fromstring(svg).iter(f"{SVG}path") if path.get("fill") == PAPER.accent_text
    )
    tip, left, right = [
        tuple(float(part) for part in point.split()) for point in re.findall(r"[-\d.]+ [-\d.]+", head.get("d"))
    ]
    along, out = tip[0] - (left[0] + right[0]) / 2, tip[1] - (left[1] + right[1]) / 2
    assert along > 0
    assert out / along == pytest.approx(2.0 / 5.0, abs=0.01)


def test_base_plan_keeps_the_shape_of_the_slab():
    svg = base_plan(replace(house.base(), length_mm=2000.0, width_mm=500.0))
    slab = next(
        item
        for item in ElementTree.fromstring(svg).iter(f"{SVG}rect")
        if item.get("fill") == "none" and item.get("stroke-width") == "1.6"
    )
    assert float(slab.get("width")) / float(slab.get("height")) == pytest.approx(4.0, abs=0.01)


def test_base_plan_bands_cover_the_slab_without_gap_or_overlap():
    svg = base_plan(house.base(slope_x=5.0, slope_y=-3.0))
    root = ElementTree.fromstring(svg)
    slab = next(
        item for item in root.iter(f"{SVG}rect") if item.get("fill") == "none" and item.get("stroke-width") == "1.6"
    )
    covered = 0.0
    for item in root.iter(f"{SVG}path"):
        if item.get("fill-opacity") is None:
            continue
        corners = [
            tuple(float(part) for part in point.split()) for point in re.findall(r"[-\d.]+ [-\d.]+", item.get("d"))
        ]
        covered += (
            abs(sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in zip(corners, corners[1:] + corners[:1], strict=True)))
            / 2
        )
    assert covered == pytest.approx(float(slab.get("width")) * float(slab.get("height")), rel=1e-3)


def test_base_plan_without_a_plane_claims_no_fall():
    base = replace(
        house.base(),
        slope_x_mm_m=None,
        slope_y_mm_m=None,
        fall_mm_m=None,
        fall_across_base_mm=None,
        falls_toward=None,
        feet=(),
    )
    svg = base_plan(base)
    assert "Not enough readings for a plane." in svg
    assert "fill-opacity" not in svg


def test_a_level_base_has_no_arrow():
    level = house.base(slope_x=0.0, slope_y=0.0)
    assert not any(item.get("d").endswith("Z") for item in ElementTree.fromstring(base_plan(level)).iter(f"{SVG}path"))


@pytest.mark.parametrize(("value", "words"), [(-0.001, "0"), (1.0, "1"), (12.345, "12.35"), (-3.1, "-3.1")])
def test_coordinates_are_short(value, words):
    assert figure(value) == words


@pytest.mark.parametrize(
    ("value", "decimals", "words"), [(-0.4, 0, "0"), (-12.0, 0, "−12"), (12345.678, 1, "12,345.7")]
)
def test_amounts_are_written_for_people(value, decimals, words):
    assert amount(value, decimals) == words


def test_hatching_stays_inside_its_rectangle():
    points = re.findall(r"([\d.-]+) ([\d.-]+)", hatch(10, 20, 50, 8, stroke="#000").split('"')[1])
    assert len(points) >= 20
    assert all(9.99 <= float(x) <= 60.01 and 19.99 <= float(y) <= 28.01 for x, y in points)


def test_a_text_is_cut_to_its_width():
    cut = fitted("A very long name of a room that fits nowhere", 13, 100)
    assert cut.endswith("…")
    assert text_width(cut, 13) <= 100
    assert fitted("Hall", 13, 100) == "Hall"


def a_cost(**survey):
    """Return the assessment of the small house with a bill."""
    given = {
        "present_fuel": "gas",
        "present_use_kwh": 12000,
        "present_price_p_kwh": 6.0,
        "electricity_price_p_kwh": 24.0,
    } | survey
    return assess(read_document(changed(small_house(), "survey", "s", **given)))


def test_cost_bars_are_to_scale_and_hatched_up_to_the_highest():
    assessment = a_cost()
    present, pump = assessment.plant.cost.lines
    svg = cost_bars(assessment)
    filled = [
        float(item.get("width"))
        for item in ElementTree.fromstring(svg).iter(f"{SVG}rect")
        if item.get("fill") in (PAPER.loss, PAPER.accent)
    ]
    hatched = [
        float(item.get("width"))
        for item in ElementTree.fromstring(svg).iter(f"{SVG}rect")
        if item.get("stroke") == PAPER.accent
    ]
    assert filled[1] / filled[0] == pytest.approx(float(pump.pounds_low) / float(present.pounds_low), abs=0.002)
    assert (filled[1] + hatched[0]) / filled[0] == pytest.approx(
        float(pump.pounds_high) / float(present.pounds_low), abs=0.002
    )
    assert f"At present: mains gas: £{amount(float(present.pounds_low))} a year" in words_of(svg)


@pytest.mark.parametrize("width", [320.0, 640.0])
def test_a_cost_that_is_not_known_is_said(width):
    known = words_of(cost_bars(a_cost(electricity_price_p_kwh=None), width=width))
    assert "Heat pump: its price is not known" in known
    assert "?" in known
    nothing = words_of(cost_bars(a_cost(electricity_price_p_kwh=None, present_price_p_kwh=None), width=width))
    assert " ".join(nothing) == "The running cost cannot be drawn yet: no price is known."
    assert words_of(cost_bars(replace(a_cost(), plant=replace(a_cost().plant, cost=None)), width=width)) == nothing


@pytest.mark.parametrize("pounds", [0, 1, 49, 100, 3000, 100_000])
def test_the_scale_of_costs_stays_readable(pounds):
    marks = [
        words
        for words in words_of(
            cost_bars(
                a_cost(present_use_kwh=1000, present_price_p_kwh=min(200, pounds / 10), electricity_price_p_kwh=0.0)
            )
        )
        if words.startswith("£")
    ]
    assert 1 <= len(marks) <= 9
