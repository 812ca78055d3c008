"""Units: tables that are refused, drawn between and held at their edges; the unit against its house."""

from __future__ import annotations

import copy
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.engine.support import assessed, findings, only
from tests.support.houses import changed, small_house
from wattwalk.catalogue import table
from wattwalk.engine.answers import Severity
from wattwalk.engine.unit.scop import Declared, Resting, cycling_factor, part_load, rate_table, seasonal_rating
from wattwalk.engine.unit.table import TablePoint, UnitTableError, build_table, carnot, table_of
from wattwalk.engine.unit.year import bivalent_point
from wattwalk.survey.document import read_document
from wattwalk.survey.kinds import KINDS
from wattwalk.survey.unit import Unit
from wattwalk.unit_list import DEMO_UNITS, PAPERS, read_units, unit_records

HEADER = "unit,name,outside_c,flow_c,capacity_kw,cop,least_kw,standby_w\ntext,text,degC,degC,kW,1,kW,W\n"
ROWS = [
    "a,Unit A,-7,35,6,2.9,2,10",
    "a,Unit A,-7,55,5.5,2.1,2,10",
    "a,Unit A,7,35,8,4.8,2.2,10",
    "a,Unit A,7,55,7.4,3.1,2.2,10",
]
POINTS = [
    TablePoint(-7, 35, 6, 2.9, 2),
    TablePoint(-7, 55, 5.5, 2.1, 2),
    TablePoint(7, 35, 8, 4.8, 2.2),
    TablePoint(7, 55, 7.4, 3.1, 2.2),
]


def with_units(document=None, **design):
    """Return a small house with the demo units in question and one of them chosen."""
    made = copy.deepcopy(document or small_house())
    made["records"]["unit"] = unit_records(DEMO_UNITS)
    made["records"]["design"] = [{"id": "d", "unit": "unit-small", "flow_temperature_c": 45, **design}]
    return made


def unit(assessment, key):
    return next(item for item in assessment.plant.units if item.id == key)


class TestTable:
    def test_its_own_points_come_back(self):
        made = build_table("A", POINTS)
        for point in POINTS:
            found = made.at(point.outside_c, point.flow_c)
            assert (found.capacity_kw, found.cop, found.least_kw) == pytest.approx(
                (point.capacity_kw, point.cop, point.least_kw)
            )
            assert made.beyond(point.outside_c, point.flow_c) == ()

    def test_between_its_points_the_exergy_efficiency_is_drawn(self):
        made = build_table("A", POINTS)
        exergy = (2.9 / carnot(-7, 35) + 4.8 / carnot(7, 35)) / 2
        assert made.at(0, 35).cop == pytest.approx(exergy * carnot(0, 35))
        assert made.at(0, 35).capacity_kw == pytest.approx(7)

    @pytest.mark.parametrize(
        ("outside", "flow", "edge", "words"),
        [
            (-20, 35, (-7, 35), "colder than the table"),
            (15, 35, (7, 35), "milder"),
            (7, 25, (7, 35), "cooler water"),
            (7, 70, (7, 55), "hotter water"),
            (-20, 70, (-7, 55), "hotter water"),
        ],
    )
    def test_beyond_it_the_edge_is_held_and_said(self, outside, flow, edge, words):
        made = build_table("A", POINTS)
        assert made.at(outside, flow) == made.at(*edge)
        assert any(words in item for item in made.beyond(outside, flow))

    @given(st.floats(-30, 30), st.floats(20, 80))
    def test_nothing_leaves_the_table(self, outside, flow):
        found = build_table("A", POINTS).at(outside, flow)
        assert 5.5 <= found.capacity_kw <= 8
        assert 2 <= found.least_kw <= found.capacity_kw
        assert 1 < found.cop < carnot(7, 35)

    @given(st.floats(-7, 7), st.floats(35, 54), st.floats(0.1, 1))
    def test_hotter_water_never_does_better(self, outside, flow, more):
        made = build_table("A", POINTS)
        assert made.at(outside, flow + more).cop < made.at(outside, flow).cop

    def test_without_least_outputs_it_runs_full_or_not(self):
        made = build_table(
            "A", [TablePoint(item.outside_c, item.flow_c, item.capacity_kw, item.cop) for item in POINTS]
        )
        assert made.at(0, 40).least_kw == made.at(0, 40).capacity_kw


