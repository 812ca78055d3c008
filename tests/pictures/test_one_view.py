"""Base and zone are seen the same way: what is packed under a foot is the same in both plans and in the table."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from wattwalk import pictures
from wattwalk.engine import assess
from wattwalk.engine.answers.words import PLACE_VIEW
from wattwalk.office.chapters import base_block
from wattwalk.survey.document import read_document

SVG = "{http://www.w3.org/2000/svg}"


def tilted(along: float, out: float) -> dict:
    """Return a place with a slab that rises so much along it and out of the wall, mm/m: every foot wants another packing."""
    readings = [
        {"id": f"r{x}-{y}", "base": "b", "x_mm": x, "y_mm": y, "reading_mm": (along * x + out * y) / 1000}
        for x in (50, 600, 1150)
        for y in (50, 350, 650)
    ]
    return {
        "format": "wattwalk-survey",
        "version": 3,
        "id": "one-view",
        "records": {
            "survey": [{"id": "s", "visit_date": "2026-03-12"}],
            "outdoor_position": [{"id": "p", "name": "Back wall", "clear_back_mm": 300, "unit": "u"}],
            "unit": [
                {
                    "id": "u",
                    "name": "Invented",
                    "refrigerant": "r290",
                    "width_mm": 1100,
                    "depth_mm": 420,
                    "height_mm": 900,
                    "feet_across_mm": 700,
                    "feet_deep_mm": 380,
                    "heavy_side": "left",
                }
            ],
            "base": [
                {"id": "b", "position": "p", "name": "Slab", "length_mm": 1200, "width_mm": 700, "instrument": "height"}
            ],
            "level_reading": readings,
            "nearby_object": [
                {"id": "n", "position": "p", "type": "window", "along_m": 1.0, "out_m": 0.0, "up_m": 1.0}
            ],
        },
    }


def boxed_numbers(svg: str) -> dict[str, str]:
    """Return the packing in each foot's box by where the box lies with one's back to the wall, the wall being at the foot."""
    root = ElementTree.fromstring(svg)
    numbers = [
        (float(item.get("x")), float(item.get("y")), item.text)
        for item in root.iter(f"{SVG}text")
        if item.get("font-weight") == "700" and re.fullmatch(r"\d+", item.text or "")
    ]
    assert len(numbers) == 4, numbers
    middle_x, middle_y = sum(x for x, _, _ in numbers) / 4, sum(y for _, y, _ in numbers) / 4
    found = {
        f"{'wall' if y > middle_y else 'front'} {'right' if x > middle_x else 'left'}": packing
        for x, y, packing in numbers
    }
    assert len(found) == 4
    return found


@pytest.mark.parametrize(("along", "out"), [(6.0, 3.0), (-6.0, 3.0), (6.0, -3.0), (-6.0, -3.0)])
def test_packing_under_each_foot_agrees_between_zone_plan_slab_plan_and_table(along, out):
    survey = read_document(tilted(along, out))
    assessment = assess(survey)
    (base,), (plan,) = assessment.bases, assessment.site.zones
    table = {foot["name"]: foot["packing"] for foot in base_block(base)["feet"]}
    assert len(set(table.values())) == 4, "each foot has to want another packing, or a mirrored plan would pass"
    slab = boxed_numbers(pictures.base_plan(base, "left"))
    zone = boxed_numbers(pictures.zone_plan(plan, feet=pictures.feet_at(survey, assessment, plan.id)))
    assert slab == zone == table


def test_the_lowest_foot_is_the_one_that_the_readings_say():
    # Readings are told from the right end of the wall edge: a slab that rises along them is lowest on the right, at the wall.
    (base,) = assess(read_document(tilted(6.0, 3.0))).bases
    most = max(base.feet, key=lambda foot: foot.packing_mm)
    assert (most.name, base.falls_toward) == ("wall right", "wall right")


def test_the_heavy_side_is_told_from_the_units_front_and_drawn_where_it_then_is():
    (base,) = assess(read_document(tilted(6.0, 3.0))).bases
    label = next(
        item
        for item in ElementTree.fromstring(pictures.base_plan(base, "left")).iter(f"{SVG}text")
        if item.text == "heavy side"
    )
    # Whoever faces the unit has its left on the left; with the wall behind one it is on the right.
    assert label.get("text-anchor") == "end"
    assert float(label.get("x")) > 320


def test_each_drawing_says_how_it_is_seen():
    survey = read_document(tilted(6.0, 3.0))
    assessment = assess(survey)
    for width in (640, 312):
        drawn = [pictures.base_plan(base, width=width) for base in assessment.bases]
        drawn += [pictures.zone_plan(plan, width=width) for plan in assessment.site.zones]
        for svg in drawn:
            assert any(PLACE_VIEW in (item.text or "") for item in ElementTree.fromstring(svg).iter(f"{SVG}text"))
