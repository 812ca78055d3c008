"""The heating water: pipes at their limits, index circuit, least water, expansion, frost, what must not be forgotten."""

from __future__ import annotations

import CoolProp.CoolProp as coolprop
import fluids
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wattwalk.catalogue import CatalogueError, table
from wattwalk.engine.answers import Severity
from wattwalk.engine.circuit import pipe_heat, volumes
from wattwalk.engine.fluids import pipe_flow
from wattwalk.engine.fluids.glycol import Fluid, growth
from wattwalk.engine.fluids.water import friction_factor

from .support import assessed, findings, only

PRIMARY = {
    "id": "pri",
    "name": "Main run",
    "purpose": "primary",
    "material": "copper",
    "size_mm": 28,
    "stretches": [{"place": "outdoors", "length_m": 5}, {"place": "void", "length_m": 5}],
    "insulation": "closed_cell",
    "insulation_mm": 25,
    "uv_proof": True,
    "constraint": "none",
}
BRANCH = {
    "id": "one",
    "name": "Ground floor",
    "purpose": "heating",
    "material": "copper",
    "size_mm": 22,
    "carries_kw": 4,
    "stretches": [{"place": "void", "length_m": 12}],
    "insulation": "none",
    "constraint": "none",
    "end_drop_kpa": 5,
}
SHORT = {
    **BRANCH,
    "id": "two",
    "name": "First floor",
    "carries_kw": 3,
    "stretches": [{"place": "heated", "length_m": 4}],
}
FITTED = (
    {"id": "dirt", "type": "dirt_separator", "kv_m3_h": 14, "is_magnetic": True},
    {"id": "strainer", "type": "strainer", "kv_m3_h": 10},
    {"id": "iso", "type": "isolation_valve", "count": 2},
    {"id": "exp", "type": "expansion", "litres": 35},
    {"id": "anti", "type": "antifreeze_valve", "count": 2, "where": "outdoors"},
)


def plant(*runs, design=None, circuit=None, vessels=FITTED, **position):
    records = {
        "survey": [{"id": "s", "outside_design_temperature_c": -3, "visit_date": "2026-03-12"}],
        "design": [
            {
                "id": "d",
                "flow_temperature_c": 45,
                "flow_return_difference_k": 5,
                "unit_capacity_kw": 12,
                **(design or {}),
            }
        ],
        "circuit": [{"id": "circuit", "frost_measure": "antifreeze_valves", **(circuit or {})}],
        "vessel": list(vessels),
        "pipe_run": list(runs or (PRIMARY,)),
        "outdoor_position": [
            {"id": "p", "name": "Back", "condensate_route": "gravel", "refrigerant": "r32", **position}
        ],
        "cable_run": [
            {"id": kind, "purpose": kind, "is_there": True, "is_screened": True, "parallel_to_mains_m": 0}
            for kind in ("supply", "bus", "sensor", "interlock")
        ],
    }
    return {"format": "wattwalk-survey", "version": 1, "id": "circuit", "records": records}


#: Said of every house here: its refrigerant has no zone, its pipe lies outdoors, its weather is given by hand.
ALWAYS = {"zone_of_a2l", "zone_incomplete", "safety_valve_outdoors", "pipe_can_freeze", "region_not_by_postcode"}


def codes(document):
    return {item.code for item in assessed(document).findings} - ALWAYS


def test_twelve_kilowatts_through_28_mm_copper_is_at_the_edge_and_said_so():
    result = assessed(plant())
    run = result.site.runs[0]
    assert run.velocity_m_s == pytest.approx(1.073, abs=0.003)
    assert run.gradient_pa_m == pytest.approx(474, abs=4)
    assert run.flow_l_min == pytest.approx(34.75, abs=0.03)
    assert run.verdict == "over"
    found = only(result, "pipe_at_its_limit", Severity.CHECK)
    assert "7 % over the usual 1 m/s" in found.message
    assert "57 % over the usual 300 Pa/m" in found.message
    assert "at the limit" in found.message


def test_at_seven_kelvin_it_passes():
    run = assessed(plant(design={"flow_return_difference_k": 7})).site.runs[0]
    assert run.flow_l_min == pytest.approx(24.82, abs=0.03)
    assert run.verdict == "within"


def test_a_sound_plant_says_nothing():
    assert codes(plant({**PRIMARY, "size_mm": 35}, design={"unit_capacity_kw": 8}, minimum_volume_l=10)) == set()


