"""Water in pipes against libraries of fluid mechanics and of fluid properties."""

from __future__ import annotations

import CoolProp.CoolProp as coolprop
import fluids
import pytest

from wattwalk.engine.fluids.glycol import WATER
from wattwalk.engine.fluids.pipe_flow import flow_l_min, gradient
from wattwalk.engine.fluids.water import HEAT_J_KGK, density, friction_factor, velocity, viscosity

PLASTIC_MM = 0.007


@pytest.mark.parametrize("temperature", [5, 10, 20, 30, 35, 40, 50, 60, 70, 80])
def test_properties_of_water(temperature):
    assert density(temperature) == pytest.approx(
        coolprop.PropsSI("D", "T", temperature + 273.15, "P", 1.5e5, "Water"), abs=0.1
    )
    assert viscosity(temperature) == pytest.approx(
        coolprop.PropsSI("V", "T", temperature + 273.15, "P", 1.5e5, "Water"), rel=0.013
    )
    assert pytest.approx(coolprop.PropsSI("C", "T", temperature + 273.15, "P", 1.5e5, "Water"), rel=0.006) == HEAT_J_KGK


@pytest.mark.parametrize("share", [0, 1e-5, 5.8e-4, 0.01])
@pytest.mark.parametrize("number", [2300, 4000, 10_000, 42_755, 1e6])
def test_friction_in_turbulent_water(number, share):
    assert friction_factor(number, share) == pytest.approx(fluids.friction.Colebrook(number, share), rel=1e-9)


def test_friction_in_layers():
    assert friction_factor(1000, 0.001) == 0.064
    assert gradient(0.5, 12, PLASTIC_MM, WATER, 35) == pytest.approx(
        32 * viscosity(35) * velocity(0.5, 0.012) / 0.012**2
    )


@pytest.mark.parametrize(("flow", "bore"), [(1.0, 0.012), (2.0, 0.012), (5.0, 0.016), (26.0, 0.0262)])
def test_pressure_drop_against_a_library(flow, bore):
    mass = flow / 60000 * density(40)
    expected = fluids.one_phase_dP(
        m=mass, rho=density(40), mu=viscosity(40), D=bore, roughness=7e-6, L=1, Method="Colebrook"
    )
    assert gradient(flow, bore * 1000, PLASTIC_MM, WATER, 40) == pytest.approx(expected, rel=1e-3)


def test_no_flow_needs_no_pressure():
    assert gradient(0, 12, PLASTIC_MM, WATER, 40) == 0


def test_reynolds_against_a_library():
    assert WATER.reynolds(0.5, 0.012, 40) == pytest.approx(
        fluids.Reynolds(V=0.5, D=0.012, rho=density(40), mu=viscosity(40))
    )


def test_flow_for_a_load():
    assert flow_l_min(12, 5, WATER, 40) == pytest.approx(34.73, rel=1e-3)
