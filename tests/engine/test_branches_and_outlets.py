"""What hangs behind the run from the unit, what a branch carries, and what a unit's table covers of the outlet that makers declare for."""

from __future__ import annotations

import pytest

from tests.support.houses import changed, small_house, with_records
from wattwalk.demo import demo_document
from wattwalk.engine.answers import Severity
from wattwalk.engine.unit.scop import outlet_of
from wattwalk.engine.unit.table import TablePoint, build_table

from .support import assessed, findings, only
from .test_units import with_units


class TestLoops:
    def test_a_loop_that_is_harder_than_every_branch_is_the_index_circuit(self):
        # Far from its manifold, and with water no warmer than its room needs.
        document = changed(demo_document(), "emitter", "emitter-kitchen", manifold_distance_m=35, loops=1)
        document = changed(document, "design", "design", flow_temperature_c=36)
        result = assessed(document)
        by_id = {run.id: run for run in result.site.runs}
        (loop,) = (item.floor for room in result.rooms for item in room.emitters if item.floor is not None)
        hardest = max(run.drop_kpa for run in by_id.values() if run.purpose == "heating")
        assert loop.pressure_kpa > hardest
        circuit = result.site.circuit
        in_line = sum(item.drop_kpa for item in circuit.vessels if item.drop_kpa is not None)
        trunk = next(run.drop_kpa for run in by_id.values() if run.purpose == "primary")
        assert circuit.index_kpa == pytest.approx(trunk + in_line + loop.pressure_kpa, abs=0.02)
        assert "heated floor in Kitchen" in circuit.index_words
        assert by_id["pipe-ground"].surplus_kpa == pytest.approx(
            loop.pressure_kpa - by_id["pipe-ground"].drop_kpa, abs=0.02
        )


class TestBranchHeat:
    def test_heat_that_the_rooms_contradict_is_said_with_both_figures(self):
        document = demo_document()
        assert findings(assessed(document), "branch_heat_contradicts") == []
        found = only(
            assessed(changed(document, "pipe_run", "pipe-first", carries_kw=2.4)),
            "branch_heat_contradicts",
            Severity.CHECK,
        )
        assert found.record == "pipe_run/pipe-first"
        assert "2.4 kW is typed" in found.message
        assert "2.87 kW" in found.message

    def test_a_heated_floor_is_not_among_the_radiators(self):
        document = demo_document()
        kitchen = next(room for room in assessed(document).rooms if room.name == "Kitchen")
        ground = sum(room.total_w for room in assessed(document).rooms if room.storey == "ground") - kitchen.total_w
        found = only(
            assessed(changed(document, "pipe_run", "pipe-ground", carries_kw=5)),
            "branch_heat_contradicts",
            Severity.CHECK,
        )
        assert f"{ground / 1000:.2f} kW" in found.message

    def test_two_branches_to_the_same_rooms_are_added(self):
        document = demo_document()
        half = changed(document, "pipe_run", "pipe-first", carries_kw=1.45)
        run = next(item for item in half["records"]["pipe_run"] if item["id"] == "pipe-first")
        assert (
            findings(assessed(with_records(half, "pipe_run", {**run, "id": "twin"})), "branch_heat_contradicts") == []
        )
        assert only(assessed(half), "branch_heat_contradicts", Severity.CHECK)


def test_no_line_is_offered_while_no_flow_serves_a_room():
    assert assessed(small_house()).compensation is not None
    result = assessed(changed(small_house(), "emitter", "radiator", rated_output_w=200))
    assert result.flow.lowest_c is None
    assert result.compensation is None


class TestOutlet:
    @staticmethod
    def unit(*flows: float):
        return build_table(
            "Some unit",
            [
                TablePoint(outside, flow, 8 + outside / 10, 2 + (outside - flow / 2 + 30) / 15, 3)
                for outside in (-15.0, -7.0, 2.0, 7.0, 12.0)
                for flow in flows
            ],
        )

    @pytest.mark.parametrize(
        ("flows", "application", "is_covered", "words"),
        [
            ((24, 35, 55), 35, True, "variable outlet"),
            ((30, 35, 55), 55, True, "variable outlet"),
            ((35, 45, 55), 35, False, "fixed outlet of 35 °C, where its table begins"),
            ((35, 45, 55), 55, False, "variable outlet down to 35 °C, where its table begins, and fixed below"),
        ],
    )
    def test_it_is_called_what_the_table_covers(self, flows, application, is_covered, words):
        assert outlet_of(self.unit(*map(float, flows)), float(application)) == (is_covered, words)

    def test_a_declared_value_above_a_fixed_outlet_is_no_fault(self):
        made = changed(with_units(), "unit", "unit-small", declared_scop_35=6.5)
        record = next(item for item in made["records"]["unit"] if item["id"] == "unit-small")
        hot = [point for point in record["points"] if point["flow_c"] >= 35]
        result = assessed(changed(made, "unit", "unit-small", points=hot))
        assert findings(result, "scop_above_table") == []
        assert "fixed outlet of 35 °C" in result.plant.scop_words
        (step,) = (item for item in result.plant.steps if "EN 14825 at 35" in item.what)
        assert "fixed outlet" in step.numbers
