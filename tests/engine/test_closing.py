"""A room that does not close has figures so far and no verdict, and nothing is sized by it in silence."""

from __future__ import annotations

from typing import Any

import pytest

from tests.support.houses import changed, small_house, terrace, with_records, without
from wattwalk.engine import assess
from wattwalk.engine.answers import Assessment, RoomAssessment, Verdict
from wattwalk.engine.gaps import every_gap
from wattwalk.survey.document import read_document

#: A room typed as `3 3 2.4`, one side outside, one radiator.
BARE = {
    "format": "wattwalk-survey",
    "version": 3,
    "id": "bare",
    "records": {
        "survey": [{"id": "s", "outside_design_temperature_c": -3, "age_band": "C"}],
        "construction": [
            {"id": "wall", "name": "Wall", "element": "wall", "known_by": "declared", "u_value_w_m2k": 0.57}
        ],
        "room": [{"id": "den", "name": "Den", "use": "bedroom", "length_m": 3, "width_m": 3, "height_m": 2.4}],
        "surface": [
            {
                "id": "f",
                "room": "den",
                "side": "front",
                "element": "wall",
                "construction": "wall",
                "other_side": "outside",
            }
        ],
        "emitter": [{"id": "e", "room": "den", "type": "panel_22", "height_mm": 600, "length_mm": 1000}],
    },
}
UNIT = {
    "id": "u",
    "name": "Unit",
    "points": [
        {"outside_c": outside, "flow_c": flow, "capacity_kw": 1.5, "cop": 3, "least_kw": 0.5}
        for outside in (-15, -7, 2, 7, 12)
        for flow in (35, 45, 55)
    ],
}


def room(answer: Assessment, name: str) -> RoomAssessment:
    return next(item for item in answer.rooms if item.id == name)


def codes(answer: Assessment) -> set[str]:
    return {item.code for item in answer.findings}


def test_one_side_of_six_gives_a_figure_so_far_and_no_verdict() -> None:
    answer = assess(BARE)
    den = answer.rooms[0]
    assert den.total_w is not None
    assert den.total_w > 0
    assert (den.so_far, den.verdict, den.margin_w, den.lowest_flow_c, den.replacements) == (
        "so far: 1 of 6 sides",
        Verdict.NOT_KNOWN,
        None,
        None,
        (),
    )
    assert [(hole.code, hole.side) for hole in den.holes] == [
        ("side_not_said", side) for side in ("right", "back", "left", "floor", "ceiling")
    ]


def test_the_house_its_flow_and_its_load_say_so_too() -> None:
    answer = assess(BARE)
    assert answer.building.unit_size_w is not None
    assert answer.building.so_far == "so far: 0 of 1 rooms"
    assert answer.flow is not None
    assert (answer.flow.so_far, answer.flow.lowest_c is not None) == ("so far: 0 of 1 rooms", True)
    found = [item for item in answer.findings if item.code == "house_not_closed"]
    assert [item.record for item in found] == ["survey/s"]
    assert "Den (1 of 6 sides)" in found[0].message


def test_a_house_that_closes_says_nothing_of_it() -> None:
    answer = assess(small_house())
    assert [(item.so_far, item.holes) for item in answer.rooms] == [("", ()), ("", ())]
    assert (answer.building.so_far, answer.flow.so_far) == ("", "")
    assert "house_not_closed" not in codes(answer)
    assert {item.verdict for item in answer.rooms} <= {Verdict.ENOUGH, Verdict.SHORT}


def test_no_unit_is_held_against_a_part_of_a_house() -> None:
    house = with_records(terrace(3), "unit", UNIT)
    house = with_records(house, "design", {"id": "d", "unit": "u", "flow_temperature_c": 45})
    whole = assess(house).plant.chosen
    assert whole is not None
    assert (whole.verdict, whole.missing) == ("short", ())
    assert "unit_short" in codes(assess(house))
    part = assess(without(house, "surface", "top-1")).plant.chosen
    assert part is not None
    assert part.verdict == "not_known"
    assert part.missing == ("the load of the whole house: it is so far: 2 of 3 rooms",)
    assert "unit_short" not in codes(assess(without(house, "surface", "top-1")))


def test_a_typed_output_is_not_held_against_it_either() -> None:
    typed = with_records(small_house(), "design", {"id": "d", "unit_capacity_kw": 0.5, "flow_temperature_c": 45})
    assert "unit_short" in codes(assess(typed))
    assert "unit_short" not in codes(assess(without(typed, "surface", "hall-floor")))


