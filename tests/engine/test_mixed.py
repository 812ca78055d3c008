"""Mixed circuits: cooler water beside the unit's own, what the unit gives to them, the valve, the pump, and what is drawn."""

from __future__ import annotations

from math import fsum, sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.houses import changed, with_records
from wattwalk.demo import demo_document
from wattwalk.engine.answers import Severity
from wattwalk.engine.circuit.mixed import KVS_M3_H, largest_kv, ordinary_kvs, primary_flow
from wattwalk.engine.fluids.glycol import WATER
from wattwalk.pictures import circuit_scheme

from .support import assessed, findings, only

MIXED = {"id": "mix", "name": "Kitchen floor", "flow_temperature_c": 35, "primary_drop_kpa": 2, "pipes_drop_kpa": 1}
KITCHEN = "emitter-kitchen"


def mixed_house(*emitters, **fields):
    """The demo house with a mixed circuit that feeds these emitters."""
    document = with_records(demo_document(), "mixed_circuit", {**MIXED, **fields})
    for emitter in emitters or (KITCHEN,):
        document = changed(document, "emitter", emitter, mixed_circuit="mix")
    return document


def mixed_of(result):
    (found,) = result.site.circuit.balance.mixed
    return found


def kitchen(result):
    return next(item for room in result.rooms for item in room.emitters if item.id == KITCHEN)


class TestTemperatures:
    def test_its_emitters_are_counted_at_its_own_temperature(self):
        plain, mixed = assessed(demo_document()), assessed(mixed_house())
        alone = assessed(changed(demo_document(), "design", "design", flow_temperature_c=35))
        assert kitchen(mixed).output_w == kitchen(alone).output_w < kitchen(plain).output_w
        row = next(item for item in mixed.site.circuit.balance.rows if item.id == KITCHEN)
        assert (row.circuit, row.verdict_mean_c) == ("mix", 32.5)
        others = {item.id: item.output_w for room in plain.rooms for item in room.emitters if item.id != KITCHEN}
        assert {
            item.id: item.output_w for room in mixed.rooms for item in room.emitters if item.id != KITCHEN
        } == others

    def test_a_difference_of_its_own_is_its_emitters(self):
        wide = assessed(mixed_house(flow_return_difference_k=10))
        assert kitchen(wide).output_w < kitchen(assessed(mixed_house())).output_w
        assert next(item for item in wide.site.circuit.balance.rows if item.id == KITCHEN).verdict_mean_c == 30

    def test_it_has_a_compensation_line_of_its_own_by_what_it_feeds(self):
        result = assessed(mixed_house(flow_temperature_c=45, flow_return_difference_k=6))
        cold, mild = mixed_of(result).line
        room = next(room for room in result.rooms if any(item.id == KITCHEN for item in room.emitters))
        inside, outside = room.inside_c, result.climate.outside_c
        # A floor gives heat in proportion to its difference, so by hand: θf = θi + (45 − 3 − θi) φ + 3 φ, φ = (θi − θo)/(θi − θe).
        for point, at in ((cold, -3.0), (mild, 7.0)):
            share = (inside - at) / (inside - outside)
            assert point.outside_c == at
            assert point.flow_c == pytest.approx(inside + (45 - 3 - inside) * share + 3 * share, abs=0.01)
        assert cold.flow_c < result.compensation.cold_flow_c
        assert f"Set {cold.flow_c:.1f} °C at −3 °C outside and {mild.flow_c:.1f} °C at 7 °C." in mixed_of(result).words

    def test_a_circuit_that_feeds_nothing_or_leaves_a_room_cold_or_feeds_what_is_not_known_has_no_line(self):
        assert mixed_of(assessed(with_records(demo_document(), "mixed_circuit", MIXED))).line is None
        short = assessed(mixed_house(flow_temperature_c=30))
        room = next(room for room in short.rooms if any(item.id == KITCHEN for item in room.emitters))
        assert room.verdict.value == "short"
        assert mixed_of(short).line is None
        warm = mixed_house(KITCHEN, "emitter-study-new", flow_temperature_c=50)
        assert mixed_of(assessed(warm)).line is not None
        assert mixed_of(assessed(changed(warm, "emitter", "emitter-study-new", type=None))).line is None

    def test_too_cool_a_circuit_leaves_its_room_short_at_any_flow_of_the_unit(self):
        result = assessed(mixed_house(flow_temperature_c=24))
        room = next(room for room in result.rooms if any(item.id == KITCHEN for item in room.emitters))
        assert (room.verdict.value, room.lowest_flow_c) == ("short", None)
        assert result.flow.lowest_c is None

    def test_the_units_flow_stays_that_of_the_radiators(self):
        plain, mixed = assessed(demo_document()), assessed(mixed_house())
        assert mixed.flow.lowest_c == plain.flow.lowest_c
        assert mixed.energy.seasonal_efficiency == plain.energy.seasonal_efficiency
        assert mixed.plant.units == plain.plant.units

    def test_a_floor_with_its_own_valve_is_no_longer_told_to_get_one(self):
        assert findings(assessed(demo_document()), "floor_far_cooler")
        assert findings(assessed(mixed_house()), "floor_far_cooler") == []

    def test_mixing_never_warms(self):
        result = assessed(mixed_house(flow_temperature_c=55))
        found = only(result, "mixed_hotter_than_unit", Severity.STOP)
        assert (found.record, found.field) == ("mixed_circuit/mix", "flow_temperature_c")
        assert "55 °C" in found.message
        assert "50 °C" in found.message
        mixed = mixed_of(result)
        assert mixed.flow_c == 50
        assert mixed.primary_l_min == mixed.flow_l_min
        assert next(item for item in result.site.circuit.balance.rows if item.id == KITCHEN).verdict_mean_c == 47.5
        radiator = assessed(mixed_house("emitter-hall", flow_temperature_c=55))
        for answer in (radiator, assessed(demo_document())):
            (hall,) = (item for room in answer.rooms for item in room.emitters if item.id == "emitter-hall")
            assert hall.driving_k == pytest.approx(29.5, abs=0.01)
        assert findings(assessed(mixed_house(flow_temperature_c=50)), "mixed_hotter_than_unit") == []

    def test_a_circuit_without_a_temperature_or_emitters_says_what_is_missing(self):
        bare = assessed(with_records(demo_document(), "mixed_circuit", {"id": "mix"}))
        assert {"the emitters that it feeds", "its flow temperature"} <= set(mixed_of(bare).missing)
        assert bare.site.circuit.balance.flow_l_min == assessed(demo_document()).site.circuit.balance.flow_l_min


