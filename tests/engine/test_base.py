"""The base: plane, fall, packing, and what is said at which fall and age."""

from __future__ import annotations

import numpy
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wattwalk.engine.answers import Severity
from wattwalk.engine.place.base import fit_plane, packing, way_of_fall

from .support import assessed, findings, only

SIZE = {"length_mm": 1000, "width_mm": 1000}


def slab(slope_x=0.0, slope_y=0.0, *, instrument="height", bump=0.0, position=None, visit="2026-03-12", **base):
    """Return a document with a base of one metre square, read at nine points; slopes in mm per m."""
    readings = []
    for row in range(3):
        for place in range(3):
            x, y = place * 500, row * 500
            z = slope_x * x / 1000 + slope_y * y / 1000 + (bump if (row, place) == (1, 1) else 0)
            readings.append(
                {
                    "id": f"r{row}{place}",
                    "base": "b",
                    "x_mm": x,
                    "y_mm": y,
                    "reading_mm": round(400 - z if instrument == "laser_up" else z, 6),
                }
            )
    records = {
        "survey": [{"id": "s", "visit_date": visit}] if visit else [],
        "base": [
            {
                "id": "b",
                "name": "Slab",
                "made_of": "concrete",
                "position": "p",
                "instrument": instrument,
                **SIZE,
                **base,
            }
        ],
        "level_reading": readings,
        "outdoor_position": [
            {
                "id": "p",
                "name": "Back",
                "unit_width_mm": 1000,
                "unit_depth_mm": 400,
                "clear_back_mm": 250,
                "feet_across_mm": 600,
                "feet_deep_mm": 400,
                **(position or {}),
            }
        ],
    }
    return {"format": "wattwalk-survey", "version": 1, "id": "base", "records": records}


def only_base(document):
    return assessed(document).bases[0]