@pytest.mark.parametrize(
    ("document", "codes_of_living", "said"),
    [
        (without(small_house(), "surface", "living-back"), [("side_not_said", "left")], 5),
        (changed(small_house(), "surface", "floor", width_m=3), [("side_left", "floor")], 5),
        (
            changed(small_house(), "surface", "front", width_m=None),
            [("side_not_said", "front"), ("part_not_known", None)],
            5,
        ),
        (changed(small_house(), "construction", "wall", u_value_w_m2k=None), [("part_not_known", None)], None),
        (changed(small_house(), "construction", "slab", look=None), [("part_not_known", "floor")], 5),
        (changed(small_house(), "surface", "floor", other_side=None), [("part_not_known", "floor")], 5),
        (changed(small_house(), "surface", "pane", width_m=None), [("part_not_known", None)], None),
    ],
)
def test_each_kind_of_hole_makes_the_word_go(
    document: dict[str, Any], codes_of_living: list[tuple[str, str | None]], said: int | None
) -> None:
    living = room(assess(document), "living")
    found = [(hole.code, hole.side) for hole in living.holes]
    assert [code for code, _ in found] == [code for code, _ in codes_of_living]
    assert living.verdict is Verdict.NOT_KNOWN
    assert living.so_far.startswith("so far: ")
    if said is not None:
        assert living.so_far == f"so far: {said} of 6 sides"


def test_both_rooms_of_a_partition_that_is_not_known_are_open() -> None:
    answer = assess(changed(small_house(), "construction", "inner", u_value_w_m2k=None))
    assert [(item.id, [hole.surface for hole in item.holes]) for item in answer.rooms] == [
        ("living", ["between"]),
        ("hall", ["between"]),
    ]


def test_a_construction_that_gives_no_u_value_is_a_gap_even_where_only_the_engine_sees_it() -> None:
    unknown = changed(
        small_house(),
        "construction",
        "wall",
        known_by="layers",
        u_value_w_m2k=None,
        layers=[{"material": "Moon dust", "thickness_mm": 100}],
    )
    survey = read_document(unknown)
    found = [gap for gap in every_gap(survey, assess(survey)) if gap.code == "no_u_value"]
    assert [(gap.kind, gap.record, gap.field, gap.stage) for gap in found] == [
        ("construction", "wall", "layers", "constructions")
    ]
    assert assess(survey).rooms[0].so_far
    unused = read_document({**unknown, "records": {**unknown["records"], "surface": []}})
    assert not [gap for gap in every_gap(unused, assess(unused)) if gap.code == "no_u_value"]


def test_what_is_asked_already_is_one_gap() -> None:
    survey = read_document(changed(small_house(), "construction", "wall", u_value_w_m2k=None))
    gaps = [(gap.record, gap.field) for gap in every_gap(survey, assess(survey)) if gap.record == "wall"]
    assert gaps == [("wall", "u_value_w_m2k")]


@pytest.mark.parametrize(
    ("layer", "says"),
    [
        ({"material": "Unobtainium", "thickness_mm": 100}, "does not know it"),
        ({"material": "Brick, inner leaf"}, "no thickness and no resistance"),
        ({"material": "Brick, inner leaf", "thickness_mm": 100}, None),
    ],
)
@pytest.mark.parametrize("is_usual", [True, None])
def test_an_unknown_material_or_a_layer_without_thickness_is_a_gap_before_anything_is_made_of_it(layer, says, is_usual):
    wall = {"id": "layered", "name": "Layered", "element": "wall", "known_by": "layers", "layers": [layer]}
    survey = read_document(with_records(BARE, "construction", {**wall, "is_usual": is_usual}))
    found = [gap for gap in every_gap(survey, assess(survey)) if gap.record == "layered"]
    if says is None or not is_usual:
        assert found == []
    else:
        assert [(gap.stage, gap.field) for gap in found] == [("constructions", "layers")]
        assert says in found[0].spoils


def test_a_wall_to_a_neighbour_by_its_layers_has_still_air_on_both_sides() -> None:
    layers = [{"material": "Brick, inner leaf", "thickness_mm": 215}]
    wall = {"name": "Layered", "element": "wall", "known_by": "layers", "layers": layers}
    made = with_records(BARE, "construction", {**wall, "id": "out"}, {**wall, "id": "party", "serves": "neighbour"})
    u = {item.id: item.u_value_w_m2k for item in assess(made).constructions}
    # One more surface of still air in the place of the wind: 0.13 for 0.04 m²K/W (EN ISO 6946:2017, Table 7).
    assert 1 / u["party"] - 1 / u["out"] == pytest.approx(0.13 - 0.04, abs=0.01)
