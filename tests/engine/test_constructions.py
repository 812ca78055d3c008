"""U-values: layers, looks, what is refused, and in what words."""

from __future__ import annotations

import pytest

from tests.support.houses import changed, small_house, with_records
from wattwalk.catalogue import CatalogueError
from wattwalk.engine.answers import Severity
from wattwalk.engine.fabric.by_look import LookError, added_insulation, brick_wall, by_look, usual_wall_thickness
from wattwalk.engine.fabric.constructions import ready_elements
from wattwalk.engine.fabric.u_value import (
    LayerError,
    air_layer_resistance,
    fixing_correction,
    read_layer,
    total_resistance,
)
from wattwalk.survey.usual import READY

from .support import assessed, findings, only


def value(assessment, name):
    return next(item for item in assessment.constructions if item.id == name)


def with_layers(*layers):
    return changed(small_house(), "construction", "wall", known_by="layers", u_value_w_m2k=None, layers=list(layers))


PLASTER = {"material": "Dense plaster", "thickness_mm": 13}
BRICK = {"material": "brick_outer", "thickness_mm": 220}


def test_layers_by_the_names_of_the_catalogue():
    found = value(assessed(with_layers(PLASTER, BRICK)), "wall")
    assert found.u_value_w_m2k == pytest.approx(2.09, abs=0.005)
    assert "Rsi 0.13" in found.steps[0].numbers


@pytest.mark.parametrize(
    ("layer", "words"),
    [
        ({"material": "Moon dust", "thickness_mm": 100}, "neither λ nor R"),
        ({"material": "Brick"}, "no thickness"),
        ({"material": "air", "thickness_mm": 400}, "to 300 mm"),
        ({"material": "softwood", "thickness_mm": 20, "bridge_fraction": 0.1}, "λ of what bridges it"),
        ({}, "layer 2"),
    ],
)
def test_a_layer_that_cannot_be_worked_out_names_its_record(layer, words):
    found = only(assessed(with_layers(PLASTER, layer)), "no_u_value", Severity.CHECK)
    assert (found.record, found.field) == ("construction/wall", "layers")
    assert words in found.message


def test_too_many_bridged_layers_are_refused():
    bridged = [
        read_layer(
            {"material": "softwood", "thickness_mm": 50, "bridge_fraction": 0.1, "bridge_conductivity_w_mk": 0.5},
            place,
            "up",
        )
        for place in range(4)
    ]
    with pytest.raises(LayerError, match="4 layers are bridged"):
        total_resistance(0.1, 0.04, bridged)


def test_metal_through_insulation_is_beyond_the_method():
    steel = {"material": "pir_board", "thickness_mm": 100, "bridge_fraction": 0.02, "bridge_conductivity_w_mk": 50}
    found = only(assessed(with_layers(steel)), "no_u_value", Severity.CHECK)
    assert (found.record, found.field) == ("construction/wall", "layers")
    assert "bridged by metal" in found.message
    wood = {**steel, "bridge_fraction": 0.12, "bridge_conductivity_w_mk": 0.13}
    assert not findings(assessed(with_layers(wood)), "no_u_value")


def test_bridges_whose_limits_lie_too_far_apart_are_refused():
    concrete = {"material": "pir_board", "thickness_mm": 200, "bridge_fraction": 0.05, "bridge_conductivity_w_mk": 2.5}
    assert "factor" in only(assessed(with_layers(concrete)), "no_u_value", Severity.CHECK).message


def test_two_bridged_layers_lie_between_their_limits():
    one = {
        "material": "mineral_wool_batt",
        "thickness_mm": 90,
        "bridge_fraction": 0.15,
        "bridge_conductivity_w_mk": 0.13,
    }
    layers = [read_layer(one, 1, "horizontal"), read_layer(one, 2, "horizontal")]
    found = total_resistance(0.13, 0.04, layers)
    assert found.lower < found.total < found.upper


@pytest.mark.parametrize(
    ("thickness", "direction", "expected"),
    [(0, "up", 0), (25, "horizontal", 0.18), (75, "down", 0.215), (300, "down", 0.23)],
)
def test_air_layers(thickness, direction, expected):
    assert air_layer_resistance(thickness, direction) == pytest.approx(expected)


def test_air_layers_end_with_the_table():
    with pytest.raises(CatalogueError, match="outside the table"):
        air_layer_resistance(301, "up")


