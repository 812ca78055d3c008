"""Unheated spaces by their balance, basements, walls in the ground, bridges by length."""

from __future__ import annotations

import pytest

from tests.support.houses import changed, small_house, with_records, without
from wattwalk.engine.answers import Severity
from wattwalk.engine.fabric.basement import basement_wall
from wattwalk.engine.fabric.ground import edge_psi
from wattwalk.engine.fabric.spaces import balance_factor

from .support import assessed, findings, only, room

GARAGE = {
    "id": "garage", "name": "Garage", "volume_m3": 30, "tightness": "type_4",
    "faces": [{"face": "garage_door", "area_m2": 5}, {"area_m2": 20, "u_value_w_m2k": 2.0}],
}  # fmt: skip


def beside_garage(**more):
    to_garage = {
        "id": "to-garage",
        "room": "living",
        "element": "wall",
        "construction": "inner",
        "width_m": 4,
        "height_m": 2.4,
        "other_side": "unheated",
        "space": "garage",
        **more,
    }
    return with_records(
        with_records(without(small_house(), "surface", "between"), "unheated_space", GARAGE), "surface", {**to_garage}
    )


def surface(result, name):
    return next(item for place in result.rooms for item in place.surfaces if item.id == name)


class TestSpaces:
    def test_one_room_beside_it_has_the_factor_of_the_standard(self):
        document = changed(beside_garage(), "survey", "s", thermal_bridges="none")
        found = surface(assessed(document), "to-garage")
        inside, outside = 9.6 * 2.03, 5 * 5.5 + 20 * 2.0 + 0.33 * 3 * 30
        assert found.factor == pytest.approx(balance_factor(inside, outside), abs=0.0001)
        assert found.loss_w == pytest.approx(inside * 24 * balance_factor(inside, outside), abs=0.06)

    def test_what_the_rooms_give_is_what_goes_out(self):
        both = with_records(
            beside_garage(),
            "surface",
            {
                "id": "hall-garage",
                "room": "hall",
                "element": "wall",
                "construction": "inner",
                "width_m": 2,
                "height_m": 2.4,
                "other_side": "unheated",
                "space": "garage",
            },
        )
        result = assessed(both)
        space = result.spaces[0]
        given = surface(result, "to-garage").loss_w + surface(result, "hall-garage").loss_w
        assert given == pytest.approx(space.outside_w_k * (space.temperature_c + 3), rel=0.002)
        assert -3 < space.temperature_c < 18
        assert result.building.unheated_w == pytest.approx(given, abs=0.11)

    def test_a_space_that_lacks_something_leaves_the_room_open_and_says_why(self):
        document = changed(beside_garage(), "unheated_space", "garage", volume_m3=None)
        result = assessed(document)
        assert room(result, "living").total_w is None
        assert any("Garage lacks its volume" in words for words in room(result, "living").missing)
        assert result.spaces[0].temperature_c is None

    def test_a_surface_without_value_spoils_the_balance_of_its_space(self):
        document = with_records(
            beside_garage(),
            "surface",
            {
                "id": "hall-garage",
                "room": "hall",
                "element": "wall",
                "width_m": 2,
                "height_m": 2.4,
                "other_side": "unheated",
                "space": "garage",
            },
        )
        assert room(assessed(document), "living").total_w is None

    def test_a_space_that_is_not_here_is_refused(self):
        from wattwalk.engine import assess
        from wattwalk.survey.document import read_document

        survey = read_document(beside_garage())
        survey.records["unheated_space"] = ()
        assert only(assess(survey), "space_beyond_unknown", Severity.CHECK).record == "surface/to-garage"

    def test_a_loft_is_not_counted_twice(self):
        document = with_records(small_house(), "unheated_space", {**GARAGE, "id": "loft-space", "name": "Loft"})
        document = changed(document, "surface", "top", other_side="unheated", space="loft-space")
        assert only(assessed(document), "loft_counted_twice", Severity.CHECK).field == "construction"

    def test_a_described_space_needs_no_kind_of_its_own(self):
        assert not [words for words in room(assessed(beside_garage()), "living").missing if "kind of unheated" in words]

    def test_a_tighter_space_is_warmer(self):
        cold, warm = (
            assessed(changed(beside_garage(), "unheated_space", "garage", tightness=name)).spaces[0].temperature_c
            for name in ("type_5", "type_1")
        )
        assert warm > cold


