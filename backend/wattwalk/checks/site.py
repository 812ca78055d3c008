"""What the check book asks of the site's modules, by the name in its rows."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from wattwalk.engine.circuit import mixed, pipe_heat, volumes
from wattwalk.engine.electric import demand, supply
from wattwalk.engine.emitters import throttled
from wattwalk.engine.fluids import pipe_flow
from wattwalk.engine.fluids.glycol import WATER, Fluid, growth
from wattwalk.engine.place import footing, noise
from wattwalk.survey.known import known


def _gradient(
    material: str,
    size_mm: float,
    load_kw: float,
    difference_k: float,
    mean_c: float,
    fluid: str = "water",
    mass_percent: float | None = None,
) -> float:
    row, flowing = known(pipe_flow.pipe_row(material, size_mm)), Fluid(fluid, mass_percent)
    flow = pipe_flow.flow_l_min(load_kw, difference_k, flowing, mean_c)
    return pipe_flow.gradient(flow, row.number("bore_mm"), row.number("roughness_mm"), flowing, mean_c)


def _velocity(material: str, size_mm: float, load_kw: float, difference_k: float, mean_c: float) -> float:
    flow = pipe_flow.flow_l_min(load_kw, difference_k, WATER, mean_c)
    return pipe_flow.velocity(flow, known(pipe_flow.pipe_row(material, size_mm)).number("bore_mm"))


def _freezing(part: int, start_c: float, air_c: float, wind_m_s: float, **pipe: Any) -> float:
    found = pipe_heat.freezing_hours(pipe_heat.Pipe(**pipe), start_c, air_c, wind_m_s)
    return known(found)[part]


SITE_FUNCTIONS: dict[str, Callable[..., float | None]] = {
    "fluid_density": lambda fluid, temperature_c, mass_percent=None: Fluid(fluid, mass_percent).density(temperature_c),
    "fluid_heat": lambda fluid, temperature_c, mass_percent=None: Fluid(fluid, mass_percent).specific_heat(
        temperature_c
    ),
    "fluid_viscosity_mpa_s": lambda fluid, temperature_c, mass_percent=None: (
        Fluid(fluid, mass_percent).viscosity(temperature_c) * 1000
    ),
    "growth_percent": lambda from_c, to_c, fluid="water", mass_percent=None: (
        growth(Fluid(fluid, mass_percent), from_c, to_c) * 100
    ),
    "run_flow_l_min": lambda load_kw, difference_k, mean_c: pipe_flow.flow_l_min(load_kw, difference_k, WATER, mean_c),
    "bore_pa_m": lambda flow, bore_mm, roughness_mm, mean_c: pipe_flow.gradient(
        flow, bore_mm, roughness_mm, WATER, mean_c
    ),
    "pipe_velocity_m_s": _velocity,
    "pipe_gradient_pa_m": _gradient,
    "pipe_content_l_m": lambda material, size_mm: volumes.content_l_m(
        known(pipe_flow.pipe_row(material, size_mm)).number("bore_mm")
    ),
    "kv_drop_kpa": lambda flow, kv_m3_h, density: pipe_flow.kv_drop(flow, kv_m3_h, density),
    "balancing_kv": pipe_flow.balancing_kv,
    "radiator_return_c": throttled.radiator_return,
    "floor_return_c": throttled.floor_return,
    "emitters_mix_c": lambda returns: mixed.mixed_return((flow, back) for flow, back in returns),
    "defrost_volume_l": volumes.defrost_volume_l,
    "run_volume_l": volumes.run_volume_l,
    "expansion_vessel_l": volumes.expansion_vessel_l,
    "fill_pressure_bar": volumes.fill_pressure_bar,
    "mixed_flow_c": volumes.mixed_flow_c,
    "mixed_return_c": volumes.mixed_return_c,
    "pipe_loss_w_m": pipe_heat.linear_loss,
    "freezing_h": _freezing,
    "sound_pressure_dba": noise.sound_pressure,
    "sound_added_db": noise.added,
    "sound_distance_m": noise.distance_for,
    "screen_db": noise.screen_attenuation,
    "noise_units_alone_dba": lambda nation, day: noise.units_alone(noise.limit_for(nation, day)),
    "concrete_share": footing.strength_share,
    "concrete_days": lambda share, s, temperature_c: footing.age_for(share, s) / footing.ripening(temperature_c),
    "concrete_ripening": footing.ripening,
    "voltage_drop_v": supply.voltage_drop,
    "cable_longest_m": supply.longest_m,
    "demand_a": lambda loads: demand.diversified_a([tuple(item) for item in loads]),
}
