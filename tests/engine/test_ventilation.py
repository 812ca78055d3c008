"""The ways of counting the air: what each gives, that the house adds up, and what is missing."""

from __future__ import annotations

from math import fsum

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.houses import changed, small_house, terrace
from wattwalk.engine.air.leakage import effective_air_changes, leakage_by_test, least_flow_m3_h, mechanical_air
from wattwalk.engine.air.ventilation import en_12831_2017_flow
from wattwalk.engine.answers import Severity

from .support import assessed, findings, only, room


def house(**fields):
    return changed(small_house(), "survey", "s", **fields)


def method(result, name):
    return next(item for item in result.ventilation if item.method == name)


#: Living room 48 m³ at 21 °C, hall 19.2 m³ at 18 °C, −3 °C outside; envelope 12 + 20 + 8 m².
LIVING, HALL, ENVELOPE = 48 * 24, 19.2 * 21, 40.0


def test_every_way_is_shown_and_one_is_used():
    result = assessed(house())
    assert [(item.method, item.is_used) for item in result.ventilation] == [
        ("room_table", True),
        ("en_12831_2017", False),
        ("air_permeability", False),
        ("mechanical", False),
    ]
    assert method(result, "room_table").house_w == result.building.ventilation_w


@pytest.mark.parametrize("name", ["room_table", "en_12831_2017", "air_permeability", "mechanical"])
def test_the_way_chosen_is_the_one_that_counts(name):
    result = assessed(
        changed(house(ventilation_method=name, recovery_efficiency_pct=80, bedrooms=1), "room", "hall", use="bathroom")
    )
    assert method(result, name).is_used
    assert result.building.ventilation_w == pytest.approx(method(result, name).house_w, abs=0.1)
    assert method(result, name).house_w == pytest.approx(
        fsum(item.ventilation.loss_w for item in result.rooms), abs=0.2
    )


def test_the_least_of_the_european_standard_without_a_test():
    result = assessed(house(ventilation_method="en_12831_2017"))
    assert room(result, "living").ventilation.loss_w == pytest.approx(0.33 * 0.5 * LIVING, abs=0.05)
    assert method(result, "en_12831_2017").at_once_w == pytest.approx(0.33 * 0.25 * (LIVING + HALL), abs=0.05)


def test_the_european_standard_with_a_leaky_test():
    # 20 m³/hm² through 40 m² at a twentieth: 40 m³/h, of which the living room has 32/40, doubled to windward.
    result = assessed(house(ventilation_method="en_12831_2017", air_permeability_m3_hm2=20))
    assert room(result, "living").ventilation.air_changes_h == pytest.approx(40 / 48, abs=0.001)
    assert room(result, "hall").ventilation.air_changes_h == pytest.approx(2 * 40 * 8 / 40 / 19.2, abs=0.001)
    assert method(result, "en_12831_2017").at_once_w == pytest.approx(0.33 * (32 * 24 + 8 * 21), abs=0.1)


def test_leakage_by_a_pressure_test():
    result = assessed(house(ventilation_method="air_permeability", air_permeability_m3_hm2=10, sheltered_sides=0))
    leaking = 10 * ENVELOPE / (20 * 67.2)
    assert room(result, "hall").ventilation.air_changes_h == pytest.approx(0.5 + leaking**2 / 2, abs=0.001)


def test_leakage_built_up_from_what_is_seen():
    # Masonry 0.35, solid floor, no lobby 0.05, windows half proofed 0.15, one storey; four sides sheltered.
    result = assessed(house(ventilation_method="air_permeability", draught_proofed_pct=50, sheltered_sides=4))
    steps = method(result, "air_permeability").steps
    assert [step.result for step in steps] == [0.55, pytest.approx(0.55 * 0.7)]
    assert room(result, "living").ventilation.air_changes_h == pytest.approx(0.5 + 0.385**2 / 2, abs=0.001)


