"""What the unit has to carry, as a sum: each term with its switch, its reason and its source."""

from __future__ import annotations

import pytest

from tests.support.houses import changed, small_house, with_records
from wattwalk.demo import demo_document
from wattwalk.engine.answers import LoadTerm, Severity

from .support import assessed, findings, only, room

WATT = 0.11
PIPE = {
    "id": "pipe",
    "name": "Way to the house",
    "purpose": "primary",
    "material": "copper",
    "size_mm": 28,
    "stretches": [{"place": "outdoors", "length_m": 5}],
    "insulation": "none",
}


def terms(result) -> dict[str, LoadTerm]:
    return {item.code: item for item in result.plant.load_terms}


def survey(document=None, **fields):
    return changed(document or small_house(), "survey", "s", **fields)


def party(**fields):
    """The small house with a wall to a neighbour in its hall."""
    wall = {
        "id": "party",
        "room": "hall",
        "element": "partition",
        "construction": "inner",
        "width_m": 2,
        "height_m": 2.4,
        "other_side": "neighbour",
    }
    return with_records(survey(**fields), "surface", wall)


def counted(result) -> float:
    return sum(item.watts for item in result.plant.load_terms if item.counts and item.watts is not None)


class TestSum:
    @pytest.mark.parametrize("document", [small_house(), demo_document()], ids=["small", "demo"])
    def test_the_load_is_the_sum_of_what_counts(self, document):
        result = assessed(document)
        assert counted(result) == pytest.approx(result.building.unit_size_w, abs=WATT)
        assert [item.code for item in result.plant.load_terms] == [
            "rooms",
            "neighbours",
            "pipes",
            "floors",
            "hot_water",
            "heating_up",
        ]
        assert all(item.words and item.source for item in result.plant.load_terms)
        assert all(item.switch for item in result.plant.load_terms[1:])

    def test_the_rooms_and_the_neighbours_are_what_all_rooms_lose(self):
        result = assessed(party(separate_neighbour="cold"))
        found = terms(result)
        assert found["rooms"].watts + found["neighbours"].watts == pytest.approx(result.building.total_w, abs=WATT)

    def test_nothing_while_a_room_is_missing(self):
        result = assessed(changed(small_house(), "room", "hall", height_m=None))
        assert result.plant.load_terms == ()
        assert result.building.unit_size_w is None


class TestNeighbours:
    def test_one_who_does_not_heat_is_carried(self):
        warm, cold = (assessed(party(separate_neighbour=name)) for name in ("same_temperature", "cold"))
        # U 2.03 on 4.8 m² from 18 to 10 °C.
        assert terms(cold)["neighbours"].watts == pytest.approx(4.8 * 2.03 * 8, abs=WATT)
        assert cold.building.unit_size_w - warm.building.unit_size_w == pytest.approx(4.8 * 2.03 * 8, abs=2 * WATT)

    def test_left_out_it_is_said_so(self):
        result = assessed(party(separate_neighbour="cold", load_neighbours="left_out"))
        term = terms(result)["neighbours"]
        assert (term.counts, "left out by choice" in term.words) == (False, True)
        assert result.building.unit_size_w == pytest.approx(result.building.total_w - term.watts, abs=WATT)

    def test_heat_from_them_is_shown_and_never_counted(self):
        result = assessed(changed(party(separate_neighbour="cold"), "room", "hall", inside_temperature_c=6))
        gain = terms(result)["neighbour_gain"]
        assert gain.watts == pytest.approx(4.8 * 2.03 * -4, abs=WATT)
        assert not gain.counts
        assert terms(result)["neighbours"].watts == 0
        assert counted(result) == pytest.approx(result.building.unit_size_w, abs=WATT)


class TestColdRooms:
    def test_a_room_that_others_feed_does_not_lower_the_load(self):
        result = assessed(changed(small_house(), "room", "hall", inside_temperature_c=5))
        taken = room(result, "hall").total_w
        assert taken < 0
        assert terms(result)["cold_rooms"].watts == pytest.approx(-taken, abs=WATT)
        assert "Hall" in terms(result)["cold_rooms"].words
        assert result.building.unit_size_w == pytest.approx(room(result, "living").total_w, abs=WATT)

    def test_what_a_neighbour_takes_feeds_on_it_only_while_it_counts(self):
        def house(load):
            document = changed(party(separate_neighbour="cold", load_neighbours=load), "surface", "party", width_m=9)
            document = changed(document, "room", "living", inside_temperature_c=23)
            return assessed(changed(document, "room", "hall", inside_temperature_c=10.8))

        counting, without = house("counted"), house("left_out")
        own = room(counting, "hall").total_w - terms(counting)["neighbours"].watts
        assert own < 0 < room(counting, "hall").total_w
        assert "cold_rooms" not in terms(counting)
        assert terms(without)["cold_rooms"].watts == pytest.approx(-own, abs=WATT)

    def test_a_room_kept_cold_is_said_with_what_it_saves(self):
        usual, cool = (
            assessed(changed(small_house(), "room", "hall", inside_temperature_c=value)) for value in (18, 16)
        )
        found = only(cool, "room_kept_cold", Severity.CHECK)
        assert found.record == "room/hall"
        assert findings(usual, "room_kept_cold") == []
        less = usual.building.unit_size_w - cool.building.unit_size_w
        assert less > 20
        assert f"about {less:,.0f} W less" in found.message


