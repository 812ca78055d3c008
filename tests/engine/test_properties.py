"""What must hold of any house, tried on many."""

from __future__ import annotations

from math import fsum

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.houses import changed, small_house, terrace, with_records, without
from wattwalk.engine import assess
from wattwalk.engine.answers import VentilationLoss
from wattwalk.engine.emitters.compiled import compile_emitter
from wattwalk.engine.fabric.room_loss import RoomWork, start_room
from wattwalk.engine.fabric.room_shape import size_of_room
from wattwalk.engine.season.common_flow import HeatedRoom, find_flow
from wattwalk.survey.building import Emitter, Room
from wattwalk.survey.document import read_document

from .support import assessed, room

temperatures = st.floats(5, 30).map(lambda value: round(value, 1))
u_values = st.floats(0.05, 7).map(lambda value: round(value, 2))


@settings(max_examples=40, deadline=None)
@given(st.lists(temperatures, min_size=6, max_size=6), u_values, st.floats(-20, 5))
def test_flows_between_rooms_cancel(inside, u_value, outside):
    document = changed(
        changed(terrace(6), "construction", "inner", u_value_w_m2k=u_value),
        "survey",
        "s",
        outside_design_temperature_c=outside,
    )
    for record, value in zip(document["records"]["room"], inside, strict=True):
        record["inside_temperature_c"] = value
    result = assessed(document)
    building = result.building
    assert building.between_rooms_w == 0
    through = fsum(
        [building.outside_w, building.ground_w, building.unheated_w, building.neighbour_w, building.ventilation_w]
    )
    assert building.total_w == pytest.approx(through, abs=0.31)
    assert building.total_w == pytest.approx(fsum(item.total_w for item in result.rooms), abs=0.31)


@settings(max_examples=40, deadline=None)
@given(u_values, u_values, st.sampled_from(["wall", "window"]))
def test_a_worse_wall_never_loses_less(one, other, name):
    low, high = sorted((one, other))
    losses = [
        assessed(changed(small_house(), "construction", name, u_value_w_m2k=value)).building.total_w
        for value in (low, high)
    ]
    assert losses[0] <= losses[1]


emitters = st.one_of(
    st.builds(
        lambda rated, n: {"type": "panel_22", "rated_output_w": rated, "exponent": n},
        st.floats(100, 8000),
        st.floats(1.0, 1.8),
    ),
    st.builds(
        lambda area, spacing, covering, screed: {
            "type": "underfloor",
            "heated_area_m2": area,
            "pipe_spacing_mm": spacing,
            "covering_resistance_m2k_w": covering,
            "screed_over_pipe_mm": screed,
        },
        st.floats(1, 60),
        st.floats(50, 450),
        st.floats(0, 0.15),
        st.floats(10, 150),
    ),
    st.builds(
        lambda area, spacing, covering, plate: {
            "type": "underfloor",
            "heated_area_m2": area,
            "pipe_spacing_mm": spacing,
            "covering_resistance_m2k_w": covering,
            "floor_system": "plates",
            "plate_thickness_mm": plate,
            "board_thickness_mm": 18,
        },
        st.floats(1, 60),
        st.floats(50, 450),
        st.floats(0, 0.15),
        st.floats(0.05, 3),
    ),
)


@settings(max_examples=200, deadline=None)
@given(emitters, temperatures, st.floats(20, 75), st.floats(0, 10), st.floats(2, 20))
def test_a_hotter_flow_never_gives_less(fields, inside, flow, more, spread):
    work = compile_emitter(Emitter(id="e", **fields), inside, False)
    assert not work.missing
    assert work.output_w(flow, flow - spread) <= work.output_w(flow + more, flow + more - spread) + 1e-9


@settings(max_examples=200, deadline=None)
@given(emitters, emitters, temperatures, st.floats(1, 6000), st.floats(2, 20))
def test_the_lowest_flow_serves_and_a_little_less_does_not(one, other, inside, loss, spread):
    class Fixed(RoomWork):
        total_w = loss

    room = Room(id="r", name="Room")
    work = Fixed(room, "Room", inside, "", "", 10.0, 25.0, [], [], size=size_of_room(room))
    heated = HeatedRoom(
        work, [compile_emitter(Emitter(id="e", **fields), inside, False) for fields in (one, other)], spread
    )
    lowest = heated.lowest_flow_c
    if lowest is None:
        assert not heated.serves(75)
    else:
        assert heated.serves(lowest)
        assert lowest == 20 or not heated.serves(lowest - 0.02)


@settings(max_examples=30, deadline=None)
@given(st.floats(0.3, 4.7).map(lambda value: round(value, 2)))
def test_splitting_a_wall_in_two_changes_nothing(width):
    whole = without(small_house(), "surface", "pane")
    front = next(item for item in whole["records"]["surface"] if item["id"] == "front")
    halves = with_records(
        without(whole, "surface", "front"),
        "surface",
        {**front, "id": "one", "width_m": width},
        {**front, "id": "two", "width_m": round(5 - width, 2)},
    )
    assert room(assessed(halves), "living").total_w == pytest.approx(room(assessed(whole), "living").total_w, abs=0.11)


def test_the_same_survey_gives_the_same_answer():
    survey = read_document(terrace(12))
    assert assess(survey) == assess(survey)


def test_the_order_of_rooms_changes_no_figure():
    document = terrace(7)
    turned = terrace(7)
    for kind in ("room", "surface", "emitter"):
        turned["records"][kind].reverse()
    one, other = assessed(document), assessed(turned)
    assert one.building == other.building
    assert {item.id: item.total_w for item in one.rooms} == {item.id: item.total_w for item in other.rooms}
    assert one.flow.lowest_c == other.flow.lowest_c


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.tuples(st.floats(0.2, 5), st.sampled_from(["living", "bedroom", "bathroom", "hall"]), emitters),
        min_size=1,
        max_size=6,
    ),
    st.floats(2, 15),
)
def test_the_common_flow_warms_every_room_and_a_hundredth_less_does_not(rooms, spread):
    heated = []
    for place, (kilowatts, use, fields) in enumerate(rooms):
        work = start_room(
            Room(id=f"r{place}", name=f"Room {place}", use=use, length_m=4, width_m=3, height_m=2.4), "bs_5449_1990"
        )
        work.ventilation, work.ventilation_w = VentilationLoss(1, 28.8, 0.33, 24, 0, "", ""), 1000 * kilowatts
        heated.append(
            HeatedRoom(
                work, [compile_emitter(Emitter(id=f"e{place}", **fields), work.inside_c, use == "bathroom")], spread
            )
        )
    flow, _ = find_flow(heated, 45, spread, "")
    if flow.lowest_c is None:
        assert any(room.serves(75) is False for room in heated)
        return
    assert all(room.serves(flow.lowest_c) for room in heated)
    assert flow.lowest_c == 20 or not all(room.serves(flow.lowest_c - 0.01) for room in heated)
