"""Where the books leave a choice it has a name, a default of UK practice, and a line in the methods that the report prints."""

from __future__ import annotations

import pytest

from tests.support.houses import changed, small_house, with_records
from wattwalk.survey.household import SurveyRecord

from .support import assessed

KIND = SurveyRecord.kind

#: The choices of method, and what must be said beside one for it to be asked at all.
OPTIONS: dict[str, dict] = {
    "design_percentile": {},
    "height_gradient": {},
    "exposure_allowance": {"exposure": "exposed"},
    "room_temperatures": {},
    "ventilation_age": {},
    "default_tables": {},
    "thermal_bridges": {},
    "ground_kind": {},
    "ground_convention": {},
    "ground_water": {"ground_convention": "en_12831_2017"},
    "separate_neighbour": {},
    "ventilation_method": {},
    "air_heat": {},
    "load_neighbours": {"separate_neighbour": "cold"},
    "load_pipes": {},
    "load_floors": {},
    "load_hot_water": {},
    "heating_up": {},
    "heating_up_drop": {"heating_up": "on_off"},
    "heating_up_hours": {"heating_up": "on_off"},
}
#: Choices that ask for more than a word before they give a figure.
ASKS_MORE = {("ventilation_method", "mechanical"): {"recovery_efficiency_pct": 80}}


def house(**fields):
    """A house whose loss feels every choice: by station and height, with a neighbour and a wall by its look."""
    document = changed(
        small_house(),
        "survey",
        "s",
        outside_design_temperature_c=None,
        design_location="manchester",
        altitude_m=300,
        bedrooms=2,
        air_permeability_m3_hm2=9,
        nation="scotland",
        **fields,
    )
    document = changed(document, "construction", "wall", known_by="look", look="wall_cavity", u_value_w_m2k=None)
    # A unit for ventilation draws from a kitchen, never from a hall.
    document = changed(document, "room", "hall", use="kitchen")
    for kind, record in (
        (
            "pipe_run",
            {
                "id": "pipe",
                "purpose": "primary",
                "material": "copper",
                "size_mm": 28,
                "stretches": [{"place": "outdoors", "length_m": 5}],
                "insulation": "none",
            },
        ),
        ("emitter", {"id": "warm", "room": "hall", "type": "underfloor", "heated_area_m2": 6, "covering": "tile"}),
        ("hot_water", {"id": "water"}),
    ):
        document = with_records(document, kind, record)
    return with_records(
        changed(document, "survey", "s", age_band="H"),
        "surface",
        {
            "id": "party",
            "room": "hall",
            "element": "partition",
            "construction": "inner",
            "width_m": 2,
            "height_m": 2.4,
            "other_side": "neighbour",
        },
    )


def test_every_choice_of_method_is_listed_here():
    choices = {spec.name for spec in KIND.fields if spec.group == "method" and spec.choices}
    assert choices <= set(OPTIONS)
    assert all(KIND.field(name).choices for name in OPTIONS)


@pytest.mark.parametrize("name", OPTIONS)
def test_a_choice_has_a_default_that_says_where_it_comes_from(name):
    spec = KIND.field(name)
    assert spec.default in {item.value for item in spec.choices}
    assert spec.default_from


@pytest.mark.parametrize("name", OPTIONS)
def test_the_default_is_printed_as_such(name):
    spec = KIND.field(name)
    (line,) = (words for words in assessed(house(**OPTIONS[name])).methods if words.startswith(f"{spec.label}:"))
    assert spec.choice_label(spec.default) in line
    assert f"default: {spec.default_from}" in line


@pytest.mark.parametrize(
    ("name", "value"),
    [
        (name, item.value)
        for name in OPTIONS
        for item in KIND.field(name).choices
        if item.value != KIND.field(name).default
    ],
)
def test_another_choice_changes_the_loss_and_is_printed_as_chosen(name, value):
    usual = assessed(house(**OPTIONS[name]))
    other = assessed(house(**OPTIONS[name], **{name: value}, **ASKS_MORE.get((name, value), {})))
    spec = KIND.field(name)
    (line,) = (words for words in other.methods if words.startswith(f"{spec.label}:"))
    assert spec.choice_label(value) in line
    assert "chosen in the survey" in line
    assert other.building.total_w is not None
    # England's own table and Scotland's differ for this wall; the older table named by hand is the one held for Scotland.
    if (name, value) != ("default_tables", "rdsap_2012"):
        changed_by = [(item.building.total_w, item.building.unit_size_w) for item in (usual, other)]
        assert changed_by[0] != changed_by[1]


def test_the_choices_of_the_design_are_printed_too():
    lines = assessed(house()).methods
    assert any(line.startswith("Flow temperature") for line in lines)
    assert any("flow" in line.lower() and "return" in line.lower() for line in lines)
    assert any("only once the heat that its unit recovers is written down" in line for line in lines)
