"""The check book: every case worked out again, with its tolerance, its source, and what kind of proof it is."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from math import fsum, isfinite, prod
from typing import Any

from wattwalk.survey.known import known

from ..catalogue import table
from ..engine.air.leakage import effective_air_changes, leakage_by_test, least_flow_m3_h
from ..engine.air.ventilation import ventilation_loss
from ..engine.climate.design_cold import REGIONS, at_height, region_of
from ..engine.climate.weather import BASE_C, degree_days, month_bins, year_degree_days
from ..engine.emitters.limits import curve_limit, highest_output, surface_temperature
from ..engine.emitters.loops import downward_w_m2
from ..engine.emitters.plates import plates_coefficient, plates_conduction
from ..engine.emitters.radiators import arithmetic_mean, logarithmic_mean, radiator_output, rated_output
from ..engine.emitters.underfloor import screed_coefficient
from ..engine.fabric.basement import basement_wall, heated_basement
from ..engine.fabric.bridges import bridge_loss
from ..engine.fabric.by_look import by_look, stone_wall, with_resistance
from ..engine.fabric.ground import characteristic_dimension, edge_psi, slab_on_ground, suspended_floor, with_edge
from ..engine.fabric.moisture import dew_point, humidity_limit, least_factor, saturation_pressure, surface_factor
from ..engine.fabric.moisture import surface_temperature as face_temperature
from ..engine.fabric.spaces import balance_factor, outside_conductance
from ..engine.fabric.surfaces import surface_loss
from ..engine.fabric.u_value import (
    Resistance,
    air_gap_correction,
    element_resistance,
    fixing_correction,
    read_layer,
    surface_resistances,
)
from ..engine.fabric.windows import pane_sizes, parts_u_value, with_second_window
from ..engine.fluids.water import density, viscosity
from ..engine.place.base import Plane, fit_plane, packing
from ..engine.season.compensation import HeatCurve
from ..engine.season.heating_year import generic_efficiency, yearly_use
from ..engine.season.year_load import YearLoad
from ..paths import published_folder
from ..survey.building import Emitter
from ..survey.errors import WattwalkError
from .plant import PLANT_FUNCTIONS
from .site import SITE_FUNCTIONS

#: What kind of proof a case is, in the words it is counted by.  ``published`` is said of the first alone.
PRINTED, LIBRARY, BY_HAND = "printed", "library", "by_hand"
KINDS = {
    PRINTED: "published: numbers that somebody else printed",
    LIBRARY: "what another library or program works out",
    BY_HAND: "our own arithmetic, by hand or in a second program",
}
#: How a printed number was had: read in a public document, or recalled and only used since a second calculation agrees.
SEEN, FROM_MEMORY = "seen", "from memory"

#: A case is met when it lies within its tolerance and this much for the last digit of a float.
LAST_DIGIT = 1e-9


class CheckBookError(WattwalkError, ValueError):
    """A case of the check book cannot be read or worked out; the message names it."""


@dataclass(frozen=True)
class Case:
    """One case as its row has it; ``inputs`` are the arguments of the function it names.

    ``where`` is the page, table or example of a printed number, ``confidence`` how it was had; see ``KINDS``.
    """

    subject: str
    name: str
    function: str
    inputs: dict[str, Any]
    expected: float
    tolerance: float
    source: str
    kind: str
    where: str = ""
    confidence: str = ""

    @property
    def cited(self) -> str:
        """The source with the place in it, and a word where it is recalled."""
        return ", ".join(part for part in (self.source, self.where) if part) + (
            " (from memory)" if self.confidence == FROM_MEMORY and "from memory" not in self.source else ""
        )


@dataclass(frozen=True)
class Check:
    """A case with what this program makes of it."""

    case: Case
    computed: float

    @property
    def is_met(self) -> bool:
        """Say whether the computed value lies within the tolerance of the expected one."""
        return isfinite(self.computed) and abs(self.computed - self.case.expected) <= self.case.tolerance + LAST_DIGIT


def _layers(layers: list[dict[str, Any]], direction: str, inside_beyond: bool) -> Resistance:
    near, far = surface_resistances(direction, inside_beyond)
    return element_resistance(
        near, far, [read_layer(row, place, direction) for place, row in enumerate(layers, start=1)]
    )


def _with_edge(reach_m: float, insulation_m: float, insulation_w_mk: float, is_vertical: bool, **slab: float) -> float:
    bare = slab_on_ground(**slab)
    return with_edge(
        bare.u_value,
        edge_psi(bare.equivalent_m, reach_m, insulation_m, insulation_w_mk, is_vertical),
        bare.characteristic_m,
    )


def _basement_w_k(**given: float) -> float:
    made = heated_basement(**given)
    return given["area_m2"] * made.floor_u + given["depth_m"] * given["perimeter_m"] * made.wall_u


def _plane(points: list[list[float]]) -> Plane:
    plane = fit_plane([(x, y, z) for x, y, z in points])
    if plane is None:
        raise CheckBookError("the readings of a case lie on one line")
    return plane


def _residuals(points: list[list[float]]) -> list[float]:
    plane = _plane(points)
    return [z - plane.height(x, y) for x, y, z in points]


def _bins(mean_c: float, hours: float) -> float:
    return fsum(max(0.0, BASE_C - degree) * share for degree, share in month_bins(mean_c, hours)) / 24


def _curve(surface_c: float, inside_c: float, **build_up: float) -> tuple[float, float]:
    coefficient = screed_coefficient(build_up["spacing_m"], build_up["screed_m"], 0.016, 0.0, build_up["screed_w_mk"])
    return curve_limit(coefficient, **build_up, surface_c=surface_c, inside_c=inside_c)


def _year_of_heat(coefficient_w_k: float, region: float) -> float:
    use = yearly_use(YearLoad(coefficient_w_k), HeatCurve(21, 1.3, -3, 45, 5), region)
    if use is None:
        raise CheckBookError("a house of a case loses nothing")
    return use.heat_kwh


#: What each case asks for, by the name in its row.
FUNCTIONS: dict[str, Callable[..., float | None]] = {
    **PLANT_FUNCTIONS,
    "layers_u": lambda **given: 1 / _layers(**given).total,
    "layers_upper": lambda **given: _layers(**given).upper,
    "layers_lower": lambda **given: _layers(**given).lower,
    "stone_u": stone_wall,
    "look_u": lambda **given: by_look(**given).u_value,
    "with_resistance_u": with_resistance,
    "air_gap_w_m2k": air_gap_correction,
    "fixing_w_m2k": fixing_correction,
    "window_u": parts_u_value,
    "glass_edge_m": lambda panes, **given: 2 * panes * fsum(pane_sizes(panes=panes, **given)),
    "glass_m2": lambda panes, **given: panes * prod(pane_sizes(panes=panes, **given)),
    "second_window_u": with_second_window,
    "edge_psi": edge_psi,
    "edge_u": _with_edge,
    "basement_floor_u": lambda **given: heated_basement(**given).floor_u,
    "basement_wall_u": lambda **given: heated_basement(**given).wall_u,
    "basement_w_k": _basement_w_k,
    "wall_in_ground_u": basement_wall,
    "balance_factor": balance_factor,
    "space_outside_w_k": outside_conductance,
    "bridge_w": bridge_loss,
    "vapour_pa": saturation_pressure,
    "dew_c": dew_point,
    "least_factor": least_factor,
    "surface_factor": surface_factor,
    "face_c": face_temperature,
    "humidity_limit": humidity_limit,
    "slab_u": lambda **given: slab_on_ground(**given).u_value,
    "suspended_u": lambda **given: suspended_floor(**given).u_value,
    "characteristic_m": characteristic_dimension,
    "surface_w": surface_loss,
    "ventilation_w": ventilation_loss,
    "tested_leakage_h": leakage_by_test,
    "effective_h": effective_air_changes,
    "least_flow_m3_h": least_flow_m3_h,
    "at_height_c": at_height,
    "annual_mean_c": lambda postcode: (
        table(REGIONS).get(region=known(region_of(postcode)).number("region")).number("annual_mean_c")
    ),
    "degree_days_kd": degree_days,
    "bins_kd": _bins,
    "year_degree_days_kd": year_degree_days,
    "arithmetic_k": arithmetic_mean,
    "logarithmic_k": logarithmic_mean,
    "radiator_w": radiator_output,
    "screed_k": screed_coefficient,
    "surface_c": surface_temperature,
    "floor_limit_w_m2": highest_output,
    "plates_k": plates_coefficient,
    "plates_conduction": plates_conduction,
    "curve_w_m2": lambda **given: _curve(**given)[0],
    "curve_k": lambda **given: _curve(**given)[1],
    "downward_w_m2": downward_w_m2,
    "density_kg_m3": density,
    "viscosity_pa_s": viscosity,
    "curve_c": lambda at_c, **given: HeatCurve(**given).flow_at(at_c),
    "generic_cop": generic_efficiency,
    "heat_kwh": _year_of_heat,
    "rated_w": lambda **given: rated_output(Emitter(id="case", **given)).output_w,
    "plane_x_mm_m": lambda points: _plane(points).a * 1000,
    "plane_y_mm_m": lambda points: _plane(points).b * 1000,
    "plane_fall_mm_m": lambda points: _plane(points).fall_mm_m,
    "plane_highest_mm": lambda points: max(_residuals(points)),
    "plane_lowest_mm": lambda points: min(_residuals(points)),
    "packing_mm": lambda points, feet, foot: packing(_plane(points), [tuple(item) for item in feet])[foot],
    **SITE_FUNCTIONS,
}


@cache
def cases() -> tuple[Case, ...]:
    """Return every case, file by file.

    Raises
    ------
    CheckBookError
        When a row cannot be read; the message names the file and the case.
    MissingFilesError
        When the files are neither in the wheel nor in the checkout.
    """
    found = []
    for path in sorted(published_folder().glob("*.csv")):
        with path.open(encoding="utf-8", newline="") as file:
            for row in csv.DictReader(file):
                found.append(_case(path.stem, row))
    return tuple(found)


def _case(subject: str, row: dict[str, str]) -> Case:
    where = f"{subject}, {row.get('case')!r}"
    try:
        case = Case(
            subject=subject,
            name=row["case"],
            function=row["function"],
            inputs=json.loads(row["inputs"]),
            expected=float(row["expected"]),
            tolerance=float(row["tolerance"]),
            source=row["source"].strip(),
            kind=row["kind"],
            where=row["where"].strip(),
            confidence=row["confidence"],
        )
    except (KeyError, TypeError, ValueError) as error:
        raise CheckBookError(f"{where}: the row cannot be read: {error}.") from error
    if case.function not in FUNCTIONS:
        raise CheckBookError(f"{where}: there is no function {case.function!r}.")
    if not case.source or not case.tolerance >= 0:
        raise CheckBookError(f"{where}: a case needs a source and a tolerance of nothing or more.")
    if case.kind not in KINDS:
        raise CheckBookError(f"{where}: there is no kind of proof {case.kind!r}; there are {', '.join(KINDS)}.")
    if case.confidence not in ("", SEEN, FROM_MEMORY):
        raise CheckBookError(f"{where}: a number is {SEEN!r} or {FROM_MEMORY!r}, not {case.confidence!r}.")
    if case.kind == PRINTED and not (case.where and case.confidence):
        raise CheckBookError(f"{where}: a printed number needs its page, table or example, and how it was had.")
    return case


def check(case: Case) -> Check:
    """Work one case out.

    Raises
    ------
    CheckBookError
        When its inputs do not suit its function.
    """
    try:
        return Check(case, float(known(FUNCTIONS[case.function](**case.inputs))))
    except (TypeError, ValueError, LookupError) as error:
        raise CheckBookError(f"{case.subject}, {case.name!r}: cannot be worked out: {error}.") from error


def check_all() -> tuple[Check, ...]:
    """Work every case out."""
    return tuple(check(case) for case in cases())


def by_subject(checks: tuple[Check, ...]) -> list[tuple[str, int, int]]:
    """Return each subject in words with how many cases it has and how many of them are met."""
    counted: dict[str, list[int]] = {}
    for item in checks:
        count = counted.setdefault(item.case.subject, [0, 0])
        count[0] += 1
        count[1] += item.is_met
    return [(subject.replace("_", " "), every, met) for subject, (every, met) in counted.items()]


def by_kind(checks: tuple[Check, ...]) -> list[tuple[str, int, int]]:
    """Return each kind of proof in words with how many cases it has and how many of them are met."""
    return [
        (
            words,
            sum(item.case.kind == kind for item in checks),
            sum(item.case.kind == kind and item.is_met for item in checks),
        )
        for kind, words in KINDS.items()
    ]
