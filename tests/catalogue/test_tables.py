"""The reference tables: sources, units, ranges, monotony, and a fingerprint of the whole."""

from __future__ import annotations

import hashlib
import re
from itertools import pairwise
from pathlib import Path

import CoolProp.CoolProp as coolprop
import pytest
from ht.insulation import building_materials

import wattwalk
from wattwalk.catalogue import (
    CONFIDENCES,
    CatalogueError,
    document,
    documents,
    file_of,
    folders,
    interpolate,
    names,
    read_table,
    table,
)
from wattwalk.engine.air.ventilation import HEAT_WH_M3K
from wattwalk.engine.climate.design_cold import FALL_WITH_HEIGHT_K_M
from wattwalk.engine.climate.stations import WIDEST_STEP_K, all_stations, has_percentile, station_named
from wattwalk.engine.climate.weather import year_degree_days
from wattwalk.survey.building import EMITTER_TYPES, ROOM_USES, Emitter, Surface
from wattwalk.survey.constructions import ELEMENTS, LOOKS, SPACE_FACES, Construction, UnheatedSpace
from wattwalk.survey.household import AGE_BANDS, LOCATIONS, SurveyRecord
from wattwalk.survey.known import known
from wattwalk.survey.services import HotWater
from wattwalk.survey.usual import MATERIAL_NAMES, READY
from wattwalk.survey.works import Design

PACKAGE = Path(wattwalk.__file__).parent
ROWS = [(name, row) for name in names() for row in table(name).rows]
UNITS = {
    "text",
    "1",
    "mm",
    "m",
    "m2",
    "m3",
    "degC",
    "1/h",
    "W",
    "W/m",
    "W/m2",
    "W/mK",
    "W/m2K",
    "m2K/W",
    "kg/m3",
    "Kd",
    "mPas",
    "J/kgK",
    "kPa",
    "kg",
    "cm2",
    "mm/m",
    "l/min",
    "dBA",
    "dB",
    "m/s",
    "mm2",
    "mV/Am",
    "A",
    "l/m",
    "m3/h",
    "l/s",
    "m2K/W mm",
    "deg",
    "W/m3",
    "kW",
    "kg/kWh",
    "p/kWh",
    "p/day",
    "pounds",
    "l",
    "h",
    "K",
    "%",
}

#: Change it knowingly: every figure of the catalogue is in it.
FINGERPRINT = "8c01f55530210240"


def column(name: str, wanted: str, **where: str | float) -> list[float]:
    return [
        row.number(wanted) for row in table(name).rows if all(row.cells[key] == value for key, value in where.items())
    ]


@pytest.mark.parametrize("name", names())
def test_each_table_says_where_it_comes_from(name):
    assert re.search(r"_(19|20)\d\d$|_sap_10_2$|_heating_design_guide$", name), "the file name carries the edition"
    found = table(name)
    assert found.rows
    assert set(found.units.values()) <= UNITS
    for row in found.rows:
        assert document(row.source).title
        assert row.confidence in CONFIDENCES
        assert row.locator


def test_each_document_is_used_or_cited():
    used = {row.source for _, row in ROWS}
    code = "".join(path.read_text(encoding="utf-8") for path in (PACKAGE / "engine").rglob("*.py"))
    assert {key for key in documents() if key not in used and f'"{key}"' not in code} == set()


def test_the_page_of_the_catalogue_says_who_reads_each_table():
    # The phone's tables are written from some of them when the app is built.
    modules = {
        path.relative_to(top).as_posix(): path.read_text(encoding="utf-8")
        for top, paths in ((PACKAGE, PACKAGE.rglob("*.py")), (PACKAGE.parent, (PACKAGE.parent / "tools").glob("*.py")))
        for path in paths
    }
    readers = {name: sorted(module for module, text in modules.items() if f'"{name}"' in text) for name in names()}
    listed = dict(
        re.findall(
            r"^\| `(\w+)` \| (.*?) \|$", (PACKAGE / "catalogue" / "README.md").read_text(encoding="utf-8"), re.MULTILINE
        )
    )
    assert listed == {name: ", ".join(f"`{module}`" for module in modules) for name, modules in readers.items()}