@pytest.mark.parametrize("size", [27, 29, 120])
def test_a_size_that_no_table_has_is_refused(size):
    result = assessed(plant({**PRIMARY, "size_mm": size}))
    assert only(result, "pipe_size_unknown", Severity.CHECK).record == "pipe_run/pri"
    assert result.site.runs[0].velocity_m_s is None
    assert result.site.heat[0].loss_w is None


def test_the_index_circuit_and_what_balances_the_rest():
    result = assessed(plant(PRIMARY, BRANCH, SHORT, residual_head_kpa=100))
    circuit, by_id = result.site.circuit, {run.id: run for run in result.site.runs}
    in_line = sum(item.drop_kpa for item in circuit.vessels if item.drop_kpa is not None)
    assert circuit.index_kpa == pytest.approx(by_id["pri"].drop_kpa + in_line + by_id["one"].drop_kpa, abs=0.02)
    surplus = by_id["one"].drop_kpa - by_id["two"].drop_kpa
    assert by_id["two"].surplus_kpa == pytest.approx(surplus, abs=0.01)
    assert pipe_flow.kv_drop(by_id["two"].flow_l_min, by_id["two"].balancing_kv_m3_h, 1000) == pytest.approx(
        surplus, rel=0.02
    )
    assert by_id["one"].balancing_kv_m3_h is None
    assert not findings(result, "pump_too_weak")
    assert only(assessed(plant(PRIMARY, BRANCH, residual_head_kpa=20)), "pump_too_weak", Severity.STOP)


def test_what_is_not_known_of_the_index_circuit_is_named():
    circuit = assessed(plant(vessels=[{"id": "v", "type": "dirt_separator"}])).site.circuit
    assert any("Kv of" in words for words in circuit.missing)
    assert any("heating runs" in words for words in circuit.missing)
    assert "so far" in circuit.index_words


def test_a_buffer_with_four_connections_parts_the_circuits_and_mixes():
    buffer = {"id": "b", "type": "buffer", "litres": 50}
    result = assessed(plant(PRIMARY, BRANCH, vessels=[*FITTED, buffer], circuit={"house_flow_l_min": 46}))
    assert result.site.circuit.index_words.startswith("Up to the buffer")
    assert only(result, "buffer_mixes", Severity.CHECK).record == "vessel/b"
    assert "43.8 °C of 45 °C" in result.site.circuit.mixing_words
    gives_more = assessed(plant(vessels=[*FITTED, buffer], circuit={"house_flow_l_min": 20}))
    assert "go back to the unit instead of 40 °C" in gives_more.site.circuit.mixing_words


def test_too_little_water_asks_for_a_volumiser():
    result = assessed(plant(minimum_volume_l=40))
    circuit = result.site.circuit
    assert circuit.open_l == pytest.approx(10.8, abs=0.05)
    assert circuit.volumiser_l == pytest.approx(circuit.needed_l - circuit.open_l, abs=0.11)
    assert circuit.volumiser_sold_l == 35
    remedy = only(result, "too_little_water", Severity.CHECK).remedy
    assert "29.2 l are short" in remedy
    assert "35 l, the next size sold" in remedy
    enough = assessed(plant(minimum_volume_l=40, vessels=[*FITTED, {"id": "v", "type": "volumiser", "litres": 50}]))
    assert enough.site.circuit.volumiser_l == 0
    assert not findings(enough, "too_little_water")


@pytest.mark.parametrize("sizes", [volumes.EXPANSION_SIZES_L, volumes.BUFFER_SIZES_L])
@settings(deadline=None)
@given(st.floats(0.1, 5000), st.floats(0, 100))
def test_the_size_sold_is_never_smaller_and_never_falls(sizes, least, more):
    sold = volumes.sold_size_l(least, sizes)
    assert sold >= least - 1e-9
    assert sold in sizes or sold > sizes[-1]
    assert all(size < least or size >= sold for size in sizes)
    assert volumes.sold_size_l(least + more, sizes) >= sold


def test_without_the_makers_figure_a_defrost_is_worked_out():
    circuit = assessed(plant(design={"unit_capacity_kw": 8})).site.circuit
    assert circuit.needed_l == pytest.approx(58.0, abs=0.2)
    assert "the maker's figure is not known and wins" in circuit.needed_words


