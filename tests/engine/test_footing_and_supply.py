"""What a base bears and from which day, and what the electricity supply can give."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wattwalk.catalogue import table
from wattwalk.engine.answers import Severity
from wattwalk.engine.electric.demand import diversified_a
from wattwalk.engine.electric.supply import cable_row, grouping_factor, longest_m, voltage_drop
from wattwalk.engine.place.footing import age_for, ripening, strength_share

from .support import assessed, findings, only
from .test_base import slab


def standing(visit="2026-03-12", position=None, **base):
    result = assessed(slab(visit=visit, position={"unit_mass_kg": 100, **(position or {})}, **base))
    return result, result.site.bases[0]


def test_a_base_poured_two_days_ago_has_its_earliest_day():
    result, found = standing(poured_on="2026-03-10", expected_air_temperature_c=10)
    assert found.earliest_day == "2026-03-18"
    assert found.age_days == 2
    assert only(result, "base_too_young", Severity.STOP)
    assert "18 March 2026" in only(result, "base_ready_on", Severity.NOTE).message


@pytest.mark.parametrize(
    ("temperature", "day"),
    [(20, "2026-03-15"), (15, "2026-03-17"), (10, "2026-03-18"), (5, "2026-03-20"), (None, "2026-03-20")],
)
def test_the_colder_the_later_and_without_a_temperature_the_safe_side(temperature, day):
    _, found = standing(poured_on="2026-03-10", expected_air_temperature_c=temperature)
    assert found.earliest_day == day
    assert any("safe side" in step.numbers for step in found.steps) is (temperature is None)


def test_a_lift_before_that_day_stops():
    result, _ = standing(poured_on="2026-03-10", expected_air_temperature_c=10, unit_set_on="2026-03-17")
    assert only(result, "unit_set_too_early", Severity.STOP).field == "unit_set_on"
    result, _ = standing(poured_on="2026-03-10", expected_air_temperature_c=10, unit_set_on="2026-03-18")
    assert not findings(result, "unit_set_too_early")


def test_what_a_slab_needs_is_asked_of_a_slab_alone():
    asked = "the unit's mass and the size of the slab, for what it bears"
    without = {"unit_mass_kg": None, "heavy_side": "left"}
    assert asked in standing(position=without)[1].missing
    assert asked not in standing(position=without, made_of="frame")[1].missing


def test_frozen_concrete_has_no_day():
    result, found = standing(poured_on="2026-03-10", expected_air_temperature_c=-3)
    assert found.earliest_day is None
    assert only(result, "concrete_frozen", Severity.STOP)
    with pytest.raises(ValueError, match="freezes"):
        ripening(-0.1)


def test_levelling_compound():
    result, found = standing(
        levelled_on="2026-03-11", levelled_mm=6, levelled_outdoor_grade=True, expected_air_temperature_c=15
    )
    assert found.earliest_day == "2026-03-17"
    assert not findings(result, "compound_not_for_outdoors")
    result, _ = standing(levelled_on="2026-03-11", levelled_mm=6)
    assert only(result, "compound_not_for_outdoors", Severity.CHECK)
    result, _ = standing(poured_on="2026-03-10", levelled_on="2026-03-01", levelled_outdoor_grade=True)
    assert only(result, "levelled_before_poured", Severity.CHECK)


@pytest.mark.parametrize(
    ("position", "code", "severity"),
    [
        ({"feet_across_mm": 1000}, "base_too_small", Severity.STOP),
        ({"feet_across_mm": 1100}, "base_too_small", Severity.STOP),
        ({"feet_across_mm": 850}, "feet_near_edge", Severity.CHECK),
        ({"feet_across_mm": 800}, None, None),
    ],
)
def test_feet_and_edges(position, code, severity):
    result, _ = standing(position=position)
    assert [
        (item.code, item.severity) for item in result.findings if item.code in ("base_too_small", "feet_near_edge")
    ] == ([(code, severity)] if code else [])


def test_what_the_ground_bears():
    # 1.2 × 0.7 × 0.15 m and 150 kg, worked by hand: 452.4 kg, 5.28 kPa.
    result, found = standing(
        position={"unit_mass_kg": 150, "foot_pad_cm2": 40, "heavy_side": "left"},
        length_mm=1200,
        width_mm=700,
        thickness_mm=150,
        stands_on="firm_clay",
    )
    assert found.bearing_kpa == 5.28
    assert found.foot_kpa == pytest.approx(101, abs=0.2)
    assert not findings(result, "ground_too_soft")
    result, _ = standing(thickness_mm=150, stands_on="made_up")
    assert only(result, "ground_not_known", Severity.CHECK)


def test_fixed_feet_on_a_fall():
    document = slab(-12, -4, position={"unit_mass_kg": 100, "feet_mount": "fixed", "level_tolerance_mm_m": 5})
    result = assessed(document)
    assert only(result, "base_falls", Severity.STOP)
    assert "fixed feet cannot take it up" in only(result, "beyond_makers_fall", Severity.CHECK).message
    assert only(
        assessed(slab(-20, 0, position={"feet_across_mm": 700, "feet_deep_mm": 400})),
        "packing_too_high",
        Severity.CHECK,
    )
    adjustable = assessed(slab(-8, 0, position={"feet_mount": "adjustable", "level_tolerance_mm_m": 5}))
    assert not findings(adjustable, "beyond_makers_fall")


@given(st.floats(0.5, 100), st.sampled_from([0.20, 0.25, 0.38]))
def test_age_and_strength_undo_each_other(days, s):
    share = strength_share(days, s)
    if 0 < share <= 1:
        assert age_for(share, s) == pytest.approx(days, rel=1e-9)
    assert strength_share(days + 1, s) > share


@given(st.integers(0, 39))
def test_warmer_is_never_slower(temperature):
    assert ripening(temperature + 1) > ripening(temperature) > 0


POSITION = {"id": "p", "name": "Back", "condensate_route": "gravel", "refrigerant": "r32", "maximum_current_a": 20}
CABLE = {
    "id": "c",
    "name": "Supply",
    "purpose": "supply",
    "is_there": True,
    "cable_type": "twin_and_earth",
    "size_mm2": 4,
    "method": "clipped",
    "current_a": 25,
    "stretches": [{"place": "heated", "length_m": 20}],
}
ISOLATOR = {"id": "i", "position": "p", "type": "isolator", "along_m": 1, "out_m": 0, "up_m": 1}
SUPPLY = {
    "id": "e",
    "main_fuse_a": 80,
    "phases": "one",
    "looped": False,
    "cut_out_condition": "good",
    "existing_demand_a": 30,
}


def house(cable=None, **supply):
    records = {
        "outdoor_position": [POSITION],
        "nearby_object": [ISOLATOR],
        "supply": [{**SUPPLY, **supply}],
        "cable_run": [
            {**CABLE, **(cable or {})},
            {"id": "bus", "purpose": "bus", "is_there": True, "is_screened": True, "parallel_to_mains_m": 0},
        ],
    }
    return {"format": "wattwalk-survey", "version": 1, "id": "supply", "records": records}


def cable(**fields):
    result = assessed(house(fields))
    return result, result.site.supply.cables[0]


def test_a_cable_by_the_table():
    result, found = cable()
    assert (found.carries_a, found.drop_v, found.longest_m) == (37.0, 5.5, 41.8)
    assert [item.code for item in result.findings if "zone" not in item.code] == ["notify_network"]


def test_without_a_current_of_its_own_it_takes_the_units():
    _, found = cable(current_a=None)
    assert found.current_a == 20


@pytest.mark.parametrize(
    ("fields", "code", "severity"),
    [
        ({"method": "insulation"}, "cable_too_small", Severity.STOP),
        ({"grouped_circuits": 3, "device_a": 32}, "cable_too_small", Severity.STOP),
        ({"device_a": 20}, "device_too_small", Severity.CHECK),
        ({"stretches": [{"place": "heated", "length_m": 50}]}, "voltage_drop", Severity.CHECK),
        ({"method": "buried"}, "cable_fixed_wrongly", Severity.CHECK),
        ({"stretches": [{"place": "outdoors", "length_m": 5}]}, "cable_not_for_outdoors", Severity.CHECK),
    ],
)
def test_what_is_said_of_a_cable(fields, code, severity):
    found = only(cable(**fields)[0], code, severity)
    assert found.record == "cable_run/c"
    assert "electrician" in found.remedy or code == "device_too_small"


@pytest.mark.parametrize(
    "fields", [{"size_mm2": 5}, {"cable_type": "other"}, {"size_mm2": None}, {"method": None}, {"stretches": None}]
)
def test_what_no_table_has_is_not_guessed(fields):
    _, found = cable(**fields)
    assert found.missing
    assert found.carries_a is None or found.drop_v is None


@pytest.mark.parametrize(
    ("supply", "ask"),
    [
        ({}, "notify"),
        ({"existing_demand_a": 41}, "apply"),
        ({"looped": True}, "apply"),
        ({"cut_out_condition": "old"}, "apply"),
        ({"looped": None}, None),
        ({"existing_demand_a": None}, None),
        ({"phases": "three"}, "notify"),
        ({"phases": "three", "existing_demand_a": 41}, "apply"),
    ],
)
def test_notify_or_apply(supply, ask):
    assert assessed(house(**supply)).site.supply.ask == ask


def test_a_fuse_that_is_too_small_stops():
    result = assessed(house(existing_demand_a=65))
    assert only(result, "fuse_too_small", Severity.STOP)
    assert only(result, "apply_to_network", Severity.CHECK)


def test_demand_by_diversity_of_a_worked_house():
    loads = [
        {"kind": "lighting", "current_a": 6},
        {"kind": "sockets", "current_a": 32},
        {"kind": "sockets", "current_a": 32},
        {"kind": "cooker_socket", "current_a": 30.4},
    ]
    found = assessed(house(existing_demand_a=None, loads=loads)).site.supply
    assert found.house_a == pytest.approx(69.88, abs=0.01)
    assert found.demand_a == pytest.approx(89.88, abs=0.01)
    assert found.ask == "apply"


def test_a_load_without_its_current_is_not_counted_in_silence():
    found = assessed(house(existing_demand_a=None, loads=[{"kind": "lighting"}])).site.supply
    assert found.house_a is None
    assert found.missing


PHASE_LOADS = [
    {"kind": "sockets", "current_a": 32, "phase": "1"},
    {"kind": "cooker", "current_a": 30, "phase": "2"},
    {"kind": "lighting", "current_a": 10, "phase": "3"},
    {"kind": "vehicle", "current_a": 16, "phase": "all"},
]
#: By hand: sockets in full, 10 A and 30 % of a cooker's rest, two thirds of the lighting; the charging point in full on each.
BY_HAND = {"1": 32 + 16, "2": 10 + 0.3 * 20 + 16, "3": 0.66 * 10 + 16}


def three(unit=None, **supply):
    document = house(**{"phases": "three", "existing_demand_a": None, "loads": PHASE_LOADS, **supply})
    document["version"] = 3
    moved = {name: POSITION[name] for name in ("refrigerant", "maximum_current_a")}
    document["records"]["outdoor_position"] = [{name: value for name, value in POSITION.items() if name not in moved}]
    document["records"]["unit"] = [{"id": "u", "name": "Big one", **moved, **(unit or {})}]
    document["records"]["design"] = [{"id": "d", "unit": "u"}]
    return assessed(document)


def by_phase(result, what="demand_a"):
    return {item.phase: getattr(item, what) for item in result.site.supply.phases}


def test_each_phase_has_its_own_loads_by_diversity():
    result = three()
    assert by_phase(result, "house_a") == pytest.approx(BY_HAND, abs=0.01)
    # A unit of a single phase goes where the least is, until somebody says otherwise.
    assert by_phase(result) == pytest.approx(BY_HAND | {"3": BY_HAND["3"] + 20}, abs=0.01)
    said = only(result, "unit_phase_open", Severity.CHECK)
    assert "counted on phase 3, which carries the least; on phase 1 it would come to 68 A" in said.message
    assert result.site.supply.demand_a == pytest.approx(48)
    assert result.site.supply.ask == "notify"
    assert "at most on any phase" in result.site.supply.words


@pytest.mark.parametrize(
    ("phase", "demand", "ask"), [("1", 68.0, "apply"), ("2", 52.0, "notify"), ("3", 48.0, "notify")]
)
def test_the_unit_is_counted_on_its_own_phase(phase, demand, ask):
    result = three(unit_phase=phase)
    assert by_phase(result) == pytest.approx(BY_HAND | {phase: BY_HAND[phase] + 20}, abs=0.01)
    assert (result.site.supply.demand_a, result.site.supply.ask) == (pytest.approx(demand), ask)
    assert not findings(result, "unit_phase_open")


def test_a_unit_of_three_phases_is_on_all_of_them_with_its_heater():
    result = three({"phases": "three", "maximum_current_a": 12, "backup_heater_kw": 6.9})
    assert by_phase(result, "unit_a") == pytest.approx(dict.fromkeys("123", 22.0), abs=0.01)
    assert result.site.supply.demand_a == pytest.approx(70.0, abs=0.01)
    assert not findings(result, "unit_phase_open")
    (cable,) = result.site.supply.cables
    assert (cable.carries_a, cable.drop_v) == (None, None)
    assert "a table for cables of three phases" in cable.missing
    assert only(result, "cable_of_three_phases", Severity.CHECK).record == "cable_run/c"


def test_the_fuse_is_held_against_the_fullest_phase_and_says_what_sharing_out_would_do():
    result = three(unit_phase="1", main_fuse_a=60)
    found = only(result, "fuse_too_small", Severity.STOP)
    assert "up to 68 A on phase 1; the main fuse is 60 A" in found.message
    assert "Shared out evenly it would be 40.9 A on each phase" in found.remedy
    assert not findings(three(unit_phase="3", main_fuse_a=60), "fuse_too_small")
    crowded = three(unit_phase="1", main_fuse_a=40)
    assert "Shared out evenly" not in only(crowded, "fuse_too_small", Severity.STOP).remedy


def test_phases_that_are_loaded_unevenly_are_named():
    found = only(three(unit_phase="1"), "phases_uneven", Severity.NOTE)
    assert found.message.startswith("Phase 1 would carry 68 A and phase 3 22.6 A")
    assert not findings(three(unit_phase="3"), "phases_uneven")


@pytest.mark.parametrize(
    "supply",
    [
        {"loads": None},
        {"loads": [*PHASE_LOADS, {"kind": "shower", "current_a": 40}]},
        {"loads": None, "demand_l1_a": 20, "demand_l2_a": 20},
    ],
)
def test_a_phase_that_is_not_known_gives_no_demand(supply):
    found = three(**supply).site.supply
    assert (found.demand_a, found.ask, found.phases) == (None, None, ())
    assert any("of each phase" in words for words in found.missing)


def test_metered_phases_stand_before_loads_and_one_figure_counts_on_each():
    some = three(demand_l2_a=44)
    assert by_phase(some, "house_a") == pytest.approx(BY_HAND | {"2": 44}, abs=0.01)
    all_alike = three(existing_demand_a=38, demand_l3_a=12)
    assert by_phase(all_alike, "house_a") == {"1": 38, "2": 38, "3": 12}


def test_a_unit_of_three_phases_cannot_be_on_one():
    result = three({"phases": "three"}, phases="one", loads=None, existing_demand_a=30)
    assert only(result, "unit_needs_three_phases", Severity.STOP).record == "supply/e"
    assert (result.site.supply.demand_a, result.site.supply.ask) == (None, None)
    assert not findings(three({"phases": "three"}, phases=None), "unit_needs_three_phases")


@pytest.mark.parametrize("phase", ["2", "3", "all"])
def test_a_load_cannot_be_on_a_phase_that_is_not_there(phase):
    result = three(phases="one", loads=[{"kind": "shower", "current_a": 40, "phase": phase}])
    assert only(result, "load_on_no_phase", Severity.CHECK).field == "loads"
    assert result.site.supply.demand_a is None
    assert not findings(
        three(phases="one", loads=[{"kind": "shower", "current_a": 40, "phase": "1"}]), "load_on_no_phase"
    )


@given(
    st.lists(
        st.tuples(
            st.sampled_from([row.word("kind") for row in table("load_diversity_2018").rows]),
            st.floats(0.5, 60).map(lambda value: round(value, 1)),
            st.sampled_from(["1", "2", "3", "all"]),
        ),
        min_size=1,
        max_size=8,
    ),
    st.integers(20, 100),
)
def test_the_least_loaded_phase_is_the_best_place_and_a_larger_fuse_never_the_worse(loads, fuse):
    rows = [{"kind": kind, "current_a": current, "phase": phase} for kind, current, phase in loads]
    left, *chosen = (three(loads=rows, main_fuse_a=fuse, unit_phase=phase) for phase in (None, "1", "2", "3"))
    assert left.site.supply.demand_a == min(item.site.supply.demand_a for item in chosen)
    for item in (left, *chosen):
        demands = by_phase(item)
        assert item.site.supply.demand_a == max(demands.values())
        assert bool(findings(item, "fuse_too_small")) is (item.site.supply.demand_a > fuse)
        alone = {
            phase: diversified_a([(kind, current) for kind, current, on in loads if on in (phase, "all")])
            for phase in demands
        }
        assert by_phase(item, "house_a") == pytest.approx(alone, abs=0.006)


@given(
    st.lists(
        st.tuples(st.sampled_from([row.word("kind") for row in table("load_diversity_2018").rows]), st.floats(0.5, 60)),
        min_size=1,
        max_size=8,
    )
)
def test_diversity_never_adds_but_for_the_cookers_socket(loads):
    total = sum(current for _, current in loads)
    assert 0 < diversified_a(loads) <= total + 5 * len([None for kind, _ in loads if kind == "cooker_socket"]) + 1e-9


@given(st.floats(1, 100), st.sampled_from([44.0, 11.0, 2.8]))
def test_the_longest_cable_loses_just_five_per_cent(current, per):
    assert voltage_drop(current, longest_m(current, per), per) == pytest.approx(11.5)


def test_tables_of_cables_rise_and_fall_as_they_must():
    for kind in ("twin_and_earth", "swa_xlpe", "swa_pvc"):
        rows = table("cable_ratings_bs_7671_2018").where("cable_type", kind)
        assert [row.number("clipped_a") for row in rows] == sorted(row.number("clipped_a") for row in rows)
        assert [row.number("drop_mv_am") for row in rows] == sorted(
            (row.number("drop_mv_am") for row in rows), reverse=True
        )
        for row in rows:
            # Copper at its working temperature: the table lies within a sixth of 2ρ/A.
            assert row.number("drop_mv_am") == pytest.approx(2 * 0.0206 / row.number("size_mm2") * 1000, rel=0.18)
    assert [grouping_factor(count) for count in (1, 2, 3, 5, 7)] == [1.0, 0.8, 0.7, 0.6, 0.5]
    assert cable_row("twin_and_earth", 5) is None


def test_the_dates_are_days():
    _, found = standing(poured_on="2026-02-27", expected_air_temperature_c=20)
    assert date.fromisoformat(found.earliest_day) == date(2026, 3, 4)