@pytest.mark.parametrize("name", names())
def test_each_table_lies_with_a_subject_that_reads_it(name):
    subject = folders()[name]
    assert any(
        f'"{name}"' in path.read_text(encoding="utf-8")
        for path in [
            *(PACKAGE / "engine" / subject).rglob("*.py"),
            PACKAGE / "unit_list.py",
            *(PACKAGE.parent / "tools").glob("*.py"),
        ]
    )


def test_the_fingerprint_of_the_whole():
    digest = hashlib.sha256()
    for name in folders():
        digest.update(f"{name}.csv".encode() + b"\0" + file_of(name).read_bytes())
    assert digest.hexdigest()[:16] == FINGERPRINT


@pytest.mark.parametrize(
    ("name", "wanted", "low", "high"),
    [
        ("materials_en_iso_10456_2007", "conductivity_w_mk", 0.02, 400),
        ("u_values_rdsap_10_2025", "u_value_w_m2k", 0.1, 5),
        ("u_values_by_insulation_rdsap_2012", "u_value_w_m2k", 0.1, 2.5),
        ("room_temperatures_bs_5449_1990", "temperature_c", 16, 24),
        ("design_temperatures_cibse_guide_a_2006", "percentile_99_6_c", -8, 0),
        ("outside_temperatures_sap_10_2", "annual_mean_c", 7, 12),
        ("unheated_spaces_en_12831_2003", "factor", 0, 1),
        ("thermal_bridges_en_12831_1_2017", "bridge_w_m2k", 0, 0.2),
        ("thermal_bridges_rdsap_2012", "bridge_w_m2k", 0.05, 0.2),
        ("emitter_exponents_2026", "exponent", 1, 1.8),
        ("floor_coverings_2026", "resistance_m2k_w", 0, 0.25),
        ("radiator_outputs_generic_2026", "output_w_m", 200, 4000),
    ],
)
def test_ranges(name, wanted, low, high):
    assert all(low <= value <= high for value in column(name, wanted))


def falls(values: list[float]) -> bool:
    return all(one >= other for one, other in pairwise(values))


def test_more_insulation_never_loses_more():
    for look in ("roof_loft", "roof_rafters", "floor_exposed"):
        assert falls(column("u_values_by_insulation_rdsap_2012", "u_value_w_m2k", look=look))
    assert falls(column("brick_thickness_rdsap_10_2025", "u_value_w_m2k"))
    assert falls(column("thermal_bridges_rdsap_2012", "bridge_w_m2k"))


def test_newer_houses_never_lose_more():
    for look, _label, *_ in LOOKS:
        values = column("u_values_rdsap_10_2025", "u_value_w_m2k", look=look)
        # RdSAP itself gives filled cavities 0.35 in bands G and H and 0.45, as built, in band I.
        assert falls(values) or look == "wall_cavity_filled"


def test_taller_panels_give_more_and_so_do_deeper_ones():
    by_type = {
        kind: column("radiator_outputs_generic_2026", "output_w_m", type=kind)
        for kind in ("panel_10", "panel_11", "panel_21", "panel_22", "panel_33")
    }
    for values in by_type.values():
        assert falls(values[::-1])
    for thin, thick in pairwise(by_type.values()):
        assert all(one < other for one, other in zip(thin, thick, strict=True))


def test_panels_agree_with_the_textbook_estimator():
    for kind, kp in (("panel_11", 4.1), ("panel_21", 5.8), ("panel_22", 7.0)):
        for row in table("radiator_outputs_generic_2026").where("type", kind):
            estimate = 41 * kp * (1 + 8 * row.number("height_mm") / 1000)
            assert row.number("output_w_m") == pytest.approx(estimate, rel=0.08)


def test_three_panels_give_two_fifths_more_than_two():
    for row in table("radiator_outputs_generic_2026").where("type", "panel_33"):
        two = table("radiator_outputs_generic_2026").get(type="panel_22", height_mm=row.number("height_mm"))
        assert row.number("output_w_m") == pytest.approx(1.4 * two.number("output_w_m"), rel=0.03)


