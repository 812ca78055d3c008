"""The water balance of every emitter: its return, its flow, the Kv of its valve and the setting; sums that must close."""

from __future__ import annotations

from math import fsum, sqrt

import ht
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.houses import changed, small_house, with_records, without
from wattwalk.demo import demo_document
from wattwalk.engine.answers import Severity
from wattwalk.engine.circuit.ways import Valve
from wattwalk.engine.emitters.radiators import logarithmic_mean, radiator_output
from wattwalk.engine.emitters.throttled import floor_return, radiator_return, return_of_mean
from wattwalk.engine.fluids.glycol import WATER
from wattwalk.engine.fluids.pipe_flow import balancing_kv

from .support import assessed, findings, only

#: A valve that nobody makes.
VALVE = {
    "id": "valve",
    "name": "Valve of the test",
    "settings": [
        {"setting": "3", "kv_m3_h": 0.22},
        {"setting": "1", "kv_m3_h": 0.06},
        {"setting": "2", "kv_m3_h": 0.12},
        {"setting": "4", "kv_m3_h": 0.38},
        {"setting": "N", "kv_m3_h": 0.6},
    ],
}


def balance_of(document):
    return assessed(document).site.circuit.balance


def row(document, emitter):
    return next(item for item in balance_of(document).rows if item.id == emitter)


def with_valve(document, **valve):
    document = with_records(document, "preset_valve", {**VALVE, **valve})
    return changed(document, "circuit", "circuit", preset_valve="valve")


class TestReturns:
    @settings(deadline=None)
    @given(st.floats(0.04, 0.999), st.floats(25, 75), st.floats(5, 24))
    def test_the_mean_of_the_return_found_is_the_one_asked_for(self, share, flow, inside):
        mean = share * (flow - inside)
        back = return_of_mean(mean, flow, inside)
        assert inside <= back <= flow
        assert logarithmic_mean(flow, back, inside) == pytest.approx(mean, rel=1e-3, abs=1e-6)
        if back - inside > 0.01 and flow - back > 0.01:
            # A heat exchanger whose other side stays at the room's temperature, as a library has it.
            assert ht.LMTD(Thi=flow, Tho=back, Tci=inside, Tco=inside) == pytest.approx(mean, rel=1e-6)

    def test_no_return_reaches_a_mean_as_warm_as_the_flow(self):
        assert return_of_mean(25, 45, 20) is None
        assert return_of_mean(5, 20, 20) is None
        assert radiator_return(1000, 1.3, 1000, 60, 20) is None
        assert radiator_return(1000, 1.3, 10, 18, 20) is None
        assert floor_return(5, 10, 1300, 45, 20) is None

    @settings(deadline=None)
    @given(st.floats(0.03, 0.99), st.floats(30, 75), st.floats(1.0, 1.5))
    def test_at_the_return_found_the_radiator_gives_what_was_asked(self, share, flow, exponent):
        most = radiator_output(1000, exponent, flow, flow - 1e-9, 20)
        back = radiator_return(1000, exponent, share * most, flow, 20)
        # The two means of EN 442 do not quite meet: what lies on the step between them is met within it.
        assert radiator_output(1000, exponent, flow, back, 20) == pytest.approx(share * most, rel=0.012)

    @settings(deadline=None)
    @given(st.floats(0.05, 0.9), st.floats(0.01, 0.1), st.floats(35, 70))
    def test_the_less_is_asked_the_colder_it_returns(self, share, more, flow):
        most = radiator_output(1000, 1.3, flow, flow - 1e-9, 20)
        assert radiator_return(1000, 1.3, share * most, flow, 20) <= radiator_return(
            1000, 1.3, (share + more) * most, flow, 20
        )