class TestWrongTables:
    @pytest.mark.parametrize(
        ("points", "words"),
        [
            (POINTS[:3], "the cell at 7 °C outside and 55 °C flow is missing"),
            ([*POINTS, POINTS[0]], "the cell at −7 °C outside and 35 °C flow stands twice"),
            (POINTS[:2], "at least two outside and two flow temperatures, found 1 and 2"),
            ([*POINTS[:3], TablePoint(7, 55, None, 3.1, 2)], "the cell at 7 °C outside and 55 °C flow has no output"),
            ([*POINTS[:3], TablePoint(7, 55, 7.4, None, 2)], "has no coefficient of performance"),
            ([*POINTS[:3], TablePoint(7, 55, 7.4, 31, 2)], "which no heat pump can reach"),
            ([*POINTS[:3], TablePoint(7, 55, 7.4, 0.9, 2)], "expected 1 to less than"),
            ([*POINTS[:3], TablePoint(7, 55, 7.4, 3.1)], "has no least output, which other cells have"),
            ([*POINTS[:3], TablePoint(7, 55, 7.4, 3.1, 9)], "no more than its 7.4 kW"),
            (
                [*POINTS[:2], TablePoint(33, 35, 8, 9, 2), TablePoint(33, 55, 8, 5, 2)],
                "less than 5 K hotter than the air",
            ),
            ([], "found 0 and 0"),
        ],
    )
    def test_are_refused_by_their_cell(self, points, words):
        with pytest.raises(UnitTableError, match="A: ") as caught:
            build_table("A", points)
        assert words in str(caught.value)

    @pytest.mark.parametrize(
        ("text", "words"),
        [
            (HEADER + "\n".join(ROWS[:3]), "Unit A: the cell at 7 °C outside and 55 °C flow is missing"),
            (
                HEADER + "\n".join([*ROWS[:3], "a,Unit A,7,55,,3.1,2.2,10"]),
                "Unit A, row 6, column capacity_kw: the cell at 7 °C outside and 55 °C flow has no output",
            ),
            (
                HEADER + "\n".join([*ROWS[:3], "a,Unit A,7,55,7.4,x,2.2,10"]),
                "list, row 6, column cop: 'x' is not a number",
            ),
            (
                HEADER + "\n".join([*ROWS[:3], "a,Unit A,7,55,nan,3.1,2.2,10"]),
                "row 6, column capacity_kw: 'nan' is not a finite number",
            ),
            (
                HEADER + "\n".join([*ROWS[:3], "a,Unit A,,55,7.4,3.1,2.2,10"]),
                "list, row 6, column outside_c: the cell is empty",
            ),
            (HEADER + "a,Unit A,-7,35,6", "list, row 3: found 5 cells, expected 8"),
            (
                HEADER.replace("kW,1,kW", "W,1,kW") + "\n".join(ROWS),
                "list, column capacity_kw: it is in 'W', expected 'kW'",
            ),
            (HEADER.replace("cop", "eff") + "\n".join(ROWS), "there is no column cop"),
            (HEADER + "\n".join(row.replace("a,", "A b,", 1) for row in ROWS), "'A b' needs a short name"),
            (
                HEADER + "\n\n\n" + "\n".join([*ROWS[:3], "a,Unit A,7,55,7.4,0.2,2.2,10"]),
                "list, row 9, column cop: Coefficient of performance: found 0.2",
            ),
            (HEADER + "\n".join([*ROWS, ROWS[0]]), "stands twice (rows 3 and 7)"),
            (HEADER + "\n".join(row.replace("Unit A", "Unit A" * 40) for row in ROWS), "row 3, column name: "),
            (HEADER.replace("name", "unit") + "\n".join(ROWS), "a name of its own"),
            ("", "found 0 rows"),
        ],
    )
    def test_a_list_is_refused_by_its_cell(self, text, words):
        with pytest.raises(UnitTableError) as caught:
            unit_records("list", text)
        assert words in str(caught.value)

    def test_a_unit_without_rows_or_with_a_bare_row(self):
        made = small_house()
        made["records"]["unit"] = [
            {"id": "none"},
            {"id": "bare", "name": "Bare", "points": [{"outside_c": 2, "capacity_kw": 5}]},
        ]
        survey = read_document(made)
        for record, words in zip(
            survey.of_kind(Unit), ("no table yet", "row 1 of its table has no flow temperature"), strict=True
        ):
            with pytest.raises(UnitTableError, match=words):
                table_of(record)


