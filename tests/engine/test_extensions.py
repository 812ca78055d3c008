"""A house of more than one age: what hangs on an age follows the part of the house that a room is in."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from tests.engine.support import assessed, findings, only, room
from tests.support.houses import Document, changed, small_house
from wattwalk.catalogue import table
from wattwalk.engine import assess
from wattwalk.engine.answers import Severity
from wattwalk.survey.building import Room
from wattwalk.survey.document import read_document
from wattwalk.survey.extension import Extension
from wattwalk.survey.gaps import find_gaps
from wattwalk.survey.household import AGE_BANDS
from wattwalk.survey.parts import HouseParts, older

#: By RdSAP 10: an empty cavity wall of 1930 to 1949, and one of 2012 to 2022 as built.
OLD_U, NEW_U = (
    table("u_values_rdsap_10_2025").get(look="wall_cavity", age_band=band).number("u_value_w_m2k") for band in "CL"
)


def two_ages(extension: dict[str, Any] | None = None, **survey: Any) -> Document:
    """The small house with its hall in an extension of 2012 to 2022, both rooms with a cavity wall of 10 m² known by its look."""
    document = small_house()
    records = document["records"]
    records["survey"][0] |= survey
    records["construction"][0] = {
        "id": "wall",
        "name": "Cavity wall",
        "element": "wall",
        "known_by": "look",
        "look": "wall_cavity",
    }
    records["surface"].append(
        {
            "id": "side",
            "room": "hall",
            "element": "wall",
            "construction": "wall",
            "area_m2": 10,
            "other_side": "outside",
        }
    )
    records["extension"] = [
        {"id": "rear", "name": "Rear extension", "age_band": "L"} if extension is None else {"id": "rear", **extension}
    ]
    return changed(document, "room", "hall", extension="rear")


def u_value(document: Document, surface: str) -> float:
    return next(
        item.u_value_w_m2k for found in assessed(document).rooms for item in found.surfaces if item.id == surface
    )


class TestUValues:
    def test_each_wall_has_the_age_of_its_part(self):
        assert OLD_U > NEW_U + 0.5
        assert u_value(two_ages(), "front") == OLD_U
        assert u_value(two_ages(), "side") == NEW_U

    def test_a_room_moved_to_the_main_house_takes_its_age(self):
        moved = changed(two_ages(), "room", "hall", extension=None)
        assert u_value(moved, "side") == OLD_U

    def test_a_wall_between_two_ages_is_the_older_ones(self):
        told = changed(two_ages(), "surface", "between", construction="wall")
        by_hall = changed(told, "surface", "between", room="hall", other_room="living")
        assert u_value(told, "between") == u_value(by_hall, "between")
        alone = changed(changed(told, "room", "hall", extension=None), "survey", "s", age_band="C")
        assert u_value(told, "between") == u_value(alone, "between")

    def test_the_older_part_is_found_by_its_band_and_one_of_no_age_is_asked_for(self):
        parts = HouseParts(read_document(two_ages()), read_document(two_ages()).records["survey"][0])
        assert older(parts.every).name == "Main house"
        assert older(reversed(parts.every)).name == "Main house"
        asked = HouseParts(read_document(two_ages({"name": "Loft"})), read_document(two_ages()).records["survey"][0])
        assert older(asked.every).name == "Loft"

    def test_a_floor_known_by_its_look_has_the_insulation_and_the_walls_of_its_part(self):
        document = two_ages()
        document["records"]["construction"][3].pop("insulation_mm")
        document["records"]["surface"].append(
            {
                "id": "ground",
                "room": "hall",
                "element": "ground_floor",
                "construction": "slab",
                "area_m2": 8,
                "other_side": "ground",
            }
        )
        slab = next(item for item in assessed(document).constructions if item.id == "slab")
        told = {use.words: use.u_value_w_m2k for use in slab.uses}
        assert set(told) == {"Main house, on the ground", "Rear extension, on the ground"}
        numbers = {step.what: step.numbers for step in slab.steps}
        assert "usual for band C" in numbers["U-value, Main house, on the ground"]
        assert "usual for band L" in numbers["U-value, Rear extension, on the ground"]
        alone = changed(changed(document, "room", "hall", extension=None), "survey", "s", age_band="L")
        assert told["Rear extension, on the ground"] == u_value(alone, "ground")

    def test_the_table_of_constructions_says_which_part(self):
        wall = next(item for item in assessed(two_ages()).constructions if item.id == "wall")
        assert [(use.words, use.u_value_w_m2k) for use in wall.uses] == [
            ("Main house, heat level, outside beyond", OLD_U),
            ("Rear extension, heat level, outside beyond", NEW_U),
        ]

    def test_a_construction_that_nothing_is_made_of_has_the_age_of_the_part_it_is_usual_in(self):
        document = two_ages()
        document["records"]["construction"].append(
            {
                "id": "spare",
                "name": "Spare",
                "element": "wall",
                "is_usual": True,
                "extension": "rear",
                "known_by": "look",
                "look": "wall_cavity",
            }
        )
        spare = next(item for item in assessed(document).constructions if item.id == "spare")
        assert spare.u_value_w_m2k == NEW_U


class TestBridges:
    def loss(self, document: Document, surface: str) -> float:
        return next(
            item.bridge_w_m2k for found in assessed(document).rooms for item in found.surfaces if item.id == surface
        )

    def test_an_extension_may_have_an_allowance_of_its_own(self):
        own = two_ages({"name": "Rear extension", "age_band": "L", "thermal_bridges": "good_details"})
        assert (self.loss(own, "front"), self.loss(own, "side")) == (0.10, 0.05)
        assert (self.loss(two_ages(), "front"), self.loss(two_ages(), "side")) == (0.10, 0.10)

    def test_by_age_each_part_has_that_of_its_band(self):
        by_age = two_ages(thermal_bridges="by_age")
        assert (self.loss(by_age, "front"), self.loss(by_age, "side")) == (0.15, 0.08)

    def test_by_age_without_an_age_the_room_says_what_it_lacks(self):
        asked = two_ages({"name": "Rear extension", "ventilation_age": "after_2006"}, thermal_bridges="by_age")
        found = room(assessed(changed(asked, "surface", "side", construction="wall")), "hall")
        assert found.total_w is None
        assert any("the age of Rear extension" in words for words in found.missing)

    def test_lengths_count_only_in_the_part_that_counts_them(self):
        document = two_ages({"name": "Rear extension", "age_band": "L", "thermal_bridges": "lengths"})
        edge = [{"where": "Sill", "length_m": 4.0, "psi_w_mk": 0.05}]
        for name in ("living", "hall"):
            document = changed(document, "room", name, bridges=edge)
        answer = assessed(document)
        assert [len(room(answer, name).bridges) for name in ("living", "hall")] == [0, 1]
        assert [item.record for item in findings(answer, "bridges_twice")] == ["room/living"]


class TestAir:
    def rate(self, document: Document, name: str) -> float | None:
        air = room(assessed(document), name).ventilation
        return None if air is None else air.air_changes_h

    def test_usual_air_changes_go_by_when_the_part_was_built(self):
        # A hall: 2.0 an hour before 2000, 0.5 after 2006; a living room 1.5.
        assert (self.rate(two_ages(), "living"), self.rate(two_ages(), "hall")) == (1.5, 0.5)
        assert self.rate(changed(two_ages(), "room", "hall", extension=None), "hall") == 2.0

    @pytest.mark.parametrize(
        ("band", "rate"), [(band, 2.0 if band < "J" else 1.0 if band == "J" else 0.5) for band, *_ in AGE_BANDS]
    )
    def test_every_band_has_its_tightness(self, band, rate):
        assert self.rate(two_ages({"name": "Rear extension", "age_band": band}), "hall") == rate

    def test_what_was_seen_of_its_tightness_comes_before_its_age(self):
        draughty = two_ages({"name": "Rear extension", "age_band": "L", "ventilation_age": "before_2000"})
        assert self.rate(draughty, "hall") == 2.0

    def test_a_written_rate_stays(self):
        assert self.rate(changed(two_ages(), "room", "hall", air_changes_h=1.2), "hall") == 1.2

    def test_a_test_of_its_own_holds_for_its_own_rooms_alone(self):
        # Its envelope is the wall of 10 m² and the ceiling of 8 m², its volume 19.2 m³; two sheltered sides take off 15 %.
        own = two_ages(
            {"name": "Rear extension", "age_band": "L", "air_permeability_m3_hm2": 3},
            ventilation_method="air_permeability",
            air_permeability_m3_hm2=10,
        )
        leaking = 0.85 * 3 * 18 / (20 * 19.2)
        assert self.rate(own, "hall") == pytest.approx(0.5 + 0.5 * leaking**2, abs=6e-4)
        # The living room: a wall of 12 m² and a floor of 20 m², 48 m³.
        leaking = 0.85 * 10 * 32 / (20 * 48)
        assert self.rate(own, "living") == pytest.approx(0.5 + 0.5 * leaking**2, abs=6e-4)

    def test_without_one_the_test_of_the_house_holds_for_all_of_it(self):
        whole = two_ages(ventilation_method="air_permeability", air_permeability_m3_hm2=10)
        leaking = 0.85 * 10 * 50 / (20 * 67.2)
        for name in ("living", "hall"):
            assert self.rate(whole, name) == pytest.approx(0.5 + 0.5 * leaking**2, abs=6e-4)

    def test_en_12831_takes_each_tested_part_as_a_zone(self):
        own = two_ages(
            {"name": "Rear extension", "age_band": "L", "air_permeability_m3_hm2": 20},
            ventilation_method="en_12831_2017",
        )
        # All of its leakage comes in through its one room: 20 × 18 × 0.05 m³/h.
        assert self.rate(own, "hall") == pytest.approx(20 * 18 * 0.05 / 19.2, abs=6e-4)
        assert self.rate(own, "living") == 0.5
        way = next(item for item in assessed(own).ventilation if item.is_used)
        assert "in the part that was tested" in way.words

    def test_leakage_built_up_from_what_is_seen_goes_by_what_each_part_is_made_of(self):
        document = two_ages(
            {"name": "Rear extension", "age_band": "L", "draught_proofed_pct": 100},
            ventilation_method="air_permeability",
            draught_proofed_pct=0,
        )
        document["records"]["construction"].append(
            {"id": "frame", "name": "Frame", "element": "wall", "known_by": "look", "look": "wall_timber_frame"}
        )
        document = changed(document, "surface", "side", construction="frame")
        steps = {step.what: step.result for way in assessed(document).ventilation if way.is_used for step in way.steps}
        # Masonry 0.35, no lobby 0.05, windows 0.25; a timber frame 0.25, no lobby 0.05, windows draught-proofed 0.05.
        assert steps["Main house: leakage built up from what is seen"] == pytest.approx(0.65)
        assert steps["Rear extension: leakage built up from what is seen"] == pytest.approx(0.35)

    def test_mechanical_ventilation_counts_the_leakage_of_the_part(self):
        fan = {
            "ventilation_method": "mechanical",
            "recovery_efficiency_pct": 80,
            "mechanical_flow_m3_h": 100,
            "air_permeability_m3_hm2": 10,
        }
        tight = {"name": "Rear extension", "age_band": "L", "air_permeability_m3_hm2": 3}
        document = changed(two_ages(tight, **fan), "room", "hall", use="utility")
        leaky = changed(two_ages(tight | {"air_permeability_m3_hm2": 6}, **fan), "room", "hall", use="utility")
        more = 0.33 * 19.2 * 21 * 0.85 * 3 * 18 / (20 * 19.2)
        found, before = (room(assessed(item), "hall") for item in (leaky, document))
        assert found.ventilation.loss_w - before.ventilation.loss_w == pytest.approx(more, abs=0.2)
        living = [room(assessed(item), "living").ventilation.loss_w for item in (leaky, document)]
        assert living[0] == living[1]


class TestWhatIsMissing:
    def test_an_age_that_nobody_said_is_a_gap_and_is_asked_for_at_the_extension(self):
        document = two_ages({"name": "Rear extension"})
        gaps = [(gap.kind, gap.record, gap.field) for gap in find_gaps(read_document(document))]
        assert ("extension", "rear", "age_band") in gaps
        answer = assessed(document)
        assert room(answer, "living").total_w is not None
        hall = room(answer, "hall")
        assert hall.total_w is None
        assert any("the age of Rear extension is missing" in words for words in hall.missing)
        assert any("by which usual air changes go" in words for words in hall.missing)

    def test_with_its_age_there_is_no_gap(self):
        assert not [gap for gap in find_gaps(read_document(two_ages())) if gap.kind == "extension"]

    def test_the_main_houses_own_age_is_still_asked_for(self):
        document = changed(two_ages(), "survey", "s", age_band=None)
        answer = assessed(document)
        assert room(answer, "living").total_w is None
        assert room(answer, "hall").total_w is not None

    def test_a_room_in_a_part_that_was_taken_away_is_not_worked_out_and_says_so(self):
        survey = read_document(two_ages())
        gone = type(survey)(survey.id, {**survey.records, "extension": ()})
        answer = assess(gone)
        hall = room(answer, "hall")
        assert hall.total_w is None
        assert hall.surfaces == ()
        assert any("not in this survey" in words for words in hall.missing)
        found = only(answer, "part_unknown", Severity.CHECK)
        assert (found.record, found.field) == ("room/hall", "extension")
        # The wall between them has no age either.
        living = room(answer, "living")
        assert any("which part of the house Hall is in" in words for words in living.missing)

    def test_no_kind_takes_its_rooms_away_with_a_part(self):
        assert not Room.kind.field("extension").goes_with

    def test_an_extension_without_a_room_is_found(self):
        document = changed(two_ages(), "room", "hall", extension=None)
        assert only(assessed(document), "part_without_rooms", Severity.CHECK).record == "extension/rear"
        assert findings(assessed(two_ages()), "part_without_rooms") == []


class TestWords:
    def test_the_parts_are_told_with_their_ages_and_rooms(self):
        parts = assessed(two_ages()).parts
        assert [(part.name, part.age_band, part.rooms) for part in parts] == [
            ("Main house", "C", ("living",)),
            ("Rear extension", "L", ("hall",)),
        ]
        assert "built 1930 to 1949" in parts[0].words
        assert "built 2012 to 2022" in parts[1].words
        assert "after 2006 (by when it was built)" in parts[1].words

    def test_the_methods_say_each_parts_age(self):
        methods = assessed(two_ages()).methods
        assert any(line.startswith("Rear extension: built 2012 to 2022") for line in methods)
        assert any(line.startswith("Main house: built 1930 to 1949") for line in methods)

    def test_a_house_of_one_age_has_no_parts_to_tell(self):
        answer = assessed(small_house())
        assert answer.parts == ()
        assert not any(line.startswith("Main house") for line in answer.methods)
        uses = [use.words for item in answer.constructions for use in item.uses]
        assert uses
        assert not any("Main house" in words for words in uses)

    def test_what_an_extension_does_not_say_is_as_in_the_main_house(self):
        survey = read_document(
            two_ages({"name": "Loft", "age_band": "L"}, draught_proofed_pct=40, thermal_bridges="usual")
        )
        part = HouseParts(survey, survey.records["survey"][0]).of_room("hall")
        assert part is not None
        assert (part.draught_proofed_pct, part.thermal_bridges, part.tested_m3_hm2) == (40, "usual", None)

    def test_the_years_of_another_nation_are_found_of_each_part(self):
        document = two_ages({"name": "Loft", "age_band": "H"}, nation="scotland", age_band="A")
        assert {item.record for item in findings(assessed(document), "age_band_years")} == {
            "survey/s",
            "extension/rear",
        }


def test_filling_a_cavity_is_offered_with_the_value_of_each_parts_age():
    document = two_ages({"name": "Rear extension", "age_band": "F"})
    document["records"]["design"] = [{"id": "d", "flow_temperature_c": 55}]
    changes = assessed(document).improvements
    assert changes is not None
    filled = next(item for item in changes.single if item.what.startswith("Cavity filled"))
    better = {
        band: table("u_values_rdsap_10_2025").get(look="wall_cavity_filled", age_band=band).number("u_value_w_m2k")
        for band in "CF"
    }
    # 10.2 m² of wall at 21 °C in the main house, 10 m² at 18 °C in the extension, −3 °C outside.
    assert better["F"] < better["C"]
    newer_u = table("u_values_rdsap_10_2025").get(look="wall_cavity", age_band="F").number("u_value_w_m2k")
    expected = 10.2 * (OLD_U - better["C"]) * 24 + 10 * (newer_u - better["F"]) * 21
    assert filled.loss_saved_w == pytest.approx(expected, abs=1)


def test_its_fields_are_those_of_the_house():
    house = copy.deepcopy(read_document(two_ages()).records["survey"][0].kind)
    for name in ("age_band", "ventilation_age", "thermal_bridges"):
        assert Extension.kind.field(name).choices == house.field(name).choices
