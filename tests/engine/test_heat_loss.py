"""Room by room, against sums done by hand in the test."""

from __future__ import annotations

from math import log, pi

import pytest

from tests.support.houses import changed, small_house, with_records
from wattwalk.engine import assess
from wattwalk.engine.answers import Severity
from wattwalk.survey.building import Room
from wattwalk.survey.document import Survey, read_document

from .support import assessed, findings, only, room

WATT = 0.11  # Each figure leaves rounded to a tenth of a watt.


def test_a_small_house_by_hand():
    # Outside −3, yearly mean 10.02 (LS: East Pennines), living room 21, hall 18, allowance 0.10.
    wall = (5 * 2.4 - 1.5 * 1.2) * (0.57 + 0.10) * 24
    window = 1.5 * 1.2 * (2.0 + 0.10) * 24
    between = 4 * 2.4 * 2.03 * 3
    characteristic, equivalent = 56 / 11, 0.3 + 1.5 * 0.21
    slab_u = 3 / (pi * characteristic + equivalent) * log(pi * characteristic / equivalent + 1)
    floor = 20 * slab_u * (21 - 10.02)
    living_air = 0.33 * 1.5 * 48 * 24
    loft = 8 * (0.40 + 0.10) * 21
    hall_air = 0.33 * 2.0 * 19.2 * 21
    result = assessed(small_house())
    living, hall = room(result, "living"), room(result, "hall")
    assert living.total_w == pytest.approx(wall + window + between + floor + living_air, abs=WATT)
    assert living.fabric_w == pytest.approx(wall + window + between + floor, abs=WATT)
    assert hall.total_w == pytest.approx(loft - between + hall_air, abs=WATT)
    building = result.building
    assert building.total_w == pytest.approx(wall + window + floor + living_air + loft + hall_air, abs=2 * WATT)
    assert building.between_rooms_w == 0
    assert building.ground_w == pytest.approx(floor, abs=WATT)
    assert building.outside_w == pytest.approx(wall + window + loft, abs=WATT)
    assert building.ventilation_w == pytest.approx(living_air + hall_air, abs=WATT)
    assert building.unit_size_w == building.total_w
    mean_inside = (21 * 20 + 18 * 8) / 28
    assert building.coefficient_w_k == pytest.approx(building.total_w / (mean_inside + 3), abs=0.02)


def test_one_record_between_two_rooms_counts_in_both():
    result = assessed(small_house())
    out = next(item for item in room(result, "living").surfaces if item.id == "between")
    into = next(item for item in room(result, "hall").surfaces if item.id == "between")
    assert out.loss_w == -into.loss_w > 0
    assert out.temperature_difference_k == 3
    assert "Hall" in out.words
    assert "Living room" in into.words
    assert out.bridge_w_m2k == 0


def test_an_opening_takes_the_other_side_of_its_wall():
    document = with_records(
        small_house(),
        "construction",
        {"id": "door", "name": "Door", "element": "door", "known_by": "declared", "u_value_w_m2k": 3.0},
    )
    document = with_records(
        document,
        "surface",
        {
            "id": "way",
            "room": "living",
            "element": "door",
            "construction": "door",
            "opening_in": "between",
            "width_m": 0.8,
            "height_m": 2,
        },
    )
    result = assessed(document)
    leaf = next(item for item in room(result, "hall").surfaces if item.id == "way")
    wall = next(item for item in room(result, "hall").surfaces if item.id == "between")
    assert leaf.other_side == "room"
    assert leaf.loss_w == pytest.approx(-1.6 * 3.0 * 3, abs=WATT)
    assert wall.net_area_m2 == pytest.approx(9.6 - 1.6)


def test_openings_alike_count_together():
    result = assessed(changed(small_house(), "surface", "pane", count=3))
    wall = next(item for item in room(result, "living").surfaces if item.id == "front")
    assert wall.openings_m2 == pytest.approx(5.4)


@pytest.mark.parametrize(("convention", "factor"), [("uk_annual_mean", 1.0), ("en_12831_2017", 1.45)])
def test_ground_by_both_conventions(convention, factor):
    result = assessed(changed(small_house(), "survey", "s", ground_convention=convention))
    floor = next(item for item in room(result, "living").surfaces if item.id == "floor")
    assert floor.factor == factor
    assert floor.temperature_difference_k == pytest.approx(10.98)
    assert any("Winter loss into the ground" in line and "chosen" in line for line in result.methods)


def test_a_suspended_floor_is_counted_to_outside_air():
    result = assessed(changed(small_house(), "construction", "slab", look="floor_suspended"))
    floor = next(item for item in room(result, "living").surfaces if item.id == "floor")
    assert (floor.factor, floor.temperature_difference_k, floor.bridge_w_m2k) == (1.0, 24.0, 0.0)