def test_a_firms_list_becomes_records_that_a_survey_takes():
    records = unit_records("our list", HEADER + "\n".join(ROWS))
    assert [(record["id"], record["name"], record["standby_w"], len(record["points"])) for record in records] == [
        ("unit-a", "Unit A", 10, 4)
    ]
    made = small_house()
    made["records"]["unit"] = records
    found = table_of(read_document(made).of_kind(Unit)[0])
    assert found.at(7, 35).cop == pytest.approx(4.8)


def test_a_list_with_a_mark_of_its_encoding_and_blank_lines_is_read():
    text = "\ufeff" + HEADER + ",,,,,,,\n" + "\n".join(ROWS) + "\n\n"
    assert len(unit_records("list", text)) == 1


def test_the_demo_units_are_whole_and_better_when_milder_and_cooler():
    listed = read_units(table(DEMO_UNITS))
    assert [key for key, _ in listed] == ["small", "middle", "large"]
    for _, made in listed:
        for outside, flow in product((-10, -5, 0, 5), (38, 48, 58)):
            here = made.at(outside, flow)
            assert made.at(outside + 2, flow).cop > here.cop > made.at(outside, flow + 5).cop
            assert made.at(outside + 2, flow).capacity_kw > here.capacity_kw >= made.at(outside, flow + 5).capacity_kw


class TestSeason:
    def test_no_less_is_lost_by_cycling_deeper(self):
        assert cycling_factor(1) == 1.0
        assert cycling_factor(0.1) < cycling_factor(0.2) < cycling_factor(0.9) < 1

    def test_rest_takes_its_share(self):
        points = [Declared(-10, 8, 2.6), Declared(12, 12, 5)]
        bare, resting = seasonal_rating(points, 8), seasonal_rating(points, 8, resting=Resting(0.02, 0.02, 0.03, 0.02))
        assert resting.scop_on == bare.scop_on == bare.scop
        assert resting.scop < bare.scop
        hours = 0.02 * 179 + 0.03 * 3851 + 0.02 * 3672
        assert resting.scop == pytest.approx(8 * 2066 / (8 * 2066 / bare.scop_on + hours))

    def test_a_unit_that_covers_all_needs_no_heater(self):
        assert seasonal_rating([Declared(-10, 20, 2), Declared(12, 20, 2)], 5).heater_kwh == 0
        assert seasonal_rating([Declared(-10, 20, 2), Declared(12, 20, 2)], 5, least_c=-5).heater_kwh > 0

    def test_hotter_water_never_has_the_better_season(self):
        for _, made in read_units(table(DEMO_UNITS)):
            assert rate_table(made, 35.0).scop > rate_table(made, 55.0).scop > 1

    def test_output_and_load_that_do_not_meet(self):
        assert bivalent_point(lambda _: 5.0, lambda _: 9.0) is None
        assert bivalent_point(lambda _: 5.0, lambda _: 1.0) is None