def basement(**more):
    document = changed(
        changed(
            small_house(), "construction", "slab", depth_m=2, own_area_m2=60, own_edge_m=32, thickness_mm=300, **more
        ),
        "survey",
        "s",
        ground_kind="sand",
    )
    buried = {
        "id": "buried",
        "room": "living",
        "element": "wall",
        "construction": "wall",
        "width_m": 5,
        "height_m": 2,
        "other_side": "ground",
        "depth_below_ground_m": 2,
    }
    return with_records(document, "surface", buried)


class TestInTheGround:
    def test_a_basement_by_its_depth(self):
        # The wall's own R is 0.5 when its U-value in air is 1 / (0.5 + 0.17).
        result = assessed(changed(basement(), "construction", "wall", u_value_w_m2k=round(1 / 0.67, 4)))
        assert surface(result, "floor").u_value_w_m2k == pytest.approx(0.6105, abs=0.0001)
        assert surface(result, "buried").u_value_w_m2k == pytest.approx(0.6584, abs=0.0002)
        assert surface(result, "buried").temperature_difference_k < 24

    @pytest.mark.parametrize(
        ("area", "edge", "formula"),
        [(60, 32, "U = 2λ/(πB′ + (d + 0.5 z)) · ln(πB′/(d + 0.5 z) + 1)"), (20, 36, "U = λ/(0.457 B′ + (d + 0.5 z))")],
    )
    def test_the_working_names_the_formula_for_a_wide_or_a_narrow_basement(self, area, edge, formula):
        # EN ISO 13370: the first where d + 0.5 z is below B′ = 2 A/P, here 3.75 m and 1.11 m.
        result = assessed(changed(basement(), "construction", "slab", own_area_m2=area, own_edge_m=edge))
        (slab,) = (item for item in result.constructions if item.id == "slab")
        assert slab.steps[-1].formula == formula

    def test_a_wall_in_the_ground_needs_its_depth(self):
        document = changed(
            changed(basement(), "surface", "buried", depth_below_ground_m=None),
            "construction",
            "wall",
            known_by="look",
            look="wall_solid_brick",
            u_value_w_m2k=None,
        )
        assert any("how deep" in words for words in room(assessed(document), "living").missing)

    def test_deeper_walls_lose_less_for_each_square_metre(self):
        values = [basement_wall(depth, 0.5, 0.72) for depth in (0.5, 1, 2, 4)]
        assert values == sorted(values, reverse=True)
        with pytest.raises(ValueError, match="more than 0"):
            basement_wall(0, 0.5, 0.72)

    def test_a_floor_over_a_cellar_lies_between_slab_and_outside(self):
        fields = {"look": "floor_cellar", "depth_m": 2, "insulation_mm": 0}
        result = assessed(changed(small_house(), "construction", "slab", **fields))
        assert 0.3 < surface(result, "floor").u_value_w_m2k < 1 / (0.34 + 0.2)
        assert surface(result, "floor").temperature_difference_k == 24
        lacking = assessed(changed(small_house(), "construction", "slab", look="floor_cellar"))
        assert only(lacking, "no_u_value", Severity.CHECK).field == "depth_m"

    def test_edge_insulation_lowers_the_floor(self):
        bare = surface(assessed(small_house()), "floor").u_value_w_m2k
        edge = {"edge_reach_m": 1.0, "edge_thickness_mm": 50}
        lying = assessed(changed(small_house(), "construction", "slab", edge_insulation="horizontal", **edge))
        assert bare == pytest.approx(0.5954, abs=0.0001)
        assert surface(lying, "floor").u_value_w_m2k == pytest.approx(0.4732, abs=0.0001)
        assert "Ψ" in next(item for item in lying.constructions if item.id == "slab").steps[0].numbers

    @pytest.mark.parametrize("name", ["edge_reach_m", "edge_thickness_mm"])
    def test_edge_insulation_needs_its_size(self, name):
        fields = {"edge_insulation": "vertical", "edge_reach_m": 0.6, "edge_thickness_mm": 50} | {name: None}
        document = changed(
            small_house(), "construction", "slab", **{key: value for key, value in fields.items() if value is not None}
        )
        assert only(assessed(document), "no_u_value", Severity.CHECK).field == name

    def test_insulation_that_conducts_like_the_ground_is_refused(self):
        with pytest.raises(ValueError, match="less than the ground"):
            edge_psi(0.6, 1.0, 0.05, 2.0, False, 1.5)

    def test_edge_insulation_cannot_save_more_than_is_lost(self):
        tiny = changed(
            small_house(),
            "construction",
            "slab",
            insulation_mm=300,
            own_area_m2=1,
            own_edge_m=12,
            edge_insulation="vertical",
            edge_reach_m=3,
            edge_thickness_mm=300,
        )
        assert only(assessed(tiny), "no_u_value", Severity.CHECK).field == "edge_reach_m"

    def test_ground_water_counts_in_the_convention_that_has_it(self):
        document = changed(small_house(), "survey", "s", ground_convention="en_12831_2017")
        dry, wet = (
            surface(assessed(document), "floor"),
            surface(assessed(changed(document, "survey", "s", ground_water="near")), "floor"),
        )
        assert (dry.factor, wet.factor) == (1.45, pytest.approx(1.6675))
        assert surface(assessed(changed(small_house(), "survey", "s", ground_water="near")), "floor").factor == 1

    def test_a_slab_in_a_basement_is_pointed_out(self):
        document = changed(small_house(), "room", "living", storey="basement")
        assert only(assessed(document), "basement_without_depth", Severity.NOTE).field == "depth_m"
        assert not findings(assessed(changed(document, "construction", "slab", depth_m=2)), "basement_without_depth")