@given(st.floats(-20, 20), st.floats(-20, 20), st.floats(-50, 50), st.lists(st.floats(-3, 3), min_size=9, max_size=9))
def test_the_plane_is_the_least_squares_plane(a, b, c, noise):
    points = [
        (500.0 * (i % 3), 400.0 * (i // 3), a * 0.5 * (i % 3) + b * 0.4 * (i // 3) + c + noise[i]) for i in range(9)
    ]
    plane = fit_plane(points)
    expected = numpy.linalg.lstsq(
        numpy.array([[x, y, 1] for x, y, _ in points]), numpy.array([z for *_, z in points]), rcond=None
    )[0]
    assert [plane.a, plane.b, plane.c] == pytest.approx(list(expected), abs=1e-7)


@pytest.mark.parametrize(
    "points",
    [
        [(0, 0, 1), (1, 1, 2)],
        [(0, 0, 1), (500, 0, 2), (1000, 0, 1)],
        [(0, 0, 1), (300, 300, 2), (900, 900, 5)],
        [(5, 5, 1)] * 4,
    ],
)
def test_points_on_a_line_make_no_plane(points):
    assert fit_plane(points) is None


def test_readings_on_a_line_are_said_to_be_missing():
    document = slab()
    for item in document["records"]["level_reading"]:
        item["y_mm"] = 100
    found = only_base(document)
    assert found.fall_mm_m is None
    assert any("one line" in words for words in found.missing)
    assert len(found.points) == 9


def test_fewer_than_three_readings():
    document = slab()
    del document["records"]["level_reading"][2:]
    found = only_base(document)
    assert found.missing == ("at least three level readings (2 found)",)
    assert found.feet == ()


@pytest.mark.parametrize("instrument", ["height", "laser_up"])
def test_both_instruments_give_the_same_plane(instrument):
    found = only_base(slab(-3, -4, instrument=instrument))
    assert (found.slope_x_mm_m, found.slope_y_mm_m) == (-3.0, -4.0)
    assert found.fall_mm_m == 5.0
    assert found.fall_across_base_mm == 7.0
    assert found.falls_toward == "front left"
    assert min(point.height_mm for point in found.points) == 0


@pytest.mark.parametrize(
    ("slopes", "words"),
    [
        ((-5, 0), "left"),
        ((5, 0), "right"),
        ((0, -5), "front"),
        ((0, 5), "wall"),
        ((-5, 5), "wall left"),
        ((5, 5), "wall right"),
        ((5, -5), "front right"),
    ],
)
def test_which_way_it_falls_with_ones_back_to_the_wall(slopes, words):
    assert only_base(slab(*slopes)).falls_toward == words


def test_a_level_base_falls_nowhere():
    found = only_base(slab())
    assert (found.falls_toward, found.fall_across_base_mm) == (None, 0.0)


def test_packing_is_for_the_feet_in_whole_millimetres():
    found = only_base(slab(-5, 0))
    assert {foot.name: foot.packing_mm for foot in found.feet} == {
        "wall left": 3,
        "front left": 3,
        "wall right": 0,
        "front right": 0,
    }
    plane = fit_plane([(0, 0, 0), (1000, 0, -5), (0, 1000, 0)])
    assert packing(plane, [(200, 300), (800, 300)]) == pytest.approx([0, 3])
    assert way_of_fall(plane) == "left"


def test_unknown_feet_give_no_packing_and_say_so():
    document = slab(-5, 0)
    assert only_base(document).feet
    del document["records"]["outdoor_position"][0]["feet_deep_mm"]
    without = only_base(document)
    assert without.feet == ()
    assert any("feet" in words for words in without.missing)


def test_an_unknown_size_falls_back_on_the_readings_and_says_so():
    document = slab(-8, 0)
    del document["records"]["base"][0]["length_mm"]
    found = only_base(document)
    assert found.fall_across_base_mm == 8.0
    assert any("length and width" in words for words in found.missing)


@pytest.mark.parametrize(
    ("slope", "code"),
    [
        (3.9, None),
        (4.0, "base_falls_a_little"),
        (10.0, "base_falls_a_little"),
        (10.1, "base_falls"),
        (15, "base_falls"),
        (20, "base_falls"),
    ],
)
def test_thresholds_of_fall(slope, code):
    result = assessed(slab(-slope, 0))
    said = [item.code for item in result.findings if item.code.startswith("base_falls")]
    assert said == ([code] if code else [])


def test_a_fall_that_stops_the_job_names_the_remedies():
    found = only(assessed(slab(-12, -4, position={"unit_mass_kg": 100})), "base_falls", Severity.STOP)
    assert found.record == "base/b"
    assert "100 kg" in found.message
    assert all(words in found.remedy for words in ("Grind", "self-levelling compound", "recast"))


@pytest.mark.parametrize(("heavy", "worse"), [("right", True), ("left", False), ("even", False)])
def test_a_fall_towards_the_heavy_side_is_worse(heavy, worse):
    found = only(assessed(slab(-8, 0, position={"heavy_side": heavy})), "base_falls_a_little", Severity.CHECK)
    assert ("heavy side" in found.message) is worse


def test_a_hump_is_found():
    assert only(assessed(slab(bump=6)), "base_uneven", Severity.CHECK)
    assert not findings(assessed(slab(bump=2)), "base_uneven")


@pytest.mark.parametrize(
    ("poured", "code"),
    [
        ("2026-03-10", "base_too_young"),
        ("2026-03-09", "base_young"),
        ("2026-03-06", "base_young"),
        ("2026-03-05", None),
        ("2026-03-13", "base_poured_after_visit"),
        (None, None),
    ],
)
def test_age_at_the_visit(poured, code):
    result = assessed(slab(**({"poured_on": poured} if poured else {})))
    said = [item.code for item in result.findings if item.record == "base/b"]
    assert [item for item in said if item != "base_ready_on"] == ([code] if code else [])
    assert ("base_ready_on" in said) is (poured is not None and code != "base_poured_after_visit")
    if code == "base_too_young":
        assert result.findings[0].severity is Severity.STOP


def test_an_age_without_a_visit_is_said():
    assert only(assessed(slab(visit=None, poured_on="2026-03-10")), "base_age_unknown", Severity.CHECK)


@pytest.mark.parametrize(("made_of", "words"), [("not_yet", "not made yet"), ("frame", "frame")])
def test_a_base_that_takes_no_readings(made_of, words):
    found = only_base(slab(made_of=made_of))
    assert found.fall_mm_m is None
    assert words in found.missing[0]