class TestSums:
    def test_the_flows_add_up_and_the_returns_balance_the_heat(self):
        result = assessed(demo_document())
        balance = result.site.circuit.balance
        assert balance.flow_l_min == pytest.approx(fsum(item.flow_l_min for item in balance.rows), abs=0.06)
        assert balance.heat_w == pytest.approx(fsum(item.heat_w for item in balance.rows), abs=0.6)
        mixed = fsum(item.flow_l_min * item.return_c for item in balance.rows) / balance.flow_l_min
        assert balance.return_c == pytest.approx(mixed, abs=0.2)
        mean = (balance.flow_c + balance.return_c) / 2
        carried = (
            balance.flow_l_min
            / 60_000
            * WATER.density(mean)
            * WATER.specific_heat(mean)
            * (balance.flow_c - balance.return_c)
        )
        assert carried == pytest.approx(balance.heat_w, rel=0.006)

    def test_each_room_gets_what_it_loses_and_a_floor_what_goes_down_besides(self):
        result = assessed(demo_document())
        by_room: dict[str, float] = {}
        for item in result.site.circuit.balance.rows:
            by_room[item.room] = by_room.get(item.room, 0) + item.heat_w
        for room in result.rooms:
            down = fsum(
                item.floor.heat_w - item.floor.needed_w_m2 * 10.4 for item in room.emitters if item.floor is not None
            )
            assert by_room[room.id] == pytest.approx(room.total_w + down, abs=1)

    def test_what_is_taken_out_has_no_water(self):
        assert "emitter-study-old" not in {item.id for item in balance_of(demo_document()).rows}

    def test_one_that_cannot_be_told_leaves_the_sum_unsaid(self):
        document = with_records(demo_document(), "emitter", {"id": "odd", "room": "room-hall", "type": "convector"})
        balance = balance_of(document)
        assert (balance.flow_l_min, balance.return_c, balance.heat_w) == (None, None, None)
        assert "not known yet" in balance.words
        odd = next(item for item in balance.rows if item.id == "odd")
        assert odd.state == "not_known"
        assert odd.missing


class TestStates:
    @pytest.mark.parametrize("flow", [40, 45, 50, 60])
    def test_both_means_are_told_and_differ_only_where_it_is_throttled(self, flow):
        for item in balance_of(changed(demo_document(), "design", "design", flow_temperature_c=flow)).rows:
            assert item.verdict_mean_c == pytest.approx(flow - 2.5)
            assert item.mean_c == pytest.approx((flow + item.return_c) / 2, abs=0.01)
            if item.state == "throttled":
                assert item.mean_c < item.verdict_mean_c
            elif item.loops == 1 and item.id != "emitter-kitchen":
                assert item.mean_c == pytest.approx(item.verdict_mean_c)

    def test_a_short_room_is_counted_as_in_its_verdict_and_more_water_is_said(self):
        document = changed(demo_document(), "design", "design", flow_temperature_c=43)
        result = assessed(document)
        short = {room.id for room in result.rooms if room.verdict.value == "short"}
        assert short
        rows = result.site.circuit.balance.rows
        assert {item.room for item in rows if item.state == "short"} == short
        for item in rows:
            if item.state == "short":
                assert item.return_c == pytest.approx(38)
                assert "short" in item.says

    def test_water_too_cool_for_any_flow_is_said(self):
        document = changed(demo_document(), "design", "design", flow_temperature_c=30)
        assert "no flow of water at 30 °C" in row(document, "emitter-living").says

    def test_a_room_that_needs_nothing_has_its_valve_shut(self):
        document = changed(demo_document(), "room", "room-landing", inside_temperature_c=5)
        found = row(document, "emitter-landing")
        assert (found.state, found.flow_l_min, found.kv_m3_h) == ("idle", 0.0, None)

    def test_glycol_takes_more_water_for_the_same_heat(self):
        plain, mixed = demo_document(), demo_document()
        mixed = changed(mixed, "circuit", "circuit", fluid="propylene_glycol", glycol_percent=30)
        for emitter in ("emitter-living", "emitter-kitchen"):
            assert row(mixed, emitter).heat_w == pytest.approx(row(plain, emitter).heat_w, abs=0.2)
            assert row(mixed, emitter).flow_l_min > row(plain, emitter).flow_l_min * 1.03


class TestPressure:
    def test_each_valve_takes_what_the_hardest_way_leaves(self):
        result = assessed(demo_document())
        runs = {run.id: run for run in result.site.runs}
        hardest = max(run.drop_kpa for run in runs.values() if run.purpose == "heating")
        by_id = {item.id: item for item in result.site.circuit.balance.rows}
        assert by_id["emitter-living"].left_kpa == pytest.approx(hardest - runs["pipe-ground"].drop_kpa + 6, abs=0.02)
        assert by_id["emitter-landing"].left_kpa == pytest.approx(hardest - runs["pipe-first"].drop_kpa + 5, abs=0.02)
        floor = next(item.floor for room in result.rooms for item in room.emitters if item.floor is not None)
        assert by_id["emitter-kitchen"].left_kpa == pytest.approx(hardest - floor.pressure_kpa, abs=0.02)
        for item in by_id.values():
            q_m3_h = item.flow_l_min / item.loops * 0.06
            assert item.kv_m3_h == pytest.approx(q_m3_h / sqrt(item.left_kpa / 100), rel=0.05)

    def test_on_the_hardest_way_the_valve_stays_open(self):
        document = changed(demo_document(), "pipe_run", "pipe-ground", end_drop_kpa=None)
        document = changed(document, "pipe_run", "pipe-first", end_drop_kpa=None)
        found = row(document, "emitter-living")
        assert (found.left_kpa, found.kv_m3_h) == (0.0, None)
        assert "fully open" in found.says

    def test_without_the_run_that_feeds_it_there_is_no_kv(self):
        balance = balance_of(without(demo_document(), "pipe_run", "pipe-first"))
        assert {item.kv_m3_h for item in balance.rows} == {None}
        assert "the heating run that feeds" in balance.words
        assert balance.flow_l_min is not None

    def test_two_runs_to_the_same_rooms_leave_it_open_which_feeds_what(self):
        document = demo_document()
        first = next(item for item in document["records"]["pipe_run"] if item["id"] == "pipe-first")
        balance = balance_of(with_records(document, "pipe_run", {**first, "id": "twin", "name": "Twin"}))
        assert "which of Radiators of the first floor and Twin feeds" in balance.words
        assert {item.kv_m3_h for item in balance.rows} == {None}

    @settings(deadline=None)
    @given(st.floats(0.1, 20), st.floats(0.1, 40), st.floats(1.01, 3))
    def test_kv_grows_with_the_flow_and_falls_with_the_pressure(self, flow, left, times):
        kv = balancing_kv(flow, left)
        assert balancing_kv(flow * times, left) > kv
        assert balancing_kv(flow, left * times) < kv