def test_cast_iron_sections_follow_their_height():
    for row in table("column_sections_generic_2026").rows:
        of_a_metre = 49 if row.number("columns") == 2 else 42
        assert row.number("output_w") == pytest.approx(
            of_a_metre * row.number("columns") * row.number("height_mm") / 1000, rel=0.04
        )


def test_water_in_panels_follows_their_height():
    for row in table("panel_content_2026").rows:
        at_no_height, by_height = {"1": (0.2, 5.0), "2": (0.65, 8.8), "3": (1.3, 12.7)}[row.word("type")[-2]]
        assert row.number("content_l_m") == pytest.approx(
            at_no_height + by_height * row.number("height_mm") / 1000, rel=0.02
        )


WHOSE = re.compile(r"^\| `([a-z0-9_]+)` \| (Standard|Habit|Rule|Invented) \| (.{10,}) \|$", re.MULTILINE)
#: What the rows of a table may cite that is no standard, code or authority.
NO_STANDARD = {"common_practice", "handbooks", "fitting_handbooks"}


def test_each_table_without_a_standard_in_its_name_says_whose_figures_it_holds():
    said = {
        name: whose
        for name, whose, _why in WHOSE.findall((PACKAGE / "catalogue" / "README.md").read_text(encoding="utf-8"))
    }
    assert set(said) == {name for name in names() if re.search(r"_generic_|_demo_|_2026$", name)}
    for name, whose in said.items():
        sources = {row.source for row in table(name).rows}
        if whose == "Standard":
            assert sources - NO_STANDARD - {"invented"}, name
        elif whose == "Habit":
            assert sources <= NO_STANDARD, name
        elif whose == "Rule":
            assert name in {"column_sections_generic_2026", "panel_content_2026", "radiator_outputs_generic_2026"}, (
                "a rule is worked out by a test above"
            )
        assert (whose == "Invented") is ("invented" in sources), name


def test_a_unit_of_the_demo_is_called_invented_in_its_name():
    assert all("invented" in row.word("name") for row in table("units_demo_2026").rows)


def test_air_layers_grow_with_thickness():
    for direction in ("up", "horizontal", "down"):
        assert falls(column("air_layers_en_iso_6946_2017", f"{direction}_m2k_w")[::-1])


def test_limit_curves_rise_with_the_screed_and_fall_with_the_spacing():
    rows = table("underfloor_limit_b_en_1264_2_2021").rows
    for spacing in {row.number("spacing_m") for row in rows}:
        assert falls(column("underfloor_limit_b_en_1264_2_2021", "b_g_w_m2k", spacing_m=spacing)[::-1])
    for resistance in {row.number("screed_m2k_w") for row in rows}:
        assert falls(column("underfloor_limit_b_en_1264_2_2021", "b_g_w_m2k", screed_m2k_w=resistance))
        assert falls(column("underfloor_limit_n_en_1264_2_2021", "n_g", screed_m2k_w=resistance)[::-1])


def test_plates_conduct_more_by_spacing_and_by_metal():
    name = "plates_conduction_en_1264_2_2021"
    for pipe in (14.0, 16.0, 18.0, 20.0, 22.0):
        for spacing in {row.number("spacing_m") for row in table(name).rows}:
            assert falls(column(name, "a_wl", spacing_m=spacing, pipe_mm=pipe)[::-1])
        for conduction in (0.0, 0.1, 0.2, 0.3, 0.4):
            assert falls(column(name, "a_wl", conduction=conduction, pipe_mm=pipe))


def test_every_correction_is_a_choice_that_takes_something_off():
    for row in table("emitter_corrections_2026").rows:
        assert row.word("value") in options(Emitter, row.word("field"))
        assert 0.4 <= row.number("factor") < 1


def test_tighter_houses_change_less_air():
    for use, *_ in ROOM_USES:
        rows = table("room_air_changes_heating_design_guide").where("use", use)
        assert falls([row.number("air_changes_h") for row in rows])


