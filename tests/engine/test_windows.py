"""Windows and doors from their parts and from the table."""

from __future__ import annotations

import pytest

from tests.support.houses import changed, small_house
from wattwalk.engine.answers import Severity
from wattwalk.engine.fabric.windows import WindowError, pane_sizes, slope_addition, with_second_window

from .support import assessed, findings, only, room


def glazed(**fields):
    return changed(small_house(), "construction", "window", u_value_w_m2k=None, **fields)


PARTS = {"known_by": "window_parts", "glass_u_w_m2k": 1.1, "frame_u_w_m2k": 1.4, "edge_psi_w_mk": 0.08}


def value(result, name="window"):
    return next(item for item in result.constructions if item.id == name)


def unused(house):
    """The same house, its window made of nothing yet: the construction is used nowhere."""
    return changed(house, "surface", "pane", construction=None)


def pane(result):
    return next(item for item in room(result, "living").surfaces if item.id == "pane")


def test_parts_at_the_usual_size_and_as_it_lies():
    usual = value(assessed(unused(glazed(**PARTS))))
    assert usual.u_value_w_m2k == pytest.approx(1.390, abs=0.0005)
    assert "usual size" in usual.steps[0].numbers
    result = assessed(glazed(**PARTS))
    # What is printed beside the construction is what its one window counts with.
    assert value(result).u_value_w_m2k == pane(result).u_value_w_m2k
    assert "usual size" not in value(result).steps[0].numbers
    # 1.5 × 1.2 m with frames of 110 mm: glass 1.28 × 0.98 m.
    glass = 1.28 * 0.98
    assert pane(result).u_value_w_m2k == pytest.approx(
        (glass * 1.1 + (1.8 - glass) * 1.4 + 2 * (1.28 + 0.98) * 0.08) / 1.8, abs=0.0001
    )


def test_parts_by_their_kinds_take_the_tables():
    result = assessed(unused(glazed(known_by="window_parts", glass="double_air_16", frame_kind="pvc_3")))
    assert value(result).u_value_w_m2k == pytest.approx(2.709, abs=0.0005)


def test_two_panes_have_more_edge_and_less_glass():
    one, two = (value(assessed(glazed(**PARTS, panes=count))).u_value_w_m2k for count in (1, 2))
    assert two > one


def test_a_wider_window_of_good_glass_is_the_better_one():
    small, large = (
        pane(assessed(changed(glazed(**PARTS), "surface", "pane", width_m=width))).u_value_w_m2k for width in (0.6, 2.0)
    )
    assert large < small


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"known_by": "window_parts", "frame_u_w_m2k": 1.4}, "glass"),
        ({"known_by": "window_parts", "glass_u_w_m2k": 1.1}, "frame_kind"),
        ({**PARTS, "frame_width_mm": 300, "panes": 4}, "frame_width_mm"),
        ({"known_by": "window_table"}, "glazing"),
        ({"known_by": "window_table", "glazing": "secondary", "frame": "metal"}, "glazing"),
    ],
)
def test_what_is_missing_or_cannot_be_names_its_field(fields, field):
    found = only(assessed(glazed(**fields)), "no_u_value", Severity.CHECK)
    assert (found.record, found.field) == ("construction/window", field)


def test_a_wall_is_not_known_by_its_glazing():
    found = only(
        assessed(
            changed(
                small_house(), "construction", "wall", u_value_w_m2k=None, known_by="window_table", glazing="single"
            )
        ),
        "no_u_value",
        Severity.CHECK,
    )
    assert found.field == "known_by"


@pytest.mark.parametrize(
    ("fields", "expected"),
    [
        ({"glazing": "double_argon_soft_0_05", "pane_gap": "16"}, 1.7),
        ({"glazing": "double_air"}, 2.8),
        ({"glazing": "double_air", "frame": "metal", "frame_break": "none"}, 3.7),
        ({"glazing": "double_air", "frame": "metal"}, 3.4),
        ({"glazing": "single", "frame": "metal"}, 5.7),
    ],
)
def test_whole_windows_by_the_table(fields, expected):
    assert value(assessed(glazed(known_by="window_table", **fields))).u_value_w_m2k == pytest.approx(expected)


def test_a_second_window_and_a_slope():
    second = assessed(glazed(known_by="window_table", glazing="single", secondary_u_w_m2k=4.8))
    assert value(second).u_value_w_m2k == pytest.approx(with_second_window(4.8, 4.8, 100), abs=0.0001)
    flat = changed(
        glazed(known_by="window_table", glazing="triple_air", slope_deg=10),
        "construction",
        "window",
        element="rooflight",
    )
    assert value(assessed(flat)).u_value_w_m2k == pytest.approx(2.1 + 0.3)


def test_a_door_of_a_leaf_with_a_pane():
    leaf = changed(
        small_house(),
        "construction",
        "window",
        u_value_w_m2k=None,
        element="door",
        known_by="window_parts",
        frame_u_w_m2k=2.4,
    )
    assert value(assessed(leaf)).u_value_w_m2k == 2.4
    glass = changed(leaf, "construction", "window", glass="single", pane_width_mm=300, pane_height_mm=500)
    assert value(assessed(unused(glass))).u_value_w_m2k == pytest.approx(
        (0.15 * 5.8 + (1.23 * 1.48 - 0.15) * 2.4) / (1.23 * 1.48), abs=0.0001
    )
    half = changed(leaf, "construction", "window", glass="single", pane_width_mm=300)
    assert only(assessed(half), "no_u_value", Severity.CHECK).field == "pane_height_mm"
    large = changed(glass, "construction", "window", pane_width_mm=3000, pane_height_mm=2000)
    assert "whole door only" in only(assessed(large), "no_u_value", Severity.CHECK).message


def test_frames_that_leave_no_glass():
    with pytest.raises(WindowError, match="leaves no glass"):
        pane_sizes(0.2, 1.0, 110, 1)


@pytest.mark.parametrize(
    ("slope", "expected"), [(0, 0.5), (29.9, 0.5), (30, 0.4), (45, 0.3), (60, 0.2), (70, 0), (90, 0)]
)
def test_the_slope_adds_by_its_band(slope, expected):
    assert slope_addition(slope, False)[0] == expected


def test_a_window_without_trouble_has_no_finding():
    assert not findings(assessed(glazed(**PARTS)), "no_u_value")
