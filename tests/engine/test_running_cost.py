"""Running cost and carbon: what dated tables hold on a day, what is asked for, and a range that holds its ends."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.engine.support import assessed, findings, only
from tests.engine.test_units import with_units
from tests.support.houses import changed, small_house
from wattwalk.catalogue import table
from wattwalk.engine.answers import Severity
from wattwalk.engine.cost.by_day import GRANTS, row_of_day
from wattwalk.engine.cost.running_cost import PRICES, break_even, cost_of_heat

HOUSEHOLD = {
    "present_fuel": "gas",
    "present_boiler": "condensing",
    "present_use_kwh": 12000,
    "present_price_p_kwh": 6.0,
    "electricity_price_p_kwh": 24.0,
}


def house(**survey):
    return changed(with_units(), "survey", "s", **{**HOUSEHOLD, **survey})


def cost(**survey):
    return assessed(house(**survey)).plant.cost


def line(found, key):
    return next(item for item in found.lines if item.key == key)


def test_the_present_bill_is_its_use_at_its_price():
    found = line(cost(), "present")
    assert (found.energy_low_kwh, found.pounds_low, found.pounds_high) == (12000, "720.00", "720.00")
    assert {item.factor_set: item.kg_low for item in found.carbon} == {"sap_10_2": 2520, "sap_10_3": 2568}


def test_the_heat_pump_is_a_range_about_its_efficiency():
    found = cost()
    pump = line(found, "heat_pump")
    assert (found.heat_low_kwh, found.heat_high_kwh) == (10080, 11040)
    assert pump.energy_low_kwh == pytest.approx(10080 / found.efficiency / 1.1, rel=0.002)
    assert pump.energy_high_kwh == pytest.approx(11040 / found.efficiency / 0.9, rel=0.002)
    assert float(found.saved_low_pounds) == 720 - float(pump.pounds_high)
    assert float(found.saved_high_pounds) == 720 - float(pump.pounds_low)
    assert any("not a promise" in words for words in found.words)


def test_without_a_bill_the_heat_is_that_of_the_rooms_and_a_range():
    found = cost(present_use_kwh=None)
    assert found.heat_low_kwh == pytest.approx(0.75 * found.heat_high_kwh, rel=0.001)
    present = line(found, "present")
    assert present.energy_low_kwh == pytest.approx(found.heat_low_kwh / 0.92, rel=0.001)
    assert present.energy_high_kwh == pytest.approx(found.heat_high_kwh / 0.84, rel=0.001)


def test_the_designer_may_go_by_what_was_worked_out():
    """The choice moves both sides to the same heat, and the words say what the bill would have given."""
    document = house()
    design = document["records"]["design"][0]
    design["cost_heat"] = "worked_out"
    found, free = assessed(document).plant.cost, cost(present_use_kwh=None)
    assert (found.heat_low_kwh, found.heat_high_kwh) == (free.heat_low_kwh, free.heat_high_kwh)
    assert line(found, "present").energy_high_kwh == line(free, "present").energy_high_kwh
    assert any("the designer chose this over the bill, which gives" in words for words in found.words)
    assert cost().heat_low_kwh != found.heat_low_kwh


@pytest.mark.parametrize(
    ("changes", "low", "high"),
    [
        ({}, 0.84, 0.92),
        ({"present_boiler": "older"}, 0.65, 0.80),
        ({"present_boiler": None}, 0.65, 0.92),
        ({"present_efficiency_pct": 70}, 0.70, 0.70),
        ({"present_fuel": "wood"}, 0.60, 0.85),
    ],
)
def test_the_efficiency_of_the_present_appliance(changes, low, high):
    found = cost(**changes)
    assert (found.heat_low_kwh, found.heat_high_kwh) == (
        pytest.approx(12000 * low, abs=1),
        pytest.approx(12000 * high, abs=1),
    )
    assert (found.break_even_low, found.break_even_high) == (
        pytest.approx(4 * low, abs=0.006),
        pytest.approx(4 * high, abs=0.006),
    )


def test_a_price_that_is_not_known_is_asked_for_not_guessed():
    found = assessed(house(electricity_price_p_kwh=None, present_price_p_kwh=None))
    asked = findings(found, "price_not_known")
    assert [(item.field, item.severity) for item in asked] == [
        ("electricity_price_p_kwh", Severity.CHECK),
        ("present_price_p_kwh", Severity.CHECK),
    ]
    assert found.plant.cost.saved_low_pounds is None
    assert line(found.plant.cost, "heat_pump").pounds_low is None
    assert line(found.plant.cost, "heat_pump").energy_low_kwh > 0


def test_a_dated_price_holds_on_its_days_only():
    found = cost(electricity_price_p_kwh=None, present_price_p_kwh=None, visit_date="2025-02-01")
    assert line(found, "heat_pump").price_p_kwh == 24.86
    assert "Energy price cap" in line(found, "heat_pump").words
    assert row_of_day(PRICES, "2025-03-31", fuel="gas") is not None
    assert row_of_day(PRICES, "2025-04-01", fuel="gas") is None
    assert row_of_day(PRICES, "2024-12-31", fuel="gas") is None
    assert row_of_day(PRICES, None, fuel="gas") is None


@pytest.mark.parametrize("name", [PRICES, GRANTS])
def test_dated_rows_have_days_in_order_and_do_not_overlap(name):
    spans: dict[tuple, list[tuple[date, date]]] = {}
    for row in table(name).rows:
        first, last = (
            date.fromisoformat(row.word("first_day")),
            date.fromisoformat(row.word("last_day") or "9999-12-31"),
        )
        assert first <= last
        key = tuple(value for column, value in row.cells.items() if column in ("fuel", "nation", "replacing"))
        assert all(last < other[0] or first > other[1] for other in spans.get(key, []))
        spans.setdefault(key, []).append((first, last))


@pytest.mark.parametrize(
    ("changes", "pounds"),
    [
        ({"visit_date": "2026-03-12"}, "7500.00"),
        ({"visit_date": "2026-11-25"}, "7500.00"),
        ({"visit_date": "2026-11-25", "present_fuel": "oil"}, "9000.00"),
        ({"visit_date": "2026-07-20", "present_fuel": "oil"}, "7500.00"),
        ({"visit_date": "2026-11-25", "present_fuel": "solid"}, None),
        ({"nation": "scotland"}, None),
        ({"visit_date": "2020-01-01"}, None),
    ],
)
def test_grants_by_nation_fuel_and_day(changes, pounds):
    found = assessed(house(**changes))
    assert found.plant.cost.grant.pounds == pounds
    assert len(findings(found, "grant_by_table")) == (pounds is not None)


def test_no_day_no_grant():
    assert cost(visit_date=None).grant is None


def test_dearer_electricity_is_said():
    assert findings(assessed(house(electricity_price_p_kwh=10)), "dearer_to_run") == []
    only(assessed(house(electricity_price_p_kwh=60)), "dearer_to_run", Severity.CHECK)


def test_dearer_for_sure_is_told_from_maybe_dearer():
    seen = set()
    for price in range(10, 61):
        result = assessed(house(electricity_price_p_kwh=price))
        made = result.plant.cost
        if (
            abs(made.efficiency * 1.1 - made.break_even_low) < 0.05
            or abs(made.efficiency - made.break_even_high) < 0.05
        ):
            continue  # both are given to a hundredth, and this close they do not tell
        expected = (
            []
            if made.efficiency >= made.break_even_high
            else [Severity.CHECK if made.efficiency * 1.1 < made.break_even_low else Severity.NOTE]
        )
        assert [item.severity for item in findings(result, "dearer_to_run")] == expected, price
        seen.add(tuple(expected))
    assert seen == {(), (Severity.NOTE,), (Severity.CHECK,)}


def test_electric_heating_has_no_break_even_and_one_price():
    found = assessed(house(present_fuel="electricity", present_price_p_kwh=None))
    assert found.plant.cost.break_even_low is None
    assert line(found.plant.cost, "present").pounds_low == "2880.00"
    assert findings(found, "price_not_known") == []
    other = cost(present_fuel="electricity", electricity_price_p_kwh=None, present_price_p_kwh=20.0)
    assert line(other, "heat_pump").price_p_kwh == 20


def test_no_heating_yet_shows_the_heat_pump_alone():
    found = cost(present_fuel="none", present_use_kwh=None)
    assert [item.key for item in found.lines] == ["heat_pump"]
    assert found.saved_low_pounds is None


def test_the_standing_charge_goes_only_with_the_fuel():
    assert any(
        "goes as well" in words and "£110" in words for words in cost(present_standing_p_day=30, fuel_leaves=True).words
    )
    assert any("stays" in words for words in cost(present_standing_p_day=30, fuel_leaves=False).words)


def test_nothing_known_says_nothing():
    made = changed(small_house(), "room", "hall", height_m=None, length_m=None)
    assert assessed(made).plant.cost is None


def test_a_bill_without_a_unit_still_shows_the_bill():
    made = changed(changed(small_house(), "room", "hall", height_m=None, length_m=None), "survey", "s", **HOUSEHOLD)
    found = assessed(made).plant.cost
    assert [item.key for item in found.lines] == ["present"]
    assert found.missing


@given(st.floats(1, 100), st.floats(1, 50), st.floats(0.5, 1.1))
def test_at_the_break_even_both_cost_the_same(electricity, fuel, efficiency):
    even = break_even(electricity, fuel, efficiency)
    assert cost_of_heat(electricity, even) == pytest.approx(cost_of_heat(fuel, efficiency))