def test_air_changes_leave_no_year_out_and_say_none_twice():
    for use, *_ in ROOM_USES:
        first, *_rest, last = rows = table("room_air_changes_heating_design_guide").where("use", use)
        assert first.cells["built_from"] is None
        assert last.cells["built_to"] is None
        assert all(row.number("built_to") + 1 == after.number("built_from") for row, after in pairwise(rows))


def test_the_colder_column_is_colder_and_the_widest_step_is_the_one_taken_where_it_is_not_held():
    steps = [
        row.number("percentile_99_c") - row.number("percentile_99_6_c")
        for row in all_stations()
        if has_percentile(row, "99_6")
    ]
    assert len(steps) == 10
    assert min(steps) >= 1.3
    assert max(steps) == pytest.approx(WIDEST_STEP_K)


def test_two_tables_of_stations_are_of_one_kind():
    """The ASHRAE index and CIBSE Guide A have these stations in common, at 99 % of the hours: within 1 K, and three to the tenth."""
    index = {
        "belfast": -1.3,
        "birmingham": -2.8,
        "cardiff": -0.7,
        "edinburgh": -3.4,
        "glasgow": -3.9,
        "manchester": -2.2,
        "plymouth": 0.2,
    }
    for name, value in index.items():
        assert table("design_temperatures_cibse_guide_a_2006").get(location=name).number("percentile_99_c") == (
            pytest.approx(value, abs=0.95)
        )


def test_the_station_of_a_region_is_the_printed_one_or_the_coldest_in_it():
    for row in table("stations_by_region_2026").rows:
        inside = [station for station in all_stations() if station.number("region") == row.number("region")]
        printed = [station for station in inside if station.source == "cibse_guide_a_2006"]
        taken = known(station_named(row.word("location")))
        assert taken in (printed or inside)
        if not printed:
            levelled = {
                station.word("location"): station.number("percentile_99_c")
                + FALL_WITH_HEIGHT_K_M * station.number("altitude_m")
                for station in inside
            }
            assert levelled[taken.word("location")] <= min(levelled.values()) + 0.05


def test_the_yearly_mean_is_the_mean_of_its_months():
    days = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
    for row in table("outside_temperatures_sap_10_2").rows:
        months = [value for name, value in row.cells.items() if name.endswith("_c") and name != "annual_mean_c"]
        assert len(months) == 12
        mean = sum(day * value for day, value in zip(days, months, strict=True)) / 365
        assert row.number("annual_mean_c") == pytest.approx(mean, abs=0.0051)


def test_every_region_has_a_station_of_the_table():
    rows = table("stations_by_region_2026").rows
    assert [row.number("region") for row in rows] == list(range(1, 22))
    assert {row.word("location") for row in rows} <= {item[0] for item in LOCATIONS}


def test_older_years_were_no_warmer_than_their_months_say_by_much():
    for row in table("degree_days_20_years_1998").rows:
        assert 0.94 <= row.number("degree_days_kd") / year_degree_days(row.number("region")) <= 1.17


def test_postcode_rows_do_not_overlap():
    by_area: dict[str, list] = {}
    for row in table("postcode_regions_sap_10_2").rows:
        by_area.setdefault(row.word("area"), []).append((row.cells["from_district"], row.cells["to_district"]))
        assert 1 <= row.number("region") <= 21
    for area, ranges in by_area.items():
        given = sorted(item for item in ranges if item[0] is not None)
        assert len(ranges) - len(given) <= 1, area
        assert all(one[1] < other[0] for one, other in pairwise(given)), area


def test_cables_nearer_behind_a_divider():
    for row in table("cable_separation_en_50174_2_2000").rows:
        assert falls([row.number(name) for name in ("no_divider_mm", "aluminium_divider_mm", "steel_divider_mm")])


def options(kind, field: str) -> set[str]:
    return {item.value for item in kind.kind.field(field).choices}