def test_a_chimney_and_a_fan_count_where_they_are():
    still = assessed(house(ventilation_method="air_permeability"))
    with_both = assessed(
        changed(house(ventilation_method="air_permeability"), "room", "living", open_chimney=True, extract_fan=True)
    )
    assert room(with_both, "hall").ventilation == room(still, "hall").ventilation
    leaking = 0.65 * 0.85 + 0.85 * 90 / 48
    assert room(with_both, "living").ventilation.air_changes_h == pytest.approx(leaking, abs=0.06)
    assert not findings(with_both, "open_chimney")


def test_a_rate_written_down_wins_over_any_way():
    for name in ("room_table", "en_12831_2017", "air_permeability"):
        result = assessed(changed(house(ventilation_method=name), "room", "living", air_changes_h=0.7))
        assert room(result, "living").ventilation.air_changes_h == 0.7


def test_a_unit_without_its_efficiency_is_not_guessed():
    result = assessed(house(ventilation_method="mechanical"))
    assert room(result, "living").total_w is None
    assert "how much heat the ventilation unit recovers" in room(result, "living").missing
    assert "number of bedrooms" in room(result, "living").missing[-1]


def test_a_unit_needs_a_room_to_draw_from():
    result = assessed(house(ventilation_method="mechanical", recovery_efficiency_pct=80, bedrooms=1))
    assert "one to draw it from" in room(result, "hall").missing[-1]


def test_older_air_carries_more():
    assert assessed(house(air_heat="en_12831_2003")).building.ventilation_w == pytest.approx(
        assessed(house()).building.ventilation_w * 34 / 33, abs=0.2
    )


def test_a_choice_that_moves_the_answer_is_said():
    note = only(assessed(house()), "ventilation_choice", Severity.NOTE)
    assert "Least air changes of EN 12831-1:2017" in note.message
    alike = assessed(changed(changed(house(), "room", "living", air_changes_h=0.5), "room", "hall", air_changes_h=0.5))
    assert not findings(alike, "ventilation_choice")


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.sampled_from(["living", "bedroom", "kitchen", "bathroom", "hall"]), st.floats(5, 80), st.floats(15, 24)
        ),
        min_size=2,
        max_size=8,
    ),
    st.floats(-10, 5),
    st.floats(20, 400),
    st.floats(0, 0.95),
)
def test_a_unit_carries_out_what_it_does_not_recover(rooms, outside, flow, efficiency):
    uses, volumes, inside = zip(*rooms, strict=True)
    air = mechanical_air(uses, volumes, inside, outside, flow, efficiency)
    if air is None:
        assert not {"living", "bedroom"} & set(uses) or not {"kitchen", "bathroom"} & set(uses)
        return
    leaving = fsum(share * warm for share, warm in zip(air.extract_m3_h, inside, strict=True)) / flow
    rooms_w = fsum(share * (warm - air.supply_c) for share, warm in zip(air.supply_m3_h, inside, strict=True))
    rooms_w += fsum(share * (warm - air.transfer_c) for share, warm in zip(air.extract_m3_h, inside, strict=True))
    assert rooms_w == pytest.approx(flow * (1 - efficiency) * (leaving - outside), abs=1e-6)
    assert fsum(air.supply_m3_h) == pytest.approx(flow)


@given(st.floats(0, 3), st.floats(0, 3))
def test_more_leaks_never_change_less_air(one, other):
    low, high = sorted((one, other))
    assert effective_air_changes(low) <= effective_air_changes(high) + 1e-12


@given(st.floats(5, 200), st.floats(0, 500), st.floats(0, 1))
def test_the_european_flow_lies_between_its_bounds(volume, house_leak, share):
    flow = en_12831_2017_flow(volume, share * house_leak, house_leak)
    assert 0.5 * volume <= flow <= max(0.5 * volume, house_leak)


def test_flows_of_mechanical_units():
    assert least_flow_m3_h(7, 50) == pytest.approx(3.6 * (43 + 12))
    assert least_flow_m3_h(0, 10) == pytest.approx(3.6 * 19)