def test_the_expansion_vessel():
    many = [{**PRIMARY, "size_mm": 54, "stretches": [{"place": "void", "length_m": 50}]}]
    result = assessed(plant(*many, vessels=[{"id": "e", "type": "expansion", "litres": 12}]))
    content, least = result.site.circuit.content_l, result.site.circuit.expansion_l
    assert content == pytest.approx(209, abs=1)
    assert least == pytest.approx(volumes.expansion_vessel_l(content, 0.016782, 1, 3), abs=0.01)
    assert result.site.circuit.expansion_sold_l == next(size for size in volumes.EXPANSION_SIZES_L if size >= least)
    assert f"{result.site.circuit.expansion_sold_l:.0f} l" in only(result, "expansion_too_small", Severity.CHECK).remedy
    enough = assessed(plant(*many, vessels=[{"id": "e", "type": "expansion", "litres": least + 0.5}]))
    assert (enough.site.circuit.expansion_sold_l, enough.site.circuit.fill_bar is not None) == (None, True)
    assert not findings(enough, "expansion_too_small")
    assert "safety valve well above" in " ".join(
        assessed(plant(circuit={"safety_valve_bar": 1.5, "precharge_bar": 1})).site.circuit.missing
    )
    assert only(assessed(plant(circuit={"static_height_m": 10})), "charge_too_low", Severity.CHECK)


@pytest.mark.parametrize(
    ("circuit", "vessels", "code", "severity"),
    [
        ({"frost_measure": None}, FITTED, "no_frost_measure", Severity.CHECK),
        ({"frost_measure": "unit_only"}, FITTED, "frost_needs_power", Severity.CHECK),
        ({}, FITTED[:4], "too_few_antifreeze_valves", Severity.CHECK),
        ({}, (*FITTED[:4], {**FITTED[4], "where": "heated"}), "antifreeze_valves_indoors", Severity.CHECK),
        ({"frost_measure": "glycol"}, FITTED[:4], "glycol_not_in", Severity.CHECK),
        (
            {"fluid": "propylene_glycol", "glycol_percent": 30, "frost_measure": "glycol"},
            FITTED,
            "valves_with_glycol",
            Severity.STOP,
        ),
        (
            {"fluid": "propylene_glycol", "glycol_percent": 25, "frost_measure": "glycol"},
            FITTED[:4],
            "glycol_too_thin",
            Severity.CHECK,
        ),
        (
            {"fluid": "propylene_glycol", "glycol_percent": 22, "frost_measure": "glycol"},
            FITTED[:4],
            "glycol_inhibitor",
            Severity.NOTE,
        ),
        (
            {"fluid": "ethylene_glycol", "glycol_percent": 35, "frost_measure": "glycol"},
            FITTED[:4],
            "glycol_poisonous",
            Severity.CHECK,
        ),
    ],
)
def test_frost(circuit, vessels, code, severity):
    assert only(assessed(plant(circuit=circuit, vessels=vessels)), code, severity)


def test_glycol_without_its_share_is_not_guessed():
    result = assessed(plant(circuit={"fluid": "propylene_glycol", "frost_measure": "glycol"}, vessels=FITTED[:4]))
    assert result.site.runs[0].velocity_m_s is None
    assert "the share of glycol" in result.site.circuit.missing


@pytest.mark.parametrize(
    ("left_out", "code"),
    [
        ("dirt", "no_dirt_separator"),
        ("strainer", "no_strainer"),
        ("iso", "no_isolation_valves"),
        ("exp", "no_expansion_vessel"),
    ],
)
def test_what_is_forgotten_is_asked_for(left_out, code):
    assert only(assessed(plant(vessels=[item for item in FITTED if item["id"] != left_out])), code, Severity.CHECK)
    removed = [{**item, "plan": "remove"} if item["id"] == left_out else item for item in FITTED]
    assert findings(assessed(plant(vessels=removed)), code)


def test_propane_in_the_water_is_thought_of():
    assert only(assessed(plant(refrigerant="r290")), "safety_valve_outdoors", Severity.NOTE)


def test_a_vessel_that_does_not_fit_stops():
    assert only(
        assessed(
            plant(
                vessels=[
                    *FITTED,
                    {"id": "v", "type": "volumiser", "litres": 50, "height_mm": 900, "clear_height_mm": 800},
                ]
            )
        ),
        "vessel_does_not_fit",
        Severity.STOP,
    )


def test_the_least_flow_of_the_unit():
    assert only(assessed(plant(minimum_flow_l_min=40)), "flow_below_least", Severity.CHECK)


@pytest.mark.parametrize(
    ("fields", "code"),
    [
        ({"insulation_mm": 13}, "pipe_thin_outdoors"),
        ({"insulation_mm": 13, "stretches": [{"place": "void", "length_m": 5}]}, "pipe_loses_much"),
        ({"stretches": [{"place": "outdoors", "length_m": 5}]}, "pipe_can_freeze"),
    ],
)
def test_what_is_said_of_the_heat_of_pipes(fields, code):
    assert findings(assessed(plant({**PRIMARY, **fields})), code)