@pytest.mark.parametrize(
    ("thickness", "expected"), [(190, 2.5), (200, 2.5), (201, 1.7), (280, 1.7), (281, 1.4), (420, 1.4), (421, 1.1)]
)
def test_brick_by_thickness(thickness, expected):
    assert brick_wall(thickness) == expected


@pytest.mark.parametrize(
    ("mm", "expected"), [(0, 2.3), (6, 1.8158), (100, 0.40), (125, 0.343), (400, 0.11), (600, 0.11)]
)
def test_loft_by_its_quilt(mm, expected):
    assert by_look("roof_loft", "ceiling", None, mm, None).u_value == pytest.approx(expected, abs=0.005)


def test_a_roof_window_loses_more_than_the_same_glass_upright():
    upright = by_look("window_double_new", "window", None, None, None).u_value
    assert by_look("window_double_new", "rooflight", None, None, None).u_value == pytest.approx(upright + 0.3)


def test_insulation_seen_lowers_the_wall():
    bare = by_look("wall_solid_brick", "wall", "B", None, None).u_value
    lined = by_look("wall_solid_brick", "wall", "B", 50, None).u_value
    assert 1 / lined == pytest.approx(1 / bare + added_insulation(50))


@pytest.mark.parametrize(("kind", "expected"), [("lambda_0_040", 1.5), ("lambda_0_030", 1.913), ("lambda_0_025", 2.25)])
def test_what_was_added_decides(kind, expected):
    assert added_insulation(50, kind) == pytest.approx(expected)


@pytest.mark.parametrize("ready", [item[0] for item in READY])
def test_the_library_says_the_u_value_that_it_has(ready):
    record = {"id": "one", "name": "One", "element": ready_elements(ready)[0], "known_by": "ready", "ready": ready}
    found = value(assessed(with_records(small_house(), "construction", record)), "one")
    hint = next(item[2] for item in READY if item[0] == ready)
    assert hint.endswith(f"(U {found.u_value_w_m2k:.2f})")
    wrong = {**record, "element": "window"}
    assert (
        only(assessed(with_records(small_house(), "construction", wrong)), "no_u_value", Severity.CHECK).field
        == "ready"
    )


@pytest.mark.parametrize(("look", "element"), [("wall_timber_frame", "wall"), ("roof_flat", "roof")])
def test_insulation_seen_in_frames_and_flat_roofs_never_makes_them_worse(look, element):
    def u_value(band, mm):
        record = {"id": "one", "element": element, "known_by": "look", "look": look} | (
            {} if mm is None else {"insulation_mm": mm}
        )
        return value(
            assessed(with_records(changed(small_house(), "survey", "s", age_band=band), "construction", record)), "one"
        ).u_value_w_m2k

    for band in "CM":
        values = [u_value(band, mm) for mm in (None, 25, 50, 100, 200, 400)]
        assert values == sorted(values, reverse=True), band
    assert u_value("C", 100) < 0.5


@pytest.mark.parametrize(
    ("nation", "edition", "band", "look", "expected"),
    [
        ("england", "nation", "B", "wall_solid_brick", 1.7),
        ("england", "rdsap_2012", "B", "wall_solid_brick", 2.1),
        ("scotland", "nation", "B", "wall_solid_brick", 2.1),
        ("scotland", "rdsap_10_2025", "B", "wall_solid_brick", 1.7),
        ("scotland", "nation", "J", "wall_cavity", 0.30),
        ("wales", "nation", "A", "wall_cavity", 2.1),
    ],
)
def test_the_table_of_the_nation_or_the_edition_asked_for(nation, edition, band, look, expected):
    document = changed(small_house(), "survey", "s", nation=nation, default_tables=edition, age_band=band)
    found = value(
        assessed(
            changed(document, "construction", "wall", known_by="look", look=look, u_value_w_m2k=None, thickness_mm=None)
        ),
        "wall",
    )
    assert found.u_value_w_m2k == expected
    assert ("2012" in found.source) is (edition == "rdsap_2012" or (nation != "england" and edition == "nation"))