def test_a_tighter_house_leaks_less():
    assert leakage_by_test(3, 200, 250) == pytest.approx(0.12)


def test_rooms_of_a_terrace_share_the_leakage():
    result = assessed(
        changed(terrace(6), "survey", "s", ventilation_method="air_permeability", air_permeability_m3_hm2=8)
    )
    assert len({item.ventilation.air_changes_h for item in result.rooms}) == 1


class TestOpenChimney:
    """Counted by every way; only by the table and by leakage it used to be."""

    @staticmethod
    def rates(name: str, **fields) -> tuple[float, float]:
        """Return the living room's air changes by one way, without and with an open chimney."""
        asked = {"ventilation_method": name, "recovery_efficiency_pct": 80, "bedrooms": 2, "mechanical_flow_m3_h": 100}
        document = changed(house(**asked), "room", "hall", use="kitchen")
        return tuple(
            room(
                assessed(changed(document, "room", "living", open_chimney=is_open, **fields)), "living"
            ).ventilation.air_changes_h
            for is_open in (False, True)
        )

    def test_by_the_european_standard_it_draws_what_the_table_of_chimneys_has(self):
        closed, open_ = self.rates("en_12831_2017")
        # 48 m³: 3.5 an hour for a room of 40 to 70 m³ (heating design guide, from memory).
        assert (closed, open_) == (0.5, 3.5)

    def test_a_unit_leaks_through_it_as_well(self):
        closed, open_ = self.rates("mechanical")
        # 80 m³/h through an open chimney (SAP 10.2, from memory), two sheltered sides: 0.85 of it, in 48 m³.
        assert open_ - closed == pytest.approx(80 * 0.85 / 48, abs=0.002)

    @pytest.mark.parametrize("name", ["en_12831_2017", "mechanical"])
    def test_it_is_said(self, name):
        asked = {"ventilation_method": name, "recovery_efficiency_pct": 80, "bedrooms": 2}
        document = changed(house(**asked), "room", "hall", use="kitchen")
        result = assessed(changed(document, "room", "living", open_chimney=True))
        assert only(result, "open_chimney", Severity.NOTE).record == "room/living"
        written = changed(document, "room", "living", open_chimney=True, air_changes_h=1.2)
        assert findings(assessed(written), "open_chimney") == []

    @pytest.mark.parametrize(("age", "changes_h"), [("before_2000", 2.0), ("2000_to_2006", 1.5), ("after_2006", 1.5)])
    def test_a_cloakroom_with_a_wc_has_the_room_tables_own_row(self, age, changes_h):
        document = changed(changed(small_house(), "survey", "s", ventilation_age=age), "room", "hall", use="cloakroom")
        hall = next(item for item in assessed(document).rooms if item.id == "hall")
        assert hall.ventilation.air_changes_h == changes_h
        toilet = next(
            item for item in assessed(changed(document, "room", "hall", use="toilet")).rooms if item.id == "hall"
        )
        assert (hall.inside_c, toilet.inside_c) == (18, 18)
        assert toilet.ventilation.air_changes_h >= hall.ventilation.air_changes_h

    def test_the_house_at_once_keeps_it(self):
        document = house(ventilation_method="en_12831_2017")
        closed, open_ = (
            method(assessed(changed(document, "room", "living", open_chimney=is_open)), "en_12831_2017").at_once_w
            for is_open in (False, True)
        )
        assert open_ - closed == pytest.approx(0.33 * (3.5 - 0.25) * LIVING, abs=0.2)


def test_a_rate_written_down_wins_over_a_unit():
    asked = {"ventilation_method": "mechanical", "recovery_efficiency_pct": 80, "bedrooms": 2}
    document = changed(house(**asked), "room", "hall", use="kitchen")
    found = room(assessed(changed(document, "room", "living", air_changes_h=2.5)), "living").ventilation
    assert (found.air_changes_h, found.words) == (2.5, "as written in the survey")
    assert found.loss_w == pytest.approx(0.33 * 2.5 * LIVING, abs=0.1)
