"""Hot water: its need, the charge of its store, what it takes from the heating, its place, its discharge."""

from __future__ import annotations

import copy

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.engine.support import assessed, findings, only
from tests.engine.test_units import with_units
from tests.support.houses import small_house
from wattwalk.engine.answers import Severity
from wattwalk.engine.hot_water.charge import Charger, charge, coil_effectiveness, coil_flow_c, heat_kwh, reheat_minutes
from wattwalk.engine.hot_water.discharge import smallest_pipe
from wattwalk.engine.hot_water.place import tried_sizes
from wattwalk.survey.services import HotWater

CYLINDER = {
    "cylinder_l": 200,
    "cylinder_nominal_l": 210,
    "coil_m2": 3.0,
    "cylinder_loss_kwh": 1.4,
    "cylinder_height_mm": 1500,
    "cylinder_diameter_mm": 600,
    "cylinder_empty_kg": 60,
}
PLACE = {
    "place_width_mm": 800,
    "place_depth_mm": 800,
    "place_height_mm": 2300,
    "door_width_mm": 720,
    "floor_can_carry": True,
    "mains_pressure_bar": 2.5,
    "mains_flow_l_min": 25,
}


def house(water=None, design=None, survey=None, discharge=None):
    """Return a small house with a unit, a cylinder and a place for it, changed as asked."""
    made = with_units(**{"unit": "unit-middle", **CYLINDER, **(design or {})})
    made["records"]["survey"][0] |= {"bedrooms": 3, "occupants": 4, **(survey or {})}
    made["records"]["hot_water"] = [{"id": "w", **PLACE, **(water or {})}]
    if discharge is not None:
        made["records"]["pipe_run"] = [{"id": "p", "purpose": "discharge", **discharge}]
    return made


def water(document):
    return assessed(document).plant.hot_water


def steady(kw: float, hottest: float = 65.0, conductance: float = 1000.0) -> Charger:
    return Charger(lambda _flow: kw, lambda flow: 3 - 0.03 * (flow - 45), hottest, conductance, 0.4)


class TestCharge:
    def test_a_constant_power_takes_as_long_as_its_heat_says(self):
        found = charge(200, 10, 50, steady(6, conductance=1e6))
        assert found.minutes == pytest.approx(reheat_minutes(200, 40, 6))
        assert found.end_kw == pytest.approx(6, abs=0.01)
        assert not found.is_held_back

    def test_the_flow_at_the_end_is_that_of_the_coil(self):
        found = charge(200, 10, 50, steady(6))
        assert found.end_flow_c == pytest.approx(coil_flow_c(6, 50, 1000, 0.4), abs=0.01)

    def test_a_small_coil_holds_the_unit_back(self):
        found = charge(200, 10, 50, steady(6, conductance=300))
        assert found.is_held_back
        assert found.end_flow_c == 65
        assert found.end_kw == pytest.approx(coil_effectiveness(300, 0.4) * 0.4 * 4.18 * 15)
        assert found.minutes > charge(200, 10, 50, steady(6)).minutes

    def test_a_store_hotter_than_the_flow_is_refused(self):
        assert charge(200, 10, 65, steady(6)) is None
        assert charge(200, 50, 50, steady(6)) is None
        with pytest.raises(ValueError, match="more than nothing"):
            reheat_minutes(200, 40, 0)

    @given(st.floats(50, 1000), st.floats(0.5, 30), st.floats(50, 5000))
    def test_never_faster_than_the_unit(self, litres, kw, conductance):
        found = charge(litres, 10, 50, steady(kw, conductance=conductance))
        assert found.minutes >= reheat_minutes(litres, 40, kw) * (1 - 1e-9)
        assert found.end_kw <= kw * (1 + 1e-9)
        assert 50 < found.end_flow_c <= 65

    @given(st.floats(100, 3000), st.floats(1.05, 3))
    def test_a_larger_coil_is_never_slower_nor_hotter(self, conductance, more):
        small, large = (
            charge(200, 10, 50, steady(8, conductance=conductance)),
            charge(200, 10, 50, steady(8, conductance=conductance * more)),
        )
        assert large.minutes <= small.minutes * (1 + 2e-3)
        assert large.end_flow_c <= small.end_flow_c + 2e-3