def test_every_choice_of_the_survey_has_its_row():
    uses = {item[0] for item in ROOM_USES}
    assert {row.word("use") for row in table("room_temperatures_bs_5449_1990").rows} == uses
    assert {row.word("use") for row in table("room_air_changes_heating_design_guide").rows} == uses
    assert {row.word("location"): row.word("name") for row in all_stations()} == {
        item[0]: item[1] for item in LOCATIONS
    }
    assert {row.word("space") for row in table("unheated_spaces_en_12831_2003").rows} == options(
        Surface, "unheated_space"
    )
    assert {row.word("allowance") for row in table("thermal_bridges_en_12831_1_2017").rows} == options(
        SurveyRecord, "thermal_bridges"
    ) - {"by_age"}
    assert [row.word("age_band") for row in table("thermal_bridges_rdsap_2012").rows] == [item[0] for item in AGE_BANDS]
    assert {row.word("covering") for row in table("floor_coverings_2026").rows} == options(Emitter, "covering")
    assert {row.word("type") for row in table("emitter_exponents_2026").rows} == {item[0] for item in EMITTER_TYPES} - {
        "underfloor"
    }


def test_every_look_has_a_value_at_every_age():
    by_age = {row.word("look") for row in table("u_values_rdsap_10_2025").rows}
    ready = {item[0] for item in READY}
    layered = {row.word("look") for row in table("usual_layers_2026").rows} - ready
    # An inside door is in the library and among the looks, by the same layers.
    by_size = {"floor_solid", "floor_suspended", "floor_cellar"}
    assert by_age | layered | by_size | {"door_inside"} == {item[0] for item in LOOKS}
    for look in by_age:
        ages = {row.word("age_band") for row in table("u_values_rdsap_10_2025").where("look", look)}
        assert ages in ({"any"}, {item[0] for item in AGE_BANDS})
    assert len({item[0] for item in ELEMENTS}) == len(ELEMENTS)


def test_the_library_has_layers_or_a_row_for_each_and_nothing_else():
    by_layers = {row.word("look") for row in table("usual_layers_2026").rows}
    by_look = {row.word("ready") for row in table("ready_by_look_2026").rows}
    ready = {item[0] for item in READY}
    assert ready == (by_layers & ready) | by_look
    assert not by_layers & by_look
    assert by_layers - ready <= {item[0] for item in LOOKS}
    assert len(READY) >= 30


def test_every_material_that_is_offered_has_its_conductivity():
    assert (
        list(MATERIAL_NAMES)
        == [row.word("name") for row in table("materials_en_iso_10456_2007").rows][: len(MATERIAL_NAMES)]
    )
    assert len(MATERIAL_NAMES) == len(table("materials_en_iso_10456_2007").rows)


def test_every_choice_of_glass_ground_and_space_has_its_row():
    for name, column_name, field in (
        ("glass_units_en_673_2011", "glass", "glass"),
        ("frames_en_iso_10077_1_2017", "frame_kind", "frame_kind"),
        ("metal_frame_breaks_sap_10_2", "frame_break", "frame_break"),
        ("added_insulation_rdsap_10_2025", "insulation_kind", "insulation_kind"),
    ):
        assert {row.word(column_name) for row in table(name).rows} == options(Construction, field), name
    assert {row.word("glazing") for row in table("window_u_values_sap_10_2").rows} == options(Construction, "glazing")
    assert {row.word("ground_kind") for row in table("grounds_en_iso_13370_2017").rows} == options(
        SurveyRecord, "ground_kind"
    )
    assert {row.word("tightness") for row in table("space_air_changes_en_iso_13789_2017").rows} == options(
        UnheatedSpace, "tightness"
    )
    assert {row.word("face") for row in table("space_faces_2026").rows} == {item[0] for item in SPACE_FACES}


def test_wider_gaps_and_better_coatings_never_lose_more():
    for frame in ("wood_pvc", "metal"):
        by_glazing = {
            name: [
                row.number("u_value_w_m2k")
                for row in table("window_u_values_sap_10_2").where("glazing", name)
                if row.cells["frame"] == frame
            ]
            for name in (
                "double_air",
                "double_air_hard_0_2",
                "double_air_soft_0_1",
                "double_air_soft_0_05",
                "double_argon_soft_0_05",
                "triple_argon_soft_0_05",
            )
        }
        assert all(falls(values) and len(values) == 3 for values in by_glazing.values())
        assert all(
            one >= other
            for thin, thick in pairwise(by_glazing.values())
            for one, other in zip(thin, thick, strict=True)
        )


