"""Losses of whole houses: colder, better insulated, larger, draughtier, told another way."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tests.engine.support import assessed
from tests.support.houses import changed, small_house
from wattwalk.engine.answers import Assessment

from . import changes
from .houses import Document, between, choices, houses, houses_each, one

#: A figure leaves the engine rounded to a tenth of a watt; one that another way of adding moved across the edge may differ by that.
ROUNDED_W = 0.11


def losses(answer: Assessment) -> dict[str, float]:
    """Return the loss of each room in W."""
    assert not answer.building.rooms_missing, [room.missing for room in answer.rooms if room.missing]
    return {room.id: room.total_w for room in answer.rooms}


def no_less(after: Assessment, before: Assessment, *, of: set[str] | None = None) -> None:
    """Hold that no room of these, by default none at all, and not the house, loses less than before."""
    were, are = losses(before), losses(after)
    for room in were if of is None else of:
        assert are[room] >= were[room] - ROUNDED_W, f"{room} lost {were[room]} W and loses {are[room]} W now"
    if of is None:
        lost, loses = before.building.total_w, after.building.total_w
        assert loses >= lost - ROUNDED_W * len(were), f"the house lost {lost} W and loses {loses} W now"


def alike(after: Assessment, before: Assessment) -> None:
    """Hold that every room and the house lose what they lost."""
    assert losses(after) == pytest.approx(losses(before), abs=ROUNDED_W)
    assert after.building.total_w == pytest.approx(before.building.total_w, abs=ROUNDED_W)


@houses_each(18)
@given(houses())
def test_rooms_add_up_and_flows_between_them_cancel(house: Document) -> None:
    answer = assessed(house)
    building = answer.building
    assert building.between_rooms_w == pytest.approx(0, abs=ROUNDED_W)
    assert building.total_w == pytest.approx(sum(losses(answer).values()), abs=ROUNDED_W * len(answer.rooms))


@houses_each(18)
@given(houses(), between(0.1, 10, 1))
def test_colder_outside_never_lowers_a_loss(house: Document, colder_k: float) -> None:
    outside = changes.records(house, "survey")[0].get("outside_design_temperature_c", -3.0)
    before = assessed(changes.of_survey(house, outside_design_temperature_c=outside))
    after = assessed(changes.of_survey(house, outside_design_temperature_c=round(outside - colder_k, 1)))
    no_less(after, before)
    if before.plant.load_kw is not None and after.plant.load_kw is not None:
        assert after.plant.load_kw >= before.plant.load_kw - 0.011


@houses_each(14)
@given(houses(), between(6, 12, 1), between(0.1, 3, 1), between(0, 12, 1), between(0.5, 6, 1))
def test_a_colder_year_or_neighbour_never_lowers_a_loss(
    house: Document, mean: float, less: float, neighbour: float, colder: float
) -> None:
    place = {"separate_neighbour": "cold"}
    before = assessed(changes.of_survey(house, **place, outside_annual_mean_c=mean, neighbour_temperature_c=neighbour))
    year = changes.of_survey(
        house, **place, outside_annual_mean_c=round(mean - less, 1), neighbour_temperature_c=neighbour
    )
    beside = changes.of_survey(
        house, **place, outside_annual_mean_c=mean, neighbour_temperature_c=round(neighbour - colder, 1)
    )
    no_less(assessed(beside), before)
    no_less(assessed(year), before)
    if before.energy is not None:
        assert assessed(year).energy.heat_kwh >= before.energy.heat_kwh


@houses_each(18)
@given(
    houses(),
    choices("survey", "design_location"),
    choices("survey", "height_gradient"),
    st.integers(-5, 400),
    st.integers(1, 400),
)
def test_a_higher_place_never_lowers_a_loss(house: Document, station: str, gradient: str, low: int, up: int) -> None:
    place = {"outside_design_temperature_c": None, "design_location": station, "height_gradient": gradient}
    before, after = (assessed(changes.of_survey(house, **place, altitude_m=height)) for height in (low, low + up))
    no_less(after, before)


@houses_each(14)
@given(houses(), choices("survey", "design_location"), choices("survey", "design_percentile"))
def test_a_sterner_choice_of_cold_never_lowers_a_loss(house: Document, station: str, percentile: str) -> None:
    place = {
        "outside_design_temperature_c": None,
        "design_location": station,
        "altitude_m": 50,
        "exposure": "exposed",
        "design_percentile": percentile,
    }
    none, two, three = (
        assessed(changes.of_survey(house, **place, exposure_allowance=allowance))
        for allowance in ("none", "two_kelvin", "three_kelvin")
    )
    no_less(two, none)
    no_less(three, two)
    milder, sterner = (
        assessed(changes.of_survey(house, **place | {"design_percentile": share})) for share in ("99", "99_6")
    )
    no_less(sterner, milder)


@houses_each(14)
@given(houses())
def test_a_sterner_method_never_lowers_a_loss(house: Document) -> None:
    for field, milder, sterner in (
        ("thermal_bridges", "none", "good_details"),
        ("thermal_bridges", "good_details", "usual"),
        ("thermal_bridges", "usual", "internal_insulation"),
        ("ground_convention", "uk_annual_mean", "en_12831_2017"),
        ("air_heat", "sap", "en_12831_2003"),
        ("separate_neighbour", "same_temperature", "cold"),
        ("ventilation_age", "after_2006", "2000_to_2006"),
        ("ventilation_age", "2000_to_2006", "before_2000"),
    ):
        before, after = (assessed(changes.of_survey(house, **{field: value})) for value in (milder, sterner))
        if field in ("thermal_bridges", "air_heat"):
            # The allowance on a warm room's wall makes the garage behind it warmer, and warm air of a ventilation unit
            # brings a cold room more: that room loses less, and the house no less.
            assert after.building.total_w >= before.building.total_w - ROUNDED_W * len(after.rooms)
        else:
            no_less(after, before)


@houses_each(30)
@given(houses(), st.data())
def test_more_insulation_never_raises_a_loss(house: Document, data: st.DataObject) -> None:
    known = [item for item in changes.records(house, "construction") if item["element"] not in ("partition",)]
    chosen = data.draw(st.sampled_from(known))
    better = changes.better_insulated(data.draw, chosen)
    assume(better is not None)
    insulated = changes.copied(house)
    changes.record(insulated, "construction", chosen["id"]).update(better)
    before, after = assessed(house), assessed(insulated)
    between_rooms = {
        item["construction"] for item in changes.records(house, "surface") if item.get("other_side") == "room"
    }
    beside_a_space = {item["construction"] for item in changes.records(house, "surface") if "space" in item}
    if chosen["id"] in between_rooms | beside_a_space:
        # Insulation between a warm room and a space or another room makes what is beyond colder, and its neighbours lose more.
        return
    no_less(before, after)


@pytest.mark.parametrize("nation", ["england", "wales", "scotland", "northern_ireland"])
def test_a_little_insulation_on_a_lined_wall_never_raises_a_loss(nation: str) -> None:
    house = changed(small_house(), "survey", "s", nation=nation, age_band="B")
    stone = {"known_by": "look", "look": "wall_stone_sandstone", "thickness_mm": 500, "u_value_w_m2k": None}
    lined, insulated = (
        assessed(changed(house, "construction", "wall", **stone, lined=True, insulation_mm=thick)) for thick in (0, 1)
    )
    no_less(lined, insulated)


@houses_each(18)
@given(houses(), st.data())
def test_insulation_between_rooms_never_changes_the_house(house: Document, data: st.DataObject) -> None:
    only = {item["construction"] for item in changes.records(house, "surface") if item.get("other_side") == "room"}
    only -= {
        item["construction"]
        for item in changes.records(house, "surface")
        if item.get("other_side") not in (None, "room", "nothing")
    }
    assume(only)
    chosen = changes.record(house, "construction", data.draw(st.sampled_from(sorted(only))))
    better = changes.better_insulated(data.draw, chosen)
    assume(better is not None)
    insulated = changes.copied(house)
    changes.record(insulated, "construction", chosen["id"]).update(better)
    before, after = assessed(house), assessed(insulated)
    losses(before)
    assert after.building.total_w == pytest.approx(before.building.total_w, abs=ROUNDED_W)


@houses_each(14)
@given(houses(), between(0.3, 2), between(20, 150, 0), one("horizontal", "vertical"))
def test_insulation_at_the_edge_never_raises_a_loss(house: Document, reach: float, thick: float, lies: str) -> None:
    slabs = [
        item
        for item in changes.records(house, "construction")
        if item["element"] == "ground_floor" and item.get("look") == "floor_solid"
    ]
    assume(slabs)
    answers = []
    for more in (None, 0.0, 0.5):
        edged = changes.copied(house)
        slab = changes.record(edged, "construction", slabs[0]["id"])
        for name in ("edge_insulation", "edge_reach_m", "edge_thickness_mm"):
            slab.pop(name, None)
        if more is not None:
            slab |= {"edge_insulation": lies, "edge_reach_m": round(reach + more, 2), "edge_thickness_mm": thick}
        answers.append(assessed(edged))
    # An edge that reaches too far for a narrow floor is refused, and then nothing is said.
    assume(not any(answer.building.rooms_missing for answer in answers))
    bare, edged, further = answers
    no_less(bare, edged)
    no_less(edged, further)


@houses_each(18)
@given(houses())
def test_doubled_areas_double_what_the_fabric_loses(house: Document) -> None:
    before, after = assessed(house), assessed(changes.twice_as_large(house))
    losses(before)
    for was, now in zip(before.rooms, after.rooms, strict=True):
        assert now.fabric_w == pytest.approx(2 * was.fabric_w, abs=3 * ROUNDED_W), was.name


@houses_each(18)
@given(houses())
def test_a_partition_told_from_the_other_side_changes_nothing(house: Document) -> None:
    before, after = assessed(house), assessed(changes.told_from_the_other_side(house))
    assert losses(after) == losses(before)
    assert after.building == before.building
    assert (after.flow.lowest_c, after.flow.set_by_room) == (before.flow.lowest_c, before.flow.set_by_room)


@houses_each(14)
@given(houses())
def test_a_house_seen_in_a_mirror_loses_the_same(house: Document) -> None:
    # The sample house has rooms that are no squares, and a side's size follows its room's box: mirrored, each keeps its own.
    before, after = assessed(house), assessed(changes.seen_in_a_mirror(house))
    assert losses(after) == losses(before)
    assert after.building == before.building


@houses_each(18)
@given(houses(), st.data())
def test_a_wall_told_in_two_parts_changes_nothing(house: Document, data: st.DataObject) -> None:
    parted = changes.with_one_wall_in_two(data.draw, house)
    assume(parted is not None)
    alike(assessed(parted), assessed(house))


@houses_each(14)
@given(houses())
def test_two_alike_windows_may_be_one_record_or_two(house: Document) -> None:
    apart = changes.copied(house)
    for surface in list(changes.records(apart, "surface")):
        if surface.get("count", 1) == 2:
            surface["count"] = 1
            apart["records"]["surface"].append({**surface, "id": f"{surface['id']}-twin"})
    alike(assessed(apart), assessed(house))


@houses_each(14)
@given(houses())
def test_a_construction_used_twice_may_be_told_twice(house: Document) -> None:
    for construction in changes.records(house, "construction"):
        if construction["element"] == "wall":
            # The wall that most of the house is made of sets the edge of the ground floor, and copies are each a little of it.
            construction["thickness_mm"] = 300
    alike(assessed(changes.with_constructions_of_their_own(house)), assessed(house))


@houses_each(18)
@given(houses(), st.data(), between(0.1, 5, 1))
def test_a_warmer_room_loses_no_less_and_its_neighbours_no_more(
    house: Document, data: st.DataObject, warmer_k: float
) -> None:
    before = assessed(house)
    chosen = data.draw(st.sampled_from(before.rooms))
    warmer = changes.copied(house)
    room = changes.record(warmer, "room", chosen.id)
    room["inside_temperature_c"] = round(chosen.inside_c + warmer_k, 1)
    after = assessed(warmer)
    no_less(after, before, of={chosen.id})
    no_less(before, after, of={item.id for item in before.rooms} - {chosen.id})
    assert after.building.total_w >= before.building.total_w - ROUNDED_W * len(before.rooms)


@houses_each(18)
@given(houses(), st.data(), between(0.1, 3, 1))
def test_more_air_never_lowers_a_loss(house: Document, data: st.DataObject, more_h: float) -> None:
    chosen = data.draw(st.sampled_from(changes.records(house, "room")))["id"]
    answers = []
    rate = next(room for room in assessed(house).rooms if room.id == chosen).ventilation.air_changes_h
    for more in (0.0, more_h):
        aired = changes.copied(house)
        changes.record(aired, "room", chosen)["air_changes_h"] = min(15.0, max(0.0, round(rate + more, 2)))
        answers.append(assessed(aired))
    no_less(answers[1], answers[0])


@houses_each(14)
@given(houses(), st.data(), between(0.5, 15, 1), between(0.1, 10, 1))
def test_a_draughtier_house_never_loses_less(house: Document, data: st.DataObject, tested: float, more: float) -> None:
    by_leakage = changes.of_survey(
        house,
        ventilation_method=data.draw(one("air_permeability", "en_12831_2017", "mechanical")),
        recovery_efficiency_pct=80,
        mechanical_flow_m3_h=150,
        air_permeability_m3_hm2=tested,
    )
    before = assessed(by_leakage)
    assume(not before.building.rooms_missing)
    no_less(assessed(changes.of_survey(by_leakage, air_permeability_m3_hm2=round(tested + more, 1))), before)
    for field in ("open_chimney", "extract_fan"):
        opened = changes.copied(by_leakage)
        data.draw(st.sampled_from(changes.records(opened, "room")))[field] = True
        no_less(assessed(opened), before)


@houses_each(14)
@given(houses(), st.integers(0, 100), st.integers(0, 3))
def test_a_house_sealed_better_never_loses_more(house: Document, sealed: int, sheltered: int) -> None:
    leaky = changes.of_survey(
        house,
        ventilation_method="air_permeability",
        air_permeability_m3_hm2=None,
        draught_proofed_pct=0,
        sheltered_sides=sheltered,
        draught_lobby=False,
    )
    before = assessed(leaky)
    for better in ({"draught_proofed_pct": sealed}, {"sheltered_sides": sheltered + 1}, {"draught_lobby": True}):
        no_less(before, assessed(changes.of_survey(leaky, **better)))


@houses_each(14)
@given(houses(), st.integers(0, 90), st.integers(1, 8), between(60, 250, 0), between(5, 100, 0))
def test_a_ventilation_unit_that_recovers_less_or_blows_more_never_lowers_the_loss(
    house: Document, recovered: int, less: int, flow: float, more: float
) -> None:
    for room in changes.records(house, "room"):
        # A room with a rate of its own is tried below by itself.
        room.pop("air_changes_h", None)
    better = changes.of_survey(
        house,
        ventilation_method="mechanical",
        recovery_efficiency_pct=recovered + less,
        mechanical_flow_m3_h=flow,
    )
    before = assessed(better)
    assume(not before.building.rooms_missing)
    worse = assessed(changes.of_survey(better, recovery_efficiency_pct=recovered))
    fuller = assessed(changes.of_survey(better, mechanical_flow_m3_h=flow + more))
    for after in (worse, fuller):
        losses(after)
        assert after.building.total_w >= before.building.total_w - ROUNDED_W * len(after.rooms)


def test_more_air_of_a_unit_never_lowers_the_loss_beside_a_room_with_a_written_rate() -> None:
    house = changed(
        changed(small_house(), "room", "living", air_changes_h=0.5, inside_temperature_c=22),
        "room",
        "hall",
        use="kitchen",
    )
    by_unit = {"ventilation_method": "mechanical", "recovery_efficiency_pct": 0}
    less, more = (
        assessed(changed(house, "survey", "s", **by_unit, mechanical_flow_m3_h=flow)).building.total_w
        for flow in (100, 200)
    )
    assert more >= less