class TestNeed:
    def test_three_ways_and_the_choice(self):
        by = {need.method: need for need in water(house()).needs}
        assert by["per_person_45"].is_used
        assert (by["per_person_45"].people, by["per_person_45"].litres_low) == (4, 180)
        assert (by["per_person_35"].litres_low, by["per_person_35"].litres_high) == (140, 180)
        assert by["per_person_35"].heat_kwh_day == pytest.approx(heat_kwh(180, 50), abs=0.01)
        assert by["sap_2012"].people == pytest.approx(1.2, abs=0.3)
        other = {need.method: need.is_used for need in water(house(design={"hot_water_method": "sap_2012"})).needs}
        assert other == {"per_person_45": False, "sap_2012": True, "per_person_35": False}

    def test_the_heat_of_a_day_is_given_to_a_hundredth(self):
        for need in water(house(design={"store_c": 53})).needs:
            assert need.heat_kwh_day == round(need.heat_kwh_day, 2)

    def test_bedrooms_or_people_whichever_is_more(self):
        assert water(house(survey={"bedrooms": 5, "occupants": 2})).needs[0].people == 6
        assert water(house(survey={"bedrooms": None, "occupants": 2})).needs[0].people == 2

    def test_nobody_known_is_missing_not_guessed(self):
        found = water(house(survey={"bedrooms": None, "occupants": None}))
        assert found.needs[0].heat_kwh_day is None
        assert found.hours_day is None
        assert any("bedrooms and people are missing" in words for words in found.missing)


class TestStore:
    def test_what_it_holds_and_gives(self):
        found = water(house())
        assert (found.content_l, found.usable_l) == (200, 180)
        assert found.at_the_tap_l == pytest.approx(180 * 40 / 30)
        assert found.shower_min == pytest.approx(240 / 9, abs=0.5)
        assert "sold as 210 l" in found.content_words

    def test_the_size_it_is_sold_by_is_not_its_content(self):
        found = water(house(design={"cylinder_l": None, "cylinder_nominal_l": 300}))
        assert found.content_l == 275
        assert "real content governs" in found.content_words

    def test_hours_of_a_cold_day(self):
        found = water(house())
        coldest = found.charges[0]
        mean_kw = heat_kwh(200, 40) / (coldest.minutes / 60)
        assert found.hours_day == pytest.approx((found.needs[0].heat_kwh_day + found.loss_kwh_day) / mean_kw, rel=0.01)
        assert found.capacity_asked_kw > assessed(house()).plant.load_kw
        assert found.loss_kwh_day == pytest.approx(1.4 * 30 / 45, abs=0.01)

    def test_a_hotter_store_takes_more_electricity(self):
        cool, hot = water(house()), water(house(design={"store_c": 58}))
        assert hot.electricity_kwh > cool.electricity_kwh
        assert hot.charges[0].efficiency < cool.charges[0].efficiency
        assert hot.at_the_tap_l > cool.at_the_tap_l

    def test_a_store_the_unit_cannot_make_hot_stops(self):
        found = assessed(house(design={"store_c": 65}))
        only(found, "store_beyond_unit", Severity.STOP)
        assert found.plant.hot_water.charges == ()

    def test_a_small_coil_is_said(self):
        assert findings(assessed(house()), "coil_small") == []
        only(assessed(house(design={"coil_m2": 0.6})), "coil_small", Severity.CHECK)

    def test_a_small_store_is_said(self):
        assert findings(assessed(house(design={"cylinder_l": 260})), "cylinder_small") == []
        only(assessed(house(design={"cylinder_l": 190})), "cylinder_small", Severity.NOTE)
        only(assessed(house(design={"cylinder_l": 90})), "cylinder_small", Severity.CHECK)

    def test_hot_water_before_heating(self):
        made = house()
        load = assessed(made).plant.load_kw
        tight = copy.deepcopy(made)
        tight["records"]["design"][0] |= {"unit": None, "unit_capacity_kw": round(load * 1.02, 1) + 0.1}
        tight["records"]["survey"][0]["occupants"] = 9
        found = assessed(tight)
        assert only(found, "hot_water_priority", Severity.CHECK).message.startswith("Hot water takes")
        assert findings(assessed(made), "hot_water_priority") == []

    def test_no_unit_is_missing(self):
        found = water(house(design={"unit": None}))
        assert "the output of the unit, from its table or typed" in found.missing
        assert found.electricity_kwh is None

    def test_no_hot_water_no_word(self):
        assert assessed(small_house()).plant.hot_water is None