def test_old_surveys_without_a_design_are_asked_for_nothing_more():
    document = plant()
    for kind in ("design", "circuit", "vessel"):
        del document["records"][kind]
    result = assessed(document)
    assert {item.code for item in result.findings} == ALWAYS - {"safety_valve_outdoors"}
    assert result.site.circuit.load_kw is None
    assert "the heat the house needs, or what the unit gives" in result.site.circuit.missing


@given(st.floats(0.3, 15), st.floats(3, 12), st.sampled_from([15.0, 22.0, 28.0, 35.0, 42.0]))
def test_more_heat_never_drops_less_and_a_wider_pipe_never_more(load, difference, size):
    row, wider = (
        pipe_flow.pipe_row("copper", size),
        pipe_flow.pipe_row("copper", {15.0: 22.0, 22.0: 28.0, 28.0: 35.0, 35.0: 42.0, 42.0: 54.0}[size]),
    )
    water = Fluid("water")
    flow = pipe_flow.flow_l_min(load, difference, water, 42.5)

    def steep(at, pipe):
        return pipe_flow.gradient(at, pipe.number("bore_mm"), pipe.number("roughness_mm"), water, 42.5)

    assert steep(flow * 1.1, row) > steep(flow, row)
    assert pipe_flow.velocity(flow, wider.number("bore_mm")) < pipe_flow.velocity(flow, row.number("bore_mm"))


@settings(deadline=None)  # the other library loads itself at its first call
@given(st.floats(4000, 2e5), st.floats(1e-6, 5e-3))
def test_the_friction_factor_is_that_of_another_library(reynolds, roughness):
    assert friction_factor(reynolds, roughness) == pytest.approx(
        fluids.friction_factor(Re=reynolds, eD=roughness, Method="Colebrook"), rel=1e-5
    )


@settings(deadline=None)
@given(st.floats(10, 70), st.floats(20, 40))
def test_glycol_between_its_rows_agrees_with_the_library(temperature, share):
    fluid, name = Fluid("propylene_glycol", share), f"INCOMP::MPG[{share / 100}]"
    for value, key, tolerance in (
        (fluid.density(temperature), "D", 5e-4),
        (fluid.specific_heat(temperature), "C", 1e-3),
        (fluid.viscosity(temperature), "V", 0.025),
    ):
        assert value == pytest.approx(coolprop.PropsSI(key, "T", temperature + 273.15, "P", 2e5, name), rel=tolerance)


def test_outside_their_tables_fluids_refuse():
    with pytest.raises(CatalogueError, match="outside the table"):
        Fluid("propylene_glycol", 50).density(40)
    with pytest.raises(CatalogueError, match="outside the table"):
        Fluid("propylene_glycol", 30).density(90)
    with pytest.raises(CatalogueError, match="colder"):
        growth(Fluid("water"), 60, 10)
    with pytest.raises(ValueError, match="more than nothing"):
        pipe_flow.flow_l_min(5, 0, Fluid("water"), 40)
    with pytest.raises(ValueError, match="allowed to cool"):
        volumes.defrost_volume_l(8, 300, 0, 990, 4180)
    assert growth(Fluid("water"), 10, 10) == 0
    # What cools half as far must be twice as much, below one kelvin too.
    assert volumes.defrost_volume_l(8, 300, 0.5, 990, 4180) == pytest.approx(
        20 * volumes.defrost_volume_l(8, 300, 10, 990, 4180)
    )


@given(st.floats(20, 70), st.floats(-15, 15), st.sampled_from([9, 13, 19, 25, 32, 40]), st.floats(0, 8))
def test_more_insulation_never_loses_more(water, air, thickness, wind):
    thin, thick = (pipe_heat.linear_loss(28, item, 0.038, water, air, wind) for item in (thickness, thickness + 6))
    assert 0 <= thick <= thin + 1e-12


@given(st.floats(1, 200), st.floats(0.005, 0.03), st.floats(0.5, 1.5))
def test_a_larger_circuit_never_asks_for_a_smaller_vessel(content, share, charge):
    assert volumes.expansion_vessel_l(content + 10, share, charge, 3) > volumes.expansion_vessel_l(
        content, share, charge, 3
    )


def test_pipes_carry_more_as_they_grow():
    for material in ("copper", "multilayer", "plastic", "steel"):
        rows = table(pipe_flow.SIZES).where("material", material)
        bores = [row.number("bore_mm") for row in rows]
        assert bores == sorted(bores)
        assert all(
            row.number("bore_mm") == pytest.approx(row.number("size_mm") - 2 * row.number("wall_mm"), abs=0.05)
            for row in rows
        )
