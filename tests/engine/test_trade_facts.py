"""Facts of the trade held as check values. All of them are common practice, no source, unless a line says otherwise."""

from __future__ import annotations

import pytest

from tests.support.houses import changed
from wattwalk.engine.answers import Severity

from .support import assessed, findings, only
from .test_base import slab
from .test_circuit import FITTED, PRIMARY, codes, plant
from .test_outside_and_routes import cable, site


def test_12_kw_at_5_k_through_28_mm_copper_is_done_and_is_at_the_edge():
    result = assessed(plant())
    (run,) = result.site.runs
    assert run.velocity_m_s == pytest.approx(1.07, abs=0.01)
    assert run.gradient_pa_m == pytest.approx(476, abs=6)
    said = only(result, "pipe_at_its_limit", Severity.CHECK)
    assert "done in practice" in said.message
    assert "at the limit" in said.message


@pytest.mark.parametrize("slope", [15.0, 20.0])
def test_15_to_20_mm_across_the_base_on_fixed_feet_stops_with_its_remedies(slope):
    result = assessed(slab(slope_x=slope, position={"unit_mass_kg": 100, "feet_mount": "fixed"}))
    said = only(result, "base_falls", Severity.STOP)
    for remedy in ("Grind", "self-levelling", "recast"):
        assert remedy in said.remedy


def test_it_is_worse_when_it_falls_towards_the_heavy_side():
    # It rises along x, which grows to the right of whoever faces the unit: it falls to the left, told as the heavy side is.
    worse, milder = (
        only(
            assessed(slab(slope_x=15.0, position={"unit_mass_kg": 100, "feet_mount": "fixed", "heavy_side": side})),
            "base_falls",
            Severity.STOP,
        ).message
        for side in ("left", "right")
    )
    assert "heavy side" in worse
    assert "heavy side" not in milder


@pytest.mark.parametrize("poured", ["2026-03-10", "2026-03-11"])
def test_a_base_poured_a_day_or_two_ago_is_too_young_and_has_its_earliest_day(poured):
    result = assessed(
        slab(visit="2026-03-12", poured_on=poured, expected_air_temperature_c=10, position={"unit_mass_kg": 100})
    )
    only(result, "base_too_young", Severity.STOP)
    assert result.site.bases[0].earliest_day > "2026-03-12"


@pytest.mark.parametrize("kind", ["air_brick", "drain", "isolator"])
@pytest.mark.parametrize("remedy", ["close_off", "move"])
def test_what_lies_low_and_near_stops_until_it_is_closed_off_or_moved(kind, remedy):
    near = {"id": "o", "position": "p", "type": kind, "along_m": 0.8, "out_m": 0.1, "up_m": 0.2}
    only(assessed(site(nearby_object=[near])), "in_protective_zone", Severity.STOP)
    only(assessed(site(nearby_object=[{**near, "remedy": remedy}])), "in_protective_zone", Severity.STOP)
    assert not findings(
        assessed(site(nearby_object=[{**near, "remedy": remedy, "remedy_done": True}])), "in_protective_zone"
    )


def test_propane_is_heavier_than_air():
    # Molar masses of propane and of dry air, g/mol (published alike in every handbook).
    assert pytest.approx(1.5, abs=0.03) == 44.1 / 28.96
    near = {"id": "o", "position": "p", "type": "drain", "along_m": 0.8, "out_m": 0.1, "up_m": 0.0}
    assert (
        "one and a half times as heavy as air"
        in only(assessed(site(nearby_object=[near])), "in_protective_zone", Severity.STOP).message
    )


def test_a_bus_cable_is_two_core_screened_and_apart_from_mains():
    assert cable("bus")[0].findings == ()
    for fields, code in (
        ({"cores": 1}, "bus_too_few_cores"),
        ({"is_screened": False, "gap_to_mains_mm": 300}, "bus_not_screened"),
        ({"gap_to_mains_mm": 10}, "too_near_mains"),
    ):
        assert [item.code for item in cable("bus", **fields)[0].findings] == [code]


def test_a_bus_cable_that_is_nobodys_stops_the_job():
    only(assessed(changed(site(), "cable_run", "bus", run_by="nobody")), "nobody_runs_it", Severity.STOP)


def test_outdoors_pipes_want_uv_proof_and_thicker_insulation_than_indoors():
    thin = assessed(plant({**PRIMARY, "insulation_mm": 9, "uv_proof": False}))
    assert {item.code for item in thin.findings if item.record == "pipe_run/pri"} >= {
        "pipe_not_uv_proof",
        "pipe_thin_outdoors",
    }
    indoors = assessed(
        plant({**PRIMARY, "insulation_mm": 9, "uv_proof": None, "stretches": [{"place": "heated", "length_m": 8}]})
    )
    assert not {item.code for item in indoors.findings} & {"pipe_not_uv_proof", "pipe_thin_outdoors"}


@pytest.mark.parametrize(
    ("kind", "code"),
    [
        ("antifreeze_valve", "too_few_antifreeze_valves"),
        ("strainer", "no_strainer"),
        ("isolation_valve", "no_isolation_valves"),
        ("dirt_separator", "no_dirt_separator"),
    ],
)
def test_what_sits_outdoors_by_the_unit_is_asked_for(kind, code):
    assert code in codes(plant(vessels=[item for item in FITTED if item["type"] != kind]))
    assert code not in codes(plant())


def test_32_mm_multilayer_joined_to_28_mm_copper_is_ordinary():
    buried = {
        **PRIMARY,
        "id": "under",
        "name": "Under the floor",
        "material": "multilayer",
        "size_mm": 32,
        "stretches": [{"place": "buried", "length_m": 6}],
    }
    result = assessed(plant(PRIMARY, buried, design={"unit_capacity_kw": 8}))
    copper, multilayer = result.site.runs
    assert (copper.verdict, multilayer.verdict) == ("within", "within")
    assert not findings(result, "pipe_size_unknown")


def test_a_cylinder_sold_as_300_l_holds_about_275_l():
    from .test_hot_water import house, water

    found = water(house(design={"cylinder_l": None, "cylinder_nominal_l": 300}))
    assert found.content_l == pytest.approx(275, abs=3)
    assert "300 l it is sold by" in found.content_words


def test_a_wall_hung_volumiser_of_about_50_l_serves_a_unit_that_asks_for_40():
    assert assessed(plant(minimum_volume_l=40)).site.circuit.volumiser_l > 0
    assert (
        assessed(
            plant(minimum_volume_l=40, vessels=[*FITTED, {"id": "v", "type": "volumiser", "litres": 50}])
        ).site.circuit.volumiser_l
        == 0
    )


def test_one_temperature_and_one_pump_serve_underfloor_and_radiators_together():
    # The demo house: a heated floor and radiators on one compensated flow, no mixing valve, hot water first.
    from wattwalk.demo.house import house as demo

    result = assessed(demo())
    assert all(room.verdict.value == "enough" for room in result.rooms)
    assert {"underfloor", "panel_22"} <= {emitter.type for room in result.rooms for emitter in room.emitters}
    assert result.compensation is not None
    assert 0 < result.plant.hot_water.hours_day < 24


def test_a_magnetic_dirt_separator_is_asked_for_in_the_primary():
    plain = [{**item, "is_magnetic": False} if item["type"] == "dirt_separator" else item for item in FITTED]
    assert "dirt_separator_without_magnet" in codes(plant(vessels=plain))
    assert "dirt_separator_without_magnet" not in codes(plant())