class TestHygiene:
    def test_none_wants_looking_at_and_more_so_for_the_vulnerable(self):
        assert (
            "at risk"
            not in only(assessed(house(design={"hygiene": "none"})), "no_hygiene_cycle", Severity.CHECK).message
        )
        assert (
            "at risk"
            in only(
                assessed(house(design={"hygiene": "none"}, survey={"vulnerable": True})),
                "no_hygiene_cycle",
                Severity.CHECK,
            ).message
        )
        assert findings(assessed(house()), "no_hygiene_cycle") == []

    def test_a_store_that_is_hot_enough_by_itself_is_told_from_one_that_is_not(self):
        cool = only(
            assessed(house(design={"hygiene": "none", "store_c": 50})), "no_hygiene_cycle", Severity.CHECK
        ).message
        hot = only(
            assessed(house(design={"hygiene": "none", "store_c": 60})), "no_hygiene_cycle", Severity.CHECK
        ).message
        assert "50 °C" in cool
        assert "°C" not in hot

    def test_a_unit_that_does_not_go_hot_enough(self):
        made = house(design={"hygiene": "unit"})
        assert findings(assessed(made), "hygiene_beyond_unit") == []
        for row in made["records"]["unit"]:
            row["points"] = [point for point in row["points"] if point["flow_c"] < 60]
        only(assessed(made), "hygiene_beyond_unit", Severity.CHECK)

    @pytest.mark.parametrize(("hottest_c", "is_said"), [(60, True), (62, True), (63, False)])
    def test_a_unit_needs_some_kelvin_above_the_stores_sixty_degrees(self, hottest_c, is_said):
        made = house(design={"hygiene": "unit"})
        for row in made["records"]["unit"]:
            hottest = max(point["flow_c"] for point in row["points"])
            row["points"] = [
                {**point, "flow_c": hottest_c if point["flow_c"] == hottest else point["flow_c"]}
                for point in row["points"]
                if point["flow_c"] < 60 or point["flow_c"] == hottest
            ]
        assert bool(findings(assessed(made), "hygiene_beyond_unit")) is is_said

    def test_scald(self):
        only(assessed(house(survey={"vulnerable": True})), "scald_risk", Severity.CHECK)
        assert findings(assessed(house(survey={"vulnerable": False})), "scald_risk") == []

    def test_the_cautions_never_call_a_cooler_store_safe(self):
        words = " ".join(water(house(design={"store_c": 45})).cautions)
        assert "no cooler store is called safe" in words
        assert "unvented" in words.lower()
        assert "unvented" not in " ".join(water(house(design={"cylinder_kind": "vented"})).cautions).lower()