@pytest.mark.parametrize(("option", "difference"), [("same_temperature", 0.0), ("annual_mean", 10.98), ("cold", 11.0)])
def test_neighbour_by_option(option, difference):
    document = changed(
        changed(small_house(), "survey", "s", separate_neighbour=option), "surface", "front", other_side="neighbour"
    )
    result = assessed(document)
    wall = next(item for item in room(result, "living").surfaces if item.id == "front")
    assert wall.temperature_difference_k == difference
    assert wall.bridge_w_m2k == 0
    assert result.building.unit_size_w == pytest.approx(result.building.total_w, abs=WATT)


@pytest.mark.parametrize(("neighbour_c", "difference"), [(None, 11.0), (10, 11.0), (5, 16.0), (15.5, 5.5)])
def test_a_cold_neighbour_has_the_temperature_that_was_said(neighbour_c, difference):
    document = changed(
        changed(small_house(), "survey", "s", separate_neighbour="cold", neighbour_temperature_c=neighbour_c),
        "surface",
        "front",
        other_side="neighbour",
    )
    result = assessed(document)
    wall = next(item for item in room(result, "living").surfaces if item.id == "front")
    assert wall.temperature_difference_k == difference
    shown = "10 °C (default: an unheated" if neighbour_c is None else f"{neighbour_c:g} °C (chosen in the survey)"
    assert any(line.startswith(f"Temperature of the cold neighbour: {shown}") for line in result.methods)


def test_a_neighbour_as_warm_as_the_house_has_no_temperature_of_its_own():
    result = assessed(changed(small_house(), "survey", "s", neighbour_temperature_c=5))
    assert not any("cold neighbour" in line for line in result.methods)


def test_unheated_space_by_its_factor():
    document = changed(
        small_house(), "surface", "front", other_side="unheated", unheated_space="two_outside_walls_door"
    )
    wall = next(item for item in room(assessed(document), "living").surfaces if item.id == "front")
    assert wall.factor == 0.6
    assert wall.loss_w == pytest.approx(10.2 * 0.67 * 0.6 * 24, abs=WATT)


def test_a_loft_by_its_quilt_is_not_discounted_twice():
    document = changed(small_house(), "surface", "top", other_side="unheated", unheated_space="loft_felted")
    top = next(item for item in room(assessed(document), "hall").surfaces if item.id == "top")
    assert top.factor == 1.0
    declared = changed(
        document, "construction", "loft", known_by="declared", look=None, insulation_mm=None, u_value_w_m2k=0.4
    )
    top = next(item for item in room(assessed(declared), "hall").surfaces if item.id == "top")
    assert top.factor == 0.9


def test_nothing_worth_counting_needs_no_construction():
    document = with_records(
        small_house(), "surface", {"id": "idle", "room": "hall", "element": "partition", "other_side": "nothing"}
    )
    result = assessed(document)
    assert room(result, "hall").total_w == room(assessed(small_house()), "hall").total_w


def test_air_changes_written_down_win():
    result = assessed(changed(small_house(), "room", "hall", air_changes_h=0.4))
    assert room(result, "hall").ventilation.loss_w == pytest.approx(0.33 * 0.4 * 19.2 * 21, abs=WATT)


@pytest.mark.parametrize(("age", "rate"), [("before_2000", 1.5), ("2000_to_2006", 1.0), ("after_2006", 0.5)])
def test_air_changes_by_age(age, rate):
    result = assessed(changed(small_house(), "survey", "s", ventilation_age=age))
    assert room(result, "living").ventilation.air_changes_h == rate


def test_an_open_chimney_is_said_to_rest_on_memory():
    result = assessed(changed(small_house(), "room", "living", open_chimney=True))
    assert room(result, "living").ventilation.air_changes_h == 3.5
    assert "from memory" in only(result, "open_chimney", Severity.NOTE).source