ROWS = (
    {"where": "Edge of the floor", "length_m": 5, "psi_w_mk": 0.32},
    {"where": "Sill", "length_m": 1.5, "psi_w_mk": 0.04},
)


class TestBridges:
    def test_each_bridge_by_its_length_and_no_allowance_beside_it(self):
        plain = assessed(changed(small_house(), "survey", "s", thermal_bridges="none"))
        result = assessed(
            changed(
                changed(small_house(), "survey", "s", thermal_bridges="lengths"), "room", "living", bridges=list(ROWS)
            )
        )
        more = (5 * 0.32 + 1.5 * 0.04) * 24
        assert room(result, "living").total_w == pytest.approx(room(plain, "living").total_w + more, abs=0.11)
        assert [item.loss_w for item in room(result, "living").bridges] == [38.4, 1.4]
        assert result.building.outside_w == pytest.approx(plain.building.outside_w + more, abs=0.11)
        assert all(item.bridge_w_m2k == 0 for item in room(result, "living").surfaces)

    def test_never_both(self):
        both = assessed(changed(small_house(), "room", "living", bridges=list(ROWS)))
        assert only(both, "bridges_twice", Severity.CHECK).record == "room/living"
        assert room(both, "living").total_w == room(assessed(small_house()), "living").total_w

    def test_a_bridge_without_its_figure_leaves_the_room_open(self):
        document = changed(
            changed(small_house(), "survey", "s", thermal_bridges="lengths"),
            "room",
            "living",
            bridges=[{"where": "Sill", "length_m": 2}],
        )
        assert "Sill: its Ψ" in room(assessed(document), "living").missing