@pytest.mark.parametrize(("nation", "band"), [("scotland", "M"), ("northern_ireland", "J"), ("wales", "M")])
def test_an_age_band_without_a_row_is_refused_in_words(nation, band):
    document = changed(small_house(), "survey", "s", nation=nation, age_band=band)
    found = findings(
        assessed(changed(document, "construction", "wall", known_by="look", look="wall_cavity", u_value_w_m2k=None)),
        "no_u_value",
    )[0]
    assert (found.record, found.field) == ("survey/s", "age_band")
    assert "no row for age band" in found.message


def test_the_years_of_a_band_are_said_where_they_differ():
    document = changed(small_house(), "survey", "s", age_band="E")
    assert not findings(assessed(document), "age_band_years")
    assert (
        "1965 to 1975"
        in only(assessed(changed(document, "survey", "s", nation="scotland")), "age_band_years", Severity.CHECK).message
    )
    absent = changed(document, "survey", "s", nation="northern_ireland", age_band="J")
    assert "no age band J" in only(assessed(absent), "age_band_years", Severity.CHECK).message


@pytest.mark.parametrize("mm", [0, 25, 50, 75, 100, 150, 200, 400])
def test_added_insulation_of_the_older_edition(mm):
    u_value = by_look("wall_solid_brick", "wall", "B", mm, None, nation="wales").u_value
    assert u_value == pytest.approx({0: 2.1, 50: 0.6, 100: 0.35, 150: 0.25, 200: 0.18, 400: 0.18}.get(mm, u_value))
    assert u_value <= by_look("wall_solid_brick", "wall", "B", max(0, mm - 25), None, nation="wales").u_value


def test_a_lining_on_battens_adds_its_resistance():
    bare = by_look("wall_stone_sandstone", "wall", "A", None, 500).u_value
    assert 1 / by_look("wall_stone_sandstone", "wall", "A", None, 500, lined=True).u_value == pytest.approx(
        1 / bare + 0.17
    )
    assert (
        by_look("wall_cavity", "wall", "C", None, None, lined=True).u_value
        == by_look("wall_cavity", "wall", "C", None, None).u_value
    )


def test_a_stone_wall_beyond_the_straight_line_is_refused():
    with pytest.raises(LookError, match="straight lines"):
        by_look("wall_stone_granite", "wall", "A", None, 1300, nation="scotland")


FRAME = [
    {"material": "plasterboard", "thickness_mm": 12.5},
    {"material": "mineral_wool_batt", "thickness_mm": 140, "bridge_fraction": 0.15, "bridge_conductivity_w_mk": 0.13},
    {"material": "osb", "thickness_mm": 9}, {"material": "air", "thickness_mm": 50}, {"material": "brick_outer", "thickness_mm": 102.5},
]  # fmt: skip


def framed(**fields):
    return value(assessed(changed(with_layers(*FRAME), "construction", "wall", **fields)), "wall")


def test_corrections_count_from_three_per_cent():
    plain, gaps, moving = framed(), framed(air_gaps="gaps"), framed(air_gaps="circulation")
    assert gaps.u_value_w_m2k == plain.u_value_w_m2k
    assert "left out" in gaps.steps[0].numbers
    assert moving.u_value_w_m2k == pytest.approx(plain.u_value_w_m2k + 4 * 0.00631, abs=0.0001)
    screws = framed(fixings_per_m2=10, fixing_area_mm2=20)
    assert screws.u_value_w_m2k == pytest.approx(
        plain.u_value_w_m2k + 0.8 * 50 * 20e-6 * 10 / 0.14 * (2.7027 / 3.4014) ** 2, abs=0.0001
    )
    shallow = framed(fixings_per_m2=10, fixing_area_mm2=20, fixing_depth_mm=70)
    assert plain.u_value_w_m2k < shallow.u_value_w_m2k < screws.u_value_w_m2k


def test_fixings_need_their_section():
    document = changed(with_layers(*FRAME), "construction", "wall", fixings_per_m2=10)
    assert "section" in only(assessed(document), "no_u_value", Severity.CHECK).message


def test_air_layers_closed_a_little_and_well_ventilated():
    def u_value(**air):
        return value(
            assessed(with_layers(*FRAME[:3], {"material": "cavity", "thickness_mm": 50, **air}, FRAME[4])), "wall"
        ).u_value_w_m2k

    closed, least, most, well = (
        u_value(air="still"),
        u_value(air="slight", vents_mm2_m=500),
        u_value(air="slight", vents_mm2_m=1500),
        u_value(air="well"),
    )
    assert closed == least == u_value()
    assert most == pytest.approx(well, abs=0.0001)
    assert closed < u_value(air="slight") < well