@pytest.mark.parametrize(
    ("changes", "code", "severity"),
    [
        ({"place_width_mm": 580}, "cylinder_too_wide", Severity.STOP),
        ({"place_depth_mm": 590}, "cylinder_too_wide", Severity.STOP),
        ({"place_depth_mm": 640}, "cylinder_tight", Severity.CHECK),
        ({"door_width_mm": 590}, "cylinder_door", Severity.STOP),
        ({"door_width_mm": 630}, "cylinder_door_tight", Severity.CHECK),
        ({"place_height_mm": 1490}, "cylinder_too_tall", Severity.STOP),
        ({"place_height_mm": 1600}, "cylinder_top", Severity.CHECK),
        ({"place_height_mm": 1600}, "cylinder_tilt", Severity.CHECK),
        ({"floor_can_carry": False}, "floor_cannot_carry", Severity.STOP),
        ({"floor_can_carry": None}, "floor_load", Severity.CHECK),
        ({}, "floor_load", Severity.NOTE),
        ({"mains_pressure_bar": 1.2}, "mains_pressure_low", Severity.CHECK),
        ({"mains_pressure_bar": 6}, "mains_pressure_high", Severity.NOTE),
        ({"mains_flow_l_min": 12}, "mains_flow_low", Severity.CHECK),
        ({"showers": 2, "shower_flow_l_min": 14}, "showers_share_mains", Severity.NOTE),
    ],
)
def test_place_and_mains(changes, code, severity):
    only(assessed(house(water=changes)), code, severity)


def test_a_place_with_room_says_nothing_but_the_load():
    found = assessed(house())
    codes = {item.code for item in found.findings if item.record == "hot_water/w"}
    assert codes == {"floor_load"}
    assert "260 kg" in only(found, "floor_load", Severity.NOTE).message


def test_a_vented_cylinder_needs_no_mains_pressure():
    made = house(water={"mains_pressure_bar": 0.5, "mains_flow_l_min": 5}, design={"cylinder_kind": "vented"})
    assert not [item for item in assessed(made).findings if item.code.startswith("mains")]


PIPE = {
    "size_mm": 28,
    "material": "copper",
    "stretches": [{"place": "heated", "length_m": 3}, {"place": "outdoors", "length_m": 4}],
}


class TestDischarge:
    def test_the_example_of_a_manual(self):
        found = water(house(water={"valve_outlet": "g_half", "discharge_elbows": 4}, discharge=PIPE)).discharge
        assert (found.equivalent_m, found.longest_m, found.is_allowed) == (11.0, 18.0, True)

    @pytest.mark.parametrize(
        ("changes", "pipe", "code", "severity", "words"),
        [
            ({"discharge_elbows": 4}, {"size_mm": 22}, "discharge_too_long", Severity.STOP, "28 mm would do"),
            ({"discharge_elbows": 40}, {"size_mm": 35}, "discharge_too_long", Severity.STOP, "No size of the table"),
            ({}, {"size_mm": 15}, "discharge_size_not_in_table", Severity.STOP, "22 mm would do"),
            ({}, {"size_mm": 42}, "discharge_size_not_in_table", Severity.CHECK, "22 mm would do"),
            ({}, {"material": "plastic"}, "discharge_not_copper", Severity.CHECK, "flow resistance"),
            ({"d1_mm": 12}, {}, "discharge_d1_small", Severity.STOP, "larger pipe"),
            ({"d1_length_mm": 550}, {}, "discharge_d1_long", Severity.CHECK, "nearer"),
            ({"d1_length_mm": 700}, {}, "discharge_d1_long", Severity.STOP, "nearer"),
            ({"discharge_drop_mm": 200}, {}, "discharge_drop_short", Severity.STOP, "tundish higher"),
        ],
    )
    def test_what_is_wrong(self, changes, pipe, code, severity, words):
        found = assessed(house(water={"valve_outlet": "g_half", **changes}, discharge={**PIPE, **pipe}))
        remedy = only(found, code, severity).remedy
        assert words in remedy
        assert "qualified for unvented" in remedy

    def test_nothing_wrong_says_nothing(self):
        made = house(
            water={
                "valve_outlet": "g_half",
                "d1_mm": 15,
                "d1_length_mm": 300,
                "discharge_elbows": 2,
                "discharge_drop_mm": 400,
            },
            discharge=PIPE,
        )
        assert not [item for item in assessed(made).findings if item.code.startswith("discharge")]

    @pytest.mark.parametrize(
        ("changes", "pipe", "words"),
        [
            ({}, PIPE, "outlet of the relief valve"),
            ({"valve_outlet": "g_one"}, None, "as a pipe run"),
            ({"valve_outlet": "g_one"}, {"size_mm": 35}, "length and size"),
            ({"valve_outlet": "g_half"}, PIPE, "elbows"),
        ],
    )
    def test_what_is_missing_is_said(self, changes, pipe, words):
        assert any(words in item for item in water(house(water=changes, discharge=pipe)).missing)

    @given(st.floats(0, 40), st.integers(0, 10))
    def test_a_longer_pipe_is_never_smaller(self, length, elbows):
        here, longer = smallest_pipe("g_half", length, elbows), smallest_pipe("g_half", length + 1, elbows)
        assert longer is None or (here is not None and here <= longer)


