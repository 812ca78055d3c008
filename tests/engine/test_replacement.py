"""What size of radiator would do in a room that is short."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.houses import changed, small_house, with_records, without
from wattwalk.engine.answers import Verdict
from wattwalk.engine.emitters.radiators import driving_ratio, radiator_output
from wattwalk.engine.emitters.replacement import Place, biggest_panels, outputs_per_metre, place_of, smallest_panels
from wattwalk.survey.building import Emitter

from .support import assessed, findings, room


def short_house(**fields):
    document = changed(
        small_house(),
        "emitter",
        "radiator",
        type="panel_11",
        rated_output_w=None,
        exponent=None,
        height_mm=600,
        length_mm=1400,
    )
    return changed(document, "emitter", "radiator", **fields) if fields else document


def test_a_short_room_has_what_would_do_in_the_same_place():
    result = assessed(short_house(free_width_mm=2150, free_height_mm=900))
    living = room(result, "living")
    assert living.verdict is Verdict.SHORT
    assert living.replacements
    for item in living.replacements:
        assert item.output_w >= living.total_w - 0.1
        assert item.length_mm <= 2000
        assert item.height_mm <= 750
        assert item.emitter == "radiator"
    faces = [item.height_mm * item.length_mm for item in living.replacements]
    assert faces == sorted(faces)
    assert (
        living.replacements[0].words
        in next(item for item in findings(result, "room_short") if item.record == "room/living").remedy
    )


def test_they_are_the_shortest_that_do():
    living = room(assessed(short_house(free_width_mm=2150, free_height_mm=900)), "living")
    for item in living.replacements:
        shorter = item.rated_w * (item.length_mm - 100) / item.length_mm
        exponent = {"panel_11": 1.3, "panel_21": 1.32, "panel_22": 1.33, "panel_33": 1.35}[item.type]
        assert radiator_output(shorter, exponent, 45, 40, 21) < living.total_w


def test_without_a_measured_wall_the_new_one_is_no_bigger():
    living = room(assessed(short_house()), "living")
    assert all(item.length_mm <= 1400 and item.height_mm <= 600 for item in living.replacements)
    assert all("not measured" in item.place for item in living.replacements)


def test_where_nothing_fits_nothing_is_offered():
    result = assessed(short_house(length_mm=500))
    assert room(result, "living").verdict is Verdict.SHORT
    assert room(result, "living").replacements == ()
    assert (
        "would do" not in next(item for item in findings(result, "room_short") if item.record == "room/living").remedy
    )


def test_a_warm_room_needs_none():
    assert (
        room(assessed(small_house()), "hall").replacements == ()
        or room(assessed(small_house()), "hall").verdict is Verdict.SHORT
    )
    warm = assessed(with_records(small_house(), "design", {"id": "d", "flow_temperature_c": 70}))
    assert all(item.replacements == () for item in warm.rooms)


def test_a_second_radiator_is_counted():
    alone = room(assessed(short_house(free_width_mm=3000, free_height_mm=900)), "living")
    helped = with_records(
        short_house(free_width_mm=3000, free_height_mm=900),
        "emitter",
        {"id": "second", "room": "living", "type": "panel_11", "height_mm": 450, "length_mm": 600},
    )
    with_second = room(assessed(helped), "living")
    assert with_second.replacements[0].rated_w < alone.replacements[0].rated_w
    assert {item.emitter for item in with_second.replacements} == {"radiator"}


def test_a_heated_floor_is_not_replaced_by_a_radiator():
    document = with_records(
        without(small_house(), "emitter", "radiator"),
        "emitter",
        {"id": "it", "room": "living", "type": "underfloor", "heated_area_m2": 3, "covering": "tile"},
    )
    assert room(assessed(document), "living").replacements == ()


def test_the_place_is_the_wall_or_the_old_radiator():
    assert place_of(Emitter(id="e", type="panel_11")) is None
    place = place_of(Emitter(id="e", type="panel_11", height_mm=600, length_mm=1000, free_width_mm=1500))
    assert (place.length_mm, place.height_mm) == (1350, 600)
    assert "free width of the wall as measured" in place.words


def test_the_biggest_are_no_thinner_than_the_old_one():
    emitter = Emitter(id="e", type="panel_22", height_mm=600, length_mm=1250)
    assert [(item.type, item.height_mm, item.length_mm) for item in biggest_panels(emitter, place_of(emitter))] == [
        ("panel_22", 600, 1200),
        ("panel_33", 600, 1200),
    ]


@settings(max_examples=100)
@given(st.floats(50, 6000), st.floats(400, 3200), st.floats(300, 1000), st.floats(30, 70), st.floats(2, 10))
def test_whatever_is_offered_does_and_fits(needed, length, height, flow, spread):
    for panel in smallest_panels(needed, Place(length, height, ""), flow, flow - spread, 20):
        ratio = driving_ratio(flow, flow - spread, 20)[1]
        assert panel.rated_w * ratio**panel.exponent >= needed * (1 - 1e-6)
        assert panel.length_mm <= length + 1e-6
        assert panel.height_mm <= height + 1e-6
        assert panel.length_mm % 100 == 0
        assert panel.height_mm in dict(outputs_per_metre(panel.type))