class TestAgainstTheHouse:
    def test_the_house_is_covered_and_the_season_lies_between_the_points(self):
        found = assessed(with_units())
        chosen = found.plant.chosen
        load = found.building.unit_size_w / 1000
        assert chosen.covers == pytest.approx(chosen.capacity_kw / load, rel=0.002)
        assert found.plant.load_kw == pytest.approx(load, abs=0.01)
        assert found.plant.day_parts[0].outside_c == found.climate.outside_c
        assert 2.5 < chosen.seasonal_efficiency < 6
        assert chosen.heater_kwh == 0
        assert found.plant.scop_35 > found.plant.scop_55
        assert [item.electricity_kwh for item in found.plant.units] == sorted(
            item.electricity_kwh for item in found.plant.units
        )

    def test_a_year_that_is_colder_by_hand_takes_more_of_every_unit(self):
        usual = assessed(with_units())
        colder = assessed(with_units(changed(small_house(), "survey", "s", outside_annual_mean_c=8.5)))
        for was, now in zip(usual.plant.units, colder.plant.units, strict=True):
            assert now.electricity_kwh > 1.1 * was.electricity_kwh

    def test_a_large_unit_is_said_to_be_large(self):
        found = assessed(with_units(unit="unit-large"))
        said = only(found, "unit_large", Severity.CHECK)
        assert said.record == "unit/unit-large"
        assert unit(found, "unit-large").covers > 1.5

    @pytest.mark.parametrize(("backup", "severity"), [(None, Severity.STOP), (9, Severity.CHECK), (0.5, Severity.STOP)])
    def test_a_short_unit_stops_unless_a_heater_helps(self, backup, severity):
        made = changed(small_house(), "construction", "wall", u_value_w_m2k=3)
        made = changed(made, "construction", "window", u_value_w_m2k=5)
        made["records"]["surface"][0] |= {"width_m": 20, "height_m": 4}
        made["records"]["emitter"][0]["rated_output_w"] = 20000
        found = assessed(with_units(made, **({"backup_kw": backup} if backup else {})))
        assert unit(found, "unit-small").covers < 0.9
        assert only(found, "unit_short", severity).record == "unit/unit-small"
        assert unit(found, "unit-small").bivalent_c > found.climate.outside_c
        assert unit(found, "unit-small").heater_kwh > 0

    def test_water_hotter_than_the_table_stops_and_no_figure_is_given(self):
        made = with_units(flow_temperature_c=70)
        found = assessed(made)
        assert only(found, "unit_flow_beyond_table", Severity.STOP).record == "unit/unit-small"
        assert unit(found, "unit-small").capacity_kw is None
        assert "ends at 65 °C" in unit(found, "unit-small").missing[0]

    def test_colder_than_the_table_is_said(self):
        made = changed(with_units(), "survey", "s", outside_design_temperature_c=-18)
        found = assessed(made)
        only(found, "unit_cold_beyond_table", Severity.CHECK)
        assert any("colder than the table" in words for words in unit(found, "unit-small").edges)

    def test_a_hole_in_the_chosen_table_stops_and_names_the_cell(self):
        made = with_units()
        del made["records"]["unit"][0]["points"][5]["cop"]
        found = assessed(made)
        assert "has no coefficient of performance" in only(found, "unit_table_wrong", Severity.STOP).message
        assert unit(found, "unit-small").capacity_kw is None
        assert unit(found, "unit-middle").capacity_kw is not None

    def test_a_hole_in_another_table_only_wants_looking_at(self):
        made = with_units()
        del made["records"]["unit"][2]["points"][5]
        found = assessed(made)
        assert "is missing" in only(found, "unit_table_wrong", Severity.CHECK).message

    def test_a_typed_output_that_contradicts_the_table(self):
        assert findings(assessed(with_units(unit_capacity_kw=4.6)), "capacity_contradicts_table") == []
        only(assessed(with_units(unit_capacity_kw=9)), "capacity_contradicts_table", Severity.CHECK)

    def test_a_typed_output_alone_is_held_against_the_load(self):
        made = with_units(unit=None, unit_capacity_kw=0.8)
        assert only(assessed(made), "unit_short", Severity.STOP).record == "design/d"
        assert findings(assessed(with_units(unit=None, unit_capacity_kw=8)), "unit_short") == []

    def test_a_declared_season_that_the_table_does_not_bear_out(self):
        made = changed(with_units(), "unit", "unit-small", declared_scop_35=6.5)
        record = next(item for item in made["records"]["unit"] if item["id"] == "unit-small")
        # Down to the coolest water of the variable outlet, which is what makers declare for.
        cool = [{**point, "flow_c": 24} for point in record["points"] if point["flow_c"] == 35]
        made = changed(made, "unit", "unit-small", points=[*record["points"], *cool])
        assert assessed(made).plant.scop_words == ""
        assert only(assessed(made), "scop_above_table", Severity.CHECK).field == "declared_scop_35"
        assert findings(assessed(changed(made, "unit", "unit-small", declared_scop_35=4.1)), "scop_above_table") == []

    def test_a_house_not_known_gives_no_figures(self):
        made = changed(with_units(), "room", "hall", height_m=None, length_m=None)
        found = assessed(made)
        assert all(item.capacity_kw is None and item.missing for item in found.plant.units)
        assert found.plant.load_kw is None

    def test_the_heating_water_carries_what_the_table_gives(self):
        made = with_units(unit="unit-large", unit_capacity_kw=3)
        made["records"]["pipe_run"] = [
            {
                "id": "p",
                "purpose": "primary",
                "material": "copper",
                "size_mm": 28,
                "stretches": [{"place": "outdoors", "length_m": 5}],
            }
        ]
        found = assessed(made)
        assert found.site.circuit.load_kw == pytest.approx(unit(found, "unit-large").capacity_kw, abs=0.01)

    def test_no_units_no_word(self):
        assert assessed(small_house()).plant.units == ()


