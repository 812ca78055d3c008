"""U-values: layers, looks, what is refused, and in what words."""

from __future__ import annotations

import pytest

from tests.support.houses import changed, small_house, with_records
from wattwalk.catalogue import CatalogueError
from wattwalk.engine.layers import LayerError, air_layer_resistance, read_layer, total_resistance
from wattwalk.engine.looks import LookError, added_insulation, brick_wall, by_look
from wattwalk.engine.results import Severity

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
    bridged = [read_layer({"material": "softwood", "thickness_mm": 50, "bridge_fraction": 0.1, "bridge_conductivity_w_mk": 0.5}, place, "up") for place in range(4)]
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
    one = {"material": "mineral_wool_batt", "thickness_mm": 90, "bridge_fraction": 0.15, "bridge_conductivity_w_mk": 0.13}
    layers = [read_layer(one, 1, "horizontal"), read_layer(one, 2, "horizontal")]
    found = total_resistance(0.13, 0.04, layers)
    assert found.lower < found.total < found.upper


@pytest.mark.parametrize(("thickness", "direction", "expected"), [(0, "up", 0), (25, "horizontal", 0.18), (75, "down", 0.215), (300, "down", 0.23)])
def test_air_layers(thickness, direction, expected):
    assert air_layer_resistance(thickness, direction) == pytest.approx(expected)


def test_air_layers_end_with_the_table():
    with pytest.raises(CatalogueError, match="outside the table"):
        air_layer_resistance(301, "up")


@pytest.mark.parametrize(("thickness", "expected"), [(190, 2.5), (200, 2.5), (201, 1.7), (280, 1.7), (281, 1.4), (420, 1.4), (421, 1.1)])
def test_brick_by_thickness(thickness, expected):
    assert brick_wall(thickness) == expected


@pytest.mark.parametrize(("mm", "expected"), [(0, 2.3), (6, 1.8158), (100, 0.40), (125, 0.343), (400, 0.11), (600, 0.11)])
def test_loft_by_its_quilt(mm, expected):
    assert by_look("roof_loft", "ceiling", None, mm, None).u_value == pytest.approx(expected, abs=0.005)


def test_a_roof_window_loses_more_than_the_same_glass_upright():
    upright = by_look("window_double_new", "window", None, None, None).u_value
    assert by_look("window_double_new", "rooflight", None, None, None).u_value == pytest.approx(upright + 0.3)


def test_insulation_seen_lowers_the_wall():
    bare = by_look("wall_solid_brick", "wall", "B", None, None).u_value
    lined = by_look("wall_solid_brick", "wall", "B", 50, None).u_value
    assert 1 / lined == pytest.approx(1 / bare + added_insulation(50))


@pytest.mark.parametrize("look", ["wall_timber_frame", "roof_flat", "door_solid"])
def test_insulation_that_no_table_takes_in_is_refused(look):
    with pytest.raises(LookError, match="describe its layers"):
        by_look(look, "wall", "C", 50, None)


def test_a_missing_age_points_at_the_survey():
    document = changed(changed(small_house(), "survey", "s", age_band=None), "construction", "wall", known_by="look", u_value_w_m2k=None, look="wall_cavity")
    found = [item for item in findings(assessed(document), "no_u_value") if item.field == "age_band"]
    assert {item.record for item in found} == {"survey/s"}
    assert len(found) == 1


@pytest.mark.parametrize("look", ["partition_stud", "partition_brick"])
def test_usual_inside_walls_need_no_layers(look):
    document = changed(small_house(), "construction", "inner", known_by="look", u_value_w_m2k=None, look=look)
    assert value(assessed(document), "inner").u_value_w_m2k == pytest.approx({"partition_stud": 1.79, "partition_brick": 2.03}[look], abs=0.005)


def test_a_floor_between_storeys_goes_by_the_way_of_the_heat():
    floor = {"id": "deck", "name": "Deck", "element": "floor", "known_by": "look", "look": "floor_between"}
    document = with_records(small_house(), "construction", floor)
    up = {"id": "over", "room": "living", "element": "ceiling", "construction": "deck", "width_m": 2, "height_m": 2, "other_side": "room", "other_room": "hall"}
    rising = next(item for room in assessed(with_records(document, "surface", up)).rooms for item in room.surfaces if item.id == "over")
    sinking = next(item for room in assessed(with_records(document, "surface", {**up, "element": "floor"})).rooms for item in room.surfaces if item.id == "over")
    assert rising.u_value_w_m2k == pytest.approx(1.79, abs=0.01)
    assert sinking.u_value_w_m2k == pytest.approx(1.31, abs=0.02)


def test_ground_insulation_by_age_or_as_seen():
    usual = value(assessed(changed(changed(small_house(), "construction", "slab", insulation_mm=None), "survey", "s", age_band="K")), "slab")
    seen = value(assessed(changed(small_house(), "construction", "slab", insulation_mm=100)), "slab")
    assert usual.u_value_w_m2k == seen.u_value_w_m2k
    assert "usual for band K" in usual.steps[0].numbers


def test_a_floor_without_an_edge_is_refused():
    found = only(assessed(changed(small_house(), "survey", "s", exposed_perimeter_m=0)), "no_u_value", Severity.CHECK)
    assert "outside edge" in found.message