@pytest.mark.parametrize("look", ["wall_timber_frame", "roof_flat", "door_solid"])
def test_insulation_that_no_table_takes_in_is_refused(look):
    with pytest.raises(LookError, match="describe its layers"):
        by_look(look, "wall", "C", 50, None)


def test_a_missing_age_points_at_the_survey():
    document = changed(
        changed(small_house(), "survey", "s", age_band=None),
        "construction",
        "wall",
        known_by="look",
        u_value_w_m2k=None,
        look="wall_cavity",
    )
    found = [item for item in findings(assessed(document), "no_u_value") if item.field == "age_band"]
    assert {item.record for item in found} == {"survey/s"}
    assert len(found) == 1


@pytest.mark.parametrize("look", ["partition_stud", "partition_brick"])
def test_usual_inside_walls_need_no_layers(look):
    document = changed(small_house(), "construction", "inner", known_by="look", u_value_w_m2k=None, look=look)
    assert value(assessed(document), "inner").u_value_w_m2k == pytest.approx(
        {"partition_stud": 1.79, "partition_brick": 2.03}[look], abs=0.005
    )


def test_a_floor_between_storeys_goes_by_the_way_of_the_heat():
    floor = {"id": "deck", "name": "Deck", "element": "floor", "known_by": "look", "look": "floor_between"}
    document = with_records(small_house(), "construction", floor)
    up = {
        "id": "over",
        "room": "living",
        "element": "ceiling",
        "construction": "deck",
        "width_m": 2,
        "height_m": 2,
        "other_side": "room",
        "other_room": "hall",
    }
    rising = next(
        item
        for room in assessed(with_records(document, "surface", up)).rooms
        for item in room.surfaces
        if item.id == "over"
    )
    sinking = next(
        item
        for room in assessed(with_records(document, "surface", {**up, "element": "floor"})).rooms
        for item in room.surfaces
        if item.id == "over"
    )
    assert rising.u_value_w_m2k == pytest.approx(1.79, abs=0.01)
    assert sinking.u_value_w_m2k == pytest.approx(1.31, abs=0.02)


def test_ground_insulation_by_age_or_as_seen():
    usual = value(
        assessed(
            changed(changed(small_house(), "construction", "slab", insulation_mm=None), "survey", "s", age_band="K")
        ),
        "slab",
    )
    seen = value(assessed(changed(small_house(), "construction", "slab", insulation_mm=100)), "slab")
    assert usual.u_value_w_m2k == seen.u_value_w_m2k
    assert "usual for band K" in usual.steps[0].numbers


def test_a_floor_without_an_edge_is_refused():
    found = only(assessed(changed(small_house(), "survey", "s", exposed_perimeter_m=0)), "no_u_value", Severity.CHECK)
    assert "outside edge" in found.message


def test_fixings_that_lead_no_heat_add_nothing():
    assert fixing_correction(0.99, 12, 4, 0.1, None, 3.0, 3.5) == 0
    assert fixing_correction(1.0, 12, 4, 0.1, None, 3.0, 3.5) > 0


def test_a_walls_usual_thickness_is_the_tables():
    # RdSAP 2012, table S3, as the catalogue has it.
    assert usual_wall_thickness("wall_solid_brick", "A") == 220
    assert usual_wall_thickness("wall_stone_granite", "E") == 450
    assert usual_wall_thickness("no_such_look", "A") is None


def test_an_inside_door_by_its_look_is_the_one_of_the_library_and_no_outside_door():
    made = {
        name: assessed(
            with_records(small_house(), "construction", {"id": "d", "name": "Door", "element": "door", **fields})
        )
        for name, fields in {
            "look": {"known_by": "look", "look": "door_inside"},
            "library": {"known_by": "ready", "ready": "door_inside"},
            "outside": {"known_by": "look", "look": "door_solid"},
        }.items()
    }
    values = {
        name: next(item.u_value_w_m2k for item in answer.constructions if item.id == "d")
        for name, answer in made.items()
    }
    assert values["look"] == values["library"] == pytest.approx(1.89, abs=0.005)
    assert values["outside"] == 3.0
