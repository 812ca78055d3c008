"""Every published case: inputs, expected value, tolerance and source from the CSV files beside this test."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from wattwalk.catalogue import table
from wattwalk.engine.base import Plane, fit_plane, packing
from wattwalk.engine.climate import REGIONS, at_height, region_of
from wattwalk.engine.ground import characteristic_dimension, slab_on_ground, suspended_floor
from wattwalk.engine.layers import Resistance, read_layer, surface_resistances, total_resistance
from wattwalk.engine.looks import by_look, stone_wall
from wattwalk.engine.radiators import arithmetic_mean, logarithmic_mean, radiator_output
from wattwalk.engine.routes import separation
from wattwalk.engine.surfaces import surface_loss
from wattwalk.engine.underfloor import highest_output, screed_coefficient, surface_temperature
from wattwalk.engine.ventilation import ventilation_loss

FOLDER = Path(__file__).parent


def _layers(layers: list, direction: str, inside_beyond: bool) -> Resistance:
    near, far = surface_resistances(direction, inside_beyond)
    return total_resistance(near, far, [read_layer(row, place, direction) for place, row in enumerate(layers, start=1)])


def _plane(points: list) -> Plane:
    plane = fit_plane([tuple(point) for point in points])
    assert plane is not None
    return plane


def _residuals(points: list) -> list[float]:
    plane = _plane(points)
    return [z - plane.height(x, y) for x, y, z in points]


FUNCTIONS: dict[str, Callable[..., float]] = {
    "layers_u": lambda **given: 1 / _layers(**given).total,
    "layers_upper": lambda **given: _layers(**given).upper,
    "layers_lower": lambda **given: _layers(**given).lower,
    "stone_u": stone_wall,
    "look_u": lambda **given: by_look(**given).u_value,
    "slab_u": lambda **given: slab_on_ground(**given).u_value,
    "suspended_u": lambda **given: suspended_floor(**given).u_value,
    "characteristic_m": characteristic_dimension,
    "surface_w": surface_loss,
    "ventilation_w": ventilation_loss,
    "at_height_c": at_height,
    "annual_mean_c": lambda postcode: table(REGIONS).get(region=region_of(postcode).number("region")).number("annual_mean_c"),
    "arithmetic_k": arithmetic_mean,
    "logarithmic_k": logarithmic_mean,
    "radiator_w": radiator_output,
    "screed_k": screed_coefficient,
    "surface_c": surface_temperature,
    "floor_limit_w_m2": highest_output,
    "plane_x_mm_m": lambda points: _plane(points).a * 1000,
    "plane_y_mm_m": lambda points: _plane(points).b * 1000,
    "plane_fall_mm_m": lambda points: _plane(points).fall_mm_m,
    "plane_highest_mm": lambda points: max(_residuals(points)),
    "plane_lowest_mm": lambda points: min(_residuals(points)),
    "packing_mm": lambda points, feet, foot: packing(_plane(points), [tuple(item) for item in feet])[foot],
    "separation_mm": lambda is_screened: separation(is_screened).number("no_divider_mm"),
}


def _cases() -> list[Any]:
    cases = []
    for path in sorted(FOLDER.glob("*.csv")):
        with path.open(encoding="utf-8", newline="") as file:
            cases += [pytest.param(row, id=f"{path.stem}: {row['case']}") for row in csv.DictReader(file)]
    return cases


@pytest.mark.parametrize("case", _cases())
def test_published_value(case: dict[str, str]) -> None:
    found = FUNCTIONS[case["function"]](**json.loads(case["inputs"]))
    assert found == pytest.approx(float(case["expected"]), abs=float(case["tolerance"]) + 1e-9, rel=0), case["source"]
    assert case["source"].strip()


def test_there_are_cases_for_every_function() -> None:
    used = {case.values[0]["function"] for case in _cases()}
    assert used == set(FUNCTIONS)