class TestWater:
    def test_flows_add_up_and_the_unit_gives_what_the_circuit_takes(self):
        result = assessed(mixed_house(KITCHEN, "emitter-hall"))
        balance, mixed = result.site.circuit.balance, mixed_of(result)
        own = [item for item in balance.rows if item.circuit == "mix"]
        direct = [item for item in balance.rows if not item.circuit]
        assert mixed.emitters == len(own) == 2
        assert mixed.flow_l_min == pytest.approx(fsum(item.flow_l_min for item in own), abs=0.02)
        assert balance.flow_l_min == pytest.approx(
            fsum(item.flow_l_min for item in direct) + mixed.primary_l_min, abs=0.06
        )
        heat = mixed.primary_l_min / 60_000 * WATER.density(40) * WATER.specific_heat(40) * (50 - mixed.return_c)
        assert heat == pytest.approx(mixed.heat_w, rel=0.02)
        assert balance.heat_w == pytest.approx(fsum(item.heat_w for item in balance.rows), abs=0.6)
        assert "counts with what it takes of the unit" in balance.words
        assert "mixed" not in assessed(demo_document()).site.circuit.balance.words

    @settings(deadline=None)
    @given(st.floats(0.5, 40), st.floats(25, 45), st.floats(2, 12), st.floats(0.5, 30))
    def test_primary_and_return_mix_to_the_circuits_flow(self, flow, mixed, drop, hotter):
        primary = primary_flow(flow, mixed, mixed - drop, mixed + hotter)
        assert 0 < primary < flow
        reached = (primary * (mixed + hotter) + (flow - primary) * (mixed - drop)) / flow
        assert reached == pytest.approx(mixed)

    def test_its_loops_are_its_own_pumps(self):
        document = changed(mixed_house(flow_temperature_c=32), "emitter", KITCHEN, manifold_distance_m=35, loops=1)
        result = assessed(document)
        hardest = max(run.drop_kpa for run in result.site.runs if run.purpose == "heating")
        assert kitchen(result).floor.pressure_kpa > hardest, "the case is none"
        assert "heated floor" not in result.site.circuit.index_words
        mixed = mixed_of(result)
        assert mixed.pump_kpa == pytest.approx(mixed.valve_kpa + kitchen(result).floor.pressure_kpa + 1, abs=0.1)