def test_the_nations_have_the_bands_they_have():
    for nation, absent in (("england_wales", "M"), ("scotland", "M"), ("northern_ireland", "JM")):
        for look in {row.word("look") for row in table("u_values_nations_rdsap_2012").rows}:
            bands = {
                row.word("age_band")
                for row in table("u_values_nations_rdsap_2012").where("look", look)
                if row.cells["nation"] == nation
            }
            assert bands == {item[0] for item in AGE_BANDS} - set(absent), (nation, look)
    years = {
        (row.word("nation"), row.word("age_band")): row.word("years") for row in table("age_bands_rdsap_10_2025").rows
    }
    assert {band: years["england", band] for band, _label, *_ in AGE_BANDS} == {
        band: label for band, label, *_ in AGE_BANDS
    }
    assert ("northern_ireland", "J") not in years


#: What the materials of EN ISO 10456 are called in the library `ht`, which carries the same table from another hand.
IN_HT = {
    "sandstone": "Stone, sandstone (silica)", "limestone_soft": "Stone, limestone, soft", "limestone_semi_hard": "Stone, limestone, semi-hard",
    "limestone_hard": "Stone, limestone, hard", "granite": "Stone, granite", "slate": "Stone, slate", "whinstone": "Stone, basalt",
    "concrete_1800": "Concrete, medium density 1800 kg/m^3", "concrete_2000": "Concrete, medium density 2000 kg/m^3",
    "concrete_2200": "Concrete, medium density 2200 kg/m^3", "concrete_2400": "Concrete, high density",
    "reinforced_concrete_1": "Concrete, reinforced with 1% steel", "reinforced_concrete_2": "Concrete, reinforced with 2% steel",
    "dense_plaster": "Plasters and renders, gypsum plastering, 1300 kg/m^3", "light_plaster": "Plasters and renders, gypsum insulating plaster",
    "softwood": "Timber, 500 kg/m^3", "hardwood": "Timber, 700 kg/m^3", "plywood": "Wood, plywood 500 kg/m^3", "osb": "Wood, oriented strand board",
    "chipboard": "Wood, particleboard, 600 kg/m^3", "fibreboard_250": "Wood, fibreboard, 250 kg/m^3", "fibreboard_400": "Wood, fibreboard, 400 kg/m^3",
    "cement_board": "Wood, cement-bonded particleboard", "clay_tile": "Tiles, clay", "concrete_tile": "Tiles, concrete", "asphalt": "Asphalt",
    "bitumen_felt": "Bitumen, felt or sheet", "glass": "Glass, soda lime", "carpet": "Floor covering, carpet / textile flooring",
    "linoleum": "Floor covering, Linoleum", "steel": "Metals, steel", "aluminium": "Metals, aluminium alloys", "copper": "Metals, copper",
}  # fmt: skip


def test_conductivities_agree_with_an_independent_transcription():
    tabulated = {
        row.word("material"): row.number("conductivity_w_mk")
        for row in table("materials_en_iso_10456_2007").rows
        if row.source == "en_iso_10456_2007"
    }
    assert set(tabulated) == set(IN_HT)
    assert tabulated == {name: building_materials[other][1] for name, other in IN_HT.items()}


def test_the_heat_content_of_air_is_that_of_air():
    properties = [coolprop.PropsSI(name, "T", 293.15, "P", 101325, "Air") for name in ("D", "C")]
    assert pytest.approx(properties[0] * properties[1] / 3600, rel=0.03) == HEAT_WH_M3K