class TestPipes:
    def test_they_count_by_what_they_lose_outside(self):
        result = assessed(with_records(small_house(), "pipe_run", PIPE))
        (run,) = result.site.heat
        assert run.outside_loss_w > 100
        assert terms(result)["pipes"].watts == run.outside_loss_w
        bare = assessed(small_house())
        assert result.building.unit_size_w - bare.building.unit_size_w == pytest.approx(run.outside_loss_w, abs=WATT)
        assert "no pipe run" in terms(bare)["pipes"].words

    def test_those_to_the_cylinder_are_warm_for_hours_only(self):
        result = assessed(with_records(small_house(), "pipe_run", {**PIPE, "purpose": "cylinder"}))
        assert terms(result)["pipes"].watts is None

    def test_one_that_is_not_known_is_named(self):
        unknown = {**PIPE, "id": "other", "name": "Far end", "insulation": None}
        alone = terms(assessed(with_records(small_house(), "pipe_run", unknown)))["pipes"]
        assert (alone.watts, alone.counts) == (None, False)
        assert "Far end" in alone.words
        document = with_records(with_records(small_house(), "pipe_run", PIPE), "pipe_run", unknown)
        assert "without Far end" in terms(assessed(document))["pipes"].words


class TestFloors:
    def test_what_goes_down_counts_beyond_the_floors_own_loss(self):
        result = assessed(demo_document())
        kitchen = next(item for item in result.rooms if item.name == "Kitchen")
        floor = next(item for item in kitchen.emitters if item.floor is not None)
        own = next(item for item in kitchen.surfaces if item.element == "ground_floor")
        down = floor.floor.downward_w_m2 * 10.4
        already = own.loss_w * 10.4 / own.net_area_m2
        assert (down, already) == (pytest.approx(133.1, abs=0.1), pytest.approx(21.0, abs=0.1))
        assert terms(result)["floors"].watts == pytest.approx(down - already, abs=WATT)

    def test_over_a_heated_room_nothing_leaves_the_house(self):
        document = demo_document()
        floor = next(item for item in document["records"]["emitter"] if item["type"] == "underfloor")
        term = terms(assessed(changed(document, "emitter", floor["id"], below="heated")))["floors"]
        assert term.watts == 0
        assert "stays in the house" in term.words


class TestHotWater:
    def test_it_is_the_day_over_24_hours(self):
        result = assessed(demo_document())
        used = next(item for item in result.plant.hot_water.needs if item.is_used)
        day = used.heat_kwh_day + result.plant.hot_water.loss_kwh_day
        term = terms(result)["hot_water"]
        assert term.watts == pytest.approx(day * 1000 / 24, abs=0.5)
        assert not term.counts

    def test_counted_it_is_not_counted_again_by_the_hours_of_the_day(self):
        document = demo_document()
        usual = assessed(document)
        (record,) = document["records"]["survey"]
        other = assessed(changed(document, "survey", record["id"], load_hot_water="counted"))
        more = other.building.unit_size_w - usual.building.unit_size_w
        assert more == pytest.approx(terms(usual)["hot_water"].watts, abs=WATT)
        assert other.plant.hot_water.capacity_asked_kw == usual.plant.hot_water.capacity_asked_kw


class TestHeatingUp:
    def test_by_the_table_and_the_floor_area(self):
        result = assessed(survey(heating_up="on_off", heating_up_drop="1", heating_up_hours="1"))
        # EN 12831:2003 Table D.10b, from memory: 11 W/m² for 1 K in 1 h; 20 m² and 8 m².
        assert terms(result)["heating_up"].watts == pytest.approx(11 * 28, abs=WATT)
        assert counted(result) == pytest.approx(result.building.unit_size_w, abs=WATT)

    def test_day_and_night_there_is_none(self):
        term = terms(assessed(small_house()))["heating_up"]
        assert (term.watts, term.counts) == (0, False)
        assert "day and night" in term.words