class TestSettings:
    def test_the_lowest_setting_that_lets_enough_through(self):
        for item in balance_of(with_valve(demo_document())).rows:
            if item.id == "emitter-kitchen":
                assert (item.valve, item.setting) == ("", ""), "a floor has no radiator valve"
                continue
            enough = [
                one["setting"]
                for one in sorted(VALVE["settings"], key=lambda one: one["kv_m3_h"])
                if one["kv_m3_h"] >= item.kv_m3_h
            ]
            assert (item.valve, item.setting) == ("Valve of the test", enough[0])

    @settings(deadline=None)
    @given(st.floats(0.01, 0.6), st.floats(0.01, 0.6))
    def test_a_greater_kv_never_has_a_lower_setting(self, one, other):
        valve = Valve("", ((0.06, "1"), (0.12, "2"), (0.22, "3"), (0.38, "4"), (0.6, "5")))
        low, high = sorted((one, other))
        assert int(valve.setting_for(low)) <= int(valve.setting_for(high))

    def test_without_a_table_the_kv_stands_alone(self):
        assert {item.setting for item in balance_of(demo_document()).rows} == {""}
        assert {item.setting for item in balance_of(with_valve(demo_document(), settings=[])).rows} == {""}

    def test_an_emitter_may_name_another_valve(self):
        document = with_records(
            with_valve(demo_document()),
            "preset_valve",
            {"id": "own", "name": "Own", "settings": [{"setting": "II", "kv_m3_h": 1}]},
        )
        document = changed(document, "emitter", "emitter-kitchen", preset_valve="own")
        assert (row(document, "emitter-kitchen").valve, row(document, "emitter-kitchen").setting) == ("Own", "II")

    def test_a_valve_too_small_or_too_large_is_said(self):
        small = with_valve(demo_document(), settings=[{"setting": "1", "kv_m3_h": 0.2}])
        found = findings(assessed(small), "valve_too_small")
        assert {item.record for item in found} == {"emitter/emitter-living", "emitter/emitter-dining"}
        assert "0.2" in found[0].message
        large = with_valve(
            demo_document(), settings=[{"setting": "1", "kv_m3_h": 0.15}, {"setting": "2", "kv_m3_h": 0.6}]
        )
        assert "emitter/emitter-landing" in {item.record for item in findings(assessed(large), "valve_too_large")}
        fitting = with_valve(
            demo_document(), settings=[{"setting": str(kv), "kv_m3_h": kv / 100} for kv in range(2, 62, 2)]
        )
        assert findings(assessed(fitting), "valve_too_small") == findings(assessed(fitting), "valve_too_large") == []


def test_balanced_emitters_below_the_units_least_flow_are_said():
    document = changed(demo_document(), "unit", "unit-middle", minimum_flow_l_min=12)
    found = only(assessed(document), "balanced_below_least", Severity.CHECK)
    assert "12 l/min" in found.message
    assert (
        findings(
            assessed(changed(demo_document(), "unit", "unit-middle", minimum_flow_l_min=6)), "balanced_below_least"
        )
        == []
    )


def test_a_house_without_emitters_has_no_balance():
    document = with_records(small_house(), "design", {"id": "d"})
    for emitter in [item["id"] for item in document["records"]["emitter"]]:
        document = without(document, "emitter", emitter)
    assert assessed(document).site.circuit.balance is None