class TestFits:
    def test_every_opening_is_said_with_what_it_has_and_needs(self):
        found = {
            item.what: item
            for item in water(house({"door_width_mm": 590, "place_width_mm": 640, "place_depth_mm": None})).fits
        }
        assert [(item.has_mm, item.needs_mm, item.state) for item in found.values()] == [
            (590, 600, "too_small"),
            (640, 600, "tight"),
            (None, 600, "not_known"),
            (2300, 1500, "fits"),
        ]

    def test_a_cylinder_without_a_size_fits_nowhere_yet(self):
        assert {
            item.state for item in water(house(design={"cylinder_diameter_mm": None, "cylinder_height_mm": None})).fits
        } == {"not_known"}

    def test_what_does_not_fit_is_stopped_as_well(self):
        assert only(assessed(house({"door_width_mm": 590})), "cylinder_door", Severity.STOP).field == "door_width_mm"


CUPBOARD = {"place_width_mm": 550, "place_depth_mm": 550, "place_height_mm": 1500, "door_width_mm": 580}


def tried(**place):
    """Return the sizes tried in a place, by what they hold and how wide they are."""
    sizes = water(house({**dict.fromkeys(PLACE), **place})).sizes
    return {(size.nominal_l, size.across_mm): size for size in sizes}


class TestTrial:
    def test_a_cupboard_says_which_sizes_go_in_and_what_keeps_the_others_out(self):
        found = tried(**CUPBOARD)
        assert {size for size, trial in found.items() if trial.state in ("fits", "tight")} == {
            (120, 475),
            (120, 550),
            (150, 550),
            (180, 550),
            (210, 550),
        }
        assert found[120, 475].state == "fits"
        assert found[150, 475].words == "The height of its place is 1,500 mm and it needs 1,540 mm."
        assert found[250, 630].words.startswith("The narrowest door on the way is 580 mm and it needs 630 mm;")
        assert "it comes in upright" in found[210, 550].words
        assert found[180, 550].full_kg == 223

    @pytest.mark.parametrize(("door", "goes"), [(580, True), (550, True), (549, False)])
    def test_what_stands_in_the_place_has_to_come_through_the_door(self, door, goes):
        trial = tried(**{**CUPBOARD, "door_width_mm": door})[180, 550]
        assert (trial.state != "too_small") is goes
        assert ("door" in trial.words) is (trial.state != "fits")

    def test_what_was_not_measured_is_asked_for_and_what_is_too_small_is_so_without_it(self):
        found = tried(place_height_mm=1500)
        assert found[180, 550].state == "not_known"
        assert found[180, 550].words.startswith("The narrowest door on the way is not measured;")
        assert found[300, 550].state == "too_small"
        assert water(house(dict.fromkeys(PLACE))).sizes == ()

    @given(
        st.lists(st.integers(400, 2400), min_size=4, max_size=4),
        st.lists(st.integers(0, 400), min_size=4, max_size=4),
    )
    def test_more_room_never_keeps_a_size_out(self, clear, more):
        def going(sizes):
            record = HotWater(id="w", **dict(zip(CUPBOARD, sizes, strict=True)))
            return {
                (trial.nominal_l, trial.across_mm) for trial in tried_sizes(record) if trial.state in ("fits", "tight")
            }

        assert going(clear) <= going([one + extra for one, extra in zip(clear, more, strict=True)])