def test_the_worked_example_of_the_standard_lies_between_the_two_readings_of_its_bins():
    # EN 14825:2018, annex H, fixed capacity, low temperature, average climate: 3.61 is printed.
    declared = [
        Declared(*point)
        for point in (
            (-10, 7.8, 2.6),
            (-7, 9.55, 3.26),
            (-6, 9.7, 3.3),
            (2, 11.17, 4.0),
            (7, 12.66, 4.91),
            (12, 14.3, 5.5),
        )
    ]
    ours = seasonal_rating(declared, 11.46, least_c=-10).scop
    # The other reading draws on coefficients that are degraded at the declared points already.
    degraded = [
        Declared(
            point.outside_c,
            point.capacity_kw,
            point.cop * cycling_factor(11.46 * part_load(point.outside_c, -10) / point.capacity_kw),
        )
        for point in declared
    ]
    other = seasonal_rating(degraded, 11.46, least_c=-10, degradation=1.0).scop
    assert (ours, other) == (pytest.approx(3.625, abs=0.001), pytest.approx(3.598, abs=0.001))
    assert other < 3.61 < ours


class TestRunsInMildWeather:
    def made(self, **position):
        made = with_units(unit="unit-large")
        made["records"]["outdoor_position"] = [
            {"id": "p", "name": "Back", "refrigerant": "r32", "unit_content_l": 3, **position}
        ]
        made["records"]["pipe_run"] = [
            {
                "id": "r",
                "purpose": "primary",
                "material": "copper",
                "size_mm": 28,
                "stretches": [{"place": "void", "length_m": 5}],
            }
        ]
        return made

    def test_little_water_makes_short_runs_and_says_how_short(self):
        found = assessed(self.made(minimum_volume_l=5))
        said = only(found, "short_runs", Severity.CHECK)
        assert said.record == "circuit/circuit"
        mild = max(
            (part for part in found.plant.day_parts if 0 < part.load_kw < part.least_kw),
            key=lambda part: part.outside_c,
        )
        water = found.site.circuit.open_l
        minutes = water * 4.18 * 5 / (mild.least_kw - mild.load_kw) / 60
        assert f"for about {minutes:.0f} minutes" in said.message

    def test_enough_water_is_not_spoken_of(self):
        made = self.made(minimum_volume_l=5)
        made["records"]["vessel"] = [{"id": "v", "type": "volumiser", "litres": 300}]
        assert findings(assessed(made), "short_runs") == []

    def test_without_the_makers_figure_the_run_may_ask_for_more_than_a_defrost(self):
        made = self.made()
        for unit in made["records"]["unit"]:
            unit.pop("minimum_volume_l")
        circuit = assessed(made).site.circuit
        run = next(step for step in circuit.steps if step.what.startswith("Water for a run of 10 minutes"))
        defrost = next(step for step in circuit.steps if step.what == "Least water for a defrost")
        assert circuit.needed_l == pytest.approx(max(run.result, defrost.result), abs=0.1)