class TestReader:
    def test_an_unknown_table(self):
        with pytest.raises(CatalogueError, match="no table 'nothing'"):
            table("nothing")

    def test_an_unknown_row(self):
        with pytest.raises(CatalogueError, match="no row"):
            table("floor_coverings_2026").get(covering="grass")

    def test_a_word_is_not_a_number(self):
        with pytest.raises(CatalogueError, match="no number"):
            table("floor_coverings_2026").rows[0].number("covering")

    def test_an_unknown_document(self):
        with pytest.raises(CatalogueError, match="no document"):
            document("hearsay")

    @pytest.mark.parametrize(("x", "y"), [(0, 0), (5, 10), (10, 20), (15, 15), (20, 10)])
    def test_interpolation(self, x, y):
        assert interpolate([(0, 0), (10, 20), (20, 10)], x) == y

    @pytest.mark.parametrize("x", [-0.1, 20.1])
    def test_a_table_is_never_drawn_on_beyond_its_ends(self, x):
        with pytest.raises(CatalogueError, match="outside the table"):
            interpolate([(0, 0), (10, 20), (20, 10)], x)


def test_every_choice_of_plant_and_fuel_has_its_rows():
    assert {row.word("outlet") for row in table("discharge_pipes_approved_document_g_2015").rows} == options(
        HotWater, "valve_outlet"
    )
    assert {
        row.word("method").removesuffix("_low").removesuffix("_high") for row in table("hot_water_needs_2026").rows
    } == options(Design, "hot_water_method")
    burnt = options(SurveyRecord, "present_fuel") - {"none"}
    assert {row.word("fuel") for row in table("appliance_efficiencies_2026").rows} == burnt
    assert {
        row.word("fuel") for row in table("carbon_factors_2025").rows if row.cells["factor_set"] == "sap_10_2"
    } == burnt
    for row in table("appliance_efficiencies_2026").rows:
        assert 0.3 < row.number("low") <= row.number("high") <= 1
        assert row.word("appliance") in options(SurveyRecord, "present_boiler") | {"any"}


def test_larger_discharge_pipes_may_be_longer():
    for outlet in options(HotWater, "valve_outlet"):
        for name in ("d2_mm", "longest_m", "elbow_m"):
            assert falls(column("discharge_pipes_approved_document_g_2015", name, outlet=outlet)[::-1])


def test_the_reference_climates_have_their_hours():
    totals = {
        climate: sum(column("bins_en_14825_2018", "hours_h", climate=climate))
        for climate in ("average", "warmer", "colder")
    }
    assert totals["average"] == 4910
    for row in table("climates_en_14825_2018").rows:
        bins = column("bins_en_14825_2018", "outside_c", climate=row.word("climate"))
        assert bins == [float(value) for value in range(int(row.number("design_c")), 16)]
    average = table("climates_en_14825_2018").get(climate="average")
    # The hours of a year, but for one that the standard's own rounding adds.
    assert totals["average"] + average.number("crankcase_h") == 8761
    assert average.number("crankcase_h") == average.number("thermostat_off_h") + average.number("off_h")


def test_hot_water_months_make_a_year():
    assert sum(column("hot_water_months_sap_2012", "days")) == 365
    factors = column("hot_water_months_sap_2012", "factor")
    assert sum(factors) / 12 == pytest.approx(1, abs=0.005)


class TestReadingAFile:
    HEAD = "thing,size_mm\ntext,mm\n"

    def test_without_provenance_each_row_counts_as_declared(self):
        row = read_table("ours", self.HEAD + "a,3\n").rows[0]
        assert (row.number("size_mm"), row.source, row.locator, row.confidence) == (3, "declared", "ours", "published")

    def test_with_provenance_it_is_kept(self):
        text = "thing,source,locator,confidence,note\ntext,text,text,text,text\na,least_squares,here,from memory,\n"
        assert read_table("ours", text).rows[0].confidence == "from memory"

    @pytest.mark.parametrize(
        ("text", "words"),
        [
            ("thing\n", "found 1 rows"),
            ("thing,thing\ntext,text\na,3\n", "name of its own"),
            ("thing,size_mm\ntext\na,3\n", "row 2: found 1 cells, expected 2"),
            (HEAD + "a\n", "row 3: found 1 cells"),
            (HEAD + "a,b\n", "row 3, column size_mm: 'b' is not a number"),
            (HEAD + "a,inf\n", "not a finite"),
        ],
    )
    def test_what_cannot_be_read_names_its_place(self, text, words):
        with pytest.raises(CatalogueError, match=words):
            read_table("ours", text)
