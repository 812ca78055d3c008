"""Cold inside faces: the formulas against other hands, and when a caution is given."""

from __future__ import annotations

import CoolProp.CoolProp as coolprop
import psychrolib
import pytest

from tests.support.houses import changed, small_house
from wattwalk.engine.answers import Severity
from wattwalk.engine.fabric.moisture import (
    dew_point,
    humidity_limit,
    saturation_pressure,
    surface_factor,
    surface_temperature,
    temperature_at,
)

from .support import assessed, findings, only

psychrolib.SetUnitSystem(psychrolib.SI)


@pytest.mark.parametrize("temperature", [5, 12, 18, 21, 25])
@pytest.mark.parametrize("humidity", [0.4, 0.6, 0.9])
def test_the_dew_point_is_that_of_the_library(temperature, humidity):
    if dew_point(temperature, humidity) > 0:
        assert dew_point(temperature, humidity) == pytest.approx(
            psychrolib.GetTDewPointFromRelHum(temperature, humidity), abs=0.05
        )


@pytest.mark.parametrize("temperature", [1, 10, 20, 30])
def test_vapour_over_water_is_that_of_the_library(temperature):
    assert saturation_pressure(temperature) == pytest.approx(
        coolprop.PropsSI("P", "T", temperature + 273.15, "Q", 1, "Water"), rel=0.003
    )


@pytest.mark.parametrize("temperature", [-15, -0.5, 0, 0.5, 20])
def test_the_inverse_brings_the_temperature_back(temperature):
    assert temperature_at(saturation_pressure(temperature)) == pytest.approx(temperature, abs=1e-9)


@pytest.mark.parametrize("humidity", [0, -0.1, 1.01])
def test_a_humidity_that_cannot_be_is_refused(humidity):
    with pytest.raises(ValueError, match="relative humidity"):
        dew_point(20, humidity)


def test_no_pressure_has_no_temperature():
    with pytest.raises(ValueError, match="more than 0 Pa"):
        temperature_at(0)


def test_the_limit_is_the_humidity_whose_dew_point_is_the_face():
    face = surface_temperature(surface_factor(2.1, 0.25), 20, -3)
    assert dew_point(20, humidity_limit(face, 20, 1.0)) == pytest.approx(face, abs=1e-6)
    assert humidity_limit(25, 20, 1.0) == 1.0


def test_damp_seen_beside_a_bad_wall_is_a_caution_and_no_verdict():
    damp = changed(changed(small_house(), "construction", "wall", u_value_w_m2k=2.1), "room", "living", damp_seen=True)
    result = assessed(damp)
    found = only(result, "cold_inside_face", Severity.CHECK)
    assert found.record == "room/living"
    assert "not a verdict" in found.remedy
    faces = {item.surface: item for item in result.cold_faces}
    assert set(faces) == {"front", "pane"}
    assert faces["front"].factor == 0.475
    assert faces["front"].face_c == pytest.approx(21 - 24 * 0.525, abs=0.01)
    assert faces["pane"].factor == pytest.approx(1 - 2.0 * 0.13)
    assert faces["front"].mould_limit_pct < faces["front"].condensation_limit_pct < 100


def test_a_well_insulated_damp_room_has_faces_but_no_caution():
    good = changed(
        changed(small_house(), "construction", "wall", u_value_w_m2k=0.2), "construction", "window", u_value_w_m2k=1.2
    )
    result = assessed(changed(good, "room", "living", damp_seen=True))
    assert result.cold_faces
    assert not findings(result, "cold_inside_face")


def test_a_room_kept_cool_is_looked_at_and_a_warm_dry_one_is_not():
    assert not assessed(small_house()).cold_faces
    cool = assessed(
        changed(
            changed(small_house(), "construction", "wall", u_value_w_m2k=2.1), "room", "living", inside_temperature_c=12
        )
    )
    assert only(cool, "cold_inside_face", Severity.NOTE).field == "inside_temperature_c"