class TestPapers:
    """What a list says of a unit besides its table: columns that may be left out, or left empty, said once for each unit."""

    HEAD = "unit,name,outside_c,flow_c,capacity_kw,cop,least_kw,standby_w,{columns}\ntext,text,degC,degC,kW,1,kW,W,{units}\n"

    def text(self, columns, units, *cells):
        """The list with these cells after the first rows, and empty ones after the others."""
        empty = "," * columns.count(",")
        after = [*cells, *[empty] * (len(ROWS) - len(cells))]
        return self.HEAD.format(columns=columns, units=units) + "\n".join(
            f"{row},{more}" for row, more in zip(ROWS, after, strict=True)
        )

    def test_every_paper_of_a_unit_is_a_column(self):
        taken = set(PAPERS) | {"name", "table_from", "standby_w", "points", "notes", "zone_drawing", "firm_list"}
        assert {spec.name for spec in KINDS["unit"].fields} == taken

    def test_what_one_row_says_the_unit_has(self):
        text = self.text(
            "sound_power_dba,refrigerant,zone_corners,width_mm",
            "dBA,text,text,mm",
            ",,,",
            "54.5,r32,-1.5 0; 1.5 0;1.2 1.7,",
        )
        (record,) = unit_records("list", text)
        assert (record["sound_power_dba"], record["refrigerant"], record["zone_drawing"]) == (54.5, "r32", "corners")
        assert record["zone_corners"][2] == {"along_m": 1.2, "out_m": 1.7}
        assert "width_mm" not in record
        made = small_house()
        made["records"]["unit"] = [record]
        assert read_document(made).of_kind(Unit)[0].sound_power_dba == 54.5

    @pytest.mark.parametrize(
        ("columns", "units", "cells", "words"),
        [
            ("mass_kg", "kg", ("9",), "list, row 3, column mass_kg: Mass: found 9"),
            ("mass_kg", "t", ("0.1",), "list, column mass_kg: it is in 't', expected 'kg'"),
            ("mass_kg", "kg", ("heavy",), "list, row 3, column mass_kg: 'heavy' is not a number in kg"),
            (
                "mass_kg",
                "kg",
                ("90", "", "91"),
                "list, row 5, column mass_kg: 91.0 differs from row 3 of the same unit, 90.0",
            ),
            ("heavy_side", "text", ("", "top"), "list, row 4, column heavy_side: Heavy side, seen from the front: "),
            (
                "zone_corners",
                "text",
                ("1 2 3; 4",),
                "list, row 3, column zone_corners: '1 2 3; 4' is no list of corners",
            ),
            ("zone_corners", "text", ("1 200",), "list, row 3, column zone_corners: "),
            ("loudness", "dBA", ("50",), "list: no unit has a column loudness"),
        ],
    )
    def test_a_paper_is_refused_by_its_cell(self, columns, units, cells, words):
        with pytest.raises(UnitTableError) as caught:
            unit_records("list", self.text(columns, units, *cells))
        assert words in str(caught.value)