class TestValveAndPump:
    def test_the_valve_takes_as_much_as_the_pipes_and_three_kilopascals(self):
        mixed = mixed_of(assessed(mixed_house()))
        assert mixed.kv_most_m3_h == pytest.approx(mixed.flow_l_min * 0.06 / sqrt(0.03), abs=0.01)
        assert mixed.kvs_m3_h == max(size for size in KVS_M3_H if size <= mixed.kv_most_m3_h)
        assert mixed.valve_kpa >= 3
        assert mixed.authority == pytest.approx(mixed.valve_kpa / (mixed.valve_kpa + 2), abs=0.01)

    @settings(deadline=None)
    @given(st.floats(0.9, 60), st.floats(0, 60), st.floats(1.01, 3))
    def test_the_ordinary_valve_rules_at_least_half(self, flow, pipes, times):
        kvs = ordinary_kvs(largest_kv(flow, pipes))
        assert kvs in KVS_M3_H
        taken = (flow * 0.06 / kvs) ** 2 * 100
        if largest_kv(flow, pipes) >= KVS_M3_H[0]:
            assert taken >= max(3, pipes) - 1e-6
        assert ordinary_kvs(largest_kv(flow * times, pipes)) >= kvs
        assert ordinary_kvs(largest_kv(flow, pipes * times)) <= kvs

    def test_a_valve_that_rules_badly_is_said(self):
        found = only(
            assessed(mixed_house(valve_kvs_m3_h=4, primary_drop_kpa=5)), "mixing_valve_authority", Severity.CHECK
        )
        assert found.record == "mixed_circuit/mix"
        assert "Kvs 4" in found.message
        assert findings(assessed(mixed_house(primary_drop_kpa=5)), "mixing_valve_authority") == []

    def test_a_weak_pump_is_said_with_both_figures(self):
        needed = mixed_of(assessed(mixed_house())).pump_kpa
        found = only(assessed(mixed_house(pump_kpa=needed - 2)), "mixing_pump_weak", Severity.CHECK)
        assert f"{needed - 2:g} kPa" in found.message
        assert findings(assessed(mixed_house(pump_kpa=needed + 1)), "mixing_pump_weak") == []

    def test_what_is_not_known_is_said_and_not_made_up(self):
        mixed = mixed_of(assessed(mixed_house(primary_drop_kpa=None, pipes_drop_kpa=None)))
        assert mixed.authority is None
        assert set(mixed.missing) == {
            "the resistance of the pipes up to its mixing valve",
            "the resistance of its own pipes",
        }
        radiators = mixed_of(assessed(mixed_house(KITCHEN, "emitter-hall")))
        assert radiators.pump_kpa is None
        assert "the resistance of its emitters" in radiators.missing


def test_it_stands_in_the_drawing_of_the_circuit():
    result = assessed(mixed_house())
    for width in (640, 312):
        drawn = circuit_scheme(result.site.circuit, result.site.runs, width=width)
        assert "Kitchen floor, a mixed circuit" in drawn
        assert "valve Kvs 0.63" in drawn
    plain = assessed(demo_document())
    assert "mixed" not in circuit_scheme(plain.site.circuit, plain.site.runs)