class TestWhatIsMissing:
    def test_is_said_and_leaves_the_rest_known(self):
        result = assessed(changed(small_house(), "room", "hall", height_m=None))
        hall, living = room(result, "hall"), room(result, "living")
        assert hall.total_w is None
        assert "height of the room" in hall.missing
        assert living.total_w is not None
        assert result.building.total_w is None
        assert result.building.known_so_far_w == living.total_w
        assert result.building.rooms_missing == ("Hall",)
        assert result.flow.lowest_c is None
        assert "Hall" in result.flow.words

    def test_a_room_without_temperature_takes_its_neighbour_along(self):
        result = assessed(changed(changed(small_house(), "room", "hall", use=None), "room", "hall", air_changes_h=1))
        assert room(result, "hall").inside_c is None
        assert any("temperature of Hall" in words for words in room(result, "living").missing)

    @pytest.mark.parametrize("field", ["ground_floor_area_m2", "exposed_perimeter_m"])
    def test_a_ground_floor_names_the_field_it_needs(self, field):
        result = assessed(changed(small_house(), "survey", "s", **{field: None}))
        found = only(result, "no_u_value", Severity.CHECK)
        assert (found.record, found.field) == ("survey/s", field)
        assert room(result, "living").total_w is None

    def test_no_design_temperature(self):
        result = assessed(changed(small_house(), "survey", "s", outside_design_temperature_c=None, postcode=None))
        assert result.climate is None
        assert only(result, "no_design_temperature", Severity.CHECK).field == "design_location"
        assert {item.total_w for item in result.rooms} == {None}

    def test_an_opening_without_its_wall(self):
        result = assessed(changed(small_house(), "surface", "pane", opening_in=None))
        assert room(result, "living").total_w is None
        assert any("in which wall" in words for words in room(result, "living").missing)

    def test_a_room_without_surfaces(self):
        result = assessed(
            with_records(
                small_house(),
                "room",
                {"id": "bare", "name": "Bare", "use": "store", "length_m": 1, "width_m": 1, "height_m": 2},
            )
        )
        assert room(result, "bare").missing == ("at least one surface of the room",)

    @pytest.mark.parametrize("field", ["construction", "other_side", "width_m", "element"])
    def test_a_surface_without(self, field):
        result = assessed(changed(small_house(), "surface", "top", **{field: None}))
        assert room(result, "hall").total_w is None
        assert room(result, "living").total_w is not None

    def test_an_empty_survey(self):
        result = assessed({"format": "wattwalk-survey", "version": 1, "id": "empty", "records": {}})
        assert result.rooms == ()
        assert result.building.total_w is None
        assert result.flow is None


class TestWhatCannotBe:
    def test_an_opening_larger_than_its_wall(self):
        result = assessed(changed(small_house(), "surface", "pane", width_m=6, height_m=2.3))
        assert only(result, "opening_larger_than_wall", Severity.CHECK).record == "surface/front"
        assert room(result, "living").total_w is None
        assert room(result, "hall").total_w is not None

    def test_an_opening_as_large_as_its_wall_is_taken(self):
        result = assessed(changed(small_house(), "surface", "pane", width_m=5, height_m=2.4))
        assert not findings(result, "opening_larger_than_wall")
        assert room(result, "living").total_w is not None

    def test_a_room_beside_itself(self):
        result = assessed(changed(small_house(), "surface", "between", other_room="living"))
        assert only(result, "room_beside_itself", Severity.CHECK).record == "surface/between"
        assert room(result, "living").total_w is None

    def test_a_construction_of_another_kind(self):
        result = assessed(changed(small_house(), "surface", "front", construction="window"))
        assert only(result, "construction_does_not_fit", Severity.CHECK).record == "surface/front"
        assert room(result, "living").total_w is None

    def test_a_look_of_another_element(self):
        result = assessed(changed(small_house(), "construction", "slab", look="roof_loft"))
        found = only(result, "no_u_value", Severity.CHECK)
        assert found.record == "construction/slab"
        assert "ground floor" in found.message

    def test_a_ground_floor_over_air(self):
        result = assessed(changed(small_house(), "surface", "floor", other_side="outside"))
        assert "upper floor" in only(result, "construction_does_not_fit", Severity.CHECK).message

    def test_a_partition_written_down_from_both_sides(self):
        twin = {
            "id": "between-again",
            "room": "hall",
            "element": "partition",
            "construction": "inner",
            "width_m": 4.05,
            "height_m": 2.4,
            "other_side": "room",
            "other_room": "living",
        }
        assert (
            only(assessed(with_records(small_house(), "surface", twin)), "partition_twice", Severity.CHECK).record
            == "surface/between-again"
        )
        other = {**twin, "width_m": 2.0}
        assert not findings(assessed(with_records(small_house(), "surface", other)), "partition_twice")

    def test_a_window_in_a_window(self):
        document = with_records(
            small_house(),
            "surface",
            {
                "id": "odd",
                "room": "living",
                "element": "window",
                "construction": "window",
                "opening_in": "pane",
                "width_m": 1,
                "height_m": 1,
            },
        )
        assert only(assessed(document), "opening_in_nothing", Severity.CHECK).record == "surface/odd"


def test_half_synced_records_are_borne():
    survey = read_document(small_house())
    half = Survey(
        survey.id, {**survey.records, "room": tuple(item for item in survey.of_kind(Room) if item.id != "hall")}
    )
    result = assess(half)
    assert only(result, "room_beyond_unknown", Severity.CHECK).record == "surface/between"
    assert only(result, "surface_without_room", Severity.CHECK).record == "surface/top"
    assert room(result, "living").total_w is None
